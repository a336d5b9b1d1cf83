"""Where something can be fixed along a route, and how: tie or clip on a support, else a P-clip."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from router.facts import Position, acting_in, positions_at, station_beside
from router.fixings.needs import Need, closed_stretches
from router.model.job import Job
from router.model.plan import Bundle, Fixing, FixingKind, Route
from router.model.practice import Practice
from router.model.vehicle import Fix, KeepOut, Profile, ShapeKind, Support
from router.plane import core_of
from router.tolerances import SAME_STATION_MM

STEP_MM = 5.0
"""Distance of the stations that are looked at; those where a need begins or ends are looked at as well."""


_KINDS = {Fix.TIE: FixingKind.TIE, Fix.CLIP: FixingKind.CLIP}


@dataclass(frozen=True, slots=True)
class FixingSpot:
    """A station where the loom can be fixed; `placed_for` the run whose fixing holds it already."""

    station_mm: float
    position: Position
    kind: FixingKind
    support: str | None
    placed_for: str | None


@dataclass(frozen=True, slots=True)
class PlacedFixing:
    """A fixing of an earlier run that holds this one too, at a station of this one."""

    run: str
    station_mm: float
    kind: FixingKind
    support: str | None


@dataclass(frozen=True, slots=True)
class AvoidedSupport:
    """A support that a run may not be fixed to between two of its stations."""

    support: str
    from_mm: float
    to_mm: float

    def is_at(self, station_mm: float) -> bool:
        """Return whether it is avoided at a station, the ends of the stretch included."""
        return self.from_mm - SAME_STATION_MM <= station_mm <= self.to_mm + SAME_STATION_MM


def supports_avoided(run: str, job: Job, bundles: Sequence[Bundle]) -> tuple[AvoidedSupport, ...]:
    """Return where a run may not be fixed to what itself or one that lies in its loom there avoids.

    Parameters
    ----------
    run : str
    job : Job
        For what its runs avoid.
    bundles : sequence of Bundle
        Which runs lie together where.
    """
    return tuple(
        AvoidedSupport(name, *bundle.stations_mm(run))
        for bundle in bundles
        if run in bundle.runs
        for beside in bundle.runs
        for name in job.run(beside).avoid
    )


def fixings_beside(
    run: str, earlier: Mapping[str, Sequence[Fixing]], bundles: Sequence[Bundle]
) -> tuple[PlacedFixing, ...]:
    """Return the fixings of earlier runs that hold a run too, for they lie in one loom there.

    Parameters
    ----------
    run : str
    earlier : mapping of str to sequence of Fixing
        By run, in the job's order.
    bundles : sequence of Bundle
        Which runs lie together where.
    """
    return tuple(
        PlacedFixing(other, station_mm, fixing.kind, fixing.support)
        for other, fixings in earlier.items()
        for fixing in fixings
        if fixing.shared_with is None
        and (station_mm := station_beside(bundles, run, other, fixing.station_mm)) is not None
    )


def find_spots(
    route: Route,
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float,
    needs: tuple[Need, ...],
    placed: Sequence[PlacedFixing],
    avoided: Sequence[AvoidedSupport] = (),
) -> tuple[FixingSpot, ...]:
    """Return every place along a route where it can be fixed, by station, each station once.

    A tie or a clip goes on a support within practice "fixing: reach", never on one that is to be left alone,
    or that the job avoids, and never inside a keep-out. A P-clip goes anywhere else, but not where its hole
    would be over or under a keep-out, or beside a support that is to be left alone (a brake line), or in a
    member.
    """
    special = [*(need.from_mm for need in needs), *(need.to_mm for need in needs)]
    ready = dict(_already_placed(route, placed, special))
    special += [point.station_mm for point in route.points]
    stations = _open_stations(route, practice, special)
    stations = tuple(station for station in stations if station not in ready)
    found = _spots_at(stations, positions_at(route, stations), profile, practice, loom_diameter_mm, avoided)
    return tuple(sorted([*found, *ready.values()], key=lambda spot: spot.station_mm))


def _already_placed(
    route: Route, placed: Sequence[PlacedFixing], special: Sequence[float]
) -> Iterator[tuple[float, FixingSpot]]:
    """Yield what holds the route already; what is at a need's edge but for rounding is at the edge."""
    for each in placed:
        edges = (edge_mm for edge_mm in special if abs(edge_mm - each.station_mm) < SAME_STATION_MM)
        station_mm = next(edges, round(each.station_mm, 3))
        position = positions_at(route, (station_mm,))[0]
        yield station_mm, FixingSpot(station_mm, position, each.kind, each.support, each.run)


