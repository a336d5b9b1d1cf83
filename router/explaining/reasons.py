"""Why a route goes as it does: what makes it leave the straight line, or its support, at each place.

A best way bends only at a corner of what is shut, at the border of an area with another effort, where it
lines up with a hole, and where it joins or leaves a support. So each bend is looked at from the vehicle's
side: whose clearance is used up there, whose pass, opening or support is it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import shapely
import shapely.ops

from router.facts import core_of
from router.model.job import Run
from router.model.plan import Bundle, Passage, PassageKind, Route, RouteReason
from router.model.practice import Rule
from router.model.vehicle import KeepOut, Member, OverPass, Support
from router.routing import (
    IN_WORDS,
    GroundZone,
    LoomOnVehicle,
    band_half_mm,
    blocked_each,
    corridor,
    level_at,
    opening_fits,
    plan_reach_mm,
    required_in,
)
from router.search import XY, Key, Layer, World, factor_at
from router.tolerances import SAME_PLACE_MM

BEND_DEG = 0.2
"""A turn smaller than this is none."""
OUTSIDE_FACTOR = 1.02
"""Corners round a keep-out may lie this much further out than they must."""
TOUCHES_MM = 1.0
"""A route nearer than this to a thing touches it; what is so little ahead is here."""
AHEAD_MM = 300.0
"""How far ahead on a support it is looked for what stops it."""
ENDS_MM = 50.0
"""A support that goes on for more than this is not left because it ends."""
HOLE_MM = 3.0
"""The ends of the straight way through a hole lie this near to the member's band."""
_MEMBERS = (PassageKind.OVER_MEMBER, PassageKind.THROUGH_MEMBER)


@dataclass(frozen=True, slots=True)
class _Leg:
    """One straight piece in plan, uprights left out; `low_mm` and `high_mm` of what stands at its start."""

    space: str
    start: XY
    end: XY
    station_mm: float
    end_station_mm: float
    z_mm: float
    along: str | None


def explain_way(
    loom: LoomOnVehicle, world: World, run: Run, route: Route, bundles: Sequence[Bundle]
) -> tuple[RouteReason, ...]:
    """Return why a route goes as it does, in the order of its stations.

    Parameters
    ----------
    loom : LoomOnVehicle
    world : World
        The ground that it was planned on, for its areas of other effort.
    run : Run
    route : Route
    bundles : sequence of Bundle
        Which runs of the job lie together where.

    Returns
    -------
    tuple of RouteReason
        One for each opening and each pass of a member, for each support that is joined or left, and for
        each bend off the supports; neighbouring bends with one and the same reason are one.
    """
    legs = _legs(route)
    reasons = [reason for passage in route.passages for reason in _at_passage(loom, route, passage)]
    for before, after in pairwise([None, *legs, None]):
        reasons += _at_supports(loom, world, run, route, legs, before, after)
        if before and after and _is_free_bend(route, before, after):
            special = _by_wish(loom, run, after) or _with_others(loom, run, bundles, before, after)
            reasons.append(special or _at_bend(loom, world, before, after))
    reasons.sort(key=lambda reason: (reason.station_mm, reason.to_station_mm))
    return tuple(_merged(reasons))


def _is_at_hole(route: Route, station_mm: float) -> bool:
    """Return whether a bend only lines a way up with a hole; that it goes through there says so already."""
    return any(
        passage.kind is PassageKind.THROUGH_MEMBER
        and passage.from_station_mm - HOLE_MM <= station_mm <= passage.to_station_mm + HOLE_MM
        for passage in route.passages
    )


def _legs(route: Route) -> list[_Leg]:
    return [
        _Leg(a.space, (a.x_mm, a.y_mm), (b.x_mm, b.y_mm), a.station_mm, b.station_mm, a.z_mm, a.along)
        for a, b in pairwise(route.points)
        if math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) > SAME_PLACE_MM
    ]


def _is_free_bend(route: Route, before: _Leg, after: _Leg) -> bool:
    """Return whether there is a bend between two legs off the supports, and not just before a hole."""
    return (
        before.along is None
        and after.along is None
        and before.space == after.space
        and abs(math.degrees(_turn(before, after))) >= BEND_DEG
        and not _is_at_hole(route, after.station_mm)
    )


