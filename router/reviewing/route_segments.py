"""A route cut into straight segments, as the review looks at it: places by station, lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from shapely import LineString
from shapely import Point as ShapelyPoint
from shapely.geometry.base import BaseGeometry

from router.model.plan import Route, RoutePoint
from router.model.vehicle import Point
from router.reviewing.review_tolerances import LENGTH_TOLERANCE_MM

KEPT_LINES = 4096


@dataclass(frozen=True, slots=True)
class Segment:
    """The straight segment between two consecutive points of a route in one space."""

    space: str
    start: Point
    end: Point
    start_z_mm: float
    end_z_mm: float
    start_station_mm: float
    end_station_mm: float
    along: str | None

    @property
    def is_vertical(self) -> bool:
        """Return whether it is a rise or a drop: one place in plan."""
        return self.start == self.end

    @property
    def is_level(self) -> bool:
        """Return whether it lies at one height."""
        return self.start_z_mm == self.end_z_mm

    @property
    def low_mm(self) -> float:
        """Return its least height."""
        return min(self.start_z_mm, self.end_z_mm)

    @property
    def high_mm(self) -> float:
        """Return its greatest height."""
        return max(self.start_z_mm, self.end_z_mm)

    @property
    def in_plan(self) -> BaseGeometry:
        """Return it as seen in plan: a line, or a spot where it is vertical."""
        return _in_plan(self.start, self.end)

    def station_at(self, place: Point) -> float:
        """Return the station of the place on this segment (in plan) that is nearest to `place`."""
        if self.is_vertical:
            return self.start_station_mm
        share = LineString((self.start, self.end)).project(ShapelyPoint(place), normalized=True)
        return self.station_of_share(share)

    def station_of_share(self, share: float) -> float:
        """Return the station at a share (0 to 1) of this segment's length."""
        return self.start_station_mm + share * (self.end_station_mm - self.start_station_mm)

    def share_at_height(self, height_mm: float) -> float:
        """Return the share of its length at which it is at a height; it must not be level."""
        return (height_mm - self.start_z_mm) / (self.end_z_mm - self.start_z_mm)

    def place_at(self, share: float) -> tuple[float, float, float]:
        """Return the place at a share (0 to 1) of its length: x, y, z."""
        return (
            self.start[0] + share * (self.end[0] - self.start[0]),
            self.start[1] + share * (self.end[1] - self.start[1]),
            self.start_z_mm + share * (self.end_z_mm - self.start_z_mm),
        )

    def part(self, first: float, last: float) -> Segment:
        """Return the part of it from one share of its length to another."""
        if (first, last) == (0.0, 1.0):
            return self
        (ax, ay, az), (bx, by, bz) = self.place_at(first), self.place_at(last)
        stations_mm = self.station_of_share(first), self.station_of_share(last)
        return Segment(self.space, (ax, ay), (bx, by), az, bz, *stations_mm, self.along)


@lru_cache(maxsize=KEPT_LINES)
def _in_plan(start: Point, end: Point) -> BaseGeometry:
    return ShapelyPoint(start) if start == end else LineString((start, end))


def segments_of(route: Route) -> tuple[Segment, ...]:
    """Return the segments of a route that have a length; a change of space is between segments."""
    return tuple(
        Segment(
            here.space,
            (here.x_mm, here.y_mm),
            (there.x_mm, there.y_mm),
            here.z_mm,
            there.z_mm,
            here.station_mm,
            there.station_mm,
            here.along,
        )
        for here, there in zip(route.points, route.points[1:], strict=False)
        if here.space == there.space and distance_mm(here, there) > 0
    )


def distance_mm(here: RoutePoint, there: RoutePoint) -> float:
    """Return the straight distance of two points in space."""
    return math.dist((here.x_mm, here.y_mm, here.z_mm), (there.x_mm, there.y_mm, there.z_mm))


def part_between(segment: Segment, from_station_mm: float, to_station_mm: float) -> Segment | None:
    """Return the part of a segment between two stations; None where it has none."""
    first_mm = max(from_station_mm, segment.start_station_mm)
    last_mm = min(to_station_mm, segment.end_station_mm)
    if last_mm - first_mm <= LENGTH_TOLERANCE_MM:
        return None
    length_mm = segment.end_station_mm - segment.start_station_mm
    first, last = ((mm - segment.start_station_mm) / length_mm for mm in (first_mm, last_mm))
    return segment.part(first, last)
