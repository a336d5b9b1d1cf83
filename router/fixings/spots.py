"""Where something can be fixed along a route, and how: tie or clip on a support, else a P-clip on a panel."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from router.facts import Position, acting_in, core_of, positions_at, segments_of, station_beside
from router.fixings.holes import DrillSpot, drill_spots
from router.fixings.needs import Need, closed_stretches
from router.model.fixing import Fixing, FixingKind, Hole
from router.model.job import Job
from router.model.plan import Bundle, Route
from router.model.practice import Practice
from router.model.vehicle import Fix, KeepOut, Profile, Support
from router.plane import Floats, Geometries, distances_in_space
from router.tolerances import ONE_LOOM_MM, SAME_STATION_MM

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
    drill: DrillSpot | None
    """Where its hole would be; None on a support, and where a fixing is already."""
    hole: Hole | None
    """The hole of a fixing that is there already."""


@dataclass(frozen=True, slots=True)
class PlacedFixing:
    """A fixing of an earlier run that holds this one too, at a station of this one."""

    run: str
    station_mm: float
    kind: FixingKind
    support: str | None
    hole: Hole | None = None
    place: Fixing | None = None
    """Where the earlier run has it; this one has it there, however its stations run."""


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
        PlacedFixing(other, station_mm, fixing.kind, fixing.support, fixing.hole, fixing)
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
    drilled: Sequence[Hole] = (),
) -> tuple[FixingSpot, ...]:
    """Return every place along a route where it can be fixed, by station, each station once.

    A tie or a clip goes on a support within practice "fixing: reach", never on one that is to be left alone,
    or that the job avoids, and never inside a keep-out. A P-clip goes where no support is in reach and a hole
    for it may be drilled (`router.fixings.holes`), beside those that are `drilled`. Nothing else holds: free
    air has no fixing.
    """
    special = [*(need.from_mm for need in needs), *(need.to_mm for need in needs)]
    ready = dict(_already_placed(route, placed, special))
    special += [point.station_mm for point in route.points]
    stations = _open_stations(route, practice, special)
    stations = tuple(station for station in stations if station not in ready)
    places = zip(stations, positions_at(route, stations), strict=True)
    found = _spots_at(tuple(places), profile, practice, loom_diameter_mm, avoided, drilled)
    return tuple(sorted([*found, *ready.values()], key=lambda spot: spot.station_mm))


def holds_at(
    route: Route, station_mm: float, profile: Profile, practice: Practice, loom_diameter_mm: float
) -> FixingSpot | None:
    """Return where a loom can be fixed at one station of its route; None where nothing holds it.

    Parameters
    ----------
    route : Route
    station_mm : float
        From 0 to the routed length. [mm]
    profile, practice : records of the model
    loom_diameter_mm : float
        Outside of the loom. [mm]
    """
    places = ((station_mm, positions_at(route, (station_mm,))[0]),)
    return next(_spots_at(places, profile, practice, loom_diameter_mm, (), ()), None)


def _already_placed(
    route: Route, placed: Sequence[PlacedFixing], special: Sequence[float]
) -> Iterator[tuple[float, FixingSpot]]:
    """Yield what holds the route already; what is at a need's edge but for rounding is at the edge."""
    for each in placed:
        at_mm = _station_at_place(route, each)
        edges = (edge_mm for edge_mm in special if abs(edge_mm - at_mm) < SAME_STATION_MM)
        station_mm = next(edges, round(at_mm, 6))  # no coarser: it may have a hole there
        position = positions_at(route, (station_mm,))[0]
        yield (
            station_mm,
            FixingSpot(station_mm, position, each.kind, each.support, each.run, None, each.hole),
        )


def _station_at_place(route: Route, placed: PlacedFixing) -> float:
    """Return a route's station where an earlier run of the loom is held, the nearest to the one beside it."""
    if placed.place is None:
        return placed.station_mm
    found = (segment.station_of(placed.place, ONE_LOOM_MM) for segment in segments_of(route))
    here = [station_mm for station_mm in found if station_mm is not None]
    return min(here, key=lambda station_mm: abs(station_mm - placed.station_mm), default=placed.station_mm)


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


