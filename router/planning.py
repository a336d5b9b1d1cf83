"""The one place where the trades meet: profile, job and practice in, a whole plan out.

Diameters and routes depend on each other: a loom's diameter goes into every clearance, and which conductors
are in it depends on which runs share a trunk, and how long these are. So they are iterated:

1. plan every run with the diameter of the thickest single loom, and see which runs share a trunk;
2. plan those with the thickest of their own looms;
3. plan those again whose trunk is thicker and does not fit, as the review says, with the trunk's diameter.

From step 2 on diameters only grow, and there are few sizes, so the loop ends.
"""

from __future__ import annotations

import contextlib
import math
from dataclasses import dataclass, replace
from typing import TypeAlias

from router.bill import make_bill
from router.conductors import choose_conductors, pole_findings
from router.errors import NoRouteError
from router.explaining import explain_routes, find_routes_or_explain
from router.facts import list_stations, unsaid_kinds
from router.fixings import place_fixings, spans_along
from router.lengths import measure_run
from router.looms import dress_looms, find_breakouts, heat_sleeves, loom_for, loom_stretches
from router.model.job import Job, Run, Series
from router.model.plan import (
    Alternative,
    ClearanceCheck,
    Electrical,
    Finding,
    Fixing,
    Loom,
    Plan,
    Route,
    RoutePoint,
    RunLength,
    RunPlan,
    Severity,
    SizeReason,
)
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.reviewing import measure_clearances, review_apart, review_route, review_rules, review_stretch
from router.routing import Routing, with_proven_gaps, with_wide_bends

GUESSED_DETOUR = 1.3
"""Guessed length of a route before it is known, as a multiple of the straight line."""
DRAFT_ABOVE = 3
"""With more runs than this a draft tells which of them lie together; planning them well takes a while."""
DEFAULT_GAP = 0.01
"""Default for the proven gap."""
MOST_CLEARANCES = 3
"""Clearances shown of an alternative."""

Held: TypeAlias = tuple[tuple[Fixing, ...], tuple[Finding, ...]]
"""The fixings of a run, and where a rule about them cannot be met."""


@dataclass(frozen=True, slots=True)
class _SizedRoutes:
    """Routes, what is in them, and by run the diameter that it was planned with."""

    routing: Routing
    lengths: tuple[RunLength, ...]
    electrical: Electrical
    looms_mm: dict[str, float]


def make_plan(job: Job, profile: Profile, practice: Practice, gap: float = DEFAULT_GAP) -> Plan:
    """Return the whole answer to a job; every route's gap is proven, to `gap` where that can be had.

    Raises
    ------
    NoRouteError
        A run has no way; says what pinches it and where.
    NoConductorError
        No conductor, fuse or loom meets the limits; says which limit and by how much.
    """
    settled, held = _best_held(job, profile, practice, _settle_looms(job, profile, practice))
    lengths, electrical, looms_mm = settled.lengths, settled.electrical, settled.looms_mm
    routing = with_proven_gaps(job, settled.routing, gap)
    routes, explained = routing.routes, explain_routes(job, routing)
    findings = [*pole_findings(job, profile), *electrical.findings]
    runs: list[RunPlan] = []
    in_looms = loom_stretches(job, routes, electrical.conductors, practice)
    for run, route, length, why, stretches, breakouts, (fixings, unfixed) in zip(
        job.runs, routes, lengths, explained, in_looms, find_breakouts(job, routes), held, strict=True
    ):
        loom_mm = looms_mm[run.name]
        thickest_mm = _thickest_mm(loom_mm, stretches)
        widest_mm = max(c.outside_mm for c in electrical.conductors if c.run == run.name)
        clearances, reviewed = review_route(
            route, run, fixings, profile, practice, loom_mm, widest_wire_mm=widest_mm
        )
        clearances, tight = _with_trunks(route, clearances, stretches, loom_mm, profile, practice)
        findings += _new(unfixed, (*reviewed, *tight))
        fuse = next((f for f in electrical.fuses if f.run == run.name), None)
        sleeves = heat_sleeves(route, profile, practice, thickest_mm)
        runs.append(
            RunPlan(
                name=run.name,
                start=run.start,
                end=run.end,
                route=route,
                length=length,
                stations=list_stations(run, route, fixings, fuse, sleeves, breakouts),
                fixings=fixings,
                clearances=clearances,
                conductors=tuple(c for c in electrical.conductors if c.run == run.name),
                fuse=fuse,
                heat_sleeves=sleeves,
                loom_diameter_mm=loom_mm,
                reasons=why.reasons,
                alternatives=tuple(_measured(a, profile, practice, loom_mm) for a in why.alternatives),
                breakouts=breakouts,
                spans=spans_along(route, tuple(fixing.station_mm for fixing in fixings), profile, practice),
            )
        )
    findings += review_apart(job, routes, looms_mm, profile, practice)
    findings += (*review_rules(profile, practice), *unsaid_kinds(job, profile, routes))
    looms = dress_looms(job, routes, electrical.conductors, practice)
    bill = make_bill(job, profile, practice, tuple(runs), looms)
    return Plan(
        job=job,
        profile=profile,
        practice=practice,
        loom_diameter_mm=max(loom.outside_mm for loom in looms),
        runs=tuple(runs),
        looms=looms,
        bill=bill,
        findings=_by_weight(findings, job),
        effort_mm=routing.effort_mm,
        apart_effort_mm=routing.apart_effort_mm,
    )


