"""A graph whose paths cost no more than any path over the sight graph that meets the same edges.

Its places are the ends of all edges that a path may touch, corners of free space, sites, and stops of rails.
Its legs are those of `bound_layers`; rides, joins, crossings, amounts and links cost what they cost over the
sight graph. Edges are split where that tells more (`narrow`).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any, TypeAlias

import numpy as np

from router.plane import Flags, Ints, from_edges, look_round
from router.search.bound.bound_layers import (
    BoundLayer,
    Legs,
    Pieces,
    legs_of,
    make_bound_layer,
    numbered,
    straight_legs,
)
from router.search.prepared_layer import PreparedLayer
from router.search.sight_graph import Node, SightGraph, fan_node, site_node, stop_node
from router.search.world import Key
from router.stopping import stop_if_asked

NODES_PER_LAYER = 1 << 24
"""Places are numbered by layer from its number times this on; stops of rails come after all layers."""

Step: TypeAlias = tuple[int, int, float, tuple[Key, ...]]
"""From which place to which, at what cost in mm, meeting which keys."""


@dataclass(frozen=True, slots=True)
class Steps:
    """Steps as arrays."""

    origin: Any
    there: Any
    """By step: from which place to which."""
    cost: Any
    """By step. [mm]"""
    keys: Any
    """By step: the number of what it meets."""
    of: list[tuple[Key, ...]]
    """By number: what is met."""

    def rows(self, rows: Flags, origin: Ints, there: Ints) -> Steps:
        """Return some of the steps, between places of other numbers.

        Parameters
        ----------
        rows : (n,) array of bool
            Which.
        origin, there : (n,) array of int
            The new numbers.
        """
        return Steps(origin[rows], there[rows], self.cost[rows], self.keys[rows], self.of)

    def touching(self, rows: Flags) -> Steps:
        """Return these steps, and at both ends of some a step that stays there and meets their first key."""
        number = {keys: i for i, keys in enumerate(self.of)}
        firsts = np.array([number.setdefault(keys[:1], len(number)) for keys in self.of], dtype=np.int64)
        at = np.concatenate([self.origin[rows], self.there[rows]])
        return Steps(
            np.concatenate([self.origin, at]),
            np.concatenate([self.there, at]),
            np.concatenate([self.cost, np.zeros(len(at))]),
            np.concatenate([self.keys, np.tile(firsts[self.keys[rows]], 2)]),
            list(number),
        )


@dataclass(frozen=True, slots=True)
class Ride:
    """A piece of a rail along a piece of an edge: its stops at the edge's ends, what both directions cost."""

    stops: tuple[int, int]
    onward_mm: float
    back_mm: float
    join_mm: float
    key: str


@dataclass(slots=True)
class Relaxed:
    """The graph of a whole sight graph."""

    graph: SightGraph
    bound_layers: list[BoundLayer]
    steps: list[Step]
    """All transitions that are not straight legs: rides, joins, border crossings, links."""
    rides: dict[tuple[int, int, float], list[Ride]]
    """By layer, line and the share that a piece begins at: the rails that may be joined along it."""
    whole: set[tuple[int, int]]
    """By layer and line: what must not be split."""
    stops: int
    """How many stops there are."""
    numbers: dict[Node, int]
    """By place of the sight graph: its number here."""
    legs: list[Legs] = field(default_factory=list)
    _table: Steps | None = None

    def table(self) -> Steps:
        """Return all steps as arrays; steps are only ever added."""
        if self._table is None or len(self._table.cost) < len(self.steps):
            number: dict[tuple[Key, ...], int] = {}
            keys = np.array([number.setdefault(step[3], len(number)) for step in self.steps], dtype=np.int64)
            ends = np.array([step[:2] for step in self.steps], dtype=np.int64).reshape(-1, 2)
            cost = np.array([step[2] for step in self.steps], dtype=float)
            self._table = Steps(ends[:, 0], ends[:, 1], cost, keys, list(number))
        return self._table

    def copy(self) -> Relaxed:
        """Return a graph that may be narrowed without changing this one."""
        bound_layers, steps, rides = list(self.bound_layers), list(self.steps), dict(self.rides)
        return replace(self, bound_layers=bound_layers, steps=steps, rides=rides, legs=list(self.legs))

    def new_stop(self) -> int:
        """Return the number of one more stop."""
        self.stops += 1
        return len(self.bound_layers) * NODES_PER_LAYER + self.stops - 1


