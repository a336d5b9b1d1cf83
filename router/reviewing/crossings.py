"""Where a route may go at all: inside its space's outline, over members at their passes, through openings."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely import LineString, Polygon, dwithin, unary_union
from shapely import Point as ShapelyPoint
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from router.model.plan import Finding, FindingKind, Route, RoutePoint, Severity
from router.model.practice import Practice, Rule
from router.model.vehicle import Edge, Member, Opening, OverPass, Point, Profile, ThroughPass
from router.reviewing.finding import found, told_apart
from router.reviewing.review_tolerances import (
    CLEARANCE_TOLERANCE_MM,
    CLIMB_WITHIN_MM,
    LENGTH_TOLERANCE_MM,
)
from router.reviewing.route_segments import Segment

SAMPLES_OUTSIDE = 64
"""Places looked at on a stretch outside the outline, to say how far outside it goes."""

BAND_QUARTER_STEPS = 64
"""Steps per quarter circle of a band's round ends, for stations only; distances decide."""


@dataclass(frozen=True, slots=True)
class Crossing:
    """A stretch of a route inside the band of a member."""

    member: Member
    from_station_mm: float
    to_station_mm: float


@dataclass(frozen=True, slots=True)
class Change:
    """Where a route goes from one space into another; `opening` None where there is none."""

    here: RoutePoint
    there: RoutePoint
    opening: Opening | None


def check_outlines(
    run: str, segments: tuple[Segment, ...], profile: Profile, drawing_tolerance_mm: float = 0.0
) -> tuple[Finding, ...]:
    """Return a finding for each space whose outline the loom's centre line leaves, at the furthest place."""
    findings = []
    for space in profile.spaces:
        ground = Polygon(space.outline)
        outside = [_furthest(ground, segment) for segment in segments if segment.space == space.name]
        distance_mm, station_mm = max(outside, key=lambda place: place[0], default=(0.0, 0.0))
        if distance_mm > CLEARANCE_TOLERANCE_MM + drawing_tolerance_mm:
            actual = told_apart(0.0, distance_mm)[1]
            findings.append(
                found(
                    FindingKind.OUTLINE,
                    Severity.MUST,
                    run,
                    station_mm,
                    f"the loom lies {actual} outside the outline of {space.name}",
                    required="inside the outline",
                    actual=f"{actual} outside",
                )
            )
    return tuple(findings)


def check_changes(
    run: str, route: Route, profile: Profile, practice: Practice, loom_diameter_mm: float
) -> tuple[Finding, ...]:
    """Return a finding for each change of space that is at no opening, or at one too small for the loom.

    An opening is where the profile says, in plan and in height, as closely as the profile was measured.
    """
    findings = []
    for change in changes_of(route, profile):
        if change.opening is None:
            findings.append(_no_opening(run, change))
            continue
        if abs(_above_mm(change.here, change.opening)) > profile.tolerance_mm + CLEARANCE_TOLERANCE_MM:
            findings.append(_beside_in_height(run, change.here, change.opening))
        needed_mm, rule = bore_needed(change.opening.edge, practice, loom_diameter_mm)
        if change.opening.bore_mm < needed_mm - CLEARANCE_TOLERANCE_MM:
            name, bore_mm = change.opening.name, change.opening.bore_mm
            findings.append(
                _too_small(FindingKind.OPENING, run, change.here.station_mm, name, (needed_mm, bore_mm), rule)
            )
    return tuple(findings)


def changes_of(route: Route, profile: Profile) -> tuple[Change, ...]:
    """Return the changes of space of a route, with the opening of each.

    An opening is where the profile says in plan, as closely as the profile was measured; of several there,
    the one nearest in height.
    """
    pairs = zip(route.points, route.points[1:], strict=False)
    return tuple(
        Change(here, there, _opening_at(here, there, profile))
        for here, there in pairs
        if here.space != there.space
    )


def check_members(
    run: str, segments: tuple[Segment, ...], profile: Profile, practice: Practice, loom_diameter_mm: float
) -> tuple[Finding, ...]:
    """Return a finding for each member crossed outside its passes, and each hole that is too small."""
    findings = []
    for member in profile.members:
        if near := _met_by(member, segments, loom_diameter_mm / 2):
            findings += _beside_passes(run, near, member, profile, loom_diameter_mm / 2)
            findings += _small_holes(run, near, member, profile, practice, loom_diameter_mm)
    return tuple(findings)


