"""Faults of the line itself: a bow towards what must not be there. Lengths in mm."""

from __future__ import annotations

import math
from random import Random

from shapely import LineString, Point, Polygon
from shapely.ops import nearest_points

from router.facts import core_of, positions_at
from router.lessons.broken.good_runs import (
    Broken,
    GoodRun,
    height_gap,
    is_passed_at,
    on_the_bow,
    places_along,
    places_near_keep_outs,
    shuffled,
    towards,
    with_line,
)
from router.model.plan import FindingKind, RoutePoint
from router.model.vehicle import Member, OverPass


def too_near(good: GoodRun, rng: Random) -> Broken | None:
    """Lead the run by a place where it is nearer to a keep-out than its clearance."""
    radius_mm = good.loom_diameter_mm / 2
    for station_mm, place, keep_out in places_near_keep_outs(good, rng):
        least_mm = good.clearance_mm(keep_out)
        short_mm = rng.uniform(0.02, 0.9) * least_mm
        gap_mm, middle_mm = height_gap(keep_out, place.z_mm), least_mm - short_mm + radius_mm
        if gap_mm >= middle_mm:
            continue
        plan_mm = math.sqrt(middle_mm**2 - gap_mm**2) + keep_out.shape.reach_mm
        apex = towards(place, core_of(keep_out.shape), plan_mm)
        if apex and (bowed := good.bowed(place, station_mm, apex)):
            return on_the_bow(FindingKind.CLEARANCE, bowed, place.space, apex)
    return None


def too_near_a_run(good: GoodRun, rng: Random) -> Broken | None:
    """Lead the run by a place where it is too near to a run that it must stay apart from."""
    near_mm = good.practice.value("apart", "near a terminal")
    ends = [good.profile.terminal(name) for name in (good.run.start, good.run.end)]
    for other, apart_mm, loom_mm in good.apart:
        radii_mm = (good.loom_diameter_mm + loom_mm) / 2
        for station_mm, place in places_along(good.drawn.route, rng):
            for _, there in places_along(other, rng):
                up_mm = abs(there.z_mm - place.z_mm)
                reach_mm = (apart_mm + radii_mm) * rng.uniform(0.1, 0.95)
                if there.space != place.space or up_mm >= reach_mm:
                    continue
                spot = Point(there.x_mm, there.y_mm)
                apex = towards(place, spot, math.sqrt(reach_mm**2 - up_mm**2))
                if not apex or any(math.dist(apex, end.at) < near_mm + apart_mm for end in ends):
                    continue
                bowed = good.bowed(place, station_mm, apex)
                if bowed:
                    return Broken(FindingKind.APART, bowed, 0.0, math.inf)
    return None


def out_of_the_outline(good: GoodRun, rng: Random) -> Broken | None:
    """Lead the run out of its space."""
    for station_mm, place in places_along(good.drawn.route, rng):
        ground = Polygon(good.profile.space(place.space).outline)
        edge = nearest_points(ground.exterior, Point(place.x_mm, place.y_mm))[0]
        apex = towards(place, edge, -rng.uniform(0.01, 60.0))
        if apex and not ground.covers(Point(apex)) and (bowed := good.bowed(place, station_mm, apex)):
            return on_the_bow(FindingKind.OUTLINE, bowed, place.space, apex)
    return None


def beside_a_pass(good: GoodRun, rng: Random) -> Broken | None:
    """Lead the run on to a member where it may not be passed."""
    for station_mm, place in places_along(good.drawn.route, rng):
        for member in shuffled(good.profile.members, rng):
            line = LineString(member.along)
            if member.space != place.space or line.distance(Point(place.x_mm, place.y_mm)) > 600.0:
                continue
            shut = [
                share
                for share in (rng.uniform(0.0, line.length) for _ in range(8))
                if not any(low <= share <= high for low, high in _passes_on(member, line, good))
            ]
            for share in shut:
                spot = line.interpolate(share)
                bowed = good.bowed(place, station_mm, (spot.x, spot.y))
                if bowed:
                    return Broken(FindingKind.MEMBER, bowed, 0.0, math.inf)
    return None


