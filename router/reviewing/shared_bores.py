"""Whether an opening or a hole is wide enough for all looms through it, whichever runs are in them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from router.model.plan import Finding, FindingKind, Loom, Route, Severity
from router.model.practice import Practice
from router.model.vehicle import Edge, Member, Opening, Profile, ThroughPass
from router.reviewing.crossings import bore_needed, changes_of, is_below_a_pass, mouth_of
from router.reviewing.finding import found, told_apart
from router.reviewing.review_tolerances import CLEARANCE_TOLERANCE_MM, LENGTH_TOLERANCE_MM
from router.reviewing.route_segments import segments_of


@dataclass(frozen=True, slots=True)
class _Bore:
    """An opening, or a hole of a member."""

    kind: FindingKind
    name: str
    at: tuple[float, float]
    bore_mm: float
    edge: Edge


def review_bores(
    routes: Sequence[Route], looms: Sequence[Loom], profile: Profile, practice: Practice
) -> tuple[Finding, ...]:
    """Return a finding for each bore that is too small for all looms through it, several at least.

    Looms lie beside each other in it. What they need is said from below: the two thickest beside each other,
    and no less area than all have, so that a bore is never refused that would do.

    Parameters
    ----------
    routes : sequence of Route
    looms : sequence of Loom
        What the runs lie in; one that goes through twice counts twice.
    profile : Profile
    practice : Practice
        Group "opening", for the grommet on a bare edge.
    """
    passed: dict[_Bore, list[tuple[str, float]]] = {}
    for route in routes:
        for bore, station_mm in _bores_passed(route, profile):
            passed.setdefault(bore, []).append((route.run, station_mm))
    crowds = ((bore, where, _looms_through(where, looms)) for bore, where in passed.items())
    judged = (_judged(*crowd, practice) for crowd in crowds if len(crowd[2]) > 1)
    return tuple(finding for finding in judged if finding)


def _bores_passed(route: Route, profile: Profile) -> Iterator[tuple[_Bore, float]]:
    """Yield every opening and hole that a route goes through, each time, with the station."""
    for change in changes_of(route, profile):
        if change.opening:
            yield _of_opening(change.opening), change.here.station_mm
    segments = [each for each in segments_of(route) if not each.is_vertical]
    for member in profile.members:
        for hole in member.passes:
            if not isinstance(hole, ThroughPass) or is_below_a_pass(member, hole, profile):
                continue
            before_mm, mouth = -math.inf, mouth_of(member, hole, profile)
            for segment in segments:
                station_mm = segment.station_at(hole.at)
                is_again = abs(station_mm - before_mm) <= LENGTH_TOLERANCE_MM
                if segment.space == member.space and not is_again and segment.in_plan.intersects(mouth):
                    before_mm = station_mm
                    yield _of_hole(member, hole), station_mm


def _of_opening(opening: Opening) -> _Bore:
    return _Bore(FindingKind.OPENING, opening.name, opening.at, opening.bore_mm, opening.edge)


def _of_hole(member: Member, hole: ThroughPass) -> _Bore:
    return _Bore(FindingKind.HOLE, f"the hole in {member.name}", hole.at, hole.bore_mm, hole.edge)


def _looms_through(where: Sequence[tuple[str, float]], looms: Sequence[Loom]) -> list[float]:
    """Return the outsides of the looms that go through, each as often as it does. [mm]"""
    times: Counter[tuple[int, str]] = Counter()
    for run, station_mm in where:
        there = [
            (len(loom.runs), number)
            for number, loom in enumerate(looms)
            if run in loom.runs and loom.bundle.holds(run, station_mm)
        ]
        if there:
            times[max(there)[1], run] += 1
    most: dict[int, int] = {}
    for (number, _), count in times.items():
        most[number] = max(most.get(number, 0), count)
    return [looms[number].outside_mm for number, count in most.items() for _ in range(count)]


def _judged(
    bore: _Bore, where: Sequence[tuple[str, float]], outsides_mm: Sequence[float], practice: Practice
) -> Finding | None:
    *_, second, first = sorted(outsides_mm)
    together_mm = max(first + second, math.sqrt(sum(each**2 for each in outsides_mm)))
    needed_mm, rule = bore_needed(bore.edge, practice, together_mm)
    if bore.bore_mm >= needed_mm - CLEARANCE_TOLERANCE_MM:
        return None
    required, actual = told_apart(needed_mm, bore.bore_mm)
    runs = list(dict.fromkeys(run for run, _ in where))
    whose = " and ".join(filter(None, (", ".join(runs[:-1]), runs[-1])))
    return found(
        bore.kind,
        Severity.MUST,
        where[0][0],
        where[0][1],
        f"{bore.name} has a bore of {actual}, and {len(outsides_mm)} looms go through it, of {whose}",
        more=f"; together they need {required}",
        required=f"bore of at least {required}",
        actual=f"bore of {actual}",
        rule=rule,
    )
