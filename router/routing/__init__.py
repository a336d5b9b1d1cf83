"""Plans the way of every run of a job: vehicle words on this side, the search's geometry behind it."""

from __future__ import annotations

from router.errors import NoRouteError
from router.model.job import Job, Run
from router.model.plan import Route
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.routing.pinch import explain_end, no_route
from router.routing.polish import polish
from router.routing.routes import make_route
from router.routing.search import Ask, Ground, find_way
from router.routing.sheets import Need, make_world

STEP_MM = 100.0
"""Longest piece of a border or support without a vertex before the found way is polished."""


def route_runs(job: Job, profile: Profile, practice: Practice, loom_diameter_mm: float) -> tuple[Route, ...]:
    """Return the best route of every run, in the job's order.

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
    return tuple(_route(need, ground, run, names) for run in job.runs)


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
