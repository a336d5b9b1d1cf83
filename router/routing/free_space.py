"""From vehicle words to the sight graph of the search: what is free, what it costs, where one may pass."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator
from enum import Enum
from functools import cache, lru_cache, partial
from typing import Any

import numpy as np
import shapely

from router.facts import core_of
from router.model.vehicle import (
    Edge,
    Fix,
    KeepOut,
    Member,
    Opening,
    OverPass,
    Profile,
    Space,
    Support,
    Terminal,
    ThroughPass,
)
from router.plane import grow_outside
from router.routing.ground_costs import ground_factor, ground_zones, rail_factor
from router.routing.levels import borders_of, level_at, levels_of
from router.routing.loom_on_vehicle import (
    KEPT_SHAPES,
    LoomOnVehicle,
    blocked,
    plan_reach_mm,
    required_in,
)
from router.routing.near_bodies import looked_within_mm
from router.search import Gate, Join, Layer, Link, Rail, World, Zone
from router.tolerances import BESIDE_BAND_MM, COUNTS_FOR_NOTHING_MM, PASSES_MEET_MM


class Change(Enum):
    """A change of height of our own making; as a key it equals nothing that somebody may call a thing."""

    STEP = "step"


STRETCH_MM = 1.0
"""How far a pass's line reaches into the band beside it, to shut the pass."""
SLOPE_PART_MM = 2.0
"""How much a part of a rising support rises at most that is taken to lie at all its heights at once."""
STEEP = 0.2
"""A support that rises more a mm than this is followed to where that ends: nobody leaves it half-way."""
WALL_MM = 0.01
"""How thick a wall is made that stands where a loom cannot step from one height to another."""
ZONE_STEPS = 2
"""Chords a quarter circle of a zone's border round a body, which is no matter of safety."""
ZONE_SIMPLER_MM = 5.0
"""Such a border is drawn this much simpler than it is."""


def band_half_mm(member: Member, radius_mm: float) -> float:
    """Return how near a centre line may come to a member's line outside its passes."""
    return member.width_mm / 2.0 + radius_mm


def pass_band(member: Member, over: OverPass, radius_mm: float) -> Any:
    """Return the part of a member's band that its pass takes up: there the loom lies on the member.

    It reaches a hair beyond the pass, so that a loom touching the pass's end is inside it in spite of
    rounding.

    Parameters
    ----------
    member : Member
    over : OverPass
    radius_mm : float
        Of the loom.
    """
    return _band_of_pass(over.start, over.end, band_half_mm(member, radius_mm))


@lru_cache(maxsize=KEPT_SHAPES)
def _band_of_pass(start: tuple[float, float], end: tuple[float, float], half_mm: float) -> Any:
    return _drawn_out(start, end, COUNTS_FOR_NOTHING_MM, COUNTS_FOR_NOTHING_MM).buffer(
        half_mm, cap_style="flat"
    )


def _drawn_out(start: tuple[float, float], end: tuple[float, float], first_mm: float, last_mm: float) -> Any:
    length_mm = math.dist(start, end)
    ux, uy = (end[0] - start[0]) / length_mm, (end[1] - start[1]) / length_mm
    first = (start[0] - ux * first_mm, start[1] - uy * first_mm)
    return shapely.LineString([first, (end[0] + ux * last_mm, end[1] + uy * last_mm)])


def corridor(member: Member, over: OverPass, radius_mm: float) -> Any:
    """Return the rectangle square to a member that its pass keeps free, reaching just over the band.

    Parameters
    ----------
    member : Member
    over : OverPass
    radius_mm : float
        Of the loom.
    """
    half_mm = band_half_mm(member, radius_mm) * 1.02 + 1.0
    return shapely.LineString([over.start, over.end]).buffer(half_mm, cap_style="flat")


def make_world(loom: LoomOnVehicle) -> World:
    """Return the sight graph of a vehicle for one loom: a layer a space, links at openings and holes."""
    layers = tuple(_layer(loom, space) for space in loom.profile.spaces)
    links = [*_opening_links(loom), *_hole_links(loom, layers)]
    return World(layers, tuple(links))


def free_between(loom: LoomOnVehicle, space: Space, low_mm: float, high_mm: float) -> Any:
    """Return where a centre line may lie between two heights of a space, passes over members included.

    Parameters
    ----------
    loom : LoomOnVehicle
    space : Space
    low_mm, high_mm : float
        Between which heights the centre line lies.
    """
    free = shapely.difference(_ground(loom.profile, space), blocked(loom, space.name, low_mm, high_mm))
    return shapely.difference(free, _member_bands(loom, space.name, high_mm))


