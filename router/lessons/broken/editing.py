"""A drawn run changed by hand, as someone who draws would: corners moved, a bow put in. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace
from itertools import pairwise
from typing import TypeAlias

from router.facts import positions_at, station_on
from router.model.fixing import Fixing, FixingKind
from router.model.plan import PassageKind, Route, RoutePoint
from router.model.review import DrawnRun
from router.model.vehicle import Point
from router.tolerances import ON_ROUTE_MM

PASSED = (PassageKind.OVER_MEMBER, PassageKind.THROUGH_MEMBER, PassageKind.OPENING)


Hold: TypeAlias = Callable[[Route, float], Fixing | None]
"""What holds a loom at a station of its route, if anything does."""


def with_points(
    drawn: DrawnRun, points: Iterable[RoutePoint], hold: Hold, *, fixed_every_mm: float
) -> DrawnRun:
    """Return a run on another line: stations made anew, fixings left where they are on it, gaps filled.

    Where the new line leaves a gap that the old one had not, it is filled evenly as far as something holds
    the loom there.
    """
    route = replace(drawn.route, points=tuple(_with_stations(points)))
    kept = []
    for fixing in drawn.fixings:
        station_mm = station_on(route, fixing, ON_ROUTE_MM)
        if station_mm is not None:
            kept.append(replace(fixing, station_mm=station_mm))
    longest_mm = max(fixed_every_mm, _longest_gap(drawn.fixings, drawn.route.routed_mm))
    stations = sorted(fixing.station_mm for fixing in kept)
    added = _between([0.0, *stations, route.routed_mm], longest_mm, fixed_every_mm)
    kept += [held for station_mm in added if (held := hold(route, station_mm)) is not None]
    return replace(drawn, route=route, fixings=numbered(kept))


def with_bow(
    drawn: DrawnRun, station_mm: float, apex: Point, half_mm: float, hold: Hold, *, fixed_every_mm: float
) -> DrawnRun | None:
    """Return a run led by `apex` from `half_mm` before a station to `half_mm` after it.

    None where that stretch is not level in one space, or passes a member or an opening.
    """
    route = drawn.route
    first_mm, last_mm = station_mm - half_mm, station_mm + half_mm
    if first_mm < 1.0 or last_mm > route.routed_mm - 1.0:
        return None
    before, after = positions_at(route, (first_mm, last_mm))
    between = [p for p in route.points if first_mm < p.station_mm < last_mm]
    heights = {(p.space, p.z_mm) for p in between} | {(after.space, after.z_mm)}
    if heights != {(before.space, before.z_mm)}:
        return None
    if any(
        p.kind in PASSED and p.from_station_mm < last_mm and p.to_station_mm > first_mm
        for p in route.passages
    ):
        return None
    space, z_mm = before.space, before.z_mm
    bow = [
        RoutePoint(space, before.x_mm, before.y_mm, z_mm, 0.0, None),
        RoutePoint(space, *apex, z_mm, 0.0, None),
        RoutePoint(space, after.x_mm, after.y_mm, z_mm, 0.0, after.along),
    ]
    start = [p for p in route.points if p.station_mm <= first_mm]
    end = [p for p in route.points if p.station_mm >= last_mm]
    return with_points(drawn, [*start, *bow, *end], hold, fixed_every_mm=fixed_every_mm)


def moved(
    points: Iterable[RoutePoint], is_moved: Callable[[RoutePoint], bool], by: Point
) -> list[RoutePoint]:
    """Return points with some of them moved in plan; a support is no longer followed there."""
    made: list[RoutePoint] = []
    for point in points:
        if is_moved(point):
            made.append(replace(point, x_mm=point.x_mm + by[0], y_mm=point.y_mm + by[1], along=None))
            if len(made) > 1:
                made[-2] = replace(made[-2], along=None)
        else:
            made.append(point)
    return made


def a_p_clip(route: Route, station_mm: float) -> Fixing:
    """Return a P-clip at a station, whatever is there."""
    place = positions_at(route, (station_mm,))[0]
    kind = FixingKind.P_CLIP
    return Fixing(0, station_mm, kind, None, place.space, place.x_mm, place.y_mm, place.z_mm, "drawn", None)


def numbered(fixings: Iterable[Fixing]) -> tuple[Fixing, ...]:
    """Return fixings in the order of their stations, numbered from 1."""
    ordered = sorted(fixings, key=lambda fixing: fixing.station_mm)
    return tuple(replace(fixing, number=number) for number, fixing in enumerate(ordered, start=1))


def _with_stations(points: Iterable[RoutePoint]) -> Iterable[RoutePoint]:
    station_mm, last = 0.0, None
    for point in points:
        if last is not None and last.space == point.space:
            station_mm += math.dist((last.x_mm, last.y_mm, last.z_mm), (point.x_mm, point.y_mm, point.z_mm))
        yield replace(point, station_mm=station_mm)
        last = point


def _longest_gap(fixings: tuple[Fixing, ...], routed_mm: float) -> float:
    held = [0.0, *sorted(fixing.station_mm for fixing in fixings), routed_mm]
    return max(b - a for a, b in pairwise(held))


def _between(held_mm: list[float], longest_mm: float, every_mm: float) -> Iterable[float]:
    for start_mm, end_mm in pairwise(held_mm):
        if end_mm - start_mm > longest_mm + 1e-6:
            count = math.ceil((end_mm - start_mm) / every_mm)
            yield from (start_mm + (end_mm - start_mm) * number / count for number in range(1, count))
