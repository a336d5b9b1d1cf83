"""Faults beside the line: what holds it, what it goes through, where it ends, what its file declares. mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from random import Random

from shapely import LineString, Point

from router.facts import core_of, positions_at
from router.lessons.broken.editing import PASSED, a_p_clip, moved, numbered
from router.lessons.broken.good_runs import (
    Broken,
    GoodRun,
    aside,
    height_gap,
    places_near_keep_outs,
    shuffled,
    with_line,
)
from router.model.fixing import Fixing, FixingKind
from router.model.plan import FindingKind, Passage, PassageKind, Route, RoutePoint, SpareLoop
from router.model.vehicle import Edge, Fix, Hazard, Support, ThroughPass

LONGEST_LOOP_MM = 500.0
"""Nobody leaves more loose than this in one place."""
HUNG_BY_MM = 300.0
"""How far above or below where looms lie one hangs in free air."""
STARTS_MM = 100.0
"""How far behind a corner it begins to hang."""
LEAST_HUNG_MM = 700.0
"""A stretch that is shorter could be a way from one height to another."""
_FITS = {Fix.TIE: FixingKind.TIE, Fix.CLIP: FixingKind.CLIP}
"""What holds a loom on a support, by what the profile says of it."""


def loop_near_moving(good: GoodRun, rng: Random) -> Broken | None:
    """Leave length loose where it can swing on to something that moves."""
    route = good.drawn.route
    held = [0.0, *(fixing.station_mm for fixing in good.drawn.fixings), route.routed_mm]
    for station_mm, place, keep_out in places_near_keep_outs(good, rng):
        span = max(e for e in held if e <= station_mm), min(e for e in held if e > station_mm)
        start, end = positions_at(route, span)
        is_level = start.z_mm == end.z_mm == place.z_mm and start.space == end.space == place.space
        if keep_out.hazard is not Hazard.MOVING or not is_level or span[1] - span[0] < 1.0:
            continue
        straight = LineString([(start.x_mm, start.y_mm), (end.x_mm, end.y_mm)])
        plan_mm = straight.distance(core_of(keep_out.shape)) - keep_out.shape.reach_mm
        away_mm = math.hypot(max(0.0, plan_mm), height_gap(keep_out, place.z_mm))
        away_mm -= good.loom_diameter_mm / 2
        swing_mm = max(away_mm - good.clearance_mm(keep_out), 0.0) + rng.uniform(1.0, 100.0)
        loom_mm = math.sqrt(straight.length**2 + 4 * swing_mm**2)  # so that it swings out by that
        spare_mm = loom_mm - (span[1] - span[0])
        if not 1.0 < spare_mm <= LONGEST_LOOP_MM:
            continue
        loops = (SpareLoop(station_mm, spare_mm),)
        return Broken(FindingKind.LOOP, replace(good.drawn, loops=loops), station_mm, station_mm)
    return None


def fixed_where_none_may_be(good: GoodRun, rng: Random) -> Broken | None:
    """Fix the loom to a line that takes nothing."""
    for fixing in shuffled(good.drawn.fixings, rng):
        lines = [s.name for s in good.profile.supports if s.space == fixing.space and s.fix is Fix.NEVER]
        if lines:
            kind = FindingKind.FIXING_FORBIDDEN
            return _with_fixing(kind, good, fixing.number, rng.choice(lines), FixingKind.TIE)
    return None


def fixed_with_the_wrong_kind(good: GoodRun, rng: Random) -> Broken | None:
    """Clip the loom to what may only be tied to, tie it to what takes clips only, or drill a member."""
    supports = {support.name: support for support in good.profile.supports}
    for fixing in shuffled(good.drawn.fixings, rng):
        if fixing.support:
            is_tied = supports[fixing.support].fix is Fix.TIE
            wrong = rng.choice((FixingKind.CLIP, FixingKind.P_CLIP)) if is_tied else FixingKind.TIE
            return _with_fixing(FindingKind.FIXING_UNFIT, good, fixing.number, fixing.support, wrong)
    for passage in shuffled(good.drawn.route.passages, rng):
        if passage.kind in (PassageKind.OVER_MEMBER, PassageKind.THROUGH_MEMBER):
            station_mm = (passage.from_station_mm + passage.to_station_mm) / 2
            held = (*good.drawn.fixings, a_p_clip(good.drawn.route, station_mm))
            drawn = replace(good.drawn, fixings=numbered(held))
            return Broken(FindingKind.FIXING_UNFIT, drawn, station_mm, station_mm)
    return None


def fixed_to_what_is_out_of_reach(good: GoodRun, rng: Random) -> Broken | None:
    """Declare that a fixing is on a support that the loom does not come near there."""
    for fixing in shuffled(good.drawn.fixings, rng):
        others = [s for s in good.profile.supports if s.space == fixing.space and s.fix is not Fix.NEVER]
        far = [support for support in others if _is_out_of_reach(support, fixing, good)]
        if far:
            support = rng.choice(far)
            kind = FindingKind.FIXING_OUT_OF_REACH
            return _with_fixing(kind, good, fixing.number, support.name, _FITS[support.fix])
    return None


def _is_out_of_reach(support: Support, fixing: Fixing, good: GoodRun) -> bool:
    """Return whether a support lies further beside a fixing, in plan, than a fixing reaches."""
    away_mm = float(LineString(support.along).distance(Point(fixing.x_mm, fixing.y_mm)))
    return away_mm > good.practice.value("fixing", "reach") + 0.1


def loom_too_thick_for_a_hole(good: GoodRun, rng: Random) -> Broken | None:
    """Make the loom thicker than a hole that it goes through."""
    for passage in good.drawn.route.passages:
        if passage.hole:
            hole = passage.hole
            return _too_thick(FindingKind.HOLE, good, hole.bore_mm, hole.edge, (0.0, math.inf), rng)
    return None


def loom_too_thick_for_an_opening(good: GoodRun, rng: Random) -> Broken | None:
    """Make the loom thicker than an opening that it goes through."""
    for passage in shuffled(good.drawn.route.passages, rng):
        if passage.kind is PassageKind.OPENING:
            opening = good.profile.opening(passage.name)
            stations = (passage.from_station_mm, passage.to_station_mm)
            return _too_thick(FindingKind.OPENING, good, opening.bore_mm, opening.edge, stations, rng)
    return None


def beside_an_opening(good: GoodRun, rng: Random) -> Broken | None:
    """Change the space beside the opening."""
    by = aside(good.profile.tolerance_mm + rng.uniform(0.1, 100.0), rng)
    return _moved_at_opening(FindingKind.SPACE, good, rng, by, is_both=True)


def with_a_gap(good: GoodRun, rng: Random) -> Broken | None:
    """Leave a gap between the two spaces of an opening."""
    return _moved_at_opening(
        FindingKind.CONTINUITY, good, rng, aside(rng.uniform(0.05, 50.0), rng), is_both=False
    )


def says_what_it_does_not_pass(good: GoodRun, rng: Random) -> Broken | None:
    """Declare that the run passes something that it does not."""
    passed = {passage.name for passage in good.drawn.route.passages}
    things = [(PassageKind.OPENING, each.name) for each in good.profile.openings]
    things += [(PassageKind.OVER_MEMBER, each.name) for each in good.profile.members]
    others = [thing for thing in things if thing[1] not in passed]
    if not others:
        return None
    declared = (*good.drawn.declared, Passage(*rng.choice(others), 0.0, math.inf, None))
    return Broken(FindingKind.PASS, replace(good.drawn, declared=declared), 0.0, 0.0)


def flat_over_a_member(good: GoodRun, rng: Random) -> Broken | None:
    """Go over a member as if it were not there, without the rise."""
    route, least_mm = good.drawn.route, good.profile.tolerance_mm + 1.0
    for passage in shuffled(route.passages, rng):
        if passage.kind is not PassageKind.OVER_MEMBER or _has_a_hole(good, passage.name):
            continue
        place = positions_at(route, (passage.from_station_mm, passage.to_station_mm))[0]
        climbs = [
            number
            for number, (a, b) in enumerate(pairwise(route.points))
            if (a.space, a.x_mm, a.y_mm) == (b.space, b.x_mm, b.y_mm) and b.z_mm - a.z_mm > least_mm
            if math.dist((a.x_mm, a.y_mm), (place.x_mm, place.y_mm)) < least_mm
        ]
        if climbs:
            up = climbs[0]
            level_mm, top_mm = route.points[up].z_mm, route.points[up + 1].z_mm
            down = next((n for n in range(up + 2, len(route.points)) if route.points[n].z_mm < top_mm), up)
            flat = [replace(point, z_mm=level_mm) for point in route.points[up + 1 : down]]
            if flat and route.points[down].z_mm == level_mm:
                drawn = with_line(good, [*route.points[: up + 1], *flat, *route.points[down:]])
                return Broken(FindingKind.RISE, drawn, passage.from_station_mm, passage.to_station_mm)
    return None


def hung_in_free_air(good: GoodRun, rng: Random) -> Broken | None:
    """Lead a level stretch well above or below where looms lie, away from all that could hold it there."""
    points = good.drawn.route.points
    for number in shuffled(range(len(points) - 1), rng):
        here, there = points[number : number + 2]
        length_mm, z_mm = there.station_mm - here.station_mm, here.z_mm + rng.choice((-1, 1)) * HUNG_BY_MM
        if (here.space, here.z_mm) != (there.space, there.z_mm) or length_mm < LEAST_HUNG_MM:
            continue
        if _passes_something(good.drawn.route, here, there) or _may_lie_at(good, here.space, z_mm):
            continue
        ends = positions_at(good.drawn.route, (here.station_mm + STARTS_MM, there.station_mm - STARTS_MM))
        first, last = (RoutePoint(here.space, at.x_mm, at.y_mm, here.z_mm, 0.0, None) for at in ends)
        hung = [first, replace(first, z_mm=z_mm), replace(last, z_mm=z_mm), replace(last, along=here.along)]
        drawn = with_line(good, [*points[: number + 1], *hung, *points[number + 1 :]])
        return Broken(FindingKind.HEIGHT, drawn, *(drawn.route.points[number + n].station_mm for n in (2, 3)))
    return None


def _passes_something(route: Route, here: RoutePoint, there: RoutePoint) -> bool:
    return any(
        passage.kind in PASSED
        and passage.from_station_mm < there.station_mm
        and passage.to_station_mm > here.station_mm
        for passage in route.passages
    )


def _may_lie_at(good: GoodRun, name: str, z_mm: float) -> bool:
    """Return whether anything in a space is near a height: where looms lie, a support, a panel."""
    space = good.profile.space(name)
    heights_mm = [space.height_mm, *(step.height_mm for step in space.steps)]
    heights_mm += [mm for each in good.profile.supports if each.space == name for mm in each.point_heights_mm]
    own = [panel for panel in good.profile.panels if name in panel.between]
    heights_mm += [z_mm if panel.height_mm is None else panel.height_mm for panel in own]
    return min(abs(z_mm - height_mm) for height_mm in heights_mm) < HUNG_BY_MM / 2


def _has_a_hole(good: GoodRun, member: str) -> bool:
    return any(isinstance(pass_, ThroughPass) for pass_ in good.profile.member(member).passes)


def says_what_it_does_not_follow(good: GoodRun, rng: Random) -> Broken | None:
    """Declare that a stretch follows a support that it does not lie on."""
    points = good.drawn.route.points
    for number in shuffled(range(len(points) - 1), rng):
        here, there = points[number : number + 2]
        lines = [s for s in good.profile.supports if s.space == here.space and s.name != here.along]
        places = [Point(here.x_mm, here.y_mm), Point(there.x_mm, there.y_mm)]
        off = [s for s in lines if max(LineString(s.along).distance(place) for place in places) > 0.1]
        if here.space == there.space and here.station_mm < there.station_mm and off:
            declared = (*points[:number], replace(here, along=rng.choice(off).name), *points[number + 1 :])
            drawn = replace(good.drawn, route=replace(good.drawn.route, points=declared))
            return Broken(FindingKind.SUPPORT, drawn, here.station_mm, there.station_mm)
    return None


def away_from_its_end(good: GoodRun, rng: Random) -> Broken | None:
    """Begin or end the run away from its terminal."""
    points = good.drawn.route.points
    end = rng.choice([points[0], points[-1]])
    by = aside(2 * good.profile.tolerance_mm + rng.uniform(0.1, 80.0), rng)

    def is_there(point: RoutePoint) -> bool:
        return (point.space, point.x_mm, point.y_mm) == (end.space, end.x_mm, end.y_mm)

    drawn = with_line(good, moved(points, is_there, by))
    station_mm = 0.0 if end is points[0] else drawn.route.routed_mm
    return Broken(FindingKind.END, drawn, station_mm, station_mm)


def uses_what_is_to_be_avoided(good: GoodRun, rng: Random) -> Broken | None:
    """Fix the loom to a support that the job says to avoid."""
    supports = {support.name: support for support in good.profile.supports}
    for name in shuffled(good.run.avoid, rng):
        for fixing in shuffled(good.drawn.fixings, rng):
            if name in supports and supports[name].space == fixing.space:
                kind = _FITS.get(supports[name].fix, FixingKind.CLIP)
                return _with_fixing(FindingKind.AVOID, good, fixing.number, name, kind)
    return None


def misses_its_via(good: GoodRun, rng: Random) -> Broken | None:
    """Leave a support that the job lists in `via`."""
    for support in good.profile.supports:
        if support.name not in good.run.via:
            continue
        line, by = LineString(support.along), aside(rng.uniform(3.0, 30.0), rng)

        def is_on(point: RoutePoint, line: LineString = line, space: str = support.space) -> bool:
            return point.space == space and line.distance(Point(point.x_mm, point.y_mm)) < 1.0

        points = moved(good.drawn.route.points, is_on, by)
        if not any(is_on(point) for point in points):
            return Broken(FindingKind.VIA, with_line(good, points), 0.0, math.inf)
    return None


def held_too_seldom(good: GoodRun, rng: Random) -> Broken | None:
    """Take out fixings until a span is too long."""
    fixings = good.drawn.fixings
    if not fixings:
        return None
    first = rng.randrange(len(fixings))
    held = [0.0, *(fixing.station_mm for fixing in fixings), good.drawn.route.routed_mm]
    for count in range(1, len(fixings) - first + 1):
        start_mm, end_mm = held[first], held[first + count + 1]
        spaces = {place.space for place in positions_at(good.drawn.route, (start_mm, end_mm - 0.1))}
        loosest_mm = max(
            good.practice.by_space("spacing", good.profile.space(space).kind).value for space in spaces
        )
        if end_mm - start_mm > loosest_mm + 0.1:
            left = numbered((*fixings[:first], *fixings[first + count :]))
            return Broken(FindingKind.SPAN, replace(good.drawn, fixings=left), start_mm, end_mm)
    return None


def not_held_near(good: GoodRun, rng: Random) -> Broken | None:
    """Put the fixings near an end, an opening or a member further away than they may be."""
    route, radius_mm = good.drawn.route, good.loom_diameter_mm / 2
    for station_mm, ahead, key in shuffled(_places_to_hold(route), rng):
        within_mm = good.practice.value("fixing", key) + radius_mm  # from where the loom's outside gets there
        far_mm = station_mm + ahead * (within_mm + rng.uniform(0.1, 30.0))
        is_by_an_end = key != "near an end" and not 0.0 < station_mm + ahead * within_mm < route.routed_mm
        if is_by_an_end or not 0.0 < far_mm < route.routed_mm:
            continue
        left = [f for f in good.drawn.fixings if not -0.1 <= ahead * (f.station_mm - station_mm) <= within_mm]
        further = good.hold_at(route, far_mm)
        drawn = replace(good.drawn, fixings=numbered([*left, *([further] if further else [])]))
        return Broken(
            FindingKind.FIXING_MISSING, drawn, station_mm - radius_mm - 1.0, station_mm + radius_mm + 1.0
        )
    return None


def _with_fixing(kind: FindingKind, good: GoodRun, number: int, support: str, on_it: FixingKind) -> Broken:
    """Return the run with one fixing put on another support."""
    fixings = tuple(
        replace(fixing, support=support, kind=on_it) if fixing.number == number else fixing
        for fixing in good.drawn.fixings
    )
    station_mm = next(fixing.station_mm for fixing in fixings if fixing.number == number)
    return Broken(kind, replace(good.drawn, fixings=fixings), station_mm, station_mm)


def _too_thick(
    kind: FindingKind, good: GoodRun, bore_mm: float, edge: Edge, stations: tuple[float, float], rng: Random
) -> Broken | None:
    wall_mm = good.practice.value("opening", "grommet wall") if edge is Edge.BARE else 0.0
    loom_mm = bore_mm - 2 * wall_mm + rng.uniform(0.01, 10.0)
    if loom_mm <= good.loom_diameter_mm:
        return None
    return Broken(kind, replace(good.drawn, loom_diameter_mm=loom_mm), *stations)


def _moved_at_opening(
    kind: FindingKind, good: GoodRun, rng: Random, by: tuple[float, float], *, is_both: bool
) -> Broken | None:
    """Return the run with the points at one opening moved, on both sides of it or beyond it only."""
    points = good.drawn.route.points
    changes = [n for n in range(1, len(points)) if points[n].space != points[n - 1].space]
    if not changes:
        return None
    number = rng.choice(changes)
    at = points[number]
    first, last = number, number
    while last + 1 < len(points) and (points[last + 1].x_mm, points[last + 1].y_mm) == (at.x_mm, at.y_mm):
        last += 1
    while is_both and first > 0 and (points[first - 1].x_mm, points[first - 1].y_mm) == (at.x_mm, at.y_mm):
        first -= 1
    there = {id(point) for point in points[first : last + 1]}
    drawn = with_line(good, moved(points, lambda point: id(point) in there, by))
    station_mm = next(
        b.station_mm
        for a, b in zip(drawn.route.points, drawn.route.points[1:], strict=False)
        if a.space != b.space and (b.x_mm, b.y_mm) == (at.x_mm + by[0], at.y_mm + by[1])
    )
    return Broken(kind, drawn, station_mm, station_mm)


def _places_to_hold(route: Route) -> Iterator[tuple[float, int, str]]:
    """Yield what a fixing must be near: a station, the direction from there (1 or -1), the rule's key."""
    yield 0.0, 1, "near an end"
    yield route.routed_mm, -1, "near an end"
    for passage in route.passages:
        if passage.kind is PassageKind.OPENING:
            yield passage.from_station_mm, -1, "near an opening"
            yield passage.to_station_mm, 1, "near an opening"
        elif passage.kind in PASSED:
            start_mm, end_mm = _once_over(route, passage)
            yield _before_a_rise(route, start_mm), -1, "near a member"
            yield _after_a_drop(route, end_mm), 1, "near a member"