def pass_bands(loom: LoomOnVehicle, space: str, *, are_level: bool = True) -> Any:
    """Return where a loom would lie on a member of a space; without `are_level`, only where it rises."""
    return shapely.union_all(
        [
            pass_band(member, over, loom.radius_mm)
            for member in loom.profile.members
            for over in member.passes
            if member.space == space and isinstance(over, OverPass) and (are_level or over.rise_mm > 0.0)
        ]
    )


def _layer(loom: LoomOnVehicle, space: Space) -> Layer:
    free = _free_ground(loom, space)
    supports = [s for s in loom.profile.supports if s.space == space.name and s.fix is not Fix.NEVER]
    bands = _bands_near(loom, space.name)
    rails = [_rail(loom, space, support, bands, free) for support in supports]
    return Layer(
        key=space.name,
        free=free,
        zones=_zones(loom, space),
        gates=(*_gates(loom, space), *_step_gates(loom, space)),
        rails=tuple(rail for rail in rails if not rail.join.is_empty),
        factor=ground_factor(loom.practice, space),
    )


def _free_ground(loom: LoomOnVehicle, space: Space) -> Any:
    """Return where a centre line may lie in a space, each level at its own height.

    What is taken of a level is cut off it, so that its border is no edge: there the loom steps up or down,
    but where something is in the way of that, and a wall stands.
    """
    if not space.steps:
        return free_between(loom, space, space.height_mm, space.height_mm)
    taken = [
        shapely.intersection(_taken_at(loom, space.name, level.height_mm), level.area)
        for level in levels_of(space)
    ]
    for border in borders_of(space):
        shut = shapely.intersection(border.line, blocked(loom, space.name, *border.heights_mm, border.line))
        taken += [_wall(line) for line in shapely.get_parts(_only_lines(shapely.line_merge(shut)))]
    return shapely.difference(_ground(loom.profile, space), shapely.union_all(taken))


def _ground(profile: Profile, space: Space) -> Any:
    """Return a space in plan, with a hair round what looms begin, end or leave it at.

    Such a place may lie right on the outline, and noding on a grid takes the outline away from it: away from
    under an opening in a bulkhead between two spaces that only meet there.
    """
    outline = shapely.Polygon(space.outline)
    at = [opening.at for opening in profile.openings if space.name in opening.joins]
    at += [terminal.at for terminal in profile.terminals if terminal.space == space.name]
    places = _points(at)
    hairs = shapely.buffer(places[_are_on_border(space, places)], COUNTS_FOR_NOTHING_MM, cap_style="square")
    return shapely.union_all([outline, *hairs]) if len(hairs) else outline


def terminals_on_borders(profile: Profile) -> tuple[Terminal, ...]:
    """Return the terminals that a world depends on: those right on the outline of their space."""
    kept: list[Terminal] = []
    for space in profile.spaces:
        own = [terminal for terminal in profile.terminals if terminal.space == space.name]
        is_kept = _are_on_border(space, _points([terminal.at for terminal in own]))
        kept += [terminal for terminal, kept in zip(own, is_kept, strict=True) if kept]
    return tuple(kept)


def _points(at: list[tuple[float, float]]) -> Any:
    return shapely.points(at) if at else shapely.points(np.empty((0, 2)))


def _are_on_border(space: Space, places: Any) -> Any:
    return shapely.dwithin(places, shapely.Polygon(space.outline).exterior, COUNTS_FOR_NOTHING_MM)


def _wall(line: shapely.LineString) -> Any:
    """Return a wall along a line, pointed at both ends: a loom that goes round an end bends there once."""
    points = shapely.get_coordinates(line)
    if len(points) == 2:
        points = np.vstack([points[0], points.mean(axis=0), points[1]])
    ahead = points[2:] - points[:-2]
    ahead /= np.hypot(*ahead.T)[:, None]
    aside = WALL_MM * np.column_stack([-ahead[:, 1], ahead[:, 0]])
    ring = [points[0], *(points[1:-1] + aside), points[-1], *(points[1:-1] - aside)[::-1]]
    return shapely.Polygon(ring)


def _taken_at(loom: LoomOnVehicle, space: str, height_mm: float) -> Any:
    return shapely.union(blocked(loom, space, height_mm, height_mm), _member_bands(loom, space, height_mm))


