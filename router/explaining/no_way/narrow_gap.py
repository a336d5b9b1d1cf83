"""The narrowest gap along the widest route: two things on opposite sides that leave it the least room."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import shapely
import shapely.ops

from router.explaining.no_way.pinch_records import FoundPinch, PathPiece, PinchSide, keep_out_side
from router.facts import core_of
from router.model.vehicle import Member, OverPass
from router.routing import (
    LoomOnVehicle,
    band_half_mm,
    corridor,
    level_at,
    levels_of,
    plan_reach_mm,
    required_in,
)
from router.search import XY, Path
from router.tolerances import BESIDE_BAND_MM, ON_LINE_MM

ACROSS_MM = 3000.0
"""How far to look for what stands across a pinch."""
LOOK_EVERY_MM = 2.0
MOST_LOOKS = 400
TOUCHING_MM = 20.0
"""What is further than this from the widest way, beyond its own reach, does not pinch it."""


@dataclass(frozen=True, slots=True)
class _Obstacle:
    """What a way may not come too near to: a core, how far it reaches round it, how far it stands out itself.

    `scaled_mm` is the reach on the widest way, `full_mm` that which is asked for; `within` is where it
    counts.
    """

    side: PinchSide
    core: Any
    scaled_mm: float
    full_mm: float
    body_mm: float
    within: Any = None


def narrowest(
    loom: LoomOnVehicle, scaled: LoomOnVehicle, path: Path, pieces: list[PathPiece]
) -> FoundPinch | None:
    """Return the place on some pieces of a way where two things on opposite sides leave it the least room."""
    best: tuple[float, FoundPinch] | None = None
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
                best = slack_mm, FoundPinch(layer, at, sides, width_mm, needed_mm, path)
    return best[1] if best else None


def _places_on(line: Any) -> Iterable[Any]:
    count = min(MOST_LOOKS, int(line.length / LOOK_EVERY_MM) + 2)
    return [line.interpolate(float(share), normalized=True) for share in np.linspace(0.0, 1.0, count)]


def _narrowest_pair(
    obstacles: list[_Obstacle], place: Any
) -> tuple[float, tuple[PinchSide, ...], float, float] | None:
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
    found = [_Obstacle(PinchSide(f"the edge of the {space.name}"), ring, 0.0, 0.0, 0.0)]
    for level in levels_of(space):
        within, heights_mm = level.area if space.steps else None, (level.height_mm, level.height_mm)
        found += _keep_out_obstacles(loom, scaled, space.name, heights_mm, within)
    for member in loom.profile.members:
        if member.space == space.name:
            found += _member_obstacles(loom, scaled, member, level_at(space, member.along[0]))
    return found


def _keep_out_obstacles(
    loom: LoomOnVehicle, scaled: LoomOnVehicle, space: str, heights_mm: tuple[float, float], within: Any
) -> Iterator[_Obstacle]:
    for keep_out, required_mm in required_in(loom, space, heights_mm):
        full_mm = plan_reach_mm(keep_out, required_mm, *heights_mm, loom.radius_mm)
        share = scaled.clearance_factor_of(keep_out)
        scaled_mm = plan_reach_mm(keep_out, required_mm * share, *heights_mm, loom.radius_mm * share)
        if full_mm > 0.0:
            side, core = keep_out_side(loom, keep_out), core_of(keep_out.shape)
            yield _Obstacle(side, core, scaled_mm, full_mm, keep_out.shape.reach_mm, within)


def _member_obstacles(
    loom: LoomOnVehicle, scaled: LoomOnVehicle, member: Member, height_mm: float
) -> Iterator[_Obstacle]:
    """Yield a member's faces beside its passes, and, on a pass, its ends and what is above or below it."""
    side = PinchSide(member.name, member=member.name)
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
        ends = PinchSide(f"an end of the place to cross {member.name}", member=member.name)
        (ax, ay), (bx, by) = over.start, over.end
        length_mm = math.dist(over.start, over.end)
        nx, ny = -(by - ay) / length_mm * half_mm, (bx - ax) / length_mm * half_mm
        lines = [[(x - nx, y - ny), (x + nx, y + ny)] for x, y in (over.start, over.end)]
        yield _Obstacle(ends, shapely.MultiLineString(lines), 0.0, 0.0, 0.0, free)
        raised = (height_mm, height_mm + over.rise_mm)
        yield from _keep_out_obstacles(loom, scaled, member.space, raised, free)
