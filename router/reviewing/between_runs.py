"""Whether runs that must stay apart do: the distance of their looms in space, outside to outside.

A segment that is nearer in plan to a terminal of both runs than practice "apart: near a terminal" does not
count: both runs must come there. Looms of different spaces keep apart too, but where a panel parts them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, product, starmap

import numpy as np
import numpy.typing as npt

from router.model.job import Job, Run
from router.model.plan import Finding, FindingKind, Route, Severity
from router.model.practice import Practice
from router.model.vehicle import Hazard, KeepOut, Profile, Shape, ShapeKind, Terminal
from router.reviewing.beyond_panels import split_by_panels
from router.reviewing.finding import found, told_apart
from router.reviewing.review_tolerances import CLEARANCE_TOLERANCE_MM
from router.reviewing.route_segments import Segment, segments_of

_Place = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Part:
    """A straight part of a route in one space: its ends in space, and their stations."""

    piece: Segment
    start: _Place
    end: _Place
    start_station_mm: float
    end_station_mm: float


def review_apart(
    job: Job,
    routes: Sequence[Route],
    looms_mm: Mapping[str, float],
    profile: Profile,
    practice: Practice,
) -> tuple[Finding, ...]:
    """Return a finding for each two runs whose looms are nearer than the job says, at their nearest place.

    Parameters
    ----------
    job : Job
    routes : sequence of Route
        One for each run, in the job's order.
    looms_mm : mapping of str to float
        By run: outside of its loom. [mm]
    profile, practice : records of the model
    """
    findings = []
    for (run, route), (other, beside) in combinations(zip(job.runs, routes, strict=True), 2):
        required_mm = job.apart_mm(run.name, other.name)
        if required_mm is None:
            continue
        within_mm = practice.value("apart", "near a terminal")
        terminals = _common(run, other, profile)
        parts = list(_parts(route, terminals, within_mm))
        there = list(_parts(beside, terminals, within_mm))
        radii_mm = (looms_mm[run.name] + looms_mm[other.name]) / 2
        least_mm = required_mm + radii_mm - CLEARANCE_TOLERANCE_MM
        diameters_mm = looms_mm[run.name], looms_mm[other.name]
        too_near = _too_near_places(parts, there, diameters_mm, least_mm, profile)
        if nearest := min(too_near, default=None):
            actual_mm = max(0.0, nearest[0] - radii_mm)
            findings.append(_too_near(run, other, required_mm, actual_mm, nearest[1:], practice))
    return tuple(findings)


def _too_near_places(
    parts: Sequence[_Part],
    there: Sequence[_Part],
    diameters_mm: tuple[float, float],
    least_mm: float,
    profile: Profile,
) -> Iterator[tuple[float, float, float]]:
    """Yield where two lines come nearer than they may: how near, and the stations on both."""
    for a, b in product(parts, there):
        nearest = _nearest(a, b)
        if nearest[0] < least_mm and a.piece.space != b.piece.space:
            nearest = min(
                starmap(_nearest, _in_the_open(a, b, diameters_mm, profile)), default=(math.inf, 0, 0)
            )
        if nearest[0] < least_mm:
            yield nearest


def _in_the_open(
    a: _Part, b: _Part, diameters_mm: tuple[float, float], profile: Profile
) -> Iterator[tuple[_Part, _Part]]:
    """Yield the parts of two looms of different spaces that no panel parts, each a body for the other."""
    for one in split_by_panels((a.piece,), _as_body(b.piece, diameters_mm[1]), profile)[0]:
        for other in split_by_panels((b.piece,), _as_body(one, diameters_mm[0]), profile)[0]:
            yield _part(one, 0.0, 1.0), _part(other, 0.0, 1.0)


def _as_body(piece: Segment, diameter_mm: float) -> KeepOut:
    """Return a piece of a loom as a body: as thick as it is, from its least to its greatest height."""
    radius_mm = diameter_mm / 2
    points = (piece.start,) if piece.is_vertical else (piece.start, piece.end)
    shape = Shape(ShapeKind.DISC if piece.is_vertical else ShapeKind.LINE, points, radius_mm)
    heights_mm = (piece.low_mm - radius_mm, piece.high_mm + radius_mm)
    return KeepOut("loom", None, Hazard.SOLID, shape, heights_mm, is_shielded=False, clearance_mm=None)


def _too_near(
    run: Run, other: Run, required_mm: float, actual_mm: float, at_mm: tuple[float, float], practice: Practice
) -> Finding:
    required, actual = told_apart(required_mm, actual_mm)
    return found(
        FindingKind.APART,
        Severity.MUST,
        run.name,
        at_mm[0],
        f"the loom lies {actual} from the loom of {other.name} (there at station {at_mm[1]:.0f} mm)",
        more=f"; the job wants {required}",
        required=f"at least {required}",
        actual=actual,
        rule=practice.rule("apart", "near a terminal"),
    )


def _common(run: Run, other: Run, profile: Profile) -> list[Terminal]:
    return [profile.terminal(name) for name in (run.start, run.end) if name in (other.start, other.end)]


def _parts(route: Route, terminals: Sequence[Terminal], within_mm: float) -> Iterator[_Part]:
    """Yield the parts of a route that lie at least `within_mm` from every terminal of its space, in plan."""
    for segment in segments_of(route):
        spans = [(0.0, 1.0)]
        for terminal in terminals:
            if terminal.space == segment.space:
                near = _share_inside(segment, terminal.at, within_mm)
                spans = [rest for span in spans for rest in _without(span, near)]
        for span in spans:
            yield _part(segment, *span)


def _part(segment: Segment, first: float, last: float) -> _Part:
    start = np.array([*segment.start, segment.start_z_mm])
    vector = np.array([*segment.end, segment.end_z_mm]) - start
    stations = segment.station_of_share(first), segment.station_of_share(last)
    return _Part(segment.part(first, last), start + first * vector, start + last * vector, *stations)


def _share_inside(segment: Segment, centre: tuple[float, float], radius_mm: float) -> tuple[float, float]:
    """Return the shares of a segment between which it lies inside a circle in plan; (0, 0) where nowhere."""
    ux, uy = segment.end[0] - segment.start[0], segment.end[1] - segment.start[1]
    px, py = segment.start[0] - centre[0], segment.start[1] - centre[1]
    square, half, rest = ux * ux + uy * uy, ux * px + uy * py, px * px + py * py - radius_mm**2
    if square == 0.0:
        return (0.0, 1.0) if rest < 0.0 else (0.0, 0.0)
    root = half * half - square * rest
    if root <= 0.0:
        return 0.0, 0.0
    return (-half - math.sqrt(root)) / square, (-half + math.sqrt(root)) / square


def _without(span: tuple[float, float], near: tuple[float, float]) -> Iterator[tuple[float, float]]:
    if near[1] <= span[0] or near[0] >= span[1] or near[0] == near[1]:
        yield span
        return
    if near[0] > span[0]:
        yield span[0], near[0]
    if near[1] < span[1]:
        yield near[1], span[1]


def _nearest(one: _Part, other: _Part) -> tuple[float, float, float]:
    """Return the least distance of two straight parts in space, and the stations of it on both.

    It lies at an end of one of them, or where the square of the distance, a paraboloid over both shares, is
    flat.
    """
    u, v, w = one.end - one.start, other.end - other.start, one.start - other.start
    uu, uv, vv, uw, vw = float(u @ u), float(u @ v), float(v @ v), float(u @ w), float(v @ w)
    shares = [(s, _clamped(s * uv + vw, vv)) for s in (0.0, 1.0)]
    shares += [(_clamped(t * uv - uw, uu), t) for t in (0.0, 1.0)]
    flat = uu * vv - uv * uv
    if flat > 0.0:
        s, t = (uv * vw - vv * uw) / flat, (uu * vw - uv * uw) / flat
        shares += [(s, t)] * (0.0 <= s <= 1.0 and 0.0 <= t <= 1.0)
    gap, s, t = min((float(np.linalg.norm(w + s * u - t * v)), s, t) for s, t in shares)
    first = one.start_station_mm + s * (one.end_station_mm - one.start_station_mm)
    return gap, first, other.start_station_mm + t * (other.end_station_mm - other.start_station_mm)


def _clamped(part: float, whole: float) -> float:
    return min(1.0, max(0.0, part / whole)) if whole > 0.0 else 0.0
