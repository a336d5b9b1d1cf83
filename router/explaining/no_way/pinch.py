"""Where the widest route is pinched: at a bore, at a support, at a step between heights, or in a gap.

A little above the largest share of clearance that leaves a route the two ends no longer hang together; so
along that widest route there is a place where it leaves what still hangs together with its start and enters
something else. That place is the pinch.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import shapely
import shapely.ops

from router.explaining.no_way.narrow_gap import narrowest
from router.explaining.no_way.pinch_records import (
    COARSE_MM,
    FoundPinch,
    PathPiece,
    PinchSide,
    Sites,
    keep_out_side,
)
from router.facts import core_of
from router.model.vehicle import Edge, ThroughPass
from router.routing import (
    LoomOnVehicle,
    level_at,
    make_world,
    opening_fits,
    plan_reach_mm,
    required_in,
)
from router.search import Ask, Parts, Path, SightGraph, Step, World, find_path, parts_of
from router.tolerances import ON_LINE_MM


def find_pinch(loom: LoomOnVehicle, sites: Sites, ask: Ask, wide: float, shut: float) -> FoundPinch | None:
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
    found = narrowest(loom, scaled, path, free) if free else _at_step(loom, path, pieces)
    links = [piece.step for piece in pieces if piece.step.link is not None]
    return found or next(
        (_at_link(replace(loom, clearance_factor=shut), loom, path, step) for step in links), None
    )


def _separating_pieces(world: World, path: Path, parts: Parts) -> list[PathPiece] | None:
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


def _pieces(world: World, path: Path, parts: Parts) -> Iterator[PathPiece]:
    """Yield a way cut where it enters or leaves a part, in its order; links are pieces of no length."""
    for step, after in zip(path.steps, path.steps[1:], strict=False):
        if step.link is not None:
            yield PathPiece(step, None, shapely.LineString(), None)
            continue
        line = shapely.LineString([(step.x, step.y), (after.x, after.y)])
        rail = None if step.rail is None else world.layers[step.layer].rails[step.rail].key
        inside = list(_inside(line, step.layer, rail, parts)) if line.length > ON_LINE_MM else []
        reached = 0.0
        for start, end, group in sorted(inside):
            if start > reached + ON_LINE_MM:
                yield PathPiece(step, rail, shapely.ops.substring(line, reached, start), None)
            yield PathPiece(step, rail, shapely.ops.substring(line, start, end), group)
            reached = max(reached, end)
        if line.length > reached + ON_LINE_MM:
            yield PathPiece(step, rail, shapely.ops.substring(line, reached, line.length), None)


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


def _at_link(shut: LoomOnVehicle, loom: LoomOnVehicle, path: Path, step: Step) -> FoundPinch | None:
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
            low_mm, high_mm = sorted((level_at(profile.spaces[layer], opening.at), opening.height_mm))
            side = PinchSide(name)
            found.append(_beside(loom, path, layer, shapely.Point(at), (low_mm, high_mm), side))
        return min((f for f in found if f), key=lambda f: f.width_mm - f.needed_mm, default=None)
    member = profile.member(name)
    holes = [hole for hole in member.passes if isinstance(hole, ThroughPass)]
    hole = min(holes, key=lambda hole: math.dist(hole.at, at))
    if not _bore_is_wide(shut, hole.bore_mm, hole.edge):
        return _bore(loom, path, step, f"the hole in {name}", hole.bore_mm, hole.edge, member=name)
    after = path.steps[path.steps.index(step) + 1]
    height_mm = level_at(profile.spaces[step.layer], at)
    straight = shapely.LineString([at, (after.x, after.y)])
    side = PinchSide(f"the hole in {name}", member=name)
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
) -> FoundPinch:
    clear_mm = bore_mm - 2.0 * _wall_mm(loom, edge)
    sides = (PinchSide(name, member=member),)
    return FoundPinch(step.layer, (step.x, step.y), sides, clear_mm, 2.0 * loom.radius_mm, path)


def _on_support(loom: LoomOnVehicle, path: Path, piece: PathPiece) -> FoundPinch | None:
    """Return what stops a way along a support: at the support's height, or where it steps there."""
    support = loom.profile.support(str(piece.rail))
    at = (piece.step.x, piece.step.y)
    own_mm = support.height_at(at)
    low_mm, high_mm = sorted((own_mm, level_at(loom.profile.space(support.space), at)))
    level = (own_mm, own_mm)
    along = _beside(loom, path, piece.step.layer, piece.line, level, PinchSide(f"the line of {support.name}"))
    step = PinchSide(f"the step to {support.name}")
    return along or _beside(loom, path, piece.step.layer, piece.line, (low_mm, high_mm), step)


def _at_step(loom: LoomOnVehicle, path: Path, pieces: list[PathPiece]) -> FoundPinch | None:
    """Return what stops a way where it steps from one height to another to join or leave a support."""
    rails = [(piece, loom.profile.support(piece.rail)) for piece in pieces if piece.rail is not None]
    if not rails:
        return None
    piece, support = rails[0]
    ends = [other.line for other in pieces if other is not piece and other.line.length > 0.0]
    at = shapely.Point(piece.step.x, piece.step.y)
    if ends:
        at = shapely.shortest_line(piece.line, ends[0]).interpolate(0.0)
    place = (at.x, at.y)
    level_mm = level_at(loom.profile.space(support.space), place)
    low_mm, high_mm = sorted((support.height_at(place), level_mm))
    return _beside(
        loom, path, piece.step.layer, at, (low_mm, high_mm), PinchSide(f"the step to {support.name}")
    )


def _beside(
    loom: LoomOnVehicle, path: Path, layer: int, place: Any, heights_mm: tuple[float, float], side: PinchSide
) -> FoundPinch | None:
    """Return the keep-out that stands too near to where the loom has no choice but to lie."""
    space = loom.profile.spaces[layer].name
    found = []
    for keep_out, required_mm in required_in(loom, space, heights_mm):
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
    return FoundPinch(layer, at, (keep_out_side(loom, keep_out), side), width_mm, reach_mm - body_mm, path)
