"""A drawn route judged: what the review finds, a mark for it, and what the planned route would have saved.

The loom is that of the run's own conductors, chosen for the route as drawn, or the one that the route file
gives where that is thicker. Runs that are not drawn count with their planned route.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from shapely import Polygon

from router.conductors import choose_conductors
from router.errors import NoConductorError
from router.judging.standards import changes_under
from router.lengths import measure_run
from router.looms import loom_for, loom_stretches
from router.model.job import Job, Run
from router.model.plan import (
    ClearanceCheck,
    Electrical,
    Finding,
    FindingKind,
    Passage,
    PassageKind,
    Plan,
    Route,
    RoutePoint,
    RunLength,
    Severity,
)
from router.model.practice import Practice
from router.model.review import (
    DrawnRoute,
    DrawnRun,
    JudgedFinding,
    JudgedRun,
    Judgement,
)
from router.model.vehicle import OverPass, Profile
from router.reviewing import (
    KINDS,
    LENGTH_TOLERANCE_MM,
    changes_of,
    crossings_of,
    passes_at,
    review_apart,
    review_route,
    review_rules,
    review_stretch,
    segments_of,
)

FULL_MARK = 100
DANGEROUS = (FindingKind.CLEARANCE, FindingKind.LOOP, FindingKind.FIXING_FORBIDDEN)
"""Kinds of findings by which a loom burns, is cut or caught, or hangs on a line that must carry nothing."""

HOLDING = (
    FindingKind.LOOP,
    FindingKind.FIXING_FORBIDDEN,
    FindingKind.SPAN,
    FindingKind.FIXING_UNFIT,
    FindingKind.FIXING_OUT_OF_REACH,
    FindingKind.FIXING_MISSING,
)
"""Kinds of findings that are about what holds the loom, not about its way."""


def judge_route(
    job: Job, profile: Profile, practice: Practice, drawn: DrawnRoute, planned: Plan | None = None
) -> Judgement:
    """Return everything that a review says about a drawn route.

    Parameters
    ----------
    job, profile, practice : records of the model
        What was asked, and what the route is judged against.
    drawn : DrawnRoute
        One or more runs of the job.
    planned : Plan, optional
        The plan of the same job, to compare with.
    """
    ways = {each.route.run: _with_passages(each, profile) for each in drawn.runs}
    by_plan = {run.name: run.route for run in planned.runs} if planned else {}
    routes = tuple(
        ways[run.name].route if run.name in ways else by_plan.get(run.name) or _stand_in(run, profile)
        for run in job.runs
    )
    lengths = tuple(
        measure_run(run, route, profile, practice) for run, route in zip(job.runs, routes, strict=True)
    )
    electrical, findings = _conductors(job, profile, practice, routes, lengths)
    looms_mm = {run.name: _loom_mm(run, ways.get(run.name), electrical, practice, job) for run in job.runs}
    stretches = dict(
        zip(ways_of(job), loom_stretches(job, routes, electrical.conductors, practice), strict=True)
    )
    length_by_run = dict(zip(ways_of(job), lengths, strict=True))
    judged = []
    for name, way in ways.items():
        widest_mm = max(c.outside_mm for c in electrical.conductors if c.run == name)
        checks, found = _reviewed(
            job.run(name), way, looms_mm[name], widest_mm, stretches[name], profile, practice
        )
        findings += found
        length = length_by_run[name]
        planned_mm = by_plan[name].routed_mm if name in by_plan else None
        findings += _too_long(way.route, planned_mm, practice)
        allowances_mm = sum(allowance.length_mm for allowance in length.allowances)
        judged.append(
            JudgedRun(
                way, looms_mm[name], checks, length.routed_mm + allowances_mm, allowances_mm, planned_mm
            )
        )
    if all(run.name in ways or run.name in by_plan for run in job.runs):
        findings += review_apart(job, routes, looms_mm, profile, practice)
    findings += review_rules(profile, practice)
    counted = [each for each in findings if not (drawn.ignores_fixings and each.kind in HOLDING)]
    marked = [JudgedFinding(each, _points(each, practice)) for each in dict.fromkeys(counted)]
    marked.sort(key=lambda each: _weight(each, job))
    mark = max(0, round(FULL_MARK - sum(each.points for each in marked)))
    judgement = Judgement(
        job,
        profile,
        practice,
        drawn,
        tuple(judged),
        tuple(marked),
        mark,
        planned,
        _saved(judged, planned, ignores_fixings=drawn.ignores_fixings),
        (),
    )
    return replace(judgement, changes=tuple(changes_under(judgement))) if drawn.approval else judgement


def ways_of(job: Job) -> tuple[str, ...]:
    """Return the names of a job's runs, in its order."""
    return tuple(run.name for run in job.runs)


