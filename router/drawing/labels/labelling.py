"""Where words go: every label has many candidate places; each is scored, and the choice is then improved.

A place that touches another label, or something that must not be touched, is dearer than any that does not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from shapely.geometry.base import BaseGeometry

from router.drawing.labels.candidates import RINGS_MM, Wanted, places_of
from router.drawing.labels.choosing import Candidates, Choice
from router.drawing.labels.occupied import Obstacle, Occupied
from router.drawing.paper.frame import Box
from router.drawing.paper.letters import CAPITAL_HEIGHT, LINE_HEIGHT, room_mm
from router.drawing.paper.pen import Ink, PaperPoint, Pen

COST_OF_OVERLAP = 10_000.0  # a place that must not be
COST_OF_AWKWARD_PLACE = 60.0  # a place that is only taken where all others are worse
COST_OF_UNTIDY_PLACE = 8.0  # a place that is better left free
COST_OF_CROSSING = 25.0  # a leader across something
PADDING_MM = 0.5  # round the words in a frame
LEAD_MM = 0.9
DIAMOND_MM = (3.0, 2.4)  # wider and higher than its number, so that the number lies inside
FINDING_INK = "#8a0012"
"""Dark enough to differ from light inks when printed in black."""
TRIES = 4  # with shorter words, more places or fewer labels each time


class Sign(StrEnum):
    """The frame round words."""

    PLAIN = "plain"
    FUSE = "fuse"
    FINDING = "finding"


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
    """Whether every place there is is tried before it is left out; others are left out at once."""
    reach_mm: float = RINGS_MM[-1]
    """No further off than this."""
    rank: int = 1
    """Those of rank 0 choose first, and stay near; those of rank 2 choose last."""
    sign: Sign = Sign.PLAIN
    """The frame round the words: a fuse with its rating has a box with leads, a finding a diamond."""
    short: str = ""
    """What to write where there is no room for the words; empty where nothing shorter will do."""

    @property
    def width_mm(self) -> float:
        """Return the room that its words need."""
        room = room_mm(self.words, self.size_mm, is_bold=self.is_bold)
        return room + _ROUND_MM[self.sign][0]

    @property
    def height_mm(self) -> float:
        """Return the height that its words need."""
        return LINE_HEIGHT * self.size_mm + _ROUND_MM[self.sign][1]


_ROUND_MM = {
    Sign.PLAIN: (0.0, 0.0),
    Sign.FUSE: (2 * (PADDING_MM + LEAD_MM), 2 * PADDING_MM),
    Sign.FINDING: DIAMOND_MM,
}
"""How much wider and higher a frame is than its words."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A label in its place, with the end of its leader where it has one."""

    label: Label
    box: Box
    leader: tuple[PaperPoint, PaperPoint] | None

    def draw(self, pen: Pen) -> None:
        """Write it, with its leader."""
        if self.leader:
            pen.line(self.leader, Ink("#333", 0.15))
        sign = self.label.sign
        if sign is Sign.FUSE:
            draw_fuse_frame(pen, self.box)
        elif sign is Sign.FINDING:
            draw_finding_frame(pen, self.box)
        foot = (
            self.box.y
            + (self.box.height - LINE_HEIGHT * self.label.size_mm) / 2
            + CAPITAL_HEIGHT * self.label.size_mm
        )
        pen.text(
            (self.box.x + self.box.width / 2, foot),
            self.label.words,
            size_mm=self.label.size_mm,
            is_bold=self.label.is_bold,
            anchor="middle",
            colour=self.label.colour,
            halo_mm=0.0 if sign is Sign.FINDING else 0.7,
        )


def draw_fuse_frame(pen: Pen, box: Box) -> None:
    """Draw a fuse as circuit diagrams have it: a box with a lead at each end."""
    middle = box.y + box.height / 2
    pen.line([(box.x, middle), (box.right, middle)], Ink("#111", 0.35))
    pen.box(box.x + LEAD_MM, box.y, box.width - 2 * LEAD_MM, box.height, Ink("#111", 0.35, "#fff"))


def draw_finding_frame(pen: Pen, box: Box) -> None:
    """Draw the dark diamond round a finding's number."""
    x, y = box.x + box.width / 2, box.y + box.height / 2
    pen.area([(box.x, y), (x, box.y), (box.right, y), (x, box.bottom)], Ink("#fff", 0.3, FINDING_INK))


