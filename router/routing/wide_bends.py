"""Corners spread apart or swept round, where a bend of the minimum radius would not fit."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import shapely

from router.memory import remembered
from router.model.job import Job
from router.model.plan import Route, RoutePoint
from router.model.practice import Practice
from router.model.vehicle import Profile, Support
from router.routing.easing import ease_bends
from router.routing.effort import job_effort_mm, route_effort_mm
from router.routing.free_space import free_between, pass_bands
from router.routing.job_routes import Routing
from router.routing.laid_runs import Laid
from router.routing.levels import level_at, levels_of
from router.routing.loom_on_vehicle import LoomOnVehicle
from router.routing.rounding import round_bends
from router.routing.routes import redrawn
from router.routing.searched_jobs import as_searched
from router.search import XY
from router.stopping import stop_if_asked
from router.tolerances import ONLY_TOUCHES_MM, OUT_OF_FREE_MM


def with_wide_bends(job: Job, routing: Routing, practice: Practice, least_radius_mm: float) -> Routing:
    """Return the routing with corners spread apart, or swept round, where a minimum bend does not fit.

    Where nothing gives room the corner stays; every effort and gap is that of the route as it is returned.

    Parameters
    ----------
    job : Job
    routing : Routing
    practice : Practice
    least_radius_mm : float
        Of the centre line of the job's thickest loom.
    """
    return _eased(as_searched(job), routing, practice, least_radius_mm)


@remembered(most=16)
def _eased(job: Job, routing: Routing, practice: Practice, least_radius_mm: float) -> Routing:
    stop_if_asked()
    looms = {laid.graph_number: laid.loom for laid in routing.laid}  # one a graph
    room = _SharedRoom(tuple(_LoomRoom(loom) for loom in looms.values()))
    before = tuple(route.points for route in routing.routes)
    piece_mm = routing.laid[0].costs.piece_mm
    after = round_bends(ease_bends(before, room, least_radius_mm, piece_mm), room, least_radius_mm)
    if after == before:
        return routing
    laid = tuple(_redrawn(own, points, practice) for own, points in zip(routing.laid, after, strict=True))
    routes = tuple(own.route for own in laid)
    for run, own, route in zip(job.runs, routing.laid, routes, strict=True):
        asked = _goes_by(own.route, own.loom.profile).intersection(run.via)
        if not asked <= _goes_by(route, own.loom.profile):
            return routing
    costs = {own.route.run: own.costs for own in laid}
    bends_mm = sum(
        now.route.effort_mm - own.route.effort_mm for now, own in zip(laid, routing.laid, strict=True)
    )
    return replace(
        routing,
        routes=routes,
        laid=laid,
        effort_mm=job_effort_mm(routes, costs, practice),
        apart_effort_mm=routing.apart_effort_mm + bends_mm,  # by itself a run would need its bends too
    )


def _goes_by(route: Route, profile: Profile) -> set[str]:
    """Return the names of everything that a run may ask to go by, where a route goes or has a corner."""
    places = {(point.x_mm, point.y_mm) for point in route.points}
    terminals = {terminal.name for terminal in profile.terminals if terminal.at in places}
    supports = {support.name for support in profile.supports if _touches(route, support)}
    return terminals | supports | {passage.name for passage in route.passages}


def _touches(route: Route, support: Support) -> bool:
    line = shapely.LineString(support.along)
    corners = [(p.x_mm, p.y_mm) for p in route.points if p.space == support.space]
    return bool(shapely.dwithin(shapely.points(corners), line, ONLY_TOUCHES_MM).any()) if corners else False


def _redrawn(laid: Laid, points: tuple[RoutePoint, ...], practice: Practice) -> Laid:
    if points == laid.route.points:
        return laid
    before, costs = laid.route, laid.costs
    after = redrawn(laid.loom, laid.graph.world, laid.path, before, points)
    longer_mm = route_effort_mm(after, costs, practice) - route_effort_mm(before, costs, practice)
    effort_mm = before.effort_mm + longer_mm
    gap = effort_mm * (1.0 + before.gap) / before.effort_mm - 1.0
    return replace(laid, route=replace(after, effort_mm=effort_mm, gap=max(before.gap, gap)))


class _LoomRoom:
    """Where one loom may lie beside a found way: clear of everything, and not on members."""

    def __init__(self, loom: LoomOnVehicle) -> None:
        self._loom = loom
        self._known: dict[tuple[str, float, float, bool], Any] = {}
        self._bands: dict[str, Any] = {}

    def level_mm(self, space: str, at: XY) -> float:
        """Return the height at which a loom lies at a place of a space."""
        return level_at(self._loom.profile.space(space), at)

    def free(self, space: str, low_mm: float, high_mm: float, *, is_over: bool = False) -> Any:
        """Return where a centre line may lie between two heights, in plan, clear of members.

        With `is_over`, also on members that it passes without rising.
        """
        key = (space, low_mm, high_mm, is_over)
        if key not in self._known:
            own = self._loom.profile.space(space)
            free = free_between(self._loom, own, low_mm, high_mm)
            free = shapely.difference(free, pass_bands(self._loom, space, are_level=not is_over))
            at_it = [level.area for level in levels_of(own) if low_mm == level.height_mm == high_mm]
            if own.steps and at_it:  # what lies at a level's height lies on that level
                free = shapely.intersection(free, shapely.union_all(at_it))
            self._known[key] = shapely.buffer(free, OUT_OF_FREE_MM, quad_segs=1)
            shapely.prepare(self._known[key])
        return self._known[key]

    def is_on_member(self, space: str, line: shapely.LineString) -> bool:
        """Return whether a line in plan lies on a member, in a pass."""
        if space not in self._bands:
            self._bands[space] = pass_bands(self._loom, space)
        return bool(shapely.length(shapely.intersection(self._bands[space], line)) > ONLY_TOUCHES_MM)


class _SharedRoom:
    """Where every loom of a job may lie: runs in one trunk change together."""

    def __init__(self, rooms: tuple[_LoomRoom, ...]) -> None:
        self._rooms = rooms

    def level_mm(self, space: str, at: XY) -> float:
        """Return the height at which a loom lies at a place of a space."""
        return self._rooms[0].level_mm(space, at)

    def free(self, space: str, low_mm: float, high_mm: float, *, is_over: bool = False) -> Any:
        """Return where a centre line may lie between two heights, in plan; see `_LoomRoom.free`."""
        free = self._rooms[0].free(space, low_mm, high_mm, is_over=is_over)
        for room in self._rooms[1:]:
            free = shapely.intersection(free, room.free(space, low_mm, high_mm, is_over=is_over))
        return free

    def is_on_member(self, space: str, line: shapely.LineString) -> bool:
        """Return whether a line in plan lies on a member, in a pass."""
        return any(room.is_on_member(space, line) for room in self._rooms)
