"""Plans the way of every run of a job: vehicle words on this side, the search's geometry behind it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from router.model.job import Job
from router.model.plan import Alternative, Route, WayReason
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.routing.alternatives import find_alternatives
from router.routing.reasons import explain_way
from router.routing.together import Laid, lay_together


@dataclass(frozen=True, slots=True)
class Routing:
    """The routes of a job's runs, and the grounds they were found on, for what is asked about them later."""

    routes: tuple[Route, ...]
    laid: tuple[Laid, ...]
    effort_mm: float
    """Of the whole job."""
    apart_effort_mm: float
    """What the runs would take if each were laid by itself, in mm."""


@dataclass(frozen=True, slots=True)
class Explained:
    """Why a run goes as it does, and how else it could go."""

    reasons: tuple[WayReason, ...]
    alternatives: tuple[Alternative, ...]


def route_runs(
    job: Job, profile: Profile, practice: Practice, loom_diameter_mm: float | Mapping[str, float]
) -> tuple[Route, ...]:
    """Return the best route of every run, in the job's order; see `find_routes`."""
    return find_routes(job, profile, practice, loom_diameter_mm).routes


def explain_routes(job: Job, routing: Routing) -> tuple[Explained, ...]:
    """Return for every run of a job why it goes as it does, and how else it could go."""
    return tuple(
        Explained(
            explain_way(laid.need, laid.ground.world, run, laid.route),
            find_alternatives(laid.need, laid.ground, run, laid.ends, laid.route),
        )
        for run, laid in zip(job.runs, routing.laid, strict=True)
    )


def find_routes(
    job: Job, profile: Profile, practice: Practice, loom_diameter_mm: float | Mapping[str, float]
) -> Routing:
    """Return the routes that take the least effort together, in the job's order, and their grounds.

    Parameters
    ----------
    job, profile, practice : records of the model
    loom_diameter_mm : float or mapping of str to float
        Outside of the thickest loom of the job, or by run: of the thickest loom that the run lies in. Half
        of it goes into every clearance. Only runs with the same diameter are laid in one loom. [mm]

    Raises
    ------
    NoRouteError
        A run has no way; says what pinches it and where.
    """
    if not isinstance(loom_diameter_mm, Mapping):
        loom_diameter_mm = {run.name: loom_diameter_mm for run in job.runs}
    together = lay_together(job, profile, practice, loom_diameter_mm)
    routes = tuple(laid.route for laid in together.laid)
    return Routing(routes, together.laid, together.effort_mm, together.apart_effort_mm)
