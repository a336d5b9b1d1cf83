"""Whether the loom can be laid through its corners without bending sharper than its least radius.

A corner that turns by t is laid as an arc of radius R that touches both segments, R tan(t/2) from the
corner. The arcs fit when on every segment those lengths of its two corners together are no longer than
the segment; a segment at the end of the run has one corner only and may use its whole length. Corners
that are closer than that and turn in the same direction, as those of an arc in short steps do, are one
bend: they are replaced by the corner where the outer segments meet, and judged again. A short segment between
turns against each other, a jog, may be smoothed where that moves the line by no more than the vehicle's
measuring tolerance: nobody can lay it more exactly than that.

Heights are steps in a route, laid as slopes by whoever installs it. A rise or drop too short to hold
two square bends (2 R) is therefore left out of account; a longer one is a segment like any other.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Practice
from router.reviewing.finding import found, told_apart
from router.reviewing.review_tolerances import LENGTH_TOLERANCE_MM, RADIUS_TOLERANCE, STRAIGHT_RAD
from router.reviewing.route_segments import Segment

Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Leg:
    """One straight segment of the loom by direction and length, and the stations it lies between."""

    vector: Vector
    length_mm: float
    start_station_mm: float
    end_station_mm: float
    moved_mm: float = 0.0
    """How far smoothing has moved it from where it was drawn, at most."""

    @property
    def middle_mm(self) -> float:
        """Return the station of its middle."""
        return (self.start_station_mm + self.end_station_mm) / 2


@dataclass(frozen=True, slots=True)
class TightBend:
    """A place where the widest arc that fits is too sharp."""

    radius_mm: float
    station_mm: float


def check_bends(
    run: str, segments: tuple[Segment, ...], practice: Practice, widest_wire_mm: float, tolerance_mm: float
) -> tuple[Finding, ...]:
    """Return a finding for each place where the least bend radius (practice, times the wire) does not fit."""
    rule = practice.rule("bend", "least radius")
    least_mm = rule.value * widest_wire_mm
    findings = []
    for bend in tight_bends(segments, least_mm, tolerance_mm):
        required, actual = told_apart(least_mm, bend.radius_mm)
        findings.append(
            found(
                FindingKind.BEND,
                Severity.SHOULD,
                run,
                bend.station_mm,
                f"the widest bend that fits here has a radius of {actual}",
                more=f"; the wires ask for {required}",
                required=f"radius of at least {required}",
                actual=f"radius of {actual}",
                rule=rule,
            )
        )
    return tuple(findings)


def tight_bends(
    segments: tuple[Segment, ...], least_radius_mm: float, tolerance_mm: float
) -> tuple[TightBend, ...]:
    """Return the places where arcs of the least radius do not fit, in the order of their stations."""
    waiting = [_without_short_rises(_legs(segments), 2 * least_radius_mm)]
    tight = []
    while waiting:
        legs = waiting.pop()
        worst = min(range(len(legs)), key=lambda index: _radius_mm(legs, index), default=None)
        if worst is None or _radius_mm(legs, worst) >= least_radius_mm * (1 - RADIUS_TOLERANCE):
            continue
        joined = _joined_without(legs, worst) or _smoothed_without(legs, worst, tolerance_mm)
        if joined is not None:
            waiting.append(joined)
            continue
        tight.append(TightBend(_radius_mm(legs, worst), _sharper_corner_mm(legs, worst)))
        waiting += [legs[:worst], legs[worst + 1 :]]
    return tuple(sorted(tight, key=lambda bend: bend.station_mm))


def _legs(segments: tuple[Segment, ...]) -> list[Leg]:
    legs = []
    for segment in segments:
        across = (segment.end[0] - segment.start[0], segment.end[1] - segment.start[1])
        move = (*across, segment.end_z_mm - segment.start_z_mm)
        legs.append(_leg(move, segment.start_station_mm, segment.end_station_mm))
    return _straightened(legs)


def _leg(move: Vector, start_station_mm: float, end_station_mm: float, moved_mm: float = 0.0) -> Leg:
    length_mm = math.hypot(*move)
    vector = (move[0] / length_mm, move[1] / length_mm, move[2] / length_mm)
    return Leg(vector, length_mm, start_station_mm, end_station_mm, moved_mm)


def _straightened(legs: list[Leg]) -> list[Leg]:
    """Return the legs with those that run straight on made one."""
    merged: list[Leg] = []
    for leg in legs:
        if merged and _turn_rad(merged[-1], leg) < STRAIGHT_RAD:
            last = merged.pop()
            moved_mm = max(last.moved_mm, leg.moved_mm)
            length_mm = last.length_mm + leg.length_mm
            merged.append(Leg(last.vector, length_mm, last.start_station_mm, leg.end_station_mm, moved_mm))
        else:
            merged.append(leg)
    return merged


def _without_short_rises(legs: list[Leg], shortest_mm: float) -> list[Leg]:
    """Return the legs without rises and drops shorter than `shortest_mm`."""
    kept = [leg for leg in legs if leg.length_mm >= shortest_mm or math.hypot(*leg.vector[:2]) > STRAIGHT_RAD]
    return _straightened(kept)


def _turn_rad(before: Leg, after: Leg) -> float:
    """Return the turning angle; by the chord between the two directions, exact for small turns too."""
    return 2 * math.asin(min(1.0, math.dist(before.vector, after.vector) / 2))


def _tangent_share(before: Leg, after: Leg) -> float:
    """Return tan(t/2): how much of both segments an arc of radius 1 takes; infinite for a reversal."""
    turn_rad = _turn_rad(before, after)
    return math.inf if math.pi - turn_rad < STRAIGHT_RAD else math.tan(turn_rad / 2)


def _corner_shares(legs: list[Leg], index: int) -> tuple[float, float]:
    before = _tangent_share(legs[index - 1], legs[index]) if index > 0 else 0.0
    after = _tangent_share(legs[index], legs[index + 1]) if index + 1 < len(legs) else 0.0
    return before, after


def _radius_mm(legs: list[Leg], index: int) -> float:
    """Return the widest radius at which the arcs of both corners fit on one leg."""
    shares = sum(_corner_shares(legs, index))
    return legs[index].length_mm / shares if shares else math.inf


def _sharper_corner_mm(legs: list[Leg], index: int) -> float:
    before, after = _corner_shares(legs, index)
    return legs[index].start_station_mm if before > after else legs[index].end_station_mm


def _joined_without(legs: list[Leg], index: int) -> list[Leg] | None:
    """Return the legs with one left out and its neighbours drawn on until they meet.

    None where they do not meet beyond it: it is an end, its corners turn against each other or out of
    one plane, or they turn by half a circle and more together.
    """
    if not 0 < index < len(legs) - 1:
        return None
    before, leg, after = legs[index - 1 : index + 2]
    cosine = _dot(before.vector, after.vector)
    if 1 - abs(cosine) < STRAIGHT_RAD:
        return None
    to_before, to_after = (
        leg.length_mm * _dot(leg.vector, before.vector),
        leg.length_mm * _dot(leg.vector, after.vector),
    )
    more_before = (to_before - cosine * to_after) / (1 - cosine**2)
    more_after = (to_after - cosine * to_before) / (1 - cosine**2)
    met = tuple(more_before * b + more_after * a for b, a in zip(before.vector, after.vector, strict=True))
    meant = tuple(leg.length_mm * w for w in leg.vector)
    if min(more_before, more_after) <= 0 or math.dist(met, meant) > LENGTH_TOLERANCE_MM:
        return None
    longer = [
        replace(before, length_mm=before.length_mm + more_before, end_station_mm=leg.middle_mm),
        replace(after, length_mm=after.length_mm + more_after, start_station_mm=leg.middle_mm),
    ]
    return legs[: index - 1] + longer + legs[index + 2 :]


def _smoothed_without(legs: list[Leg], index: int, tolerance_mm: float) -> list[Leg] | None:
    """Return the legs with one left out and its neighbours led to its middle; None where that is too far."""
    if not 0 < index < len(legs) - 1:
        return None
    before, leg, after = legs[index - 1 : index + 2]
    moved_mm = max(before.moved_mm, leg.moved_mm, after.moved_mm) + leg.length_mm / 2
    moves = _sum(before, leg, 0.5), _sum(after, leg, 0.5)
    if moved_mm > tolerance_mm or not all(map(any, moves)):
        return None
    led = [
        _leg(moves[0], before.start_station_mm, leg.middle_mm, moved_mm),
        _leg(moves[1], leg.middle_mm, after.end_station_mm, moved_mm),
    ]
    return _straightened(legs[: index - 1] + led + legs[index + 2 :])


def _sum(leg: Leg, other: Leg, share: float) -> Vector:
    """Return the sum of one leg and a share of another, one after the other."""
    x, y, z = (
        leg.length_mm * a + share * other.length_mm * b for a, b in zip(leg.vector, other.vector, strict=True)
    )
    return x, y, z


def _dot(one: Vector, other: Vector) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))