def _once_over(route: Route, passage: Passage) -> tuple[float, float]:
    """Return from where to where a member is passed at once, by one of its passes or by two that overlap."""
    start_mm, end_mm = passage.from_station_mm, passage.to_station_mm
    for other in route.passages:
        is_same = other.name == passage.name and other.kind in PASSED
        if is_same and other.from_station_mm <= end_mm and other.to_station_mm >= start_mm:
            start_mm, end_mm = min(start_mm, other.from_station_mm), max(end_mm, other.to_station_mm)
    return start_mm, end_mm


def _before_a_rise(route: Route, station_mm: float) -> float:
    """Return the station at which a rise begins that ends at a station; that station where there is none."""
    for here, there in zip(reversed(route.points[:-1]), reversed(route.points), strict=False):
        is_rise = (here.space, here.x_mm, here.y_mm) == (there.space, there.x_mm, there.y_mm)
        if is_rise and abs(there.station_mm - station_mm) < 1.0:
            station_mm = here.station_mm
    return station_mm


def _after_a_drop(route: Route, station_mm: float) -> float:
    """Return the station at which a drop ends that begins at a station; that station where there is none."""
    for here, there in zip(route.points, route.points[1:], strict=False):
        is_drop = (here.space, here.x_mm, here.y_mm) == (there.space, there.x_mm, there.y_mm)
        if is_drop and abs(here.station_mm - station_mm) < 1.0:
            station_mm = there.station_mm
    return station_mm
