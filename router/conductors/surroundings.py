"""The surroundings of a run's conductors by stretch: length, ambient temperature, neighbours."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from router.conductors.resistance import temperature_factor
from router.facts import Segment, bundles_along, segments_of
from router.model.job import Job
from router.model.plan import END_MM, Bundle, Route, RunLength
from router.model.practice import Practice
from router.model.vehicle import Profile, Space, SpaceKind


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
    routes: Sequence[Route],
    bundles: Sequence[Bundle],
    lengths: Sequence[RunLength],
    carrying: Mapping[str, int],
    profile: Profile,
) -> dict[str, Surroundings]:
    """Return what each run lies in, by its name.

    Parameters
    ----------
    job, practice, profile : records of the model
    routes, lengths : sequences, one a run
    bundles : sequence of Bundle
        Which runs lie together where.
    carrying : mapping of str to int
        By run: how many of its conductors carry current.
    """
    air = {space.name: _air(space, job, practice) for space in profile.spaces}
    found = {}
    for route, length in zip(routes, lengths, strict=True):
        along = bundles_along(bundles, route.run)
        stretches = tuple(
            _stretch(piece, length_mm, air, sum(carrying[run] for run in runs))
            for piece in _segments(route)
            for length_mm, runs in _cut(piece, route.run, along)
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


def _cut(piece: Segment, run: str, bundles: Sequence[Bundle]) -> Iterator[tuple[float, tuple[str, ...]]]:
    """Yield how long a piece is with the same runs beside it, and which; its own where hardly there."""
    if piece.length_mm <= END_MM:
        yield piece.length_mm, (run,)
        return
    for bundle in bundles:
        low_mm, high_mm = bundle.stations_mm(run)
        length_mm = min(high_mm, piece.end.station_mm) - max(low_mm, piece.start.station_mm)
        if length_mm > END_MM:
            yield length_mm, bundle.runs


def _stretch(piece: Segment, length_mm: float, air: Mapping[str, _Air], bundled: int) -> Stretch:
    """Return a part of a piece as a stretch; one between two spaces lies in whichever asks more."""
    space = max((piece.start.space, piece.end.space), key=lambda name: air[name])
    return Stretch(space, length_mm, air[space].ambient_c, air[space].is_engine_space, bundled)


def _air(space: Space, job: Job, practice: Practice) -> _Air:
    """Return how warm it is in a space; one that nobody said the kind of counts as an engine bay."""
    stated_c = job.limits.ambient_c.get(space.name)
    ambient_c = practice.by_space("ambient", space.kind).value if stated_c is None else stated_c
    return _Air(ambient_c, space.kind in (SpaceKind.ENGINE_BAY, None))
