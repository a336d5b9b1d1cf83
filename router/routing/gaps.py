"""How far from the best each route and the whole job may be at most, proven."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from router.memory import remembered
from router.model.job import Job, Run
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.routing.job_bound import job_least_mm
from router.routing.job_routes import Routing
from router.routing.laid_runs import Laid
from router.routing.routes import end_effort_mm
from router.routing.searched_jobs import as_searched
from router.search import Ask, GraphBounds, Path, SightGraph, best_path, prove

MOST_ROUNDS = 6
"""How often lines are split at most; what is proven then is what is said."""


def with_proven_gaps(job: Job, routing: Routing, gap: float) -> Routing:
    """Return the routing with the gap of every route proven.

    Parameters
    ----------
    job : Job
    routing : Routing
    gap : float
        The gap wanted for a run's best path by itself, e.g. 0.01. A run that goes a longer path to share a
        trunk, or to bend gently, is told the larger gap that this makes.

    Notes
    -----
    A route's gap is against the best path that its run has by itself, with its loom's clearances and with
    the looms that it must stay apart from where they are; `router.search.bound.proof` has the proof.
    """
    laid = tuple(_proven(own, run, gap) for own, run in zip(routing.laid, job.runs, strict=True))
    return replace(routing, laid=laid, routes=tuple(own.route for own in laid))


def _proven(laid: Laid, run: Run, gap: float) -> Laid:
    graph = laid.graph
    ends_mm = sum(end_effort_mm(laid.loom, name) for name in (run.start, run.end))
    effort_mm = laid.route.effort_mm - ends_mm
    ask, best = replace(laid.ask, shut=()), laid.best
    if laid.ask.shut:  # the proof lets a path go there and back: no more can be proven than the best of those
        best, effort_mm = best_path(graph, ask) or best, 0.0
    least_mm = ends_mm + _least_mm(graph, ask, best, gap, effort_mm)
    return replace(laid, route=replace(laid.route, gap=max(0.0, laid.route.effort_mm / least_mm - 1.0)))


@remembered(most=16)
def _least_mm(graph: SightGraph, ask: Ask, best: Path, gap: float, effort_mm: float) -> float:
    """Return an effort that no path is below."""
    relaxed = graph.bounds.relaxed() if isinstance(graph.bounds, GraphBounds) else None
    return prove(graph, ask, best, gap, MOST_ROUNDS, relaxed, effort_mm)


@remembered(most=8)
def _job_least_mm(
    job: Job, profile: Profile, practice: Practice, radius_mm: float, effort_mm: float, gap: float
) -> float:
    """Return an effort that no plan of a job is below."""
    return job_least_mm(job, profile, practice, radius_mm, effort_mm, gap)


def proven_job_gap(
    job: Job,
    profile: Profile,
    practice: Practice,
    routing: Routing,
    diameters_mm: Iterable[float],
    gap: float,
) -> float:
    """Return by how much more effort than the best plan of the whole job the routes take at most, as a share.

    Parameters
    ----------
    job, profile, practice : records of the model
    routing : Routing
        With the gap of every route proven.
    diameters_mm : iterable of float
        What the runs were planned with. [mm]
    gap : float
        The gap wanted.
    """
    if len(job.runs) == 1:
        return routing.routes[0].gap
    radius_mm = min(diameters_mm) / 2.0
    least_mm = _job_least_mm(as_searched(job), profile, practice, radius_mm, routing.effort_mm, gap)
    return routing.effort_mm / least_mm - 1.0