def _turn(before: _Leg, after: _Leg) -> float:
    """Return the turn between two legs, positive from x towards y, in radians."""
    ax, ay = before.end[0] - before.start[0], before.end[1] - before.start[1]
    bx, by = after.end[0] - after.start[0], after.end[1] - after.start[1]
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


def _reason(station_mm: float, why: str, rule: Rule | None, **thing: str) -> RouteReason:
    named: dict[str, str | None] = {"keep_out": None, "support": None, "opening": None, "member": None}
    return RouteReason(station_mm, station_mm, why, rule=rule, **{**named, **thing})


def _merged(reasons: Iterable[RouteReason]) -> list[RouteReason]:
    """Join neighbours that say the same of the same thing, such as the many corners round one keep-out."""
    kept: list[RouteReason] = []
    for reason in reasons:
        if kept and replace(reason, station_mm=0, to_station_mm=0) == replace(
            kept[-1], station_mm=0, to_station_mm=0
        ):
            kept[-1] = replace(kept[-1], to_station_mm=reason.to_station_mm)
        else:
            kept.append(reason)
    return kept


# --- openings and members ----------------------------------------------------------------------------


def _at_passage(loom: LoomOnVehicle, route: Route, passage: Passage) -> Iterator[RouteReason]:
    if passage.kind is PassageKind.OPENING:
        opening = loom.profile.opening(passage.name)
        others = [
            o for o in loom.profile.openings if set(o.joins) == set(opening.joins) and opening_fits(loom, o)
        ]
        spaces = " and ".join(opening.joins)
        among = (
            "the only opening" if len(others) == 1 else f"of {len(others)} openings the one of least effort"
        )
        why = f"goes through {passage.name}: {among} between {spaces} with room for this loom"
        yield _reason(
            passage.from_station_mm, why, loom.practice.rule("amount", "opening"), opening=passage.name
        )
    if passage.kind in _MEMBERS:
        member = loom.profile.member(passage.name)
        verb = "over" if passage.kind is PassageKind.OVER_MEMBER else "through the hole in"
        places = len(member.passes)
        only = "its only place to cross" if places == 1 else f"one of its {places} places to cross"
        square = ", square to it" if passage.kind is PassageKind.THROUGH_MEMBER else ""
        why = f"crosses {verb} {passage.name} at {only}{square}"
        reason = _reason(
            passage.from_station_mm, why, loom.practice.rule("amount", "member"), member=passage.name
        )
        yield replace(reason, to_station_mm=passage.to_station_mm)


# --- supports ----------------------------------------------------------------------------------------


def _at_supports(
    loom: LoomOnVehicle,
    world: World,
    run: Run,
    route: Route,
    legs: list[_Leg],
    before: _Leg | None,
    after: _Leg | None,
) -> Iterator[RouteReason]:
    """Yield why a support is left, and why the next one is joined, between two legs."""
    left, joined = before.along if before else None, after.along if after else None
    is_one_place = before is not None and after is not None and before.space == after.space
    if is_one_place and left == joined:
        return
    if before and left:
        reason = _leaving(loom, run, route, before, after)
        yield replace(reason, to_station_mm=after.station_mm) if after and is_one_place else reason
    if after and joined:
        reason = _joining(loom, world, legs, after)
        yield replace(reason, station_mm=before.end_station_mm) if before and is_one_place else reason


def _joining(loom: LoomOnVehicle, world: World, legs: list[_Leg], leg: _Leg) -> RouteReason:
    name = str(leg.along)
    rule = loom.practice.rule("factor", "along a support")
    rail = next(
        rail for layer in world.layers if layer.key == leg.space for rail in layer.rails if rail.key == name
    )
    following = legs[legs.index(leg) :]
    last = leg
    for each in following:
        if each.along != name:
            break
        last = each
    why = f"follows {name}: a metre along it counts as {rail.factor:.2g} m, ties or clips included"
    stop = _what_stops(loom, loom.profile.support(name), leg, leg.start, -1.0)
    if stop and stop.after_mm < TOUCHES_MM and stop.name:
        why += f", from where {stop.name} leaves it free"
    return replace(_reason(leg.station_mm, why, rule, support=name), to_station_mm=last.end_station_mm)


