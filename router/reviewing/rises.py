"""Whether a route rises over each member that it passes over: a level loom would go through the metal."""

from __future__ import annotations

from router.model.plan import Finding, FindingKind, Severity
from router.model.vehicle import OverPass, Profile
from router.reviewing.crossings import Crossing, passes_at
from router.reviewing.finding import found
from router.reviewing.review_tolerances import CLEARANCE_TOLERANCE_MM, RISE_WITHIN_MM
from router.reviewing.route_segments import Segment, part_between


def check_rises(
    run: str, crossings: tuple[Crossing, ...], segments: tuple[Segment, ...], profile: Profile
) -> tuple[Finding, ...]:
    """Return a finding for each member that is passed over without the rise of its pass.

    As closely as the profile was measured. Where several passes lie together the lowest rise will do; where
    there is a hole as well, the loom may go through that.
    """
    findings = []
    for crossing in crossings:
        passes = passes_at(crossing, segments)
        if not passes or not all(isinstance(pass_, OverPass) for pass_ in passes):
            continue
        needed_mm = min(pass_.rise_mm for pass_ in passes if isinstance(pass_, OverPass))
        risen_mm = max(_heights(crossing, segments)) - min(_heights(crossing, segments, RISE_WITHIN_MM))
        if risen_mm < needed_mm - profile.tolerance_mm - CLEARANCE_TOLERANCE_MM:
            findings.append(_no_rise(run, crossing, needed_mm, risen_mm))
    return tuple(findings)


def _heights(crossing: Crossing, segments: tuple[Segment, ...], beyond_mm: float = 0.0) -> list[float]:
    """Return the least and the greatest height of each segment in a crossing and so far beyond it. [mm]"""
    from_mm, to_mm = crossing.from_station_mm - beyond_mm, crossing.to_station_mm + beyond_mm
    own = (segment for segment in segments if segment.space == crossing.member.space)
    parts = (part_between(segment, from_mm, to_mm) for segment in own)
    return [height_mm for part in parts if part for height_mm in (part.low_mm, part.high_mm)]


def _no_rise(run: str, crossing: Crossing, needed_mm: float, risen_mm: float) -> Finding:
    name = crossing.member.name
    return found(
        FindingKind.RISE,
        Severity.MUST,
        run,
        crossing.from_station_mm,
        f"the loom goes over {name} without the rise that takes it over its top",
        required=f"a rise of {needed_mm:.0f} mm",
        actual=f"{risen_mm:.0f} mm",
    )
