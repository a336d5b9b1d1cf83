"""The surroundings of a run's conductors by stretch: length, ambient temperature, neighbours."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from router.facts import Segment, ambient_of, bundles_along, segments_of
from router.model.job import Job, Run
from router.model.plan import END_MM, Bundle, PassageKind, Route, RunLength
from router.model.practice import Practice
from router.model.vehicle import Profile, Space, SpaceKind, SupportKind

_ENGINE_SPACES = (SpaceKind.ENGINE_BAY, None)
"""What counts as an engine space: what nobody said the kind of does."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of a run in one space with the same neighbours all along."""

    space: str
    length_mm: float
    ambient_c: float
    is_engine_space: bool
    bundled: int
    """Current-carrying conductors side by side, this run's own and those of the vehicle's loom included."""
    is_near_heat: bool = False
    """Whether it lies in the warm band of a hot keep-out, whose rise its ambient temperature includes."""
    existing_loom: str | None = None
    """The vehicle's own loom that it is tied to."""


class _Air(NamedTuple):
    """What a conductor lies in, in one space; the greater of two asks more of it."""

    ambient_c: float
    is_engine_space: bool


class _Part(NamedTuple):
    """From station to station of a run: the same runs beside it, in the warm band of something hot or not."""

    low_mm: float
    high_mm: float
    runs: tuple[str, ...]
    is_near_heat: bool


@dataclass(frozen=True, slots=True)
class Surroundings:
    """All stretches of a run. Conductor length beyond that of the route counts as its warmest stretch."""

    run: str
    stretches: tuple[Stretch, ...]
    cut_mm: float

    @property
    def warmest_c(self) -> float:
        """Return the highest ambient temperature along the run."""
        return max(stretch.ambient_c for stretch in self.stretches)

    @property
    def spare_mm(self) -> float:
        """Return how much longer the conductors are cut than the route is."""
        return max(0.0, self.cut_mm - sum(stretch.length_mm for stretch in self.stretches))


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
    own_looms = {each.name for each in profile.supports if each.kind is SupportKind.EXISTING_LOOM}
    found = {}
    for route, length in zip(routes, lengths, strict=True):
        along = bundles_along(bundles, route.run)
        stretches = tuple(
            _stretch(piece, part, air, own_looms, carrying, practice)
            for piece in _segments(route)
            for part in _parts(piece, route, along)
        )
        found[route.run] = Surroundings(route.run, stretches, max(length.cut_mm, route.routed_mm))
    return found


def hot_fuse_runs(job: Job, profile: Profile, practice: Practice, routes: Sequence[Route]) -> frozenset[str]:
    """Return the runs whose fuse lies in a hot place: an engine bay, and what nobody said the kind of.

    Wherever along the first part of the run its holder may come to lie counts.
    """
    hot = {space.name for space in profile.spaces if space.kind in _ENGINE_SPACES}
    found = set()
    for run, route in zip(job.runs, routes, strict=True):
        if run.fuse is None:
            continue
        for low_mm, high_mm in _holder_stations(run, job.source.at, route, practice):
            for piece in _segments(route):
                is_there = piece.start.station_mm <= high_mm and piece.end.station_mm >= low_mm
                if is_there and hot & {piece.start.space, piece.end.space}:
                    found.add(run.name)
    return frozenset(found)


def ambient_source(space: Space, job: Job, practice: Practice) -> tuple[str, str]:
    """Return where the ambient temperature of a space comes from: source and status."""
    if space.name in job.limits.ambient_c:
        return "the job's limits", "job"
    rule = practice.by_space("ambient", space.kind)
    return rule.source, rule.status.value


def _holder_stations(
    run: Run, source: str, route: Route, practice: Practice
) -> tuple[tuple[float, float], ...]:
    """Return from where to where along a run each of its fuses may come to lie, in any size."""
    nearest_mm = [practice.value("fuse", key) for key in ("nearest", "nearest thick")]
    asked_mm = run.fuse.from_source_mm if run.fuse else None
    low_mm, high_mm = (min(nearest_mm), max(nearest_mm)) if asked_mm is None else (asked_mm, asked_mm)
    end_mm = route.routed_mm
    from_start = (min(low_mm, end_mm), min(high_mm, end_mm))
    from_end = (max(0.0, end_mm - high_mm), max(0.0, end_mm - low_mm))
    if run.fuse and run.fuse.is_at_both_ends:
        return from_start, from_end
    return (from_end,) if run.end == source and run.start != source else (from_start,)


def _segments(route: Route) -> tuple[Segment, ...]:
    return segments_of(route) or (Segment(route.points[0], route.points[-1]),)


def _parts(piece: Segment, route: Route, bundles: Sequence[Bundle]) -> Iterator[_Part]:
    """Yield a piece in parts with the same runs beside them; with its own alone where hardly there."""
    low_mm, high_mm = piece.start.station_mm, piece.end.station_mm
    warm = [
        (passage.from_station_mm, passage.to_station_mm)
        for passage in route.passages
        if passage.kind is PassageKind.WARM
    ]
    if piece.length_mm <= END_MM or not bundles:
        yield from _by_warmth(low_mm, high_mm, (route.run,), warm)
        return
    for bundle in bundles:
        from_mm, to_mm = bundle.stations_mm(route.run)
        from_mm, to_mm = max(from_mm, low_mm), min(to_mm, high_mm)
        if to_mm - from_mm > END_MM:
            yield from _by_warmth(from_mm, to_mm, bundle.runs, warm)


def _by_warmth(
    low_mm: float, high_mm: float, runs: tuple[str, ...], warm: Sequence[tuple[float, float]]
) -> Iterator[_Part]:
    """Yield a part cut where it enters and leaves the warm band of something hot."""
    inside = {mm for stations_mm in warm for mm in stations_mm if low_mm < mm < high_mm}
    for from_mm, to_mm in pairwise([low_mm, *sorted(inside), high_mm]):
        middle_mm = (from_mm + to_mm) / 2
        is_near_heat = any(low <= middle_mm <= high for low, high in warm)
        yield _Part(from_mm, to_mm, runs, is_near_heat)


def _stretch(
    piece: Segment,
    part: _Part,
    air: Mapping[str, _Air],
    own_looms: set[str],
    carrying: Mapping[str, int],
    practice: Practice,
) -> Stretch:
    """Return a part of a piece as a stretch; one between two spaces lies in whichever asks more."""
    loom = piece.start.along if piece.start.along in own_looms else None
    beside = round(practice.value("conductor", "existing loom")) if loom else 0
    around = _air_along(piece, air, practice, is_near_heat=part.is_near_heat)
    return Stretch(
        space=max((piece.start.space, piece.end.space), key=lambda name: air[name]),
        length_mm=part.high_mm - part.low_mm,
        ambient_c=around.ambient_c,
        is_engine_space=around.is_engine_space,
        bundled=beside + sum(carrying[run] for run in part.runs),
        is_near_heat=part.is_near_heat,
        existing_loom=loom,
    )


def _air_along(piece: Segment, air: Mapping[str, _Air], practice: Practice, *, is_near_heat: bool) -> _Air:
    ambient_c, is_engine_space = max(air[piece.start.space], air[piece.end.space])
    rise_c = practice.value("warm", "rise") if is_near_heat else 0.0
    return _Air(ambient_c + rise_c, is_engine_space)


def _air(space: Space, job: Job, practice: Practice) -> _Air:
    """Return how warm it is in a space; one that nobody said the kind of counts as an engine bay."""
    return _Air(ambient_of(space, job, practice), space.kind in _ENGINE_SPACES)
