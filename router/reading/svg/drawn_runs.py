"""Routes of runs from lines drawn over a blank map: which line is which run, and what it was drawn for.

Somebody who draws means a terminal, an opening, a pass or a support, and comes a millimetre beside it on
paper: within `SNAP_MM` a line's end is at the terminal or the opening, and within `FOLLOW_MM` it goes through
the pass and lies on the support. Heights are then the support's or the space's, as in any route file.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from shapely import LineString
from shapely import Point as Spot

from router.errors import Fault, UnreadableError
from router.facts import Segment, positions_at, runs_by_ends, segments_of, slug
from router.model.fixing import FixingKind
from router.model.job import Job, Run
from router.model.plan import Route
from router.model.vehicle import Fix, Point, Profile, Terminal
from router.reading.route.route_file import RouteFixingFile, RouteRunFile
from router.reading.svg.drawn_lines import FOLLOW_MM, follow, through_passes
from router.reading.svg.strokes import Dot, Stroke, strokes_of
from router.reading.svg.svg_text import SvgFile, read_svg

SNAP_MM = 3.0
"""How far from a terminal, an opening or the next line an end may be, mm of paper."""
SMOOTH_MM = 0.05
"""What a shaking hand adds to a line, mm of paper."""
PEN_MM = 0.3
"""How closely somebody draws, mm of paper: a fault that is smaller could be the pen's."""
TOGETHER_MM = 1.0
"""Runs whose lines are no further apart than this at a dot are held by it together, mm of paper."""
BESIDE_MM = 4.0
"""How far beside the run a dot may be and still mean a fixing on it, mm of paper."""


@dataclass(frozen=True, slots=True)
class _UsedStroke:
    """One stroke as a run uses it: from its start to its end, both at what they mean."""

    stroke: Stroke
    points: tuple[Point, ...]


def read_drawn_runs(
    path: FilePath, job: Job, profile: Profile
) -> tuple[tuple[RouteRunFile, ...], tuple[Dot, ...], float, SvgFile]:
    """Return the runs that were drawn over a job's blank map, the dots, and how closely both are known.

    Raises
    ------
    UnreadableError
        It is no such drawing, or a line belongs to no run: where, and what is missing.
    """
    svg = read_svg(path)
    strokes, dots = strokes_of(svg, profile)
    named = {id(stroke): _run_named(stroke, job) for stroke in strokes}
    left = list(strokes)
    runs, faults = [], []
    for run in job.runs:
        own = [stroke for stroke in left if named[id(stroke)] == run.name]
        free = [stroke for stroke in left if named[id(stroke)] is None]
        legs = _chain(run, own, profile) or _chain(run, own + free, profile)
        used = {id(leg.stroke) for leg in legs or ()}
        over = [stroke for stroke in own if id(stroke) not in used]
        if over:
            faults.append(_left_over(svg, run, over[0], bool(legs), profile))
        elif legs:
            runs.append(RouteRunFile.model_validate({"run": run.name, "way": _way(legs, profile)}))
        left = [stroke for stroke in left if id(stroke) not in used and stroke not in own]
    faults += [_no_run(svg, stroke, job, profile) for stroke in left]
    if faults:
        raise UnreadableError(tuple(sorted(set(faults))))
    return tuple(runs), dots, PEN_MM * max(stroke.scale for stroke in strokes), svg


def fixings_at(
    dots: Sequence[Dot], routes: Sequence[Route], profile: Profile
) -> tuple[list[list[RouteFixingFile]], list[Dot]]:
    """Return for each run a fixing for each dot beside it, and the dots that are beside none.

    A dot where runs lie together holds all of them.
    """
    fixings: list[list[RouteFixingFile]] = [[] for _ in routes]
    left = []
    for dot in dots:
        near = [_nearest(dot, route) for route in routes]
        least_mm = min((away_mm for away_mm, _ in near), default=math.inf)
        if least_mm > BESIDE_MM * dot.scale:
            left.append(dot)
            continue
        for number, (away_mm, station_mm) in enumerate(near):
            if away_mm <= least_mm + TOGETHER_MM * dot.scale:
                support, kind = _held_by(dot, routes[number], station_mm, profile)
                on = {"support": support} if support else {}
                written = {"station": f"{station_mm:.3f} mm", "kind": str(kind), **on}
                fixings[number].append(RouteFixingFile.model_validate(written))
    return fixings, left


def _nearest(dot: Dot, route: Route) -> tuple[float, float]:
    """Return how far a dot is from a route in plan, and the station there."""
    found = (math.inf, 0.0)
    for segment in segments_of(route):
        if segment.space == dot.space and not segment.is_rise:
            line = _in_plan(segment)
            station_mm = (
                segment.start.station_mm + line.project(Spot(dot.at), normalized=True) * segment.length_mm
            )
            found = min(found, (line.distance(Spot(dot.at)), station_mm))
    return found


def _in_plan(segment: Segment) -> LineString:
    return LineString(((segment.start.x_mm, segment.start.y_mm), (segment.end.x_mm, segment.end.y_mm)))


