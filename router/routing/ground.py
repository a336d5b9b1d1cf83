"""The ground a search stands on: pure geometry, no vehicle words.

World    sheets of free space, joined by links
zone     an area whose millimetres cost `factor` each and whose entry costs `toll`
gate     a line whose crossing costs `toll`
rail     a line that may be ridden at `factor`, joined and left where `join` lies for `join_mm`
link     a jump between two points (of the same or of different sheets) for `cost_mm`

Every part carries a `key` by which a search may be told to use or to avoid it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np
import shapely

from router.plane.mesh import Mesh, build_mesh, faces_of, mark_edge, remake_fans, split_edge, vertices_on
from router.plane.sight import Watch, side, triangles_at

XY: TypeAlias = tuple[float, float]
END_ON_LINE_MM = 1e-6
TOLL_MM = 1.0
"""How near to a gate, or to the border of a zone with a toll, a rail may not be joined or left."""
BESIDE_MM = 1e-7
"""How far a leg may stray over the edge of its region by rounding."""


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
    ends: list[tuple[XY, XY] | None]
    """By fan: the ends of its two walls where a way may bend round it, else None."""
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

    def region_at(self, x: float, y: float) -> int:
        """Return the region of a free point."""
        return self.mesh.region[triangles_holding(self.mesh, x, y)[0]]


def make_field(sheet: Sheet, sites: list[XY], step_mm: float) -> Field:
    """Return a sheet made ready: cut into regions, meshed, with a vertex every step of borders and rails."""
    sheet = replace(sheet, rails=tuple(_clear_of_tolls(sheet, rail) for rail in sheet.rails))
    lines = [zone.area.boundary for zone in sheet.zones]
    lines += [gate.line for gate in sheet.gates]
    for rail in sheet.rails:
        lines += [_lengthened(rail.line), *shapely.get_parts(rail.join)]
    faces = faces_of(sheet.free, lines)
    zones_of, regions = _regions(sheet, faces)
    mesh = build_mesh(faces, regions, [gate.line for gate in sheet.gates])
    _mark_rails(mesh, sheet)
    _split_long_edges(mesh, step_mm)
    return _finish_field(sheet, mesh, zones_of, faces, regions, sites)


def refine_field(field: Field, corners: set[int]) -> Field:
    """Return the field with the edges opposite to these corners halved; the old one is of no use after."""
    mesh = field.mesh
    for corner in sorted(corners):
        split_edge(mesh, corner, 0.5)
    return _finish_field(
        field.sheet, mesh, field.zones_of, field.faces, field.face_regions, field.watch.sites
    )


def _finish_field(
    sheet: Sheet, mesh: Mesh, zones_of: list[frozenset[int]], faces: Any, regions: list[int], sites: list[XY]
) -> Field:
    remake_fans(mesh)
    vertices = np.column_stack([mesh.x, mesh.y])
    on_rails = [set(np.flatnonzero(vertices_on(vertices, rail.line)).tolist()) for rail in sheet.rails]
    stops, stops_at = _lay_rails(sheet, mesh, zones_of, on_rails)
    ends = [_bend_ends(mesh, fan, stops_at) for fan in range(len(mesh.fans))]
    wanted = [ends[fan] is not None or _is_crossing(mesh, fan, stops_at) for fan in range(len(mesh.fans))]
    factor = [float(np.prod([sheet.zones[z].factor for z in zones])) for zones in zones_of]
    watch = Watch(mesh, wanted, sites, _triangles_of_sites(mesh, sites))
    return Field(sheet, mesh, zones_of, factor, watch, ends, stops, stops_at, faces, regions, {})


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
    return replace(rail, join=shapely.multilinestrings(lines))


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
    corner = 0
    while corner < len(mesh.corner_vertex):
        if mesh.across[corner] >= 0 and (mesh.opaque[corner] or mesh.marked[corner]):
            _split_evenly(mesh, corner, step_mm)
        corner += 1


def _split_evenly(mesh: Mesh, corner: int, step_mm: float) -> None:
    first = corner - corner % 3
    a, b = mesh.corner_vertex[first + (corner + 1) % 3], mesh.corner_vertex[first + (corner + 2) % 3]
    length_mm = float(np.hypot(mesh.x[b] - mesh.x[a], mesh.y[b] - mesh.y[a]))
    count = int(np.ceil(length_mm / step_mm))
    for k in range(1, count):
        split_edge(mesh, corner, (count - k) / (count - k + 1))


def _bend_ends(
    mesh: Mesh, fan: int, stops_at: dict[int, tuple[tuple[int, int], ...]]
) -> tuple[XY, XY] | None:
    """Return a fan's wall ends where it is a plain bend: walls on both sides, more than half a turn open."""
    if mesh.fan_round[fan] or fan in stops_at:
        return None
    right_side, left_side = mesh.fan_sides(fan)
    if mesh.across[right_side] >= 0 or mesh.across[left_side] >= 0:
        return None
    right, left = mesh.fan_ends(fan)
    v = mesh.fan_vertex(fan)
    if side(mesh.x[right], mesh.y[right], mesh.x[v], mesh.y[v], mesh.x[left], mesh.y[left]) <= 0.0:
        return None
    if mesh.fans[fan] == mesh.fan_left[fan]:
        return None
    return (mesh.x[right], mesh.y[right]), (mesh.x[left], mesh.y[left])