def _leaving(loom: LoomOnVehicle, run: Run, route: Route, leg: _Leg, after: _Leg | None) -> RouteReason:
    name = str(leg.along)
    station_mm = leg.end_station_mm
    stop = _what_stops(loom, loom.profile.support(name), leg, leg.end, 1.0)
    if stop is None:
        why = f"leaves {name} for {_next_thing(loom, run, route, station_mm, after)}: less effort from here"
        return _reason(station_mm, why, loom.practice.rule("factor", "open"), support=name)
    where = "here" if stop.after_mm < TOUCHES_MM else f"{stop.after_mm:.0f} mm further on"
    why = f"leaves {name}, which {stop.what} {where}"
    return _reason(station_mm, f"{why}{stop.detail}", stop.rule, support=name, **stop.thing)


def _next_thing(loom: LoomOnVehicle, run: Run, route: Route, station_mm: float, after: _Leg | None) -> str:
    if after and after.along:
        return after.along
    passages = [
        (p.from_station_mm, p.name)
        for p in route.passages
        if p.kind in (PassageKind.OPENING, *_MEMBERS) and p.from_station_mm >= station_mm - TOUCHES_MM
    ]
    joins = [
        (b.station_mm, str(b.along))
        for a, b in pairwise(route.points)
        if b.along and b.along != a.along and b.station_mm > station_mm
    ]
    return min([*passages, *joins, (route.routed_mm, run.end)], key=lambda thing: thing[0])[1]


@dataclass(frozen=True, slots=True)
class _Stop:
    """What stops a support: after how far, in words, and the thing that does it."""

    after_mm: float
    what: str
    detail: str
    name: str
    thing: dict[str, str]
    rule: Rule | None


def _what_stops(loom: LoomOnVehicle, support: Support, leg: _Leg, at: XY, direction: float) -> _Stop | None:
    """Return what stops a support soonest, ahead of a place on it (way 1) or behind it (way -1)."""
    line = shapely.LineString(support.along)
    forward = line.project(shapely.Point(leg.end)) >= line.project(shapely.Point(leg.start))
    at_mm = line.project(shapely.Point(at))
    to_mm = at_mm + (direction if forward else -direction) * AHEAD_MM
    ahead = shapely.ops.substring(line, at_mm, min(max(to_mm, 0.0), line.length))
    stops = [*_blocking(loom, support, ahead), *_edges(loom, support, ahead)]
    if not 0.0 <= to_mm <= line.length and ahead.length <= ENDS_MM:
        stops.append(_Stop(ahead.length, "ends", "", "", {}, None))
    return min(stops, key=lambda stop: stop.after_mm, default=None)


def _blocking(loom: LoomOnVehicle, support: Support, ahead: Any) -> Iterator[_Stop]:
    at = shapely.get_coordinates(ahead)[0].tolist()
    height_mm, level_mm = support.height_at(at), level_at(loom.profile.space(support.space), at)
    for keep_out, area in blocked_each(loom, support.space, height_mm, height_mm, ahead):
        after_mm = _first_mm(ahead, area)
        if after_mm is not None:
            clearance = loom.clearances[keep_out.name]
            what = f"{keep_out.name} ({keep_out.hazard.value}) blocks"
            needs = f"the loom needs {clearance.required_mm:.0f} mm from there"
            detail = f": at its height of {height_mm:.0f} mm {needs}"
            yield _Stop(after_mm, what, detail, keep_out.name, {"keep_out": keep_out.name}, clearance.rule)
    low_mm, high_mm = sorted((height_mm, level_mm))
    if ahead.length > 0.0 and low_mm < high_mm:
        for keep_out, area in blocked_each(loom, support.space, low_mm, high_mm, ahead):
            after_mm = _first_mm(ahead, area)
            if after_mm is not None:
                clearance = loom.clearances[keep_out.name]
                what = f"cannot be left beside {keep_out.name} ({keep_out.hazard.value}), which begins"
                detail = f": the step between the heights needs {clearance.required_mm:.0f} mm from it"
                yield _Stop(
                    after_mm + 1e-3, what, detail, keep_out.name, {"keep_out": keep_out.name}, clearance.rule
                )


