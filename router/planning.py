"""The one place where the trades meet: profile, job and practice in, a whole plan out.

Diameters and routes depend on each other, so they are iterated:

1. plan every run with the thickest single loom;
2. see which runs share a trunk;
3. plan those again with the diameter the trunk needs, if the review says it does not fit.

From step 2 on diameters only grow and there are few sizes, so the loop ends.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from typing import TypeAlias

from router.bill import make_bill
from router.conductors import choose_conductors
from router.errors import NoAnswerError, NoConductorError, NoRouteError
from router.explaining import (
    Explained,
    TriedEnds,
    end_reasons,
    explain_routes,
    find_other_ends,
    find_routes_or_explain,
    no_end_has_an_answer,
)
from router.facts import assumed_supports, bundles_of, list_stations, unsaid_kinds
from router.fitting import (
    CrowdedBore,
    RouteSizes,
    alike,
    crowded_bores,
    measure_runs,
    own_looms_mm,
    size_routes,
    straight_route,
    with_trunks,
)
from router.fixings import fixings_beside, place_fixings, spans_along, supports_avoided
from router.looms import find_breakouts, heat_sleeves
from router.memory import remembered
from router.model.conductor_choice import SizeReason
from router.model.fixing import Fixing
from router.model.job import Job
from router.model.plan import (
    Alternative,
    ClearanceCheck,
    Electrical,
    Finding,
    OtherEnd,
    Plan,
    Route,
    RunPlan,
    Severity,
)
from router.model.practice import Practice
from router.model.vehicle import Opening, Profile, ThroughPass
from router.reviewing import (
    measure_clearances,
    review_apart,
    review_bores,
    review_route,
    review_rules,
    review_stretch,
)
from router.routing import (
    ClosedBores,
    Routing,
    effort_as_held_mm,
    fixed_ends,
    further_from_best,
    near_best,
    proven_job_gap,
    with_proven_gaps,
    with_wide_bends,
)
from router.stopping import stop_if_asked
from router.tolerances import DEFAULT_GAP

GUESSED_DETOUR = 1.3
"""Guessed length of a route before it is known, as a multiple of the straight line."""
DRAFT_ABOVE = 3
"""With more runs than this a draft tells which of them lie together; planning them well takes a while."""
MOST_TRIED = 9
"""Job plans made at most to keep looms out of bores that others fill."""
ALIKE_MM = 0.01
"""Of two choices of ends whose efforts differ by less, the first is taken."""
MOST_CLEARANCES = 3
"""Clearances shown of an alternative."""

Held: TypeAlias = tuple[tuple[Fixing, ...], tuple[Finding, ...]]
"""The fixings of a run, and where a rule about them cannot be met."""
Reviewed: TypeAlias = tuple[tuple[ClearanceCheck, ...], tuple[Finding, ...]]
"""The clearances of a run, and what the review found."""


@dataclass(frozen=True, slots=True)
class _Question:
    """What is asked of a plan."""

    job: Job
    profile: Profile
    practice: Practice
    closed: ClosedBores
    """By run: what it may not go through, because other looms fill it."""

    def with_closed(self, run: str, bore: Opening | ThroughPass) -> _Question:
        """Return the question with one more thing that a run may not go through."""
        return replace(self, closed={**self.closed, run: (*self.closed.get(run, ()), bore)})


@dataclass(frozen=True, slots=True)
class _SizedRoutes:
    """Routes with what lies along them, and by run the diameter that it was planned with."""

    routing: Routing
    sizes: RouteSizes
    looms_mm: dict[str, float]

    def thickest_mm(self, run: str) -> float:
        """Return the diameter of the thickest loom that a run lies in, or was planned with."""
        return max(self.looms_mm[run], *(loom.outside_mm for loom in self.sizes.looms_of(run)))


@dataclass(frozen=True, slots=True)
class _HeldRoutes:
    """The routes of a job whose runs have one end each, what holds them, and what the review says of both."""

    question: _Question
    sized: _SizedRoutes
    held: tuple[Held, ...]
    reviewed: tuple[Reviewed, ...]

    @property
    def broken(self) -> int:
        """Return how many must-rules they break, by the fixings trade and by the review."""
        found = (
            finding
            for (_, unfixed), (_, found) in zip(self.held, self.reviewed, strict=True)
            for finding in _new(unfixed, found)
        )
        return sum(finding.severity is Severity.MUST for finding in found)

    @property
    def rank(self) -> tuple[int, float]:
        """Return what the best choice of ends has least of: must-rules that are broken, then effort."""
        return self.broken, self.sized.routing.effort_mm

    @property
    def rank_as_held(self) -> tuple[int, float]:
        """Return what the best routes have least of: must-rules that are broken, then effort as held."""
        broken, effort_mm = self.rank
        if not broken:  # what nothing holds must not come cheaper for that
            fixings = [fixing for own, _ in self.held for fixing in own]
            practice = self.question.practice
            effort_mm = effort_as_held_mm(self.sized.routing, fixings, self.question.profile, practice)
        return broken, round(effort_mm, 3)

    def is_better_than(self, other: _HeldRoutes | None) -> bool:
        """Return whether this one is really better; of two alike the first stays."""
        if other is None:
            return True
        broken, effort_mm = other.rank
        return self.rank < (broken, effort_mm - ALIKE_MM)

    def other_ends(self, run: str, tried: Sequence[TriedEnds]) -> tuple[OtherEnd, ...]:
        """Return where else a run may begin or end."""
        return find_other_ends(self.question.job.run(run), self.sized.routing.effort_mm, tried)


def make_plan(job: Job, profile: Profile, practice: Practice, gap: float = DEFAULT_GAP) -> Plan:
    """Return the whole answer to a job; every route's gap is proven, to `gap` where that can be had.

    Raises
    ------
    NoRouteError
        A run has no way; says what pinches it and where.
    NoConductorError
        No conductor, fuse or loom meets the limits; says which limit and by how much.
    """
    return _whole_plan(job, profile, practice, gap)


@remembered(most=4)
def _whole_plan(job: Job, profile: Profile, practice: Practice, gap: float) -> Plan:
    best, tried = _answered(job, profile, practice)
    job, sized = best.question.job, best.sized
    sized = replace(sized, routing=with_proven_gaps(job, sized.routing, gap))
    explained = explain_routes(job, sized.routing, sized.sizes.bundles)
    proven = proven_job_gap(job, profile, practice, sized.routing, sized.looms_mm.values(), gap)
    return _plan_of(replace(best, sized=sized), tried, explained, proven)


def make_answer(job: Job, profile: Profile, practice: Practice) -> Plan:
    """Return the answer to a job as soon as it stands: nothing proven (gaps infinite), no reasons, no others.

    With a memory in use, `make_plan` goes on from there.

    Parameters
    ----------
    job, profile, practice : records of the model

    Raises
    ------
    NoRouteError, NoConductorError
        As `make_plan`.
    """
    best, tried = _answered(job, profile, practice)
    routing = best.sized.routing
    routes = tuple(replace(route, gap=math.inf) for route in routing.routes)
    sized = replace(best.sized, routing=replace(routing, routes=routes))
    return _plan_of(replace(best, sized=sized), tried, [Explained((), ())] * len(routes), math.inf)


@remembered(most=4)
def _answered(job: Job, profile: Profile, practice: Practice) -> tuple[_HeldRoutes, tuple[TriedEnds, ...]]:
    return _best_ends(_Question(job, profile, practice, {}))


def _plan_of(
    best: _HeldRoutes, tried: tuple[TriedEnds, ...], explained: Sequence[Explained], gap: float
) -> Plan:
    """Return what was found, as a plan."""
    question, sized, held, reviewed = best.question, best.sized, best.held, best.reviewed
    job, profile, practice, looms = question.job, question.profile, question.practice, sized.sizes.looms
    runs = tuple(
        _run_plan(question, sized, route, fixings, clearances, why, best.other_ends(route.run, tried))
        for route, (fixings, _), (clearances, _), why in zip(
            sized.routing.routes, held, reviewed, explained, strict=True
        )
    )
    return Plan(
        job=job,
        profile=profile,
        practice=practice,
        loom_diameter_mm=max(loom.outside_mm for loom in looms),
        runs=runs,
        looms=looms,
        bill=make_bill(job, profile, practice, runs, looms),
        findings=_by_weight(_all_findings(question, sized, held, reviewed), job),
        effort_mm=sized.routing.effort_mm,
        apart_effort_mm=sized.routing.apart_effort_mm,
        gap=gap,
    )


# Which of several ends


def _best_ends(asked: _Question) -> tuple[_HeldRoutes, tuple[TriedEnds, ...]]:
    """Return the routes to those ends with which the whole job takes least effort, and all that was tried.

    What cannot win by the least that it takes is not planned.
    """
    best: _HeldRoutes | None = None
    tried: list[TriedEnds] = []
    refusals: list[NoAnswerError] = []
    for fixed in fixed_ends(asked.job, asked.profile, asked.practice):
        if best and best.rank < (0, fixed.least_mm):
            tried.append(TriedEnds(fixed.job, fixed.least_mm, is_least=True))
            continue
        try:
            question, sized = _without_crowds(replace(asked, job=fixed.job))
            found = _best_held(question, sized)
        except NoAnswerError as error:
            refusals.append(error)
            tried.append(TriedEnds(fixed.job, None, is_least=False))
            continue
        tried.append(TriedEnds(fixed.job, found.rank[1], is_least=False))
        best = found if found.is_better_than(best) else best
    if best is None:
        raise no_end_has_an_answer(refusals)
    return best, tuple(tried)


# One run of the plan


def _review(question: _Question, sized: _SizedRoutes, held: Sequence[Held]) -> tuple[Reviewed, ...]:
    """Return what the review says of every run, with its trunks as thick as they are."""
    profile, practice, sizes = question.profile, question.practice, sized.sizes
    reviewed = []
    for run, route, (fixings, _) in zip(question.job.runs, sized.routing.routes, held, strict=True):
        loom_mm, widest_mm = sized.looms_mm[run.name], sizes.widest_wire_mm(run)
        checks, found = review_route(
            route, run, fixings, profile, practice, loom_mm, widest_wire_mm=widest_mm
        )
        checks, tight = with_trunks(route, checks, sizes.looms_of(run.name), loom_mm, profile, practice)
        reviewed.append((checks, (*found, *tight)))
    return tuple(reviewed)


def _run_plan(
    question: _Question,
    sized: _SizedRoutes,
    route: Route,
    fixings: tuple[Fixing, ...],
    clearances: tuple[ClearanceCheck, ...],
    why: Explained,
    other_ends: tuple[OtherEnd, ...],
) -> RunPlan:
    """Return all about one run."""
    profile, practice, electrical = question.profile, question.practice, sized.sizes.electrical
    run, loom_mm = question.job.run(route.run), sized.looms_mm[route.run]
    fuse = next((fuse for fuse in electrical.fuses if fuse.run == run.name), None)
    sleeves = heat_sleeves(route, profile, practice, sized.thickest_mm(run.name))
    breakouts = find_breakouts(run.name, sized.sizes.bundles)
    return RunPlan(
        name=run.name,
        start=run.start,
        end=run.end,
        route=route,
        length=next(length for length in sized.sizes.lengths if length.run == run.name),
        stations=list_stations(run, route, fixings, fuse, sleeves, breakouts),
        fixings=fixings,
        clearances=clearances,
        conductors=tuple(choice for choice in electrical.conductors if choice.run == run.name),
        fuse=fuse,
        heat_sleeves=sleeves,
        loom_diameter_mm=loom_mm,
        reasons=(*why.reasons, *end_reasons(run, route, other_ends)),
        alternatives=tuple(_measured(other, profile, practice, loom_mm) for other in why.alternatives),
        breakouts=breakouts,
        spans=spans_along(route, tuple(fixing.station_mm for fixing in fixings), profile, practice),
        other_ends=other_ends,
    )


def _measured(alternative: Alternative, profile: Profile, practice: Practice, loom_mm: float) -> Alternative:
    """Return another way with its tightest places, as the review measures them."""
    checks = measure_clearances(alternative.route, profile, practice, loom_mm)
    return replace(alternative, clearances=checks[:MOST_CLEARANCES])


# What holds the looms


def _best_held(question: _Question, sized: _SizedRoutes) -> _HeldRoutes:
    """Return the routes that break fewest must-rules, of those the ones of least effort as held.

    The search holds a loom at so much a mm; which of the best few really takes least, their fixings tell.
    Where each of them breaks a rule, those are looked at too that take a little more.
    """
    best = _held_routes(question, _with_wide_bends(question, sized))
    rank = best.rank_as_held
    for look in (near_best, further_from_best):
        for routing in look(question.job, sized.routing, question.practice):
            other = _on_other_routes(question, sized, routing)
            if other is sized or _crowd(question, other):
                continue
            found = _held_routes(question, _with_wide_bends(question, other))
            if (rank_too := found.rank_as_held) < rank:
                best, rank = found, rank_too
        if not rank[0]:
            break
    return best


def _held_routes(question: _Question, sized: _SizedRoutes) -> _HeldRoutes:
    stop_if_asked()
    held = _held(question, sized)
    return _HeldRoutes(question, sized, held, _review(question, sized, held))


def _held(question: _Question, sized: _SizedRoutes) -> tuple[Held, ...]:
    """Return for each run its fixings, and where a rule about them cannot be met; a trunk's are shared."""
    held = dict[str, Held]()
    for route in sized.routing.routes:
        stop_if_asked()
        earlier = {run: fixings for run, (fixings, _) in held.items()}
        placed = fixings_beside(route.run, earlier, sized.sizes.bundles)
        avoided = supports_avoided(route.run, question.job, sized.sizes.bundles)
        drilled = [each.hole for fixings in earlier.values() for each in fixings if each.hole]
        planned_mm = sized.looms_mm[route.run]  # the thinnest it is anywhere: a panel in its reach is in all
        held[route.run] = place_fixings(
            route, question.profile, question.practice, planned_mm, placed, avoided, drilled
        )
    return tuple(held.values())