def _step_gates(loom: LoomOnVehicle, space: Space) -> Iterator[Gate]:
    """Yield what a rise or drop from one level to the next costs, at their borders."""
    up = loom.practice.value("factor", "open")
    for number, border in enumerate(borders_of(space) if space.steps else ()):
        low_mm, high_mm = border.heights_mm
        key = (Change.STEP, space.name, number)  # a support has its own heights
        yield Gate(key, border.line, (high_mm - low_mm) * up, is_on_rails=False)


def _member_bands(loom: LoomOnVehicle, space: str, height_mm: float) -> Any:
    """Return what members take from a loom at a height: their bands, less the free part of passes."""
    taken = []
    for member in loom.profile.members:
        if member.space != space:
            continue
        band = grow_outside(shapely.LineString(member.along), band_half_mm(member, loom.body_radius_mm))
        for over in member.passes:
            if isinstance(over, OverPass):
                passed = corridor(member, over, loom.radius_mm)
                above = blocked(loom, space, height_mm, height_mm + over.rise_mm, passed)
                band = shapely.difference(band, passed)
                taken.append(shapely.intersection(above, passed))
        taken.append(band)
    return shapely.union_all(taken)


def _bands_near(loom: LoomOnVehicle, space: str) -> Callable[[Any, float], Any]:
    """Return who tells what members take at a height, if a line comes near any of them.

    Many supports lie at one height, and few of the many parts of a rising one come near a member.
    """
    members = [member for member in loom.profile.members if member.space == space]
    half_mm = {member.name: band_half_mm(member, loom.body_radius_mm) for member in members}
    alongs = np.array([shapely.LineString(member.along) for member in members], dtype=object)
    within_mm = np.array([looked_within_mm(half_mm[member.name]) + STRETCH_MM for member in members])
    passes = [
        corridor(m, over, loom.radius_mm) for m in members for over in m.passes if isinstance(over, OverPass)
    ]
    bands = cache(partial(_member_bands, loom, space))

    def bands_near(line: Any, height_mm: float) -> Any:
        is_near = (
            shapely.dwithin(alongs, line, within_mm).any() or shapely.dwithin(passes, line, STRETCH_MM).any()
        )
        return bands(height_mm) if is_near else shapely.Polygon()

    return bands_near


def _zones(loom: LoomOnVehicle, space: Space) -> tuple[Zone, ...]:
    amount_mm = loom.practice.value("amount", "cover")
    sheltered, exposed = (_surcharge(loom, key) for key in ("sheltered", "exposed"))
    zones = [
        Zone(cover.name, shapely.Polygon(cover.area), sheltered, amount_mm)
        for cover in loom.profile.covers
        if cover.space == space.name
    ]
    zones += [
        Zone(area.name, shapely.Polygon(area.area), exposed, 0.0)
        for area in loom.profile.exposed
        if area.space == space.name
    ]
    around = partial(_surroundings, loom, space)
    zones += ground_zones(loom.profile, loom.practice, space, loom.radius_mm, around)
    return tuple(zone for zone in zones if not zone.area.is_empty)


def _surcharge(loom: LoomOnVehicle, key: str) -> float:
    """Return what a mm costs more there than on open ground or on a support: the practice's factor less 1."""
    return loom.practice.value("factor", key) - 1.0


def _surroundings(
    loom: LoomOnVehicle, space: Space, is_meant: Callable[[KeepOut], bool], band_mm: float, height_mm: float
) -> Any:
    """Return what a loom at a height finds nearer to some bodies than their clearance and a band."""
    areas = []
    for keep_out, clearance_mm in required_in(loom, space.name, (height_mm, height_mm)):
        if is_meant(keep_out):
            reach_mm = plan_reach_mm(keep_out, clearance_mm + band_mm, height_mm, height_mm, loom.radius_mm)
            if reach_mm > 0.0:
                areas.append(shapely.buffer(core_of(keep_out.shape), reach_mm, quad_segs=ZONE_STEPS))
    return shapely.simplify(shapely.union_all(areas), ZONE_SIMPLER_MM)


def _gates(loom: LoomOnVehicle, space: Space) -> tuple[Gate, ...]:
    amount_mm, up = loom.practice.value("amount", "member"), loom.practice.value("factor", "open")
    return tuple(
        Gate(member.name, line, amount_mm + 2.0 * rise_mm * up)
        for member in loom.profile.members
        if member.space == space.name
        for line, rise_mm in _pass_lines(member)
    )


