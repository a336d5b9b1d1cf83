"""The ground a search stands on: pure geometry, no vehicle words.

World    sheets of free space, joined by links
zone     an area whose millimetres cost `factor` each and whose entry costs `toll`
gate     a line whose crossing costs `toll`
rail     a line that may be ridden at `factor`, joined and left where `join` lies for `join_mm`
link     a jump between two points (of the same or of different sheets) for `cost_mm`

Every part carries a `key` by which a search may be told to use or to avoid it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np
import shapely

from router.plane.mesh import (
    SIDE_ERROR,
    Mesh,
    build_mesh,
    faces_of,
    make_fans,
    mark_edge,
    split_edge,
    vertices_on,
)
from router.plane.sight import Watch, triangles_holding

XY: TypeAlias = tuple[float, float]
Bend: TypeAlias = tuple[float, float, float, float, float, float]
"""A corner of free space, x and y, and the directions of its two walls, dx and dy each."""
END_ON_LINE_MM = 5e-6
TOLL_MM = 1.0
"""How near to a gate, or to the border of a zone with a toll, a rail may not be joined or left."""
GATE_SHARE = 5.0
"""How much nearer together the vertices of gates lie: gates are short, and a way bends close to them."""
BESIDE_MM = 1e-7
"""How far a leg may stray over the edge of its region by rounding."""


def may_meet(a: XY, b: XY, bounds: tuple[float, ...], within_mm: float = 0.0) -> bool:
    """Tell whether a leg's box meets the bounds of an area; nothing that does not is looked at closely."""
    if not bounds:
        return False
    low_x, low_y, high_x, high_y = bounds
    return (
        min(a[0], b[0]) <= high_x + within_mm
        and max(a[0], b[0]) >= low_x - within_mm
        and min(a[1], b[1]) <= high_y + within_mm
        and max(a[1], b[1]) >= low_y - within_mm
    )


@dataclass(frozen=True, slots=True)
class Zone:
    """An area with a factor and a toll for going in; zones may overlap, their factors multiply."""

    key: str
    area: Any
    factor: float
    toll_mm: float


@dataclass(frozen=True, slots=True)
class Gate:
    """A line across free space whose crossing costs something."""

    key: str
    line: Any
    toll_mm: float