def _met_by(member: Member, segments: tuple[Segment, ...], loom_radius_mm: float) -> tuple[Segment, ...]:
    """Return the segments that reach into a member's band."""
    along, band_mm = LineString(member.along), _half_band_mm(member, loom_radius_mm)
    own = (segment for segment in segments if segment.space == member.space)
    return tuple(segment for segment in own if dwithin(segment.in_plan, along, band_mm))


def crossings_of(
    segments: tuple[Segment, ...], profile: Profile, loom_radius_mm: float
) -> tuple[Crossing, ...]:
    """Return where the route is inside a member's band, by station; a climb right before it belongs to it.

    Parameters
    ----------
    segments : tuple of Segment
        The straight segments of a route, in its order.
    profile : Profile
        The vehicle, for its members and its tolerance.
    loom_radius_mm : float
        Half the outside diameter of the loom. [mm]
    """
    crossings = []
    for member in profile.members:
        band = LineString(member.along).buffer(_half_band_mm(member, loom_radius_mm), BAND_QUARTER_STEPS)
        own = [segment for segment in segments if segment.space == member.space]
        stretches = sorted(stretch for segment in own for stretch in _stretches(segment, band))
        for stretch in _joined(stretches):
            crossings.append(
                Crossing(member, *_with_climbs(stretch, own, profile.tolerance_mm + CLIMB_WITHIN_MM))
            )
    return tuple(sorted(crossings, key=lambda crossing: crossing.from_station_mm))


def passes_at(crossing: Crossing, segments: tuple[Segment, ...]) -> tuple[OverPass | ThroughPass, ...]:
    """Return the pass of a member that a crossing is at, the nearest; several where they lie together."""
    middle_mm = (crossing.from_station_mm + crossing.to_station_mm) / 2
    segment = next((p for p in segments if p.start_station_mm <= middle_mm <= p.end_station_mm), None)
    if segment is None:
        return ()
    along = LineString(crossing.member.along)
    share = (middle_mm - segment.start_station_mm) / (segment.end_station_mm - segment.start_station_mm)
    place_mm = along.project(LineString((segment.start, segment.end)).interpolate(share, normalized=True))

    def away_mm(pass_: OverPass | ThroughPass) -> float:
        ends = (pass_.start, pass_.end) if isinstance(pass_, OverPass) else (pass_.at, pass_.at)
        low_mm, high_mm = sorted(along.project(ShapelyPoint(end)) for end in ends)
        return float(max(low_mm - place_mm, place_mm - high_mm, 0.0))

    near_mm = min(map(away_mm, crossing.member.passes), default=0.0)
    return tuple(pass_ for pass_ in crossing.member.passes if away_mm(pass_) <= near_mm + LENGTH_TOLERANCE_MM)


def _furthest(ground: Polygon, segment: Segment) -> tuple[float, float]:
    """Return how far a segment goes outside the ground, and the station there."""
    outside = segment.in_plan.difference(ground.buffer(CLEARANCE_TOLERANCE_MM / 2))
    if outside.is_empty:
        return 0.0, segment.start_station_mm
    places = [
        part.interpolate(share / SAMPLES_OUTSIDE, normalized=True) if part.length else part
        for part in getattr(outside, "geoms", (outside,))
        for share in range(SAMPLES_OUTSIDE + 1)
    ]
    furthest = max(places, key=ground.distance)
    return ground.distance(furthest), segment.station_at((furthest.x, furthest.y))


def _opening_at(here: RoutePoint, there: RoutePoint, profile: Profile) -> Opening | None:
    reach_mm = profile.tolerance_mm + CLEARANCE_TOLERANCE_MM
    near = [
        opening
        for opening in profile.openings
        if set(opening.joins) == {here.space, there.space}
        and max(math.dist(opening.at, (point.x_mm, point.y_mm)) for point in (here, there)) <= reach_mm
    ]
    place = (here.x_mm, here.y_mm, here.z_mm)
    return min(near, key=lambda opening: math.dist((*opening.at, opening.height_mm), place), default=None)


def _above_mm(point: RoutePoint, opening: Opening) -> float:
    return point.z_mm - opening.height_mm


