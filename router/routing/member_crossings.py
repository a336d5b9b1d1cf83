"""Where a route crosses the lines of members, at what it takes there, as the search pays for it. mm.

A loom lies on a member wherever it is over the member's band; it has crossed it where it goes from one side
of its line to the other.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely

from router.model.plan import PassageKind, Route, RoutePoint
from router.search import XY, Gate, World
from router.tolerances import ON_LINE_MM, ONLY_TOUCHES_MM


@dataclass(frozen=True, slots=True)
class MemberCrossing:
    """One crossing of a member's line: where, at which station, and what it takes, rise and drop included."""

    member: str
    space: str
    at: XY
    station_mm: float
    effort_mm: float
    is_at_end: bool
    """Whether it is at an end of the pass, where the next one may begin."""


def member_crossings(route: Route, world: World) -> tuple[MemberCrossing, ...]:
    """Return every crossing over a member of a route, in its order.

    Where passes overlap the dearer one counts; at an end that two share, the cheaper.

    Parameters
    ----------
    route : Route
    world : World
        With the gates of the members' passes.
    """
    passed = {each.name for each in route.passages if each.kind is PassageKind.OVER_MEMBER}
    found = [
        crossing
        for layer in world.layers
        for gate in layer.gates
        if gate.key in passed
        for points in _in_space(route, layer.key)
        for crossing in _crossings(points, layer.key, gate)
    ]
    found.sort(key=_rank)
    kept: list[MemberCrossing] = []
    for each in found:
        last = kept[-1] if kept else None
        if not last or last.member != each.member or each.station_mm - last.station_mm > ONLY_TOUCHES_MM:
            kept.append(each)
    return tuple(sorted(kept, key=lambda each: each.station_mm))


def _rank(crossing: MemberCrossing) -> tuple[str, float, bool, float]:
    """Return what crossings are sorted by: of those at one place the one that counts is first."""
    effort_mm = crossing.effort_mm if crossing.is_at_end else -crossing.effort_mm
    return crossing.member, round(crossing.station_mm, 3), crossing.is_at_end, effort_mm


def _in_space(route: Route, space: str) -> Iterator[list[RoutePoint]]:
    for name, points in itertools.groupby(route.points, key=lambda point: point.space):
        if name == space:
            yield list(points)


def _crossings(points: Sequence[RoutePoint], space: str, gate: Gate) -> Iterator[MemberCrossing]:
    """Yield where points of a route change sides of a gate's line."""
    start, end = shapely.get_coordinates(gate.line)[[0, -1]].tolist()
    length_mm = math.dist(start, end)
    side, last = 0.0, (0.0, 0.0)
    met: tuple[float, float] | None = None
    """Station and place along the line where the route lies on it."""
    for point in points:
        along_mm, aside_mm = _from_line(start, end, (point.x_mm, point.y_mm))
        if abs(aside_mm) <= ON_LINE_MM:
            met = met or (point.station_mm, along_mm)
            continue
        if side * aside_mm < 0.0:
            share = side / (side - aside_mm)
            station_mm, at_mm = met or (
                last[0] + share * (point.station_mm - last[0]),
                last[1] + share * (along_mm - last[1]),
            )
            if -ON_LINE_MM <= at_mm <= length_mm + ON_LINE_MM:
                is_at_end = not ON_LINE_MM < at_mm < length_mm - ON_LINE_MM
                at = tuple(a + at_mm / length_mm * (b - a) for a, b in zip(start, end, strict=True))
                yield MemberCrossing(
                    str(gate.key), space, (at[0], at[1]), station_mm, gate.amount_mm, is_at_end
                )
        side, last, met = aside_mm, (point.station_mm, along_mm), None


def _from_line(start: Sequence[float], end: Sequence[float], at: XY) -> tuple[float, float]:
    """Return how far along a line a place is from its start, and how far aside, with its side."""
    length_mm = math.dist(start, end)
    ux, uy = (end[0] - start[0]) / length_mm, (end[1] - start[1]) / length_mm
    x, y = at[0] - start[0], at[1] - start[1]
    return x * ux + y * uy, y * ux - x * uy


def shares_not_lifted(route: Route) -> list[float]:
    """Return by piece of a route, from point to point, what of it is left if no member lifted it.

    Of rises and drops on members only what leads on to another height is left.
    """
    shares = [1.0] * (len(route.points) - 1)
    for from_mm, to_mm in _stretches_over(route):
        inside = [
            number
            for number, (a, b) in enumerate(itertools.pairwise(route.points))
            if from_mm - ONLY_TOUCHES_MM <= a.station_mm and b.station_mm <= to_mm + ONLY_TOUCHES_MM
        ]
        climbs = [n for n in inside if _is_climb(route.points[n], route.points[n + 1])]
        ups_mm = [route.points[n + 1].z_mm - route.points[n].z_mm for n in climbs]
        total_mm = sum(map(abs, ups_mm))
        for number in climbs if total_mm > 0.0 else ():
            shares[number] = abs(sum(ups_mm)) / total_mm
    return shares


def _is_climb(a: RoutePoint, b: RoutePoint) -> bool:
    return a.space == b.space and (a.x_mm, a.y_mm) == (b.x_mm, b.y_mm)


def _stretches_over(route: Route) -> list[tuple[float, float]]:
    """Return where a route lies on members, stretches that overlap joined."""
    joined: list[tuple[float, float]] = []
    for each in sorted(route.passages, key=lambda each: each.from_station_mm):
        if each.kind is not PassageKind.OVER_MEMBER:
            continue
        if joined and each.from_station_mm <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], each.to_station_mm))
        else:
            joined.append((each.from_station_mm, each.to_station_mm))
    return joined
