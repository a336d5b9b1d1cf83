"""A triangle mesh of free space, cut along given lines, with what each edge lets through.

A *corner* is one corner of one triangle, numbered 3 x triangle + 0..2; the edge numbered like a corner is
the one opposite to it. A *fan* is a set of triangles round one vertex that can see each other there: it
ends at walls and at opaque edges. A vertex where two pieces of free space only touch has two fans, so
nothing slips through. Fans are what a search stands on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely

ON_LINE_MM = 1e-6
"""How far rounding may take a noded point off the line it lies on."""


@dataclass(slots=True)
class Mesh:
    """Triangles counter-clockwise. Lists, not arrays: the search reads single items."""

    x: list[float]
    y: list[float]
    corner_vertex: list[int]
    across: list[int]
    """Corner opposite to the same edge in the next triangle, or -1 at a wall."""
    region: list[int]
    """Region of each triangle."""
    opaque: list[bool]
    """By corner: a wall, or a border that only a vertex may cross."""
    gate: list[int]
    """By corner: the gate that lies on its edge, or -1."""
    fan_of: list[int] = field(default_factory=list)
    """By corner: its fan."""
    fans: list[tuple[int, ...]] = field(default_factory=list)
    """By fan: its corners in counter-clockwise order."""
    fan_round: list[bool] = field(default_factory=list)
    """By fan: whether it goes all the way round its vertex."""
    fans_at: list[list[int]] = field(default_factory=list)
    """By vertex: its fans."""

    @property
    def triangle_count(self) -> int:
        """Return the number of triangles."""
        return len(self.region)

    def fan_vertex(self, fan: int) -> int:
        """Return the vertex that a fan goes round."""
        return self.corner_vertex[self.fans[fan][0]]

    def fan_region(self, fan: int) -> int:
        """Return the region that a fan lies in."""
        return self.region[self.fans[fan][0] // 3]

    def fan_sides(self, fan: int) -> tuple[int, int]:
        """Return the corners whose edges bound a fan on its right and on its left."""
        corners = self.fans[fan]
        return _turn(corners[0], 2), _turn(corners[-1], 1)

    def fan_ends(self, fan: int) -> tuple[int, int]:
        """Return the outer vertices of a fan's right and left edge."""
        corners = self.fans[fan]
        return self.corner_vertex[_turn(corners[0], 1)], self.corner_vertex[_turn(corners[-1], 2)]


def _turn(corner: int, steps: int) -> int:
    first = corner - corner % 3
    return first + (corner - first + steps) % 3


def faces_of(free: Any, lines: Sequence[Any]) -> Any:
    """Return the pieces of `free` between `lines`, as an array of polygons that share their vertices.

    All lines and the boundary are noded in one union: lines cut to the boundary first would end beside
    it by rounding, and faces would vanish. Lines may reach outside; what they cut there is dropped.
    """
    noded = shapely.union_all([free.boundary, *lines])
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    shapely.prepare(free)
    return faces[shapely.contains_properly(free, shapely.point_on_surface(faces))]


def build_mesh(faces: Any, regions: Sequence[int], gates: Sequence[Any]) -> Mesh:
    """Return the mesh of `faces`; edges between different regions, and edges on a gate line, are opaque.

    Parameters
    ----------
    faces : array of shapely Polygon
        As `faces_of` returns them.
    regions : sequence of int
        Region number of each face.
    gates : sequence of shapely LineString
        Lines whose crossing costs something.
    """
    pieces = shapely.constrained_delaunay_triangles(faces)
    triangles, face_index = shapely.get_parts(pieces, return_index=True)
    points = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3]
    points = _counter_clockwise(points)
    vertices, corner_vertex = np.unique(points.reshape(-1, 2), axis=0, return_inverse=True)
    corner_vertex = corner_vertex.reshape(-1)
    across = _neighbours(corner_vertex, len(vertices))
    region = np.asarray(regions, dtype=np.int64)[face_index]
    gate = _gates_on_edges(vertices, corner_vertex, gates)
    inside = across >= 0
    opaque = ~inside | (gate >= 0)
    corner_region = np.repeat(region, 3)
    opaque[inside] |= corner_region[inside] != corner_region[across[inside]]
    mesh = Mesh(
        x=vertices[:, 0].tolist(),
        y=vertices[:, 1].tolist(),
        corner_vertex=corner_vertex.tolist(),
        across=across.tolist(),
        region=region.tolist(),
        opaque=opaque.tolist(),
        gate=gate.tolist(),
    )
    _make_fans(mesh)
    return mesh


def _counter_clockwise(points: Any) -> Any:
    a, b, c = points[:, 0], points[:, 1], points[:, 2]
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    points = points.copy()
    points[area < 0] = points[area < 0][:, ::-1]
    return points


def _neighbours(corner_vertex: Any, vertex_count: int) -> Any:
    start = corner_vertex.reshape(-1, 3)[:, [1, 2, 0]].reshape(-1)
    end = corner_vertex.reshape(-1, 3)[:, [2, 0, 1]].reshape(-1)
    key = np.minimum(start, end) * vertex_count + np.maximum(start, end)
    order = np.argsort(key, kind="stable")
    same = key[order][1:] == key[order][:-1]
    across = np.full(len(key), -1, dtype=np.int64)
    across[order[:-1][same]] = order[1:][same]
    across[order[1:][same]] = order[:-1][same]
    return across


