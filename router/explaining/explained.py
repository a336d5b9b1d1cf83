"""Every run of a job with why it goes as it does, and how else it could go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from router.explaining.alternatives import find_alternatives, weigh_together
from router.explaining.reasons import explain_way
from router.model.job import Job
from router.model.plan import Alternative, Bundle, RouteReason
from router.routing import Routing


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
        reasons = explain_way(laid.loom, laid.graph.world, run, laid.route, bundles)
        found = find_alternatives(laid.loom, laid.graph, run, (laid.ask.start, laid.ask.goal), laid.route)
        weighed = weigh_together(found, routing.routes, costs, laid.loom.practice, routing.effort_mm)
        explained.append(Explained(reasons, weighed))
    return tuple(explained)