# Looms through one bore


def _without_crowds(question: _Question) -> tuple[_Question, _SizedRoutes]:
    """Return routes of which no more go through a bore than it holds, and the question that they answer.

    Where too many do, that bore is closed for each of their runs by turns, and the answer that takes the
    least effort is looked at first. Where none of those tried will do, the first answer stays, and the review
    says what is too narrow.
    """
    first = _size_looms(question)
    tried, waiting = 1, [(first.routing.effort_mm, 1, question, first)]
    while waiting and tried < MOST_TRIED:
        _, _, asked, sized = heappop(waiting)
        crowd = _crowd(question, sized)
        if crowd is None:
            return asked, sized
        for run in crowd.runs:
            tried += 1
            narrower = asked.with_closed(run, crowd.bore)
            with contextlib.suppress(NoRouteError, NoConductorError):
                other = _size_looms(narrower)
                heappush(waiting, (other.routing.effort_mm, tried, narrower, other))
    return question, first


def _crowd(question: _Question, sized: _SizedRoutes) -> CrowdedBore | None:
    """Return the first bore that is too narrow for all looms through it."""
    routes, looms = sized.routing.routes, sized.sizes.looms
    return next(crowded_bores(routes, looms, question.profile, question.practice), None)


# Diameters and routes


def _size_looms(question: _Question) -> _SizedRoutes:
    """Return routes whose looms are no thicker than what they were planned with."""
    is_first = len(question.job.runs) <= DRAFT_ABOVE
    routing, planned_mm = _laid_at_first(question, is_draft=not is_first)
    sizes = _sizes(question, routing)
    if not is_first:
        planned_mm = _own_looms(question, sizes)
        routing = _laid(question, planned_mm, sizes.electrical)
        sizes = _sizes(question, routing)
    while True:
        needed_mm = _looms_needed(question, routing, sizes)
        if needed_mm == planned_mm or (
            not is_first and all(needed_mm[name] <= planned_mm[name] for name in planned_mm)
        ):
            return _SizedRoutes(routing, sizes, planned_mm)
        floor_mm = dict.fromkeys(planned_mm, 0.0) if is_first else planned_mm
        planned_mm = {name: max(needed_mm[name], floor_mm[name]) for name in planned_mm}
        is_first = False
        routing = _laid(question, planned_mm, sizes.electrical)
        sizes = _sizes(question, routing)


