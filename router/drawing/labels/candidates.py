"""Where a label could go: rings of places round each of its anchors, worked out for all labels at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from router.drawing.labels.choosing import Candidates
from router.drawing.labels.occupied import Occupied
from router.drawing.paper.frame import Box
from router.drawing.paper.pen import PaperPoint

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

GAP_MM = 0.45  # kept free round every label
RINGS_MM = (1.1, 2.0, 3.2, 4.8, 7.0, 10.0, 14.0, 19.0, 25.0, 32.0)
DIRECTIONS = 12
WIDE_RINGS_MM = (*RINGS_MM, 40.0, 50.0, 60.0)
WIDE_DIRECTIONS = 30
LEADER_FROM_MM = 2.6  # a label further off than this is joined to its place by a thin line
COST_OF_LATER_ANCHOR = 0.4  # what the second anchor costs more than the first, and so on
CHEAPEST_LOOKED_AT = 80  # the cheapest places of a label, before what its leader crosses is looked at
MOST_CANDIDATES = 48
MOST_WIDE_CANDIDATES = 400  # of a label that found no good place among those


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a label needs: anchors and room in mm of paper, whose things it may lie on, how far it may go."""

    anchors: tuple[PaperPoint, ...]
    width_mm: float
    height_mm: float
    owner: str
    reach_mm: float
    may_lie_on: bool
    is_wide: bool
    """Whether to look at every place there is, further off than its reach too."""
    weight: float = 1.0
    """How much a millimetre of distance counts."""


@dataclass(frozen=True, slots=True)
class _CandidateTable:
    """Places of many labels, one a row: label, box and leader (x0, y0, x1, y1), cost."""

    label: Ints
    boxes: Floats
    leaders: Floats
    cost: Floats

    def rows(self, chosen: NDArray[np.intp]) -> _CandidateTable:
        return _CandidateTable(
            self.label.take(chosen),
            self.boxes.take(chosen, axis=0),
            self.leaders.take(chosen, axis=0),
            self.cost.take(chosen),
        )


def places_of(
    wanted: Sequence[Wanted], fixed: Occupied, inside: Box, outside_cost: float
) -> list[Candidates]:
    """Return the cheapest places of every label, the cheapest first, as far as fixed things go."""
    table = _all_places(wanted)
    table.cost[:] += np.where(_is_outside(table.boxes, inside), outside_cost, 0.0)
    owners = [each.owner for each in wanted]
    is_wide = np.array([each.is_wide for each in wanted])
    table.cost[:] += fixed.costs(table.boxes, table.label, owners)
    table = _cheapest(table, np.where(is_wide, MOST_WIDE_CANDIDATES, CHEAPEST_LOOKED_AT))
    table.cost[:] += fixed.leader_costs(table.leaders, table.label, owners)
    table = _cheapest(table, np.where(is_wide, MOST_WIDE_CANDIDATES, MOST_CANDIDATES))
    cuts = np.searchsorted(table.label, np.arange(len(wanted) + 1))
    parts = [slice(start, end) for start, end in pairwise(cuts)]
    return [
        Candidates(_grown(table.boxes[part]), table.leaders[part], table.cost[part], table.boxes[part])
        for part in parts
    ]


def _all_places(wanted: Sequence[Wanted]) -> _CandidateTable:
    """Return every place of every label, label by label."""
    groups: dict[tuple[float, bool], list[tuple[int, int]]] = {}
    for number, each in enumerate(wanted):
        keys = [(each.reach_mm, each.is_wide), *([(0.0, False)] if each.may_lie_on else [])]
        for key in keys:
            groups.setdefault(key, []).extend((number, anchor) for anchor in range(len(each.anchors)))
    tables = [_rings_round(wanted, key, rows) for key, rows in groups.items()]
    table = _CandidateTable(
        np.concatenate([each.label for each in tables]),
        np.concatenate([each.boxes for each in tables]),
        np.concatenate([each.leaders for each in tables]),
        np.concatenate([each.cost for each in tables]),
    )
    return table.rows(np.argsort(table.label, kind="stable"))


def _rings_round(
    wanted: Sequence[Wanted], key: tuple[float, bool], rows: Sequence[tuple[int, int]]
) -> _CandidateTable:
    """Return the places round some anchors, each given by its label's and its own number."""
    ring, offset, towards, cost = _rings(*key)
    anchors = np.array([wanted[label].anchors[number] for label, number in rows])
    half = np.array([(wanted[label].width_mm, wanted[label].height_mm) for label, _ in rows]) / 2
    centres = anchors[:, None] + (offset * ring[:, None])[None] + towards[None] * half[:, None]
    boxes = np.concatenate([centres - half[:, None], centres + half[:, None]], axis=2).reshape(-1, 4)
    starts = np.repeat(anchors, len(ring), axis=0)
    ends = np.minimum(np.maximum(starts, boxes[:, :2]), boxes[:, 2:])
    is_drawn = np.hypot(*(ends - starts).T) >= LEADER_FROM_MM
    starts = np.where(is_drawn[:, None], starts, ends)
    weights = np.array([wanted[label].weight for label, _ in rows])
    later = np.array([COST_OF_LATER_ANCHOR * number for _, number in rows])
    return _CandidateTable(
        np.repeat(np.array([label for label, _ in rows]), len(ring)),
        boxes,
        np.hstack([starts, ends]),
        (later[:, None] + weights[:, None] * cost[None]).ravel(),
    )


@lru_cache(maxsize=64)
def _rings(reach_mm: float, is_wide: bool) -> tuple[Floats, Floats, Floats, Floats]:
    """Return distances, unit directions, by how many half-sizes a box moves, and what all that costs."""
    near = [ring for ring in RINGS_MM if ring <= reach_mm]
    rings, directions = (WIDE_RINGS_MM, WIDE_DIRECTIONS) if is_wide else (near, DIRECTIONS)
    angles = 2 * np.pi * np.arange(directions) / directions
    ring, angle = (grid.ravel() for grid in np.meshgrid(rings, angles, indexing="ij"))
    if not near:  # on the place itself
        return np.zeros(1), np.zeros((1, 2)), np.zeros((1, 2)), np.zeros(1)
    offset = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    towards = np.clip(offset * 1.6, -1.0, 1.0)  # so that the box's near side faces the anchor
    cost = ring + 0.15 * np.abs(offset[:, 1])  # a little dearer above and below than beside
    return ring, offset, towards, cost


def _cheapest(table: _CandidateTable, most: Ints) -> _CandidateTable:
    """Return the cheapest places of each label, at most as many as `most` says for it, sorted by cost."""
    starts = np.searchsorted(table.label, np.arange(len(most) + 1)).tolist()
    kept = [
        start + np.argsort(table.cost[start:end], kind="stable")[:count]
        for (start, end), count in zip(pairwise(starts), most.tolist(), strict=True)
    ]
    return table.rows(np.concatenate(kept))


def _is_outside(boxes: Floats, inside: Box) -> NDArray[np.bool_]:
    found: NDArray[np.bool_] = (
        (boxes[:, 0] < inside.x)
        | (boxes[:, 1] < inside.y)
        | (boxes[:, 2] > inside.right)
        | (boxes[:, 3] > inside.bottom)
    )
    return found


def _grown(boxes: Floats) -> Floats:
    grown: Floats = boxes + np.array([-GAP_MM, -GAP_MM, GAP_MM, GAP_MM]) / 2
    return grown
