"""Why there is no way: the widest way there is, where it is stopped, and what single change opens it.

The widest way is the one that needs the least easing: clearances and the loom's own size are all taken at
one share of what is asked, and the largest share at which there is a way is found by halving. A little
above that share the two ends no longer hang together; so along the widest way there is a place where it
leaves what still hangs together with its start and enters something else. That place is the pinch: a gap
between two things, a bore, or a keep-out too near to a support, an opening or a hole.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np
import shapely
import shapely.ops

from router.errors import NoRouteError, Pinch, Relaxation, RelaxationKind
from router.explaining.no_way.ends import explain_end
from router.explaining.no_way.relaxations import (
    DANGERS,
    LEAST_LOOM_MM,
    NO_ADVICE,
    clearances_left,
    each_in_the_way,
    fewest_in_the_way,
    fewest_scaled,
    fewest_shields,
    find_relaxations,
    without_them,
)
from router.model.job import Run
from router.model.vehicle import Edge, KeepOut, Member, OverPass, ThroughPass
from router.routing import (
    LoomOnVehicle,
    band_half_mm,
    core_of,
    corridor,
    make_world,
    opening_fits,
    plan_reach_mm,
)
from router.search import XY, Ask, Parts, Path, SightGraph, Step, World, find_path, is_reached, parts_of
from router.tolerances import BESIDE_BAND_MM, ON_LINE_MM

HALVINGS = 10
"""Halvings of the share of clearance: the widest way is known to 1/1024."""
LEAST_FACTOR = 1e-3
"""A share of clearance that is as good as none."""
ACROSS_MM = 3000.0
"""How far to look for what stands across a pinch."""
COARSE_MM = 1000.0
"""Longest piece of a border without a vertex, where only some way is wanted."""
LOOK_EVERY_MM = 2.0
MOST_LOOKS = 400
TOUCHING_MM = 20.0
"""What is further than this from the widest way, beyond its own reach, does not pinch it."""
MOST_SUSPECTS = 4
"""Keep-outs whose clearance is tried changed."""

Sites: TypeAlias = tuple[tuple[int, XY], ...]


def no_route(loom: LoomOnVehicle, run: Run, numbers: tuple[int, int], sites: Sites) -> NoRouteError:
    """Return the error that says why a run has no way: its pinch, or what is not joined at all.

    Parameters
    ----------
    loom : LoomOnVehicle
    run : Run
    numbers : pair of int
        The run's two sites.
    sites : tuple of (layer, (x, y))
    """
    end = explain_end(loom, run)
    if end is not None:
        thinnest = replace(loom, radius_mm=LEAST_LOOM_MM / 2.0)
        return NoRouteError(end, run=run.name, is_for_any_loom=explain_end(thinnest, run) is not None)
    ask = Ask(*numbers, run.via, frozenset(run.avoid))
    shares = _widest_shares(loom, sites, ask)
    found = _find_pinch(loom, sites, ask, *shares) if shares else None
    if found is None:
        return _shut_without_narrow_place(loom, run, sites, ask, shares)
    suspects, members = _suspects(loom, found)
    relaxations = find_relaxations(loom, sites, ask, suspects[:MOST_SUSPECTS], members)
    opens = _opens_text(loom, sites, ask, suspects, relaxations)
    names = tuple(side.name for side in found.sides)
    space = loom.profile.spaces[found.layer].name
    pinch = Pinch(run.name, space, found.at, names, found.width_mm, found.needed_mm, relaxations)
    return _error(_pinch_text(loom, run, pinch, found) + opens, pinch)


def _error(why: str, pinch: Pinch) -> NoRouteError:
    """Return the error; what made the loom so thick matters only where a thinner one would have a way."""
    thinner = any(relaxation.kind is RelaxationKind.LOOM for relaxation in pinch.relaxations)
    return NoRouteError(why, pinch, pinch.run, is_for_any_loom=not thinner)


def _shut_without_narrow_place(
    loom: LoomOnVehicle, run: Run, sites: Sites, ask: Ask, shares: tuple[float, float] | None
) -> NoRouteError:
    """Return the error for a way without a narrow place: what stands across, and near which place."""
    alone = each_in_the_way(loom, sites, ask)
    named = alone or fewest_in_the_way(loom, sites, ask)
    suspects = tuple(k.name for k in loom.profile.keep_outs if k.name in named)[-MOST_SUSPECTS:]
    members = tuple(m.name for m in loom.profile.members if m.name in named)
    relaxations = find_relaxations(loom, sites, ask, suspects, members)
    scaled = {relaxation.name for relaxation in relaxations}
    # keep-outs for which a smaller clearance is enough come last, and are named first
    alone = tuple(sorted(alone, key=lambda name: name in scaled))
    standing = alone[-1:] or named
    if relaxations and not shares:
        standing = ()  # it is what the job asks for that shuts the way, not the vehicle
    across = _across(loom, sites, ask, standing)
    why = (
        f"{_share_text(run, across, alone)}{_short_text(loom, sites, ask, shares[0])}"
        if shares
        else _not_joined(loom, run, across)
    )
    layer, at = (across[0].layer, across[0].at) if across else (None, None)
    space = None if layer is None else loom.profile.spaces[layer].name
    pinch = Pinch(run.name, space, at, standing, None, None, relaxations)
    if across or relaxations or shares:
        why += _opens_text(loom, sites, ask, suspects, relaxations)
    return _error(why, pinch)


@dataclass(frozen=True, slots=True)
class _Across:
    """Something that stands across, in words, and the place where a way would meet it if it were gone."""

    what: str
    layer: int
    at: XY


def _across(loom: LoomOnVehicle, sites: Sites, ask: Ask, names: tuple[str, ...]) -> tuple[_Across, ...]:
    """Return where a way that is open without some things would meet each of them."""
    without = without_them(loom, names)
    path = find_path(SightGraph(make_world(without), sites, COARSE_MM), ask) if names else None
    if path is None:
        return ()
    profile = loom.profile
    obstacles = [(m.name, m.space, shapely.LineString(m.along)) for m in profile.members if m.name in names]
    obstacles += [(k.name, k.space, core_of(k.shape)) for k in profile.keep_outs if k.name in names]
    found = []
    for name, space, core in obstacles:
        layer = next(n for n, each in enumerate(profile.spaces) if each.name == space)
        line = _line_on(path, layer)
        if line is None:  # the way would not come near it: what it shuts is off the shortest one
            line = core
        x, y = shapely.shortest_line(line, core).coords[0]
        found.append(_Across(f'"{name}" near x {x:.0f}, y {y:.0f} in the {space}', layer, (x, y)))
    return tuple(found)


def _widest_shares(loom: LoomOnVehicle, sites: Sites, ask: Ask) -> tuple[float, float] | None:
    """Return the largest share of every clearance with a way, and one just without; None: not even at 0."""
    low, high = LEAST_FACTOR, 1.0
    if is_reached(make_world(loom), sites, ask) or not is_reached(
        make_world(replace(loom, clearance_factor=low)), sites, ask
    ):
        return None
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        if is_reached(make_world(replace(loom, clearance_factor=middle)), sites, ask):
            low = middle
        else:
            high = middle
    return low, high


@dataclass(frozen=True, slots=True)
class _PinchSide:
    """One thing at a pinch: its name as told, what it asks for, and whether it is a keep-out or a member."""

    name: str
    wants: str = ""
    keep_out: str | None = None
    member: str | None = None


@dataclass(frozen=True, slots=True)
class _Found:
    """A pinch: where it is, between what, how wide it is and how wide it should be; the way through it."""

    layer: int
    at: XY
    sides: tuple[_PinchSide, ...]
    width_mm: float
    needed_mm: float
    path: Path


def _find_pinch(loom: LoomOnVehicle, sites: Sites, ask: Ask, wide: float, shut: float) -> _Found | None:
    """Return where the widest way is the first to be shut when clearances are scaled a little less."""
    scaled = replace(loom, clearance_factor=wide)
    world, tighter = make_world(scaled), make_world(replace(loom, clearance_factor=shut))
    path = find_path(SightGraph(world, sites, COARSE_MM), ask)
    if path is None:
        return None
    parts = parts_of(tighter, ask.avoid)
    pieces = _separating_pieces(world, path, parts) or list(_pieces(world, path, parts))
    for piece in pieces:
        if piece.step.link is not None and not _has_link(tighter, piece.step):
            return _at_link(replace(loom, clearance_factor=shut), loom, path, piece.step)
    for piece in pieces:
        if piece.rail is not None and piece.group is None and piece.line.length > ON_LINE_MM:
            return _on_support(loom, path, piece)
    free = [piece for piece in pieces if piece.rail is None and piece.line.length > ON_LINE_MM]
    found = _narrowest(loom, scaled, path, free) if free else _at_step(loom, path, pieces)
    links = [piece.step for piece in pieces if piece.step.link is not None]
    return found or next(
        (_at_link(replace(loom, clearance_factor=shut), loom, path, step) for step in links), None
    )


@dataclass(frozen=True, slots=True)
class _Piece:
    """A straight part of a way, from step to step or less; `rail` is the support that is ridden there."""

    step: Step
    rail: str | None
    line: Any
    group: int | None
    """What hangs together with it; None where the place is taken."""


def _separating_pieces(world: World, path: Path, parts: Parts) -> list[_Piece] | None:
    """Return the pieces between the last place joined to the start and the next place that is not."""
    pieces = list(_pieces(world, path, parts))
    known = [number for number, piece in enumerate(pieces) if piece.group is not None]
    if not known:
        return None
    groups = [pieces[number].group for number in known]
    if groups[0] != groups[-1]:
        last = len(groups) - 1 - groups[::-1].index(groups[0])
    else:  # the ends hang together, but not with what the way was told to go by
        last = next((n for n, group in enumerate(groups[1:]) if group != groups[0]), len(groups))
    if last + 1 >= len(groups):
        return None
    return pieces[known[last] : known[last + 1] + 1][1:-1] or pieces[known[last] : known[last + 1] + 1]


def _pieces(world: World, path: Path, parts: Parts) -> Iterator[_Piece]:
    """Yield a way cut where it enters or leaves a part, in its order; links are pieces of no length."""
    for step, after in zip(path.steps, path.steps[1:], strict=False):
        if step.link is not None:
            yield _Piece(step, None, shapely.LineString(), None)
            continue
        line = shapely.LineString([(step.x, step.y), (after.x, after.y)])
        rail = None if step.rail is None else world.layers[step.layer].rails[step.rail].key
        inside = list(_inside(line, step.layer, rail, parts)) if line.length > ON_LINE_MM else []
        reached = 0.0
        for start, end, group in sorted(inside):
            if start > reached + ON_LINE_MM:
                yield _Piece(step, rail, shapely.ops.substring(line, reached, start), None)
            yield _Piece(step, rail, shapely.ops.substring(line, start, end), group)
            reached = max(reached, end)
        if line.length > reached + ON_LINE_MM:
            yield _Piece(step, rail, shapely.ops.substring(line, reached, line.length), None)


def _inside(line: Any, layer: int, rail: str | None, parts: Parts) -> Iterator[tuple[float, float, int]]:
    """Yield where a straight piece lies inside which group: from, to and the group."""
    free = parts.free[layer]
    rides = tuple(
        (
            shapely.buffer(ride, ON_LINE_MM, quad_segs=1),
            group,
        )  # two straight pieces of one line seldom overlap
        for key, ride, group in parts.rides[layer]
        if key == rail
    )
    for part, group in free if rail is None else rides:
        for inner in shapely.get_parts(shapely.intersection(line, part)):
            if inner.geom_type == "LineString" and inner.length > ON_LINE_MM:
                at = [line.project(shapely.Point(place)) for place in inner.coords]
                yield min(at), max(at), group


def _has_link(world: World, step: Step) -> bool:
    at = (step.x, step.y)
    return any(
        link.key == step.link and min(math.dist(at, end) for end in link.ends) < 1.0 for link in world.links
    )


def _at_link(shut: LoomOnVehicle, loom: LoomOnVehicle, path: Path, step: Step) -> _Found | None:
    """Return what stops a way at an opening or a hole: its bore, or what stands too near to it."""
    profile, name = loom.profile, str(step.link)
    at = (step.x, step.y)
    opening = next((o for o in profile.openings if o.name == name), None)
    if opening is not None:
        if not opening_fits(shut, opening):
            return _bore(loom, path, step, name, opening.bore_mm, opening.edge)
        found = []
        for space_name in opening.joins:
            layer = next(n for n, space in enumerate(profile.spaces) if space.name == space_name)
            low_mm, high_mm = sorted((profile.spaces[layer].height_mm, opening.height_mm))
            side = _PinchSide(name)
            found.append(_beside(loom, path, layer, shapely.Point(at), (low_mm, high_mm), side))
        return min((f for f in found if f), key=lambda f: f.width_mm - f.needed_mm, default=None)
    member = profile.member(name)
    holes = [hole for hole in member.passes if isinstance(hole, ThroughPass)]
    hole = min(holes, key=lambda hole: math.dist(hole.at, at))
    if not _bore_is_wide(shut, hole.bore_mm, hole.edge):
        return _bore(loom, path, step, f"the hole in {name}", hole.bore_mm, hole.edge, member=name)
    after = path.steps[path.steps.index(step) + 1]
    height_mm = profile.spaces[step.layer].height_mm
    straight = shapely.LineString([at, (after.x, after.y)])
    side = _PinchSide(f"the hole in {name}", member=name)
    return _beside(loom, path, step.layer, straight, (height_mm, height_mm), side)


def _wall_mm(loom: LoomOnVehicle, edge: Edge) -> float:
    return loom.practice.value("opening", "grommet wall") if edge is Edge.BARE else 0.0


def _bore_is_wide(loom: LoomOnVehicle, bore_mm: float, edge: Edge) -> bool:
    return bore_mm - 2.0 * _wall_mm(loom, edge) >= 2.0 * loom.body_radius_mm


def _bore(
    loom: LoomOnVehicle,
    path: Path,
    step: Step,
    name: str,
    bore_mm: float,
    edge: Edge,
    member: str | None = None,
) -> _Found:
    clear_mm = bore_mm - 2.0 * _wall_mm(loom, edge)
    sides = (_PinchSide(name, member=member),)
    return _Found(step.layer, (step.x, step.y), sides, clear_mm, 2.0 * loom.radius_mm, path)


def _on_support(loom: LoomOnVehicle, path: Path, piece: _Piece) -> _Found | None:
    """Return what stops a way along a support: at the support's height, or where it steps there."""
    support = loom.profile.support(str(piece.rail))
    low_mm, high_mm = sorted((support.height_mm, loom.profile.space(support.space).height_mm))
    level = (support.height_mm, support.height_mm)
    along = _beside(
        loom, path, piece.step.layer, piece.line, level, _PinchSide(f"the line of {support.name}")
    )
    step = _PinchSide(f"the step to {support.name}")
    return along or _beside(loom, path, piece.step.layer, piece.line, (low_mm, high_mm), step)