def relax(graph: SightGraph) -> Relaxed:
    """Return the graph of a sight graph with every edge whole."""
    bound_layers = [make_bound_layer(graph, layer) for layer in range(len(graph.prepared))]
    numbers: dict[Node, int] = {}
    for layer, own in enumerate(graph.prepared):
        for rail, row in enumerate(own.stops):
            for stop in range(len(row)):
                numbers[stop_node(layer, rail, stop)] = len(bound_layers) * NODES_PER_LAYER + len(numbers)
    relaxed = Relaxed(graph, bound_layers, [], {}, set(), len(numbers), numbers)
    for site in range(len(graph.sites)):
        numbers[site_node(site)] = site_number(graph, site)
    for layer, bound_layer in enumerate(bound_layers):
        fans = bound_layer.kept[bound_layer.kept < len(graph.prepared[layer].bends)].tolist()
        numbers.update({fan_node(layer, fan): layer * NODES_PER_LAYER + fan for fan in fans})
    for node, number in numbers.items():
        for origin, cost_mm, _, _, keys in graph.steps_into(node):
            if origin in numbers:
                relaxed.steps.append((numbers[origin], number, cost_mm, keys))
                if node.kind == origin.kind == "stop":
                    relaxed.steps += _looks_in(graph.prepared[node.layer], numbers[origin], keys)
    for layer in range(len(bound_layers)):
        _lay_rides(relaxed, layer, numbers)
    relaxed.legs = [legs_of(bound_layer) for bound_layer in bound_layers]
    return relaxed


def _looks_in(own: PreparedLayer, stop: int, keys: tuple[Key, ...]) -> list[Step]:
    """Return a self-loop that charges the amounts of the zones this rail piece enters.

    So touching them satisfies `via`.
    """
    entered = [zone for zone in own.layer.zones if zone.key in keys[1:]]
    amount_mm = sum(zone.amount_mm for zone in entered)
    return [(stop, stop, amount_mm, (keys[0], *(zone.key for zone in entered)))] if entered else []


def site_number(graph: SightGraph, site: int) -> int:
    """Return the number of a site's place."""
    layer = graph.sites[site][0]
    return layer * NODES_PER_LAYER + len(graph.prepared[layer].bends) + graph.local_sites(layer)[site]


def _lay_rides(relaxed: Relaxed, layer: int, numbers: dict[Node, int]) -> None:
    """Find the lines that rails may be joined along."""
    own, lines = relaxed.graph.prepared[layer], relaxed.bound_layers[layer].lines
    vertex = np.asarray(own.mesh.corner_vertex, dtype=np.int64)[np.asarray(own.mesh.fans, dtype=np.int64)]
    between: dict[tuple[int, int], list[int]] = {}
    for line, (a, b) in enumerate(vertex[lines.ends].tolist()):
        between.setdefault((a, b), []).append(line)
    for rail, row in enumerate(own.stops):
        held = [number for number, stop in enumerate(row) if stop.fans]
        for i, j in pairwise(held):
            a, b = (int(vertex[row[k].fans[0]]) for k in (i, j))
            stops = [numbers[stop_node(layer, rail, k)] for k in range(i, j + 1)]
            for line in (*between.get((a, b), ()), *between.get((b, a), ())):
                if j > i + 1:
                    least_mm = min(min(stop.join_mm, stop.join_onward_mm) for stop in row[i:j])
                    _bind(relaxed, layer, line, stops[1:-1], least_mm)
                else:
                    is_along = line in between.get((a, b), ())
                    ride = _ride(own, rail, i, (stops[0], stops[1]), is_along)
                    relaxed.rides.setdefault((layer, line, 0.0), []).append(ride)


def _bind(relaxed: Relaxed, layer: int, line: int, stops: list[int], join_mm: float) -> None:
    """Let stops that lie amid a line be joined from both of its ends, which is cheaper than it can be."""
    relaxed.whole.add((layer, line))
    for stop in stops:
        for fan in relaxed.bound_layers[layer].lines.ends[line].tolist():
            relaxed.steps.append((stop, layer * NODES_PER_LAYER + fan, join_mm, ()))
            relaxed.steps.append((layer * NODES_PER_LAYER + fan, stop, join_mm, ()))


