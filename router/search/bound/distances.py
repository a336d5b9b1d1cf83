"""Least efforts through the relaxed graph: lower bounds of what a path between two places costs.

They make a search quick, too: whoever knows what is left at least looks nowhere else.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any, TypeAlias

import numpy as np

from router.plane import Floats, Ints
from router.search.bound.relaxed import NODES_PER_LAYER, Relaxed, relax, site_number
from router.search.path_search import Ask, via_left_before
from router.search.sight_graph import Node, SightGraph
from router.search.world import Key
from router.tolerances import EFFORT_ROUNDING

_Rows: TypeAlias = dict[int, list[tuple[int, float, tuple[Key, ...]]]]
"""By place: where steps lead to or come from, at what cost in mm, meeting which keys."""


class Distances:
    """The kept places of a graph numbered anew for one question: layer by layer, then all stops of rails."""

    def __init__(self, relaxed: Relaxed, ask: Ask) -> None:
        self.relaxed, self.ask = relaxed, ask
        sizes = [len(bound_layer.kept) for bound_layer in relaxed.bound_layers]
        self.firsts: list[int] = [0, *np.cumsum(sizes).tolist()]
        self.count = self.firsts[-1] + relaxed.stops
        self._layer: list[int] = np.repeat(np.arange(len(sizes) + 1), [*sizes, relaxed.stops]).tolist()
        self._slots = [_slots(bound_layer.kept, len(bound_layer.at)) for bound_layer in relaxed.bound_layers]
        self._into: _Rows = {}
        self._onward: _Rows = {}
        for origin, place, cost_mm, keys in self._steps():
            self._into.setdefault(place, []).append((origin, cost_mm, keys))
            self._onward.setdefault(origin, []).append((place, cost_mm, keys))

    def number(self, place: int) -> int:
        """Return the new number of a place, -1 where it was dropped."""
        layer, own = divmod(place, NODES_PER_LAYER)
        if layer == len(self._slots):
            return self.firsts[-1] + own
        slot = self._slots[layer][own]
        return -1 if slot < 0 else self.firsts[layer] + slot

    def site(self, site: int) -> int:
        """Return the new number of a site."""
        return self.number(site_number(self.relaxed.graph, site))

    def _steps(self) -> Iterator[tuple[int, int, float, tuple[Key, ...]]]:
        """Yield all steps between kept places; where a rail is to be met, touching it will do."""
        via, last = set(self.ask.via), len(self._slots)
        for origin, place, cost_mm, keys in self.relaxed.steps:
            a, b = self.number(origin), self.number(place)
            if a < 0 or b < 0 or cost_mm == math.inf or not self.ask.avoid.isdisjoint(keys):
                continue
            yield a, b, cost_mm, keys
            if keys and keys[0] in via and self._layer[a] == self._layer[b] == last:
                yield a, a, 0.0, keys[:1]
                yield b, b, 0.0, keys[:1]

    def from_start(self, start: int, most: Floats) -> Any:
        """Return by `via` met and kept place the least effort from one if that is below `most`, else inf."""
        return self._from(start, 0, self._onward, most, self._via_met_after)

    def to_goal(self, goal: int, most: Floats) -> Any:
        """Return by `via` met and kept place the least effort to one if that is below `most`, else inf."""
        return self._from(goal, len(self.ask.via), self._into, most, self._via_met_before)

    def _via_met_before(self, via_met: int, keys: tuple[Key, ...]) -> tuple[int, ...]:
        return (via_left_before(self.ask.via, via_met, keys),)

    def _via_met_after(self, via_met: int, keys: tuple[Key, ...]) -> tuple[int, ...]:
        return tuple(
            m for m in range(via_met, len(self.ask.via) + 1) if self._via_met_before(m, keys) == (via_met,)
        )

    def _from(
        self,
        place: int,
        via_met: int,
        steps: _Rows,
        most: Floats,
        via_met_then: Callable[[int, tuple[Key, ...]], tuple[int, ...]],
    ) -> Any:
        """Settle the nearest place of all that are reached, again and again; a place's legs all at once."""
        effort, waiting = most.copy(), np.full(most.shape, np.inf)
        effort[via_met, place] = waiting[via_met, place] = 0.0
        start = via_met, place
        nearest = waiting.reshape(-1)
        while (here_mm := float(nearest[at := int(nearest.argmin())])) < math.inf:
            nearest[at] = math.inf
            via_met, place = divmod(at, self.count)
            layer = self._layer[place]
            if layer < len(self._slots):
                low, high = self.firsts[layer], self.firsts[layer + 1]
                there_mm = self.relaxed.legs[layer].matrix[place - low] + here_mm
                better = (there_mm < effort[via_met, low:high]).nonzero()[0]
                effort[via_met, low:high][better] = waiting[via_met, low:high][better] = there_mm[better]
            for other, cost_mm, keys in steps.get(place, ()):
                there = here_mm + cost_mm
                for m in via_met_then(via_met, keys) if keys else (via_met,):
                    if there < effort[m, other]:
                        effort[m, other] = waiting[m, other] = there
        effort = np.where(effort < most, effort, np.inf)
        effort[start] = 0.0
        return effort


def _slots(kept: Ints, count: int) -> list[int]:
    slots = np.full(count, -1)
    slots[kept] = np.arange(len(kept))
    numbers: list[int] = slots.tolist()
    return numbers


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
