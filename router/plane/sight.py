"""What can be seen from a place in a mesh: cones pushed from triangle to triangle.

A cone is kept as (root, left vertex, right vertex), all of them points of the mesh, so that every side
test is made on input coordinates: nothing drifts. A side test nearer to zero than its own rounding error
counts as "on the line"; what lies on a cone's edge is seen.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, field
from typing import NamedTuple, TypeAlias

import numpy as np

from router.plane.mesh import Mesh
from router.tolerances import SIDE_ERROR


def side(ax: float, ay: float, bx: float, by: float, cx: float, cy: float) -> float:
    """Return > 0 where c is left of the line a to b, < 0 right of it, 0 on it but for rounding.

    Parameters
    ----------
    ax, ay, bx, by : float
        Two points on the line, in its direction.
    cx, cy : float
        The point that is asked about.

    Examples
    --------
    >>> side(0, 0, 1, 0, 1, 1) > 0, side(0, 0, 1, 0, 2, 0)
    (True, 0.0)
    """
    first = (bx - ax) * (cy - ay)
    second = (by - ay) * (cx - ax)
    difference = first - second
    return 0.0 if abs(difference) <= SIDE_ERROR * (abs(first) + abs(second)) else difference


class Seen(NamedTuple):
    """Fans in sight, and sites, each of these with its straight distance in mm."""

    fans: tuple[int, ...]
    sites: tuple[tuple[int, float], ...]


_Step: TypeAlias = tuple[float, float, int, int, int]
"""By corner: its x and y, what lies beyond the edges on its left and on its right, and its fan if wanted."""


@dataclass(slots=True)
class VisibilityIndex:
    """A mesh made ready for looking: which fans and sites are worth reporting.

    `wanted` marks fans by number; `sites` holds points, `sites_in` their numbers by triangle. Looks from
    fans report only the `fixed` sites: the others may move, and are looked from instead.
    """

    mesh: Mesh
    wanted: list[bool]
    sites: list[tuple[float, float]]
    fixed: frozenset[int]
    triangles_of: list[tuple[int, ...]] = field(init=False)
    """By site: the triangles that hold it; none where it is not in free space."""
    sites_in: dict[int, list[int]] = field(init=False)
    fixed_in: dict[int, list[int]] = field(init=False)
    shown: list[int] = field(init=False)
    """By corner: its fan where that is wanted, else -1."""
    beyond: list[_Step] = field(init=False)

    def __post_init__(self) -> None:
        fan_of = np.asarray(self.mesh.fan_of, dtype=np.int64)
        self.shown = np.where(np.asarray(self.wanted, dtype=bool)[fan_of], fan_of, -1).tolist()
        mesh = self.mesh
        self.beyond = list(
            zip(mesh.corner_x, mesh.corner_y, mesh.beyond_left, mesh.beyond_right, self.shown, strict=True)
        )
        self._put_all()

    def with_sites(self, sites: list[tuple[float, float]], fixed: frozenset[int]) -> VisibilityIndex:
        """Return an index of the same mesh with other sites; what is made of the mesh is shared.

        Parameters
        ----------
        sites : list of (x, y)
            The points. [mm]
        fixed : frozenset of int
            The numbers of those that never move.
        """
        other = copy(self)
        other.sites, other.fixed = sites, fixed
        other._put_all()
        return other

    def _put_all(self) -> None:
        self.triangles_of = [triangles_holding(self.mesh, x, y) for x, y in self.sites]
        self.sites_in, self.fixed_in = {}, {}
        for site in range(len(self.sites)):
            self._put(site)

    def move_site(self, site: int, x: float, y: float) -> None:
        """Put a site that is not fixed somewhere else.

        Parameters
        ----------
        site : int
        x, y : float
            Where to. [mm]
        """
        for triangle in self.triangles_of[site]:
            self.sites_in[triangle].remove(site)
        self.sites[site] = (x, y)
        self.triangles_of[site] = triangles_holding(self.mesh, x, y)
        self._put(site)

    def _put(self, site: int) -> None:
        for triangle in self.triangles_of[site]:
            self.sites_in.setdefault(triangle, []).append(site)
            if site in self.fixed:
                self.fixed_in.setdefault(triangle, []).append(site)


def triangles_holding(mesh: Mesh, x: float, y: float) -> tuple[int, ...]:
    """Return the triangles that hold a point, edges included; none where it is not in free space.

    Parameters
    ----------
    mesh : Mesh
    x, y : float
        The point. [mm]
    """
    assert mesh.cells is not None, "a mesh has fans before anyone looks"
    return tuple(t for t in mesh.cells.boxes_near(x, y) if _contains(mesh, t, x, y))


def _contains(mesh: Mesh, triangle: int, x: float, y: float) -> bool:
    vertex = mesh.corner_vertex
    for i in range(3):
        a, b = vertex[3 * triangle + i], vertex[3 * triangle + (i + 1) % 3]
        if side(mesh.x[a], mesh.y[a], mesh.x[b], mesh.y[b], x, y) < 0.0:
            return False
    return True


def look_from_fan(
    visibility: VisibilityIndex, fan: int, came_from: tuple[float, float] | None = None
) -> Seen:
    """Return what is seen from a fan's vertex, through that fan; of the sites, only the fixed ones.

    Parameters
    ----------
    visibility : VisibilityIndex
    fan : int
    came_from : (x, y) or None
        Where the way that bends here comes from; then only what a taut way could go on to: between
        straight on and the wall that it bends round. None: everything.
    """
    mesh = visibility.mesh
    corner = mesh.fans[fan]
    start = (mesh.corner_x[corner], mesh.corner_y[corner])
    if came_from is None:
        cones = _cones_leftward(mesh, fan, start, None)
    else:
        cones = _taut_cones(mesh, fan, start, came_from)
    return _push(visibility, start, cones, visibility.fixed_in)


def look_from_point(visibility: VisibilityIndex, x: float, y: float, triangles: Sequence[int]) -> Seen:
    """Return what is seen from a free point that lies in (or on the edge of) `triangles`.

    Parameters
    ----------
    visibility : VisibilityIndex
    x, y : float
        The point. [mm]
    triangles : sequence of int
        Those that hold the point, or some of them: what is seen through them.
    """
    cones = []
    for triangle in triangles:
        for corner in range(3 * triangle, 3 * triangle + 3):
            cone = _cone(visibility.mesh, corner, (x, y))
            if _side_of(cone[2], cone[1]) > 0.0:
                cones.append(cone)
    return _push(visibility, (x, y), cones, visibility.sites_in)


_Cone = tuple[int, tuple[float, float], tuple[float, float]]
"""The corner opposite to the edge looked through, and its left and right end as seen from the root."""


def _cone(mesh: Mesh, corner: int, root: tuple[float, float]) -> _Cone:
    first = corner - corner % 3
    right, left = first + (corner + 1) % 3, first + (corner + 2) % 3
    rx, ry = root
    return (
        corner,
        (mesh.corner_x[left] - rx, mesh.corner_y[left] - ry),
        (mesh.corner_x[right] - rx, mesh.corner_y[right] - ry),
    )


def _side_of(ray: tuple[float, float], p: tuple[float, float]) -> float:
    """Return > 0 where p is left of a ray from the root, < 0 right of it; both as seen from the root."""
    first, second = ray[0] * p[1], ray[1] * p[0]
    difference = first - second
    return 0.0 if abs(difference) <= SIDE_ERROR * (abs(first) + abs(second)) else difference


def _taut_cones(mesh: Mesh, fan: int, at: tuple[float, float], came_from: tuple[float, float]) -> list[_Cone]:
    """Return the cones between straight on and the wall that the way bends round, the last one clipped."""
    on = (at[0] - came_from[0], at[1] - came_from[1])
    right_side = _side_of(on, _cone(mesh, mesh.fans[fan], at)[2])
    left_side = _side_of(on, _cone(mesh, mesh.fan_left[fan], at)[1])
    if right_side <= 0.0 and left_side <= 0.0 and (right_side < 0.0 or left_side < 0.0):
        return _cones_leftward(mesh, fan, at, on)
    if right_side >= 0.0 and left_side >= 0.0 and (right_side > 0.0 or left_side > 0.0):
        return _cones_rightward(mesh, fan, at, on)
    return _cones_leftward(mesh, fan, at, None)


def _cones_leftward(
    mesh: Mesh, fan: int, at: tuple[float, float], on: tuple[float, float] | None
) -> list[_Cone]:
    """Return the cones from a fan's right end to its left one, or as far as a ray."""
    corner, last = mesh.fans[fan], mesh.fan_left[fan]
    kept = []
    while True:
        cone = _cone(mesh, corner, at)
        if on is not None and _side_of(on, cone[1]) > 0.0:
            kept.append((corner, on, cone[2]))
            return kept
        kept.append(cone)
        if corner == last:
            return kept
        across = mesh.across[corner + 1 if corner % 3 < 2 else corner - 2]
        corner = across + 1 if across % 3 < 2 else across - 2


