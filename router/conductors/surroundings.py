"""The surroundings of a run's conductors by stretch: length, ambient temperature, neighbours."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from router.conductors.resistance import temperature_factor
from router.facts import Segment, segments_of
from router.model.job import Job
from router.model.plan import Route, RoutePoint, RunLength
from router.model.practice import Practice
from router.model.vehicle import Profile, Space, SpaceKind

_SAME_LINE_MM = 1.0
"""Segments of two routes no further apart than this lie in one bundle."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of a run in one space with the same neighbours all along."""

    space: str
    length_mm: float
    ambient_c: float
    is_engine_space: bool
    bundled: int
    """Current-carrying conductors side by side, this run's own included."""


class _Air(NamedTuple):
    """What a conductor lies in, in one space; the greater of two asks more of it."""

    ambient_c: float
    is_engine_space: bool


@dataclass(frozen=True, slots=True)
class Surroundings:
    """All stretches of a run. Conductor length beyond that of the route counts as its warmest stretch."""

    run: str
    stretches: tuple[Stretch, ...]
    cut_mm: float
    copper_rise_c: float

    @property
    def warmest_c(self) -> float:
        """Return the highest ambient temperature along the run."""
        return max(stretch.ambient_c for stretch in self.stretches)

    @property
    def length_at_20c_m(self) -> float:
        """Return the length of conductor at 20 degC that has the resistance of this run when warm.

        FAA AC 43.13-1B chapter 11, L2 = 254.5 L1 / (234.5 + T2), solved for the other side. [m]
        """
        spare_mm = max(0.0, self.cut_mm - sum(stretch.length_mm for stretch in self.stretches))
        parts = [(stretch.length_mm, stretch.ambient_c) for stretch in self.stretches]
        parts.append((spare_mm, self.warmest_c))
        return sum(length * temperature_factor(at_c + self.copper_rise_c) for length, at_c in parts) / 1000


def surroundings_of(
    job: Job,
    practice: Practice,
    routes: tuple[Route, ...],
    lengths: tuple[RunLength, ...],
    carrying: Mapping[str, int],
    profile: Profile,
) -> dict[str, Surroundings]:
    """Return the surroundings by run; `carrying` is how many conductors of each run carry current."""
    pieces = {route.run: _segments(route) for route in routes}
    air = {space.name: _air(space, job, practice) for space in profile.spaces}
    found = {}
    for route, length in zip(routes, lengths, strict=True):
        stretches = tuple(
            _stretch(piece, air, _bundled(piece, route.run, pieces, carrying)) for piece in pieces[route.run]
        )
        rise_c = practice.value("conductor", "copper temperature")
        found[route.run] = Surroundings(route.run, stretches, max(length.cut_mm, route.routed_mm), rise_c)
    return found


def ambient_source(space: Space, job: Job, practice: Practice) -> tuple[str, str]:
    """Return where the ambient temperature of a space comes from: source and status."""
    if space.name in job.limits.ambient_c:
        return "the job's limits", "job"
    rule = practice.by_space("ambient", space.kind)
    return rule.source, rule.status.value


def _segments(route: Route) -> tuple[Segment, ...]:
    return segments_of(route) or (Segment(route.points[0], route.points[-1]),)


def _stretch(piece: Segment, air: Mapping[str, _Air], bundled: int) -> Stretch:
    """Return a piece as a stretch; one between two spaces lies in whichever asks more."""
    space = max((piece.start.space, piece.end.space), key=lambda name: air[name])
    return Stretch(space, piece.length_mm, air[space].ambient_c, air[space].is_engine_space, bundled)


def _air(space: Space, job: Job, practice: Practice) -> _Air:
    """Return how warm it is in a space; one that nobody said the kind of counts as an engine bay."""
    stated_c = job.limits.ambient_c.get(space.name)
    ambient_c = practice.by_space("ambient", space.kind).value if stated_c is None else stated_c
    return _Air(ambient_c, space.kind in (SpaceKind.ENGINE_BAY, None))


def _bundled(
    segment: Segment, run: str, segments: Mapping[str, tuple[Segment, ...]], carrying: Mapping[str, int]
) -> int:
    beside = [
        other
        for other, theirs in segments.items()
        if other != run and any(_lie_together(segment, each) for each in theirs)
    ]
    return carrying[run] + sum(carrying[other] for other in beside)


def _lie_together(one: Segment, other: Segment) -> bool:
    """Return whether two straight segments share a stretch of line: parallel, close, and overlapping."""
    if one.space != other.space or min(one.length_mm, other.length_mm) <= 0 or _are_apart(one, other):
        return False
    along = one.direction()
    stations = [_dot(along, _offset(one, point)) for point in (other.start, other.end)]
    overlap_mm = min(one.length_mm, max(stations)) - max(0.0, min(stations))
    aside = [
        math.dist(_offset(one, point), [station * axis for axis in along])
        for point, station in zip((other.start, other.end), stations, strict=True)
    ]
    return overlap_mm > _SAME_LINE_MM and max(aside) <= _SAME_LINE_MM


def _are_apart(one: Segment, other: Segment) -> bool:
    """Return whether two segments are apart along an axis: a cheap test first, for most pairs are."""
    a, b, c, d = one.start, one.end, other.start, other.end
    for near, far, their_near, their_far in (
        (a.x_mm, b.x_mm, c.x_mm, d.x_mm),
        (a.y_mm, b.y_mm, c.y_mm, d.y_mm),
        (a.z_mm, b.z_mm, c.z_mm, d.z_mm),
    ):
        if max(near, far) + _SAME_LINE_MM < min(their_near, their_far):
            return True
        if max(their_near, their_far) + _SAME_LINE_MM < min(near, far):
            return True
    return False


def _offset(segment: Segment, point: RoutePoint) -> tuple[float, float, float]:
    start = segment.start
    return point.x_mm - start.x_mm, point.y_mm - start.y_mm, point.z_mm - start.z_mm


def _dot(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))
