"""A stretch of a route by itself: where a trunk is thicker than the loom that the rest lies in."""

from __future__ import annotations

from dataclasses import replace

from router.model.plan import ClearanceCheck, Finding, Route
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.reviewing.clearances import check_clearances
from router.reviewing.crossings import check_changes, check_members
from router.reviewing.review_tolerances import LENGTH_TOLERANCE_MM
from router.reviewing.route_segments import part_between, segments_of


def review_stretch(
    route: Route,
    from_station_mm: float,
    to_station_mm: float,
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float,
    drawing_tolerance_mm: float = 0.0,
) -> tuple[tuple[ClearanceCheck, ...], tuple[Finding, ...]]:
    """Return how near the loom comes to each keep-out on a stretch, and where it does not fit there.

    What hangs on the loom's size is judged: clearances, members and their holes, openings.

    Parameters
    ----------
    route : Route
        The whole route of one run.
    from_station_mm, to_station_mm : float
        The stretch, from 0 to the routed length. [mm]
    profile : Profile
        The vehicle.
    practice : Practice
        The rules.
    loom_diameter_mm : float
        Outside of the loom on this stretch. [mm]
    drawing_tolerance_mm : float, optional
        Smaller shortfalls are ignored; 0 unless the route was drawn on paper. [mm]
    """
    segments = tuple(
        part
        for segment in segments_of(route)
        if (part := part_between(segment, from_station_mm, to_station_mm)) is not None
    )
    low_mm, high_mm = from_station_mm - LENGTH_TOLERANCE_MM, to_station_mm + LENGTH_TOLERANCE_MM
    points = tuple(point for point in route.points if low_mm <= point.station_mm <= high_mm)
    checks, findings = check_clearances(
        route.run, segments, profile, practice, loom_diameter_mm / 2, drawing_tolerance_mm
    )
    findings += check_members(route.run, segments, profile, practice, loom_diameter_mm)
    findings += check_changes(route.run, replace(route, points=points), profile, practice, loom_diameter_mm)
    return checks, findings
