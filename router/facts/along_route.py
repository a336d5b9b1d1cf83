"""A route as straight segments, and what lies at a station of it. Plain arithmetic, mm."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

from router.model.plan import Passage, PassageKind, Route, RoutePoint

_PASSED = {
    PassageKind.OVER_MEMBER: "over {}",
    PassageKind.THROUGH_MEMBER: "through {}",
    PassageKind.OPENING: "through {}",
}


class Placed(Protocol):
    """Anything that lies at one place in one space: a route point, a position, a fixing."""

    @property
    def space(self) -> str:
        """Return the name of its space."""
        ...

    @property
    def x_mm(self) -> float:
        """Return how far rearward it is."""
        ...

    @property
    def y_mm(self) -> float:
        """Return how far to the right it is."""
        ...

    @property
    def z_mm(self) -> float:
        """Return how high it is."""
        ...


@dataclass(frozen=True, slots=True)
class Position:
    """A place in space on a route, and the support that the route follows there."""

    space: str
    x_mm: float
    y_mm: float
    z_mm: float
    along: str | None


@dataclass(frozen=True, slots=True)
class Segment:
    """One straight stretch of a route, never of length 0."""

    start: RoutePoint
    end: RoutePoint

    @property
    def space(self) -> str:
        """Return the space that the segment lies in."""
        return self.start.space

    @property
    def length_mm(self) -> float:
        """Return the segment's true length."""
        return self.end.station_mm - self.start.station_mm

    @property
    def is_rise(self) -> bool:
        """Return whether the segment goes straight up or down."""
        return (self.start.x_mm, self.start.y_mm) == (self.end.x_mm, self.end.y_mm)

    def direction(self) -> tuple[float, float, float]:
        """Return the unit vector from the segment's start to its end."""
        a, b, length_mm = self.start, self.end, self.length_mm
        return (b.x_mm - a.x_mm) / length_mm, (b.y_mm - a.y_mm) / length_mm, (b.z_mm - a.z_mm) / length_mm

    def position_at(self, station_mm: float) -> Position:
        """Return the place at a station between the segment's ends."""
        a, b = self.start, self.end
        share = (station_mm - a.station_mm) / self.length_mm
        return Position(
            self.space,
            a.x_mm + share * (b.x_mm - a.x_mm),
            a.y_mm + share * (b.y_mm - a.y_mm),
            a.z_mm + share * (b.z_mm - a.z_mm),
            a.along,
        )

    def station_of(self, place: Placed, within_mm: float) -> float | None:
        """Return the station nearest to a place that lies on the segment, else None."""
        if place.space != self.space:
            return None
        start, (ahead_x, ahead_y, ahead_z) = self.start, self.direction()
        x, y, z = place.x_mm - start.x_mm, place.y_mm - start.y_mm, place.z_mm - start.z_mm
        along_mm = min(max(x * ahead_x + y * ahead_y + z * ahead_z, 0.0), self.length_mm)
        nearest = (along_mm * ahead_x, along_mm * ahead_y, along_mm * ahead_z)
        return start.station_mm + along_mm if math.dist((x, y, z), nearest) <= within_mm else None


def segments_of(route: Route) -> tuple[Segment, ...]:
    """Return the segments of a route from its start to its end, those of length 0 (openings) left out."""
    return tuple(Segment(a, b) for a, b in pairwise(route.points) if b.station_mm > a.station_mm)


def positions_at(route: Route, stations_mm: tuple[float, ...]) -> tuple[Position, ...]:
    """Return the place at each station; at a corner, that of the segment that begins there."""
    segments = segments_of(route)
    starts = [segment.start.station_mm for segment in segments]
    return tuple(segments[max(0, bisect_right(starts, s) - 1)].position_at(s) for s in stations_mm)


def station_on(route: Route, place: Placed, within_mm: float) -> float | None:
    """Return the station of a place that lies on a route, the first one where it passes twice, else None.

    Parameters
    ----------
    route : Route
        Stations in true length.
    place : Placed
        A point in the vehicle's coordinates, with its space.
    within_mm : float
        How far the point may be from the route's line, 0 or more. [mm]
    """
    for segment in segments_of(route):
        station_mm = segment.station_of(place, within_mm)
        if station_mm is not None:
            return station_mm
    return None


def _name(passage: Passage) -> str:
    return passage.name


def course_in_words(route: Route, name_of: Callable[[Passage], str] = _name) -> str:
    """Return what a route follows and passes, in its order: "along left sill flange, through floor plug"."""
    met = [(point.station_mm, f"along {point.along}") for point in route.points if point.along]
    met += [
        (passage.from_station_mm, _PASSED[passage.kind].format(name_of(passage)))
        for passage in route.passages
        if passage.kind in _PASSED
    ]
    words: list[str] = []
    for _, word in sorted(met, key=lambda each: each[0]):
        if word not in words[-1:]:
            words.append(word)
    return ", ".join(words) or "straight through the open"


def heading_words(direction: tuple[float, float, float]) -> str:
    """Return a direction in plan in the vehicle's own words.

    >>> heading_words((1.0, 0.0, 0.0))
    'rearward'
    >>> heading_words((-0.7, 0.7, 0.0))
    'forward and right'
    """
    x, y = direction[0], direction[1]
    words = []
    if abs(x) > 0.38 * math.hypot(x, y):  # 22.5 degrees: eight directions
        words.append("rearward" if x > 0 else "forward")
    if abs(y) > 0.38 * math.hypot(x, y):
        words.append("right" if y > 0 else "left")
    return " and ".join(words)
