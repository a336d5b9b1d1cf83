"""A stretch of a route by itself: where a trunk is thicker than the loom that the rest lies in."""

from __future__ import annotations

from dataclasses import replace

from router.model.plan import ClearanceCheck, Finding, Route
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.review.clearances import check_clearances
from router.review.passing import check_changes, check_members
from router.review.pieces import LENGTH_TOLERANCE_MM, Piece, pieces_of


def review_stretch(
    route: Route,
    from_station_mm: float,
    to_station_mm: float,
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float,
) -> tuple[tuple[ClearanceCheck, ...], tuple[Finding, ...]]:
    """Return how near the loom comes to each keep-out on a stretch, and where it does not fit there.

    What hangs on the loom's size is judged: clearances, members and their holes, openings.
    """
    pieces = tuple(
        part
        for piece in pieces_of(route)
        if (part := _inside(piece, from_station_mm, to_station_mm)) is not None
    )
    low_mm, high_mm = from_station_mm - LENGTH_TOLERANCE_MM, to_station_mm + LENGTH_TOLERANCE_MM
    points = tuple(point for point in route.points if low_mm <= point.station_mm <= high_mm)
    checks, findings = check_clearances(route.run, pieces, profile, practice, loom_diameter_mm / 2)
    findings += check_members(route.run, pieces, profile, practice, loom_diameter_mm)
    findings += check_changes(route.run, replace(route, points=points), profile, practice, loom_diameter_mm)
    return checks, findings


def _inside(piece: Piece, from_station_mm: float, to_station_mm: float) -> Piece | None:
    """Return the part of a piece between two stations; None where it has none."""
    first_mm = max(from_station_mm, piece.start_station_mm)
    last_mm = min(to_station_mm, piece.end_station_mm)
    if last_mm - first_mm <= LENGTH_TOLERANCE_MM:
        return None
    length_mm = piece.end_station_mm - piece.start_station_mm
    ends = []
    for station_mm in (first_mm, last_mm):
        share = (station_mm - piece.start_station_mm) / length_mm
        x_mm, y_mm = (a + share * (b - a) for a, b in zip(piece.start, piece.end, strict=True))
        ends.append(((x_mm, y_mm), piece.start_z_mm + share * (piece.end_z_mm - piece.start_z_mm)))
    (start, start_z_mm), (end, end_z_mm) = ends
    return Piece(piece.space, start, end, start_z_mm, end_z_mm, first_mm, last_mm, piece.along)
