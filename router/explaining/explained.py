"""Every run of a job with why it goes as it does, and how else it could go."""

from __future__ import annotations

from dataclasses import dataclass

from router.explaining.alternatives import find_alternatives, weigh_together
from router.explaining.reasons import explain_way
from router.model.job import Job
from router.model.plan import Alternative, RouteReason
from router.routing import Routing


@dataclass(frozen=True, slots=True)
class Explained:
    """Why a run goes as it does, and how else it could go."""

    reasons: tuple[RouteReason, ...]
    alternatives: tuple[Alternative, ...]


def explain_routes(job: Job, routing: Routing) -> tuple[Explained, ...]:
    """Return for every run of a job why it goes as it does, and how else it could go."""
    costs = {laid.route.run: laid.costs for laid in routing.laid}
    explained = []
    for run, laid in zip(job.runs, routing.laid, strict=True):
        others = tuple(route for route in routing.routes if route.run != run.name)
        reasons = explain_way(laid.loom, laid.graph.world, run, laid.route, others)
        found = find_alternatives(laid.loom, laid.graph, run, (laid.ask.start, laid.ask.goal), laid.route)
        weighed = weigh_together(found, routing.routes, costs, laid.loom.practice, routing.effort_mm)
        explained.append(Explained(reasons, weighed))
    return tuple(explained)
