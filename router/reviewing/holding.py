"""Whether the loom is held: spans, fixings near what needs one, each on something that takes it in its reach.

The terminals at both ends hold the loom too.
"""

from __future__ import annotations

import itertools
import math

from router.model.fixing import Fixing, FixingKind
from router.model.plan import Finding, FindingKind, Route, Severity
from router.model.practice import Practice, Rule
from router.model.vehicle import Fix, Member, Profile, Support
from router.reviewing.crossings import Change, Crossing
from router.reviewing.finding import found, told_apart
from router.reviewing.review_tolerances import LENGTH_TOLERANCE_MM
from router.reviewing.route_segments import Segment

Place = tuple[float, float, float]

_TAKES = {
    Fix.TIE: (FixingKind.TIE,),
    Fix.CLIP: (FixingKind.CLIP, FixingKind.P_CLIP),  # a P-clip is one, on the stud or the bracket's screw
}
"""The kinds of fixing that a support takes, by what the profile says of it; the usual one first."""


def check_spans(
    run: str,
    route: Route,
    segments: tuple[Segment, ...],
    fixings: tuple[Fixing, ...],
    profile: Profile,
    practice: Practice,
    drawing_tolerance_mm: float = 0.0,
) -> tuple[Finding, ...]:
    """Return a finding for each span longer than the strictest spacing of the spaces it lies in."""
    held = [0.0, *sorted(fixing.station_mm for fixing in fixings), route.routed_mm]
    findings = []
    for start_mm, end_mm in itertools.pairwise(held):
        spaces = [p.space for p in segments if p.end_station_mm > start_mm and p.start_station_mm < end_mm]
        kinds = [profile.space(space).kind for space in dict.fromkeys(spaces)]
        rules = [practice.by_space("spacing", kind) for kind in kinds]
        rule = min(rules, key=lambda rule: rule.value, default=None)
        if rule and end_mm - start_mm > rule.value + LENGTH_TOLERANCE_MM + drawing_tolerance_mm:
            findings.append(_long_span(run, (start_mm, end_mm), rule))
    return tuple(findings)


def check_places(
    run: str,
    route: Route,
    fixings: tuple[Fixing, ...],
    changes: tuple[Change, ...],
    crossings: tuple[Crossing, ...],
    practice: Practice,
    drawing_tolerance_mm: float = 0.0,
) -> tuple[Finding, ...]:
    """Return a finding for each end, opening side and member side that has no fixing near it."""
    end_mm = route.routed_mm
    wanted = [("the start", 0.0, 1, "near an end"), ("the end", end_mm, -1, "near an end")]
    for change in changes:
        name, station_mm = change.opening.name if change.opening else "the opening", change.here.station_mm
        wanted.append((f"{name}, before it", station_mm, -1, "near an opening"))
        wanted.append((f"{name}, after it", station_mm, 1, "near an opening"))
    for crossing in crossings:
        wanted.append((f"{crossing.member.name}, before it", crossing.from_station_mm, -1, "near a member"))
        wanted.append((f"{crossing.member.name}, after it", crossing.to_station_mm, 1, "near a member"))
    fixed = [fixing.station_mm for fixing in fixings]
    findings = []
    for name, station_mm, direction, key in wanted:
        held = fixed if key == "near an end" else [0.0, *fixed, end_mm]
        ahead = [direction * (other - station_mm) for other in held]
        nearest_mm = min((mm for mm in ahead if mm >= -LENGTH_TOLERANCE_MM), default=None)
        rule = practice.rule("fixing", key)
        if nearest_mm is None or nearest_mm > rule.value + LENGTH_TOLERANCE_MM + drawing_tolerance_mm:
            findings.append(_missing(run, station_mm, name, nearest_mm, rule))
    return tuple(findings)


def check_supports(
    run: str, fixings: tuple[Fixing, ...], crossings: tuple[Crossing, ...], profile: Profile
) -> tuple[Finding, ...]:
    """Return a finding for each fixing on a support that takes none, or none of its kind.

    A P-clip on no support needs a hole, and a member takes none; in a panel, see `router.reviewing.drilling`.
    """
    fix_of = {support.name: support.fix for support in profile.supports}
    findings = []
    for fixing in fixings:
        if fixing.support is None:
            member = _member_at(fixing.station_mm, crossings)
            if member and fixing.kind is FixingKind.P_CLIP:
                findings.append(_unfit(run, fixing, member.name, "no hole may be made in it"))
            continue
        fix = fix_of.get(fixing.support, Fix.NEVER)
        if fix is Fix.NEVER:
            findings.append(_forbidden(run, fixing, is_known=fixing.support in fix_of))
        elif fixing.kind not in _TAKES[fix]:
            takes = f"it takes a {_TAKES[fix][0]}, no {fixing.kind}"
            findings.append(_unfit(run, fixing, fixing.support, takes))
    return tuple(findings)


