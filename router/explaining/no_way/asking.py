"""Routes, or why there are none; the reasons are looked for only where somebody must be told."""

from __future__ import annotations

from collections.abc import Mapping

from router.errors import NoRouteError
from router.model.job import Job, Run
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.routing import ClosedBores, NoPathError, OnePlaceError, Routing, find_routes


def find_routes_or_explain(
    job: Job,
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float | Mapping[str, float],
    *,
    is_draft: bool = False,
    closed: ClosedBores | None = None,
) -> Routing:
    """Return the routes of a job's runs; see `router.routing.find_routes` for the parameters.

    Parameters
    ----------
    job, profile, practice : records of the model
    loom_diameter_mm : float or mapping of str to float
        Of the thickest loom of the job, or by run. [mm]
    is_draft : bool
        Good enough to see which runs lie together.
    closed : mapping of str to sequence of Opening and ThroughPass, optional
        By run: what it may not go through.

    Raises
    ------
    NoRouteError
        A run has no way; says what pinches it and where, and whose looms leave none.
    """
    try:
        return find_routes(job, profile, practice, loom_diameter_mm, is_draft=is_draft, closed=closed)
    except OnePlaceError as no_path:
        words = one_place_words(no_path.run)
        raise NoRouteError(words, run=no_path.run.name, is_for_any_loom=True) from None
    except NoPathError as no_path:
        raise _explained(no_path) from None


def one_place_words(run: Run) -> str:
    """Return why a run that begins and ends at one place is none."""
    ends = f'terminals "{run.start}" and "{run.end}" are at one place'
    return f'run "{run.name}": {ends}, so that no cable goes between them; put each where it was measured'


def _explained(no_path: NoPathError) -> NoRouteError:
    from router.explaining.no_way.no_route import no_route  # noqa: PLC0415 - large, and most jobs have a way

    run, ask = no_path.run, no_path.ask
    error = no_route(no_path.loom, run, (ask.start, ask.goal), no_path.sites)
    apart = [f'{mm:g} mm from run "{name}"' for name, mm in no_path.apart_mm.items()]
    if not apart:
        return error
    why = f'run "{run.name}" has no way that stays {" and ".join(apart)}: {error.why}'
    return NoRouteError(why, error.pinch, run.name, is_for_any_loom=error.is_for_any_loom)
