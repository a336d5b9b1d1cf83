"""One layer made ready for the search: cut into regions of one cost, meshed, with its bends and its rails."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np
import shapely

from router.memory import remembered
from router.plane import (
    Geometries,
    Ints,
    Mesh,
    VisibilityIndex,
    build_mesh,
    faces_of,
    make_fans,
    mark_edge,
    split_edge,
    triangles_holding,
    vertices_on,
)
from router.search.rail_stops import RailStop, clear_of_amounts, lay_rails
from router.search.world import XY, Layer, factor_of
from router.stopping import stop_if_asked
from router.tolerances import ON_NODED_LINE_MM, OUT_OF_REGION_MM, SIDE_ERROR

Bend: TypeAlias = tuple[float, float, float, float, float, float]
"""A corner of free space, x and y, and the directions of its two walls, dx and dy each."""
GATE_SHARE = 5.0
"""How much nearer together the vertices of gates lie: gates are short, and a path bends close to them."""


@dataclass(slots=True)
class PreparedLayer:
    """One layer made ready for the search: its mesh, what regions cost, and the stops of its rails."""

    layer: Layer
    mesh: Mesh
    zones_of: list[frozenset[int]]
    """By region: the zones it lies in."""
    factor: list[float]
    """By region."""
    visibility: VisibilityIndex
    bends: list[Bend | None]
    """By fan: where a path may bend round it, else None."""
    stops: list[tuple[RailStop, ...]]
    stops_at: dict[int, tuple[tuple[int, int], ...]]
    """By fan: the (rail, stop) that may be joined there."""
    least_factor: float
    """What a mm in plan costs at least, on the ground and on rails."""
    faces: Any
    face_regions: list[int]
    areas: dict[int, Any]

    def region_area(self, region: int) -> Any:
        """Return the whole of a region, a hair larger, made ready for tests of legs."""
        if region not in self.areas:
            own = self.faces[np.asarray(self.face_regions) == region]
            self.areas[region] = shapely.buffer(shapely.union_all(own), OUT_OF_REGION_MM, quad_segs=1)
            shapely.prepare(self.areas[region])
        return self.areas[region]

    def entry_mm(self, region: int) -> float:
        """Return the amounts of the zones that a region lies in."""
        return sum(self.layer.zones[zone].amount_mm for zone in self.zones_of[region])

    def region_at(self, x: float, y: float) -> int:
        """Return the region of a free point."""
        return self.mesh.region[triangles_holding(self.mesh, x, y)[0]]


def prepare_layer(
    layer: Layer, sites: list[XY], step_mm: float, fixed: frozenset[int] = frozenset()
) -> PreparedLayer:
    """Return a layer made ready: cut into regions, meshed, with a vertex every step of borders and rails.

    `fixed` are the numbers of those sites that never move.

    Parameters
    ----------
    layer : Layer
    sites : list of (x, y)
        Points that questions run between. [mm]
    step_mm : float
        Longest piece of a border or rail without a vertex.
    fixed : frozenset of int
        The numbers of those sites that never move.
    """
    ground = _prepared(layer, step_mm)
    return replace(ground, visibility=ground.visibility.with_sites(sites, fixed))


@remembered(most=48)
def _prepared(layer: Layer, step_mm: float) -> PreparedLayer:
    """Return a layer made ready, without sites."""
    stop_if_asked()
    layer = replace(layer, rails=tuple(clear_of_amounts(layer, rail) for rail in layer.rails))
    lines = [zone.area.boundary for zone in layer.zones]
    lines += [gate.line for gate in layer.gates]
    for rail in layer.rails:
        lines += [_lengthened(rail.line), *shapely.get_parts(rail.join)]
    faces = faces_of(layer.free, lines)
    zones_of, regions = _regions(layer, faces)
    mesh = build_mesh(faces, regions, [gate.line for gate in layer.gates])
    if lines:
        _mark_rails(mesh, layer)
        _split_long_edges(mesh, step_mm)
    return _finished(layer, mesh, zones_of, faces, regions)


def _finished(
    layer: Layer, mesh: Mesh, zones_of: list[frozenset[int]], faces: Geometries, regions: list[int]
) -> PreparedLayer:
    make_fans(mesh)
    rails = lay_rails(layer, mesh)
    bends, wanted = _bends_and_crossings(mesh, rails.stops_at)
    factor = [factor_of(layer.factor, (layer.zones[z].surcharge for z in sorted(own))) for own in zones_of]
    visibility = VisibilityIndex(mesh, wanted, [], frozenset())
    least = min([rails.least_factor, *factor])
    return PreparedLayer(
        layer,
        mesh,
        zones_of,
        factor,
        visibility,
        bends,
        rails.stops,
        rails.stops_at,
        least,
        faces,
        regions,
        {},
    )


def _lengthened(line: shapely.LineString, by_mm: float = 20000.0) -> Any:
    """Return the line with both ends carried on straight, so that it cuts faces and never dangles."""
    points = shapely.get_coordinates(line)
    head, tail = points[0] - points[1], points[-1] - points[-2]
    head = points[0] + head / np.hypot(*head) * by_mm
    tail = points[-1] + tail / np.hypot(*tail) * by_mm
    return shapely.linestrings([head, *points, tail])


def _regions(layer: Layer, faces: Geometries) -> tuple[list[frozenset[int]], list[int]]:
    inside = shapely.point_on_surface(faces)
    member = np.zeros((len(faces), len(layer.zones)), dtype=bool)
    for number, zone in enumerate(layer.zones):
        shapely.prepare(zone.area)
        member[:, number] = shapely.contains_xy(zone.area, shapely.get_x(inside), shapely.get_y(inside))
    numbers: dict[frozenset[int], int] = {}
    regions = [numbers.setdefault(frozenset(np.flatnonzero(row).tolist()), len(numbers)) for row in member]
    return list(numbers), regions


def _mark_rails(mesh: Mesh, layer: Layer) -> None:
    """Mark the edges at which some rail may be joined."""
    if not layer.rails:
        return
    vertices = np.column_stack([mesh.x, mesh.y])
    triangles = np.asarray(mesh.corner_vertex).reshape(-1, 3)
    a, b = triangles[:, [1, 2, 0]].reshape(-1), triangles[:, [2, 0, 1]].reshape(-1)
    for rail in layer.rails:
        join = rail.join
        if join.is_empty:
            continue
        on = vertices_on(vertices, rail.line)
        both = np.flatnonzero(on[a] & on[b])
        middle = shapely.points((vertices[a[both]] + vertices[b[both]]) / 2)
        for corner in both[shapely.dwithin(middle, join, ON_NODED_LINE_MM)].tolist():
            mark_edge(mesh, corner)


def _split_long_edges(mesh: Mesh, step_mm: float) -> None:
    """Put a vertex on every step of borders, gates and joinable rails."""
    across = np.asarray(mesh.across, dtype=np.int64)
    is_line = np.asarray(mesh.opaque, dtype=bool) & (across >= 0) | np.asarray(mesh.marked, dtype=bool)
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
    """Return by fan the bend where it is a plain one, and whether a path may turn there.

    A plain bend has walls on both sides and is open by more than half a turn. A path may turn at bends, at
    stops of rails, and at vertices of borders, which have no wall on at least one side.
    """
    first, last, across, vertex = (  # explicit dtypes, because an empty list would become a float array
        np.asarray(numbers, dtype=np.int64)
        for numbers in (mesh.fans, mesh.fan_left, mesh.across, mesh.corner_vertex)
    )
    goes_round = np.asarray(mesh.fan_round, dtype=bool)
    right_side, left_side = _turned(first, 2), _turned(last, 1)
    right, left, v = vertex[_turned(first, 1)], vertex[_turned(last, 2)], vertex[first]
    is_crossing = ~goes_round & ((across[right_side] >= 0) | (across[left_side] >= 0))
    x, y = np.asarray(mesh.x), np.asarray(mesh.y)
    one = (x[v] - x[right]) * (y[left] - y[right])
    two = (y[v] - y[right]) * (x[left] - x[right])
    is_open = one - two > SIDE_ERROR * (np.abs(one) + np.abs(two))
    is_bend = is_open & (first != last) & ~is_crossing & ~goes_round
    stops = list(stops_at)
    is_bend[stops], is_crossing[stops] = False, True
    told = np.array([x[v], y[v], x[right] - x[v], y[right] - y[v], x[left] - x[v], y[left] - y[v]])
    bends: list[Bend | None] = [None] * len(first)
    for fan, *bend in zip(np.flatnonzero(is_bend).tolist(), *told[:, is_bend].tolist(), strict=True):
        bends[fan] = tuple(bend)
    return bends, (is_bend | is_crossing).tolist()


def _turned(corners: Ints, steps: int) -> Any:
    return corners - corners % 3 + (corners + steps) % 3