def _pass_lines(member: Member) -> Iterable[tuple[Any, float]]:
    """Yield the lines that shut a member's passes, with their rises; passes that touch share their end.

    Lines that only nearly met would leave a gap that no amount is paid in. Where passes overlap, the
    greater rise counts.
    """
    along = shapely.LineString(member.along)
    overs = [over for over in member.passes if isinstance(over, OverPass)]
    spans = [sorted((along.project(shapely.Point(p)), p) for p in (over.start, over.end)) for over in overs]
    ends: list[tuple[float, tuple[float, float]]] = []
    for end in sorted(end for span in spans for end in span):
        if not ends or end[0] - ends[-1][0] > PASSES_MEET_MM:
            ends.append(end)
    for (low_mm, start), (high_mm, stop) in itertools.pairwise(ends):
        middle_mm = (low_mm + high_mm) / 2.0
        rises = [o.rise_mm for o, s in zip(overs, spans, strict=True) if s[0][0] < middle_mm < s[1][0]]
        if rises:
            yield _stretched(start, stop, low_mm, high_mm, spans), max(rises)


def _stretched(
    start: tuple[float, float], stop: tuple[float, float], low_mm: float, high_mm: float, spans: Any
) -> Any:
    """Return a pass's line reaching into the band where no other pass goes on: it shuts the corridor."""
    before = any(s[0][0] < low_mm - PASSES_MEET_MM and s[1][0] > low_mm - PASSES_MEET_MM for s in spans)
    after = any(s[1][0] > high_mm + PASSES_MEET_MM and s[0][0] < high_mm + PASSES_MEET_MM for s in spans)
    return _drawn_out(start, stop, 0.0 if before else STRETCH_MM, 0.0 if after else STRETCH_MM)


def _rail(
    loom: LoomOnVehicle,
    space: Space,
    support: Support,
    bands: Callable[[Any, float], Any],
    free: shapely.Geometry,
) -> Rail:
    """Return a support as a rail; `bands` gives what members take near a line at a height."""
    outline = shapely.Polygon(space.outline)
    rides: list[Any] = []
    joins: list[Join] = []
    parts = list(support_parts(support))
    for number, (line, low_mm, high_mm) in enumerate(parts):
        taken = shapely.union_all(
            [blocked(loom, space.name, low_mm, high_mm, line), bands(line, low_mm), bands(line, high_mm)]
        )
        ride = shapely.difference(shapely.intersection(line, outline), taken)
        rides.append(ride)
        if number in (0, len(parts) - 1) or high_mm - low_mm <= STEEP * line.length:
            joins += _joins(loom, space, shapely.intersection(ride, free), (low_mm, high_mm))
    return Rail(
        key=support.name,
        line=shapely.LineString(support.along),
        ride=_only_lines(
            rides[0] if len(rides) == 1 else shapely.line_merge(_only_lines(shapely.union_all(rides)))
        ),
        joins=tuple(joins),
        factor=rail_factor(loom.practice, space, support),
        slopes=tuple(_slopes(support)),
    )


def support_parts(support: Support) -> Iterator[tuple[Any, float, float]]:
    """Yield a support in parts, each with the heights between which it lies: a level one as a whole."""
    if not support.heights_mm:
        yield shapely.LineString(support.along), support.height_mm, support.height_mm
        return
    ends = zip(support.along, support.heights_mm, strict=True)
    for ((ax, ay), from_mm), ((bx, by), to_mm) in itertools.pairwise(ends):
        count = max(1, math.ceil(abs(to_mm - from_mm) / SLOPE_PART_MM))
        shares = [number / count for number in range(count + 1)]
        for first, last in itertools.pairwise(shares):
            places = [(ax + share * (bx - ax), ay + share * (by - ay)) for share in (first, last)]
            heights = sorted(from_mm + share * (to_mm - from_mm) for share in (first, last))
            yield shapely.LineString(places), heights[0], heights[1]


def _joins(
    loom: LoomOnVehicle, space: Space, line: shapely.Geometry, heights_mm: tuple[float, float]
) -> Iterator[Join]:
    """Yield where a part of a support may be joined, on each level at the cost of the height between."""
    up = loom.practice.value("factor", "open")
    for level in levels_of(space):
        own = shapely.intersection(line, level.area) if space.steps else line
        if own.is_empty:
            continue
        low_mm, high_mm = min(heights_mm[0], level.height_mm), max(heights_mm[1], level.height_mm)
        step = blocked(loom, space.name, low_mm, high_mm, own)
        apart_mm = max(heights_mm[0] - level.height_mm, level.height_mm - heights_mm[1], 0.0)
        yield Join(_only_lines(shapely.difference(own, step)), apart_mm * up)


