"""The station list of a run: what an installer meets, read off a tape from the run's start."""

from __future__ import annotations

import math
from collections.abc import Iterable

from router.facts.along_route import heading_words
from router.model.job import Run
from router.model.plan import (
    Breakout,
    Fixing,
    FuseChoice,
    HeatSleeve,
    PassageKind,
    Route,
    RoutePoint,
    Station,
)
from router.tolerances import SAME_PLACE_MM

NEAREST_MM = 5.0
"""Stations are read off a tape; a finer figure would only look exact."""
BEND_DEG = 20.0
"""Smaller bends are no event for the person who lays the cable."""

_PASSED = {
    PassageKind.OVER_MEMBER: ("over member", "off member"),
    PassageKind.THROUGH_MEMBER: ("into hole of member", "out of hole of member"),
    PassageKind.OPENING: ("through opening", ""),
    PassageKind.COVER: ("in above cover", "out from cover"),
    PassageKind.EXPOSED: ("into exposed area", "out of exposed area"),
    PassageKind.WARM: ("into warm surroundings", "out of warm surroundings"),
}


def list_stations(
    run: Run,
    route: Route,
    fixings: tuple[Fixing, ...],
    fuse: FuseChoice | None,
    heat_sleeves: tuple[HeatSleeve, ...],
    breakouts: tuple[Breakout, ...] = (),
) -> tuple[Station, ...]:
    """Return everything met along a run in order of station, to the nearest 5 mm.

    Parameters
    ----------
    run : Run
        For the names of its ends.
    route : Route
        Its points and passages, stations in true length.
    fixings : tuple of Fixing
        All fixings that hold the run.
    fuse : FuseChoice or None
        None where the run has no fuse.
    heat_sleeves : tuple of HeatSleeve
        Each from station to station.
    breakouts : tuple of Breakout, optional
        Where runs join or leave its bundle.
    """
    events: list[tuple[float, str, str]] = [(0.0, "start", run.start)]
    events += _passage_events(route)
    events += _support_events(route.points)
    events += _bend_events(route.points)
    events += [(f.station_mm, f"fixing {f.number}", _fixing_detail(f)) for f in fixings]
    events += [(each.station_mm, "breakout", _breakout_detail(each)) for each in breakouts]
    if fuse is not None:
        events.append((fuse.station_mm, "fuse", f"{fuse.rating_a:g} A holder"))
    for sleeve in heat_sleeves:
        events.append((sleeve.from_station_mm, "heat sleeve from", sleeve.keep_out))
        events.append((sleeve.to_station_mm, "heat sleeve to", sleeve.keep_out))
    events.append((route.routed_mm, "end", run.end))
    order = sorted(range(len(events)), key=lambda i: (events[i][0], i))
    return tuple(Station(_nearest(events[i][0]), events[i][1], events[i][2]) for i in order)


def _nearest(station_mm: float) -> float:
    return NEAREST_MM * round(station_mm / NEAREST_MM)


def _fixing_detail(fixing: Fixing) -> str:
    return f"{fixing.kind} on {fixing.on}"


def _breakout_detail(breakout: Breakout) -> str:
    parts = [f"{name} leaves" for name in breakout.leave] + [f"{name} joins" for name in breakout.join]
    return ", ".join(parts)


def _passage_events(route: Route) -> Iterable[tuple[float, str, str]]:
    for passage in route.passages:
        first, last = _PASSED[passage.kind]
        name = "" if passage.kind is PassageKind.WARM else passage.name
        yield passage.from_station_mm, first, name
        if last:
            yield passage.to_station_mm, last, name


def _support_events(points: tuple[RoutePoint, ...]) -> Iterable[tuple[float, str, str]]:
    followed = None
    for point in points:
        if point.along != followed:
            if followed is not None:
                yield point.station_mm, "leave support", followed
            if point.along is not None:
                yield point.station_mm, "follow support", point.along
            followed = point.along


def _bend_events(points: tuple[RoutePoint, ...]) -> Iterable[tuple[float, str, str]]:
    level = [p for k, p in enumerate(points) if k == 0 or _moved(points[k - 1], p)]
    for a, b, c in zip(level, level[1:], level[2:], strict=False):
        turn_deg = math.degrees(_heading(b, c) - _heading(a, b))
        turn_deg = (turn_deg + 180.0) % 360.0 - 180.0
        if abs(turn_deg) >= BEND_DEG:
            direction = heading_words((c.x_mm - b.x_mm, c.y_mm - b.y_mm, 0.0))
            yield b.station_mm, "bend", f"{abs(turn_deg):.0f}°, then {direction}"


def _moved(a: RoutePoint, b: RoutePoint) -> bool:
    return math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) > SAME_PLACE_MM


def _heading(a: RoutePoint, b: RoutePoint) -> float:
    return math.atan2(b.y_mm - a.y_mm, b.x_mm - a.x_mm)
