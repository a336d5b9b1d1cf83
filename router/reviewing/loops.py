"""Whether length that is left loose can reach something that may not be touched.

Between two things that hold it, d apart in space, a loom of length L, what is spare included, can be at every
place whose distances to both add up to no more than L. No such place is further than b = sqrt(L^2 - d^2) / 2
from the straight line between the two: half the minor axis beside them, and at most b^2 / a <= b beyond them.
So what burns, cuts or catches a loom, or is set off by it, is safe where it keeps its clearance and b from
that line: a loop hangs onto an exhaust as it is caught by a shaft. What only chafes or is crushed is left to
the clearances.

Fixings, the ends and openings hold a loom. A line that crosses itself with nothing fixed between both times
is such a loop as well.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from router.model.fixing import Fixing
from router.model.plan import Finding, FindingKind, Route, Severity, SpareLoop
from router.model.practice import Practice, Rule
from router.model.vehicle import NEVER_TOUCHED, KeepOut, Profile
from router.reviewing.beyond_panels import required_beyond, split_by_panels
from router.reviewing.clearances import nearest_place, required_clearance
from router.reviewing.finding import found, told_apart
from router.reviewing.review_tolerances import CLEARANCE_TOLERANCE_MM
from router.reviewing.route_segments import Segment, part_between


def swing_mm(loom_mm: float, apart_mm: float) -> float:
    """Return how far a loom that is longer than what holds it is apart can swing out. [mm]

    >>> swing_mm(500.0, 300.0)  # the 3-4-5 triangle: half of 500 and of 300
    200.0
    """
    return math.sqrt(max(0.0, loom_mm**2 - apart_mm**2)) / 2


def check_loops(
    route: Route,
    segments: tuple[Segment, ...],
    fixings: tuple[Fixing, ...],
    loops: tuple[SpareLoop, ...],
    profile: Profile,
    practice: Practice,
    loom_radius_mm: float,
) -> tuple[Finding, ...]:
    """Return a finding for each loose loop that can come too near to each thing that may not be touched."""
    fixed = [0.0, *sorted(fixing.station_mm for fixing in fixings), route.routed_mm]
    changes = [there.station_mm for here, there in pairwise(route.points) if here.space != there.space]
    findings = []
    drawn = tuple(_drawn_loops(segments, fixed))  # their length is in the stations already
    for loop, more_mm in (*((loop, loop.spare_mm) for loop in loops), *((loop, 0.0) for loop in drawn)):
        chord = _chord(segments, sorted((*fixed, *changes)), loop)
        if chord is None:
            continue
        loom_mm = chord.end_station_mm - chord.start_station_mm + more_mm
        reach_mm = swing_mm(loom_mm, math.dist(chord.place_at(0.0), chord.place_at(1.0)))
        for keep_out in profile.keep_outs:
            if keep_out.hazard in NEVER_TOUCHED:
                for parts, clearance_mm, rule in _parted(chord, keep_out, profile, practice):
                    nearest = nearest_place(parts, keep_out)
                    away_mm = nearest.distance_mm - loom_radius_mm if nearest else math.inf
                    if away_mm < clearance_mm + reach_mm - CLEARANCE_TOLERANCE_MM:
                        lengths_mm = (clearance_mm + reach_mm, max(0.0, away_mm))
                        findings.append(_in_reach(route.run, loop, reach_mm, keep_out, lengths_mm, rule))
                        break
    return tuple(findings)


def _chord(segments: tuple[Segment, ...], held_mm: list[float], loop: SpareLoop) -> Segment | None:
    """Return the straight line between what holds the loom before and after a loop; None without length."""
    start_mm, end_mm = _span(held_mm, loop.station_mm)
    parts = [part for each in segments if (part := part_between(each, start_mm, end_mm)) is not None]
    if not parts:
        return None
    first, last = parts[0], parts[-1]
    stations_mm = (first.start_station_mm, last.end_station_mm)
    return Segment(first.space, first.start, last.end, first.start_z_mm, last.end_z_mm, *stations_mm, None)


def _parted(
    chord: Segment, keep_out: KeepOut, profile: Profile, practice: Practice
) -> Iterator[tuple[list[Segment], float, Rule | None]]:
    """Yield the parts of a chord in the open to a body, and those beyond a panel, with what each asks for."""
    required_mm, rule = required_clearance(keep_out, profile, practice)
    in_the_open, beyond = split_by_panels((chord,), keep_out, profile)
    yield in_the_open, required_mm, rule
    if beyond:
        lesser_mm, lesser = required_beyond(required_mm, rule, keep_out, profile, practice)
        yield beyond if lesser_mm > 0.0 else [], lesser_mm, lesser


def _in_reach(
    run: str,
    loop: SpareLoop,
    reach_mm: float,
    keep_out: KeepOut,
    lengths_mm: tuple[float, float],
    rule: Rule | None,
) -> Finding:
    required, actual = told_apart(*lengths_mm)
    swing = f"{loop.spare_mm:.0f} mm left loose swings out by {reach_mm:.0f} mm"
    return found(
        FindingKind.LOOP,
        Severity.MUST,
        run,
        loop.station_mm,
        f"{swing}; {keep_out.name} ({keep_out.hazard}) is {actual} away",
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