def _best_held(
    job: Job, profile: Profile, practice: Practice, settled: _SizedRoutes
) -> tuple[_SizedRoutes, tuple[Held, ...]]:
    """Return the routes of least effort that can be held as the rules ask, with their fixings.

    Where none of those found can be held everywhere, the one that breaks fewest rules.
    """
    best = _with_wide_bends(job, profile, practice, settled)
    held = _held(job, profile, practice, best)
    for routing in settled.routing.runners_up:
        if not _broken(held):
            break
        other = _on_other_routes(job, profile, practice, settled, routing)
        if other is not settled:
            other = _with_wide_bends(job, profile, practice, other)
            held_too = _held(job, profile, practice, other)
            if _broken(held_too) < _broken(held):
                best, held = other, held_too
    return best, held


def _held(job: Job, profile: Profile, practice: Practice, settled: _SizedRoutes) -> tuple[Held, ...]:
    """Return for each run its fixings, and where a rule about them cannot be met; a trunk's are shared."""
    routes, held = settled.routing.routes, list[Held]()
    placed: list[Fixing] = []  # shared by who lies in one trunk
    in_looms = loom_stretches(job, routes, settled.electrical.conductors, practice)
    for route, stretches in zip(routes, in_looms, strict=True):
        thickest_mm = _thickest_mm(settled.looms_mm[route.run], stretches)
        held.append(place_fixings(route, profile, practice, thickest_mm, tuple(placed)))
        placed += held[-1][0]
    return tuple(held)


def _broken(held: tuple[Held, ...]) -> int:
    """Return how many must-rules about fixings cannot be met."""
    return sum(finding.severity is Severity.MUST for _, findings in held for finding in findings)


def _thickest_mm(planned_mm: float, stretches: tuple[tuple[float, float, float], ...]) -> float:
    """Return the diameter of the thickest loom that a run lies in."""
    return max(planned_mm, *(outside_mm for _, _, outside_mm in stretches))


def _settle_looms(job: Job, profile: Profile, practice: Practice) -> _SizedRoutes:
    """Return routes whose looms are no thicker than what they were planned with."""
    guessed = tuple(_straight(run, profile) for run in job.runs)
    electrical = _choose(job, profile, practice, guessed)[1]
    is_first = len(job.runs) <= DRAFT_ABOVE
    routing, planned_mm = _laid_at_first(job, profile, practice, electrical, is_draft=not is_first)
    lengths, electrical = _choose(job, profile, practice, routing.routes)
    if not is_first:
        planned_mm = _own_looms(job, practice, routing.routes, electrical)
        routing = _laid(job, profile, practice, planned_mm, electrical)
        lengths, electrical = _choose(job, profile, practice, routing.routes)
    while True:
        needed_mm = _looms_needed(job, profile, practice, routing.routes, electrical)
        if needed_mm == planned_mm or (
            not is_first and all(needed_mm[name] <= planned_mm[name] for name in planned_mm)
        ):
            return _SizedRoutes(routing, lengths, electrical, planned_mm)
        floor_mm = dict.fromkeys(planned_mm, 0.0) if is_first else planned_mm
        planned_mm = {name: max(needed_mm[name], floor_mm[name]) for name in planned_mm}
        is_first = False
        routing = _laid(job, profile, practice, planned_mm, electrical)
        lengths, electrical = _choose(job, profile, practice, routing.routes)


