"""What can be seen from a place in a mesh: cones pushed from triangle to triangle.

A cone is kept as (root, left vertex, right vertex), all of them points of the mesh, so that every side
test is made on input coordinates: nothing drifts. A side test nearer to zero than its own rounding error
counts as "on the line"; what lies on a cone's edge is seen.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from router.plane.mesh import Mesh

_ERROR = 4.0 * 2.0**-52
"""Bound on the rounding error of a side test, as a share of its products' sizes."""


def side(ax: float, ay: float, bx: float, by: float, cx: float, cy: float) -> float:
    """Return > 0 where c is left of the line a to b, < 0 right of it, 0 on it but for rounding.

    Examples
    --------
    >>> side(0, 0, 1, 0, 1, 1) > 0, side(0, 0, 1, 0, 2, 0)
    (True, 0.0)
    """
    first = (bx - ax) * (cy - ay)
    second = (by - ay) * (cx - ax)
    difference = first - second
    return 0.0 if abs(difference) <= _ERROR * (abs(first) + abs(second)) else difference


@dataclass(frozen=True, slots=True)
class Seen:
    """Fans and sites in sight, each with its straight distance in mm."""

    fans: tuple[tuple[int, float], ...]
    sites: tuple[tuple[int, float], ...]


@dataclass(slots=True)
class Watch:
    """A mesh made ready for looking: which fans and sites are worth reporting.

    `wanted` marks fans by number; `sites` holds points, `sites_in` their numbers by triangle.
    """

    mesh: Mesh
    wanted: list[bool]
    sites: list[tuple[float, float]]
    sites_in: dict[int, list[int]]


def triangles_at(mesh: Mesh, x: float, y: float, candidates: Sequence[int]) -> tuple[int, ...]:
    """Return those of the candidate triangles that contain the point, edges included."""
    return tuple(t for t in candidates if _contains(mesh, t, x, y))


def _contains(mesh: Mesh, triangle: int, x: float, y: float) -> bool:
    vertex = mesh.corner_vertex
    for i in range(3):
        a, b = vertex[3 * triangle + i], vertex[3 * triangle + (i + 1) % 3]
        if side(mesh.x[a], mesh.y[a], mesh.x[b], mesh.y[b], x, y) < 0.0:
            return False
    return True


def look_from_fan(watch: Watch, fan: int, came_from: tuple[float, float] | None = None) -> Seen:
    """Return what is seen from a fan's vertex, through that fan.

    Parameters
    ----------
    watch : Watch
    fan : int
    came_from : (x, y) or None
        Where the way that bends here comes from; then only what a taut way could go on to: between
        straight on and the wall that it bends round. None: everything.
    """
    mesh = watch.mesh
    v = mesh.fan_vertex(fan)
    start = (mesh.x[v], mesh.y[v])
    cones = _fan_cones(mesh, fan) if came_from is None else _taut_cones(mesh, fan, start, came_from)
    return _push(watch, start, cones)


def look_from_point(watch: Watch, x: float, y: float, triangles: Sequence[int]) -> Seen:
    """Return what is seen from a free point that lies in (or on the edge of) `triangles`."""
    mesh = watch.mesh
    cones = []
    for triangle in triangles:
        for corner in range(3 * triangle, 3 * triangle + 3):
            right, left = _edge_of(mesh, corner)
            if side(x, y, mesh.x[right], mesh.y[right], mesh.x[left], mesh.y[left]) > 0.0:
                cones.append((corner, (mesh.x[left], mesh.y[left]), (mesh.x[right], mesh.y[right])))
    return _push(watch, (x, y), cones)


_Cone = tuple[int, tuple[float, float], tuple[float, float]]


def _edge_of(mesh: Mesh, corner: int) -> tuple[int, int]:
    first = corner - corner % 3
    return mesh.corner_vertex[first + (corner + 1) % 3], mesh.corner_vertex[first + (corner + 2) % 3]


