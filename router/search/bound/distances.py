"""Least efforts through the relaxed graph: lower bounds of what a path between two places costs.

They make a search quick, too: whoever knows what is left at least looks nowhere else.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from router.plane import Floats, Ints, end_to_end
from router.search.bound.relaxed import NODES_PER_LAYER, Relaxed, Steps, relax, site_number
from router.search.path_search import Ask, via_left_before
from router.search.sight_graph import Node, SightGraph
from router.tolerances import EFFORT_ROUNDING

WIDTH_SHARE = 0.5
"""How far beyond the nearest waiting places others are settled with them, as a share of a usual leg."""


@dataclass(frozen=True, slots=True)
class _Ways:
    """Where one gets from each place or state, as arrays: rows of ways, one after the other."""

    first: Any
    """By place: its first way; one more closes the last row."""
    there: Any
    cost: Any

    def of(self, places: Ints) -> tuple[Any, Any]:
        """Return the numbers of all ways from some places, and of each the row of its place among them."""
        first = self.first[places]
        counts = self.first[places + 1] - first
        row = np.repeat(np.arange(len(places)), counts)
        return np.arange(len(row)) + (first - np.cumsum(counts) + counts)[row], row


class Distances:
    """The kept places of a graph numbered anew for one question: layer by layer, then all stops of rails."""

    def __init__(self, relaxed: Relaxed, ask: Ask) -> None:
        self.relaxed, self.ask = relaxed, ask
        sizes = [len(bound_layer.kept) for bound_layer in relaxed.bound_layers]
        self.firsts: list[int] = [0, *np.cumsum(sizes).tolist()]
        self.count = self.firsts[-1] + relaxed.stops
        self._slots = [_slots(bound_layer.kept, len(bound_layer.at)) for bound_layer in relaxed.bound_layers]
        self._legs = _joined(relaxed, self.firsts)
        self._steps = self._kept_steps()

    def number(self, place: int) -> int:
        """Return the new number of a place, -1 where it was dropped."""
        layer, own = divmod(place, NODES_PER_LAYER)
        if layer == len(self._slots):
            return self.firsts[-1] + own
        slot = int(self._slots[layer][own])
        return -1 if slot < 0 else self.firsts[layer] + slot

    def _numbers(self, places: Ints) -> Any:
        """Return the new numbers of places."""
        layer, own = divmod(places, NODES_PER_LAYER)
        numbers = self.firsts[-1] + own
        for each, slots in enumerate(self._slots):
            here = layer == each
            slot = slots[own[here]]
            numbers[here] = np.where(slot < 0, -1, self.firsts[each] + slot)
        return numbers

    def site(self, site: int) -> int:
        """Return the new number of a site."""
        return self.number(site_number(self.relaxed.graph, site))

    def _kept_steps(self) -> Steps:
        """Return all steps between kept places; where a rail is to be met, touching it will do."""
        steps, avoid = self.relaxed.table(), self.ask.avoid
        origin, there = self._numbers(steps.origin), self._numbers(steps.there)
        is_open = np.array([avoid.isdisjoint(keys) for keys in steps.of], dtype=bool)[steps.keys]
        kept = steps.rows((origin >= 0) & (there >= 0) & (steps.cost < math.inf) & is_open, origin, there)
        via, stops = set(self.ask.via), self.firsts[-1]
        is_met = np.array([bool(keys) and keys[0] in via for keys in kept.of], dtype=bool)[kept.keys]
        is_met &= (kept.origin >= stops) & (kept.there >= stops)
        return kept.touching(is_met) if via else kept

    def from_start(self, start: int, most: Floats) -> Any:
        """Return by `via` met and kept place the least effort from one if that is below `most`, else inf."""
        return self._from((start,), self._onward, most[None])[0]

    def from_starts(self, starts: Sequence[int]) -> Any:
        """Return by start and kept place the least effort from one to the other, however much it is."""
        most = np.full((len(starts), len(self.ask.via) + 1, self.count), np.inf)
        return self._from(starts, self._onward, most)[:, -1]

    def to_goals(self, goals: Sequence[int], most: Floats) -> Any:
        """Return by goal, `via` met and kept place the least effort to it, inf where not below `most`."""
        return self._from([len(self.ask.via) * self.count + goal for goal in goals], self._back, most)

    @cached_property
    def _onward(self) -> _Ways:
        """By state (of so many `via` met, each place in turn): where steps lead from it."""
        before, after, cost = self._steps_by_via()
        return _ways(before, after, cost, (len(self.ask.via) + 1) * self.count)

    @cached_property
    def _back(self) -> _Ways:
        """By state: where steps lead to it from."""
        before, after, cost = self._steps_by_via()
        return _ways(after, before, cost, (len(self.ask.via) + 1) * self.count)

    def _steps_by_via(self) -> tuple[Any, Any, Any]:
        """Return the states before and after all steps, for every number of `via` met, and what they cost."""
        via, steps = self.ask.via, self._steps
        met = np.arange(len(via) + 1)
        met_before = np.array(
            [
                [via_left_before(via, left, keys) if keys else left for left in met.tolist()]
                for keys in steps.of
            ],
            dtype=np.int64,
        ).reshape(-1, len(met))
        before = steps.origin[:, None] + met_before[steps.keys] * self.count
        after = steps.there[:, None] + met * self.count
        return before.ravel(), after.ravel(), np.repeat(steps.cost, len(met))

    def _from(self, starts: Sequence[int], steps: _Ways, most: Floats) -> Any:
        """Settle the nearest states of all that are reached, again and again, until none gets nearer.

        Several at once, so that one may be settled again: what comes out is the least all the same. From each
        start the states are others, which share their ways.
        """
        effort, limit, legs = most.reshape(-1).copy(), most.reshape(-1), self._legs
        states = len(effort) // len(starts)
        begun = np.arange(len(starts)) * states + np.array(starts, dtype=np.int64)
        effort[begun] = 0.0
        is_waiting = np.zeros(len(effort), dtype=bool)
        waiting, width_mm = begun, WIDTH_SHARE * self._usual_mm
        while len(waiting):
            reached = effort[waiting]
            now = waiting[reached <= reached.min() + width_mm]
            is_waiting[now] = False
            for ways, rows in ((legs, now % self.count), (steps, now % states)):
                way, row = ways.of(rows)
                there = ways.there[way] + (now - rows)[row]
                there_mm = ways.cost[way] + effort[now][row]
                better = there_mm < effort[there]
                there = there[better]
                np.minimum.at(effort, there, there_mm[better])
                is_waiting[there] = True
            waiting = is_waiting.nonzero()[0]
        effort = np.where(effort < limit, effort, np.inf)
        effort[begun] = 0.0
        return effort.reshape(most.shape)

    @property
    def _usual_mm(self) -> float:
        return float(np.mean(self._legs.cost)) if len(self._legs.cost) else 0.0


def _joined(relaxed: Relaxed, firsts: Sequence[int]) -> _Ways:
    """Return the legs of all layers, places numbered anew; stops have none."""
    begun, firsts_of, there, cost = 0, [], [], []
    for legs, low in zip(relaxed.legs, firsts, strict=False):
        firsts_of.append(legs.first[:-1] + begun)
        there.append(legs.there + low if low else legs.there)
        cost.append(legs.cost)
        begun += len(legs.there)
    firsts_of.append(np.full(relaxed.stops + 1, begun))
    return _Ways(np.concatenate(firsts_of), end_to_end(there), end_to_end(cost))


def _ways(origin: Ints, there: Ints, cost: Floats, count: int) -> _Ways:
    order = np.argsort(origin, kind="stable")
    return _Ways(np.searchsorted(origin[order], np.arange(count + 1)), there[order], cost[order])


def _slots(kept: Ints, count: int) -> Any:
    slots = np.full(count, -1)
    slots[kept] = np.arange(len(kept))
    return slots


class GraphBounds:
    """What paths over a sight graph cost at least from each start that is asked about."""

    def __init__(self, graph: SightGraph) -> None:
        self._graph = graph
        self._relaxed: Relaxed | None = None
        self._distances: Distances | None = None

    def relaxed(self) -> Relaxed:
        """Return the sight graph's graph, every edge whole."""
        if self._relaxed is None:
            self._relaxed = relax(self._graph)
        return self._relaxed

    def lower_bounds_from(self, start: int) -> GraphBound:
        """Return by place what a path to it from a start costs at least, whatever is met or avoided."""
        if self._distances is None:
            self._distances = Distances(self.relaxed(), Ask(start, start))
        distances = self._distances
        effort = distances.from_start(distances.site(start), np.full((1, distances.count), np.inf))
        return GraphBound(self.relaxed(), distances, effort[0].tolist())


class GraphBound(dict[Node, float]):
    """By place of a sight graph: the least effort to it, worked out when first asked for."""

    def __init__(self, relaxed: Relaxed, distances: Distances, efforts: list[float]) -> None:
        super().__init__()
        self._relaxed, self._distances, self._efforts = relaxed, distances, efforts

    def __missing__(self, node: Node) -> float:
        number = self._distances.number(self._relaxed.numbers[node])
        effort_mm = self[node] = self._efforts[number] * (1.0 - EFFORT_ROUNDING) if number >= 0 else 0.0
        return effort_mm