def _at_step(loom: LoomOnVehicle, path: Path, pieces: list[_Piece]) -> _Found | None:
    """Return what stops a way where it steps from one height to another to join or leave a support."""
    rails = [(piece, loom.profile.support(piece.rail)) for piece in pieces if piece.rail is not None]
    if not rails:
        return None
    piece, support = rails[0]
    ends = [other.line for other in pieces if other is not piece and other.line.length > 0.0]
    at = shapely.Point(piece.step.x, piece.step.y)
    if ends:
        at = shapely.shortest_line(piece.line, ends[0]).interpolate(0.0)
    low_mm, high_mm = sorted((support.height_mm, loom.profile.space(support.space).height_mm))
    return _beside(
        loom, path, piece.step.layer, at, (low_mm, high_mm), _PinchSide(f"the step to {support.name}")
    )


def _beside(
    loom: LoomOnVehicle, path: Path, layer: int, place: Any, heights_mm: tuple[float, float], side: _PinchSide
) -> _Found | None:
    """Return the keep-out that stands too near to where the loom has no choice but to lie."""
    space = loom.profile.spaces[layer].name
    found = []
    for keep_out in loom.profile.keep_outs:
        if keep_out.space != space:
            continue
        required_mm = loom.clearances[keep_out.name].required_mm
        reach_mm = plan_reach_mm(keep_out, required_mm, *heights_mm, loom.radius_mm)
        core = core_of(keep_out.shape)
        if reach_mm > 0.0 and core.distance(place) < reach_mm:
            found.append((core.distance(place) - reach_mm, keep_out, core, reach_mm))
    if not found:
        return None
    _, keep_out, core, reach_mm = min(found, key=lambda each: each[0])
    at = shapely.shortest_line(place, core).coords[0]
    body_mm = keep_out.shape.reach_mm
    width_mm = max(0.0, core.distance(place) - body_mm)
    return _Found(layer, at, (_keep_out_side(loom, keep_out), side), width_mm, reach_mm - body_mm, path)