def _conductors(
    job: Job, profile: Profile, practice: Practice, routes: tuple[Route, ...], lengths: tuple[RunLength, ...]
) -> tuple[Electrical, list[Finding]]:
    """Return conductors for the routes as drawn; where none will do, for straight ones, and a finding."""
    try:
        return choose_conductors(job, profile, practice, routes, lengths), []
    except NoConductorError as error:
        straight = tuple(_stand_in(run, profile) for run in job.runs)
        direct = tuple(
            measure_run(run, way, profile, practice) for run, way in zip(job.runs, straight, strict=True)
        )
        what = f"no conductor does for a way of this length: {error.why}"
        finding = Finding(
            FindingKind.CONDUCTOR, Severity.MUST, None, None, what, "a conductor that does", "none", None
        )
        return choose_conductors(job, profile, practice, straight, direct), [finding]


def _stand_in(run: Run, profile: Profile) -> Route:
    """Return a straight route for a run that nobody drew or planned: only its conductors count."""
    start, end = profile.terminal(run.start), profile.terminal(run.end)
    a, b = (*start.at, start.height_mm), (*end.at, end.height_mm)
    length_mm = math.dist(a, b)
    points = [RoutePoint(start.space, *a, 0.0, None), RoutePoint(start.space, *b, length_mm, None)]
    if end.space != start.space:
        points.append(RoutePoint(end.space, *b, length_mm, None))
    return Route(run.name, tuple(points), (), length_mm, 0.0)


def _loom_mm(run: Run, drawn: DrawnRun | None, electrical: Electrical, practice: Practice, job: Job) -> float:
    wires_mm = tuple(c.outside_mm for c in electrical.conductors if c.run == run.name)
    own_mm = loom_for(wires_mm, practice, job.series).outside_mm
    return max(own_mm, (drawn.loom_diameter_mm or 0.0) if drawn else 0.0)


def _reviewed(
    run: Run,
    way: DrawnRun,
    loom_mm: float,
    widest_mm: float,
    stretches: tuple[tuple[float, float, float], ...],
    profile: Profile,
    practice: Practice,
) -> tuple[tuple[ClearanceCheck, ...], list[Finding]]:
    """Return clearances and findings of one run, with every thicker trunk judged as thick as it is."""
    clearances, found = review_route(
        way.route,
        run,
        way.fixings,
        profile,
        practice,
        loom_mm,
        widest_wire_mm=widest_mm,
        declared=way.declared,
        loops=way.loops,
        drawing_tolerance_mm=way.drawing_tolerance_mm,
        has_no_heights=way.has_no_heights,
    )
    tightest, findings = {check.keep_out: check for check in clearances}, list(found)
    for from_mm, to_mm, outside_mm in stretches:
        if outside_mm > loom_mm:
            checks, more = review_stretch(
                way.route, from_mm, to_mm, profile, practice, outside_mm, way.drawing_tolerance_mm
            )
            findings += [f for f in more if not any(_is_same_place(f, other) for other in found)]
            for check in checks:
                known = tightest.get(check.keep_out, check)
                tightest[check.keep_out] = min(known, check, key=lambda each: each.actual_mm)
    ordered = sorted(tightest.values(), key=lambda each: each.margin_mm)
    return tuple(ordered), findings


