"""A drawn route judged: what the review finds, a mark for it, and what the planned route would have saved.

The loom is that of the run's own conductors, chosen for the route as drawn, or the one that the route file
gives where that is thicker. Runs that are not drawn count with their planned route.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from shapely import LineString, Point, Polygon

from router.errors import NoConductorError
from router.facts import bundles_of, positions_at, run_as_drawn
from router.fitting import (
    RouteSizes,
    measure_runs,
    own_looms_mm,
    size_routes,
    straight_route,
    widest_wires_mm,
    with_trunks,
)
from router.judging.standards import changes_under
from router.looms import dress_looms
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
from router.model.vehicle import OverPass, Profile, ThroughPass
from router.reviewing import (
    KINDS,
    LENGTH_TOLERANCE_MM,
    changes_of,
    crossings_of,
    passes_at,
    review_apart,
    review_bores,
    review_route,
    review_rules,
    segments_of,
)

FULL_MARK = 100
DANGEROUS = (
    FindingKind.CLEARANCE,
    FindingKind.LOOP,
    FindingKind.FIXING_FORBIDDEN,
    FindingKind.DRILLED_HOLE,
)
"""Kinds of findings by which a loom burns, is cut or caught, hangs on a line that must carry nothing, or by
which somebody drills into what lies behind a panel."""

BESIDE_A_PASS_MM = 150.0
"""A drawn route that crosses a member further beside a pass than this, in plan, does not take it."""

HOLDING = (
    FindingKind.LOOP,
    FindingKind.FIXING_FORBIDDEN,
    FindingKind.DRILLED_HOLE,
    FindingKind.SPAN,
    FindingKind.FIXING_UNFIT,
    FindingKind.FIXING_OUT_OF_REACH,
    FindingKind.FIXING_MISSING,
)
"""Kinds of findings that are about what holds the loom, not about its route."""


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
    job = _job_as_drawn(job, drawn, profile, planned)
    runs = {each.route.run: _with_passages(each, profile) for each in drawn.runs}
    by_plan = {run.name: run.route for run in planned.runs} if planned else {}
    known = by_plan | {name: run.route for name, run in runs.items()}
    routes = tuple(known.get(run.name) or straight_route(run, profile, 1.0) for run in job.runs)
    sizes, findings = _sizes(job, profile, practice, routes)
    looms_mm = _looms_mm(job, practice, sizes.electrical, runs)
    judged = []
    for name, run in runs.items():
        checks, found = _reviewed(job.run(name), run, looms_mm[name], sizes, profile, practice)
        planned_mm = by_plan[name].routed_mm if name in by_plan else None
        findings += [*found, *_too_long(run.route, planned_mm, practice)]
        judged.append(_judged(run, looms_mm[name], checks, sizes, planned_mm))
    if len(known) == len(job.runs):
        findings += review_apart(job, routes, looms_mm, profile, practice)
        findings += review_bores(routes, sizes.looms, profile, practice)
    findings += review_rules(profile, practice)
    counted = [each for each in findings if not (drawn.ignores_fixings and each.kind in HOLDING)]
    marked = [JudgedFinding(each, _points(each, practice)) for each in dict.fromkeys(counted)]
    marked.sort(key=lambda each: _weight(each, job))
    judgement = Judgement(
        job=job,
        profile=profile,
        practice=practice,
        drawn=drawn,
        runs=tuple(judged),
        findings=tuple(marked),
        mark=max(0, round(FULL_MARK - sum(each.points for each in marked))),
        planned=planned,
        saved=_saved(judged, planned, ignores_fixings=drawn.ignores_fixings),
        changes=(),
    )
    return replace(judgement, changes=tuple(changes_under(judgement))) if drawn.approval else judgement


def _job_as_drawn(job: Job, drawn: DrawnRoute, profile: Profile, planned: Plan | None) -> Job:
    """Return the job with the ends that the drawn runs take; those of the others are the plan's."""
    routes = {each.route.run: each.route for each in drawn.runs}

    def as_drawn(run: Run) -> Run:
        if route := routes.get(run.name):
            return run_as_drawn(run, route.points[0], route.points[-1], profile)
        return planned.job.run(run.name) if planned else run

    return replace(job, runs=tuple(map(as_drawn, job.runs)))


def _judged(
    drawn: DrawnRun,
    loom_mm: float,
    checks: tuple[ClearanceCheck, ...],
    sizes: RouteSizes,
    planned_mm: float | None,
) -> JudgedRun:
    length = next(length for length in sizes.lengths if length.run == drawn.route.run)
    allowances_mm = sum(allowance.length_mm for allowance in length.allowances)
    return JudgedRun(drawn, loom_mm, checks, length.routed_mm + allowances_mm, allowances_mm, planned_mm)


