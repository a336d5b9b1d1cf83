"""Where words go: every label has many candidate places; each is scored, and the choice is then improved.

First every label, the most important first, takes the cheapest place left; then, again and again, every label
moves where it would be cheaper given where the others lie, until none moves. A place that touches another
label, or something that must not be touched, is dearer than any that does not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from router.drawing.frame import Box
from router.drawing.letters import HEIGHT, RISE, room_mm
from router.drawing.pen import Ink, PaperPoint, Pen

Floats = NDArray[np.float64]

TOUCHES = 10_000.0  # a place that must not be
AWKWARD = 60.0  # a place that is only taken where all others are worse
CROSSES = 25.0  # a leader across something
GAP_MM = 0.45  # kept free round every label
RINGS_MM = (1.1, 2.0, 3.2, 4.8, 7.0, 10.0, 14.0, 19.0, 25.0, 32.0)
DIRECTIONS = 12
WIDE_RINGS_MM = (*RINGS_MM, 40.0, 50.0, 60.0)
WIDE_DIRECTIONS = 30
LEADER_FROM_MM = 2.6  # a label further off than this is joined to its place by a thin line
LOOK_FIRST = 160  # candidates nearest to the place; the others only where these do not give enough
ENOUGH = 24
KEPT = 70  # the cheapest candidates of a label, as far as fixed things go
ALL = 10_000  # the cheapest candidates of a label, as far as fixed things go
ROUNDS = 12
TRIES = 4  # with shorter words, more places or fewer labels each time


@dataclass(frozen=True, slots=True)
class Label:
    """Words that belong to a place: `anchors` are places where they may point, in mm of paper."""

    words: str
    anchors: tuple[PaperPoint, ...]
    size_mm: float = 2.5
    is_bold: bool = False
    colour: str = "#000"
    owner: str = ""
    """Name of the thing it belongs to; a label may lie on its own thing."""
    may_lie_on: bool = False
    """Whether the middle of an anchor is a good place."""
    is_needed: bool = True
    """Whether it is drawn even where it has no free place; others are left out there."""
    reach_mm: float = RINGS_MM[-1]
    """No further off than this."""
    short: str = ""
    """What to write where there is no room for the words; empty where nothing shorter will do."""

    @property
    def width_mm(self) -> float:
        """Return the room that its words need."""
        return room_mm(self.words, self.size_mm, is_bold=self.is_bold)

    @property
    def height_mm(self) -> float:
        """Return the height that its words need."""
        return HEIGHT * self.size_mm


@dataclass(frozen=True, slots=True)
class Placed:
    """A label in its place, with the end of its leader where it has one."""

    label: Label
    box: Box
    leader: tuple[PaperPoint, PaperPoint] | None

    def draw(self, pen: Pen) -> None:
        """Write it, with its leader."""
        if self.leader:
            pen.line(self.leader, Ink("#555", 0.13))
        foot = self.box.y + RISE * self.label.size_mm
        pen.text(
            (self.box.x + self.box.width / 2, foot),
            self.label.words,
            size_mm=self.label.size_mm,
            is_bold=self.label.is_bold,
            anchor="middle",
            colour=self.label.colour,
            halo_mm=0.7,
        )


@dataclass(frozen=True, slots=True)
class _Obstacle:
    geometry: BaseGeometry
    cost: float
    owner: str


@dataclass(slots=True)
class LabelBoard:
    """Collects labels and what they must keep off, then places all of them at once."""

    inside: Box
    labels: list[Label] = field(default_factory=list)
    obstacles: list[_Obstacle] = field(default_factory=list)

    def add(self, label: Label) -> None:
        """Ask for a label; one whose place lies outside the board is left out."""
        anchors = tuple(anchor for anchor in label.anchors if self.inside.holds(anchor))
        if label.words and anchors:
            self.labels.append(replace(label, anchors=anchors))

    def keep_off(self, geometry: BaseGeometry, cost: float = TOUCHES, owner: str = "") -> None:
        """Say that labels must not (TOUCHES) or had better not (AWKWARD) lie on this, but for its owner's."""
        self.obstacles.append(_Obstacle(geometry, cost, owner))

    def draw(self, pen: Pen, name: str) -> None:
        """Place all labels and write them, in a group of that name."""
        with pen.group(name):
            for placed in self.place():
                placed.draw(pen)

    def place(self) -> tuple[Placed, ...]:
        """Return every label in its place, in the order they were added, without those that found none."""
        if not self.labels:
            return ()
        fixed = _FixedThings(self.obstacles, self.inside)
        choices = [_Choices.of(label, fixed) for label in self.labels]
        taken = _improve(choices)
        for _ in range(TRIES):
            costs = [choice.cost_now(taken, number) for number, choice in enumerate(choices)]
            relaxed = [_relaxed(choice, cost, fixed) for choice, cost in zip(choices, costs, strict=True)]
            if all(new is old for new, old in zip(relaxed, choices, strict=True)):
                break
            choices = [choice for choice in relaxed if choice is not None]
            taken = _improve(choices)
        return tuple(choice.placed(taken.index[number]) for number, choice in enumerate(choices))