@dataclass(slots=True)
class LabelBoard:
    """Collects labels and what they must keep off, then places all of them at once."""

    inside: Box
    labels: list[Label] = field(default_factory=list)
    obstacles: list[Obstacle] = field(default_factory=list)
    placed: tuple[Placed, ...] | None = None
    """What was placed; after that, nothing is added, so that the same can be drawn again elsewhere."""

    def add(self, label: Label) -> None:
        """Ask for a label; one whose place lies outside the board is left out."""
        if self.placed is not None:
            return
        anchors = tuple(anchor for anchor in label.anchors if self.inside.holds(anchor))
        if label.words and anchors:
            self.labels.append(replace(label, anchors=anchors))

    def add_obstacle(self, geometry: BaseGeometry, cost: float = COST_OF_OVERLAP, owner: str = "") -> None:
        """Add an obstacle with its overlap cost. Labels of `owner` ignore it."""
        if self.placed is None:
            self.obstacles.append(Obstacle(geometry, cost, owner))

    def draw(self, pen: Pen, name: str) -> None:
        """Place all labels and write them, in a group of that name."""
        with pen.group(name):
            if self.placed is None:
                self.placed = self.place()
            for placed in self.placed:
                placed.draw(pen)

    def place(self) -> tuple[Placed, ...]:
        """Return every label in its place, by rank, without those that found none."""
        if not self.labels:
            return ()
        fixed = Occupied(self.obstacles, self.inside, COST_OF_CROSSING)
        ordered = sorted(self.labels, key=lambda label: label.rank if label.is_needed else label.rank + 1)
        asked = self._ask([_Asked(label) for label in ordered], fixed)
        before: list[int | None] = [None] * len(asked)
        for attempt in range(TRIES + 1):
            choice = Choice([each.places for each in asked], COST_OF_OVERLAP, COST_OF_AWKWARD_PLACE)
            choice.improve(before)
            before = [choice.taken(number) for number in range(len(asked))]
            relaxed = [each.relaxed(choice.cost_of(number)) for number, each in enumerate(asked)]
            if attempt == TRIES or relaxed == asked:
                return _free_ones(asked, choice)
            kept = [number for number, each in enumerate(relaxed) if each is not None]
            before = [before[number] if relaxed[number] is asked[number] else None for number in kept]
            asked = self._ask([each for each in relaxed if each is not None], fixed)
            if not asked:
                break
        return ()

    def _ask(self, asked: Sequence[_Asked], fixed: Occupied) -> list[_Asked]:
        """Return the same labels, each with its candidate places."""
        due = [number for number, each in enumerate(asked) if each.found is None]
        wanted = [asked[number].wanted() for number in due]
        found = places_of(wanted, fixed, self.inside, 2 * COST_OF_OVERLAP) if due else []
        places = dict(zip(due, found, strict=True))
        return [
            replace(each, found=places[number]) if number in places else each
            for number, each in enumerate(asked)
        ]


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """One label with its candidate places, once they are known."""

    label: Label
    is_wide: bool = False
    """Whether every place there is is among them, not only the cheapest."""
    found: Candidates | None = None

    @property
    def places(self) -> Candidates:
        assert self.found is not None
        return self.found

    def wanted(self) -> Wanted:
        label = self.label
        room = (label.width_mm, label.height_mm)
        return Wanted(
            label.anchors,
            *room,
            label.owner,
            label.reach_mm,
            label.may_lie_on,
            self.is_wide,
            2.0 - min(label.rank, 1),
        )

    def relaxed(self, cost: float) -> _Asked | None:
        """Return what to try next where the place is bad: short words, all places there are, or nothing."""
        if cost < COST_OF_AWKWARD_PLACE:
            return self
        if self.label.short:
            return _Asked(replace(self.label, words=self.label.short, short=""))
        if not self.label.is_needed:
            return None
        if cost >= COST_OF_OVERLAP and not self.is_wide:
            return _Asked(self.label, is_wide=True)
        return self

    def placed(self, number: int) -> Placed:
        x0, y0, x1, y1 = (float(value) for value in self.places.words[number])
        a, b, c, d = (float(value) for value in self.places.leaders[number])
        leader = ((a, b), (c, d)) if (a, b) != (c, d) else None
        return Placed(self.label, Box(x0, y0, x1 - x0, y1 - y0), leader)


def _free_ones(asked: Sequence[_Asked], choice: Choice) -> tuple[Placed, ...]:
    """Return every label in its place but those, the last ones first, that lie on what they must not."""
    left_out = set()
    for number in reversed(range(len(asked))):
        if choice.cost_of(number) >= COST_OF_OVERLAP:
            choice.leave_out(number)
            left_out.add(number)
    return tuple(
        each.placed(choice.taken(number)) for number, each in enumerate(asked) if number not in left_out
    )
