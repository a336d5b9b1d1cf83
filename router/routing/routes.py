"""From a way over the sight graph to a route in space: heights, rises over members, stations, passages."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, TypeAlias

import shapely

from router.model.job import Run
from router.model.plan import Passage, PassageKind, Route, RoutePoint
from router.model.vehicle import Member, OverPass, Profile, Space, Support, ThroughPass
from router.routing.free_space import pass_band
from router.routing.ground_costs import GroundZone
from router.routing.levels import level_at, level_pieces
from router.routing.loom_on_vehicle import KEPT_SHAPES, LoomOnVehicle
from router.search import XY, Path, World, Zone, may_meet
from router.tolerances import (
    CLIMB_BESIDE_MM,
    ON_LINE_MM,
    ONLY_TOUCHES_MM,
    OUT_OF_FREE_MM,
    SAME_PLACE_MM,
    STRAIGHT_MM,
    STRAIGHT_ON_SUPPORT_MM,
)

_Leg: TypeAlias = tuple[XY, XY, float, float]
"""From where to where in plan, and at which stations."""

_TOLD_OF = {
    GroundZone.WARM: PassageKind.WARM,
    GroundZone.NEAR_MOVING: PassageKind.NEAR_MOVING,
    GroundZone.OPEN_LOAD_FLOOR: PassageKind.OPEN_LOAD_FLOOR,
}
"""Zones that a person is told of where a route lies in them."""


@dataclass(frozen=True, slots=True)
class _Place:
    """A point on the way to becoming a RoutePoint; `along` is the support followed from here on."""

    space: str
    x: float
    y: float
    z: float
    along: str | None
    lift: float = 0.0
    """How far above z it lies, over members."""


def make_route(loom: LoomOnVehicle, world: World, run: Run, path: Path, gap: float) -> Route:
    """Return a way as a route in space between its run's terminals.

    Heights are those of the model: the space's, the support's while one is followed, the previous one
    and the rise over a member, the terminal's or opening's own at the ends; a change of height at one
    place is a rise or drop of its own.

    Parameters
    ----------
    loom : LoomOnVehicle
    world : World
        That the path was found in.
    run : Run
    path : Path
    gap : float
        How much more effort than the best it may take, as a share.
    """
    profile = loom.profile
    places = _level_places(profile, world, path)
    places = _over_members(loom, places)
    places = [*_end_places(profile, run.start, places[0], True), *places]
    places = [*places, *_end_places(profile, run.end, places[-1], False)]
    points = tuple(_stationed(_without_idle(places)))
    ends_mm = sum(end_effort_mm(loom, name) for name in (run.start, run.end))
    passages = tuple(_passages(loom, points, world, path))
    return Route(run.name, points, passages, path.effort_mm + ends_mm, gap)


def redrawn(
    loom: LoomOnVehicle, world: World, path: Path, route: Route, points: tuple[RoutePoint, ...]
) -> Route:
    """Return a route along other points: what it passes is found again; its effort is left as it was.

    Parameters
    ----------
    loom : LoomOnVehicle
    world : World
    path : Path
        That the route was made from.
    route : Route
    points : tuple of RoutePoint
        Its new points.
    """
    return replace(route, points=points, passages=tuple(_passages(loom, points, world, path)))


def end_effort_mm(loom: LoomOnVehicle, terminal_name: str) -> float:
    """Return the effort of the rise or drop between a terminal and where a loom lies in its space."""
    terminal = loom.profile.terminal(terminal_name)
    climb_mm = abs(terminal.height_mm - level_at(loom.profile.space(terminal.space), terminal.at))
    return climb_mm * loom.practice.value("factor", "open")


def _end_places(profile: Profile, terminal_name: str, at: _Place, is_start: bool) -> Iterable[_Place]:
    terminal = profile.terminal(terminal_name)
    level_mm = level_at(profile.space(terminal.space), terminal.at)
    ends = [terminal.height_mm, level_mm] if is_start else [level_mm, terminal.height_mm]
    return [_Place(at.space, *terminal.at, height_mm, None) for height_mm in ends]


def _level_places(profile: Profile, world: World, path: Path) -> list[_Place]:
    """Return the places of a way at the heights of their spaces and supports, openings gone through."""
    places: list[_Place] = []
    for step, following in zip(path.steps, [*path.steps[1:], None], strict=True):
        space, here = profile.spaces[step.layer], (step.x, step.y)
        there = (following.x, following.y) if following and following.layer == step.layer else here
        if step.rail is not None:
            support = profile.support(world.layers[step.layer].rails[step.rail].key)
            places.append(_Place(space.name, *here, _height_on(support, space, here), support.name))
            places.append(_Place(space.name, *there, _height_on(support, space, there), None))
        else:
            for start, end, height_mm in level_pieces(space, here, there):
                places += [_Place(space.name, *at, height_mm, None) for at in (start, end)]
        if following is not None and following.layer != step.layer:
            opening = profile.opening(str(step.link))
            places.append(_Place(space.name, step.x, step.y, opening.height_mm, None))
            places.append(
                _Place(profile.spaces[following.layer].name, step.x, step.y, opening.height_mm, None)
            )
    return places


def _height_on(support: Support, space: Space, at: XY) -> float:
    """Return the height of a support at a place: where looms lie, if rounding alone is between."""
    height_mm, level_mm = support.height_at(at), level_at(space, at)
    return level_mm if abs(height_mm - level_mm) < SAME_PLACE_MM else height_mm


def _over_members(loom: LoomOnVehicle, places: list[_Place]) -> list[_Place]:
    """Raise what lies in a member's pass by its rise; where passes of several overlap, by the highest."""
    for member in loom.profile.members:
        for over in member.passes:
            if isinstance(over, OverPass):
                band = pass_band(member, over, loom.radius_mm)
                places = list(_raised(places, member.space, band, over.rise_mm))
    return [replace(place, z=place.z + place.lift, lift=0.0) if place.lift else place for place in places]


