"""How near the outside of the loom comes to each keep-out, measured on the shapes as they were drawn.

Distance in space is sqrt(plan gap^2 + vertical gap^2). The plan gap is shapely's `distance()` to the
keep-out's core less its reach and the loom's radius: no offset, no arc, nothing approximated.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass

from shapely import LineString, Polygon
from shapely import Point as ShapelyPoint
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from router.model.plan import ClearanceCheck, Finding, FindingKind, Severity
from router.model.practice import Practice, Rule
from router.model.vehicle import Hazard, KeepOut, Profile, Shape, ShapeKind
from router.reviewing.beyond_panels import is_parted, required_beyond_mm
from router.reviewing.finding import found, told_apart
from router.reviewing.review_tolerances import CLEARANCE_TOLERANCE_MM, LISTED_WITHIN_MM, SLOPE_STEP_MM
from router.reviewing.route_segments import Segment

MOST_HALVINGS = 20_000
"""Where to stop closing in; what is given back then is still no more than the true distance."""


@dataclass(frozen=True, slots=True)
class Nearest:
    """The nearest place of a route to one keep-out."""

    distance_mm: float
    station_mm: float


@dataclass(frozen=True, slots=True)
class Obstacle:
    """A keep-out ready to be measured: its core, how far it reaches, its heights."""

    core: BaseGeometry
    reach_mm: float
    low_mm: float
    high_mm: float

    def gap_mm(self, segment: Segment, loom_radius_mm: float) -> float:
        """Return a distance that the loom on `segment` keeps: exact for level and for vertical segments.

        On a sloped segment the nearest place in plan and the nearest height may be apart, so that the
        distance is at least this.
        """
        plan_gap_mm = max(0.0, segment.in_plan.distance(self.core) - self.reach_mm - loom_radius_mm)
        below_mm = self.low_mm - (segment.high_mm + loom_radius_mm)
        above_mm = (segment.low_mm - loom_radius_mm) - self.high_mm
        return math.hypot(plan_gap_mm, max(0.0, below_mm, above_mm))

    def station_mm(self, segment: Segment) -> float:
        """Return the station of the place on `segment` that is nearest."""
        if not segment.is_vertical:
            place = nearest_points(segment.in_plan, self.core)[0]
            return segment.station_at((place.x, place.y))
        height_mm = min(max(segment.low_mm, self.low_mm), segment.high_mm)
        share = (height_mm - segment.start_z_mm) / (segment.end_z_mm - segment.start_z_mm)
        return segment.station_of_share(share)


def check_clearances(
    run: str,
    segments: tuple[Segment, ...],
    profile: Profile,
    practice: Practice,
    loom_radius_mm: float,
    drawing_tolerance_mm: float = 0.0,
) -> tuple[tuple[ClearanceCheck, ...], tuple[Finding, ...]]:
    """Return every keep-out within `LISTED_WITHIN_MM`, least margin first, a finding for each too near."""
    checks = []
    for keep_out in profile.keep_outs:
        required_mm, rule = required_clearance(keep_out, profile, practice)
        near = _pieces_near(segments, keep_out, max(LISTED_WITHIN_MM, required_mm) + loom_radius_mm)
        own = [segment for segment in near if not is_parted(profile, segment.space, keep_out)]
        if len(own) < len(near):
            required_mm = max(
                required_mm if own else 0.0, required_beyond_mm(required_mm, keep_out, profile, practice)
            )
            own = own if own else near if required_mm > 0.0 else []
        nearest = nearest_place(own, keep_out, loom_radius_mm) if own else None
        if nearest and (nearest.distance_mm <= LISTED_WITHIN_MM or nearest.distance_mm < required_mm):
            checks.append(
                ClearanceCheck(
                    run,
                    keep_out.name,
                    keep_out.hazard,
                    required_mm,
                    nearest.distance_mm,
                    nearest.station_mm,
                    rule,
                )
            )
    checks.sort(key=lambda check: check.actual_mm - check.required_mm)
    return tuple(checks), tuple(
        _too_near(check) for check in checks if _is_broken(check, drawing_tolerance_mm)
    )


def _pieces_near(segments: Iterable[Segment], keep_out: KeepOut, within_mm: float) -> list[Segment]:
    """Return the segments that can be so near to a keep-out, by the upright rectangles round both in plan."""
    xs, ys = zip(*keep_out.shape.points, strict=True)
    by_mm = within_mm + keep_out.shape.reach_mm + 1.0  # and a little, so that rounding leaves none out
    left, right, top, bottom = min(xs) - by_mm, max(xs) + by_mm, min(ys) - by_mm, max(ys) + by_mm
    return [
        segment
        for segment in segments
        if (segment.start[0] >= left or segment.end[0] >= left)
        and (segment.start[0] <= right or segment.end[0] <= right)
        and (segment.start[1] >= top or segment.end[1] >= top)
        and (segment.start[1] <= bottom or segment.end[1] <= bottom)
    ]


def required_clearance(keep_out: KeepOut, profile: Profile, practice: Practice) -> tuple[float, Rule | None]:
    """Return the clearance that a keep-out asks for, measuring tolerance included [mm], and its rule.

    Resolved here, not read from what the planner resolved: a slip made there is found by not sharing it.
    """
    if keep_out.clearance_mm is not None:
        return keep_out.clearance_mm + profile.tolerance_mm, None
    is_shielded = keep_out.hazard is Hazard.HOT and keep_out.is_shielded
    rule = practice.rule("clearance", "hot shielded" if is_shielded else str(keep_out.hazard))
    return rule.value + profile.tolerance_mm, rule


def nearest_place(segments: Iterable[Segment], keep_out: KeepOut, loom_radius_mm: float) -> Nearest | None:
    """Return where the loom on `segments` comes nearest; None without segments.

    Sloped segments are halved, the nearest part first, until the part in front is no longer than
    `SLOPE_STEP_MM`. What is given back is then at most that much less than the true distance, and never
    more.
    """
    obstacle = _obstacle(keep_out)
    ticket = itertools.count(step=-1)  # of equal distances the newest: straight down to a short part
    queue = [(obstacle.gap_mm(segment, loom_radius_mm), next(ticket), segment) for segment in segments]
    heapq.heapify(queue)
    for _ in range(MOST_HALVINGS):
        if not queue:
            return None
        gap_mm, _, segment = queue[0]
        if segment.is_level or segment.is_vertical or _is_short(segment):
            break
        heapq.heappop(queue)
        for half in segment.halves():
            heapq.heappush(queue, (obstacle.gap_mm(half, loom_radius_mm), next(ticket), half))
    gap_mm, _, segment = queue[0]
    return Nearest(gap_mm, obstacle.station_mm(segment))


def _is_short(segment: Segment) -> bool:
    """Return whether the distance cannot vary along `segment` by more than `SLOPE_STEP_MM`."""
    return math.dist((*segment.start, segment.start_z_mm), (*segment.end, segment.end_z_mm)) <= SLOPE_STEP_MM


def _obstacle(keep_out: KeepOut) -> Obstacle:
    low_mm, high_mm = keep_out.heights_mm or (-math.inf, math.inf)
    return Obstacle(_core(keep_out.shape), keep_out.shape.reach_mm, low_mm, high_mm)


def _core(shape: Shape) -> BaseGeometry:
    if shape.kind is ShapeKind.AREA:
        return Polygon(shape.points)
    return LineString(shape.points) if len(shape.points) > 1 else ShapelyPoint(shape.points[0])


def _is_broken(check: ClearanceCheck, drawing_tolerance_mm: float) -> bool:
    return check.actual_mm < check.required_mm - CLEARANCE_TOLERANCE_MM - drawing_tolerance_mm


def _too_near(check: ClearanceCheck) -> Finding:
    required, actual = told_apart(check.required_mm, check.actual_mm)
    return found(
        FindingKind.CLEARANCE,
        Severity.MUST,
        check.run,
        check.station_mm,
        f"the loom lies {actual} from {check.keep_out} ({check.hazard})",
        more=f"; {required} is required",
        required=f"at least {required}",
        actual=actual,
        rule=check.rule,
    )