def _fan_cones(mesh: Mesh, fan: int) -> list[_Cone]:
    cones = []
    for corner in mesh.fan_corners(fan):
        right, left = _edge_of(mesh, corner)
        cones.append((corner, (mesh.x[left], mesh.y[left]), (mesh.x[right], mesh.y[right])))
    return cones


def _taut_cones(mesh: Mesh, fan: int, at: tuple[float, float], came_from: tuple[float, float]) -> list[_Cone]:
    """Keep the cones between straight on and the wall that the way bends round, the last one clipped."""
    right, left = mesh.fan_ends(fan)
    (ux, uy), (vx, vy) = came_from, at
    right_side = side(ux, uy, vx, vy, mesh.x[right], mesh.y[right])
    left_side = side(ux, uy, vx, vy, mesh.x[left], mesh.y[left])
    on = (2.0 * vx - ux, 2.0 * vy - uy)
    if right_side <= 0.0 and left_side <= 0.0 and (right_side < 0.0 or left_side < 0.0):
        return _cones_up_to(_fan_cones(mesh, fan), came_from, at, on)
    if right_side >= 0.0 and left_side >= 0.0 and (right_side > 0.0 or left_side > 0.0):
        return _cones_down_to(_fan_cones(mesh, fan), came_from, at, on)
    return _fan_cones(mesh, fan)


def _cones_up_to(
    cones: list[_Cone], u: tuple[float, float], v: tuple[float, float], on: tuple[float, float]
) -> list[_Cone]:
    kept = []
    for corner, left, right in cones:
        if side(*u, *v, *left) > 0.0:
            kept.append((corner, on, right))
            break
        kept.append((corner, left, right))
    return kept


def _cones_down_to(
    cones: list[_Cone], u: tuple[float, float], v: tuple[float, float], on: tuple[float, float]
) -> list[_Cone]:
    kept = []
    for corner, left, right in reversed(cones):
        if side(*u, *v, *right) < 0.0:
            kept.append((corner, left, on))
            break
        kept.append((corner, left, right))
    return kept