def _edges(loom: LoomOnVehicle, support: Support, ahead: Any) -> Iterator[_Stop]:
    for member in loom.profile.members:
        if member.space == support.space:
            band = shapely.LineString(member.along).buffer(
                band_half_mm(member, loom.radius_mm), cap_style="flat"
            )
            for over in member.passes:
                if isinstance(over, OverPass):
                    band = shapely.difference(band, corridor(member, over, loom.radius_mm))
            after_mm = _first_mm(ahead, band)
            if after_mm is not None:
                yield _Stop(
                    after_mm, f"{member.name} crosses", "", member.name, {"member": member.name}, None
                )
    outside = shapely.difference(ahead, shapely.Polygon(loom.profile.space(support.space).outline))
    after_mm = _first_mm(ahead, outside)
    if after_mm is not None:
        yield _Stop(after_mm, f"leaves the {support.space}", "", "", {}, None)


def _first_mm(line: Any, area: Any) -> float | None:
    """Return how far along a line an area begins; None where they do not meet or only touch at a point."""
    met = shapely.intersection(line, area)
    if met.is_empty or (met.length <= 0.0 < line.length):
        return None
    return float(min(line.project(shapely.Point(place)) for place in shapely.get_coordinates(met)))


# --- bends -------------------------------------------------------------------------------------------


def _at_bend(loom: LoomOnVehicle, world: World, before: _Leg, after: _Leg) -> RouteReason:
    """Return what a bend off the supports goes round."""
    for found in (_round_keep_out, _round_pass, _at_edge, _at_border):
        reason = found(loom, world, before, after)
        if reason is not None:
            return reason
    why = "turns so that the bends before and after it have room for the least radius"
    return _reason(after.station_mm, why, loom.practice.rule("bend", "least radius"))


def _by_wish(loom: LoomOnVehicle, run: Run, leg: _Leg) -> RouteReason | None:
    """Return the support that the way only touches because the job asks for it."""
    place = shapely.Point(leg.start)
    for support in loom.profile.supports:
        is_there = (
            support.space == leg.space and shapely.LineString(support.along).distance(place) <= TOUCHES_MM
        )
        if support.name in run.via and is_there:
            why = f"goes by {support.name}, as the job asks"
            return _reason(leg.station_mm, why, None, support=support.name)
    return None


def _with_others(
    loom: LoomOnVehicle, run: Run, bundles: Sequence[Bundle], before: _Leg, after: _Leg
) -> RouteReason | None:
    """Return the run whose loom is joined or left at a bend."""
    rule = loom.practice.rule("factor", "shared")
    was_with, is_with = (_lying_with(run, bundles, leg) for leg in (before, after))
    for other in (name for bundle in bundles for name in bundle.runs):
        if other in is_with and other not in was_with:
            why = f"joins the loom of run {other}: a metre in a shared loom counts as {rule.value:g} m"
            return _reason(after.station_mm, why, rule)
        if other in was_with and other not in is_with:
            return _reason(after.station_mm, f"leaves the loom of run {other}", rule)
    return None


def _lying_with(run: Run, bundles: Sequence[Bundle], leg: _Leg) -> set[str]:
    """Return all runs that lie together in the middle of a leg."""
    middle_mm = (leg.station_mm + leg.end_station_mm) / 2.0
    there = (bundle for bundle in bundles if run.name in bundle.runs and bundle.holds(run.name, middle_mm))
    return {name for bundle in there for name in bundle.runs}


def _round_keep_out(loom: LoomOnVehicle, world: World, before: _Leg, after: _Leg) -> RouteReason | None:
    """Return the keep-out whose clearance is used up at the bend, on its inner side where there is one."""
    place = shapely.Point(after.start)
    heights = tuple(_heights_at(loom, after, place))
    found = []
    for keep_out, required_mm in required_in(loom, after.space):
        clearance = loom.clearances[keep_out.name]
        reach_mm = max(plan_reach_mm(keep_out, required_mm, *each, loom.radius_mm) for each in heights)
        spare_mm = core_of(keep_out.shape).distance(place) - reach_mm
        if reach_mm > 0.0 and spare_mm <= (OUTSIDE_FACTOR - 1.0) * reach_mm + TOUCHES_MM:
            is_outer = not _is_inside(keep_out, place, before, after)
            found.append((is_outer, abs(spare_mm), keep_out.name, required_mm, clearance))
    if not found:
        return None
    _, _, name, required_mm, clearance = min(found, key=lambda each: each[:2])
    hazard = loom.profile.keep_out(name).hazard.value
    why = f"goes round {name} ({hazard}), {required_mm:.0f} mm from it with the measuring tolerance"
    return _reason(after.station_mm, why, clearance.rule, keep_out=name)


