"""Whether a loom lies twice on one line: there and back, or round and on again where it lies already."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

import numpy as np

from router.model.job import Run
from router.model.plan import Finding, FindingKind, Severity
from router.reviewing.finding import found
from router.reviewing.review_tolerances import CLEARANCE_TOLERANCE_MM, LEAST_DOUBLED_MM, LENGTH_TOLERANCE_MM
from router.reviewing.route_segments import Segment

Doubled = tuple[float, float, float, float]
"""From which to which station a loom lies beside itself, and from which to which station that is."""


def check_doubling(run: Run, segments: tuple[Segment, ...], loom_diameter_mm: float) -> tuple[Finding, ...]:
    """Return a finding for each stretch where the loom lies nearer to itself than it is thick.

    Parameters
    ----------
    run : Run
        For what it must go by.
    segments : tuple of Segment
    loom_diameter_mm : float
        Outside of the loom. [mm]
    """
    near_mm = loom_diameter_mm - CLEARANCE_TOLERANCE_MM
    pairs = [(one, other) for one, other in combinations(segments, 2) if one.space == other.space]
    beside = sorted(each for pair in pairs for each in _beside(*pair, near_mm))
    whole = [each for each in _joined(beside) if each[1] - each[0] >= LEAST_DOUBLED_MM]
    return tuple(_doubled(run, each) for each in whole)


def _beside(one: Segment, other: Segment, near_mm: float) -> Iterator[Doubled]:
    """Yield where two segments lie nearer than that: beside each other, place by place, not only end to end.

    The gap between a place of one and the place of the other square to it is straight along one, so that its
    square is a parabola.
    """
    start, u = _line(one)
    there, v = _line(other)
    length_mm = one.end_station_mm - one.start_station_mm
    along = float(u @ v)
    if abs(along) < length_mm * LENGTH_TOLERANCE_MM:  # square to each other: nothing lies beside
        return
    # square to a share of one lies there + t v, with t = (share uu - (there - start) u) / uv
    uu, offset = float(u @ u), float((there - start) @ u)
    gap, per_share = there - start - v * (offset / along), v * (uu / along) - u
    low, high = sorted(((offset + t * along) / uu) for t in (0.0, 1.0))
    low, high = max(low, 0.0), min(high, 1.0)
    first, last = _nearer(gap, per_share, near_mm)
    low, high = max(low, first), min(high, last)
    if (high - low) * length_mm <= LENGTH_TOLERANCE_MM:
        return
    there_mm = sorted(other.station_of_share((share * uu - offset) / along) for share in (low, high))
    yield one.station_of_share(low), one.station_of_share(high), there_mm[0], there_mm[1]


def _line(segment: Segment) -> tuple[np.ndarray, np.ndarray]:
    start = np.array([*segment.start, segment.start_z_mm])
    return start, np.array([*segment.end, segment.end_z_mm]) - start


def _nearer(gap: np.ndarray, per_share: np.ndarray, near_mm: float) -> tuple[float, float]:
    """Return between which shares gap + share x per_share is shorter than `near_mm`; (0, 0) where nowhere."""
    square, half, rest = float(per_share @ per_share), float(gap @ per_share), float(gap @ gap) - near_mm**2
    if square <= LENGTH_TOLERANCE_MM**2:
        return (0.0, 1.0) if rest < 0.0 else (0.0, 0.0)
    root = half * half - square * rest
    if root <= 0.0:
        return 0.0, 0.0
    return (-half - math.sqrt(root)) / square, (-half + math.sqrt(root)) / square


def _joined(beside: list[Doubled]) -> list[Doubled]:
    """Return stretches that go on from each other as one."""
    joined: list[Doubled] = []
    for each in beside:
        if joined and each[0] <= joined[-1][1] + LENGTH_TOLERANCE_MM:
            before = joined.pop()
            ends = (before[0], max(before[1], each[1]), min(before[2], each[2]), max(before[3], each[3]))
            joined.append(ends)
        else:
            joined.append(each)
    return joined


def _doubled(run: Run, stretch: Doubled) -> Finding:
    start_mm, end_mm, from_mm, to_mm = stretch
    again = (
        f"; it goes by {', '.join(run.via)} because the job says so: leave that out, or measure another pass"
    )
    return found(
        FindingKind.DOUBLED,
        Severity.SHOULD,
        run.name,
        start_mm,
        f"the loom lies on one line from station {start_mm:.0f} to {end_mm:.0f} mm "
        f"and again from {from_mm:.0f} to {to_mm:.0f} mm",
        more=again if run.via else "",
        required="one line once",
        actual=f"{end_mm - start_mm:.0f} mm twice",
    )