def _sizes(question: _Question, routing: Routing) -> RouteSizes:
    return size_routes(question.job, question.profile, question.practice, routing.routes)


def first_looms_mm(job: Job, profile: Profile, practice: Practice) -> dict[str, float]:
    """Return by run the diameter of its loom as it is guessed before there are routes. [mm]

    Parameters
    ----------
    job, profile, practice : records of the model

    Raises
    ------
    NoConductorError
        No conductor meets the limits, however straight the run is.
    """
    return own_looms_mm(job, practice, _guessed_conductors(job, profile, practice))


def _guessed_conductors(job: Job, profile: Profile, practice: Practice) -> Electrical:
    guessed = tuple(straight_route(run, profile, GUESSED_DETOUR) for run in job.runs)
    lengths = measure_runs(job, profile, practice, guessed)
    return choose_conductors(job, profile, practice, guessed, bundles_of(guessed), lengths)


def _laid_at_first(question: _Question, *, is_draft: bool) -> tuple[Routing, dict[str, float]]:
    """Return routes with the thickest loom for all, or where that leaves no way each with its own."""
    job, profile, practice = question.job, question.profile, question.practice
    electrical = _guessed_conductors(job, profile, practice)
    own_mm = own_looms_mm(job, practice, electrical)
    widest_mm = dict.fromkeys(own_mm, max(own_mm.values()))
    if widest_mm != own_mm:
        with contextlib.suppress(NoRouteError):
            routing = find_routes_or_explain(
                job, profile, practice, widest_mm, is_draft=is_draft, closed=question.closed
            )
            return routing, widest_mm
    return _laid(question, own_mm, electrical, is_draft=is_draft), own_mm