def _keep_out_side(loom: LoomOnVehicle, keep_out: KeepOut) -> _PinchSide:
    required_mm = loom.clearances[keep_out.name].required_mm
    return _PinchSide(keep_out.name, f'{required_mm:.0f} mm from "{keep_out.name}"', keep_out=keep_out.name)


# --- a gap between two things ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Obstacle:
    """What a way may not come too near to: a core, how far it reaches round it, how far it stands out itself.

    `scaled_mm` is the reach on the widest way, `full_mm` that which is asked for; `within` is where it
    counts.
    """

    side: _PinchSide
    core: Any
    scaled_mm: float
    full_mm: float
    body_mm: float
    within: Any = None


def _narrowest(loom: LoomOnVehicle, scaled: LoomOnVehicle, path: Path, pieces: list[_Piece]) -> _Found | None:
    """Return the place on some pieces of a way where two things on opposite sides leave it the least room."""
    best: tuple[float, _Found] | None = None
    for piece in pieces:
        layer = piece.step.layer
        near = [
            t
            for t in _obstacles(loom, scaled, layer)
            if t.core.distance(piece.line) <= t.scaled_mm + TOUCHING_MM
        ]
        for place in _places_on(piece.line):
            found = _narrowest_pair(near, place)
            if found is not None and (best is None or found[0] < best[0]):
                slack_mm, sides, width_mm, needed_mm = found
                at = (float(place.x), float(place.y))
                best = slack_mm, _Found(layer, at, sides, width_mm, needed_mm, path)
    return best[1] if best else None