def _gates_on_edges(vertices: Any, corner_vertex: Any, gates: Sequence[Any]) -> Any:
    start = corner_vertex.reshape(-1, 3)[:, [1, 2, 0]].reshape(-1)
    end = corner_vertex.reshape(-1, 3)[:, [2, 0, 1]].reshape(-1)
    gate = np.full(len(start), -1, dtype=np.int64)
    for number, line in enumerate(gates):
        on_line = vertices_on(vertices, line)
        both = np.flatnonzero(on_line[start] & on_line[end])
        middle = shapely.points((vertices[start[both]] + vertices[end[both]]) / 2)
        gate[both[shapely.dwithin(middle, line, ON_LINE_MM)]] = number
    return gate


def vertices_on(vertices: Any, line: Any) -> Any:
    """Return, for an (n, 2) array of points, which lie on `line` but for rounding."""
    low_x, low_y, high_x, high_y = line.bounds
    near = (
        (vertices[:, 0] >= low_x - ON_LINE_MM)
        & (vertices[:, 0] <= high_x + ON_LINE_MM)
        & (vertices[:, 1] >= low_y - ON_LINE_MM)
        & (vertices[:, 1] <= high_y + ON_LINE_MM)
    )
    near[near] = shapely.dwithin(shapely.points(vertices[near]), line, ON_LINE_MM)
    return near


def split_edge(mesh: Mesh, corner: int, share: float) -> int:
    """Put a vertex on the edge opposite to `corner`, `share` of the way along it; return the vertex.

    Both triangles at the edge become two. The fans are stale afterwards: call `remake_fans`.
    """
    vertex = len(mesh.x)
    a, b = mesh.corner_vertex[_turn(corner, 1)], mesh.corner_vertex[_turn(corner, 2)]
    mesh.x.append(mesh.x[a] + (mesh.x[b] - mesh.x[a]) * share)
    mesh.y.append(mesh.y[a] + (mesh.y[b] - mesh.y[a]) * share)
    other = mesh.across[corner]
    near_a, near_b = _split_triangle(mesh, corner, vertex)
    if other >= 0:
        far_b, far_a = _split_triangle(mesh, other, vertex)
        _join(mesh, near_a, far_a)
        _join(mesh, near_b, far_b)
    return vertex


def _split_triangle(mesh: Mesh, corner: int, vertex: int) -> tuple[int, int]:
    """Split (w, a, b) at a vertex on ab; return the corners opposite to a-vertex and to vertex-b."""
    after, before = _turn(corner, 1), _turn(corner, 2)
    w, b = mesh.corner_vertex[corner], mesh.corner_vertex[before]
    new = len(mesh.corner_vertex)
    mesh.corner_vertex += [w, vertex, b]
    mesh.region.append(mesh.region[corner // 3])
    mesh.across += [-1, mesh.across[after], after]
    mesh.opaque += [mesh.opaque[corner], mesh.opaque[after], False]
    mesh.gate += [mesh.gate[corner], mesh.gate[after], -1]
    if mesh.across[after] >= 0:
        mesh.across[mesh.across[after]] = new + 1
    mesh.corner_vertex[before] = vertex
    mesh.across[after], mesh.opaque[after], mesh.gate[after] = new + 2, False, -1
    mesh.across[new + 2] = after
    return corner, new


def _join(mesh: Mesh, corner: int, other: int) -> None:
    mesh.across[corner], mesh.across[other] = other, corner


def remake_fans(mesh: Mesh) -> None:
    """Make the fans again after edges were split."""
    _make_fans(mesh)


def _make_fans(mesh: Mesh) -> None:
    mesh.fan_of = [-1] * len(mesh.corner_vertex)
    mesh.fans = []
    mesh.fan_round = []
    mesh.fans_at = [[] for _ in mesh.x]
    for corner in range(len(mesh.corner_vertex)):
        if mesh.fan_of[corner] < 0:
            _make_fan(mesh, corner)


def _make_fan(mesh: Mesh, corner: int) -> None:
    first, is_round = _rightmost(mesh, corner)
    corners = [first]
    number = len(mesh.fans)
    mesh.fan_of[first] = number
    while True:
        step = _left_of(mesh, corners[-1])
        if step < 0 or step == first:
            break
        mesh.fan_of[step] = number
        corners.append(step)
    mesh.fans.append(tuple(corners))
    mesh.fan_round.append(is_round)
    mesh.fans_at[mesh.corner_vertex[first]].append(number)


def _rightmost(mesh: Mesh, corner: int) -> tuple[int, bool]:
    here = corner
    while True:
        right = _right_of(mesh, here)
        if right < 0:
            return here, False
        if right == corner:
            return corner, True
        here = right


def _left_of(mesh: Mesh, corner: int) -> int:
    """Return the next corner counter-clockwise round the same vertex, or -1 where sight ends."""
    side = corner - corner % 3 + (corner + 1) % 3
    return -1 if mesh.opaque[side] else _turn(mesh.across[side], 1)


def _right_of(mesh: Mesh, corner: int) -> int:
    side = corner - corner % 3 + (corner + 2) % 3
    return -1 if mesh.opaque[side] else _turn(mesh.across[side], 2)