@dataclass(frozen=True, slots=True)
class Rail:
    """A line to ride on. `ride` and `join` are the parts of `line` where that may be done."""

    key: str
    line: Any
    ride: Any
    join: Any
    factor: float
    join_mm: float


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of free space (a Polygon or MultiPolygon) and what lies on it."""

    key: str
    free: Any
    zones: tuple[Zone, ...]
    gates: tuple[Gate, ...]
    rails: tuple[Rail, ...]


@dataclass(frozen=True, slots=True)
class Link:
    """A jump between a point of one sheet and a point of another (or of the same) sheet."""

    key: str
    sheets: tuple[int, int]
    ends: tuple[XY, XY]
    cost_mm: float


@dataclass(frozen=True, slots=True)
class World:
    """All sheets, and the links between them."""

    sheets: tuple[Sheet, ...]
    links: tuple[Link, ...]


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
    forward_keys: tuple[str, ...]
    backward_keys: tuple[str, ...]


@dataclass(slots=True)
class Field:
    """One sheet made ready for the search: its mesh, what regions cost, and the stops of its rails."""

    sheet: Sheet
    mesh: Mesh
    zones_of: list[frozenset[int]]
    """By region: the zones it lies in."""
    factor: list[float]
    """By region."""
    watch: Watch
    bends: list[Bend | None]
    """By fan: where a way may bend round it, else None."""
    stops: list[tuple[RailStop, ...]]
    stops_at: dict[int, tuple[tuple[int, int], ...]]
    """By fan: the (rail, stop) that may be joined there."""
    faces: Any
    face_regions: list[int]
    areas: dict[int, Any]

    def region_area(self, region: int) -> Any:
        """Return the whole of a region, a hair larger, made ready for tests of legs."""
        if region not in self.areas:
            own = self.faces[np.asarray(self.face_regions) == region]
            self.areas[region] = shapely.buffer(shapely.union_all(own), BESIDE_MM, quad_segs=1)
            shapely.prepare(self.areas[region])
        return self.areas[region]

    def entry_mm(self, region: int) -> float:
        """Return the tolls of the zones that a region lies in."""
        return sum(self.sheet.zones[zone].toll_mm for zone in self.zones_of[region])

    def region_at(self, x: float, y: float) -> int:
        """Return the region of a free point."""
        return self.mesh.region[triangles_holding(self.mesh, x, y)[0]]


def make_field(sheet: Sheet, sites: list[XY], step_mm: float, fixed: frozenset[int] = frozenset()) -> Field:
    """Return a sheet made ready: cut into regions, meshed, with a vertex every step of borders and rails.

    `fixed` are the numbers of those sites that never move.
    """
    sheet = replace(sheet, rails=tuple(_clear_of_tolls(sheet, rail) for rail in sheet.rails))
    lines = [zone.area.boundary for zone in sheet.zones]
    lines += [gate.line for gate in sheet.gates]
    for rail in sheet.rails:
        lines += [_lengthened(rail.line), *shapely.get_parts(rail.join)]
    faces = faces_of(sheet.free, lines)
    zones_of, regions = _regions(sheet, faces)
    mesh = build_mesh(faces, regions, [gate.line for gate in sheet.gates])
    if lines:
        _mark_rails(mesh, sheet)
        _split_long_edges(mesh, step_mm)
    return _finish_field(sheet, mesh, zones_of, faces, regions, sites, fixed)


def _finish_field(
    sheet: Sheet,
    mesh: Mesh,
    zones_of: list[frozenset[int]],
    faces: Any,
    regions: list[int],
    sites: list[XY],
    fixed: frozenset[int],
) -> Field:
    make_fans(mesh)
    stops, stops_at = _lay_rails(sheet, mesh)
    bends, wanted = _bends_and_crossings(mesh, stops_at)
    factor = [math.prod(sheet.zones[z].factor for z in sorted(zones)) for zones in zones_of]
    watch = Watch(mesh, wanted, sites, fixed)
    return Field(sheet, mesh, zones_of, factor, watch, bends, stops, stops_at, faces, regions, {})


def _lengthened(line: Any, by_mm: float = 20000.0) -> Any:
    """Return the line with both ends carried on straight, so that it cuts faces and never dangles."""
    points = shapely.get_coordinates(line)
    head, tail = points[0] - points[1], points[-1] - points[-2]
    head = points[0] + head / np.hypot(*head) * by_mm
    tail = points[-1] + tail / np.hypot(*tail) * by_mm
    return shapely.linestrings([head, *points, tail])


def _tolled_lines(sheet: Sheet) -> list[Any]:
    return [zone.area.boundary for zone in sheet.zones if zone.toll_mm] + [g.line for g in sheet.gates]


def _clear_of_tolls(sheet: Sheet, rail: Rail) -> Rail:
    """Return the rail with nothing to join close by a toll, so that no toll is ever stepped round."""
    tolled = shapely.union_all([shapely.buffer(line, TOLL_MM, quad_segs=2) for line in _tolled_lines(sheet)])
    parts = shapely.get_parts(shapely.difference(rail.join, tolled))
    lines = [part for part in parts if part.geom_type == "LineString" and part.length > TOLL_MM]
    return replace(rail, join=shapely.MultiLineString(lines))


def _regions(sheet: Sheet, faces: Any) -> tuple[list[frozenset[int]], list[int]]:
    inside = shapely.point_on_surface(faces)
    member = np.zeros((len(faces), len(sheet.zones)), dtype=bool)
    for number, zone in enumerate(sheet.zones):
        shapely.prepare(zone.area)
        member[:, number] = shapely.contains_xy(zone.area, shapely.get_x(inside), shapely.get_y(inside))
    numbers: dict[frozenset[int], int] = {}
    regions = [numbers.setdefault(frozenset(np.flatnonzero(row).tolist()), len(numbers)) for row in member]
    return list(numbers), regions


def _mark_rails(mesh: Mesh, sheet: Sheet) -> None:
    """Mark the edges at which some rail may be joined."""
    if not sheet.rails:
        return
    vertices = np.column_stack([mesh.x, mesh.y])
    triangles = np.asarray(mesh.corner_vertex).reshape(-1, 3)
    a, b = triangles[:, [1, 2, 0]].reshape(-1), triangles[:, [2, 0, 1]].reshape(-1)
    for rail in sheet.rails:
        if rail.join.is_empty:
            continue
        on = vertices_on(vertices, rail.line)
        both = np.flatnonzero(on[a] & on[b])
        middle = shapely.points((vertices[a[both]] + vertices[b[both]]) / 2)
        for corner in both[shapely.dwithin(middle, rail.join, END_ON_LINE_MM)].tolist():
            mark_edge(mesh, corner)


def _split_long_edges(mesh: Mesh, step_mm: float) -> None:
    """Put a vertex on every step of borders, gates and joinable rails."""
    across = np.asarray(mesh.across)
    is_line = np.asarray(mesh.opaque) & (across >= 0) | np.asarray(mesh.marked)
    old = len(across)
    for corner in np.flatnonzero(is_line & (across > np.arange(old))).tolist():
        _split_evenly(mesh, corner, step_mm)
    corner = old
    while corner < len(mesh.corner_vertex):  # edges that a split has given another number
        _split_evenly(mesh, corner, step_mm)
        corner += 1


def _split_evenly(mesh: Mesh, corner: int, step_mm: float) -> None:
    if mesh.across[corner] < 0 or not (mesh.opaque[corner] or mesh.marked[corner]):
        return
    first = corner - corner % 3
    a, b = mesh.corner_vertex[first + (corner + 1) % 3], mesh.corner_vertex[first + (corner + 2) % 3]
    length_mm = math.hypot(mesh.x[b] - mesh.x[a], mesh.y[b] - mesh.y[a])
    count = math.ceil(length_mm * (GATE_SHARE if mesh.gate[corner] >= 0 else 1.0) / step_mm)
    for k in range(1, count):
        split_edge(mesh, corner, (count - k) / (count - k + 1))


def _bends_and_crossings(
    mesh: Mesh, stops_at: dict[int, tuple[tuple[int, int], ...]]
) -> tuple[list[Bend | None], list[bool]]:
    """Return by fan the bend where it is a plain one, and whether a way may turn there.

    A plain bend has walls on both sides and is open by more than half a turn. A way may turn at bends, at
    stops of rails, and at vertices of borders, which have no wall on at least one side.
    """
    first, last = np.asarray(mesh.fans), np.asarray(mesh.fan_left)
    across, vertex = np.asarray(mesh.across), np.asarray(mesh.corner_vertex)
    right_side, left_side = _turned(first, 2), _turned(last, 1)
    right, left, v = vertex[_turned(first, 1)], vertex[_turned(last, 2)], vertex[first]
    is_crossing = ~np.asarray(mesh.fan_round) & ((across[right_side] >= 0) | (across[left_side] >= 0))
    x, y = np.asarray(mesh.x), np.asarray(mesh.y)
    one = (x[v] - x[right]) * (y[left] - y[right])
    two = (y[v] - y[right]) * (x[left] - x[right])
    is_open = one - two > SIDE_ERROR * (np.abs(one) + np.abs(two))
    is_bend = is_open & (first != last) & ~is_crossing & ~np.asarray(mesh.fan_round)
    stops = list(stops_at)
    is_bend[stops], is_crossing[stops] = False, True
    told = np.array([x[v], y[v], x[right] - x[v], y[right] - y[v], x[left] - x[v], y[left] - y[v]])
    bends: list[Bend | None] = [None] * len(first)
    for fan, *bend in zip(np.flatnonzero(is_bend).tolist(), *told[:, is_bend].tolist(), strict=True):
        bends[fan] = tuple(bend)
    return bends, (is_bend | is_crossing).tolist()


def _turned(corners: Any, steps: int) -> Any:
    return corners - corners % 3 + (corners + steps) % 3


def _lay_rails(
    sheet: Sheet, mesh: Mesh
) -> tuple[list[tuple[RailStop, ...]], dict[int, tuple[tuple[int, int], ...]]]:
    stops = []
    stops_at: dict[int, list[tuple[int, int]]] = {}
    tolled = _tolled_lines(sheet)
    vertices = np.column_stack([mesh.x, mesh.y]) if sheet.rails else None
    for number, rail in enumerate(sheet.rails):
        laid = _lay_rail(sheet, mesh, rail, vertices, tolled)
        stops.append(laid)
        for index, stop in enumerate(laid):
            for fan in stop.fans:
                stops_at.setdefault(fan, []).append((number, index))
    return stops, {fan: tuple(found) for fan, found in stops_at.items()}


def _lay_rail(sheet: Sheet, mesh: Mesh, rail: Rail, vertices: Any, tolled: list[Any]) -> tuple[RailStop, ...]:
    """Return a rail's stops in order: its vertices in the mesh, its own corners, and where riding ends."""
    own = np.flatnonzero(vertices_on(vertices, rail.line))
    crossed = shapely.intersection(rail.line, [*tolled, *(zone.area.boundary for zone in sheet.zones)])
    places = np.vstack([vertices[own], shapely.get_coordinates([rail.ride, rail.line, *crossed])])
    vertex = np.full(len(places), -1)
    vertex[: len(own)] = own
    at_mm = shapely.line_locate_point(rail.line, shapely.points(places))
    order = np.argsort(at_mm, kind="stable")
    same_as_before = np.diff(at_mm[order], prepend=-1.0) <= 2 * END_ON_LINE_MM
    place = np.cumsum(~same_as_before)
    order = order[np.lexsort((-vertex[order], place))]  # of places that are one, a vertex of the mesh
    kept = order[~same_as_before]
    lengths = np.diff(at_mm[kept])
    middles = shapely.line_interpolate_point(rail.line, at_mm[kept][:-1] + lengths / 2)
    rides = shapely.dwithin(middles, rail.ride, END_ON_LINE_MM)
    inside = _found_by([zone.area for zone in sheet.zones], middles, shapely.contains)
    spots = shapely.points(places[kept])
    gates = _found_by([gate.line for gate in sheet.gates], spots, _reaches)
    joinable = shapely.dwithin(spots, rail.join, END_ON_LINE_MM)
    for line in tolled:
        joinable &= ~_reaches(line, spots)
    stops = []
    for i, (x, y) in enumerate(places[kept].tolist()):
        forward = _piece(sheet, rail, lengths, rides, inside, gates, i, 1)
        backward = _piece(sheet, rail, lengths, rides, inside, gates, i, -1)
        at = int(vertex[kept[i]])
        fans = tuple(mesh.fans_at[at]) if at >= 0 and joinable[i] else ()
        stops.append(RailStop(x, y, fans, forward[0], backward[0], forward[1], backward[1]))
    return tuple(stops)