def _spots_at(
    places: Sequence[tuple[float, Position]],
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float,
    avoided: Sequence[AvoidedSupport],
    drilled: Sequence[Hole],
) -> Iterator[FixingSpot]:
    """Yield the spots of places by station; those of one space are looked at together."""
    for space in dict.fromkeys(position.space for _, position in places):
        here = [(station_mm, position) for station_mm, position in places if position.space == space]
        free = []
        for (station_mm, position), holder in zip(
            here, _holders(here, profile, practice, avoided), strict=True
        ):
            if holder is None:
                free.append((station_mm, position))
            else:
                kind = _KINDS[holder.fix]
                yield FixingSpot(station_mm, position, kind, holder.name, None, None, None)
        at = [position for _, position in free]
        drills = drill_spots(at, profile, practice, loom_diameter_mm, drilled)
        for (station_mm, position), drill in zip(free, drills, strict=True):
            if drill is not None:
                yield FixingSpot(station_mm, position, FixingKind.P_CLIP, None, None, drill, None)


def _holders(
    places: Sequence[tuple[float, Position]],
    profile: Profile,
    practice: Practice,
    avoided: Sequence[AvoidedSupport],
) -> Iterator[Support | None]:
    """Yield for each place in one space the support that it can be fixed to, if there is one."""
    space, reach_mm = places[0][1].space, practice.value("fixing", "reach")
    at = np.array([(position.x_mm, position.y_mm, position.z_mm) for _, position in places])
    keep_outs = tuple(acting_in(profile, space))
    holders = [each for each in profile.supports if each.space == space and each.fix is not Fix.NEVER]
    gaps_mm = {each.name: _holding_gaps(each, at, keep_outs, reach_mm) for each in holders}
    for number, (station_mm, position) in enumerate(places):
        shut = {each.support for each in avoided if each.is_at(station_mm)}
        near = {name: math.inf if name in shut else float(gaps[number]) for name, gaps in gaps_mm.items()}
        yield _holder(position.along, holders, near, reach_mm)


def _holder(
    along: str | None, supports: Sequence[Support], gaps_mm: dict[str, float], reach_mm: float
) -> Support | None:
    """Return what to fix to: the support that is followed, else a tie before a clip, then the nearest."""
    near = [support for support in supports if gaps_mm[support.name] <= reach_mm]
    followed = [support for support in near if support.name == along]
    if followed:
        return followed[0]
    return min(near, key=lambda s: (s.fix is not Fix.TIE, gaps_mm[s.name]), default=None)


def _holding_gaps(support: Support, at: Floats, keep_outs: Sequence[KeepOut], reach_mm: float) -> Floats:
    """Return the distance in space to a support; infinite where what is in reach of it is in a keep-out."""
    gaps_mm = np.asarray(distances_in_space(support.points_in_space, at))
    near = np.flatnonzero(gaps_mm <= reach_mm)
    if not len(near):
        return gaps_mm
    line = shapely.LineString(support.along)
    held = shapely.line_interpolate_point(line, shapely.line_locate_point(line, shapely.points(at[near, :2])))
    heights_mm = np.array([support.height_at((place.x, place.y)) for place in held])
    for keep_out in keep_outs:
        low_mm, high_mm = keep_out.heights_mm or (-math.inf, math.inf)
        is_inside = (low_mm <= heights_mm) & (heights_mm <= high_mm) & (_plan_gaps(keep_out, held) <= 0.0)
        gaps_mm[near[is_inside]] = math.inf
    return gaps_mm


def _plan_gaps(keep_out: KeepOut, at: Geometries) -> Floats:
    return np.asarray(shapely.distance(core_of(keep_out.shape), at) - keep_out.shape.reach_mm)