def _raised(places: list[_Place], space: str, band: shapely.Geometry, rise_mm: float) -> Iterable[_Place]:
    bounds = band.bounds
    for place, following in zip(places, [*places[1:], None], strict=True):
        yield place
        if following is None or place.space != space or following.space != space:
            continue
        if not may_meet((place.x, place.y), (following.x, following.y), bounds):
            continue
        leg = shapely.LineString([(place.x, place.y), (following.x, following.y)])
        if leg.length < SAME_PLACE_MM or not leg.intersects(band):
            continue
        inside = shapely.intersection(leg, band)
        if inside.geom_type != "LineString" or inside.length < ONLY_TOUCHES_MM:
            continue
        (ax, ay), (bx, by) = sorted(
            (inside.coords[0], inside.coords[-1]), key=lambda p: math.dist(p, (place.x, place.y))
        )
        if math.dist((ax, ay), (place.x, place.y)) < SAME_PLACE_MM:
            ax, ay = place.x, place.y
        if math.dist((bx, by), (following.x, following.y)) < SAME_PLACE_MM:
            bx, by = following.x, following.y
        first, last = (_on_leg(place, following, at) for at in ((ax, ay), (bx, by)))
        lift_mm = max(place.lift, rise_mm)
        yield first
        yield replace(first, lift=lift_mm)
        yield replace(last, lift=lift_mm)
        yield last


def _on_leg(place: _Place, following: _Place, at: XY) -> _Place:
    """Return a place on the straight piece between two, which slopes along a support that rises."""
    share = math.dist((place.x, place.y), at) / math.dist((place.x, place.y), (following.x, following.y))
    z = place.z + share * (following.z - place.z) if place.z != following.z else place.z
    return replace(place, x=at[0], y=at[1], z=z)


def _without_idle(places: list[_Place]) -> list[_Place]:
    """Drop repeated places, there-and-back heights and places in the middle of a straight piece."""
    kept: list[_Place] = []
    for place in places:
        kept.append(place)
        while _drop_idle(kept):
            pass
    return kept


def _drop_idle(kept: list[_Place]) -> bool:
    if len(kept) >= 2 and _gap_mm(kept[-2], kept[-1]) < SAME_PLACE_MM and kept[-2].space == kept[-1].space:
        is_over_another = len(kept) < 3 or (kept[-3].x, kept[-3].y) == (kept[-2].x, kept[-2].y)
        stays = kept[-2] if is_over_another else kept[-1]  # what comes next may go straight up from there
        kept[-2:] = [replace(stays, along=kept[-1].along)]
        return True
    if len(kept) >= 3 and (_is_idle(*kept[-3:]) or _is_overshot(*kept[-3:])):
        del kept[-2]
        return True
    return False


