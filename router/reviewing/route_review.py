"""A route judged by every question of the review."""

from __future__ import annotations

from router.model.fixing import Fixing
from router.model.job import Run
from router.model.plan import ClearanceCheck, Finding, FindingKind, Passage, Route, Severity, SpareLoop
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.reviewing.bends import check_bends
from router.reviewing.clearances import check_clearances
from router.reviewing.crossings import (
    changes_of,
    check_changes,
    check_members,
    check_outlines,
    crossings_of,
)
from router.reviewing.declared import check_declared
from router.reviewing.doubling import check_doubling
from router.reviewing.drilling import check_holes
from router.reviewing.holding import check_places, check_reach, check_spans, check_supports
from router.reviewing.loops import check_loops
from router.reviewing.lying import check_lying
from router.reviewing.requirements import check_continuity, check_ends, check_followed, check_wishes
from router.reviewing.rises import check_rises
from router.reviewing.route_segments import segments_of

KINDS = (
    FindingKind.CLEARANCE,
    FindingKind.LOOP,
    FindingKind.APART,
    FindingKind.FIXING_FORBIDDEN,
    FindingKind.DRILLED_HOLE,
    FindingKind.OUTLINE,
    FindingKind.MEMBER,
    FindingKind.RISE,
    FindingKind.HEIGHT,
    FindingKind.HOLE,
    FindingKind.SPACE,
    FindingKind.OPENING,
    FindingKind.PASS,
    FindingKind.CONTINUITY,
    FindingKind.SUPPORT,
    FindingKind.END,
    FindingKind.AVOID,
    FindingKind.VIA,
    FindingKind.SPAN,
    FindingKind.FIXING_UNFIT,
    FindingKind.FIXING_OUT_OF_REACH,
    FindingKind.FIXING_MISSING,
    FindingKind.DOUBLED,
    FindingKind.BEND,
)
"""Every kind of finding that a review makes, the weightiest first."""


def review_route(
    route: Route,
    run: Run,
    fixings: tuple[Fixing, ...],
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float,
    *,
    widest_wire_mm: float | None = None,
    declared: tuple[Passage, ...] = (),
    loops: tuple[SpareLoop, ...] = (),
    drawing_tolerance_mm: float = 0.0,
    has_no_heights: bool = False,
) -> tuple[tuple[ClearanceCheck, ...], tuple[Finding, ...]]:
    """Return how near a route comes to each keep-out, and everything that is wrong with it.

    Parameters
    ----------
    route, run, fixings
        What is judged: at least two points, what the job asked for, what holds the loom.
    profile, practice
        What it is judged against.
    loom_diameter_mm : float
        Outside of the loom. [mm]
    widest_wire_mm : float, optional
        Outside of the widest wire in it, which decides the least bend radius; where it is not known
        the loom is taken for one wire, which errs on the safe side. [mm]
    declared : tuple of Passage, optional
        Members and openings that the route file says it passes, and between which stations.
    loops : tuple of SpareLoop, optional
        Length left loose on the route.
    drawing_tolerance_mm : float, optional
        How closely the line is known, where somebody drew it on paper: smaller shortfalls of clearances,
        spans and fixings are ignored. [mm]
    has_no_heights : bool, optional
        Whether the line was drawn without heights; then missing rises are not reported.

    Returns
    -------
    tuple of ClearanceCheck
        Every keep-out nearer than 300 mm, least margin first.
    tuple of Finding
        The weightiest first: by severity, then in the order of `KINDS`, then by station.
    """
    radius_mm = loom_diameter_mm / 2
    segments = segments_of(route)
    changes, crossings = changes_of(route, profile), crossings_of(segments, profile, radius_mm)
    clearances, findings = check_clearances(
        run.name, segments, profile, practice, radius_mm, drawing_tolerance_mm
    )
    findings += check_continuity(run.name, route)
    findings += check_followed(run.name, segments, profile)
    findings += check_ends(route, run, profile)
    findings += check_wishes(route, run, segments, fixings, changes, crossings, profile)
    findings += check_outlines(run.name, segments, profile, drawing_tolerance_mm)
    findings += check_members(run.name, segments, profile, practice, loom_diameter_mm)
    findings += () if has_no_heights else check_rises(run.name, crossings, segments, profile)
    findings += check_lying(run.name, segments, crossings, profile, practice, radius_mm)
    findings += check_changes(run.name, route, profile, practice, loom_diameter_mm)
    findings += check_declared(run.name, declared, changes, crossings, segments, profile)
    findings += check_loops(route, segments, fixings, loops, profile, practice, radius_mm)
    findings += check_supports(run.name, fixings, crossings, profile)
    findings += check_reach(run.name, fixings, profile, practice, drawing_tolerance_mm)
    findings += check_holes(
        run.name, fixings, crossings, profile, practice, loom_diameter_mm, drawing_tolerance_mm
    )
    findings += check_spans(run.name, route, segments, fixings, profile, practice, drawing_tolerance_mm)
    findings += check_places(run.name, route, fixings, changes, crossings, practice, drawing_tolerance_mm)
    findings += check_doubling(run, segments, loom_diameter_mm)
    findings += check_bends(
        run.name, segments, practice, widest_wire_mm or loom_diameter_mm, profile.tolerance_mm
    )
    return clearances, tuple(sorted(findings, key=_weight))


def measure_clearances(
    route: Route, profile: Profile, practice: Practice, loom_diameter_mm: float
) -> tuple[ClearanceCheck, ...]:
    """Return how near a route comes to each keep-out nearer than 300 mm, least margin first, and no more.

    Parameters
    ----------
    route : Route
        The route of one run.
    profile : Profile
        The vehicle, for its keep-outs and panels.
    practice : Practice
        Group "clearance".
    loom_diameter_mm : float
        Outside of the loom. [mm]
    """
    return check_clearances(route.run, segments_of(route), profile, practice, loom_diameter_mm / 2)[0]


def _weight(finding: Finding) -> tuple[int, int, float]:
    order = list(Severity)
    return order.index(finding.severity), KINDS.index(finding.kind), finding.station_mm or 0.0
