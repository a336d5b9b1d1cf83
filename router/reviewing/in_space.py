"""How near a straight piece of a loom's centre line comes to a body in space, exactly. Lengths in mm.

A body is the footprint that was measured, from one height to another. At a share t of a segment its distance
is f(t) = hypot(plan distance to the core less its reach, height above or below it). On a level or an upright
segment one of the two does not vary, so that the least f is that of the least of the other. On a sloped one
each side of the core, grown by the reach, is a convex body of its own (a slab, a wall of an area), to which
half the square of f is convex and smooth along the segment: where its slope changes sign is the nearest
place, found by halving to less than rounding. Inside an area f is the height above or below alone, straight
piece by piece, so that it is least at an end of the segment, where it comes to the body's top or bottom, or
at a wall.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from shapely import LineString, Polygon
from shapely import Point as ShapelyPoint
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from router.model.vehicle import KeepOut, Point, Shape, ShapeKind
from router.reviewing.route_segments import Segment

HALVINGS = 60
"""Of a segment: 2^-60 of 50 m is 4e-14 mm, and a distance varies no faster than the way."""
KEPT_CORES = 4096


@dataclass(frozen=True, slots=True)
class Nearest:
    """The place of a centre line that is nearest to a body; `distance_mm` is to the centre line."""

    distance_mm: float
    station_mm: float


@dataclass(frozen=True, slots=True)
class Body:
    """A body ready to be measured: its core, how far it reaches round that, from which height to which."""

    core: BaseGeometry
    sides: tuple[tuple[Point, Point], ...]
    """The straight pieces of its core; those round an area."""
    reach_mm: float
    low_mm: float
    high_mm: float

    def least_mm(self, segment: Segment) -> float:
        """Return a distance that `segment` keeps: the true one unless it is sloped."""
        plan_mm = max(0.0, segment.in_plan.distance(self.core) - self.reach_mm)
        return math.hypot(plan_mm, max(0.0, self.low_mm - segment.high_mm, segment.low_mm - self.high_mm))

    def nearest(self, segment: Segment) -> Nearest:
        """Return the nearest place of a segment."""
        if segment.is_level:
            place = nearest_points(segment.in_plan, self.core)[0]
            return Nearest(self.least_mm(segment), segment.station_at((place.x, place.y)))
        if segment.is_vertical:
            height_mm = min(max(segment.low_mm, self.low_mm), segment.high_mm)
            return Nearest(
                self.least_mm(segment), segment.station_of_share(segment.share_at_height(height_mm))
            )
        return min(self._candidates(segment), key=lambda place: place.distance_mm)

    def _candidates(self, segment: Segment) -> list[Nearest]:
        """Return the nearest place of a sloped segment to each side, and the places inside an area."""
        shares = [_nearest_share(segment, side, self) for side in self.sides]
        found = [
            Nearest(
                math.hypot(*_off(segment, side, self, share)[2:]),
                segment.station_of_share(share),
            )
            for side, share in zip(self.sides, shares, strict=True)
        ]
        if isinstance(self.core, Polygon):
            levels = [mm for mm in (self.low_mm, self.high_mm) if segment.low_mm < mm < segment.high_mm]
            for share in (0.0, 1.0, *map(segment.share_at_height, levels)):
                x, y, z = segment.place_at(share)
                if self.core.covers(ShapelyPoint(x, y)):
                    gap_mm = max(0.0, self.low_mm - z, z - self.high_mm)
                    found.append(Nearest(gap_mm, segment.station_of_share(share)))
        return found


def body_of(keep_out: KeepOut) -> Body:
    """Return a keep-out ready to be measured; one without heights goes up and down for ever."""
    low_mm, high_mm = keep_out.heights_mm or (-math.inf, math.inf)
    points = keep_out.shape.points
    if keep_out.shape.kind is ShapeKind.AREA:
        points = (*points, points[0])
    sides = tuple(pairwise(points)) or ((points[0], points[0]),)
    return Body(core_of(keep_out.shape), sides, keep_out.shape.reach_mm, low_mm, high_mm)


@lru_cache(maxsize=KEPT_CORES)
def core_of(shape: Shape) -> BaseGeometry:
    """Return the core of a shape: what it is without its reach."""
    if shape.kind is ShapeKind.AREA:
        return Polygon(shape.points)
    return LineString(shape.points) if len(shape.points) > 1 else ShapelyPoint(shape.points[0])


def _nearest_share(segment: Segment, side: tuple[Point, Point], body: Body) -> float:
    """Return the share of a sloped segment at which it is nearest to one side of a body."""
    ahead = (
        segment.end[0] - segment.start[0],
        segment.end[1] - segment.start[1],
        segment.end_z_mm - segment.start_z_mm,
    )
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        off_x, off_y, plan_mm, gap_mm = _off(segment, side, body, middle)
        away_mm = math.hypot(off_x, off_y)
        beyond = plan_mm / away_mm if away_mm else 0.0
        slope = beyond * (off_x * ahead[0] + off_y * ahead[1]) + gap_mm * ahead[2]
        low, high = (low, middle) if slope > 0.0 else (middle, high)
        if slope == 0.0:
            return middle
    return (low + high) / 2


def _off(
    segment: Segment, side: tuple[Point, Point], body: Body, share: float
) -> tuple[float, float, float, float]:
    """Return from the nearest place of a side to a place of a segment: x, y, how far beyond the reach, z.

    The last one is more than 0 above the body, less below it, and 0 at its height.
    """
    x, y, z = segment.place_at(share)
    (ax, ay), (bx, by) = side
    ux, uy = bx - ax, by - ay
    square = ux * ux + uy * uy
    along = min(1.0, max(0.0, ((x - ax) * ux + (y - ay) * uy) / square)) if square else 0.0
    off_x, off_y = x - (ax + along * ux), y - (ay + along * uy)
    gap_mm = z - min(max(z, body.low_mm), body.high_mm)
    return off_x, off_y, max(0.0, math.hypot(off_x, off_y) - body.reach_mm), gap_mm
