"""A hand's line put on what it was drawn for: supports that it follows, passes of members. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby

from shapely import LineString
from shapely import Point as Spot
from shapely.ops import substring

from router.model.vehicle import Fix, Member, OverPass, Point, Profile

FOLLOW_MM = 1.5
"""How far beside a support or a pass a line that means it may lie, mm of paper."""
LOOK_EVERY_MM = 10.0
SHORTEST_MM = 200.0
"""Along less of a support than this nobody follows it; the line crosses it."""
BEYOND_MM = 15.0
"""How far beyond both edges of a member a line goes straight through its pass."""


def follow(
    points: Sequence[Point], space: str, within_mm: float, profile: Profile
) -> list[tuple[str | None, tuple[Point, ...]]]:
    """Return a line as stretches, each exactly on the support named, or as drawn on none."""
    line = LineString(points)
    lines = [
        (s.name, LineString(s.along)) for s in profile.supports if s.space == space and s.fix is not Fix.NEVER
    ]
    count = max(2, math.ceil(line.length / LOOK_EVERY_MM) + 1)
    places = [line.length * number / (count - 1) for number in range(count)]
    nearest = [_nearest(line.interpolate(place), lines, within_mm) for place in places]
    stretches: list[tuple[str | None, float, float]] = []
    for name, group in groupby(zip(places, nearest, strict=True), key=lambda each: each[1]):
        inside = [place for place, _ in group]
        is_followed = name is not None and inside[-1] - inside[0] >= SHORTEST_MM
        stretches.append((name if is_followed else None, inside[0], inside[-1]))
    made: list[tuple[str | None, tuple[Point, ...]]] = []
    for name, low, high in stretches:
        part = _along(line, low, high) if name is None else _along_support(line, low, high, dict(lines)[name])
        if made and made[-1][0] is None and name is None:
            made[-1] = (None, (*made[-1][1], *part))
        else:
            made.append((name, part))
    return [(name, part) for name, part in _joined(made, points) if len(set(part)) > 1]


def through_passes(
    points: Sequence[Point], space: str, within_mm: float, profile: Profile
) -> tuple[Point, ...]:
    """Return a line with each crossing of a member led through the pass that it was drawn at."""
    for member in profile.members:
        if member.space == space:
            points = _through_member(points, member, within_mm)
    return tuple(points)


def _nearest(place: Spot, lines: Sequence[tuple[str, LineString]], within_mm: float) -> str | None:
    near = [(line.distance(place), name) for name, line in lines]
    best = min(near, default=None)
    return best[1] if best and best[0] <= within_mm else None


def _along(line: LineString, low: float, high: float) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in substring(line, low, high).coords)


def _along_support(line: LineString, low: float, high: float, support: LineString) -> tuple[Point, ...]:
    first, last = (support.project(line.interpolate(place)) for place in (low, high))
    return tuple((float(x), float(y)) for x, y in substring(support, first, last).coords)


def _joined(
    made: list[tuple[str | None, tuple[Point, ...]]], points: Sequence[Point]
) -> list[tuple[str | None, tuple[Point, ...]]]:
    """Return stretches that begin where the one before ends, from the line's own start to its own end."""
    joined: list[tuple[str | None, tuple[Point, ...]]] = []
    for name, part in made:
        begun = part
        if joined and joined[-1][1][-1] != part[0]:
            if name is None:
                begun = (joined[-1][1][-1], *part)
            elif joined[-1][0] is None:
                joined[-1] = (None, (*joined[-1][1], part[0]))
            else:
                joined.append((None, (joined[-1][1][-1], part[0])))
        joined.append((name, begun))
    if joined[0][1][0] != points[0]:
        joined.insert(0, (None, (points[0], joined[0][1][0])))
    if joined[-1][1][-1] != points[-1]:
        joined.append((None, (joined[-1][1][-1], points[-1])))
    return joined


def _through_member(points: Sequence[Point], member: Member, within_mm: float) -> Sequence[Point]:
    line, along = LineString(points), LineString(member.along)
    for crossing in sorted(_spots(line, along), key=line.project, reverse=True):
        target = _pass_at(crossing, member, along, within_mm)
        if target is None:
            continue
        across = _square_to(along, target)
        half_mm = member.width_mm / 2 + BEYOND_MM
        ends = [
            (target.x + side * half_mm * across[0], target.y + side * half_mm * across[1]) for side in (-1, 1)
        ]
        station = line.project(crossing)
        before, after = max(0.0, station - half_mm), min(line.length, station + half_mm)
        if before == 0.0 or after == line.length:
            continue  # an end lies on the member
        start, rest = _along(line, 0.0, before)[:-1], _along(line, after, line.length)[1:]
        ends.sort(key=lambda end: math.dist(end, start[-1] if start else points[0]))
        line = LineString([*start, *ends, *rest])
    return tuple((float(x), float(y)) for x, y in line.coords)


def _spots(line: LineString, along: LineString) -> list[Spot]:
    meeting = line.intersection(along)
    return [
        part for part in getattr(meeting, "geoms", (meeting,)) if isinstance(part, Spot) and not part.is_empty
    ]


def _pass_at(crossing: Spot, member: Member, along: LineString, within_mm: float) -> Spot | None:
    """Return the place of the pass that a crossing means: the nearest, if near enough."""
    station, best = along.project(crossing), None
    for pass_ in member.passes:
        ends = (pass_.start, pass_.end) if isinstance(pass_, OverPass) else (pass_.at, pass_.at)
        low, high = sorted(along.project(Spot(end)) for end in ends)
        meant = min(max(station, low), high)
        if abs(meant - station) <= within_mm and (best is None or abs(meant - station) < abs(best - station)):
            best = meant
    return None if best is None else along.interpolate(best)


def _square_to(along: LineString, place: Spot) -> tuple[float, float]:
    station = along.project(place)
    a, b = along.interpolate(max(0.0, station - 1.0)), along.interpolate(min(along.length, station + 1.0))
    length = math.dist((a.x, a.y), (b.x, b.y))
    return -(b.y - a.y) / length, (b.x - a.x) / length