def _laid_at_first(
    job: Job, profile: Profile, practice: Practice, electrical: Electrical, *, is_draft: bool
) -> tuple[Routing, dict[str, float]]:
    """Return routes with the thickest loom for all, or where that leaves no way each with its own."""
    own_mm = {run.name: _own_loom_mm(run, electrical, practice, job.series) for run in job.runs}
    widest_mm = dict.fromkeys(own_mm, max(own_mm.values()))
    if widest_mm != own_mm:
        with contextlib.suppress(NoRouteError):
            return find_routes_or_explain(job, profile, practice, widest_mm, is_draft=is_draft), widest_mm
    return _laid(job, profile, practice, own_mm, electrical, is_draft=is_draft), own_mm


def _laid(
    job: Job,
    profile: Profile,
    practice: Practice,
    planned_mm: dict[str, float],
    electrical: Electrical,
    *,
    is_draft: bool = False,
) -> Routing:
    """Return routes for looms this thick; a refusal says what made the loom so thick."""
    try:
        return find_routes_or_explain(job, profile, practice, planned_mm, is_draft=is_draft)
    except NoRouteError as error:
        name = error.run or job.runs[0].name
        if error.is_for_any_loom:
            raise
        why = f"{error.why}. {_why_so_thick(job, name, planned_mm[name], electrical)}"
        raise NoRouteError(why, error.pinch, name) from error


def _why_so_thick(job: Job, name: str, loom_mm: float, electrical: Electrical) -> str:
    """Return what is in a run's loom, and what decided its thickest conductor, in words."""
    inside = [choice for choice in electrical.conductors if choice.run == name]
    thickest = max(inside, key=lambda choice: choice.outside_mm)
    words = f"The loom of {loom_mm:.0f} mm is for {', '.join(f'{c.name} {c.size}' for c in inside)}"
    if thickest.decided_by is not SizeReason.DROP:
        return f"{words}; {thickest.name} is that thick for its {thickest.decided_by}"
    limit_v = job.limits.drop_fraction * job.source.nominal_v
    return (
        f"{words}; {thickest.name} is that thick because of the drop limit, "
        f"{100 * job.limits.drop_fraction:g} % of {job.source.nominal_v:g} V or {limit_v:.3g} V, "
        f"over {thickest.length_mm / 1000:.1f} m: a higher limit or a smaller load makes it thinner"
    )


def _with_wide_bends(job: Job, profile: Profile, practice: Practice, settled: _SizedRoutes) -> _SizedRoutes:
    """Return the same with room for the bends of the widest wire, unless that needs a thicker loom."""
    widest_mm = max(choice.outside_mm for choice in settled.electrical.conductors)
    least_mm = practice.value("bend", "least radius") * widest_mm
    widened = with_wide_bends(job, settled.routing, practice, least_mm)
    return (
        settled if widened is settled.routing else _on_other_routes(job, profile, practice, settled, widened)
    )


def _on_other_routes(
    job: Job, profile: Profile, practice: Practice, settled: _SizedRoutes, routing: Routing
) -> _SizedRoutes:
    """Return other routes for the same looms; the same ones where the others need a thicker loom."""
    lengths, electrical = _choose(job, profile, practice, routing.routes)
    needed_mm = _looms_needed(job, profile, practice, routing.routes, electrical)
    if any(needed_mm[name] > planned_mm for name, planned_mm in settled.looms_mm.items()):
        return settled
    return _SizedRoutes(routing, lengths, electrical, settled.looms_mm)


def _looms_needed(
    job: Job, profile: Profile, practice: Practice, routes: tuple[Route, ...], electrical: Electrical
) -> dict[str, float]:
    """Return by run the diameter that it must be planned with. [mm]

    The same for all that lie together, so that they lie there exactly alike: the thickest of their own looms,
    and of those trunks that do not fit where they lie, or that must stay apart from another run.
    """
    needed_mm = _own_looms(job, practice, routes, electrical)
    looms = dress_looms(job, routes, electrical.conductors, practice)
    for loom in looms:
        route = next(route for route in routes if route.run == loom.runs[0])
        stretch = (loom.from_station_mm, loom.to_station_mm)
        is_apart = any(job.apart_mm(name, other.name) is not None for name in loom.runs for other in job.runs)
        _, tight = review_stretch(route, *stretch, profile, practice, loom.outside_mm)
        if is_apart or tight:
            for name in loom.runs:
                needed_mm[name] = max(needed_mm[name], loom.outside_mm)
    return _alike(needed_mm, looms)


