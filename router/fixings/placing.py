"""The fixings of a run, and where a rule about them cannot be met."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from router.facts import positions_at
from router.fixings.fewest import FixingOption, fewest_stations
from router.fixings.needs import Need, SpanLimits, needs_of
from router.fixings.spots import AvoidedSupport, FixingSpot, PlacedFixing, find_spots
from router.model.plan import Finding, FindingKind, Fixing, FixingKind, Route, Severity
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.tolerances import LENGTH_ROUNDING_MM, ONE_LOOM_MM
from router.units import tape_m

_DISLIKES = {FixingKind.TIE: 0, FixingKind.CLIP: 1, FixingKind.P_CLIP: 2}


def place_fixings(
    route: Route,
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float,
    placed: Sequence[PlacedFixing] = (),
    avoided: Sequence[AvoidedSupport] = (),
) -> tuple[tuple[Fixing, ...], tuple[Finding, ...]]:
    """Return the fixings of a run in the order of their stations, and where a rule cannot be met.

    Parameters
    ----------
    route : Route
        The way of the run.
    profile : Profile
        The vehicle, for its supports and keep-outs.
    practice : Practice
        Groups "spacing" and "fixing".
    loom_diameter_mm : float
        Outside of the loom. [mm]
    placed : sequence of PlacedFixing, optional
        Fixings of runs placed before this one that hold it as well. They count as no new fixing, so that runs
        in one trunk share theirs.
    avoided : sequence of AvoidedSupport, optional
        Supports that it may not be fixed to, and where.
    """
    needs = needs_of(route, practice)
    spans = SpanLimits.of(route, profile, practice)
    spots = find_spots(route, profile, practice, loom_diameter_mm, needs, placed, avoided)
    can_be_met = tuple(any(need.holds(spot.station_mm) for spot in spots) for need in needs)
    met = tuple(need for need, can in zip(needs, can_be_met, strict=True) if can)
    unmet = tuple(need for need, can in zip(needs, can_be_met, strict=True) if not can)
    chosen = fewest_stations(
        tuple(_option(spot) for spot in spots),
        tuple((need.from_mm, need.to_mm) for need in met),
        route.routed_mm,
        spans.longest_mm,
    )
    held = tuple(spots[index] for index in chosen)
    stations_mm = tuple(spot.station_mm for spot in held)
    fixings = tuple(
        _fixing(number, spot, _why(spot, needs, stations_mm), _placed_for(spot, held[: number - 1], route))
        for number, spot in enumerate(held, 1)
    )
    findings = (
        *(_no_fixing(route, need, practice) for need in unmet),
        *_long_spans(route, spans, stations_mm),
        *_nothing_to_fix_to(route, held, practice),
    )
    return fixings, tuple(sorted(findings, key=lambda finding: finding.station_mm or 0.0))


def _option(spot: FixingSpot) -> FixingOption:
    new = 0 if spot.placed_for else 1
    return FixingOption(spot.station_mm, new, new * _DISLIKES[spot.kind])


def _fixing(number: int, spot: FixingSpot, why: str, shared_with: str | None) -> Fixing:
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
    reach_mm = practice.value("fixing", "reach")
    middle_mm = (need.from_mm + need.to_mm) / 2
    return Finding(
        kind=FindingKind.FIXING_MISSING,
        severity=Severity.MUST,
        run=route.run,
        station_mm=need.at_mm,
        fact=(
            f"nothing can be fixed beside the {need.why} between stations {need.from_mm:.0f} mm "
            f"and {need.to_mm:.0f} mm"
        ),
        more=(
            f": no support within {reach_mm:g} mm takes a tie or a clip and no hole may be made; "
            f"{_missing(route, middle_mm)}"
        ),
        required=f"a fixing within {need.rule.value:g} mm of the {need.why}",
        actual="no place for one",
        rule=need.rule,
    )


def _long_spans(route: Route, spans: SpanLimits, stations_mm: Sequence[float]) -> list[Finding]:
    held = (0.0, *stations_mm, route.routed_mm)
    findings = []
    for before_mm, after_mm in pairwise(held):
        rule = spans.rule(before_mm, after_mm)
        span_mm = after_mm - before_mm
        if span_mm <= rule.value + LENGTH_ROUNDING_MM:
            continue
        middle_mm = (before_mm + after_mm) / 2
        fact = f"span of {span_mm:.0f} mm between stations {before_mm:.0f} and {after_mm:.0f} mm"
        more = f"; {_missing(route, middle_mm)}"
        required = f"at most {rule.value:g} mm between fixings"
        actual = f"{span_mm:.0f} mm"
        findings.append(
            Finding(FindingKind.SPAN, Severity.MUST, route.run, middle_mm, fact, more, required, actual, rule)
        )
    return findings


def _nothing_to_fix_to(route: Route, held: Sequence[FixingSpot], practice: Practice) -> list[Finding]:
    """Return one finding for all P-clips that are new with this run: nobody knows if a panel is there."""
    new_mm = [place.station_mm for place in held if place.kind is FixingKind.P_CLIP and not place.placed_for]
    if not new_mm:
        return []
    rule = practice.rule("fixing", "reach")
    *most, last = map(tape_m, new_mm)
    where = f"; at {', '.join(most)} and {last} m" if most else ""
    remedy = "add a support to the profile, or make a bracket"
    return [
        Finding(
            kind=FindingKind.NOTHING_TO_FIX_TO,
            severity=Severity.SHOULD,
            run=route.run,
            station_mm=new_mm[0],
            fact="nothing to fix to is measured here",
            more=f": {remedy}{where}",
            required=f"a support within {rule.value:g} mm of the loom",
            actual=f"none measured at {len(new_mm)} P-clip{'s' if len(new_mm) > 1 else ''}",
            rule=rule,
        )
    ]


def _missing(route: Route, station_mm: float) -> str:
    at = positions_at(route, (station_mm,))[0]
    return f"a support is missing near x {at.x_mm:.0f}, y {at.y_mm:.0f} in {at.space}"
