"""The ways to a terminal while it is dragged about: quick, each run by itself, on grounds that are kept."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from router.model.job import Job, Run
from router.model.plan import RoutePoint
from router.model.practice import Practice
from router.model.vehicle import Point, Profile, Terminal
from router.routing.free_space import terminals_on_borders
from router.routing.grounds import STEP_MM, world_of
from router.routing.loom_on_vehicle import LoomOnVehicle
from router.routing.routes import make_route
from router.routing.shut_ends import ShutEnd, first_shut_end
from router.search import Ask, SightGraph, find_path, polish


@dataclass(frozen=True, slots=True)
class DraggedWay:
    """The way of one run to where a terminal was dragged to."""

    run: str
    points: tuple[RoutePoint, ...]
    """From where the run begins; empty where there is no way."""
    effort_mm: float
    shut: ShutEnd | None = None
    """Which end cannot be left there, and what it lies in."""


@dataclass(slots=True)
class _Ground:
    """The graph of looms of one radius, and the terminals that its world depends on."""

    loom: LoomOnVehicle
    graph: SightGraph
    on_borders: tuple[Terminal, ...]


class DraggedEnd:
    """The ways of a job's runs to one terminal, asked again and again while only that moves in its space.

    A run's way is its best one by itself: it follows no other run, and what it keeps apart from is not looked
    at. The whole plan tells of those.

    Parameters
    ----------
    job : Job
    profile : Profile
    practice : Practice
    terminal : str
        The one that is dragged.
    looms_mm : mapping of str to float
        By run: the diameter of its loom. [mm]
    """

    def __init__(
        self, job: Job, profile: Profile, practice: Practice, terminal: str, looms_mm: Mapping[str, float]
    ) -> None:
        self._profile, self._practice, self._looms_mm = profile, practice, looms_mm
        self._terminal = profile.terminal(terminal)
        self._runs = tuple(_runs_to(job, terminal))
        ends = (run.start if run.end == terminal else run.end for run in self._runs)
        self._names = tuple(dict.fromkeys((terminal, *ends)))
        self._grounds: dict[float, _Ground] = {}

    def ways_to(self, at: Point) -> tuple[DraggedWay, ...]:
        """Return the way of each run that begins or ends at the terminal, as if that were elsewhere.

        Parameters
        ----------
        at : (x, y)
            In its space; its height stays. [mm]
        """
        moved = replace(self._terminal, at=at)
        terminals = tuple(moved if each.name == moved.name else each for each in self._profile.terminals)
        profile = replace(self._profile, terminals=terminals)
        return tuple(self._way(run, profile) for run in self._runs)

    def _way(self, run: Run, profile: Profile) -> DraggedWay:
        ground = self._ground(self._looms_mm[run.name], profile)
        loom = ground.loom
        if shut := first_shut_end(loom, run):
            return DraggedWay(run.name, (), math.inf, shut)
        is_turned = run.start == self._terminal.name
        inward = _turned(run) if is_turned else run
        ask = Ask(self._names.index(inward.start), 0, inward.via, frozenset(run.avoid))
        path = find_path(ground.graph, ask)
        if path is None:
            return DraggedWay(run.name, (), math.inf)
        route = make_route(loom, ground.graph.world, inward, polish(ground.graph, path), 0.0)
        points = route.points[::-1] if is_turned else route.points
        return DraggedWay(run.name, points, route.effort_mm)

    def _ground(self, loom_mm: float, profile: Profile) -> _Ground:
        """Return the ground for looms so thick, the terminal where it is now."""
        on_borders, loom = terminals_on_borders(profile), LoomOnVehicle(profile, self._practice, loom_mm / 2)
        known = self._grounds.get(loom_mm)
        if known is None or known.on_borders != on_borders:
            known = _Ground(loom, self._graph(loom), on_borders)
            self._grounds[loom_mm] = known
        known.loom = loom
        known.graph.move_site(0, *profile.terminal(self._terminal.name).at)
        return known

    def _graph(self, loom: LoomOnVehicle) -> SightGraph:
        spaces = [space.name for space in loom.profile.spaces]
        terminals = [loom.profile.terminal(name) for name in self._names]
        sites = tuple((spaces.index(each.space), each.at) for each in terminals)
        return SightGraph(world_of(loom.profile, loom.practice, loom.radius_mm), sites, STEP_MM)


def _turned(run: Run) -> Run:
    """Return a run from its end to its start: what leaves a place that stays is looked at only once."""
    return replace(run, start=run.end, end=run.start, via=run.via[::-1])


def _runs_to(job: Job, terminal: str) -> Iterator[Run]:
    """Yield each run that begins or ends at a terminal, or may do so, as if it does."""
    for run in job.runs:
        if terminal in (run.start, *run.may_start_at):
            yield replace(run, start=terminal)
        elif terminal in (run.end, *run.may_end_at):
            yield replace(run, end=terminal)
