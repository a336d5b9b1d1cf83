"""One run's review with every trunk as thick as it is: the review itself knows one diameter a run."""

from __future__ import annotations

from collections.abc import Sequence

from router.model.plan import ClearanceCheck, Finding, Loom, Route
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.reviewing import review_stretch


def with_trunks(
    route: Route,
    clearances: Sequence[ClearanceCheck],
    looms: Sequence[Loom],
    planned_mm: float,
    profile: Profile,
    practice: Practice,
    drawing_tolerance_mm: float = 0.0,
) -> tuple[tuple[ClearanceCheck, ...], tuple[Finding, ...]]:
    """Return the clearances of a run, the least margin first, and what does not fit in its thicker trunks.

    Parameters
    ----------
    route : Route
    clearances : sequence of ClearanceCheck
        As reviewed with the diameter below.
    looms : sequence of Loom
        Those that the run lies in.
    planned_mm : float
        The diameter that the run was reviewed with; thinner looms are covered by it. [mm]
    profile : Profile
    practice : Practice
    drawing_tolerance_mm : float, optional
        How closely the route's line is known. [mm]
    """
    tightest = {check.keep_out: check for check in clearances}
    findings: list[Finding] = []
    for loom in looms:
        if loom.outside_mm > planned_mm:
            stations_mm = loom.bundle.stations_mm(route.run)
            checks, found = review_stretch(
                route, *stations_mm, profile, practice, loom.outside_mm, drawing_tolerance_mm
            )
            findings += found
            for check in checks:
                known = tightest.get(check.keep_out, check)
                tightest[check.keep_out] = min(known, check, key=lambda each: each.actual_mm)
    ordered = sorted(tightest.values(), key=lambda each: each.margin_mm)
    return tuple(ordered), tuple(findings)