def _sizes(
    job: Job, profile: Profile, practice: Practice, routes: Sequence[Route]
) -> tuple[RouteSizes, list[Finding]]:
    """Return what lies along the routes as drawn; where no conductor will do, those of straight ones."""
    try:
        return size_routes(job, profile, practice, routes), []
    except NoConductorError as error:
        straight = tuple(straight_route(run, profile, 1.0) for run in job.runs)
        electrical = size_routes(job, profile, practice, straight).electrical
        wires_mm = widest_wires_mm(job, electrical)
        bundles, lengths = bundles_of(routes), measure_runs(job, profile, practice, routes, wires_mm)
        looms = dress_looms(job, bundles, electrical.conductors, practice)
        what, why = "no conductor does for a route of this length", f": {error.why}"
        finding = Finding(
            FindingKind.CONDUCTOR, Severity.MUST, None, None, what, why, "a conductor that does", "none", None
        )
        return RouteSizes(bundles, lengths, electrical, looms), [finding]


def _looms_mm(
    job: Job, practice: Practice, electrical: Electrical, drawn: Mapping[str, DrawnRun]
) -> dict[str, float]:
    """Return by run the loom over its own conductors, or that of its file where that is thicker."""
    own_mm = own_looms_mm(job, practice, electrical)
    return {
        name: max(mm, (drawn[name].loom_diameter_mm or 0.0) if name in drawn else 0.0)
        for name, mm in own_mm.items()
    }


def _reviewed(
    run: Run, drawn: DrawnRun, loom_mm: float, sizes: RouteSizes, profile: Profile, practice: Practice
) -> tuple[tuple[ClearanceCheck, ...], list[Finding]]:
    """Return clearances and findings of one run, with every thicker trunk judged as thick as it is."""
    clearances, found = review_route(
        drawn.route,
        run,
        drawn.fixings,
        profile,
        practice,
        loom_mm,
        widest_wire_mm=sizes.widest_wire_mm(run),
        declared=drawn.declared,
        loops=drawn.loops,
        drawing_tolerance_mm=drawn.drawing_tolerance_mm,
        has_no_heights=drawn.has_no_heights,
    )
    looms = sizes.looms_of(run.name)
    checks, more = with_trunks(
        drawn.route, clearances, looms, loom_mm, profile, practice, drawn.drawing_tolerance_mm
    )
    new = [each for each in more if not any(_is_same_place(each, other) for other in found)]
    return checks, [*found, *new]


def _is_same_place(one: Finding, other: Finding) -> bool:
    stations = (one.station_mm or 0.0, other.station_mm or 0.0)
    return one.kind == other.kind and abs(stations[0] - stations[1]) < 1.0


def _with_passages(drawn: DrawnRun, profile: Profile) -> DrawnRun:
    """Return a drawn run with what it passes, which a file does not say."""
    route = drawn.route
    passages = sorted(_passages(route, profile), key=lambda each: each.from_station_mm)
    return replace(drawn, route=replace(route, passages=tuple(passages)))


def _passages(route: Route, profile: Profile) -> Iterator[Passage]:
    segments = segments_of(route)
    for change in changes_of(route, profile):
        if change.opening:
            station_mm = change.here.station_mm
            yield Passage(PassageKind.OPENING, change.opening.name, station_mm, station_mm, None)
    for crossing in crossings_of(segments, profile, 0.0):
        passes = passes_at(crossing, segments)
        nearest = next((each for each in passes if isinstance(each, OverPass)), passes[0] if passes else None)
        kind = PassageKind.OVER_MEMBER if isinstance(nearest, OverPass) else PassageKind.THROUGH_MEMBER
        stations_mm = (crossing.from_station_mm, crossing.to_station_mm)
        taken = nearest if nearest and _is_at(route, stations_mm, nearest) else None
        yield Passage(kind, crossing.member.name, *stations_mm, taken)
    for cover in profile.covers:
        ground = Polygon(cover.area)
        under = [
            segment
            for segment in segments
            if segment.space == cover.space
            and segment.in_plan.intersection(ground).length > LENGTH_TOLERANCE_MM
        ]
        if under:
            first, last = under[0].start_station_mm, under[-1].end_station_mm
            yield Passage(PassageKind.COVER, cover.name, first, last, None)


def _is_at(route: Route, stations_mm: tuple[float, float], over: OverPass | ThroughPass) -> bool:
    """Return whether a route may be meant to take a pass there: it crosses the member not far beside it."""
    at = positions_at(route, (sum(stations_mm) / 2,))[0]
    line = (over.start, over.end) if isinstance(over, OverPass) else (over.at, over.at)
    return bool(LineString(line).distance(Point(at.x_mm, at.y_mm)) <= BESIDE_A_PASS_MM)


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
            "",
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
    run = -1 if finding.run is None else [run.name for run in job.runs].index(finding.run)
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