def _ride(own: PreparedLayer, rail: int, stop: int, numbers: tuple[int, int], is_along: bool) -> Ride:
    """Return the ride from a stop to the next; its amounts are left out, for they fall on its ends.

    Between its ends it is joined at what joining costs there, and nowhere for less.
    """
    here, there = own.stops[rail][stop], own.stops[rail][stop + 1]
    amounts = {zone.key: zone.amount_mm for zone in own.layer.zones} | {
        g.key: g.amount_mm for g in own.layer.gates
    }
    onward = here.forward_mm - sum(amounts.get(key, 0.0) for key in here.forward_keys)
    back = there.backward_mm - sum(amounts.get(key, 0.0) for key in there.backward_keys)
    key = own.layer.rails[rail].key
    join_mm = min(here.join_onward_mm, max(here.join_mm, there.join_mm))
    if is_along:
        return Ride(numbers, onward, back, join_mm, key)
    return Ride(numbers[::-1], back, onward, join_mm, key)


def narrow(relaxed: Relaxed, layer: int, is_alive: Flags, parts: Ints) -> None:
    """Keep only some places and pieces of a layer, and split pieces; what is dropped is dead.

    Parameters
    ----------
    relaxed : Relaxed
        Changed in place; its bound layer are replaced, not changed.
    layer : int
    is_alive : array of bool
        By place.
    parts : array of int
        By piece: into how many it is split, both sides of a line alike; 0 where it is dead. Powers of two
        only, so that shares are the same counted from either end.
    """
    stop_if_asked()
    bound_layer = relaxed.bound_layers[layer]
    count = len(bound_layer.at)
    rows, new = _split(relaxed, layer, parts)
    table = np.array(sorted(rows), dtype=float).reshape(-1, 5)
    numbers = table[:, [0, 3, 4]].astype(np.int64)
    pieces = Pieces(numbers[:, 0], table[:, 1], table[:, 2], numbers[:, 1:])
    kept = np.zeros(count + len(new), dtype=bool)
    kept[bound_layer.kept] = (
        is_alive[bound_layer.kept] & (bound_layer.is_spot | (bound_layer.reflex_rad > 0.0))[bound_layer.kept]
    )
    kept[pieces.ends] = True
    at, sights = bound_layer.at, bound_layer.sights.of(kept[bound_layer.sights.place])
    legs = bound_layer.straight_legs
    if new:
        own = relaxed.graph.prepared[layer]
        line, share = (np.array(column) for column in zip(*new, strict=True))
        views = from_edges(bound_layer.mesh, bound_layer.lines.corner_before[line], share)
        seen = look_round(bound_layer.mesh, own.visibility.shown, bound_layer.lines.number >= 0, views)
        more = numbered(bound_layer.lines, seen.edge_place + count, seen.edge, seen.low, seen.high)
        at, sights = np.concatenate([at, np.column_stack([views.x, views.y])]), sights.and_also(more)
        straight = straight_legs(own, at, seen.fan_place + count, seen.fan)
        here, there, cost = (np.concatenate(pair) for pair in zip(legs, straight, strict=True))
        legs = here, there, cost
    nothing = np.zeros(len(new))
    relaxed.bound_layers[layer] = replace(
        bound_layer,
        at=at,
        is_spot=np.concatenate([bound_layer.is_spot & kept[:count], nothing > 0.0]),
        wall=np.concatenate([bound_layer.wall, nothing]),
        reflex_rad=np.concatenate([bound_layer.reflex_rad, nothing - 1.0]),
        pieces=pieces,
        sights=sights,
        straight_legs=legs,
        kept=np.flatnonzero(kept),
    )
    relaxed.legs[layer] = legs_of(relaxed.bound_layers[layer])


