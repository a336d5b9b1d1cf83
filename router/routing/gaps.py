"""How far from the best each route may be at most, proven on the sight graph that it was found on."""

from __future__ import annotations

from dataclasses import replace

from router.model.job import Job, Run
from router.routing.job_routes import Routing
from router.routing.routes import end_effort_mm
from router.routing.together import Laid
from router.search import GraphBounds, prove

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
    relaxed = graph.bounds.relaxed() if isinstance(graph.bounds, GraphBounds) else None
    ends_mm = sum(end_effort_mm(laid.loom, name) for name in (run.start, run.end))
    effort_mm = laid.route.effort_mm - ends_mm
    least_mm = ends_mm + prove(graph, laid.ask, laid.best, gap, MOST_ROUNDS, relaxed, effort_mm)
    return replace(laid, route=replace(laid.route, gap=max(0.0, laid.route.effort_mm / least_mm - 1.0)))
