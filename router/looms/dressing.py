"""Trunks and branches: which runs lie on one line, where, and the loom over each stretch.

Routes are cut at each other's points, so that one that goes straight on and one that turns off there share
what they have in common. A stretch is a row of segments with the same set of runs; it becomes one loom, told
in the stations of its first run.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from router.facts import Segment, segments_of
from router.looms.loom_sizes import loom_for
from router.model.job import Job
from router.model.plan import Breakout, ConductorChoice, Loom, Route, RoutePoint
from router.model.practice import Practice
from router.tolerances import SAME_PLACE_MM

_Key = tuple[str, int, int]
"""A segment regardless of direction: its space and the numbers of its two points."""


@dataclass(frozen=True, slots=True)
class _LoomStretch:
    from_mm: float
    to_mm: float
    runs: frozenset[str]


def dress_looms(
    job: Job, routes: tuple[Route, ...], conductors: tuple[ConductorChoice, ...], practice: Practice
) -> tuple[Loom, ...]:
    """Return the looms of a job: by run in the job's order, then by station; each trunk once.

    Parameters
    ----------
    job : Job
        For the order of its runs and its series of sizes.
    routes : tuple of Route
        One for each run.
    conductors : tuple of ConductorChoice
        All conductors of the job.
    practice : Practice
        Group "loom".

    Raises
    ------
    NoConductorError
        Where no loom is large enough.
    """
    order = {run.name: number for number, run in enumerate(job.runs)}
    in_order = sorted(routes, key=lambda route: order[route.run])
    looms = []
    for route, stretches in zip(in_order, _stretches_by_route(in_order), strict=True):
        for stretch in stretches:
            runs = tuple(sorted(stretch.runs, key=lambda name: order[name]))
            if runs[0] == route.run:
                inside = [choice for choice in conductors if choice.run in stretch.runs]
                looms.append(_loom(runs, stretch, inside, practice, job))
    return tuple(looms)


def loom_stretches(
    job: Job, routes: tuple[Route, ...], conductors: tuple[ConductorChoice, ...], practice: Practice
) -> tuple[tuple[tuple[float, float, float], ...], ...]:
    """Return for each route, in its own stations, from where to where it lies in how thick a loom. [mm]

    Parameters
    ----------
    job : Job
        For the series of its conductors.
    routes : tuple of Route
        One for each run, stations in true length.
    conductors : tuple of ConductorChoice
        The chosen conductors of all runs, with their outside diameters.
    practice : Practice
        Which looms there are, and how full they may be.

    Raises
    ------
    NoConductorError
        Where no loom is large enough.
    """
    found = []
    for stretches in _stretches_by_route(routes):
        row = []
        for stretch in stretches:
            wires_mm = tuple(choice.outside_mm for choice in conductors if choice.run in stretch.runs)
            row.append((stretch.from_mm, stretch.to_mm, loom_for(wires_mm, practice, job.series).outside_mm))
        found.append(tuple(row))
    return tuple(found)


def find_breakouts(job: Job, routes: tuple[Route, ...]) -> tuple[tuple[Breakout, ...], ...]:
    """Return for each route, in its own stations, where its bundle changes: what leaves and what joins."""
    names = [run.name for run in job.runs]
    found = []
    for route, stretches in zip(routes, _stretches_by_route(routes), strict=True):
        row = []
        for before, after in pairwise(stretches):
            leave = tuple(name for name in names if name in before.runs - after.runs)
            join = tuple(name for name in names if name in after.runs - before.runs)
            row.append(Breakout(route.run, before.to_mm, leave, join))
        found.append(tuple(row))
    return tuple(found)


def _loom(
    runs: tuple[str, ...],
    stretch: _LoomStretch,
    inside: Sequence[ConductorChoice],
    practice: Practice,
    job: Job,
) -> Loom:
    size = loom_for(tuple(choice.outside_mm for choice in inside), practice, job.series)
    return Loom(
        runs=runs,
        from_station_mm=stretch.from_mm,
        to_station_mm=stretch.to_mm,
        conductors=tuple(choice.name for choice in inside),
        bundle_mm=size.bundle_mm,
        loom=size.loom,
        bore_mm=size.bore_mm,
        outside_mm=size.outside_mm,
        length_mm=stretch.to_mm - stretch.from_mm,
        reasons=size.reasons,
    )


def _stretches_by_route(routes: Sequence[Route]) -> list[list[_LoomStretch]]:
    """Return for each route its stretches in order, each with all the runs that lie there."""
    places = _Places()
    cuts = [point for route in routes for point in route.points]
    cut_routes = [
        [(places.key(segment), segment) for whole in segments_of(route) for segment in _cut(whole, cuts)]
        for route in routes
    ]
    runs_at: dict[_Key, set[str]] = {}
    for route, segments in zip(routes, cut_routes, strict=True):
        for key, _ in segments:
            runs_at.setdefault(key, set()).add(route.run)
    return [
        [_stretch(frozenset(runs), [segment for _, segment in row]) for runs, row in _rows(segments, runs_at)]
        for segments in cut_routes
    ]


def _rows(
    segments: Sequence[tuple[_Key, Segment]], runs_at: dict[_Key, set[str]]
) -> Iterator[tuple[set[str], list[tuple[_Key, Segment]]]]:
    for runs, row in groupby(segments, key=lambda item: runs_at[item[0]]):
        yield runs, list(row)


def _stretch(runs: frozenset[str], row: Sequence[Segment]) -> _LoomStretch:
    return _LoomStretch(row[0].start.station_mm, row[-1].end.station_mm, runs)


def _cut(segment: Segment, points: Sequence[RoutePoint]) -> Iterator[Segment]:
    """Yield a segment cut wherever one of the points lies on it."""
    stations = {segment.station_of(point, SAME_PLACE_MM) for point in points}
    start = segment.start
    for station_mm in sorted(station for station in stations if station is not None):
        before_mm, after_mm = station_mm - start.station_mm, segment.end.station_mm - station_mm
        if min(before_mm, after_mm) > SAME_PLACE_MM:
            at = segment.position_at(station_mm)
            end = RoutePoint(at.space, at.x_mm, at.y_mm, at.z_mm, station_mm, at.along)
            yield Segment(start, end)
            start = end
    yield Segment(start, segment.end)


class _Places:
    """Numbers for places: points nearer than SAME_PLACE_MM have the same."""

    def __init__(self) -> None:
        self._known: list[tuple[float, float, float]] = []

    def key(self, segment: Segment) -> _Key:
        """Return what is equal for two segments on one line between the same places in one space."""
        ends = sorted((self._number(segment.start), self._number(segment.end)))
        return segment.space, ends[0], ends[1]

    def _number(self, point: RoutePoint) -> int:
        here = (point.x_mm, point.y_mm, point.z_mm)
        for number, there in enumerate(self._known):
            if abs(here[0] - there[0]) <= SAME_PLACE_MM and math.dist(here, there) <= SAME_PLACE_MM:
                return number
        self._known.append(here)
        return len(self._known) - 1