def _beside_in_height(run: str, here: RoutePoint, opening: Opening) -> Finding:
    above_mm = _above_mm(here, opening)
    where = f"{abs(above_mm):.1f} mm {'above' if above_mm > 0 else 'below'}"
    return found(
        FindingKind.SPACE,
        Severity.MUST,
        run,
        here.station_mm,
        f"the loom changes its space {where} {opening.name}",
        required=f"at its height of {opening.height_mm:.0f} mm",
        actual=f"at {here.z_mm:.0f} mm",
    )


def _no_opening(run: str, change: Change) -> Finding:
    here, there = change.here, change.there
    return found(
        FindingKind.SPACE,
        Severity.MUST,
        run,
        here.station_mm,
        f"the loom goes from {here.space} into {there.space} where the profile has no opening between them",
        required="at an opening",
        actual=f"at x {here.x_mm:.0f} mm, y {here.y_mm:.0f} mm",
    )


def bore_needed(edge: Edge, practice: Practice, loom_diameter_mm: float) -> tuple[float, Rule | None]:
    """Return the least bore for a loom [mm]: its diameter, and a grommet where the edge is bare.

    Parameters
    ----------
    edge : Edge
    practice : Practice
        Group "opening".
    loom_diameter_mm : float
        Outside of the loom, or of all that go through together. [mm]
    """
    if edge is not Edge.BARE:
        return loom_diameter_mm, None
    rule = practice.rule("opening", "grommet wall")
    return loom_diameter_mm + 2 * rule.value, rule


def _too_small(
    kind: FindingKind,
    run: str,
    station_mm: float,
    name: str,
    bores_mm: tuple[float, float],
    rule: Rule | None,
) -> Finding:
    required, actual = told_apart(*bores_mm)
    return found(
        kind,
        Severity.MUST,
        run,
        station_mm,
        f"{name} has a bore of {actual}",
        more=f"; the loom needs {required}",
        required=f"bore of at least {required}",
        actual=f"bore of {actual}",
        rule=rule,
    )


def _half_band_mm(member: Member, loom_radius_mm: float) -> float:
    return member.width_mm / 2 + loom_radius_mm


def _beside_passes(
    run: str, segments: tuple[Segment, ...], member: Member, profile: Profile, loom_radius_mm: float
) -> list[Finding]:
    """Return a finding where the loom is inside the band and in none of its passes, at the deepest place."""
    band_mm = _half_band_mm(member, loom_radius_mm)
    along = LineString(member.along)
    passes = unary_union([_corridor(member, pass_, band_mm, profile) for pass_ in member.passes])
    deepest_mm, deepest_station_mm = band_mm, 0.0
    for segment in segments:
        rest = segment.in_plan.difference(passes)
        if not rest.is_empty and (away_mm := rest.distance(along)) < deepest_mm:
            place = nearest_points(rest, along)[0]
            deepest_mm, deepest_station_mm = away_mm, segment.station_at((place.x, place.y))
    if deepest_mm >= band_mm - CLEARANCE_TOLERANCE_MM:
        return []
    required, actual = told_apart(band_mm, deepest_mm)
    return [
        found(
            FindingKind.MEMBER,
            Severity.MUST,
            run,
            deepest_station_mm,
            f"the loom meets {member.name} outside its passes",
            required=f"at a pass, or {required} from its centre line",
            actual=f"{actual} from its centre line",
        )
    ]


def _small_holes(
    run: str,
    segments: tuple[Segment, ...],
    member: Member,
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float,
) -> list[Finding]:
    findings = []
    for hole in member.passes:
        if not isinstance(hole, ThroughPass) or is_below_a_pass(member, hole, profile):
            continue
        needed_mm, rule = bore_needed(hole.edge, practice, loom_diameter_mm)
        station_mm = _station_through(hole, member, segments, profile)
        if station_mm is not None and hole.bore_mm < needed_mm - CLEARANCE_TOLERANCE_MM:
            name = f"the hole in {member.name}"
            findings.append(
                _too_small(FindingKind.HOLE, run, station_mm, name, (needed_mm, hole.bore_mm), rule)
            )
    return findings


def _station_through(
    hole: ThroughPass, member: Member, segments: tuple[Segment, ...], profile: Profile
) -> float | None:
    """Return the station at which the route goes through a hole; None where it does not."""
    mouth = mouth_of(member, hole, profile)
    for segment in segments:
        if segment.in_plan.intersects(mouth):
            return segment.station_at(hole.at)
    return None