def _member_at(station_mm: float, crossings: tuple[Crossing, ...]) -> Member | None:
    """Return the member that the loom is in or on at a station."""
    there = (c.member for c in crossings if c.from_station_mm < station_mm < c.to_station_mm)
    return next(there, None)


def check_reach(
    run: str,
    fixings: tuple[Fixing, ...],
    profile: Profile,
    practice: Practice,
    drawing_tolerance_mm: float = 0.0,
) -> tuple[Finding, ...]:
    """Return a finding for each fixing that holds nothing: what it is said to be on lies out of its reach."""
    supports = {(support.space, support.name): support for support in profile.supports}
    named = {support.name for support in profile.supports if support.fix is not Fix.NEVER}
    rule = practice.rule("fixing", "reach")
    findings = []
    for fixing in fixings:
        if fixing.support not in named:  # on nothing measured, or on what it may not be on at all
            continue
        support = supports.get((fixing.space, fixing.support))
        away_mm = _away_mm(fixing, support) if support else math.inf
        if away_mm > rule.value + LENGTH_TOLERANCE_MM + drawing_tolerance_mm:
            findings.append(_out_of_reach(run, fixing, away_mm, rule))
    return tuple(findings)


def _away_mm(fixing: Fixing, support: Support) -> float:
    """Return how far a fixing on the loom is from a support, in space."""
    at = (fixing.x_mm, fixing.y_mm, fixing.z_mm)
    points = [(*place, z_mm) for place, z_mm in zip(support.along, support.point_heights_mm, strict=True)]
    return min(_to_piece_mm(at, start, end) for start, end in itertools.pairwise(points))


def _to_piece_mm(at: Place, start: Place, end: Place) -> float:
    """Return the distance in space from a place to a straight piece: Pythagoras on the foot of it."""
    length_mm = math.dist(start, end)
    if length_mm == 0.0:
        return math.dist(at, start)
    ahead_mm = sum((a - s) * (e - s) for a, s, e in zip(at, start, end, strict=True)) / length_mm
    share = min(max(ahead_mm / length_mm, 0.0), 1.0)
    return math.dist(at, [s + share * (e - s) for s, e in zip(start, end, strict=True)])


def _long_span(run: str, span_mm: tuple[float, float], rule: Rule) -> Finding:
    start_mm, end_mm = span_mm
    required, actual = told_apart(rule.value, end_mm - start_mm)
    return found(
        FindingKind.SPAN,
        Severity.MUST,
        run,
        (start_mm + end_mm) / 2,
        f"nothing holds the loom from station {start_mm:.0f} mm to {end_mm:.0f} mm",
        required=f"at most {required}",
        actual=actual,
        rule=rule,
    )


def _missing(run: str, station_mm: float, name: str, nearest_mm: float | None, rule: Rule) -> Finding:
    if nearest_mm is None:
        required, actual = f"{rule.value:.0f} mm", "none"
    else:
        required, actual = told_apart(rule.value, nearest_mm)
    return found(
        FindingKind.FIXING_MISSING,
        Severity.MUST,
        run,
        station_mm,
        f"no fixing within {required} of {name}",
        required=f"within {required}",
        actual=actual if nearest_mm is None else f"{actual} away",
        rule=rule,
    )


def _forbidden(run: str, fixing: Fixing, *, is_known: bool) -> Finding:
    why = "nothing may be fixed to it" if is_known else "the profile has no such support"
    return _wrongly_fixed(FindingKind.FIXING_FORBIDDEN, run, fixing, str(fixing.support), why)


def _unfit(run: str, fixing: Fixing, thing: str, why: str) -> Finding:
    return _wrongly_fixed(FindingKind.FIXING_UNFIT, run, fixing, thing, why)


def _wrongly_fixed(kind: FindingKind, run: str, fixing: Fixing, thing: str, why: str) -> Finding:
    return found(
        kind,
        Severity.MUST,
        run,
        fixing.station_mm,
        f"fixing {fixing.number} is a {fixing.kind} on {thing}: {why}",
        required=why,
        actual=f"{fixing.kind}",
    )


def _out_of_reach(run: str, fixing: Fixing, away_mm: float, rule: Rule) -> Finding:
    required, actual = told_apart(rule.value, away_mm) if away_mm < math.inf else (f"{rule.value:.0f} mm", "")
    where = f"{actual} away from it" if actual else f"in {fixing.space}, where it is not"
    return found(
        FindingKind.FIXING_OUT_OF_REACH,
        Severity.MUST,
        run,
        fixing.station_mm,
        f"fixing {fixing.number} is said to be on {fixing.support}, and is {where}: it holds nothing there",
        required=f"within {required}",
        actual=where,
        rule=rule,
    )
