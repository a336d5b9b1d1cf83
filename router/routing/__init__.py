"""Plans the way of every run of a job: vehicle words on this side, the search's geometry behind it."""

from __future__ import annotations

from dataclasses import dataclass

from router.errors import NoRouteError
from router.model.job import Job, Run
from router.model.plan import Alternative, Route, WayReason
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.routing.alternatives import find_alternatives
from router.routing.pinch import explain_end, no_route
from router.routing.polish import polish
from router.routing.reasons import explain_way
from router.routing.routes import make_route
from router.routing.search import Ask, Ground, find_way
from router.routing.sheets import Need, make_world

STEP_MM = 100.0
"""Longest piece of a border or support without a vertex before the found way is polished."""


@dataclass(frozen=True, slots=True)
class Routing:
    """The routes of a job's runs, and the ground that they were found on, for later questions."""

    routes: tuple[Route, ...]
    need: Need
    ground: Ground
    names: list[str]
    """The terminals, by their numbers on the ground."""


@dataclass(frozen=True, slots=True)
class Explained:
    """Why a run goes as it does, and how else it could go."""

    reasons: tuple[WayReason, ...]
    alternatives: tuple[Alternative, ...]


def route_runs(job: Job, profile: Profile, practice: Practice, loom_diameter_mm: float) -> tuple[Route, ...]:
    """Return the best route of every run, in the job's order; see `find_routes`."""
    return find_routes(job, profile, practice, loom_diameter_mm).routes


def explain_routes(job: Job, routing: Routing) -> tuple[Explained, ...]:
    """Return for every run of a job why it goes as it does, and how else it could go."""
    need, ground, names = routing.need, routing.ground, routing.names
    return tuple(
        Explained(
            explain_way(need, ground.world, run, route),
            find_alternatives(need, ground, run, (names.index(run.start), names.index(run.end)), route),
        )
        for run, route in zip(job.runs, routing.routes, strict=True)
    )


def find_routes(job: Job, profile: Profile, practice: Practice, loom_diameter_mm: float) -> Routing:
    """Return the best route of every run, in the job's order, with the ground they were found on.

    Parameters
    ----------
    job, profile, practice : records of the model
    loom_diameter_mm : float
        Outside of the thickest loom of the job; half of it goes into every clearance. [mm]

    Raises
    ------
    NoRouteError
        A run has no way; says what pinches it and where.
    """
    need = Need(profile, practice, loom_diameter_mm / 2.0)
    for run in job.runs:
        why = explain_end(need, run)
        if why is not None:
            raise NoRouteError(why)
    world = make_world(need)
    names = sorted({name for run in job.runs for name in (run.start, run.end)})
    sites = tuple(_site(profile, name) for name in names)
    ground = Ground(world, sites, STEP_MM)
    return Routing(tuple(_route(need, ground, run, names) for run in job.runs), need, ground, names)


def _site(profile: Profile, terminal_name: str) -> tuple[int, tuple[float, float]]:
    terminal = profile.terminal(terminal_name)
    number = next(n for n, space in enumerate(profile.spaces) if space.name == terminal.space)
    return number, terminal.at


def _route(need: Need, ground: Ground, run: Run, names: list[str]) -> Route:
    ends = (names.index(run.start), names.index(run.end))
    way = find_way(ground, Ask(*ends, run.via, frozenset(run.avoid)))
    if way is None:
        raise no_route(need, run, ends, tuple(ground.sites[: len(names)]))
    return make_route(need, ground.world, run, polish(ground, way), 0.0)