def is_below_a_pass(member: Member, hole: ThroughPass, profile: Profile) -> bool:
    """Return whether the top may be crossed at a hole as well: then the loom is taken to go over it."""
    half_mm = member.width_mm / 2
    tops = [_corridor(member, over, half_mm, profile) for over in member.passes if isinstance(over, OverPass)]
    return any(top.covers(ShapelyPoint(hole.at)) for top in tops)


def mouth_of(member: Member, hole: ThroughPass, profile: Profile) -> Polygon:
    """Return the line across which a loom goes through a hole, as wide as its place is uncertain."""
    return _corridor(member, hole, CLEARANCE_TOLERANCE_MM, profile)


def _corridor(member: Member, pass_: OverPass | ThroughPass, depth_mm: float, profile: Profile) -> Polygon:
    """Return the rectangle in which a member may be crossed: square to it, `depth_mm` to both sides.

    Over the top it is as wide as the pass. Through a hole it is as wide as the hole's place is
    uncertain: the profile's measuring tolerance to both sides.
    """
    if isinstance(pass_, OverPass):
        start, end, spare_mm = pass_.start, pass_.end, CLEARANCE_TOLERANCE_MM
    else:
        start, end = pass_.at, _further_along(member, pass_.at)
        spare_mm = profile.tolerance_mm + CLEARANCE_TOLERANCE_MM
    ahead = _direction(start, end)
    if isinstance(pass_, ThroughPass):
        end = start
    aside = (-ahead[1], ahead[0])
    depth_mm += CLEARANCE_TOLERANCE_MM
    return Polygon(
        [
            _moved(start, ahead, -spare_mm, aside, -depth_mm),
            _moved(end, ahead, spare_mm, aside, -depth_mm),
            _moved(end, ahead, spare_mm, aside, depth_mm),
            _moved(start, ahead, -spare_mm, aside, depth_mm),
        ]
    )


def _further_along(member: Member, at: Point) -> Point:
    """Return a place from which `at` sees the direction of the member's nearest segment."""
    segments = list(zip(member.along, member.along[1:], strict=False))
    start, end = min(segments, key=lambda segment: LineString(segment).distance(ShapelyPoint(at)))
    return (at[0] + end[0] - start[0], at[1] + end[1] - start[1])


def _direction(start: Point, end: Point) -> Point:
    length_mm = math.dist(start, end)
    return ((end[0] - start[0]) / length_mm, (end[1] - start[1]) / length_mm)


def _moved(place: Point, ahead: Point, ahead_mm: float, aside: Point, aside_mm: float) -> Point:
    return (
        place[0] + ahead[0] * ahead_mm + aside[0] * aside_mm,
        place[1] + ahead[1] * ahead_mm + aside[1] * aside_mm,
    )


def _stretches(segment: Segment, band: BaseGeometry) -> list[tuple[float, float]]:
    """Return the station intervals of a segment inside a band; its edge is outside."""
    inside = segment.in_plan.intersection(band)
    if segment.is_vertical:
        is_inside = band.contains(segment.in_plan)
        return [(segment.start_station_mm, segment.end_station_mm)] if is_inside else []
    parts = [part for part in getattr(inside, "geoms", (inside,)) if part.length > CLEARANCE_TOLERANCE_MM]
    ends = [sorted(segment.station_at(place) for place in part.coords) for part in parts]
    return [(stations[0], stations[-1]) for stations in ends]


def _joined(stretches: list[tuple[float, float]]) -> list[tuple[float, float]]:
    joined: list[tuple[float, float]] = []
    for start_mm, end_mm in stretches:
        if joined and start_mm <= joined[-1][1] + CLEARANCE_TOLERANCE_MM:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end_mm))
        else:
            joined.append((start_mm, end_mm))
    return joined


def _with_climbs(
    stretch: tuple[float, float], segments: list[Segment], near_mm: float
) -> tuple[float, float]:
    """Return a stretch with the rise onto the member and the drop from it, at its two edges."""
    start_mm, end_mm = stretch
    for segment in segments:
        if segment.is_vertical and abs(segment.end_station_mm - stretch[0]) <= near_mm:
            start_mm = segment.start_station_mm
        if segment.is_vertical and abs(segment.start_station_mm - stretch[1]) <= near_mm:
            end_mm = segment.end_station_mm
    return start_mm, end_mm
