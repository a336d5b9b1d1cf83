"""Whether a route is whole, between its terminals, and keeps to the `via` and `avoid` of the job."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely import LineString, Polygon
from shapely import Point as ShapelyPoint

from router.model.fixing import Fixing
from router.model.job import Run
from router.model.plan import Finding, FindingKind, Route, RoutePoint, Severity
from router.model.vehicle import Profile
from router.reviewing.crossings import Change, Crossing
from router.reviewing.finding import found
from router.reviewing.review_tolerances import CLEARANCE_TOLERANCE_MM, LENGTH_TOLERANCE_MM
from router.reviewing.route_segments import Segment, distance_mm

Use = tuple[str, float, float]
"""Something of the vehicle that a route uses: its name, from station, to station."""


def check_continuity(run: str, route: Route) -> tuple[Finding, ...]:
    """Return a finding for each place where points and stations do not make one unbroken route."""
    first, findings = route.points[0], []
    if abs(first.station_mm) > LENGTH_TOLERANCE_MM:
        findings.append(_broken(run, first, "the stations do not begin at 0", "0 mm", first.station_mm))
    for here, there in zip(route.points, route.points[1:], strict=False):
        step_mm, apart_mm = there.station_mm - here.station_mm, distance_mm(here, there)
        if here.space != there.space and apart_mm > LENGTH_TOLERANCE_MM:
            what = f"between {here.space} and {there.space} there is a gap of {apart_mm:.1f} mm"
            findings.append(_broken(run, here, what, "0 mm", apart_mm))
        elif abs(step_mm - apart_mm) > LENGTH_TOLERANCE_MM:
            what = f"points {apart_mm:.2f} mm apart are {step_mm:.2f} mm apart by their stations"
            findings.append(_broken(run, here, what, f"{apart_mm:.2f} mm", step_mm))
    return tuple(findings)


def check_followed(run: str, segments: tuple[Segment, ...], profile: Profile) -> tuple[Finding, ...]:
    """Return a finding for each support that the route says it follows, and does not lie on."""
    lines = {(support.space, support.name): LineString(support.along) for support in profile.supports}
    findings, told = [], set()
    for segment in segments:
        if segment.along is None or segment.along in told:
            continue
        line = lines.get((segment.space, segment.along))
        away_mm = _furthest_mm(segment, line) if line else math.inf
        if away_mm > LENGTH_TOLERANCE_MM:
            told.add(segment.along)
            findings.append(
                found(
                    FindingKind.SUPPORT,
                    Severity.MUST,
                    run,
                    segment.start_station_mm,
                    f"the route says that it follows {segment.along}, and does not lie on it",
                    required=f"on {segment.along}",
                    actual=f"{away_mm:.1f} mm away" if line else f"no such support in {segment.space}",
                )
            )
    return tuple(findings)


def check_ends(route: Route, run: Run, profile: Profile) -> tuple[Finding, ...]:
    """Return a finding for each end that is not at its terminal, as closely as the profile was measured."""
    findings = []
    ends = ((route.points[0], run.start, "begins"), (route.points[-1], run.end, "ends"))
    for point, name, verb in ends:
        terminal = profile.terminal(name)
        place = (point.x_mm, point.y_mm, point.z_mm)
        away_mm = math.dist(place, (*terminal.at, terminal.height_mm))
        if point.space == terminal.space and away_mm <= profile.tolerance_mm + CLEARANCE_TOLERANCE_MM:
            continue
        findings.append(
            found(
                FindingKind.END,
                Severity.MUST,
                run.name,
                point.station_mm,
                f"the route {verb} away from {name}",
                required=f"at {name} in {terminal.space}",
                actual=f"{away_mm:.1f} mm away, in {point.space}",
            )
        )
    return tuple(findings)


def check_wishes(
    route: Route,
    run: Run,
    segments: tuple[Segment, ...],
    fixings: tuple[Fixing, ...],
    changes: tuple[Change, ...],
    crossings: tuple[Crossing, ...],
    profile: Profile,
) -> tuple[Finding, ...]:
    """Return a finding for each `avoid` that is used and each `via` that is not met in its order."""
    uses = sorted(_uses(segments, changes, crossings, profile), key=lambda use: use[1:])
    fixed = [(fixing.support, fixing.station_mm, fixing.station_mm) for fixing in fixings if fixing.support]
    touched = list(_touched(route, profile))
    findings = []
    for name in run.avoid:
        used = [use for use in uses + fixed if use[0] == name]
        if used:
            findings.append(_used(run.name, *used[0]))
    reached_mm = 0.0
    for name in run.via:
        met = [use for use in uses + touched if use[0] == name and use[2] >= reached_mm - LENGTH_TOLERANCE_MM]
        if met:
            reached_mm = max(reached_mm, min(use[1] for use in met))
        else:
            findings.append(_not_met(run.name, name, reached_mm))
    return tuple(findings)


def _furthest_mm(segment: Segment, line: LineString) -> float:
    """Return how far a segment that says it follows a support gets away from it."""
    middle = ((segment.start[0] + segment.end[0]) / 2, (segment.start[1] + segment.end[1]) / 2)
    return float(max(line.distance(ShapelyPoint(place)) for place in (segment.start, middle, segment.end)))


def _uses(
    segments: tuple[Segment, ...],
    changes: tuple[Change, ...],
    crossings: tuple[Crossing, ...],
    profile: Profile,
) -> Iterator[Use]:
    for segment in segments:
        if segment.along is not None:
            yield segment.along, segment.start_station_mm, segment.end_station_mm
        for cover in profile.covers:
            under = (
                segment.in_plan.intersection(Polygon(cover.area)) if cover.space == segment.space else None
            )
            if under is not None and under.length > LENGTH_TOLERANCE_MM:
                yield cover.name, segment.start_station_mm, segment.end_station_mm
    for change in changes:
        if change.opening:
            yield change.opening.name, change.here.station_mm, change.here.station_mm
    for crossing in crossings:
        yield crossing.member.name, crossing.from_station_mm, crossing.to_station_mm


def _touched(route: Route, profile: Profile) -> Iterator[Use]:
    """Yield the supports and terminals that a corner lies on: enough for `via`, nothing to `avoid`."""
    for point in route.points:
        spot, station_mm = ShapelyPoint(point.x_mm, point.y_mm), point.station_mm
        for support in profile.supports:
            if (
                support.space == point.space
                and LineString(support.along).distance(spot) < LENGTH_TOLERANCE_MM
            ):
                yield support.name, station_mm, station_mm
        for terminal in profile.terminals:
            if (
                terminal.space == point.space
                and ShapelyPoint(terminal.at).distance(spot) <= profile.tolerance_mm
            ):
                yield terminal.name, station_mm, station_mm


def _broken(run: str, point: RoutePoint, what: str, required: str, actual_mm: float) -> Finding:
    return found(
        FindingKind.CONTINUITY,
        Severity.MUST,
        run,
        point.station_mm,
        what,
        required=required,
        actual=f"{actual_mm:.2f} mm",
    )


def _used(run: str, name: str, from_mm: float, to_mm: float) -> Finding:
    where = f"{from_mm:.0f} mm" if from_mm == to_mm else f"{from_mm:.0f} to {to_mm:.0f} mm"
    return found(
        FindingKind.AVOID,
        Severity.MUST,
        run,
        from_mm,
        f"the job says to avoid {name}, and the route uses it",
        required=f"not at {name}",
        actual=f"at {name}, station {where}",
    )


def _not_met(run: str, name: str, after_mm: float) -> Finding:
    return found(
        FindingKind.VIA,
        Severity.MUST,
        run,
        None,
        f"the job says to go by {name}, and the route does not (after station {after_mm:.0f} mm)",
        required=f"by {name}",
        actual="not met",
    )