def _open_stations(route: Route, practice: Practice, special: Sequence[float]) -> tuple[float, ...]:
    """Return the stations looked at, without those too near to an end, an opening or a member."""
    edge_mm = practice.value("fixing", "clear of an edge")
    closed = [(-math.inf, edge_mm), (route.routed_mm - edge_mm, math.inf)]
    closed += closed_stretches(route, practice)
    grid = [STEP_MM * number for number in range(math.floor(route.routed_mm / STEP_MM) + 1)]
    return tuple(
        station
        for station in sorted({*grid, *special})
        if not any(start < station < end for start, end in closed)
    )


@dataclass(frozen=True, slots=True)
class _PointsInSpace:
    """Places in one space as arrays: in plan as shapely points, and how high they are."""

    at: Any
    z: Any


def _spots_at(
    stations: tuple[float, ...],
    positions: tuple[Position, ...],
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float,
    avoided: Sequence[AvoidedSupport],
) -> Iterator[FixingSpot]:
    for space in dict.fromkeys(position.space for position in positions):
        here = [index for index, position in enumerate(positions) if position.space == space]
        points = _points_in_space([positions[index] for index in here])
        keep_outs = tuple(acting_in(profile, space))
        supports = [support for support in profile.supports if support.space == space]
        reach_mm = practice.value("fixing", "reach")
        gaps = {
            s.name: _holding_gaps(s, points, keep_outs, reach_mm) for s in supports if s.fix is not Fix.NEVER
        }
        can_drill = _can_drill(points, supports, keep_outs, practice, loom_diameter_mm)
        holders = [support for support in supports if support.name in gaps]
        for number, index in enumerate(here):
            shut = {each.support for each in avoided if each.is_at(stations[index])}
            near = {name: math.inf if name in shut else float(gap[number]) for name, gap in gaps.items()}
            holder = _holder(positions[index].along, holders, near, reach_mm)
            if holder is not None:
                yield _spot(stations[index], positions[index], _KINDS[holder.fix], holder.name)
            elif can_drill[number]:
                yield _spot(stations[index], positions[index], FixingKind.P_CLIP, None)


def _spot(station_mm: float, position: Position, kind: FixingKind, support: str | None) -> FixingSpot:
    return FixingSpot(station_mm, position, kind, support, None)


def _points_in_space(positions: Sequence[Position]) -> _PointsInSpace:
    return _PointsInSpace(
        shapely.points([(position.x_mm, position.y_mm) for position in positions]),
        np.array([position.z_mm for position in positions]),
    )


def _holder(
    along: str | None, supports: Sequence[Support], gaps_mm: dict[str, float], reach_mm: float
) -> Support | None:
    """Return what to fix to: the support that is followed, else a tie before a clip, then the nearest."""
    near = [support for support in supports if gaps_mm[support.name] <= reach_mm]
    followed = [support for support in near if support.name == along]
    if followed:
        return followed[0]
    return min(near, key=lambda s: (s.fix is not Fix.TIE, gaps_mm[s.name]), default=None)


def _gaps(support: Support, points: _PointsInSpace) -> Any:
    """Return the distance in space to a support."""
    line = core_of(support.along, is_area=False)
    return np.hypot(shapely.distance(line, points.at), points.z - support.height_mm)


def _holding_gaps(
    support: Support, points: _PointsInSpace, keep_outs: Sequence[KeepOut], reach_mm: float
) -> Any:
    """Return the same; infinite where what is in reach of it is inside a keep-out."""
    gaps_mm = _gaps(support, points)
    near = np.flatnonzero(gaps_mm <= reach_mm)
    if not len(near):
        return gaps_mm
    line = core_of(support.along, is_area=False)
    held = shapely.line_interpolate_point(line, shapely.line_locate_point(line, points.at[near]))
    for keep_out in keep_outs:
        low_mm, high_mm = keep_out.heights_mm or (-math.inf, math.inf)
        if low_mm <= support.height_mm <= high_mm:
            gaps_mm[near[_plan_gaps(keep_out, held) <= 0.0]] = math.inf
    return gaps_mm


def _can_drill(
    points: _PointsInSpace,
    supports: Sequence[Support],
    keep_outs: Sequence[KeepOut],
    practice: Practice,
    loom_diameter_mm: float,
) -> Any:
    """Tell where a hole for a P-clip may be made: clear of keep-outs in plan, and of lines left alone."""
    can = np.ones(len(points.at), dtype=bool)
    radius_mm = loom_diameter_mm / 2
    for keep_out in keep_outs:
        can &= _plan_gaps(keep_out, points.at) > radius_mm
    for support in supports:
        if support.fix is Fix.NEVER:
            can &= _gaps(support, points) > radius_mm + practice.value("fixing", "clear of an edge")
    return can


def _plan_gaps(keep_out: KeepOut, at: Any) -> Any:
    core = core_of(keep_out.shape.points, is_area=keep_out.shape.kind is ShapeKind.AREA)
    return shapely.distance(core, at) - keep_out.shape.reach_mm
