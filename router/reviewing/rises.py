"""Whether a route rises over each member that it passes over: a level loom would go through the metal.

Heights are those above where a loom lies there, on its support or in the space: neither a step of the floor
nor a support that slopes is a rise over a member.
"""

from __future__ import annotations

from router.model.plan import Finding, FindingKind, Severity
from router.model.vehicle import OverPass, Point, Profile
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
        risen_mm = max(_heights(crossing, segments, profile))
        risen_mm -= min(_heights(crossing, segments, profile, RISE_WITHIN_MM))
        if risen_mm < needed_mm - profile.tolerance_mm - CLEARANCE_TOLERANCE_MM:
            findings.append(_no_rise(run, crossing, needed_mm, risen_mm))
    return tuple(findings)


def _heights(
    crossing: Crossing, segments: tuple[Segment, ...], profile: Profile, beyond_mm: float = 0.0
) -> list[float]:
    """Return how high both ends of each segment in a crossing, and so far beyond it, are lifted. [mm]"""
    from_mm, to_mm = crossing.from_station_mm - beyond_mm, crossing.to_station_mm + beyond_mm
    own = [segment for segment in segments if segment.space == crossing.member.space]
    lifts_mm = []
    for number, segment in enumerate(own):
        part = part_between(segment, from_mm, to_mm)
        if part is not None:
            before, after = _on_both_sides(own, number)
            lifts_mm.append(part.start_z_mm - _lying_mm(before, part.start, profile))
            lifts_mm.append(part.end_z_mm - _lying_mm(after, part.end, profile))
    return lifts_mm


def _on_both_sides(segments: list[Segment], number: int) -> tuple[Segment, Segment]:
    """Return the segments that say where a loom lies at both ends of one: itself, or those beside a rise."""
    before = [segment for segment in segments[number::-1] if not segment.is_vertical]
    after = [segment for segment in segments[number:] if not segment.is_vertical]
    return (before or after or segments[number:])[0], (after or before or segments[number:])[0]


def _lying_mm(segment: Segment, place: Point, profile: Profile) -> float:
    """Return at which height a loom lies at a place of a segment: on its support, else in its space. [mm]"""
    for support in profile.supports:
        if (support.space, support.name) == (segment.space, segment.along):
            return support.height_at(place)
    x, y, _ = segment.place_at(0.5)  # not at its ends: they may lie on the border of a step
    return profile.space(segment.space).height_at((x, y))


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