def _places_on(line: Any) -> Iterable[Any]:
    count = min(MOST_LOOKS, int(line.length / LOOK_EVERY_MM) + 2)
    return [line.interpolate(float(share), normalized=True) for share in np.linspace(0.0, 1.0, count)]


def _narrowest_pair(
    obstacles: list[_Obstacle], place: Any
) -> tuple[float, tuple[_PinchSide, ...], float, float] | None:
    """Return the two things on opposite sides of a place that leave it the least room, with that room."""
    found: list[_Near] = []
    for obstacle in obstacles:
        if obstacle.within is not None and not shapely.dwithin(obstacle.within, place, ON_LINE_MM):
            continue
        x, y = shapely.shortest_line(place, obstacle.core).coords[1]
        distance_mm = obstacle.core.distance(place)
        toward = (x - place.x, y - place.y) if distance_mm > BESIDE_BAND_MM else (0.0, 0.0)
        found.append((distance_mm - obstacle.scaled_mm, obstacle, toward))
    found.sort(key=lambda each: each[0])
    pairs = [
        (one[0] + other[0], one, other)
        for number, one in enumerate(found)
        for other in found[number + 1 :]
        if one[2][0] * other[2][0] + one[2][1] * other[2][1] <= 0.0 and _is_short(one, other)
    ]
    if not pairs:
        return None
    slack_mm, one, other = min(pairs, key=lambda pair: pair[0])
    sides = tuple(sorted((one[1].side, other[1].side), key=lambda side: not side.wants))
    return slack_mm, sides, *_widths_mm(one, other)


