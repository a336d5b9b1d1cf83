"""The stops of a layer's rails: where they may be joined and left, and what riding between them costs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from router.plane import Flags, Floats, Geometries, Mesh, vertices_on
from router.search.world import Join, Key, Layer, Rail, factor_of
from router.tolerances import ON_NODED_LINE_MM

NO_JOIN_WITHIN_MM = 1.0
"""How near to a gate, or to the border of a zone with an amount, a rail may not be joined or left."""


@dataclass(frozen=True, slots=True)
class RailStop:
    """One vertex of a rail: where it lies, the fans that it may be left into, and its two pieces' costs.

    `forward_mm` and `backward_mm` are the efforts to the next and to the previous stop, infinite where
    the rail may not be ridden; their keys make those pieces unusable when avoided. `join_mm` is what joining
    costs here, `join_onward_mm` what it costs anywhere on the piece to the next stop, infinite where the rail
    may not be joined.
    """

    x: float
    y: float
    fans: tuple[int, ...]
    forward_mm: float
    backward_mm: float
    forward_keys: tuple[Key, ...]
    backward_keys: tuple[Key, ...]
    join_mm: float
    join_onward_mm: float


@dataclass(frozen=True, slots=True)
class LaidRails:
    """The stops of a layer's rails."""

    stops: list[tuple[RailStop, ...]]
    """By rail, in order."""
    stops_at: dict[int, tuple[tuple[int, int], ...]]
    """By fan: the (rail, stop) that may be joined there."""
    least_factor: float
    """What riding a mm in plan costs at least; infinite without rails."""


def clear_of_amounts(layer: Layer, rail: Rail) -> Rail:
    """Return the rail with nothing to join close by an amount, so that no amount is ever stepped round."""
    charged = shapely.union_all(
        [shapely.buffer(line, NO_JOIN_WITHIN_MM, quad_segs=2) for line in _charged_lines(layer)]
    )
    return replace(rail, joins=tuple(_less(join, charged) for join in rail.joins))


def _less(join: Join, charged: shapely.Geometry) -> Join:
    parts = shapely.get_parts(shapely.difference(join.line, charged))
    lines = [part for part in parts if part.geom_type == "LineString" and part.length > NO_JOIN_WITHIN_MM]
    return replace(join, line=shapely.MultiLineString(lines))


def joining_mm(rail: Rail, places: Geometries) -> Floats:
    """Return by place on a rail what joining costs there, infinite where it may not be joined."""
    cost_mm = np.full(len(places), np.inf)
    for join in rail.joins:
        is_on = shapely.dwithin(places, join.line, ON_NODED_LINE_MM)
        cost_mm[is_on] = np.minimum(cost_mm[is_on], join.cost_mm)
    return cost_mm


def lay_rails(layer: Layer, mesh: Mesh) -> LaidRails:
    """Return the stops of every rail of a layer."""
    stops, least = [], float("inf")
    stops_at: dict[int, list[tuple[int, int]]] = {}
    charged = _charged_lines(layer)
    vertices = np.column_stack([mesh.x, mesh.y])
    for number, rail in enumerate(layer.rails):
        laid, rates = _lay_rail(layer, mesh, rail, vertices, charged)
        stops.append(laid)
        least = min([least, *rates])
        for index, stop in enumerate(laid):
            for fan in stop.fans:
                stops_at.setdefault(fan, []).append((number, index))
    return LaidRails(stops, {fan: tuple(found) for fan, found in stops_at.items()}, least)