class _FixedThings:
    """Everything that does not move, ready to be asked by many boxes at once."""

    def __init__(self, obstacles: Sequence[_Obstacle], inside: Box) -> None:
        self._shapes = np.array([obstacle.geometry for obstacle in obstacles], dtype=object)
        shapely.prepare(self._shapes)
        self._tree = shapely.STRtree(self._shapes)
        self._costs = np.array([obstacle.cost for obstacle in obstacles], dtype=float)
        self._owners = np.array([obstacle.owner for obstacle in obstacles], dtype=object)
        self._inside = inside

    def costs(self, boxes: Floats, leaders: Floats, owner: str) -> Floats:
        """Return what each box (x0, y0, x1, y1) and its leader (x0, y0, x1, y1) touches, as a cost."""
        area = self._inside
        outside = (
            (boxes[:, 0] < area.x)
            | (boxes[:, 1] < area.y)
            | (boxes[:, 2] > area.right)
            | (boxes[:, 3] > area.bottom)
        )
        cost = np.where(outside, 2 * TOUCHES, 0.0)
        if len(self._costs):
            cost += self._touched(shapely.box(*boxes.T), owner, self._costs)
            is_drawn = (leaders[:, :2] != leaders[:, 2:]).any(axis=1)
            lines = shapely.linestrings(leaders[is_drawn].reshape(-1, 2, 2))
            cost[is_drawn] += self._touched(lines, owner, np.minimum(self._costs, CROSSES))
        return cost

    def _touched(self, shapes: NDArray[np.object_], owner: str, costs: Floats) -> Floats:
        shape_index, obstacle_index = self._tree.query(shapes)  # by their boxes alone
        touches = shapely.intersects(self._shapes[obstacle_index], shapes[shape_index])
        shape_index, obstacle_index = shape_index[touches], obstacle_index[touches]
        weights = costs[obstacle_index]
        if owner:
            weights = np.where(self._owners[obstacle_index] == owner, 0.0, weights)
        touched: Floats = np.bincount(shape_index, weights=weights, minlength=len(shapes)).astype(float)
        return touched


@dataclass(slots=True)
class _Taken:
    """The place that every label has now: boxes with their gap, leaders, both, and which candidate."""

    boxes: Floats
    leaders: Floats
    spans: Floats
    index: list[int]


