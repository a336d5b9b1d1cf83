"""Whether a route passes what its file says that it passes, and where."""

from __future__ import annotations

import math
from collections.abc import Iterator

from router.model.plan import Finding, FindingKind, Passage, PassageKind, Severity
from router.model.vehicle import OverPass, Profile, ThroughPass
from router.reviewing.crossings import Change, Crossing, passes_at
from router.reviewing.finding import found
from router.reviewing.review_tolerances import STATION_READING_MM
from router.reviewing.route_segments import Segment

_WORDS = {
    PassageKind.OPENING: "through",
    PassageKind.OVER_MEMBER: "over",
    PassageKind.THROUGH_MEMBER: "through",
}

_PASSES = {PassageKind.OVER_MEMBER: OverPass, PassageKind.THROUGH_MEMBER: ThroughPass}


def check_declared(
    run: str,
    declared: tuple[Passage, ...],
    changes: tuple[Change, ...],
    crossings: tuple[Crossing, ...],
    segments: tuple[Segment, ...],
    profile: Profile,
) -> tuple[Finding, ...]:
    """Return a finding for each member or opening that the file says is passed, and is not, or not there.

    What the vehicle does not have (any more) is none: no route can pass it.
    """
    known = {each.name for each in profile.members} | {each.name for each in profile.openings}
    met = [*_openings_met(changes), *_members_met(crossings, segments)]
    findings = []
    for passage in declared:
        if passage.name not in known:
            continue
        there = [each for each in met if (each.kind, each.name) == (passage.kind, passage.name)]
        nearest = min(there, key=lambda each: _away_mm(passage, each), default=None)
        if nearest is None:
            findings.append(_not_passed(run, passage))
        elif _away_mm(passage, nearest) > profile.tolerance_mm + STATION_READING_MM:
            findings.append(_elsewhere(run, passage, nearest))
    return tuple(findings)


def _openings_met(changes: tuple[Change, ...]) -> Iterator[Passage]:
    for change in changes:
        if change.opening:
            station_mm = change.here.station_mm
            yield Passage(PassageKind.OPENING, change.opening.name, station_mm, station_mm, None)


def _members_met(crossings: tuple[Crossing, ...], segments: tuple[Segment, ...]) -> Iterator[Passage]:
    """Yield the members passed, twice where a crossing may be over the top or through a hole."""
    for crossing in crossings:
        for kind, pass_type in _PASSES.items():
            if any(isinstance(each, pass_type) for each in passes_at(crossing, segments)):
                name = crossing.member.name
                yield Passage(kind, name, crossing.from_station_mm, crossing.to_station_mm, None)


def _away_mm(declared: Passage, met: Passage) -> float:
    """Return how far along the run a declared pass lies from the pass that is taken, 0 where they overlap."""
    return max(
        0.0, met.from_station_mm - declared.to_station_mm, declared.from_station_mm - met.to_station_mm
    )


def _not_passed(run: str, declared: Passage) -> Finding:
    passed = f"{_WORDS[declared.kind]} {declared.name}"
    return found(
        FindingKind.PASS,
        Severity.MUST,
        run,
        declared.from_station_mm if declared.to_station_mm < math.inf else None,
        f"the file says that the route goes {passed}, and it does not",
        required=passed,
        actual="not passed",
    )


def _elsewhere(run: str, declared: Passage, met: Passage) -> Finding:
    stations = dict.fromkeys(f"{mm:.0f}" for mm in (met.from_station_mm, met.to_station_mm))
    required, actual = (
        f"at station {declared.from_station_mm:.0f} mm",
        f"at station {' to '.join(stations)} mm",
    )
    passed = f"{_WORDS[declared.kind]} {declared.name}"
    return found(
        FindingKind.PASS,
        Severity.SHOULD,
        run,
        met.from_station_mm,
        f"the file says that the route goes {passed} {required}, and it does so {actual}",
        required=required,
        actual=actual,
    )
