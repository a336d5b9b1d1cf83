"""Whether length that is left loose can reach something that moves.

Held at two stations L apart, with s to spare between them, a loom can swing out to half the minor axis of
the ellipse about both fixings whose sum of distances is L + s: b = sqrt((L + s)^2 - L^2) / 2. No place that
it reaches is further than b from the line between the fixings (beside them by the ellipse's own width, beyond
them at most b^2 / a <= b), so what moves is safe where it keeps its clearance and b from the stretch.

A line that crosses itself with nothing fixed between both times is such a loop as well.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from router.model.plan import Finding, FindingKind, Fixing, Route, Severity, SpareLoop
from router.model.practice import Practice, Rule
from router.model.vehicle import Hazard, Profile
from router.reviewing.beyond_panels import is_parted
from router.reviewing.clearances import nearest_place, required_clearance
from router.reviewing.finding import found, told_apart
from router.reviewing.review_tolerances import CLEARANCE_TOLERANCE_MM
from router.reviewing.route_segments import Segment, part_between


def swing_mm(span_mm: float, spare_mm: float) -> float:
    """Return how far a loom with length to spare can swing out between two fixings, in mm.

    >>> swing_mm(300.0, 200.0)  # the 3-4-5 triangle: half of 500 and of 300
    200.0
    """
    return math.sqrt((span_mm + spare_mm) ** 2 - span_mm**2) / 2


def check_loops(
    route: Route,
    segments: tuple[Segment, ...],
    fixings: tuple[Fixing, ...],
    loops: tuple[SpareLoop, ...],
    profile: Profile,
    practice: Practice,
    loom_radius_mm: float,
) -> tuple[Finding, ...]:
    """Return a finding for each loose loop that can come too near to each thing that moves."""
    findings = []
    held = [0.0, *sorted(fixing.station_mm for fixing in fixings), route.routed_mm]
    for loop in (*loops, *_drawn_loops(segments, held)):
        start_mm, end_mm = _span(held, loop.station_mm)
        reach_mm = swing_mm(end_mm - start_mm, loop.spare_mm)
        parts = [
            part for segment in segments if (part := part_between(segment, start_mm, end_mm)) is not None
        ]
        for keep_out in profile.keep_outs:
            if keep_out.hazard is not Hazard.MOVING:
                continue
            own = (part for part in parts if not is_parted(profile, part.space, keep_out))
            nearest = nearest_place(own, keep_out, loom_radius_mm)
            clearance_mm, rule = required_clearance(keep_out, profile, practice)
            needed_mm = clearance_mm + reach_mm
            if nearest and nearest.distance_mm < needed_mm - CLEARANCE_TOLERANCE_MM:
                lengths_mm = (needed_mm, nearest.distance_mm)
                findings.append(_in_reach(route.run, loop, reach_mm, keep_out.name, lengths_mm, rule))
    return tuple(findings)


def _in_reach(
    run: str, loop: SpareLoop, reach_mm: float, name: str, lengths_mm: tuple[float, float], rule: Rule | None
) -> Finding:
    required, actual = told_apart(*lengths_mm)
    swing = f"{loop.spare_mm:.0f} mm left loose swings out by {reach_mm:.0f} mm"
    return found(
        FindingKind.LOOP,
        Severity.MUST,
        run,
        loop.station_mm,
        f"{swing}; {name}, which moves, is {actual} away",
        more=": leave it elsewhere, or fold it and hold it",
        required=f"at least {required}",
        actual=actual,
        rule=rule,
    )


def _span(held_mm: list[float], station_mm: float) -> tuple[float, float]:
    """Return the stations of what holds the loom before and after a station."""
    before = max((each for each in held_mm if each <= station_mm), default=held_mm[0])
    after = min((each for each in held_mm if each > station_mm), default=held_mm[-1])
    return before, after


def _drawn_loops(segments: tuple[Segment, ...], held_mm: list[float]) -> Iterator[SpareLoop]:
    """Yield a loop for each place where the line meets itself again with nothing fixed between."""
    flat = [
        segment for segment in segments if not segment.is_vertical
    ]  # on both sides of a rise it is one place
    pairs = ((one, other) for number, one in enumerate(flat) for other in flat[number + 2 :])
    for one, other in pairs:
        if one.space != other.space:
            continue
        meeting = one.in_plan.intersection(other.in_plan)
        if meeting.is_empty:
            continue
        place = meeting.representative_point()
        start_mm, end_mm = (segment.station_at((place.x, place.y)) for segment in (one, other))
        if not any(start_mm < each < end_mm for each in held_mm):
            yield SpareLoop((start_mm + end_mm) / 2, end_mm - start_mm)
