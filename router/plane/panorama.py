"""What is seen from many places of a mesh at once: the cones of `sight`, pushed together with numpy.

Looking from one place is a matter of microseconds a triangle in plain Python; where hundreds of places look
round, all their cones take one step from triangle to triangle together. A side test is made as `sight` makes
it: on input coordinates, and "on the line" where nearer to zero than its own rounding error.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from router.plane.mesh import Mesh
from router.tolerances import ANGLE_TOLERANCE_RAD, SIDE_ERROR


@dataclass(frozen=True, slots=True)
class Viewpoints:
    """Places to look from, and the cones that they look through, as arrays.

    `x`, `y` by place. By cone: `place`, and the `corner` opposite to the edge that it looks through, in a
    triangle that holds the place.
    """

    x: Any
    y: Any
    place: Any
    corner: Any


@dataclass(frozen=True, slots=True)
class Panorama:
    """What was seen, as arrays; one place may see one thing several times.

    Fans: `fan_place`, `fan`. Edges, as corners on the side that they are seen from: `edge_place`, `edge`, and
    from which share of the edge to which it is seen at most, counted from the corner after it.
    """

    fan_place: Any
    fan: Any
    edge_place: Any
    edge: Any
    low: Any
    high: Any


def from_fans(mesh: Mesh) -> Viewpoints:
    """Return all fans of a mesh as viewpoints, numbered as they are."""
    at = np.asarray(mesh.fans, dtype=np.int64)
    x, y = np.asarray(mesh.corner_x)[at], np.asarray(mesh.corner_y)[at]
    return Viewpoints(x, y, np.asarray(mesh.fan_of, dtype=np.int64), np.arange(len(mesh.fan_of)))


def from_edges(mesh: Mesh, corners: Any, shares: Any) -> Viewpoints:
    """Return places on the edges opposite to corners as viewpoints, to both sides where those are not opaque.

    `shares` are counted from the corner after.

    Parameters
    ----------
    mesh : Mesh
    corners : (n,) array of int
        Opposite to the edges.
    shares : (n,) array
        How far along each edge the place is, 0 to 1.
    """
    after, before = turned(corners, 1), turned(corners, 2)
    x, y = np.asarray(mesh.corner_x), np.asarray(mesh.corner_y)
    place = np.arange(len(corners))
    through = np.flatnonzero(~np.asarray(mesh.opaque, dtype=bool)[corners])
    behind = np.asarray(mesh.across, dtype=np.int64)[corners[through]]
    return Viewpoints(
        x[after] + shares * (x[before] - x[after]),
        y[after] + shares * (y[before] - y[after]),
        np.concatenate([place, place, through, through]),
        np.concatenate([after, before, turned(behind, 1), turned(behind, 2)]),
    )


def from_points(mesh: Mesh, points: Sequence[tuple[float, float]], triangles: Sequence[Any]) -> Viewpoints:
    """Return free points as viewpoints, each with the triangles that hold it.

    Parameters
    ----------
    mesh : Mesh
    points : sequence of (x, y)
        [mm]
    triangles : sequence of tuple of int
        By point: those that hold it.
    """
    place = np.repeat(np.arange(len(points)), [3 * len(own) for own in triangles])
    corner = np.array([3 * t + k for own in triangles for t in own for k in range(3)], dtype=np.int64)
    at = np.array(points, dtype=float).reshape(-1, 2)
    return Viewpoints(at[:, 0], at[:, 1], place, corner)


def turned(corners: Any, steps: int) -> Any:
    """Return the corners some steps further on in their triangles."""
    return corners - corners % 3 + (corners + steps) % 3


def look_round(mesh: Mesh, shown: Any, is_line: Any, views: Viewpoints) -> Panorama:
    """Return which fans and marked edges are seen from viewpoints; a graze along an edge is no sight.

    Parameters
    ----------
    mesh : Mesh
    shown : array of int
        By corner: its fan where that is to be told, else -1.
    is_line : array of bool
        By corner: whether the edge opposite to it is to be told.
    views : Viewpoints
    """
    return _Looking(mesh, shown, is_line, views).panorama()


class _Looking:
    """One look from many places."""

    def __init__(self, mesh: Mesh, shown: Any, is_line: Any, views: Viewpoints) -> None:
        self.x, self.y = np.asarray(mesh.corner_x), np.asarray(mesh.corner_y)
        self.across = np.asarray(mesh.across, dtype=np.int64)
        self.opaque = np.asarray(mesh.opaque, dtype=bool)
        self.beyond_left, self.beyond_right = (
            np.asarray(mesh.beyond_left, dtype=np.int64),
            np.asarray(mesh.beyond_right, dtype=np.int64),
        )
        self.shown, self.is_line, self.views = (
            np.asarray(shown, dtype=np.int64),
            np.asarray(is_line, dtype=bool),
            views,
        )
        self.fans: list[tuple[Any, Any]] = []
        self.edges: list[tuple[Any, ...]] = []

    def panorama(self) -> Panorama:
        """Push all cones to the end, and return what they met."""
        cones = self._begin()
        while len(cones[0]):
            cones = self._step(*cones)
        fans = [np.concatenate(column) for column in zip(*self.fans, strict=True)]
        edges = [np.concatenate(column) for column in zip(*self.edges, strict=True)]
        return Panorama(fans[0], fans[1], *edges)

    def _begin(self) -> tuple[Any, ...]:
        """See what lies in the first triangles; return the cones beyond them."""
        place, corner = self.views.place, self.views.corner
        right, left = turned(corner, 1), turned(corner, 2)
        rx, ry = self.views.x[place], self.views.y[place]
        lx, ly = self.x[left] - rx, self.y[left] - ry
        qx, qy = self.x[right] - rx, self.y[right] - ry
        is_open = _side(qx, qy, lx, ly) > 0.0
        for end in (left, right):
            self._see_fans(place[is_open], end[is_open])
        place, corner, lx, ly, qx, qy = (a[is_open] for a in (place, corner, lx, ly, qx, qy))
        self._see_edges(place, corner, lx, ly, qx, qy)
        on = ~self.opaque[corner]
        return tuple(a[on] for a in (place, self.across[corner], lx, ly, qx, qy))

    def _step(self, place: Any, corner: Any, lx: Any, ly: Any, qx: Any, qy: Any) -> tuple[Any, ...]:
        """Take every cone over one triangle; return the one or two cones that go on from it."""
        wx, wy = self.x[corner] - self.views.x[place], self.y[corner] - self.views.y[place]
        left_of, right_of = _side(lx, ly, wx, wy), _side(qx, qy, wx, wy)
        to_right, to_left = right_of > 0.0, left_of < 0.0
        inside = (left_of <= 0.0) & (right_of >= 0.0)
        self._see_fans(place[inside], corner[inside])
        ax, ay = np.where(inside, wx, lx), np.where(inside, wy, ly)
        bx, by = np.where(inside, wx, qx), np.where(inside, wy, qy)
        self._see_edges(*(a[to_right] for a in (place, turned(corner, 1), ax, ay, qx, qy)))
        self._see_edges(*(a[to_left] for a in (place, turned(corner, 2), lx, ly, bx, by)))
        right_on, left_on = self.beyond_right[corner], self.beyond_left[corner]
        to_right &= right_on >= 0
        to_left &= left_on >= 0
        return tuple(
            np.concatenate([one[to_right], other[to_left]])
            for one, other in (
                (place, place), (right_on, left_on), (ax, lx), (ay, ly), (qx, bx), (qy, by)
            )
        )  # fmt: skip

    def _see_fans(self, place: Any, corner: Any) -> None:
        fan = self.shown[corner]
        kept = fan >= 0
        self.fans.append((place[kept].astype(np.int32), fan[kept].astype(np.int32)))  # there may be millions

    def _see_edges(self, place: Any, corner: Any, lx: Any, ly: Any, qx: Any, qy: Any) -> None:
        """See those of the edges that are marked, between a left and a right ray."""
        kept = self.is_line[corner]
        place, corner, lx, ly, qx, qy = (a[kept] for a in (place, corner, lx, ly, qx, qy))
        right, left = turned(corner, 1), turned(corner, 2)
        rx, ry = self.views.x[place], self.views.y[place]
        ax, ay, bx, by = self.x[right] - rx, self.y[right] - ry, self.x[left] - rx, self.y[left] - ry
        low = _share_at(qx, qy, ax, ay, bx, by, -1.0)
        high = _share_at(lx, ly, ax, ay, bx, by, 1.0)
        self.edges.append((place, corner, np.maximum(low, 0.0), np.minimum(high, 1.0)))


def _side(ax: Any, ay: Any, bx: Any, by: Any) -> Any:
    """Return > 0 where b is left of the ray to a, both as seen from the root, 0 on it but for rounding."""
    first, second = ax * by, ay * bx
    difference = first - second
    return np.where(np.abs(difference) <= SIDE_ERROR * (np.abs(first) + np.abs(second)), 0.0, difference)


def _share_at(dx: Any, dy: Any, ax: Any, ay: Any, bx: Any, by: Any, sign: float) -> Any:
    """Return where a ray meets the line from a to b, as a share of it, and more than rounding."""
    to_a, to_b = dx * ay - dy * ax, dx * by - dy * bx
    error = SIDE_ERROR * (np.abs(dx * ay) + np.abs(dy * ax) + np.abs(dx * by) + np.abs(dy * bx))
    turn = to_b - to_a
    sure = np.abs(turn) > 2.0 * error
    share = -to_a / np.where(sure, turn, 1.0)
    share = share + sign * (
        ANGLE_TOLERANCE_RAD + 4.0 * error / np.where(sure, np.abs(turn), 1.0) * (1.0 + np.abs(share))
    )
    return np.where(sure, share, 0.0 if sign < 0.0 else 1.0)
