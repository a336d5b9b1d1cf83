"""A good run, ready to be broken: what it is judged against, and plain geometry round it. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from random import Random
from typing import TypeAlias, TypeVar

from shapely import Point
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from router.facts import ACTS, Position, bodies_in, clearances_of, core_of, positions_at
from router.fixings import holds_at
from router.lessons.broken.editing import PASSED, with_bow, with_points
from router.model.fixing import Fixing
from router.model.job import Run
from router.model.plan import FindingKind, Route, RoutePoint
from router.model.practice import Practice
from router.model.review import DrawnRun
from router.model.vehicle import KeepOut, Profile

STEP_MM = 50.0
"""How far apart the places are at which a fault is tried."""
LEG_MM = 150.0
"""Half of the shortest bow."""
FAR_MM = 600.0
"""Nobody draws a bow to a place further away than this."""

Thing = TypeVar("Thing")


@dataclass(frozen=True, slots=True)
class GoodRun:
    """A run without fault, and what it is judged against."""

    drawn: DrawnRun
    run: Run
    profile: Profile
    practice: Practice
    loom_diameter_mm: float
    apart: tuple[tuple[Route, float, float], ...] = ()
    """Routes that it must stay apart from: the route, by how much, and its loom's diameter. [mm]"""

    @property
    def spacing_mm(self) -> float:
        """Return a distance of fixings that every space of the run allows."""
        spaces = {point.space for point in self.drawn.route.points}
        return min(
            self.practice.by_space("spacing", self.profile.space(space).kind).value for space in spaces
        )

    def clearance_mm(self, keep_out: KeepOut) -> float:
        """Return the clearance that a keep-out asks for, measuring tolerance included [mm]"""
        return clearances_of(self.profile, self.practice)[keep_out.name].required_mm

    def bowed(self, place: Position, station_mm: float, apex: tuple[float, float]) -> DrawnRun | None:
        """Return the run led by another place, with legs long enough to bend gently."""
        depth_mm = math.dist(apex, (place.x_mm, place.y_mm))
        half_mm = max(LEG_MM, 1.5 * depth_mm)
        return with_bow(
            self.drawn, station_mm, apex, half_mm, self.hold_at, fixed_every_mm=0.8 * self.spacing_mm
        )

    def hold_at(self, route: Route, station_mm: float) -> Fixing | None:
        """Return what can hold the loom at a station of some route of the run, if anything can."""
        spot = holds_at(route, station_mm, self.profile, self.practice, self.loom_diameter_mm)
        if spot is None:
            return None
        at = spot.position
        place = (at.space, at.x_mm, at.y_mm, at.z_mm)
        return Fixing(0, station_mm, spot.kind, spot.support, *place, "drawn", None)


@dataclass(frozen=True, slots=True)
class Broken:
    """A run with one fault: its kind as the review calls it, and the stations that it lies between."""

    kind: FindingKind
    drawn: DrawnRun
    from_station_mm: float
    to_station_mm: float


FaultMaker: TypeAlias = Callable[[GoodRun, Random], Broken | None]


def places_along(route: Route, rng: Random) -> Iterator[tuple[float, Position]]:
    """Yield places of a route in random order: the station, and what lies there."""
    count = int(route.routed_mm / STEP_MM)
    stations = [STEP_MM * (number + rng.random()) for number in range(count)]
    rng.shuffle(stations)
    for station_mm in stations:
        yield station_mm, positions_at(route, (station_mm,))[0]


def places_near_keep_outs(good: GoodRun, rng: Random) -> Iterator[tuple[float, Position, KeepOut]]:
    """Yield places of a run with a keep-out that is not far away, and nothing between, in random order."""
    for station_mm, place in places_along(good.drawn.route, rng):
        bodies = [body for body, parted in bodies_in(good.profile, place.space) if parted == ACTS]
        for keep_out in shuffled(bodies, rng):
            if core_of(keep_out.shape).distance(Point(place.x_mm, place.y_mm)) < FAR_MM:
                yield station_mm, place, keep_out


def height_gap(keep_out: KeepOut, z_mm: float) -> float:
    """Return how far the middle of a loom passes above or below a keep-out, 0 where it does not. [mm]"""
    if keep_out.heights_mm is None:
        return 0.0
    low_mm, high_mm = keep_out.heights_mm
    return max(0.0, low_mm - z_mm, z_mm - high_mm)


def towards(place: Position, thing: BaseGeometry, stop_mm: float) -> tuple[float, float] | None:
    """Return the place from which a thing is `stop_mm` away, straight on from here; beyond it below 0.

    None where one is nearer already, or the direction is not to be told.
    """
    here = Point(place.x_mm, place.y_mm)
    away_mm = thing.distance(here)
    if away_mm <= max(stop_mm, 0.0) + 1e-9 or away_mm > FAR_MM:
        return None
    there = nearest_points(thing, here)[0]
    share = (away_mm - stop_mm) / away_mm
    return here.x + share * (there.x - here.x), here.y + share * (there.y - here.y)


def aside(by_mm: float, rng: Random) -> tuple[float, float]:
    """Return a move by some millimetres in any direction."""
    turn = rng.uniform(-math.pi, math.pi)
    return by_mm * math.cos(turn), by_mm * math.sin(turn)


def with_line(good: GoodRun, points: Iterable[RoutePoint]) -> DrawnRun:
    """Return the run on another line, held as well as before."""
    return with_points(good.drawn, points, good.hold_at, fixed_every_mm=0.8 * good.spacing_mm)


def on_the_bow(kind: FindingKind, bowed: DrawnRun, space: str, apex: tuple[float, float]) -> Broken:
    """Return a run that was bowed, with the stations of its bow: a corner before the apex to one after it."""
    points = bowed.route.points
    number = next(n for n, p in enumerate(points) if (p.space, p.x_mm, p.y_mm) == (space, *apex))
    return Broken(kind, bowed, points[number - 1].station_mm, points[number + 1].station_mm)


def is_passed_at(route: Route, station_mm: float, near_mm: float = 150.0) -> bool:
    """Return whether a member or an opening is passed near a station."""
    return any(
        passage.kind in PASSED
        and passage.from_station_mm - near_mm < station_mm < passage.to_station_mm + near_mm
        for passage in route.passages
    )


def shuffled(things: Iterable[Thing], rng: Random) -> list[Thing]:
    """Return things in random order."""
    mixed = list(things)
    rng.shuffle(mixed)
    return mixed
