"""The fixings of a run, and where a rule about them cannot be met."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations, pairwise

from router.facts import positions_at
from router.fixings.fewest import FixingOption, fewest_stations
from router.fixings.holes import are_too_near, hole_at
from router.fixings.needs import BEND, Need, SpanLimits, needs_of
from router.fixings.spots import AvoidedSupport, FixingSpot, PlacedFixing, find_spots
from router.model.fixing import Fixing, FixingKind, Hole
from router.model.plan import Finding, FindingKind, Route, Severity
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.tolerances import LENGTH_ROUNDING_MM, ONE_LOOM_MM

_DISLIKES = {FixingKind.TIE: 0, FixingKind.CLIP: 1, FixingKind.P_CLIP: 1_000_000}
"""Of kinds of fixings, of as many: first the fewest holes, then the most ties."""
_CROWDED = 1_000
"""Added for a hole with little room round it: more than all clips of a run, less than another hole."""


def place_fixings(
    route: Route,
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float,
    placed: Sequence[PlacedFixing] = (),
    avoided: Sequence[AvoidedSupport] = (),
    drilled: Sequence[Hole] = (),
) -> tuple[tuple[Fixing, ...], tuple[Finding, ...]]:
    """Return the fixings of a run in the order of their stations, and where a rule cannot be met.

    Parameters
    ----------
    route : Route
        The way of the run.
    profile : Profile
        The vehicle, for its supports and keep-outs.
    practice : Practice
        Groups "spacing", "fixing", "hole" and "clearance".
    loom_diameter_mm : float
        Outside of the loom where it is thinnest: a panel is in reach from there or from nowhere. [mm]
    placed : sequence of PlacedFixing, optional
        Fixings of runs placed before this one that hold it as well. They count as no new fixing, so that runs
        in one trunk share theirs.
    avoided : sequence of AvoidedSupport, optional
        Supports that it may not be fixed to, and where.
    drilled : sequence of Hole, optional
        Every hole that runs placed before this one need.
    """
    needs = needs_of(route, practice)
    spans = SpanLimits.of(route, profile, practice)
    spots = find_spots(route, profile, practice, loom_diameter_mm, needs, placed, avoided, drilled)
    held = _fewest(route, spots, needs, spans, practice)
    stations_mm = tuple(spot.station_mm for spot in held)
    fixings = tuple(
        _fixing(
            number,
            spot,
            _why(spot, needs, stations_mm),
            _placed_for(spot, held[: number - 1], route),
            spot.hole or (hole_at(spot.drill, profile, practice) if spot.drill else None),
        )
        for number, spot in enumerate(held, 1)
    )
    unmet = [need for need in needs if not any(need.holds(station_mm) for station_mm in stations_mm)]
    findings = (
        *(_no_fixing(route, need, practice) for need in unmet),
        *_long_spans(route, spans, stations_mm, practice),
    )
    return fixings, tuple(sorted(findings, key=lambda finding: finding.station_mm or 0.0))


def _fewest(
    route: Route, spots: Sequence[FixingSpot], needs: Sequence[Need], spans: SpanLimits, practice: Practice
) -> tuple[FixingSpot, ...]:
    """Return the fewest spots that meet every need that can be met; of two holes too near, one only."""
    while True:
        chosen = _fewest_of(route, spots, needs, spans, practice)
        close = next((pair for pair in combinations(chosen, 2) if _share_metal(*pair, practice)), None)
        if close is None:
            return chosen
        spots = [spot for spot in spots if spot is close[0] or not _share_metal(close[0], spot, practice)]


def _share_metal(one: FixingSpot, other: FixingSpot, practice: Practice) -> bool:
    """Return whether two holes, of which the second is new, would be too near to each other."""
    first, second = one.drill or one.hole, other.drill
    return first is not None and second is not None and are_too_near(first, second, practice)


def _fewest_of(
    route: Route, spots: Sequence[FixingSpot], needs: Sequence[Need], spans: SpanLimits, practice: Practice
) -> tuple[FixingSpot, ...]:
    met = [need for need in needs if any(need.holds(spot.station_mm) for spot in spots)]
    chosen = fewest_stations(
        tuple(_option(spot, practice) for spot in spots),
        tuple((need.from_mm, need.to_mm) for need in met),
        route.routed_mm,
        spans.longest_mm,
    )
    return tuple(spots[index] for index in chosen)


def _option(spot: FixingSpot, practice: Practice) -> FixingOption:
    new = 0 if spot.placed_for else 1
    dislike = _DISLIKES[spot.kind]
    if spot.drill and spot.drill.room_mm < practice.value("hole", "room"):
        dislike += _CROWDED
    return FixingOption(spot.station_mm, new, new * dislike)


def _fixing(number: int, spot: FixingSpot, why: str, shared_with: str | None, hole: Hole | None) -> Fixing:
    at = spot.position
    return Fixing(
        number=number,
        station_mm=spot.station_mm,
        kind=spot.kind,
        support=spot.support,
        space=at.space,
        x_mm=at.x_mm,
        y_mm=at.y_mm,
        z_mm=at.z_mm,
        why=why,
        shared_with=shared_with,
        hole=hole,
    )


def _placed_for(spot: FixingSpot, before: Sequence[FixingSpot], route: Route) -> str | None:
    """Return the run whose fixing a spot has already; the run itself where it comes by there again."""
    return spot.placed_for or (route.run if any(_is_there(spot, other) for other in before) else None)


def _is_there(spot: FixingSpot, other: FixingSpot) -> bool:
    here, there = spot.position, other.position
    apart_mm = math.dist((here.x_mm, here.y_mm, here.z_mm), (there.x_mm, there.y_mm, there.z_mm))
    return here.space == there.space and apart_mm <= ONE_LOOM_MM


def _why(spot: FixingSpot, needs: tuple[Need, ...], stations_mm: Sequence[float]) -> str:
    """Return what would be broken without this fixing: the needs that only it meets, else a span."""
    alone = [
        need.why
        for need in needs
        if need.holds(spot.station_mm) and sum(need.holds(other) for other in stations_mm) == 1
    ]
    return ", ".join(dict.fromkeys(alone)) or "span"


def _no_fixing(route: Route, need: Need, practice: Practice) -> Finding:
    middle_mm = (need.from_mm + need.to_mm) / 2
    return Finding(
        kind=FindingKind.FIXING_MISSING,
        severity=Severity.SHOULD if need.why == BEND else Severity.MUST,  # an edge chafes, a bend only sags
        run=route.run,
        station_mm=need.at_mm,
        fact=(
            f"nothing can be fixed beside the {need.why} between stations {need.from_mm:.0f} mm "
            f"and {need.to_mm:.0f} mm"
        ),
        more=f": {_missing(route, middle_mm, practice)}",
        required=f"a fixing within {need.rule.value:g} mm of the {need.why}",
        actual="no place for one",
        rule=need.rule,
    )


def _long_spans(
    route: Route, spans: SpanLimits, stations_mm: Sequence[float], practice: Practice
) -> list[Finding]:
    held = (0.0, *stations_mm, route.routed_mm)
    findings = []
    for before_mm, after_mm in pairwise(held):
        rule = spans.rule(before_mm, after_mm)
        span_mm = after_mm - before_mm
        if span_mm <= rule.value + LENGTH_ROUNDING_MM:
            continue
        middle_mm = (before_mm + after_mm) / 2
        fact = f"span of {span_mm:.0f} mm between stations {before_mm:.0f} and {after_mm:.0f} mm"
        more = f": {_missing(route, middle_mm, practice)}"
        required = f"at most {rule.value:g} mm between fixings"
        actual = f"{span_mm:.0f} mm"
        findings.append(
            Finding(FindingKind.SPAN, Severity.MUST, route.run, middle_mm, fact, more, required, actual, rule)
        )
    return findings


def _missing(route: Route, station_mm: float, practice: Practice) -> str:
    """Return what is not there, where, and what helps."""
    at = positions_at(route, (station_mm,))[0]
    reach_mm = practice.value("fixing", "reach")
    return (
        f"near x {at.x_mm:.0f}, y {at.y_mm:.0f} in {at.space} there is no support within {reach_mm:g} mm and "
        "no panel that may be drilled there; make a bracket, and add it to the profile as a support"
    )