def _held_by(dot: Dot, route: Route, station_mm: float, profile: Profile) -> tuple[str | None, FixingKind]:
    """Return the support nearest to a fixing, if one is meant, and what holds the loom there."""
    place = positions_at(route, (station_mm,))[0]
    near = [
        (LineString(s.along).distance(Spot(place.x_mm, place.y_mm)), s)
        for s in profile.supports
        if s.space == dot.space
    ]
    meant = [each for each in near if each[0] <= FOLLOW_MM * dot.scale]
    allowed = [each for each in meant if each[1].fix is not Fix.NEVER] or meant
    if "p-clip" in map(slug, dot.words) or not allowed:
        return None, FixingKind.P_CLIP
    support = min(allowed, key=lambda each: each[0])[1]
    is_clip = support.fix is Fix.CLIP or "clip" in map(slug, dot.words)
    return support.name, FixingKind.CLIP if is_clip else FixingKind.TIE


def _run_named(stroke: Stroke, job: Job) -> str | None:
    """Return the run that a line, or the nearest group around it that names one, is called after."""
    names = {slug(run.name): run.name for run in job.runs}
    for words in map(slug, stroke.words):
        parts = f"-{words}-"
        found = [name for name in names if f"-{name}-" in parts]
        if found and not words.startswith(("draw-", "space-", "sheet-")):
            return names[max(found, key=len)]
    return None


def _chain(run: Run, strokes: Sequence[Stroke], profile: Profile) -> list[_UsedStroke] | None:
    """Return the lines that lead from a run's start to its end, one after the other; None where none do.

    Of several ends it may be any; the first that lines lead to counts.
    """
    for each in runs_by_ends(run):
        start, end = profile.terminal(each.start), profile.terminal(each.end)
        if legs := _onward(start.space, start.at, list(strokes), end, profile):
            return legs
    return None


def _onward(
    space: str, at: Point, strokes: list[Stroke], end: Terminal, profile: Profile
) -> list[_UsedStroke] | None:
    """Return the lines from a place on, the nearest tried first."""
    directed = [
        (math.dist(points[0], at), stroke, points)
        for stroke in strokes
        if stroke.space == space
        for points in (stroke.points, stroke.points[::-1])
        if math.dist(points[0], at) <= SNAP_MM * stroke.scale
    ]
    for _, stroke, points in sorted(directed, key=lambda each: each[0]):
        snap_mm, rest = SNAP_MM * stroke.scale, [each for each in strokes if each is not stroke]
        last = points[-1]
        if space == end.space and math.dist(last, end.at) <= snap_mm:
            return [_UsedStroke(stroke, (at, *points[1:-1], end.at))]
        for name, place in _next_places(space, last, snap_mm, profile):
            onward = _onward(name, place, rest, end, profile)
            if onward is not None:
                return [_UsedStroke(stroke, (at, *points[1:-1], place)), *onward]
    return None


def _next_places(space: str, last: Point, snap_mm: float, profile: Profile) -> list[tuple[str, Point]]:
    """Return where a route goes on from the end of a line: through an opening, or right there."""
    openings = [
        (math.dist(each.at, last), each)
        for each in profile.openings
        if space in each.joins and math.dist(each.at, last) <= snap_mm
    ]
    through = [
        (next(name for name in opening.joins if name != space), opening.at)
        for _, opening in sorted(openings, key=lambda each: each[0])
    ]
    return [*through, (space, last)]


def _way(legs: Sequence[_UsedStroke], profile: Profile) -> list[dict[str, Any]]:
    """Return the lines of a run as stretches of a route file: smoothed, on their supports, through passes."""
    way = []
    for leg in legs:
        space, scale = leg.stroke.space, leg.stroke.scale
        line = LineString(leg.points).simplify(SMOOTH_MM * scale)
        points = tuple((float(x), float(y)) for x, y in line.coords)
        for along, part in follow(points, space, FOLLOW_MM * scale, profile):
            led = through_passes(part, space, FOLLOW_MM * scale, profile) if along is None else part
            places = [[round(x, 3), round(y, 3)] for x, y in led]
            way.append({"space": space, "points": places, **({"along": along} if along else {})})
    return way


def _left_over(svg: SvgFile, run: Run, stroke: Stroke, is_whole: bool, profile: Profile) -> Fault:
    if is_whole:
        words = "is one line more than the run needs; keep one line in each space"
    else:
        words = _why_not(stroke, [run], profile)
    return svg.fault(stroke.element, words, f'run "{run.name}"')


def _no_run(svg: SvgFile, stroke: Stroke, job: Job, profile: Profile) -> Fault:
    words = f"belongs to no run: {_why_not(stroke, list(job.runs), profile)}"
    return svg.fault(stroke.element, words, f"line in {stroke.space}")


def _why_not(stroke: Stroke, runs: Sequence[Run], profile: Profile) -> str:
    """Return in words what an end of a line is near, and is not near enough."""
    choices = [each for run in runs for each in runs_by_ends(run)]
    names = {name for run in choices for name in (run.start, run.end)}
    places = [(t.name, t.at) for t in profile.terminals if t.name in names and t.space == stroke.space]
    places += [(o.name, o.at) for o in profile.openings if stroke.space in o.joins]
    for end, verb in ((stroke.points[0], "begins"), (stroke.points[-1], "ends")):
        near = sorted((math.dist(at, end), name) for name, at in places)
        if near and near[0][0] > SNAP_MM * stroke.scale:
            (away_mm, name), most_mm = near[0], SNAP_MM * stroke.scale
            where = f"it {verb} {away_mm:.0f} mm from {name}, the nearest end or opening"
            return f"{where}; draw it within {most_mm:.0f} mm"
    named = " or ".join(f"{run.start} to {run.end}" for run in choices[:3])
    return f"its lines do not lead from {named} through openings; draw one line for each space that is passed"