def _laid(
    question: _Question, planned_mm: dict[str, float], electrical: Electrical, *, is_draft: bool = False
) -> Routing:
    """Return routes for looms this thick; a refusal says what made the loom so thick."""
    job = question.job
    try:
        return find_routes_or_explain(
            job, question.profile, question.practice, planned_mm, is_draft=is_draft, closed=question.closed
        )
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


def _with_wide_bends(question: _Question, sized: _SizedRoutes) -> _SizedRoutes:
    """Return the same with room for the bends of the widest wire, unless that needs a thicker loom."""
    widest_mm = max(sized.sizes.widest_wire_mm(run) for run in question.job.runs)
    least_mm = question.practice.value("bend", "least radius") * widest_mm
    eased = with_wide_bends(question.job, sized.routing, question.practice, least_mm)
    return sized if eased is sized.routing else _on_other_routes(question, sized, eased)


def _on_other_routes(question: _Question, sized: _SizedRoutes, routing: Routing) -> _SizedRoutes:
    """Return other routes for the same looms; the same ones where the others need a thicker loom."""
    sizes = _sizes(question, routing)
    needed_mm = _looms_needed(question, routing, sizes)
    if any(needed_mm[name] > planned_mm for name, planned_mm in sized.looms_mm.items()):
        return sized
    return _SizedRoutes(routing, sizes, sized.looms_mm)