def _cones_rightward(mesh: Mesh, fan: int, at: tuple[float, float], on: tuple[float, float]) -> list[_Cone]:
    """Return the cones from a fan's left end toward its right one, as far as a ray."""
    corner, last = mesh.fan_left[fan], mesh.fans[fan]
    kept = []
    while True:
        cone = _cone(mesh, corner, at)
        if _side_of(on, cone[2]) < 0.0:
            kept.append((corner, cone[1], on))
            return kept
        kept.append(cone)
        if corner == last:
            return kept
        across = mesh.across[corner - 1 if corner % 3 else corner + 2]
        corner = across - 1 if across % 3 else across + 2


def _push(
    visibility: VisibilityIndex, root: tuple[float, float], cones: list[_Cone], sites_in: dict[int, list[int]]
) -> Seen:
    """Push the cones through the mesh. The first triangle's own vertices count as seen where inside.

    This is where a search spends its time: plain floats, a full error bound only where a side test is
    nearly zero, and no calls.
    """
    mesh, sure, beyond = visibility.mesh, visibility.mesh.sure, visibility.beyond
    fans: dict[int, None] = {}
    sites: dict[int, float] = {}
    rx, ry = root
    for cone in cones:
        _see_first(visibility, root, cone, sites_in, fans, sites)
    stack = [
        (mesh.across[corner], lx, ly, qx, qy)
        for corner, (lx, ly), (qx, qy) in cones
        if not mesh.opaque[corner]
    ]
    while stack:
        corner, lx, ly, qx, qy = stack.pop()
        while corner >= 0:
            if sites_in and corner // 3 in sites_in:
                _see_sites(visibility, root, sites_in[corner // 3], (lx, ly), (qx, qy), sites)
            wx, wy, to_left, to_right, fan = beyond[corner]
            wx -= rx
            wy -= ry
            left_of = lx * wy - ly * wx
            if left_of >= sure:
                corner = to_right
                continue
            right_of = qx * wy - qy * wx
            if right_of <= -sure:
                corner = to_left
                continue
            if left_of > -sure or right_of < sure:  # on a side of the cone, or nearly so
                left_of, right_of = _side_of((lx, ly), (wx, wy)), _side_of((qx, qy), (wx, wy))
                if left_of > 0.0 or right_of < 0.0:
                    corner = to_right if left_of > 0.0 else to_left
                    continue
            if fan >= 0:
                fans[fan] = None
            if right_of > 0.0 and to_right >= 0:
                stack.append((to_right, wx, wy, qx, qy))
            corner = to_left if left_of < 0.0 else -1
            qx, qy = wx, wy
    return Seen(tuple(fans), tuple(sites.items()))


def _see_first(
    visibility: VisibilityIndex,
    root: tuple[float, float],
    cone: _Cone,
    sites_in: dict[int, list[int]],
    fans: dict[int, None],
    sites: dict[int, float],
) -> None:
    """See the far edge's two vertices, and the sites, of the triangle that a cone starts in."""
    mesh = visibility.mesh
    corner, left, right = cone
    first = corner - corner % 3
    for other in (first + (corner + 1) % 3, first + (corner + 2) % 3):
        if visibility.shown[other] >= 0:
            point = (mesh.corner_x[other] - root[0], mesh.corner_y[other] - root[1])
            if point in (left, right) or _side_of(left, point) <= 0.0 <= _side_of(right, point):
                fans[visibility.shown[other]] = None
    if corner // 3 in sites_in:
        _see_sites(visibility, root, sites_in[corner // 3], left, right, sites)


def _see_sites(
    visibility: VisibilityIndex,
    root: tuple[float, float],
    numbers: list[int],
    left: tuple[float, float],
    right: tuple[float, float],
    sites: dict[int, float],
) -> None:
    for site in numbers:
        x, y = visibility.sites[site]
        point = (x - root[0], y - root[1])
        if site not in sites and _side_of(left, point) <= 0.0 <= _side_of(right, point):
            sites[site] = math.hypot(*point)
