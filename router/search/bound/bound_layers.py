"""One layer of the graph that no path can beat: its places, the pieces of edges between them, who sees what.

A path may cross borders and gates and join rails; an edge stands for each, once for each side that it is
seen from. Looking from its ends, from corners of free space and from sites finds every pair of pieces
between which a leg may run; `leg_costs` says what such a leg costs at least.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from router.plane import (
    Flags,
    Floats,
    Ints,
    Mesh,
    Viewpoints,
    end_to_end,
    from_fans,
    from_points,
    look_from_point,
    look_round,
    side,
    turned,
)
from router.search.bound.leg_costs import pair_costs, spot_costs
from router.search.prepared_layer import PreparedLayer
from router.search.sight_graph import SightGraph
from router.tolerances import ANGLE_TOLERANCE_RAD


@dataclass(frozen=True, slots=True)
class Sights:
    """Which place sees which edge: `place`, `line`, and from which share of it to which, as arrays."""

    place: Any
    line: Any
    low: Any
    high: Any

    def of(self, rows: Ints | Flags) -> Sights:
        """Return some of the sights."""
        return Sights(self.place[rows], self.line[rows], self.low[rows], self.high[rows])

    def and_also(self, others: Sights) -> Sights:
        """Return these sights and others."""
        both = ((self.place, others.place), (self.line, others.line), (self.low, others.low))
        return Sights(*(np.concatenate(pair) for pair in (*both, (self.high, others.high))))


@dataclass(frozen=True, slots=True)
class Lines:
    """The whole edges of a layer that a path may touch: opaque ones once for each side."""

    number: Any
    """By corner of the mesh: the number of its edge here, or -1."""
    is_reversed: Any
    """By corner: whether shares of its edge are counted the other way round."""
    corner_before: Any
    """For each edge, the mesh corner opposite to it; fractions start at the corner after that one."""
    ends: Any
    """(n, 2) fans."""
    twin: Any
    """By edge: its other side, or -1 where it has but one."""
    factor: Any


@dataclass(frozen=True, slots=True)
class Pieces:
    """Pieces of edges, in order: which line, from which share to which, between which two places."""

    line: Any
    low: Any
    high: Any
    ends: Any


@dataclass(slots=True)
class BoundLayer:
    """One layer: its places, the pieces between them, and who sees what. Places keep their numbers."""

    mesh: Mesh
    lines: Lines
    at: Any
    """(n, 2) by place: fans first, then sites, then what edges were split at. [mm]"""
    is_spot: Any
    """For each vertex, whether legs may start there although it is on no edge piece: corners and sites."""
    wall: Any
    """By place: the direction of its right wall. [rad]"""
    reflex_rad: Any
    """By place: by how much it is open beyond half a turn, negative where a straight line never grazes it."""
    pieces: Pieces
    sights: Sights
    straight_legs: tuple[Any, Any, Any]
    """From which place to which in its sight, at what cost in mm: between spots, and along edges."""
    kept: Any
    """The places that matter, in order; at first all."""


_ROWS = 1 << 16
"""How many legs are measured at once."""


@dataclass(frozen=True, slots=True)
class Legs:
    """The legs of a bound layer between its kept places, numbered by their order there."""

    first: Any
    """By kept place: which of `there` is the first that a leg leads to from it; one more closes the last."""
    there: Any
    """By leg: the kept place that it leads to."""
    cost: Any
    """By leg. [mm of effort]"""
    pairs: LegsOfPairs
    """Those between two pieces."""
    spots: LegsOfPairs
    """Those between a spot and a piece, which is both of the pair."""


@dataclass(frozen=True, slots=True)
class LegsOfPairs:
    """Legs by pair of pieces, as arrays."""

    one: Any
    """By pair: the number of its first piece."""
    other: Any
    ends: Any
    """(n, k, 2): by pair and leg, the kept places that it runs between."""
    cost: Any
    """(n, k) [mm of effort]"""
    shortfall: Any
    """By pair: by how much its costs fall short of the distances at most. [mm of effort]"""


def make_bound_layer(graph: SightGraph, layer: int) -> BoundLayer:
    """Return the bound layer of a layer with every edge whole."""
    own = graph.prepared[layer]
    mesh, lines = own.mesh, _lines_of(own)
    fans = len(own.bends)
    sites = sorted(graph.local_sites(layer).items(), key=lambda pair: pair[1])
    points = [graph.sites[site][1] for site, _ in sites]
    triangles = [own.visibility.triangles_of[local] for _, local in sites]
    views = _joined(from_fans(mesh), from_points(mesh, points, triangles))
    seen = look_round(mesh, own.visibility.shown, lines.number >= 0, views)
    on_lines = np.zeros(fans, dtype=bool)
    on_lines[lines.ends.reshape(-1)] = True
    is_bend = np.array([bend is not None for bend in own.bends], dtype=bool)
    is_spot = is_bend | (np.asarray(own.visibility.wanted, dtype=bool) & ~on_lines)
    is_spot = np.concatenate([is_spot, np.ones(len(sites), dtype=bool)])
    wall, reflex_rad = _openings(mesh)
    grazed = np.concatenate([reflex_rad, np.full(len(sites), -1.0)])
    sights = numbered(lines, seen.edge_place, seen.edge, seen.low, seen.high)
    useful = is_spot | np.concatenate([on_lines, np.zeros(len(sites), dtype=bool)]) | (grazed > 0.0)
    at = np.column_stack([views.x, views.y])
    count = len(lines.corner_before)
    pieces = Pieces(np.arange(count), np.zeros(count), np.ones(count), lines.ends)
    legs = _straight_legs(graph, layer, at, (seen.fan_place, seen.fan))
    sights = sights.and_also(_sites_on_lines(own, lines, fans))
    return BoundLayer(
        mesh, lines, at, is_spot, np.concatenate([wall, np.zeros(len(sites))]), grazed, pieces,
        sights.of(useful[sights.place]), legs, np.flatnonzero(useful),
    )  # fmt: skip


def _lines_of(own: PreparedLayer) -> Lines:
    mesh = own.mesh
    across, opaque = np.asarray(mesh.across, dtype=np.int64), np.asarray(mesh.opaque, dtype=bool)
    corners = np.arange(len(across))
    is_line = (across >= 0) & (opaque | np.asarray(mesh.marked, dtype=bool))
    is_own = is_line & (opaque | (corners < across))
    corner = np.flatnonzero(is_own)
    number = np.full(len(across), -1)
    number[corner] = np.arange(len(corner))
    is_reversed = is_line & ~is_own
    number[is_reversed] = number[across[is_reversed]]
    fan_of = np.asarray(mesh.fan_of, dtype=np.int64)
    ends = np.column_stack([fan_of[turned(corner, 1)], fan_of[turned(corner, 2)]]).reshape(-1, 2)
    twin = np.where(opaque[corner], number[across[corner]], -1)
    factor = (
        np.asarray(own.factor)[np.asarray(mesh.region, dtype=np.int64)[corner // 3]]
        if len(corner)
        else np.zeros(0)
    )
    return Lines(number, is_reversed, corner, ends, twin, factor)


def _joined(one: Viewpoints, other: Viewpoints) -> Viewpoints:
    return Viewpoints(
        np.concatenate([one.x, other.x]),
        np.concatenate([one.y, other.y]),
        np.concatenate([one.place, other.place + len(one.x)]),
        np.concatenate([one.corner, other.corner]),
    )


def _openings(mesh: Mesh) -> tuple[Any, Any]:
    """Return by fan the direction of its right wall, and how much more than half a turn it is open by."""
    first, last = np.asarray(mesh.fans, dtype=np.int64), np.asarray(mesh.fan_left, dtype=np.int64)
    x, y = np.asarray(mesh.corner_x), np.asarray(mesh.corner_y)
    right, left = turned(first, 1), turned(last, 2)
    to_right = np.arctan2(y[right] - y[first], x[right] - x[first])
    to_left = np.arctan2(y[left] - y[last], x[left] - x[last])
    reflex_rad = (to_left - to_right) % math.tau - math.pi
    return to_right, np.where(np.asarray(mesh.fan_round, dtype=bool), -1.0, reflex_rad)


def numbered(lines: Lines, place: Ints, corner: Ints, low: Floats, high: Floats) -> Sights:
    """Return what was seen by numbers of lines.

    Parameters
    ----------
    lines : Lines
    place : (n,) array of int
        Who sees.
    corner : (n,) array of int
        The edge that is seen, by the corner opposite to it.
    low, high : (n,) arrays
        From which share of the edge to which.
    """
    flip = lines.is_reversed[corner]
    return Sights(
        place, lines.number[corner], np.where(flip, 1.0 - high, low), np.where(flip, 1.0 - low, high)
    )


def _sites_on_lines(own: PreparedLayer, lines: Lines, first: int) -> Sights:
    """Return sites amid an edge as if they saw it where they lie: who lies on an edge does not look at it."""
    mesh, rows = own.mesh, []
    for local, (x, y) in enumerate(own.visibility.sites):
        for corner in (3 * triangle + k for triangle in own.visibility.triangles_of[local] for k in range(3)):
            a, b = turned(corner, 1), turned(corner, 2)
            ax, ay, bx, by = mesh.corner_x[a], mesh.corner_y[a], mesh.corner_x[b], mesh.corner_y[b]
            if lines.number[corner] < 0 or side(ax, ay, bx, by, x, y) != 0.0:
                continue
            share = math.dist((ax, ay), (x, y)) / math.dist((ax, ay), (bx, by))
            if 0.0 < share < 1.0:
                rows.append((first + local, corner, share))
    table = np.array(rows, dtype=float).reshape(-1, 3)
    place, at = table[:, 0].astype(np.int64), table[:, 1].astype(np.int64)
    return numbered(lines, place, at, table[:, 2] - ANGLE_TOLERANCE_RAD, table[:, 2] + ANGLE_TOLERANCE_RAD)


def straight_legs(own: PreparedLayer, at: Floats, place: Ints, fan: Ints) -> tuple[Any, Any, Any]:
    """Return the straight legs from places to the fans that they see; a piece only grazed is not seen.

    Parameters
    ----------
    own : PreparedLayer
    at : (m, 2) array
        Where every place lies. [mm]
    place, fan : (n,) arrays of int
        Which place sees which fan.
    """
    region = np.asarray(own.mesh.region, dtype=np.int64)[np.asarray(own.mesh.fans, dtype=np.int64) // 3]
    factor, cost = np.asarray(own.factor)[region], np.empty(len(place))
    for begin in range(0, len(place), _ROWS):  # in pieces, since there may be millions
        rows = slice(begin, begin + _ROWS)
        cost[rows] = np.hypot(*(at[place[rows]] - at[fan[rows]]).T) * factor[fan[rows]]
    return place.astype(np.int32, copy=False), fan.astype(np.int32, copy=False), cost


def _straight_legs(
    graph: SightGraph, layer: int, at: Floats, seen: tuple[Ints, Ints]
) -> tuple[Any, Any, Any]:
    own = graph.prepared[layer]
    fans = len(own.bends)
    place, fan, cost = straight_legs(own, at, *seen)
    extra = []
    for local in range(len(own.visibility.sites)):
        x, y = own.visibility.sites[local]
        for region_at in sorted({own.mesh.region[t] for t in own.visibility.triangles_of[local]}):
            held = [t for t in own.visibility.triangles_of[local] if own.mesh.region[t] == region_at]
            for other, length_mm in look_from_point(own.visibility, x, y, held).sites:
                extra.append((fans + local, fans + other, length_mm * own.factor[region_at]))
    if not extra:
        return place, fan, cost
    a, b, c = (np.array(column) for column in zip(*extra, strict=True))
    return (
        np.concatenate([place, a.astype(np.int32)]),
        np.concatenate([fan, b.astype(np.int32)]),
        np.concatenate([cost, c]),
    )


def legs_of(bound_layer: BoundLayer) -> Legs:
    """Return all legs between kept places of a bound layer, from sights of pieces and spots."""
    pieces, count = bound_layer.pieces, len(bound_layer.kept)
    slot = np.full(len(bound_layer.at), -1)
    slot[bound_layer.kept] = np.arange(count)
    place, piece = _seen_pieces(bound_layer)
    sees = divmod(_each_once(slot[place] * len(pieces.line) + piece), max(1, len(pieces.line)))
    pairs, spots = _legs_of_pairs(bound_layer, sees, slot), _legs_of_spots(bound_layer, sees, slot)
    ends = pieces.ends
    own = (
        np.hypot(*(bound_layer.at[ends[:, 0]] - bound_layer.at[ends[:, 1]]).T)
        * bound_layer.lines.factor[pieces.line]
    )
    keys, costs = _kept_straight_legs(bound_layer, slot)
    keys += [_key(each.ends[..., 0], each.ends[..., 1], count).ravel() for each in (pairs, spots)]
    costs += [each.cost.ravel() for each in (pairs, spots)]
    keys.append(_key(slot[ends[:, 0]], slot[ends[:, 1]], count))
    costs.append(own)
    return Legs(*_by_origin(*_cheapest(keys, costs), count), pairs, spots)


def _kept_straight_legs(bound_layer: BoundLayer, slot: Ints) -> tuple[list[Any], list[Any]]:
    """Return the straight legs between kept places: which two each joins, and its cost."""
    here, there, cost = bound_layer.straight_legs
    short = slot.astype(np.int32)
    here, there = short[here], short[there]
    kept = (here >= 0) & (there >= 0)
    if not kept.all():
        here, there, cost = here[kept], there[kept], cost[kept]
    return [_key(here, there, len(bound_layer.kept))], [cost]


def _key(one: Ints, other: Ints, count: int) -> Any:
    """Return a number for each pair of places, the same whichever of them is first."""
    key = np.minimum(one, other).astype(np.int64)
    key *= count
    key += np.maximum(one, other)
    return key


def _cheapest(keys: list[Any], costs: list[Any]) -> tuple[Any, Any]:
    """Return each pair of places once, in order, and its least cost; the lists are emptied."""
    key, cost = end_to_end(keys), end_to_end(costs)
    keys.clear()
    costs.clear()
    order = np.argsort(key)
    key = key[order]
    is_first = np.ones(len(key), dtype=bool)
    is_first[1:] = key[1:] != key[:-1]
    firsts = np.flatnonzero(is_first)
    key = key[firsts]  # what is not needed goes at once: there may be millions of legs
    return key, np.minimum.reduceat(cost[order], firsts) if len(firsts) else cost


def _by_origin(key: Ints, cost: Floats, count: int) -> tuple[Any, Any, Any]:
    """Return legs that may be gone both ways by where they begin, and there by where they lead to.

    At each place those come first that lead to a place before it, which are gone back; so no leg needs to be
    sorted but these.
    """
    low, high = (each.astype(np.int32) for each in divmod(key, max(1, count)))
    back = np.flatnonzero(low != high)
    back = back[np.argsort(high[back] * np.int64(count) + low[back])]
    onward, backward = np.bincount(low, minlength=count), np.bincount(high[back], minlength=count)
    first = np.concatenate([[0], np.cumsum(onward + backward)])
    there, there_cost = np.empty(first[-1], dtype=np.int32), np.empty(first[-1])
    place = np.arange(len(back)) + (first[:-1] - np.cumsum(backward) + backward)[high[back]]
    there[place], there_cost[place] = low[back], cost[back]
    place = np.arange(len(low)) + (first[1:] - np.cumsum(onward))[low]
    there[place], there_cost[place] = high, cost
    return first, there, there_cost


def _each_once(numbers: Ints) -> Any:
    """Return numbers in order, each once."""
    numbers = np.sort(numbers)
    return numbers[np.diff(numbers, prepend=-1) > 0]


def _legs_of_pairs(bound_layer: BoundLayer, sees: tuple[Ints, Ints], slot: Ints) -> LegsOfPairs:
    at, ends, factor = (
        bound_layer.at,
        bound_layer.pieces.ends,
        bound_layer.lines.factor[bound_layer.pieces.line],
    )
    one, other = _pairs(bound_layer, sees, slot)
    a, b, rate = ends[one], ends[other], factor[one][:, None]
    cost = pair_costs(at[a[:, 0]], at[a[:, 1]], at[b[:, 0]], at[b[:, 1]]) * rate
    runs = np.stack([a[:, [0, 1, 1, 0]], b[:, [0, 0, 1, 1]]], axis=2)
    length = np.hypot(*(at[runs[..., 0]] - at[runs[..., 1]]).transpose(2, 0, 1)) * rate
    return LegsOfPairs(one, other, slot[runs].astype(np.int32), cost, (length - cost).max(1, initial=0.0))


def _legs_of_spots(bound_layer: BoundLayer, sees: tuple[Ints, Ints], slot: Ints) -> LegsOfPairs:
    at, kept, factor = (
        bound_layer.at,
        bound_layer.kept,
        bound_layer.lines.factor[bound_layer.pieces.line],
    )
    is_spot = bound_layer.is_spot[kept][sees[0]]
    spot, piece = sees[0][is_spot], sees[1][is_spot]
    far, rate = bound_layer.pieces.ends[piece], factor[piece][:, None]
    here = at[kept[spot]]
    cost = spot_costs(here, at[far[:, 0]], at[far[:, 1]]) * rate
    length = np.hypot(*(here[:, None] - at[far]).transpose(2, 0, 1)) * rate
    runs = np.stack([np.repeat(spot[:, None], 2, axis=1), slot[far]], axis=2)
    return LegsOfPairs(piece, piece, runs.astype(np.int32), cost, (length - cost).max(1, initial=0.0))


def _seen_pieces(bound_layer: BoundLayer) -> tuple[Any, Any]:
    """Return which place sees which piece."""
    pieces, sights = bound_layer.pieces, bound_layer.sights
    first = np.searchsorted(2 * pieces.line + pieces.high, 2 * sights.line + sights.low - ANGLE_TOLERANCE_RAD)
    last = np.searchsorted(
        2 * pieces.line + pieces.low, 2 * sights.line + sights.high + ANGLE_TOLERANCE_RAD, side="right"
    )
    counts = np.maximum(last - first, 0)
    row = np.repeat(np.arange(len(first)), counts)
    within = np.arange(len(row)) - np.repeat(np.cumsum(counts) - counts, counts)
    return sights.place[row], first[row] + within


def _pairs(bound_layer: BoundLayer, sees: tuple[Ints, Ints], slot: Ints) -> tuple[Any, Any]:
    """Return which two pieces may see each other.

    Slide a leg between two pieces until something stops it: an end of one, which then sees the other; or a
    place that it grazes, which then sees both in opposite directions.
    """
    count = len(bound_layer.pieces.line)
    pairs = (_from_ends(bound_layer, sees, slot), *_side_by_side(bound_layer), *_opposite(bound_layer, sees))
    one, other = (np.concatenate(column) for column in zip(*pairs, strict=True))
    apart = one != other
    one, other = one[apart], other[apart]
    both = _each_once(np.minimum(one, other) * count + np.maximum(one, other))
    return both // max(1, count), both % max(1, count)


def _from_ends(bound_layer: BoundLayer, sees: tuple[Ints, Ints], slot: Ints) -> tuple[Any, Any]:
    """Return the pairs of pieces of which an end of the first sees the second."""
    ends = slot[bound_layer.pieces.ends].reshape(-1)
    first = np.searchsorted(sees[0], np.arange(len(bound_layer.kept) + 1))
    counts = (first[1:] - first[:-1])[ends]
    row = np.repeat(np.arange(len(ends)), counts)
    within = np.arange(len(row)) - np.repeat(np.cumsum(counts) - counts, counts)
    return row // 2, sees[1][first[ends[row]] + within]


def _side_by_side(bound_layer: BoundLayer) -> Iterator[tuple[Any, Any]]:
    """Yield the pairs of pieces that meet in a place, less than half a turn apart within it."""
    ends = bound_layer.pieces.ends.reshape(-1)
    order = np.argsort(ends, kind="stable")
    place, piece = ends[order], order // 2
    vector = bound_layer.at[bound_layer.pieces.ends[piece, 1 - order % 2]] - bound_layer.at[place]
    turn = (np.arctan2(vector[:, 1], vector[:, 0]) - bound_layer.wall[place] + ANGLE_TOLERANCE_RAD) % math.tau
    is_round = np.zeros(len(bound_layer.at), dtype=bool)
    is_round[: len(bound_layer.mesh.fan_round)] = bound_layer.mesh.fan_round
    for step in range(1, len(order)):
        first = np.flatnonzero(place[step:] == place[:-step])
        if not len(first):
            return
        apart = np.abs(turn[first] - turn[first + step])
        apart = np.where(is_round[place[first]], np.minimum(apart, math.tau - apart), apart)
        first = first[apart < math.pi - ANGLE_TOLERANCE_RAD]
        yield piece[first], piece[first + step]


def _opposite(bound_layer: BoundLayer, sees: tuple[Ints, Ints]) -> list[tuple[Any, Any]]:
    """Return the pairs of pieces that one straight line through a place may meet on its two sides.

    Only a place that is open by more than half a turn lets a line through: its directions whose opposites lie
    within it too form two wedges, one at each wall.
    """
    reflex_rad, wall = bound_layer.reflex_rad[bound_layer.kept], bound_layer.wall[bound_layer.kept]
    is_grazed = (reflex_rad > 0.0)[sees[0]]
    grazed, piece = sees[0][is_grazed], sees[1][is_grazed]
    if len(grazed) == 0:
        return []
    ends = bound_layer.at[bound_layer.pieces.ends[piece]] - bound_layer.at[bound_layer.kept[grazed]][:, None]
    turn = (np.arctan2(ends[..., 1], ends[..., 0]) - wall[grazed][:, None] + ANGLE_TOLERANCE_RAD) % math.tau
    low, high = turn.min(1), turn.max(1)
    over = np.flatnonzero(high - low > math.pi)  # reaches over the right wall's direction: comes twice
    piece, grazed = np.concatenate([piece, piece[over]]), np.concatenate([grazed, grazed[over]])
    low, high = np.concatenate([low, high[over]]), np.concatenate([high, np.full(len(over), math.tau)])
    high[over] = low[over]
    low[over] = 0.0
    near = np.flatnonzero(low <= reflex_rad[grazed] + ANGLE_TOLERANCE_RAD)
    far = np.flatnonzero(high >= math.pi - ANGLE_TOLERANCE_RAD)
    far = far[np.argsort(grazed[far], kind="stable")]
    first, last = (np.searchsorted(grazed[far], grazed[near], side=side) for side in ("left", "right"))
    counts = last - first
    one = np.repeat(near, counts)
    two = far[np.arange(len(one)) - np.repeat(np.cumsum(counts) - counts - first, counts)]
    meet = (low[two] - math.pi <= high[one] + ANGLE_TOLERANCE_RAD) & (
        high[two] - math.pi >= low[one] - ANGLE_TOLERANCE_RAD
    )
    meet &= piece[one] != piece[two]
    return [(piece[one[meet]], piece[two[meet]])]
