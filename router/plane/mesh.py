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

from router.plane.cells import Cells, make_cells
from router.tolerances import GRID_MM, ON_NODED_LINE_MM, SIDE_ERROR

MANY_VERTICES = 20_000
"""Free space with more vertices than this is cut into strips before it is triangulated ..."""
STRIP_VERTICES = 4_000
"""... of about so many vertices each."""


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
    marked: list[bool]
    """By corner: whether its edge was marked by the user of the mesh; both halves of a split edge are."""
    fan_of: list[int] = field(default_factory=list)
    """By corner: its fan."""
    fans: list[int] = field(default_factory=list)
    """By fan: its rightmost corner; any of them where it goes all the way round."""
    fan_left: list[int] = field(default_factory=list)
    """By fan: its leftmost corner."""
    fan_round: list[bool] = field(default_factory=list)
    """By fan: whether it goes all the way round its vertex."""
    fans_at: list[range] = field(default_factory=list)
    """By vertex: its fans."""
    beyond_left: list[int] = field(default_factory=list)
    """By corner: the corner opposite to the edge on its left, in the next triangle, or -1 where opaque."""
    beyond_right: list[int] = field(default_factory=list)
    corner_x: list[float] = field(default_factory=list)
    corner_y: list[float] = field(default_factory=list)
    sure: float = 0.0
    """A side test between points of the mesh that comes out larger than this is surely not zero."""
    cells: Cells | None = None
    """Which triangles' boxes may hold a point."""

    def fan_vertex(self, fan: int) -> int:
        """Return the vertex that a fan goes round."""
        return self.corner_vertex[self.fans[fan]]

    def fan_region(self, fan: int) -> int:
        """Return the region that a fan lies in."""
        return self.region[self.fans[fan] // 3]

    def fan_sides(self, fan: int) -> tuple[int, int]:
        """Return the corners whose edges bound a fan on its right and on its left."""
        return _turn(self.fans[fan], 2), _turn(self.fan_left[fan], 1)

    def fan_ends(self, fan: int) -> tuple[int, int]:
        """Return the outer vertices of a fan's right and left edge."""
        right, left = _turn(self.fans[fan], 1), _turn(self.fan_left[fan], 2)
        return self.corner_vertex[right], self.corner_vertex[left]

    def fan_corners(self, fan: int) -> tuple[int, ...]:
        """Return the corners of a fan in counter-clockwise order."""
        corners = [self.fans[fan]]
        last = self.fan_left[fan]
        while corners[-1] != last:
            corners.append(_turn(self.across[_turn(corners[-1], 1)], 1))
        return tuple(corners)


def _turn(corner: int, steps: int) -> int:
    first = corner - corner % 3
    return first + (corner - first + steps) % 3


def faces_of(free: Any, lines: Sequence[Any]) -> Any:
    """Return the pieces of `free` between `lines`, as an array of polygons that share their vertices.

    All lines and the boundary are noded in one union: lines cut to the boundary first would end beside
    it by rounding, and faces would vanish. All points are rounded to a grid, or lines that nearly lie on
    each other would leave triangles turned inside out. Lines may reach outside; what they cut there is
    dropped.
    """
    lines = [*lines, *_strip_lines(free)]
    if not lines:
        faces = shapely.get_parts(free)
        return faces[~shapely.is_empty(faces)]
    noded = shapely.union_all([free.boundary, *lines], grid_size=GRID_MM)
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    shapely.prepare(free)
    return faces[shapely.contains_properly(free, shapely.point_on_surface(faces))]


def _strip_lines(free: Any) -> list[Any]:
    """Return lines that cut very large free space into strips.

    Triangulating takes time with the square of the vertices where there are many holes; in strips it does
    not. A cut is no border: it is seen through.
    """
    vertices = int(shapely.get_num_coordinates(free))
    if vertices < MANY_VERTICES:
        return []
    low_x, low_y, high_x, high_y = free.bounds
    strips = vertices // STRIP_VERTICES
    at = low_x + (high_x - low_x) * np.arange(1, strips) / strips
    return list(shapely.linestrings([[(x, low_y - 1.0), (x, high_y + 1.0)] for x in at.tolist()]))


def build_mesh(faces: Any, regions: Sequence[int], gates: Sequence[Any]) -> Mesh:
    """Return the mesh of `faces`; edges between different regions, and edges on a gate line, are opaque.

    It has no fans yet: call `make_fans` once all edges are split.

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
    rings, index = shapely.get_coordinates(pieces, return_index=True)
    points, face_index = _counter_clockwise(rings.reshape(-1, 4, 2)[:, :3]), index[::4]
    vertices, corner_vertex = _distinct(points.reshape(-1, 2))
    across = _neighbours(corner_vertex, len(vertices))
    region = np.asarray(regions, dtype=np.int64)[face_index]
    gate = _gates_on_edges(vertices, corner_vertex, gates)
    inside = across >= 0
    opaque = ~inside | (gate >= 0)
    corner_region = np.repeat(region, 3)
    opaque[inside] |= corner_region[inside] != corner_region[across[inside]]
    return Mesh(
        x=vertices[:, 0].tolist(),
        y=vertices[:, 1].tolist(),
        corner_vertex=corner_vertex.tolist(),
        across=across.tolist(),
        region=region.tolist(),
        opaque=opaque.tolist(),
        gate=gate.tolist(),
        marked=[False] * len(gate),
    )


def _counter_clockwise(points: Any) -> Any:
    a, b, c = points[:, 0], points[:, 1], points[:, 2]
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    points = points.copy()
    points[area < 0] = points[area < 0][:, ::-1]
    return points


def _distinct(points: Any) -> tuple[Any, Any]:
    """Return the different ones of some points, and which of them each point is."""
    order = np.lexsort((points[:, 1], points[:, 0]))
    ordered = points[order]
    is_new = np.ones(len(points), dtype=bool)
    is_new[1:] = (ordered[1:] != ordered[:-1]).any(axis=1)
    number = np.empty(len(points), dtype=np.int64)
    number[order] = np.cumsum(is_new) - 1
    return ordered[is_new], number


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
        gate[both[shapely.dwithin(middle, line, ON_NODED_LINE_MM)]] = number
    return gate


def vertices_on(vertices: Any, line: Any) -> Any:
    """Return, for an (n, 2) array of points, which lie on `line` but for rounding."""
    low_x, low_y, high_x, high_y = line.bounds
    near = (
        (vertices[:, 0] >= low_x - ON_NODED_LINE_MM)
        & (vertices[:, 0] <= high_x + ON_NODED_LINE_MM)
        & (vertices[:, 1] >= low_y - ON_NODED_LINE_MM)
        & (vertices[:, 1] <= high_y + ON_NODED_LINE_MM)
    )
    near[near] = shapely.dwithin(shapely.points(vertices[near]), line, ON_NODED_LINE_MM)
    return near


def split_edge(mesh: Mesh, corner: int, share: float) -> int:
    """Put a vertex on the edge opposite to `corner`, `share` of the way along it; return the vertex.

    Both triangles at the edge become two. The fans are stale afterwards: call `make_fans`.

    Parameters
    ----------
    mesh : Mesh
        Changed in place.
    corner : int
        Opposite to the edge.
    share : float
        How far along the edge, from the corner after that one; 0 to 1.
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
    mesh.marked += [mesh.marked[corner], mesh.marked[after], False]
    if mesh.across[after] >= 0:
        mesh.across[mesh.across[after]] = new + 1
    mesh.corner_vertex[before] = vertex
    mesh.across[after], mesh.opaque[after], mesh.gate[after] = new + 2, False, -1
    mesh.marked[after] = False
    mesh.across[new + 2] = after
    return corner, new


def _join(mesh: Mesh, corner: int, other: int) -> None:
    mesh.across[corner], mesh.across[other] = other, corner


def mark_edge(mesh: Mesh, corner: int) -> None:
    """Mark the edge opposite to a corner, on both of its sides."""
    mesh.marked[corner] = True
    if mesh.across[corner] >= 0:
        mesh.marked[mesh.across[corner]] = True


def make_fans(mesh: Mesh) -> None:
    """Find all fans at once: from every corner to the right, in steps that double, until sight ends."""
    corner_vertex = np.asarray(mesh.corner_vertex, dtype=np.int64)
    here = np.arange(len(corner_vertex))
    after = here + np.where(here % 3 == 2, -2, 1)
    before = here + np.where(here % 3 == 0, 2, -1)
    across, opaque = np.asarray(mesh.across, dtype=np.int64), np.asarray(mesh.opaque, dtype=bool)
    right_of = np.where(opaque[before], -1, before[across[before]])
    rightmost, is_round = _last_on_the_right(right_of, int(np.bincount(corner_vertex).max(initial=0)))
    fans, number = np.unique(corner_vertex[rightmost] * len(here) + rightmost, return_inverse=True)
    fans %= len(here)
    left = right_of[fans]  # all the way round, the leftmost is next to the rightmost
    ends = np.flatnonzero(opaque[after])
    left[number[ends]] = ends
    counts = np.bincount(corner_vertex[fans], minlength=len(mesh.x))
    stops = np.cumsum(counts).tolist()
    mesh.fan_of, mesh.fans, mesh.fan_left = number.tolist(), fans.tolist(), left.tolist()
    mesh.fan_round = is_round[fans].tolist()
    mesh.fans_at = [range(stop - count, stop) for stop, count in zip(stops, counts.tolist(), strict=True)]
    mesh.beyond_left = np.where(opaque[before], -1, across[before]).tolist()
    mesh.beyond_right = np.where(opaque[after], -1, across[after]).tolist()
    x, y = np.asarray(mesh.x)[corner_vertex], np.asarray(mesh.y)[corner_vertex]
    mesh.corner_x, mesh.corner_y = x.tolist(), y.tolist()
    size_mm = max(float(np.ptp(x)), float(np.ptp(y))) if len(here) else 0.0
    mesh.sure = 2.0 * SIDE_ERROR * size_mm**2
    x, y = x.reshape(-1, 3), y.reshape(-1, 3)
    mesh.cells = make_cells(x.min(1), y.min(1), x.max(1), y.max(1))


def _last_on_the_right(right_of: Any, longest: int) -> tuple[Any, Any]:
    """Return for each corner the last one to the right of it; all the way round, the one of least number.

    `right_of` is -1 where sight ends; `longest` is the most corners that lie round one vertex.
    """
    step = np.where(right_of >= 0, right_of, np.arange(len(right_of)))
    least = np.minimum(step, np.arange(len(right_of)))
    for _ in range(longest.bit_length()):
        least = np.minimum(least, least[step])
        step = step[step]
    is_round = right_of[step] >= 0
    return np.where(is_round, least, step), is_round