def _looms_needed(question: _Question, routing: Routing, sizes: RouteSizes) -> dict[str, float]:
    """Return by run the diameter that it must be planned with. [mm].

    The same for all that lie together, so that they lie there exactly alike: the thickest of their own looms,
    and of those trunks that do not fit where they lie, or that must stay apart from another run.
    """
    job = question.job
    needed_mm = _own_looms(question, sizes)
    by_run = {route.run: route for route in routing.routes}
    for loom in sizes.looms:
        stretch = (loom.from_station_mm, loom.to_station_mm)
        is_apart = any(job.apart_mm(name, other.name) is not None for name in loom.runs for other in job.runs)
        _, tight = review_stretch(
            by_run[loom.runs[0]], *stretch, question.profile, question.practice, loom.outside_mm
        )
        if is_apart or tight:
            for name in loom.runs:
                needed_mm[name] = max(needed_mm[name], loom.outside_mm)
    return alike(needed_mm, sizes.bundles)


def _own_looms(question: _Question, sizes: RouteSizes) -> dict[str, float]:
    """Return by run the thickest of the own looms of those that lie together with it. [mm]"""
    return alike(own_looms_mm(question.job, question.practice, sizes.electrical), sizes.bundles)


# Findings


def _all_findings(
    question: _Question, sized: _SizedRoutes, held: Sequence[Held], reviewed: Sequence[Reviewed]
) -> Iterator[Finding]:
    """Yield what every trade and the review found."""
    job, profile = question.job, question.profile
    yield from sized.sizes.electrical.findings
    for (_, unfixed), (_, found) in zip(held, reviewed, strict=True):
        yield from _new(unfixed, found)
    yield from review_apart(job, sized.routing.routes, sized.looms_mm, profile, question.practice)
    yield from review_bores(sized.routing.routes, sized.sizes.looms, profile, question.practice)
    yield from review_rules(profile, question.practice)
    yield from unsaid_kinds(job, profile, sized.routing.routes)
    yield from assumed_supports(profile, (each for fixings, _ in held for each in fixings))


def _new(unfixed: tuple[Finding, ...], reviewed: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Join what the fixings trade and the review found; where both saw one span, the first says why."""
    known = {(f.kind, f.run, round(f.station_mm or 0.0)) for f in unfixed}
    return (*unfixed, *(f for f in reviewed if (f.kind, f.run, round(f.station_mm or 0.0)) not in known))


def _by_weight(findings: Iterable[Finding], job: Job) -> tuple[Finding, ...]:
    """Return the weightiest first; alike ones in the order of the job's runs, those of no run before them."""
    order, runs = list(Severity), {run.name: number for number, run in enumerate(job.runs)}

    def weight(finding: Finding) -> tuple[int, int, float, str]:
        run = -1 if finding.run is None else runs[finding.run]
        return order.index(finding.severity), run, finding.station_mm or 0.0, finding.kind

    return tuple(sorted(findings, key=weight))