_Near: TypeAlias = tuple[float, _Obstacle, XY]
"""How much room a thing leaves a place on the widest way, the thing, and where it is from there."""


def _widths_mm(one: _Near, other: _Near) -> tuple[float, float]:
    """Return how far two things are apart, and how far they should be for the loom to pass."""
    bodies_mm = one[1].body_mm + other[1].body_mm
    return math.dist(one[2], other[2]) - bodies_mm, one[1].full_mm + other[1].full_mm - bodies_mm


def _is_short(one: _Near, other: _Near) -> bool:
    width_mm, needed_mm = _widths_mm(one, other)
    return width_mm < needed_mm


def _obstacles(loom: LoomOnVehicle, scaled: LoomOnVehicle, layer: int) -> list[_Obstacle]:
    space = loom.profile.spaces[layer]
    ring = shapely.LinearRing(space.outline)
    found = [_Obstacle(_PinchSide(f"the edge of the {space.name}"), ring, 0.0, 0.0, 0.0)]
    level = (space.height_mm, space.height_mm)
    found += _keep_out_obstacles(loom, scaled, space.name, level, None)
    for member in loom.profile.members:
        if member.space == space.name:
            found += _member_obstacles(loom, scaled, member, space.height_mm)
    return found


def _keep_out_obstacles(
    loom: LoomOnVehicle, scaled: LoomOnVehicle, space: str, heights_mm: tuple[float, float], within: Any
) -> Iterator[_Obstacle]:
    for keep_out in loom.profile.keep_outs:
        if keep_out.space != space:
            continue
        required_mm = loom.clearances[keep_out.name].required_mm
        full_mm = plan_reach_mm(keep_out, required_mm, *heights_mm, loom.radius_mm)
        share = scaled.clearance_factor_of(keep_out)
        scaled_mm = plan_reach_mm(keep_out, required_mm * share, *heights_mm, loom.radius_mm * share)
        if full_mm > 0.0:
            side, core = _keep_out_side(loom, keep_out), core_of(keep_out.shape)
            yield _Obstacle(side, core, scaled_mm, full_mm, keep_out.shape.reach_mm, within)