def _is_idle(a: _Place, b: _Place, c: _Place) -> bool:
    """Return whether b only repeats what the piece from a to c says, or goes up and down at one place."""
    if a.space != b.space or b.space != c.space:
        return False
    is_upright = (a.x, a.y) == (b.x, b.y) == (c.x, c.y)
    if is_upright:
        return True
    within_mm = STRAIGHT_MM if a.along is None else STRAIGHT_ON_SUPPORT_MM
    return a.along == b.along and _aside_mm(a, b, c) < within_mm


def _is_overshot(a: _Place, b: _Place, c: _Place) -> bool:
    """Return whether b is a rounding beyond c, which the piece from a to b passes already.

    Where to leave a support is found to a rounding only: a hairpin of it would be a bend of radius 0.
    """
    return (
        a.space == b.space == c.space and _gap_mm(b, c) < ONLY_TOUCHES_MM and _aside_mm(a, c, b) < ON_LINE_MM
    )


def _aside_mm(a: _Place, b: _Place, c: _Place) -> float:
    """Return how far b lies from the straight piece that leads from a to c."""
    ab, ac = (b.x - a.x, b.y - a.y, b.z - a.z), (c.x - a.x, c.y - a.y, c.z - a.z)
    square = sum(part * part for part in ac)
    share = sum(p * q for p, q in zip(ab, ac, strict=True)) / square if square else 0.0
    share = min(1.0, max(0.0, share))
    return math.dist(ab, [share * part for part in ac])


def _gap_mm(a: _Place, b: _Place) -> float:
    return math.dist((a.x, a.y, a.z), (b.x, b.y, b.z))


def _stationed(places: list[_Place]) -> Iterable[RoutePoint]:
    station_mm = 0.0
    for number, place in enumerate(places):
        if number:
            station_mm += _gap_mm(places[number - 1], place)
        yield RoutePoint(place.space, place.x, place.y, place.z, station_mm, place.along)


def _passages(loom: LoomOnVehicle, points: tuple[RoutePoint, ...], world: World, path: Path) -> list[Passage]:
    found = list(_openings_passed(loom.profile, points))
    holes = {step.link for step in path.steps}
    for layer in world.layers:
        legs = [
            ((a.x_mm, a.y_mm), (b.x_mm, b.y_mm), a.station_mm, b.station_mm)
            for a, b in itertools.pairwise(points)
            if a.space == b.space == layer.key
        ]
        for kind, name, area in _areas(loom.profile, layer.zones):
            found += [Passage(kind, name, *stretch, None) for stretch in _stations_inside(legs, area)]
        for member in loom.profile.members:
            if member.space == layer.key:
                found += _passages_over(loom, member, legs)
                if member.name in holes:
                    found += _passages_through(loom, member, legs)
    return sorted(found, key=lambda p: (p.from_station_mm, p.to_station_mm))


def _openings_passed(profile: Profile, points: tuple[RoutePoint, ...]) -> Iterable[Passage]:
    for before, after in itertools.pairwise(points):
        if before.space != after.space:
            name = _opening_at(profile, before, after)
            yield Passage(PassageKind.OPENING, name, before.station_mm, before.station_mm, None)


def _opening_at(profile: Profile, before: RoutePoint, after: RoutePoint) -> str:
    for opening in profile.openings:
        if {before.space, after.space} == set(opening.joins) and opening.at == (before.x_mm, before.y_mm):
            return opening.name
    raise LookupError(f"no opening at {before}")


def _areas(profile: Profile, zones: Iterable[Zone]) -> Iterable[tuple[PassageKind, str, Any]]:
    covers = {cover.name for cover in profile.covers}
    for zone in zones:
        if isinstance(zone.key, GroundZone):
            if zone.key in _TOLD_OF:
                yield _TOLD_OF[zone.key], zone.key.value, zone.area
        elif zone.key in covers:  # what only runs along its edge is not under it
            yield PassageKind.COVER, str(zone.key), _well_inside(zone.area)
        else:
            yield PassageKind.EXPOSED, str(zone.key), zone.area


