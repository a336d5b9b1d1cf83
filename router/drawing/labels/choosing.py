"""Which place each label gets: the candidates of all labels in one table, and what they cost each other.

First every label, in the order given, takes the cheapest place left; then, again and again, every label
moves where it would be cheaper given where the others lie, until none moves. What a placed label costs the
candidates of others is added to the table when it comes and taken off when it goes, so that looking for the
cheapest place is one minimum.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
CandidateCosts = tuple[Ints, Floats]
"""Numbers of candidates, and what is added to the cost of each."""

MOST_ROUNDS = 12
NO_PLACE = -1
MOST_PAIRS = 1_000_000
"""So many are looked at together when many labels come at once, so that memory stays small."""


@dataclass(frozen=True, slots=True)
class Candidates:
    """The candidate places of one label: boxes with the gap to keep, leaders (x0, y0, x1, y1), own costs."""

    boxes: Floats
    leaders: Floats
    cost: Floats
    words: Floats
    """The same boxes without the gap."""


class Choice:
    """All labels with their candidates and the one that each has taken.

    Parameters
    ----------
    candidates : sequence of Candidates
        One a label.
    touches, crosses : float
        What it costs where two boxes overlap; where a leader runs through a box, or two leaders cross.
    """

    def __init__(self, candidates: Sequence[Candidates], touches: float, crosses: float) -> None:
        self._touches, self._crosses = touches, crosses
        counts = [len(each.cost) for each in candidates]
        self._starts = np.concatenate([[0], np.cumsum(counts)]).astype(int)
        self._label = np.repeat(np.arange(len(candidates)), counts)
        self._boxes = np.vstack([each.boxes for each in candidates])
        self._leaders = np.vstack([each.leaders for each in candidates])
        self._spans = np.ascontiguousarray(_spans(self._boxes, self._leaders).T)
        self._cost = np.concatenate([each.cost for each in candidates])
        self._crowd = np.zeros(len(self._cost))  # whole numbers only, so that what is taken off leaves nought
        self._taken = [NO_PLACE] * len(candidates)
        self._added: list[CandidateCosts] = [(np.zeros(0, dtype=np.int64), np.zeros(0))] * len(candidates)

    def improve(self, before: Sequence[int | None]) -> None:
        """Place all labels, those first that had a place before, and improve until none moves."""
        self._put([(label, number) for label, number in enumerate(before) if number is not None])
        is_due = np.ones(len(before), dtype=bool)
        for _ in range(MOST_ROUNDS):
            for label in np.flatnonzero(is_due).tolist():
                is_due[label] = False
                best, cost = self._cheapest(label)
                if self._taken[label] != NO_PLACE and cost >= self.cost_of(label) - 1e-9:
                    continue
                left, _ = self._added[label]
                self._move(label, best)
                came, _ = self._added[label]
                is_due[self._label[left]] = True
                is_due[self._label[came]] = True
            if not is_due.any():
                break

    def taken(self, label: int) -> int:
        """Return the number of the candidate that a label has."""
        return int(self._taken[label] - self._starts[label])

    def leave_out(self, label: int) -> None:
        """Take a label's place away, so that it blocks no other."""
        spots, costs = self._added[label]
        self._crowd[spots] -= costs
        self._added[label] = (spots[:0], costs[:0])

    def cost_of(self, label: int) -> float:
        """Return the cost of the place that a label has."""
        return float(self._cost[self._taken[label]] + self._crowd[self._taken[label]])

    def _cheapest(self, label: int) -> tuple[int, float]:
        start, end = self._starts[label], self._starts[label + 1]
        costs = self._cost[start:end] + self._crowd[start:end]
        best = int(np.argmin(costs))
        return int(start + best), float(costs[best])

    def _put(self, chosen: Sequence[tuple[int, int]]) -> None:
        """Give several labels that have no place yet one each, many at a time."""
        step = max(1, MOST_PAIRS // max(1, len(self._cost)))
        for first in range(0, len(chosen), step):
            part = chosen[first : first + step]
            places = np.array([self._starts[label] + number for label, number in part])
            pair, spots, costs = self._around(places)
            cuts = np.searchsorted(pair, np.arange(len(part) + 1)).tolist()
            for (label, _), place, (start, end) in zip(part, places.tolist(), pairwise(cuts), strict=True):
                self._taken[label] = place
                self._added[label] = spots[start:end], costs[start:end]
            self._crowd += np.bincount(spots, costs, minlength=len(self._crowd))

    def _move(self, label: int, place: int) -> None:
        spots, costs = self._added[label]
        self._crowd[spots] -= costs
        self._taken[label] = place
        _, spots, costs = self._around(np.array([place]))
        self._added[label] = spots, costs
        self._crowd[spots] += costs

    def _around(self, places: Ints) -> tuple[Ints, Ints, Floats]:
        """Return which candidates of others labels in these places make dearer, and by how much.

        For each such pair the number of the place, in order, the candidate, and what is added to its cost.
        """
        low_x, low_y, high_x, high_y = self._spans
        x0, y0, x1, y1 = self._spans.take(places, axis=1)[:, :, None]
        is_near = (low_x < x1) & (high_x > x0) & (low_y < y1) & (high_y > y0)
        pair, near = np.divmod(is_near.ravel().nonzero()[0], len(self._cost))
        is_other = self._label.take(near) != self._label.take(places).take(pair)
        pair, near = pair[is_other], near[is_other]
        here = places[pair] if len(places) > 1 else places  # one is held against all
        box, leader = np.take(self._boxes, here, axis=0), np.take(self._leaders, here, axis=0)
        boxes, leaders = np.take(self._boxes, near, axis=0), np.take(self._leaders, near, axis=0)
        costs: Floats = self._touches * _overlap(boxes, box).astype(float)
        costs += self._crosses * _enters(leaders, box)
        if (leader[:, :2] != leader[:, 2:]).any():
            costs += self._crosses * _enters(leader, boxes)
            costs += self._crosses * _cross(leader, leaders)
        is_dear = costs > 0
        return pair[is_dear], near[is_dear], costs[is_dear]


def _spans(boxes: Floats, leaders: Floats) -> Floats:
    """Return the upright rectangle round each box and its leader."""
    low = np.minimum(np.minimum(boxes[:, :2], leaders[:, :2]), leaders[:, 2:])
    high = np.maximum(np.maximum(boxes[:, 2:], leaders[:, :2]), leaders[:, 2:])
    return np.hstack([low, high])


def _overlap(ones: Floats, others: Floats) -> NDArray[np.bool_]:
    """Return for each pair whether the boxes overlap."""
    ax, ay, bx, by = ones.T
    x0, y0, x1, y1 = others.T
    found: NDArray[np.bool_] = (ax < x1) & (bx > x0) & (ay < y1) & (by > y0)
    return found


def _enters(leaders: Floats, boxes: Floats) -> NDArray[np.bool_]:
    """Return for each pair whether the leader runs through the box: none of three axes separates them."""
    ax, ay, bx, by = leaders.T
    x0, y0, x1, y1 = boxes.T
    half_x, half_y = (bx - ax) * 0.45, (by - ay) * 0.45  # a little short: ends may touch
    off_x, off_y = (ax + bx - x0 - x1) / 2, (ay + by - y0 - y1) / 2
    wide, high = (x1 - x0) / 2, (y1 - y0) / 2
    reach_x, reach_y = np.abs(half_x), np.abs(half_y)
    found: NDArray[np.bool_] = (
        (np.abs(off_x) < wide + reach_x)
        & (np.abs(off_y) < high + reach_y)
        & (np.abs(half_x * off_y - half_y * off_x) < wide * reach_y + high * reach_x)
        & (reach_x + reach_y > 0)
    )
    return found


def _cross(ones: Floats, others: Floats) -> NDArray[np.bool_]:
    """Return for each pair whether the leaders cross: the ends of each lie on both sides of the other."""
    ax, ay, bx, by = ones.T
    cx, cy, dx, dy = others.T
    one = ((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) * ((bx - ax) * (dy - ay) - (by - ay) * (dx - ax))
    other = ((dx - cx) * (ay - cy) - (dy - cy) * (ax - cx)) * ((dx - cx) * (by - cy) - (dy - cy) * (bx - cx))
    found: NDArray[np.bool_] = (one < 0) & (other < 0)
    return found