@dataclass(slots=True)
class _Choices:
    """The candidate places of one label."""

    label: Label
    boxes: Floats
    leaders: Floats
    cost: Floats
    is_wide: bool
    """Whether every place there is is among them, not only the cheapest."""
    grown: Floats = field(init=False)
    """The boxes with their gap."""
    spans: Floats = field(init=False)

    def __post_init__(self) -> None:
        self.grown = _grown(self.boxes, GAP_MM / 2)
        self.spans = _spans(self.boxes, self.leaders)

    @classmethod
    def of(cls, label: Label, fixed: _FixedThings, *, is_wide: bool = False) -> _Choices:
        boxes, leaders, cost = _candidates(label, is_wide=is_wide)
        nearest_first = np.argsort(cost, kind="stable")
        for looked_at in (nearest_first[:LOOK_FIRST], nearest_first):
            touched = fixed.costs(_grown(boxes[looked_at], GAP_MM / 2), leaders[looked_at], label.owner)
            full = cost[looked_at] + touched
            if not is_wide and np.count_nonzero(touched < AWKWARD) >= ENOUGH:
                break
        kept = np.argsort(full, kind="stable")[: None if is_wide else KEPT]
        return cls(label, boxes[looked_at][kept], leaders[looked_at][kept], full[kept], is_wide)

    def best_among(self, taken: _Taken, own: int, *, is_first: bool) -> int:
        """Return the cheapest candidate, given where all others lie.

        The others only ever add to a candidate's cost, so that one which is dearer by itself than the place
        it has now need not be looked at.
        """
        now = np.inf if is_first else self.cost_now(taken, own)
        hopeful = np.flatnonzero(self.cost < now)
        if not len(hopeful):
            return taken.index[own]
        costs = self.cost_among(taken, own, hopeful)
        best = int(np.argmin(costs))
        return int(hopeful[best]) if costs[best] < now else taken.index[own]

    def cost_among(self, taken: _Taken, own: int, chosen: NDArray[np.intp]) -> Floats:
        """Return the cost of some candidates, given where all others lie."""
        near = self._near(taken, own, chosen)
        boxes, leaders = taken.boxes[near], taken.leaders[near]
        mine = self.grown[chosen]
        if not near.any():
            return self.cost[chosen]
        cost = self.cost[chosen] + TOUCHES * _overlaps(mine, boxes).sum(axis=1)
        cost += AWKWARD * _crossings(self.leaders[chosen], boxes).sum(axis=1)
        crossed: Floats = cost + AWKWARD * _crossings(leaders, mine).sum(axis=0)
        return crossed

    def cost_now(self, taken: _Taken, own: int) -> float:
        """Return the cost of the place that it has."""
        return float(self.cost_among(taken, own, np.array([taken.index[own]]))[0])

    def _near(self, taken: _Taken, own: int, chosen: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Tell which other labels, leaders included, some candidates can touch at all."""
        mine, spans = self.spans[chosen], taken.spans
        (low_x, low_y), (high_x, high_y) = mine[:, :2].min(axis=0) - GAP_MM, mine[:, 2:].max(axis=0) + GAP_MM
        near: NDArray[np.bool_] = (spans[:, 0] < high_x) & (spans[:, 1] < high_y)
        near &= (spans[:, 2] > low_x) & (spans[:, 3] > low_y)
        near[own] = False
        return near

    def placed(self, number: int) -> Placed:
        x0, y0, x1, y1 = (float(value) for value in self.boxes[number])
        a, b, c, d = (float(value) for value in self.leaders[number])
        leader = ((a, b), (c, d)) if (a, b) != (c, d) else None
        return Placed(self.label, Box(x0, y0, x1 - x0, y1 - y0), leader)


def _relaxed(choice: _Choices, cost: float, fixed: _FixedThings) -> _Choices | None:
    """Return what to try next for a label with a bad place: short words, all places there are, or nothing."""
    label = choice.label
    if cost < AWKWARD:
        return choice
    if label.short:
        return _Choices.of(replace(label, words=label.short, short=""), fixed)
    if not label.is_needed:
        return None
    if cost >= TOUCHES and not choice.is_wide:
        return _Choices.of(label, fixed, is_wide=True)
    return choice


def _improve(choices: Sequence[_Choices]) -> _Taken:
    far = np.full((len(choices), 4), -1e6)  # where labels lie that have no place yet
    taken = _Taken(far.copy(), far.copy(), far.copy(), [0] * len(choices))
    near = _neighbours(choices)
    is_due = np.ones(len(choices), dtype=bool)  # something near has moved since it was looked at
    for round_number in range(ROUNDS):
        moved = False
        for number, choice in enumerate(choices):
            if not is_due[number]:
                continue
            is_due[number] = False
            best = choice.best_among(taken, number, is_first=round_number == 0)
            if best == taken.index[number] and round_number > 0:
                continue
            moved = True
            is_due |= near[number]
            taken.index[number] = best
            taken.boxes[number] = choice.grown[best]
            taken.leaders[number] = choice.leaders[best]
            taken.spans[number] = _spans(choice.grown[best : best + 1], choice.leaders[best : best + 1])[0]
        if not moved:
            break
    return taken


def _neighbours(choices: Sequence[_Choices]) -> NDArray[np.bool_]:
    """Tell which labels can touch which others at all, wherever both go; none itself."""
    if not choices:
        return np.zeros((0, 0), dtype=bool)
    low = np.array([choice.spans[:, :2].min(axis=0) for choice in choices]) - GAP_MM
    high = np.array([choice.spans[:, 2:].max(axis=0) for choice in choices]) + GAP_MM
    near = np.asarray((low[:, None] <= high[None]).all(axis=2))
    near &= near.T
    np.fill_diagonal(near, val=False)
    return near


def _candidates(label: Label, *, is_wide: bool) -> tuple[Floats, Floats, Floats]:
    """Return boxes, leaders and the cost of the distance, for every anchor, ring and direction."""
    near = [ring for ring in RINGS_MM if ring <= label.reach_mm]
    rings, directions = (WIDE_RINGS_MM, WIDE_DIRECTIONS) if is_wide else (near, DIRECTIONS)
    angles = 2 * np.pi * np.arange(directions) / directions
    ring, angle = (grid.ravel() for grid in np.meshgrid(rings, angles, indexing="ij"))
    half = np.array([label.width_mm, label.height_mm]) / 2
    offset = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    centre = offset * ring[:, None] + _towards(offset) * half
    cost = ring + 0.15 * np.abs(offset[:, 1])  # a little dearer above and below than beside
    if label.may_lie_on:
        centre, cost = np.vstack([[0.0, 0.0], centre]), np.concatenate([[0.0], cost])
    anchors = np.array(label.anchors)
    centres = (anchors[:, None, :] + centre[None, :, :]).reshape(-1, 2)
    boxes = np.hstack([centres - half, centres + half])
    starts = np.repeat(anchors, len(centre), axis=0)
    ends = np.clip(starts, boxes[:, :2], boxes[:, 2:])
    is_drawn = np.hypot(*(ends - starts).T) >= LEADER_FROM_MM
    starts = np.where(is_drawn[:, None], starts, ends)
    later = 0.4 * np.repeat(np.arange(len(anchors)), len(centre))
    return boxes, np.hstack([starts, ends]), np.tile(cost, len(anchors)) + later


def _towards(offset: Floats) -> Floats:
    """Return by how many half-sizes a box moves so that its near side faces the anchor."""
    halves: Floats = np.clip(offset * 1.6, -1.0, 1.0)
    return halves


def _spans(boxes: Floats, leaders: Floats) -> Floats:
    """Return the upright rectangle round each box and its leader."""
    low = np.minimum(np.minimum(boxes[:, :2], leaders[:, :2]), leaders[:, 2:])
    high = np.maximum(np.maximum(boxes[:, 2:], leaders[:, :2]), leaders[:, 2:])
    return np.hstack([low, high])


def _grown(boxes: Floats, by: float) -> Floats:
    grown: Floats = boxes + np.array([-by, -by, by, by])
    return grown


def _overlaps(one: Floats, other: Floats) -> NDArray[np.bool_]:
    a, b = one[:, None, :], other[None, :, :]
    apart = (
        (a[..., 2] <= b[..., 0])
        | (b[..., 2] <= a[..., 0])
        | (a[..., 3] <= b[..., 1])
        | (b[..., 3] <= a[..., 1])
    )
    inside: NDArray[np.bool_] = ~apart
    return inside


def _crossings(leaders: Floats, boxes: Floats) -> NDArray[np.bool_]:
    """Tell which leaders run through which boxes: they are apart if one of three axes parts them."""
    half_x, half_y = ((leaders[:, i + 2] - leaders[:, i]) / 2 * 0.9 for i in (0, 1))  # ends may touch
    middle_x, middle_y = (
        (leaders[:, i, None] + leaders[:, i + 2, None]) / 2 - (boxes[:, i] + boxes[:, i + 2]) / 2
        for i in (0, 1)
    )
    wide, high = ((boxes[:, i + 2] - boxes[:, i]) / 2 for i in (0, 1))
    half_x, half_y = half_x[:, None], half_y[:, None]
    reach_x, reach_y = np.abs(half_x), np.abs(half_y)
    crossed: NDArray[np.bool_] = (
        (np.abs(middle_x) < wide + reach_x)
        & (np.abs(middle_y) < high + reach_y)
        & (np.abs(half_x * middle_y - half_y * middle_x) < wide * reach_y + high * reach_x)
        & (reach_x + reach_y > 0)
    )
    return crossed