def _passages_over(loom: LoomOnVehicle, member: Member, legs: list[_Leg]) -> Iterable[Passage]:
    """Yield where a way lies on a member, its climbs included; where passes overlap, as on the longer one."""
    found = [
        (stretch, over)
        for over in member.passes
        if isinstance(over, OverPass)
        for stretch in _stations_inside(legs, pass_band(member, over, loom.radius_mm))
    ]
    groups: list[list[tuple[tuple[float, float], OverPass]]] = []
    for each in sorted(found, key=lambda each: each[0]):
        touches = groups and each[0][0] <= max(stretch[1] for stretch, _ in groups[-1]) + SAME_PLACE_MM
        groups[-1:] = [[*groups[-1], each]] if touches else [*groups[-1:], [each]]
    for group in groups:
        whole = (group[0][0][0], max(stretch[1] for stretch, _ in group))
        _, taken = max(group, key=lambda each: each[0][1] - each[0][0])
        yield Passage(PassageKind.OVER_MEMBER, member.name, *_with_climbs(loom, legs, whole), taken)


def _passages_through(loom: LoomOnVehicle, member: Member, legs: list[_Leg]) -> Iterable[Passage]:
    band = shapely.LineString(member.along).buffer(member.width_mm / 2.0 + loom.radius_mm, cap_style="flat")
    for over in member.passes:
        if isinstance(over, OverPass):
            band = shapely.difference(band, pass_band(member, over, loom.radius_mm))
    for stretch in _stations_inside(legs, band):
        hole = _hole_on(member, legs, stretch)
        yield Passage(PassageKind.THROUGH_MEMBER, member.name, *_with_climbs(loom, legs, stretch), hole)


def _with_climbs(loom: LoomOnVehicle, legs: list[_Leg], stretch: tuple[float, float]) -> tuple[float, float]:
    """Return a stretch with the rises and drops right before and after it: nothing is fixed between them."""
    near_mm = loom.profile.tolerance_mm + CLIMB_BESIDE_MM
    low_mm, high_mm = stretch
    for here, there, from_mm, to_mm in legs:
        if here == there and abs(to_mm - stretch[0]) <= near_mm:
            low_mm = min(low_mm, from_mm)
        if here == there and abs(from_mm - stretch[1]) <= near_mm:
            high_mm = max(high_mm, to_mm)
    return low_mm, high_mm


def _hole_on(member: Member, legs: list[_Leg], stretch: tuple[float, float]) -> ThroughPass:
    """Return the hole that a stretch of a way goes through: right through its middle."""
    low_mm, high_mm = stretch
    inside = shapely.MultiLineString(
        [(a, b) for a, b, from_mm, to_mm in legs if from_mm < high_mm and to_mm > low_mm and a != b]
    )
    holes = (hole for hole in member.passes if isinstance(hole, ThroughPass))
    return min(holes, key=lambda hole: float(inside.distance(shapely.Point(hole.at))))


@lru_cache(maxsize=KEPT_SHAPES)
def _well_inside(area: shapely.Geometry) -> Any:
    return shapely.buffer(area, -SAME_PLACE_MM)


def _stations_inside(legs: Iterable[_Leg], area: shapely.Geometry) -> tuple[tuple[float, float], ...]:
    """Return where legs of one space lie inside an area, as stretches of stations, touching ones joined."""
    stretches: list[tuple[float, float]] = []
    bounds = area.bounds
    for here, there, from_mm, to_mm in legs:
        if not may_meet(here, there, bounds, OUT_OF_FREE_MM):
            continue
        for start, end in _shares_inside(here, there, area):
            low_mm, high_mm = from_mm + start * (to_mm - from_mm), from_mm + end * (to_mm - from_mm)
            if stretches and low_mm - stretches[-1][1] < SAME_PLACE_MM:
                stretches[-1] = (stretches[-1][0], high_mm)
            else:
                stretches.append((low_mm, high_mm))
    return tuple(s for s in stretches if s[1] - s[0] > ONLY_TOUCHES_MM)


@lru_cache(maxsize=KEPT_SHAPES)
def _shares_inside(a: XY, b: XY, area: shapely.Geometry) -> tuple[tuple[float, float], ...]:
    """Return the parts of a leg inside an area, as shares of it in order.

    A rise begins at the very border of a pass: rounding may put its place outside where that leans.
    """
    if a == b:
        return ((0.0, 1.0),) if shapely.dwithin(area, shapely.Point(a), OUT_OF_FREE_MM) else ()
    leg = shapely.LineString([a, b])
    parts = shapely.get_parts(shapely.intersection(leg, area))
    shares = []
    for part in parts:
        if part.geom_type == "LineString" and not part.is_empty:
            at = sorted(leg.project(shapely.Point(c), normalized=True) for c in part.coords)
            shares.append((at[0], at[-1]))
    return tuple(sorted(shares))
