"""The routes of a job: the best that was found, others that take little more, and their sight graphs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TypeAlias

from router.facts import segments_of
from router.memory import remembered
from router.model.fixing import Fixing
from router.model.job import Job
from router.model.plan import Route
from router.model.practice import Practice
from router.model.vehicle import Opening, Profile, ThroughPass
from router.routing.closed_bores import ClosedBores
from router.routing.effort import LegCosts, held_effort_mm, job_effort_mm
from router.routing.ground_costs import without_holding
from router.routing.job_search import NoPathError
from router.routing.laid_runs import Laid, Together
from router.routing.routes import make_route
from router.routing.searched_jobs import as_searched
from router.routing.together import lay_together
from router.search import Ask, Path, SightGraph, near_best_paths
from router.tolerances import PARALLEL

LITTLE_MORE = 0.03
"""A route that breaks no must-rule is taken though it takes so much more effort than the best; a share."""
UNPOLISHED_SHARE, MOST_FURTHER = 0.04, 40
"""Such routes are looked for among paths that take no more than this before they are polished; so many."""


_Bores: TypeAlias = tuple[tuple[str, tuple[Opening | ThroughPass, ...]], ...]
"""By run: what it may not go through."""


@dataclass(frozen=True, slots=True)
class Routing:
    """The routes of a job's runs, and the sight graphs they were found on, for later questions."""

    routes: tuple[Route, ...]
    laid: tuple[Laid, ...]
    effort_mm: float
    """Of the whole job."""
    apart_effort_mm: float
    """What the runs would take if each were laid by itself. [mm]"""
    runners_up: tuple[Routing, ...] = ()
    """Others that were found on the way and take little more, the least first."""


def find_routes(
    job: Job,
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float | Mapping[str, float],
    *,
    is_draft: bool = False,
    closed: ClosedBores | None = None,
) -> Routing:
    """Return the routes that take the least effort together, in the job's order, and their sight graphs.

    Parameters
    ----------
    job, profile, practice : records of the model
    loom_diameter_mm : float or mapping of str to float
        Outside of the thickest loom of the job, or by run: of the thickest loom that the run lies in. Half
        of it goes into every clearance. Only runs with the same diameter are laid in one loom. [mm]
    is_draft : bool
        Good enough to see which runs lie together; not the least effort.
    closed : mapping of str to sequence of Opening and ThroughPass, optional
        By run: what it may not go through.

    Raises
    ------
    NoPathError
        A run has no path; it carries what `router.explaining.no_way` needs to say why.
    """
    if not isinstance(loom_diameter_mm, Mapping):
        loom_diameter_mm = {run.name: loom_diameter_mm for run in job.runs}
    bores = tuple((run, tuple(each)) for run, each in (closed or {}).items())
    asked = (as_searched(job), profile, practice, tuple(loom_diameter_mm.items()), is_draft, bores)
    try:
        found = _laid_together(*asked)
    except NoPathError as no_path:
        no_path.run = job.run(no_path.run.name)
        raise
    first, *others = (
        Routing(tuple(laid.route for laid in each.laid), each.laid, each.effort_mm, each.apart_effort_mm)
        for each in found
    )
    return replace(first, runners_up=tuple(others))


@remembered(most=16)
def _laid_together(
    job: Job,
    profile: Profile,
    practice: Practice,
    diameters_mm: tuple[tuple[str, float], ...],
    is_draft: bool,
    closed: _Bores,
) -> tuple[Together, ...]:
    return lay_together(job, profile, practice, dict(diameters_mm), is_draft=is_draft, closed=dict(closed))


def near_best(job: Job, routing: Routing, practice: Practice) -> Iterator[Routing]:
    """Yield other routes that take little more effort: what was found on the way, or of a run alone is near.

    Parameters
    ----------
    job : Job
    routing : Routing
        The best that was found.
    practice : Practice
    """
    turned = _turns_back(routing)
    yield from (other for other in routing.runners_up if _turns_back(other) <= turned)
    if len(job.runs) == 1:
        own = routing.laid[0]
        paths = _near_paths(own.graph, own.ask)
        yield from _on_paths(job, routing, practice, paths)


def _turns_back(routing: Routing) -> int:
    """Return at how many corners the routes go back on themselves, which no loom can: a bend of radius 0."""
    ahead = [[piece.direction() for piece in segments_of(route)] for route in routing.routes]
    turns = [math.dist(a, [-part for part in b]) for row in ahead for a, b in pairwise(row)]
    return sum(turn < PARALLEL for turn in turns)


def further_from_best(job: Job, routing: Routing, practice: Practice) -> Iterator[Routing]:
    """Yield more routes of a run alone than `near_best`, that take more effort, up to `LITTLE_MORE`.

    Parameters
    ----------
    job : Job
    routing : Routing
        The best that was found.
    practice : Practice
    """
    if len(job.runs) > 1:
        return
    (own,) = routing.laid
    most_mm = (1.0 + LITTLE_MORE) * own.best.effort_mm
    paths = _further_paths(own.graph, own.ask)
    yield from _on_paths(job, routing, practice, [path for path in paths if path.effort_mm <= most_mm])


@remembered(most=8)
def _near_paths(graph: SightGraph, ask: Ask) -> tuple[Path, ...]:
    return near_best_paths(graph, ask)


@remembered(most=8)
def _further_paths(graph: SightGraph, ask: Ask) -> tuple[Path, ...]:
    return near_best_paths(graph, ask, UNPOLISHED_SHARE, MOST_FURTHER, by_moves=True)


def _on_paths(job: Job, routing: Routing, practice: Practice, paths: Iterable[Path]) -> Iterator[Routing]:
    """Yield the job's only run along each of these paths."""
    (run,), (own,) = job.runs, routing.laid
    for path in paths:
        route = make_route(own.loom, own.graph.world, run, path, 0.0)
        if route.points == own.route.points:
            continue
        gap = route.effort_mm * (1.0 + own.route.gap) / own.route.effort_mm - 1.0
        route = replace(route, gap=max(own.route.gap, gap))
        effort_mm = job_effort_mm([route], {run.name: own.costs}, practice)
        laid = replace(own, path=path, route=route)
        yield Routing((route,), (laid,), effort_mm, routing.apart_effort_mm)


def effort_as_held_mm(
    routing: Routing, fixings: Iterable[Fixing], profile: Profile, practice: Practice
) -> float:
    """Return the effort of a job's routes with its fixings counted one by one, in mm.

    Parameters
    ----------
    routing : Routing
    fixings : iterable of Fixing
        Those of all runs.
    profile : Profile
    practice : Practice
    """
    bare: dict[int, LegCosts] = {}
    for own in routing.laid:
        if own.graph_number not in bare:
            world = without_holding(own.graph.world, profile, practice)
            bare[own.graph_number] = LegCosts(world, practice)
    costs = {own.route.run: bare[own.graph_number] for own in routing.laid}
    return held_effort_mm(routing.routes, costs, fixings, practice)