def _push(watch: Watch, root: tuple[float, float], cones: list[_Cone]) -> Seen:
    """Push the cones through the mesh. The first triangle's own vertices count as seen where inside."""
    mesh = watch.mesh
    fans: dict[int, float] = {}
    sites: dict[int, float] = {}
    rx, ry = root
    for corner, left, right in cones:
        _see_first(watch, root, corner, left, right, fans, sites)
    stack = [(mesh.across[c], lx, ly, qx, qy) for c, (lx, ly), (qx, qy) in cones if not mesh.opaque[c]]
    x, y, vertex, across, opaque = mesh.x, mesh.y, mesh.corner_vertex, mesh.across, mesh.opaque
    fan_of, wanted, sites_in = mesh.fan_of, watch.wanted, watch.sites_in
    while stack:
        corner, lx, ly, qx, qy = stack.pop()
        if corner // 3 in sites_in:
            _see_sites(watch, root, corner // 3, (lx, ly), (qx, qy), sites)
        w = vertex[corner]
        wx, wy = x[w], y[w]
        first, second = (lx - rx) * (wy - ry), (ly - ry) * (wx - rx)
        left_of = first - second
        if abs(left_of) <= _ERROR * (abs(first) + abs(second)):
            left_of = 0.0
        first, second = (qx - rx) * (wy - ry), (qy - ry) * (wx - rx)
        right_of = first - second
        if abs(right_of) <= _ERROR * (abs(first) + abs(second)):
            right_of = 0.0
        low = corner - corner % 3
        toward_left, toward_right = low + (corner + 2) % 3, low + (corner + 1) % 3
        if left_of <= 0.0 <= right_of:
            fan = fan_of[corner]
            if wanted[fan] and fan not in fans:
                fans[fan] = math.hypot(wx - rx, wy - ry)
            if left_of < 0.0 and not opaque[toward_left]:
                stack.append((across[toward_left], lx, ly, wx, wy))
            if right_of > 0.0 and not opaque[toward_right]:
                stack.append((across[toward_right], wx, wy, qx, qy))
        elif left_of > 0.0:
            if not opaque[toward_right]:
                stack.append((across[toward_right], lx, ly, qx, qy))
        elif not opaque[toward_left]:
            stack.append((across[toward_left], lx, ly, qx, qy))
    return Seen(tuple(fans.items()), tuple(sites.items()))


def _in_cone(
    root: tuple[float, float], left: tuple[float, float], right: tuple[float, float], p: tuple[float, float]
) -> bool:
    return side(*root, *left, *p) <= 0.0 <= side(*root, *right, *p)


def _see_first(
    watch: Watch,
    root: tuple[float, float],
    corner: int,
    left: tuple[float, float],
    right: tuple[float, float],
    fans: dict[int, float],
    sites: dict[int, float],
) -> None:
    """See the far edge's two vertices, and the sites, of the triangle that a cone starts in."""
    mesh = watch.mesh
    first = corner - corner % 3
    for other in (first + (corner + 1) % 3, first + (corner + 2) % 3):
        v, fan = mesh.corner_vertex[other], mesh.fan_of[other]
        point = (mesh.x[v], mesh.y[v])
        if watch.wanted[fan] and fan not in fans and _in_cone(root, left, right, point):
            fans[fan] = math.dist(point, root)
    if corner // 3 in watch.sites_in:
        _see_sites(watch, root, corner // 3, left, right, sites)


def _see_sites(
    watch: Watch,
    root: tuple[float, float],
    triangle: int,
    left: tuple[float, float],
    right: tuple[float, float],
    sites: dict[int, float],
) -> None:
    for site in watch.sites_in[triangle]:
        point = watch.sites[site]
        if site not in sites and _in_cone(root, left, right, point):
            sites[site] = math.dist(point, root)


def edges_seen_from_edge(
    watch: Watch, corner: int, wanted_edges: Sequence[bool]
) -> tuple[set[int], set[int], set[int]]:
    """Return the edges, fans and sites that may be seen from somewhere on the edge opposite to `corner`.

    Generous: whatever some point of the edge sees is returned, and perhaps a little more. An edge is
    returned as the corner opposite to it, on the side that faces the looker.
    """
    mesh = watch.mesh
    x, y, vertex = mesh.x, mesh.y, mesh.corner_vertex
    right, left = _edge_of(mesh, corner)[::-1]
    lx0, ly0, rx0, ry0 = x[left], y[left], x[right], y[right]
    edges: set[int] = set()
    fans: set[int] = set()
    sites: set[int] = set()
    stack = [(corner, lx0, ly0, rx0, ry0)]
    while stack:
        at, lx, ly, qx, qy = stack.pop()
        sites.update(watch.sites_in.get(at // 3, ()))
        w = vertex[at]
        wx, wy = x[w], y[w]
        left_of = side(rx0, ry0, lx, ly, wx, wy)
        right_of = side(lx0, ly0, qx, qy, wx, wy)
        low = at - at % 3
        if left_of <= 0.0 <= right_of:
            if watch.wanted[mesh.fan_of[at]]:
                fans.add(mesh.fan_of[at])
            go_left, go_right, mid = True, True, (wx, wy)
        else:
            go_left, go_right, mid = left_of <= 0.0, left_of > 0.0, None
        for go, edge, is_left in (
            (go_left, low + (at + 2) % 3, True),
            (go_right, low + (at + 1) % 3, False),
        ):
            if not go:
                continue
            if wanted_edges[edge]:
                edges.add(edge)
            if mesh.opaque[edge]:
                continue
            if mid is None:
                stack.append((mesh.across[edge], lx, ly, qx, qy))
            elif is_left:
                stack.append((mesh.across[edge], lx, ly, *mid))
            else:
                stack.append((mesh.across[edge], *mid, qx, qy))
    return edges, fans, sites