def _split(
    relaxed: Relaxed, layer: int, parts: Ints
) -> tuple[list[tuple[float, ...]], list[tuple[int, float]]]:
    """Return the new pieces, as line, shares and ends, and the new places, as line and share."""
    bound_layer = relaxed.bound_layers[layer]
    twin = twins(bound_layer).tolist()
    pieces, count, lines = bound_layer.pieces, parts.tolist(), bound_layer.lines
    rows: list[tuple[float, ...]] = []
    new: list[tuple[int, float]] = []
    for piece in np.flatnonzero(parts > 0).tolist():
        other = twin[piece] if twin[piece] >= 0 and count[twin[piece]] else -1
        if 0 <= other < piece:
            continue
        line, low, high = int(pieces.line[piece]), float(pieces.low[piece]), float(pieces.high[piece])
        shares = [low, *(low + (high - low) * k / count[piece] for k in range(1, count[piece])), high]
        rides = relaxed.rides.pop((layer, line, low), [])
        chains = [_chain(bound_layer, piece, line, shares, rows, new)]
        if other >= 0:
            far, back = int(pieces.line[other]), [1.0 - share for share in shares[::-1]]
            relaxed.rides.pop((layer, far, back[0]), None)
            chains.append(_chain(bound_layer, other, far, back, rows, new)[::-1])
            _cross(relaxed, layer, (int(lines.corner_before[line]), int(lines.corner_before[far])), chains)
        sides = [line, far] if other >= 0 else [line]
        for ride in rides:
            _ride_along(relaxed, layer, ride, (sides, shares), chains)
    return rows, new


def twins(bound_layer: BoundLayer) -> Any:
    """Return by piece the same piece on the other side of its line, or -1."""
    pieces = bound_layer.pieces
    rows = zip(pieces.line.tolist(), pieces.low.tolist(), strict=True)
    known = {row: number for number, row in enumerate(rows)}
    far = bound_layer.lines.twin[pieces.line].tolist()
    back = (1.0 - pieces.high).tolist()
    return np.array([known.get(row, -1) for row in zip(far, back, strict=True)], dtype=np.int64)


def _chain(
    bound_layer: BoundLayer,
    piece: int,
    line: int,
    shares: list[float],
    rows: list[tuple[float, ...]],
    new: list[tuple[int, float]],
) -> list[int]:
    """Split a piece at shares; return its places in order."""
    first = len(bound_layer.at) + len(new)
    new += [(line, share) for share in shares[1:-1]]
    start, end = bound_layer.pieces.ends[piece].tolist()
    chain = [start, *range(first, first + len(shares) - 2), end]
    rows += [(line, *own, *ends) for own, ends in zip(pairwise(shares), pairwise(chain), strict=True)]
    return chain


def _cross(relaxed: Relaxed, layer: int, corners: tuple[int, int], chains: list[list[int]]) -> None:
    """Let the new places be crossed from side to side."""
    costs = [relaxed.graph.crossing(layer, corner) for corner in corners]
    for pair in list(zip(*chains, strict=True))[1:-1]:
        one, other = (layer * NODES_PER_LAYER + place for place in pair)
        relaxed.steps.append((other, one, *costs[0]))
        relaxed.steps.append((one, other, *costs[1]))


def _ride_along(
    relaxed: Relaxed, layer: int, ride: Ride, cut: tuple[list[int], list[float]], chains: list[list[int]]
) -> None:
    """Add stops of a rail at the new places of the sides of a line along it."""
    sides, shares = cut
    parts = len(shares) - 1
    stops = [ride.stops[0], *(relaxed.new_stop() for _ in range(parts - 1)), ride.stops[1]]
    onward_mm, back_mm = ride.onward_mm / parts, ride.back_mm / parts
    for k, (here, there) in enumerate(pairwise(stops)):
        if parts > 1:
            relaxed.steps.append((here, there, onward_mm, (ride.key,)))
            relaxed.steps.append((there, here, back_mm, (ride.key,)))
        own = Ride((here, there), onward_mm, back_mm, ride.join_mm, ride.key)
        relaxed.rides.setdefault((layer, sides[0], shares[k]), []).append(own)
        for side in sides[1:]:
            turned_own = Ride((there, here), back_mm, onward_mm, ride.join_mm, ride.key)
            relaxed.rides.setdefault((layer, side, 1.0 - shares[k + 1]), []).append(turned_own)
    for chain in chains:
        for stop, place in list(zip(stops, chain, strict=True))[1:-1]:
            relaxed.steps.append((stop, layer * NODES_PER_LAYER + place, ride.join_mm, ()))
            relaxed.steps.append((layer * NODES_PER_LAYER + place, stop, ride.join_mm, ()))
