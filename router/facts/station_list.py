"""The station list of a run: what an installer meets, read off a tape from the run's start."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from router.facts.along_route import heading_words
from router.model.conductor_choice import FuseChoice
from router.model.fixing import Fixing
from router.model.job import Run
from router.model.plan import Breakout, HeatSleeve, PassageKind, Route, RoutePoint, Station, StationEvent
from router.tolerances import SAME_PLACE_MM

NEAREST_MM = 5.0
"""Stations are read off a tape; a finer figure would only look exact."""
BEND_DEG = 20.0
"""Smaller bends are no event for the person who lays the cable."""

_PASSED = {
    PassageKind.OVER_MEMBER: (StationEvent.OVER_MEMBER, StationEvent.OFF_MEMBER),
    PassageKind.THROUGH_MEMBER: (StationEvent.INTO_HOLE, StationEvent.OUT_OF_HOLE),
    PassageKind.OPENING: (StationEvent.OPENING, None),
    PassageKind.COVER: (StationEvent.INTO_COVER, StationEvent.OUT_OF_COVER),
    PassageKind.EXPOSED: (StationEvent.INTO_EXPOSED, StationEvent.OUT_OF_EXPOSED),
    PassageKind.WARM: (StationEvent.INTO_WARM, StationEvent.OUT_OF_WARM),
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
    met = [_met(0.0, StationEvent.START, run.start)]
    met += _passage_events(route)
    met += _support_events(route.points)
    met += _bend_events(route.points)
    met += [Station(f.station_mm, StationEvent.FIXING, f.number, _fixing_detail(f)) for f in fixings]
    met += [_met(each.station_mm, StationEvent.BREAKOUT, _breakout_detail(each)) for each in breakouts]
    if fuse is not None:
        holder = f"{fuse.rating_a:g} A holder"
        met += [_met(station_mm, StationEvent.FUSE, holder) for station_mm in fuse.stations_mm]
    for sleeve in heat_sleeves:
        met.append(_met(sleeve.from_station_mm, StationEvent.HEAT_SLEEVE_FROM, sleeve.keep_out))
        met.append(_met(sleeve.to_station_mm, StationEvent.HEAT_SLEEVE_TO, sleeve.keep_out))
    met.append(_met(route.routed_mm, StationEvent.END, run.end))
    ordered = sorted(met, key=lambda station: station.station_mm)
    return tuple(replace(station, station_mm=_nearest(station.station_mm)) for station in ordered)


def _met(station_mm: float, event: StationEvent, detail: str) -> Station:
    return Station(station_mm, event, None, detail)


def _nearest(station_mm: float) -> float:
    return NEAREST_MM * round(station_mm / NEAREST_MM)


def _fixing_detail(fixing: Fixing) -> str:
    return f"{fixing.kind} on {fixing.on}"


def _breakout_detail(breakout: Breakout) -> str:
    parts = [f"{name} leaves" for name in breakout.leave] + [f"{name} joins" for name in breakout.join]
    return ", ".join(parts)


def _passage_events(route: Route) -> Iterable[Station]:
    for passage in route.passages:
        if passage.kind not in _PASSED:
            continue  # what lies beside the loom is nothing to measure off by
        first, last = _PASSED[passage.kind]
        name = "" if passage.kind is PassageKind.WARM else passage.name
        yield _met(passage.from_station_mm, first, name)
        if last:
            yield _met(passage.to_station_mm, last, name)


def _support_events(points: tuple[RoutePoint, ...]) -> Iterable[Station]:
    followed = None
    for point in points:
        if point.along != followed:
            if followed is not None:
                yield _met(point.station_mm, StationEvent.LEAVE_SUPPORT, followed)
            if point.along is not None:
                yield _met(point.station_mm, StationEvent.FOLLOW_SUPPORT, point.along)
            followed = point.along


def _bend_events(points: tuple[RoutePoint, ...]) -> Iterable[Station]:
    level = [p for k, p in enumerate(points) if k == 0 or _moved(points[k - 1], p)]
    for a, b, c in zip(level, level[1:], level[2:], strict=False):
        turn_deg = math.degrees(_heading(b, c) - _heading(a, b))
        turn_deg = (turn_deg + 180.0) % 360.0 - 180.0
        if abs(turn_deg) >= BEND_DEG:
            direction = heading_words((c.x_mm - b.x_mm, c.y_mm - b.y_mm, 0.0))
            yield _met(b.station_mm, StationEvent.BEND, f"{abs(turn_deg):.0f}°, then {direction}")


def _moved(a: RoutePoint, b: RoutePoint) -> bool:
    return math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) > SAME_PLACE_MM


def _heading(a: RoutePoint, b: RoutePoint) -> float:
    return math.atan2(b.y_mm - a.y_mm, b.x_mm - a.x_mm)
