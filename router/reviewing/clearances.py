"""How near the outside of the loom comes to each keep-out, measured on the shapes as they were drawn.

The distance in space of its centre line (`in_space`), less its radius: no offset, no arc, nothing
approximated.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from operator import attrgetter, itemgetter

from router.model.plan import ClearanceCheck, Finding, FindingKind, Severity
from router.model.practice import Practice, Rule
from router.model.vehicle import Hazard, KeepOut, Profile
from router.reviewing.beyond_panels import required_beyond, split_by_panels
from router.reviewing.finding import found, told_apart
from router.reviewing.in_space import Nearest, body_of
from router.reviewing.review_tolerances import CLEARANCE_TOLERANCE_MM, LISTED_WITHIN_MM
from router.reviewing.route_segments import Segment


@dataclass(frozen=True, slots=True)
class _Near:
    """How near a loom comes to a keep-out, and what is to spare: less than shown where it lies inside it."""

    check: ClearanceCheck
    margin_mm: float


def check_clearances(
    run: str,
    segments: tuple[Segment, ...],
    profile: Profile,
    practice: Practice,
    loom_radius_mm: float,
    drawing_tolerance_mm: float = 0.0,
) -> tuple[tuple[ClearanceCheck, ...], tuple[Finding, ...]]:
    """Return every keep-out within `LISTED_WITHIN_MM`, least margin first, a finding for each too near."""
    near = [
        check
        for keep_out in profile.keep_outs
        for check in _nearest_check(run, segments, keep_out, profile, practice, loom_radius_mm)
    ]
    near.sort(key=lambda each: each.check.margin_mm)
    least_mm = -CLEARANCE_TOLERANCE_MM - drawing_tolerance_mm
    return tuple(each.check for each in near), tuple(
        _too_near(each.check) for each in near if each.margin_mm < least_mm
    )


def _nearest_check(
    run: str,
    segments: tuple[Segment, ...],
    keep_out: KeepOut,
    profile: Profile,
    practice: Practice,
    loom_radius_mm: float,
) -> list[_Near]:
    """Return where least is to spare to a keep-out, in the open or beyond a panel; nothing far from it."""
    required_mm, rule = required_clearance(keep_out, profile, practice)
    near = _pieces_near(segments, keep_out, max(LISTED_WITHIN_MM, required_mm) + loom_radius_mm)
    if not near:
        return []
    in_the_open, beyond = split_by_panels(near, keep_out, profile)
    asked = [(in_the_open, required_mm, rule)]
    if beyond:
        asked.append((beyond, *required_beyond(required_mm, rule, keep_out, profile, practice)))
    found = []
    for parts, needed_mm, why in asked:
        nearest = nearest_place(parts, keep_out) if parts is in_the_open or needed_mm > 0.0 else None
        if nearest is None:
            continue
        away_mm = nearest.distance_mm - loom_radius_mm
        if away_mm <= max(LISTED_WITHIN_MM, needed_mm):
            shown = (needed_mm, max(0.0, away_mm), nearest.station_mm, why)
            check = ClearanceCheck(run, keep_out.name, keep_out.hazard, *shown)
            found.append(_Near(check, away_mm - needed_mm))
    return sorted(found, key=lambda each: each.margin_mm)[:1]


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
        return keep_out.clearance_mm + own_tolerance_mm(keep_out, profile), None
    is_shielded = keep_out.hazard is Hazard.HOT and keep_out.is_shielded
    rule = practice.rule("clearance", "hot shielded" if is_shielded else str(keep_out.hazard))
    return rule.value + own_tolerance_mm(keep_out, profile), rule


def own_tolerance_mm(keep_out: KeepOut, profile: Profile) -> float:
    """Return how far a keep-out may be off: as it is assumed to be, else as everything that was measured."""
    return (
        profile.tolerance_mm
        if keep_out.assumed_mm is None
        else max(keep_out.assumed_mm, profile.tolerance_mm)
    )


def nearest_place(segments: Iterable[Segment], keep_out: KeepOut) -> Nearest | None:
    """Return where the centre line of the loom on `segments` comes nearest; None without segments."""
    body = body_of(keep_out)
    best: Nearest | None = None
    for least_mm, segment in sorted(((body.least_mm(each), each) for each in segments), key=itemgetter(0)):
        if best and best.distance_mm <= least_mm:
            break
        best = min(filter(None, (best, body.nearest(segment))), key=attrgetter("distance_mm"))
    return best


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