def _own_looms(
    job: Job, practice: Practice, routes: tuple[Route, ...], electrical: Electrical
) -> dict[str, float]:
    """Return by run the thickest of the own looms of those that lie together with it. [mm]"""
    own_mm = {run.name: _own_loom_mm(run, electrical, practice, job.series) for run in job.runs}
    return _alike(own_mm, dress_looms(job, routes, electrical.conductors, practice))


def _alike(diameters_mm: dict[str, float], looms: tuple[Loom, ...]) -> dict[str, float]:
    """Return by run the largest diameter of all that some row of looms joins it with. [mm]"""
    beside = {name: {name} for name in diameters_mm}
    for loom in looms:
        together = set().union(*(beside[name] for name in loom.runs))
        beside.update(dict.fromkeys(together, together))
    return {name: max(diameters_mm[other] for other in group) for name, group in beside.items()}


def _with_trunks(
    route: Route,
    clearances: tuple[ClearanceCheck, ...],
    stretches: tuple[tuple[float, float, float], ...],
    planned_mm: float,
    profile: Profile,
    practice: Practice,
) -> tuple[tuple[ClearanceCheck, ...], tuple[Finding, ...]]:
    """Return clearances, and findings, with every trunk judged as thick as it is."""
    tightest = {check.keep_out: check for check in clearances}
    findings: list[Finding] = []
    for from_mm, to_mm, outside_mm in stretches:
        if outside_mm > planned_mm:
            checks, found = review_stretch(route, from_mm, to_mm, profile, practice, outside_mm)
            findings += found
            for check in checks:
                known = tightest.get(check.keep_out, check)
                tightest[check.keep_out] = min(known, check, key=lambda each: each.actual_mm)
    ordered = sorted(tightest.values(), key=lambda each: each.actual_mm - each.required_mm)
    return tuple(ordered), tuple(findings)


def _choose(
    job: Job, profile: Profile, practice: Practice, routes: tuple[Route, ...]
) -> tuple[tuple[RunLength, ...], Electrical]:
    lengths = tuple(
        measure_run(run, route, profile, practice) for run, route in zip(job.runs, routes, strict=True)
    )
    return lengths, choose_conductors(job, profile, practice, routes, lengths)


def _own_loom_mm(run: Run, electrical: Electrical, practice: Practice, series: Series) -> float:
    """Return the outside of a loom over one run's conductors."""
    wires_mm = tuple(c.outside_mm for c in electrical.conductors if c.run == run.name)
    return loom_for(wires_mm, practice, series).outside_mm


def _straight(run: Run, profile: Profile) -> Route:
    """Return a straight route for a run, lengthened, for a first guess of its conductors."""
    start, end = profile.terminal(run.start), profile.terminal(run.end)
    a, b = (*start.at, start.height_mm), (*end.at, end.height_mm)
    x_mm, y_mm, z_mm = ((p + q) / 2.0 for p, q in zip(a, b, strict=True))
    length_mm = GUESSED_DETOUR * math.dist(a, b)
    points = [
        RoutePoint(start.space, *a, 0.0, None),
        RoutePoint(start.space, x_mm, y_mm, z_mm, length_mm / 2.0, None),
        RoutePoint(end.space, x_mm, y_mm, z_mm, length_mm / 2.0, None),
        RoutePoint(end.space, *b, length_mm, None),
    ]
    return Route(run.name, tuple(points), (), length_mm, 0.0)


def _measured(alternative: Alternative, profile: Profile, practice: Practice, loom_mm: float) -> Alternative:
    """Return another way with its tightest places, as the review measures them."""
    checks = measure_clearances(alternative.route, profile, practice, loom_mm)
    return replace(alternative, clearances=checks[:MOST_CLEARANCES])


def _new(unfixed: tuple[Finding, ...], reviewed: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Join what the fixings trade and the review found; where both saw one span, the first says why."""
    known = {(f.kind, f.run, round(f.station_mm or 0.0)) for f in unfixed}
    return (*unfixed, *(f for f in reviewed if (f.kind, f.run, round(f.station_mm or 0.0)) not in known))


def _by_weight(findings: list[Finding], job: Job) -> tuple[Finding, ...]:
    """Return the weightiest first; alike ones in the order of the job's runs, those of no run before them."""
    order, runs = list(Severity), {run.name: number for number, run in enumerate(job.runs)}

    def weight(finding: Finding) -> tuple[int, int, float, str]:
        run = -1 if finding.run is None else runs[finding.run]
        return order.index(finding.severity), run, finding.station_mm or 0.0, finding.kind

    return tuple(sorted(findings, key=weight))