def _is_crossing(mesh: Mesh, fan: int, stops_at: dict[int, tuple[tuple[int, int], ...]]) -> bool:
    if fan in stops_at:
        return True
    if mesh.fan_round[fan]:
        return False
    right_side, left_side = mesh.fan_sides(fan)
    return mesh.across[right_side] >= 0 or mesh.across[left_side] >= 0


def _triangles_of_sites(mesh: Mesh, sites: list[XY]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    for number, (x, y) in enumerate(sites):
        for triangle in triangles_holding(mesh, x, y):
            found.setdefault(triangle, []).append(number)
    return found


def triangles_holding(mesh: Mesh, x: float, y: float) -> tuple[int, ...]:
    """Return the triangles that hold a point, edges included; none where it is not in free space."""
    return triangles_at(mesh, x, y, mesh.triangles_near(x, y))


def _lay_rails(
    sheet: Sheet, mesh: Mesh, zones_of: list[frozenset[int]], rail_vertices: list[set[int]]
) -> tuple[list[tuple[RailStop, ...]], dict[int, tuple[tuple[int, int], ...]]]:
    stops = []
    stops_at: dict[int, list[tuple[int, int]]] = {}
    tolled = _tolled_lines(sheet)
    for number, rail in enumerate(sheet.rails):
        laid = _lay_rail(sheet, mesh, rail, sorted(rail_vertices[number]), tolled)
        stops.append(laid)
        for index, stop in enumerate(laid):
            for fan in stop.fans:
                stops_at.setdefault(fan, []).append((number, index))
    return stops, {fan: tuple(found) for fan, found in stops_at.items()}


def _lay_rail(
    sheet: Sheet, mesh: Mesh, rail: Rail, vertices: list[int], tolled: list[Any]
) -> tuple[RailStop, ...]:
    """Return a rail's stops in order: its vertices in the mesh, its own corners, and where riding ends."""
    places = [(mesh.x[v], mesh.y[v], v) for v in vertices]
    extra = shapely.get_coordinates(shapely.union_all([rail.ride, shapely.intersection_all([rail.line])]))
    extra = np.vstack([extra, *[_crossings(rail.line, line) for line in tolled]])
    extra = np.vstack([extra, *[_crossings(rail.line, zone.area.boundary) for zone in sheet.zones]])
    places += [(float(x), float(y), -1) for x, y in extra]
    at_mm = shapely.line_locate_point(rail.line, shapely.points([p[:2] for p in places]))
    order = sorted(range(len(places)), key=lambda i: (at_mm[i], -places[i][2]))
    kept = [i for k, i in enumerate(order) if k == 0 or at_mm[i] - at_mm[order[k - 1]] > 2 * END_ON_LINE_MM]
    points = [places[i] for i in kept]
    lengths = np.diff(at_mm[kept])
    middles = shapely.line_interpolate_point(rail.line, at_mm[kept][:-1] + lengths / 2)
    rides = shapely.dwithin(middles, rail.ride, END_ON_LINE_MM)
    inside = [
        frozenset(z for z, zone in enumerate(sheet.zones) if shapely.contains(zone.area, middle))
        for middle in middles
    ]
    spots = shapely.points([p[:2] for p in points])
    gates = [
        frozenset(g for g, gate in enumerate(sheet.gates) if shapely.dwithin(gate.line, spot, END_ON_LINE_MM))
        for spot in spots
    ]
    joinable = shapely.dwithin(spots, rail.join, END_ON_LINE_MM)
    for line in tolled:
        joinable &= ~shapely.dwithin(spots, line, END_ON_LINE_MM)
    stops = []
    for i, (x, y, vertex) in enumerate(points):
        forward = _piece(sheet, rail, lengths, rides, inside, gates, i, 1)
        backward = _piece(sheet, rail, lengths, rides, inside, gates, i, -1)
        fans = tuple(mesh.fans_at[vertex]) if vertex >= 0 and joinable[i] else ()
        stops.append(RailStop(x, y, fans, forward[0], backward[0], forward[1], backward[1]))
    return tuple(stops)


def _crossings(line: Any, other: Any) -> Any:
    return shapely.get_coordinates(shapely.intersection(line, other)).reshape(-1, 2)


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
