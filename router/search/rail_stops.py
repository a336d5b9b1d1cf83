"""The stops of a layer's rails: where they may be joined and left, and what riding between them costs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from router.plane import Flags, Floats, Geometries, Mesh, vertices_on
from router.search.world import Key, Layer, Rail
from router.tolerances import ON_NODED_LINE_MM

NO_JOIN_WITHIN_MM = 1.0
"""How near to a gate, or to the border of a zone with an amount, a rail may not be joined or left."""


@dataclass(frozen=True, slots=True)
class RailStop:
    """One vertex of a rail: where it lies, the fans that it may be left into, and its two pieces' costs.

    `forward_mm` and `backward_mm` are the efforts to the next and to the previous stop, infinite where
    the rail may not be ridden; `blocked` keys make those pieces unusable when avoided.
    """

    x: float
    y: float
    fans: tuple[int, ...]
    forward_mm: float
    backward_mm: float
    forward_keys: tuple[Key, ...]
    backward_keys: tuple[Key, ...]


def clear_of_amounts(layer: Layer, rail: Rail) -> Rail:
    """Return the rail with nothing to join close by an amount, so that no amount is ever stepped round."""
    charged = shapely.union_all(
        [shapely.buffer(line, NO_JOIN_WITHIN_MM, quad_segs=2) for line in _charged_lines(layer)]
    )
    parts = shapely.get_parts(shapely.difference(rail.join, charged))
    lines = [part for part in parts if part.geom_type == "LineString" and part.length > NO_JOIN_WITHIN_MM]
    return replace(rail, join=shapely.MultiLineString(lines))


def lay_rails(
    layer: Layer, mesh: Mesh
) -> tuple[list[tuple[RailStop, ...]], dict[int, tuple[tuple[int, int], ...]]]:
    """Return the stops of every rail in order, and by fan the (rail, stop) that may be joined there."""
    stops = []
    stops_at: dict[int, list[tuple[int, int]]] = {}
    charged = _charged_lines(layer)
    vertices = np.column_stack([mesh.x, mesh.y])
    for number, rail in enumerate(layer.rails):
        laid = _lay_rail(layer, mesh, rail, vertices, charged)
        stops.append(laid)
        for index, stop in enumerate(laid):
            for fan in stop.fans:
                stops_at.setdefault(fan, []).append((number, index))
    return stops, {fan: tuple(found) for fan, found in stops_at.items()}


def _lay_rail(
    layer: Layer, mesh: Mesh, rail: Rail, vertices: Floats, charged: list[shapely.Geometry]
) -> tuple[RailStop, ...]:
    """Return a rail's stops in order: its vertices in the mesh, its own corners, and where riding ends."""
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
    spots = shapely.points(places[kept])
    gates = _found_by([gate.line for gate in layer.gates], spots, _reaches)
    joinable = shapely.dwithin(spots, rail.join, ON_NODED_LINE_MM)
    for line in charged:
        joinable &= ~_reaches(line, spots)
    stops = []
    for i, (x, y) in enumerate(places[kept].tolist()):
        forward = _piece(layer, rail, lengths, rides, inside, gates, i, 1)
        backward = _piece(layer, rail, lengths, rides, inside, gates, i, -1)
        at = int(vertex[kept[i]])
        fans = tuple(mesh.fans_at[at]) if at >= 0 and joinable[i] else ()
        stops.append(RailStop(x, y, fans, forward[0], backward[0], forward[1], backward[1]))
    return tuple(stops)


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
    lengths: Floats,
    rides: Flags,
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
    if not 0 <= piece < len(rides) or not rides[piece]:
        return float("inf"), ()
    factor = rail.factor
    for zone in inside[piece]:
        factor *= layer.zones[zone].factor
    cost = float(lengths[piece]) * factor
    before = piece - step
    keys: list[Key] = [rail.key]
    if 0 <= before < len(rides) and rides[before]:
        for zone in inside[piece] - inside[before]:
            cost += layer.zones[zone].amount_mm
            keys.append(layer.zones[zone].key)
    for gate in gates[stop + step]:
        cost += layer.gates[gate].amount_mm
        keys.append(layer.gates[gate].key)
    return cost, tuple(keys)


def _charged_lines(layer: Layer) -> list[Any]:
    return [zone.area.boundary for zone in layer.zones if zone.amount_mm] + [g.line for g in layer.gates]