def _reaches(line: Any, points: Any) -> Any:
    return shapely.dwithin(line, points, END_ON_LINE_MM)


def _found_by(places: list[Any], points: Any, test: Callable[[Any, Any], Any]) -> list[frozenset[int]]:
    """Return for each point the numbers of the places that pass a test with it."""
    found: list[set[int]] = [set() for _ in points]
    for number, place in enumerate(places):
        for point in np.flatnonzero(test(place, points)).tolist():
            found[point].add(number)
    return [frozenset(numbers) for numbers in found]


def _piece(
    sheet: Sheet,
    rail: Rail,
    lengths: Any,
    rides: Any,
    inside: list[frozenset[int]],
    gates: list[frozenset[int]],
    stop: int,
    step: int,
) -> tuple[float, tuple[str, ...]]:
    """Return effort and keys of the piece from a stop to the next one (step 1) or the one before (-1).

    A zone's toll falls on the first piece inside it, a gate's on the piece that arrives at it; nobody
    joins a rail at either, so each is paid once a crossing.
    """
    piece = stop if step > 0 else stop - 1
    if not 0 <= piece < len(rides) or not rides[piece]:
        return float("inf"), ()
    factor = rail.factor
    for zone in inside[piece]:
        factor *= sheet.zones[zone].factor
    cost = float(lengths[piece]) * factor
    before = piece - step
    keys = [rail.key]
    if 0 <= before < len(rides) and rides[before]:
        for zone in inside[piece] - inside[before]:
            cost += sheet.zones[zone].toll_mm
            keys.append(sheet.zones[zone].key)
    for gate in gates[stop + step]:
        cost += sheet.gates[gate].toll_mm
        keys.append(sheet.gates[gate].key)
    return cost, tuple(keys)
