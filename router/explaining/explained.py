"""Every run of a job with why it goes as it does, and how else it could go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from router.explaining.alternatives import find_alternatives, weigh_together
from router.explaining.reasons import explain_way
from router.memory import remembered
from router.model.job import Job, Run
from router.model.plan import Alternative, Bundle, Route, RouteReason
from router.routing import LoomOnVehicle, Routing, run_as_searched
from router.search import SightGraph
from router.stopping import stop_if_asked


@dataclass(frozen=True, slots=True)
class Explained:
    """Why a run goes as it does, and how else it could go."""

    reasons: tuple[RouteReason, ...]
    alternatives: tuple[Alternative, ...]


def explain_routes(job: Job, routing: Routing, bundles: Sequence[Bundle]) -> tuple[Explained, ...]:
    """Return for every run of a job why it goes as it does, and how else it could go.

    Parameters
    ----------
    job : Job
    routing : Routing
    bundles : sequence of Bundle
        Which of its routes lie together where.
    """
    costs = {laid.route.run: laid.costs for laid in routing.laid}
    explained = []
    for run, laid in zip(job.runs, routing.laid, strict=True):
        stop_if_asked()
        asked, ends = run_as_searched(run), (laid.ask.start, laid.ask.goal)
        reasons = _reasons(laid.loom, laid.graph, asked, laid.route, tuple(bundles))
        found = _alternatives(laid.loom, laid.graph, asked, ends, laid.route)
        weighed = weigh_together(found, routing.routes, costs, laid.loom.practice, routing.effort_mm)
        explained.append(Explained(reasons, weighed))
    return tuple(explained)


@remembered(most=16)
def _reasons(
    loom: LoomOnVehicle, graph: SightGraph, run: Run, route: Route, bundles: tuple[Bundle, ...]
) -> tuple[RouteReason, ...]:
    return explain_way(loom, graph.world, run, route, bundles)


@remembered(most=16)
def _alternatives(
    loom: LoomOnVehicle, graph: SightGraph, run: Run, ends: tuple[int, int], route: Route
) -> tuple[Alternative, ...]:
    return find_alternatives(loom, graph, run, ends, route)