def _is_same_place(one: Finding, other: Finding) -> bool:
    stations = (one.station_mm or 0.0, other.station_mm or 0.0)
    return one.kind == other.kind and abs(stations[0] - stations[1]) < 1.0


def _with_passages(drawn: DrawnRun, profile: Profile) -> DrawnRun:
    """Return a drawn run with what it passes, which a file does not say."""
    route = drawn.route
    passages = sorted(_passages(route, profile), key=lambda each: each.from_station_mm)
    return replace(drawn, route=replace(route, passages=tuple(passages)))


def _passages(route: Route, profile: Profile) -> Iterator[Passage]:
    pieces = segments_of(route)
    for change in changes_of(route, profile):
        if change.opening:
            station_mm = change.here.station_mm
            yield Passage(PassageKind.OPENING, change.opening.name, station_mm, station_mm)
    for crossing in crossings_of(pieces, profile, 0.0):
        is_over = any(isinstance(way, OverPass) for way in passes_at(crossing, pieces))
        kind = PassageKind.OVER_MEMBER if is_over else PassageKind.THROUGH_MEMBER
        yield Passage(kind, crossing.member.name, crossing.from_station_mm, crossing.to_station_mm)
    for cover in profile.covers:
        ground = Polygon(cover.area)
        under = [
            piece
            for piece in pieces
            if piece.space == cover.space and piece.in_plan.intersection(ground).length > LENGTH_TOLERANCE_MM
        ]
        if under:
            first, last = under[0].start_station_mm, under[-1].end_station_mm
            yield Passage(PassageKind.COVER, cover.name, first, last)


def _too_long(route: Route, planned_mm: float | None, practice: Practice) -> list[Finding]:
    rule = practice.rule("marking", "longer than planned")
    if planned_mm is None or route.routed_mm <= planned_mm * (1 + rule.value):
        return []
    more_mm = route.routed_mm - planned_mm
    what = f"the route is {more_mm:.0f} mm longer than the planned one"
    most = f"at most {planned_mm * (1 + rule.value):.0f} mm"
    return [
        Finding(
            FindingKind.LENGTH,
            Severity.SHOULD,
            route.run,
            None,
            what,
            most,
            f"{route.routed_mm:.0f} mm",
            rule,
        )
    ]


def _points(finding: Finding, practice: Practice) -> float:
    is_dangerous = finding.severity is Severity.MUST and finding.kind in DANGEROUS
    return practice.value("marking", "danger" if is_dangerous else str(finding.severity))


def _weight(judged: JudgedFinding, job: Job) -> tuple[float, int, int, int, float]:
    """Return what the weightiest finding has least of; a run counts by its place in the job."""
    finding, order = judged.finding, list(Severity)
    run = -1 if finding.run is None else ways_of(job).index(finding.run)
    kind = KINDS.index(finding.kind) if finding.kind in KINDS else len(KINDS)
    return -judged.points, order.index(finding.severity), kind, run, finding.station_mm or 0.0


def _saved(judged: list[JudgedRun], planned: Plan | None, *, ignores_fixings: bool) -> tuple[str, ...]:
    words = []
    for each in judged:
        name = each.drawn.route.run
        plan = next((run for run in planned.runs if run.name == name), None) if planned else None
        if plan is None:
            continue
        routes = (each.drawn.route, plan.route)
        shorter_mm = routes[0].routed_mm - routes[1].routed_mm
        if shorter_mm >= 1.0:
            words.append(f"{name}: {shorter_mm:.0f} mm of length")
        fewer = len(each.drawn.fixings) - len(plan.fixings)
        if fewer > 0 and not ignores_fixings:
            words.append(f"{name}: {fewer} fixing{'s' * (fewer > 1)}")
        for kind, what in ((PassageKind.OPENING, "opening"), (PassageKind.COVER, "cover to take down")):
            drawn, kept = (dict.fromkeys(p.name for p in r.passages if p.kind is kind) for r in routes)
            words += [f"{name}: {what} {lost}" for lost in drawn if lost not in kept]
    return tuple(words)