def _slopes(support: Support) -> Iterator[float]:
    """Yield by straight piece of a support its true length by that in plan."""
    ends = zip(support.along, support.point_heights_mm, strict=True)
    for (start, from_mm), (end, to_mm) in itertools.pairwise(ends):
        length_mm = math.dist(start, end)
        yield math.hypot(length_mm, to_mm - from_mm) / length_mm


def _only_lines(geometry: shapely.Geometry) -> Any:
    parts = shapely.get_parts(geometry)
    return shapely.MultiLineString(
        [part for part in parts if part.geom_type == "LineString" and not part.is_empty]
    )


def opening_fits(loom: LoomOnVehicle, opening: Opening) -> bool:
    """Return whether the loom goes through an opening, with the grommet that a bare edge needs."""
    return _bore_fits(loom, opening.bore_mm, opening.edge)


def _bore_fits(loom: LoomOnVehicle, bore_mm: float, edge: Edge) -> bool:
    wall_mm = loom.practice.value("opening", "grommet wall") if edge is Edge.BARE else 0.0
    return bore_mm - 2.0 * wall_mm >= 2.0 * loom.body_radius_mm


def upright_is_free(loom: LoomOnVehicle, space: Space, at: tuple[float, float], height_mm: float) -> bool:
    """Return whether a rise or drop from a space's lying height to another height is clear at a place."""
    low_mm, high_mm = sorted((level_at(space, at), height_mm))
    point = shapely.Point(at)
    return not shapely.intersects(blocked(loom, space.name, low_mm, high_mm, point), point)


def _opening_links(loom: LoomOnVehicle) -> Iterable[Link]:
    numbers = {space.name: number for number, space in enumerate(loom.profile.spaces)}
    for opening in loom.profile.openings:
        spaces = [loom.profile.space(name) for name in opening.joins]
        fits = opening_fits(loom, opening)
        if fits and all(upright_is_free(loom, s, opening.at, opening.height_mm) for s in spaces):
            climb_mm = sum(abs(level_at(s, opening.at) - opening.height_mm) for s in spaces)
            up = loom.practice.value("factor", "open")
            cost_mm = loom.practice.value("amount", "opening") + climb_mm * up
            ends = (numbers[opening.joins[0]], numbers[opening.joins[1]])
            yield Link(opening.name, ends, (opening.at, opening.at), cost_mm)


def _hole_links(loom: LoomOnVehicle, layers: tuple[Layer, ...]) -> Iterable[Link]:
    for number, space in enumerate(loom.profile.spaces):
        for member in loom.profile.members:
            if member.space != space.name:
                continue
            for hole in member.passes:
                if isinstance(hole, ThroughPass) and _bore_fits(loom, hole.bore_mm, hole.edge):
                    yield from _hole_link(loom, number, layers[number], member, hole)


def _hole_link(
    loom: LoomOnVehicle, number: int, layer: Layer, member: Member, hole: ThroughPass
) -> Iterable[Link]:
    height_mm = level_at(loom.profile.spaces[number], hole.at)
    ends = hole_ends(member, hole, loom.radius_mm)
    straight = shapely.LineString(ends)
    taken = blocked(loom, layer.key, height_mm, height_mm, straight)
    other_bands = shapely.union_all(
        [
            grow_outside(shapely.LineString(other.along), band_half_mm(other, loom.body_radius_mm))
            for other in loom.profile.members
            if other.space == layer.key and other.name != member.name
        ]
    )
    if not shapely.intersects(shapely.union(taken, other_bands), straight):
        cost_mm = loom.practice.value("amount", "member") + straight.length * loom.practice.value(
            "factor", "open"
        )
        yield Link(member.name, (number, number), ends, cost_mm)


def hole_ends(
    member: Member, hole: ThroughPass, radius_mm: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the ends of the straight way through a hole, square to the member, just clear of its band.

    Parameters
    ----------
    member : Member
    hole : ThroughPass
    radius_mm : float
        Of the loom.
    """
    line = shapely.LineString(member.along)
    at_mm = line.project(shapely.Point(hole.at))
    ahead, behind = line.interpolate(min(at_mm + 1.0, line.length)), line.interpolate(max(at_mm - 1.0, 0.0))
    dx, dy = ahead.x - behind.x, ahead.y - behind.y
    length = math.hypot(dx, dy)
    reach_mm = band_half_mm(member, radius_mm) * 1.02 + BESIDE_BAND_MM
    nx, ny = -dy / length * reach_mm, dx / length * reach_mm
    return (hole.at[0] + nx, hole.at[1] + ny), (hole.at[0] - nx, hole.at[1] - ny)