def _lay_rail(
    layer: Layer, mesh: Mesh, rail: Rail, vertices: Floats, charged: list[shapely.Geometry]
) -> tuple[tuple[RailStop, ...], list[float]]:
    """Return a rail's stops in order, and by piece between them what a mm costs.

    Stops are its vertices in the mesh, its own corners, and where riding ends.
    """
    own = np.flatnonzero(vertices_on(vertices, rail.line))
    crossed = shapely.intersection(rail.line, [*charged, *(zone.area.boundary for zone in layer.zones)])
    places = np.vstack([vertices[own], shapely.get_coordinates([rail.ride, rail.line, *crossed])])
    vertex = np.full(len(places), -1)
    vertex[: len(own)] = own
    at_mm = shapely.line_locate_point(rail.line, shapely.points(places))
    order = np.argsort(at_mm, kind="stable")
    same_as_before = np.diff(at_mm[order], prepend=-1.0) <= 2 * ON_NODED_LINE_MM
    place = np.cumsum(~same_as_before)
    order = order[np.lexsort((-vertex[order], place))]  # of places that are one, a vertex of the mesh
    kept = order[~same_as_before]
    lengths = np.diff(at_mm[kept])
    middles = shapely.line_interpolate_point(rail.line, at_mm[kept][:-1] + lengths / 2)
    rides = shapely.dwithin(middles, rail.ride, ON_NODED_LINE_MM)
    inside = _found_by([zone.area for zone in layer.zones], middles, shapely.contains)
    rates = _rates(layer, rail, at_mm[kept][:-1] + lengths / 2, inside)
    costs_mm = [
        length_mm * rate if is_ridden else float("inf")
        for length_mm, rate, is_ridden in zip(lengths.tolist(), rates, rides.tolist(), strict=True)
    ]
    spots = shapely.points(places[kept])
    gates = _found_by([gate.line for gate in layer.gates], spots, _reaches)
    join_mm = joining_mm(rail, spots)
    for line in charged:
        join_mm[_reaches(line, spots)] = np.inf
    onward_mm = [*joining_mm(rail, middles).tolist(), float("inf")]
    stops = []
    for i, (x, y) in enumerate(places[kept].tolist()):
        forward = _piece(layer, rail, costs_mm, inside, gates, i, 1)
        backward = _piece(layer, rail, costs_mm, inside, gates, i, -1)
        at, own_mm = int(vertex[kept[i]]), float(join_mm[i])
        fans = tuple(mesh.fans_at[at]) if at >= 0 and own_mm < float("inf") else ()
        stops.append(
            RailStop(x, y, fans, forward[0], backward[0], forward[1], backward[1], own_mm, onward_mm[i])
        )
    return tuple(stops), rates


def _rates(layer: Layer, rail: Rail, middles_mm: Floats, inside: list[frozenset[int]]) -> list[float]:
    """Return by piece what a mm in plan costs: its slope, its factor, and the surcharges that it lies in."""
    ends_mm = np.cumsum(np.hypot(*np.diff(shapely.get_coordinates(rail.line), axis=0).T))
    segments = np.searchsorted(ends_mm[:-1], middles_mm).tolist()
    added = [[z.surcharge for z in (layer.zones[n] for n in sorted(own)) if z.is_on_rails] for own in inside]
    return [
        rail.slopes[segment] * factor_of(rail.factor, own)
        for segment, own in zip(segments, added, strict=True)
    ]


def _reaches(line: shapely.LineString, points: Geometries) -> Any:
    return shapely.dwithin(line, points, ON_NODED_LINE_MM)


def _found_by(
    places: list[shapely.Geometry], points: Geometries, test: Callable[[Geometries, shapely.Geometry], Flags]
) -> list[frozenset[int]]:
    """Return for each point the numbers of the places that pass a test with it."""
    found: list[set[int]] = [set() for _ in points]
    for number, place in enumerate(places):
        for point in np.flatnonzero(test(place, points)).tolist():
            found[point].add(number)
    return [frozenset(numbers) for numbers in found]


def _piece(
    layer: Layer,
    rail: Rail,
    costs_mm: list[float],
    inside: list[frozenset[int]],
    gates: list[frozenset[int]],
    stop: int,
    step: int,
) -> tuple[float, tuple[Key, ...]]:
    """Return effort and keys of the piece from a stop to the next one (step 1) or the one before (-1).

    A zone's amount falls on the first piece inside it, a gate's on the piece that arrives at it; nobody
    joins a rail at either, so each is paid once a crossing.
    """
    piece = stop if step > 0 else stop - 1
    if not 0 <= piece < len(costs_mm) or costs_mm[piece] == float("inf"):
        return float("inf"), ()
    cost, before = costs_mm[piece], piece - step
    keys: list[Key] = [rail.key]
    if 0 <= before < len(costs_mm) and costs_mm[before] < float("inf"):
        for zone in inside[piece] - inside[before]:
            cost += layer.zones[zone].amount_mm
            keys.append(layer.zones[zone].key)
    for gate in (layer.gates[number] for number in gates[stop + step]):
        if gate.is_on_rails:
            cost += gate.amount_mm
            keys.append(gate.key)
    return cost, tuple(keys)


def _charged_lines(layer: Layer) -> list[Any]:
    return [zone.area.boundary for zone in layer.zones if zone.amount_mm] + [g.line for g in layer.gates]