def _member_obstacles(
    loom: LoomOnVehicle, scaled: LoomOnVehicle, member: Member, height_mm: float
) -> Iterator[_Obstacle]:
    """Yield a member's faces beside its passes, and, on a pass, its ends and what is above or below it."""
    side = _PinchSide(member.name, member=member.name)
    overs = [over for over in member.passes if isinstance(over, OverPass)]
    corridors = [corridor(member, over, loom.radius_mm) for over in overs]
    solid = shapely.LineString(member.along).buffer(member.width_mm / 2.0, cap_style="flat")
    beside = shapely.buffer(shapely.union_all(corridors), BESIDE_BAND_MM, quad_segs=1)
    outside = shapely.difference(shapely.buffer(solid, ACROSS_MM), beside)
    solid = shapely.difference(solid, shapely.union_all(corridors))
    if not solid.is_empty:
        yield _Obstacle(side, solid, scaled.body_radius_mm, loom.radius_mm, 0.0, outside)
    half_mm = band_half_mm(member, loom.radius_mm)
    for over, free in zip(overs, corridors, strict=True):
        ends = _PinchSide(f"an end of the place to cross {member.name}", member=member.name)
        (ax, ay), (bx, by) = over.start, over.end
        length_mm = math.dist(over.start, over.end)
        nx, ny = -(by - ay) / length_mm * half_mm, (bx - ax) / length_mm * half_mm
        lines = [[(x - nx, y - ny), (x + nx, y + ny)] for x, y in (over.start, over.end)]
        yield _Obstacle(ends, shapely.MultiLineString(lines), 0.0, 0.0, 0.0, free)
        raised = (height_mm, height_mm + over.rise_mm)
        yield from _keep_out_obstacles(loom, scaled, member.space, raised, free)