def bent_too_sharply(good: GoodRun, rng: Random) -> Broken | None:
    """Lead the run out and back again in a bow that is a few millimetres wide."""
    route, half_mm = good.drawn.route, rng.uniform(0.5, 3.0)
    for station_mm, place in places_along(route, rng):
        deep_mm = rng.uniform(30.0, 48.0)  # not so deep that it lies twice on one line
        before, after = positions_at(route, (station_mm - half_mm, station_mm + half_mm))
        ahead = (after.x_mm - before.x_mm, after.y_mm - before.y_mm)
        length_mm = math.hypot(*ahead)
        is_level = place.z_mm == before.z_mm == after.z_mm and before.space == after.space
        if not is_level or abs(length_mm - 2 * half_mm) > 1e-6 or is_passed_at(route, station_mm):
            continue
        out = (-ahead[1] / length_mm * deep_mm, ahead[0] / length_mm * deep_mm)
        tooth = [
            RoutePoint(place.space, x, y, place.z_mm, 0.0, along)
            for x, y, along in (
                (before.x_mm, before.y_mm, None),
                (before.x_mm + out[0], before.y_mm + out[1], None),
                (after.x_mm + out[0], after.y_mm + out[1], None),
                (after.x_mm, after.y_mm, after.along),
            )
        ]
        start = [p for p in route.points if p.station_mm <= station_mm - half_mm]
        end = [p for p in route.points if p.station_mm >= station_mm + half_mm]
        drawn = with_line(good, [*start, *tooth, *end])
        return Broken(FindingKind.BEND, drawn, station_mm - 10.0, station_mm + 2 * deep_mm + 20.0)
    return None


def there_and_back(good: GoodRun, rng: Random) -> Broken | None:
    """Lead the run back on its own line for a while, and on again."""
    route, back_mm = good.drawn.route, rng.uniform(100.0, 300.0)
    for station_mm, place in places_along(route, rng):
        (before,) = positions_at(route, (station_mm - back_mm,))
        apart_mm = math.dist((before.x_mm, before.y_mm, before.z_mm), (place.x_mm, place.y_mm, place.z_mm))
        if station_mm < back_mm or before.space != place.space or abs(apart_mm - back_mm) > 1e-6:
            continue
        start = [p for p in route.points if p.station_mm < station_mm]
        turns = [
            RoutePoint(at.space, at.x_mm, at.y_mm, at.z_mm, 0.0, along)
            for at, along in ((place, None), (before, None), (place, place.along))
        ]
        end = [p for p in route.points if p.station_mm > station_mm]
        drawn = with_line(good, [*start, *turns, *end])
        return Broken(FindingKind.DOUBLED, drawn, station_mm - back_mm, station_mm + 2 * back_mm)
    return None


def longer_than_planned(good: GoodRun, rng: Random) -> Broken | None:
    """Lead the run on a long detour."""
    most = 1.0 + good.practice.value("marking", "longer than planned")
    longest_mm = good.drawn.route.routed_mm * most
    for station_mm, place in places_along(good.drawn.route, rng):
        apex = (place.x_mm + rng.uniform(-900.0, 900.0), place.y_mm + rng.uniform(-900.0, 900.0))
        ground = Polygon(good.profile.space(place.space).outline)
        bowed = good.bowed(place, station_mm, apex) if ground.covers(Point(apex)) else None
        if bowed and bowed.route.routed_mm > longest_mm + 1.0:
            return Broken(FindingKind.LENGTH, bowed, 0.0, math.inf)
    return None


def _passes_on(member: Member, line: LineString, good: GoodRun) -> list[tuple[float, float]]:
    """Return where along a member it may be passed, with the measuring tolerance to both sides."""
    spare_mm, ends = good.profile.tolerance_mm + 1.0, []
    for pass_ in member.passes:
        places = (pass_.start, pass_.end) if isinstance(pass_, OverPass) else (pass_.at, pass_.at)
        along = sorted(line.project(Point(place)) for place in places)
        ends.append((along[0] - spare_mm, along[1] + spare_mm))
    return ends