def _is_inside(keep_out: KeepOut, place: Any, before: _Leg, after: _Leg) -> bool:
    """Return whether a keep-out lies on the inner side of a bend."""
    (_, _), (x, y) = shapely.get_coordinates(shapely.shortest_line(place, core_of(keep_out.shape)))
    ax, ay = before.end[0] - before.start[0], before.end[1] - before.start[1]
    bx, by = after.end[0] - after.start[0], after.end[1] - after.start[1]
    la, lb = math.hypot(ax, ay), math.hypot(bx, by)
    inner = (bx / lb - ax / la, by / lb - ay / la)
    return bool(inner[0] * (x - place.x) + inner[1] * (y - place.y) > 0.0)


def _heights_at(loom: LoomOnVehicle, leg: _Leg, place: Any) -> Iterator[tuple[float, float]]:
    """Yield the heights between which a loom lies at a place: its space's, and those of the passes there."""
    height_mm = level_at(loom.profile.space(leg.space), leg.start)
    yield height_mm, height_mm
    for member in loom.profile.members:
        for over in member.passes:
            if not isinstance(over, OverPass) or member.space != leg.space:
                continue
            if corridor(member, over, loom.radius_mm).distance(place) <= TOUCHES_MM:
                yield height_mm, height_mm + over.rise_mm


def _round_pass(loom: LoomOnVehicle, world: World, before: _Leg, after: _Leg) -> RouteReason | None:
    place = shapely.Point(after.start)
    for member in loom.profile.members:
        if member.space != after.space:
            continue
        band = shapely.LineString(member.along).buffer(band_half_mm(member, loom.radius_mm) * OUTSIDE_FACTOR)
        if band.distance(place) <= TOUCHES_MM:
            why = f"goes round the end of the place where {member.name} may be crossed"
            if not member.passes or not _by_pass(loom, member, place):
                why = f"goes round the end of {member.name}"
            return _reason(after.station_mm, why, None, member=member.name)
    return None


def _by_pass(loom: LoomOnVehicle, member: Member, place: Any) -> bool:
    return any(
        corridor(member, over, loom.radius_mm).distance(place) <= TOUCHES_MM
        for over in member.passes
        if isinstance(over, OverPass)
    )


def _at_edge(loom: LoomOnVehicle, world: World, before: _Leg, after: _Leg) -> RouteReason | None:
    ring = shapely.LinearRing(loom.profile.space(after.space).outline)
    if ring.distance(shapely.Point(after.start)) > TOUCHES_MM:
        return None
    return _reason(after.station_mm, f"goes round a corner of the edge of the {after.space}", None)


def _at_border(loom: LoomOnVehicle, world: World, before: _Leg, after: _Leg) -> RouteReason | None:
    """Return the area of other effort at whose border the way bends, as light does at glass."""
    place = shapely.Point(after.start)
    layer = next(layer for layer in world.layers if layer.key == after.space)
    here, beyond = (_factor_near(layer, leg, from_end=leg is before) for leg in (before, after))
    for zone in layer.zones:
        if zone.area.boundary.distance(place) <= TOUCHES_MM:
            what = IN_WORDS[zone.key] if isinstance(zone.key, GroundZone) else zone.key
            counts = f"a metre counts as {here:.3g} m before it, {beyond:.3g} m after"
            why = f"bends at the border of {what}: {counts}"
            return _reason(after.station_mm, why, _rule_of(loom, zone.key))
    return None


def _factor_near(layer: Layer, leg: _Leg, *, from_end: bool) -> float:
    """Return what a mm costs on a leg off the supports, just before its end or just after its start."""
    length_mm = math.dist(leg.start, leg.end)
    off_mm = min(2.0 * TOUCHES_MM, length_mm / 2.0)
    share = 1.0 - off_mm / length_mm if from_end else off_mm / length_mm
    x, y = (a + share * (b - a) for a, b in zip(leg.start, leg.end, strict=True))
    return factor_at(layer.zones, layer.factor, x, y)


def _rule_of(loom: LoomOnVehicle, key: Key) -> Rule:
    if key is GroundZone.DRILLABLE:
        return loom.practice.rule("hold", "hole")
    if isinstance(key, GroundZone):
        return loom.practice.rule("factor", key.value)
    covers = {cover.name for cover in loom.profile.covers}
    return loom.practice.rule("factor", "sheltered" if key in covers else "exposed")