# --- words -------------------------------------------------------------------------------------------


def _suspects(loom: LoomOnVehicle, found: _Found) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what is worth trying changed: keep-outs and members at the pinch or too near to the way."""
    here = [side.keep_out for side in found.sides if side.keep_out]
    short: list[tuple[float, str]] = []
    for keep_out in loom.profile.keep_outs:
        layer = next(n for n, space in enumerate(loom.profile.spaces) if space.name == keep_out.space)
        line = _line_on(found.path, layer)
        if line is None or keep_out.name in here:
            continue
        height_mm = loom.profile.spaces[layer].height_mm
        required_mm = loom.clearances[keep_out.name].required_mm
        reach_mm = plan_reach_mm(keep_out, required_mm, height_mm, height_mm, loom.radius_mm)
        distance_mm = core_of(keep_out.shape).distance(line)
        if distance_mm < reach_mm:
            short.append((distance_mm - reach_mm, keep_out.name))
    names = (*here, *(name for _, name in sorted(short, key=lambda each: each[0])))
    members = tuple(dict.fromkeys(side.member for side in found.sides if side.member))
    return names, members


def _line_on(path: Path, layer: int) -> Any:
    points = [(step.x, step.y) for step in path.steps if step.layer == layer]
    return shapely.LineString(points) if len(points) >= 2 else None


def _pinch_text(loom: LoomOnVehicle, run: Run, pinch: Pinch, found: _Found) -> str:
    """Return in words where the widest route is stopped, between what, how wide it is and must be there."""
    text = f'run "{run.name}": no way from "{run.start}" to "{run.end}"; the widest one is pinched at '
    text += f"x {found.at[0]:.0f}, y {found.at[1]:.0f} in the {pinch.space} "
    if len(pinch.between) == 1:
        text += f"by the bore of {pinch.between[0]}"
    else:
        text += " and ".join(f"{word}" for word in _quoted(found.sides)).join(["between ", ""])
    loom_mm = 2.0 * loom.radius_mm
    text += f": {_down(found.width_mm)} mm wide, where this loom ({loom_mm:.0f} mm) needs "
    text += f"{math.ceil(found.needed_mm)} mm"
    wants = " and ".join(side.wants for side in found.sides if side.wants)
    return f"{text} ({wants} with the measuring tolerance)" if wants else text


def _opens_text(
    loom: LoomOnVehicle,
    sites: Sites,
    ask: Ask,
    suspects: tuple[str, ...],
    relaxations: tuple[Relaxation, ...],
) -> str:
    """Return in words which single changes open a route, or which clearances prevent it where none does."""
    if relaxations:
        return f". One of these opens a way: {'; '.join(relaxation.what for relaxation in relaxations)}"
    text = ". No single change that was tried opens a way"
    shields = fewest_shields(loom, sites, ask, suspects)
    if shields:
        text += f"; shields on all of these do: {', '.join(shields)}"
    together = fewest_scaled(loom, sites, ask, suspects)
    if not together:
        return text
    left = "; ".join(clearances_left(loom, sites, ask, together))
    hazards = dict.fromkeys(loom.profile.keep_out(name).hazard for name in together)
    dangers = "; ".join(DANGERS[hazard] for hazard in hazards if hazard in DANGERS) or NO_ADVICE
    text += f". No advice, only what it would take: {left} ({dangers})"
    return f"{text}; look for another end or another way first"


def _down(length_mm: float) -> int:
    return math.floor(max(0.0, length_mm))


def _quoted(sides: tuple[_PinchSide, ...]) -> list[str]:
    return [f'"{side.name}"' if side.name in (side.keep_out, side.member) else side.name for side in sides]


def _share_text(run: Run, across: tuple[_Across, ...], alone: tuple[str, ...]) -> str:
    text = f'run "{run.name}": no way from "{run.start}" to "{run.end}"'
    text += f": {_across_text(across)}" if across else ""
    others = " or ".join(f'"{name}"' for name in alone[:-1][-MOST_SUSPECTS:])
    return f"{text}; without {others} alone there would be one too" if others else text


def _short_text(loom: LoomOnVehicle, sites: Sites, ask: Ask, share: float) -> str:
    """Return in words how near the loom would come to what on the widest way, and how near it may come."""
    world = make_world(replace(loom, clearance_factor=share))
    path = find_path(SightGraph(world, sites, COARSE_MM), ask)
    short = sorted(_short_of(loom, world, path)) if path else []
    words = [
        f'{_down(kept_mm)} mm of {asked_mm:.0f} mm from "{name}"' for _, name, kept_mm, asked_mm in short
    ]
    if not words:
        return ""
    return f"; on the widest way the loom would keep {', '.join(words[:MOST_SUSPECTS])}"


def _short_of(loom: LoomOnVehicle, world: World, path: Path) -> Iterator[tuple[float, str, float, float]]:
    """Yield by how much the loom would keep too little from what on a way: share, name, kept and asked."""
    profile = loom.profile
    for keep_out in profile.keep_outs:
        asked_mm = loom.clearances[keep_out.name].required_mm
        core = core_of(keep_out.shape)
        kept_mm = math.inf
        for step, after in zip(path.steps, path.steps[1:], strict=False):
            space = profile.spaces[step.layer]
            if step.link is not None or space.name != keep_out.space:
                continue
            rail = None if step.rail is None else world.layers[step.layer].rails[step.rail].key
            height_mm = space.height_mm if rail is None else profile.support(rail).height_mm
            line = shapely.LineString([(step.x, step.y), (after.x, after.y)])
            beside_mm = max(0.0, core.distance(line) - keep_out.shape.reach_mm - loom.radius_mm)
            low_mm, high_mm = keep_out.heights_mm or (height_mm, height_mm)
            above_mm = max(0.0, low_mm - height_mm - loom.radius_mm, height_mm - loom.radius_mm - high_mm)
            kept_mm = min(kept_mm, math.hypot(beside_mm, above_mm))
        if kept_mm < asked_mm - BESIDE_BAND_MM:
            yield kept_mm / asked_mm, keep_out.name, kept_mm, asked_mm


def _across_text(across: tuple[_Across, ...]) -> str:
    words = " and ".join(each.what for each in across)
    return f"in the way stand{'s' if len(across) == 1 else ''} {words}"


def _not_joined(loom: LoomOnVehicle, run: Run, across: tuple[_Across, ...]) -> str:
    """Return in words what keeps the two ends apart even with no clearance at all: what lies across."""
    start, end = loom.profile.terminal(run.start), loom.profile.terminal(run.end)
    small = [o.name for o in loom.profile.openings if not opening_fits(loom, o)]
    text = f'run "{run.name}": no way from "{run.start}" ({start.space}) to "{run.end}" ({end.space})'
    text += " even with every clearance let go: "
    if across:
        text += _across_text(across)
    else:
        text += "no member's pass and no opening joins them"
        text += "" if _are_joined(loom, start.space, end.space) else _opening_text(start.space, end.space)
    if run.avoid or run.via:
        text += "; it was told to " + " and ".join(
            [f"avoid {', '.join(run.avoid)}"] * bool(run.avoid)
            + [f"use {', '.join(run.via)}"] * bool(run.via)
        )
    if small:
        text += f"; too small for a loom of {2.0 * loom.radius_mm:.0f} mm: {', '.join(small)}"
    return text


def _are_joined(loom: LoomOnVehicle, start: str, end: str) -> bool:
    """Return whether openings lead from one space to another, whatever their bores."""
    reached = {start}
    for _ in loom.profile.spaces:
        reached |= {name for o in loom.profile.openings if reached & set(o.joins) for name in o.joins}
    return end in reached


def _opening_text(start: str, end: str) -> str:
    return (
        f"; measure an opening that joins the two spaces and add it to the profile, "
        f"e.g. {{name: grommet, joins: [{start}, {end}], at: [.., ..], bore: 30 mm, edge: rubber}}"
    )
