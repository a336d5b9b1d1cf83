"""Which runs lie together, from station to station: one loom to every trade, or two to every trade. mm.

Two runs are one loom where their lines are one within `ONE_LOOM_MM`. Every run lies on the line of the first
run that goes there, so that each stretch of line is told of once; a run that no other goes with lies on its
own. Planned runs of one loom lie exactly on each other.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from router.facts.along_route import Segment, segments_of
from router.model.plan import Bundle, LoomPart, Route
from router.tolerances import ONE_LOOM_MM, ONLY_TOUCHES_MM, PARALLEL, SHORTEST_LOOM_MM


@dataclass(frozen=True, slots=True)
class _Cover:
    """A stretch of a run that lies on the line of another: in stations of both, which go in proportion."""

    from_mm: float
    to_mm: float
    on: int
    """The number of the run whose line it is."""
    on_from_mm: float
    on_to_mm: float

    @property
    def is_against(self) -> bool:
        return self.on_from_mm > self.on_to_mm

    @property
    def on_mm(self) -> tuple[float, float]:
        return min(self.on_from_mm, self.on_to_mm), max(self.on_from_mm, self.on_to_mm)

    def on_at(self, station_mm: float) -> float:
        """Return the other run's station at one of the run's own."""
        share = (station_mm - self.from_mm) / (self.to_mm - self.from_mm)
        return self.on_from_mm + share * (self.on_to_mm - self.on_from_mm)

    def at_on(self, on_station_mm: float) -> float:
        """Return the run's own station at one of the other run's."""
        share = (on_station_mm - self.on_from_mm) / (self.on_to_mm - self.on_from_mm)
        return self.from_mm + share * (self.to_mm - self.from_mm)

    def between(self, low_mm: float, high_mm: float) -> _Cover | None:
        """Return the part of it between two of the run's own stations."""
        low_mm, high_mm = max(low_mm, self.from_mm), min(high_mm, self.to_mm)
        if high_mm - low_mm <= ONLY_TOUCHES_MM:
            return None
        return _Cover(low_mm, high_mm, self.on, self.on_at(low_mm), self.on_at(high_mm))


def bundles_of(routes: Sequence[Route]) -> tuple[Bundle, ...]:
    """Return every stretch of line with the runs that lie on it: by its first run, then by station."""
    covers: list[list[_Cover]] = []
    lines = [_Line.of(route) for route in routes]
    for number, line in enumerate(lines):
        covers.append(_covers(number, line, lines, covers))
    return tuple(
        Bundle(tuple(_part(routes[run], lines[run], *stations_mm) for run, stations_mm in row.items()))
        for number, route in enumerate(routes)
        for own in _uncovered(route.routed_mm, covers[number])
        for row in _rows_on(number, own, covers)
    )


def bundles_along(bundles: Sequence[Bundle], run: str) -> tuple[Bundle, ...]:
    """Return the bundles that a run lies in, in the order of its own stations."""
    own = [bundle for bundle in bundles if run in bundle.runs]
    return tuple(sorted(own, key=lambda bundle: bundle.stations_mm(run)))


def station_beside(bundles: Sequence[Bundle], run: str, other: str, station_mm: float) -> float | None:
    """Return a run's station beside a station of another run that lies in one loom with it there, else None.

    Parameters
    ----------
    bundles : sequence of Bundle
    run : str
        The run whose station is asked for.
    other : str
    station_mm : float
        Of the other run. [mm]
    """
    for bundle in bundles:
        if run in bundle.runs and other in bundle.runs and bundle.holds(other, station_mm):
            here, there = bundle.part(run), bundle.part(other)
            share = (station_mm - there.from_station_mm) / (there.to_station_mm - there.from_station_mm)
            share = min(max(share, 0.0), 1.0)
            return here.from_station_mm + share * (here.to_station_mm - here.from_station_mm)
    return None


def lying_with_earlier(bundles: Sequence[Bundle], run: str) -> tuple[tuple[float, float], ...]:
    """Return from where to where a run lies in an earlier one's loom, those that touch made one. [mm]"""
    stretches: list[tuple[float, float]] = []
    for bundle in bundles_along(bundles, run):
        if bundle.runs[0] != run:
            low_mm, high_mm = bundle.stations_mm(run)
            if stretches and low_mm - stretches[-1][1] <= ONLY_TOUCHES_MM:
                low_mm = stretches.pop()[0]
            stretches.append((low_mm, high_mm))
    return tuple(stretches)


# What lies on whose line


@dataclass(frozen=True, slots=True)
class _Line:
    """A route as straight pieces, and the upright boxes round them: for each x, y, z, least and greatest."""

    pieces: tuple[Segment, ...]
    low: Any
    high: Any

    @classmethod
    def of(cls, route: Route) -> _Line:
        pieces = segments_of(route)
        ends = [
            ((p.start.x_mm, p.start.y_mm, p.start.z_mm), (p.end.x_mm, p.end.y_mm, p.end.z_mm)) for p in pieces
        ]
        corners = np.array(ends, dtype=float).reshape(-1, 2, 3)
        return cls(pieces, corners.min(axis=1), corners.max(axis=1))

    def at_corner(self, station_mm: float) -> float:
        """Return a station, or that of a corner where it is one but for rounding."""
        corners = [0.0, *(piece.end.station_mm for piece in self.pieces)]
        nearest_mm = min(corners, key=lambda corner_mm: abs(corner_mm - station_mm))
        return nearest_mm if abs(nearest_mm - station_mm) <= ONLY_TOUCHES_MM else station_mm

    def near(self, other: _Line) -> Iterator[tuple[Segment, Segment]]:
        """Yield the pairs of pieces whose boxes are no further apart than one loom; most pairs are."""
        gaps = np.maximum(self.low[:, None] - other.high[None], other.low[None] - self.high[:, None])
        for own, their in np.argwhere((gaps <= ONE_LOOM_MM).all(axis=2)):
            if self.pieces[own].space == other.pieces[their].space:
                yield self.pieces[own], other.pieces[their]


def _covers(number: int, line: _Line, lines: Sequence[_Line], known: list[list[_Cover]]) -> list[_Cover]:
    """Return what of a run lies on the lines of earlier runs, each stretch on the first of them.

    A run that goes there and back on one line lies in its loom once; the other time it lies beside it.
    """
    covers: list[_Cover] = []
    for other in range(number):
        for near in _lying_on(line, other, lines[other]):
            for cover in _on_first_line(near, known[other]):
                covers += _beside_known(cover, covers)
    return sorted(covers, key=lambda cover: cover.from_mm)


def _lying_on(line: _Line, other: int, their: _Line) -> list[_Cover]:
    """Return what of a run lies on another's line; what goes the same way there comes first."""
    found = [cover for own, piece in line.near(their) if (cover := _shared(own, piece, other))]
    rows: list[_Cover] = []
    for is_against in (False, True):
        row = sorted((c for c in found if c.is_against is is_against), key=lambda c: (c.from_mm, c.to_mm))
        rows += [_up_to(before, after) for before, after in pairwise(row)]
        rows += row[-1:]
    return rows


def _up_to(before: _Cover, after: _Cover) -> _Cover:
    """Return a stretch made longer up to the next one, where what lies between is too short to count."""
    ahead = -1.0 if before.is_against else 1.0
    apart_mm, on_apart_mm = after.from_mm - before.to_mm, ahead * (after.on_from_mm - before.on_to_mm)
    if not (0.0 <= apart_mm <= SHORTEST_LOOM_MM and 0.0 <= on_apart_mm <= SHORTEST_LOOM_MM):
        return before
    return _Cover(before.from_mm, after.from_mm, before.on, before.on_from_mm, after.on_from_mm)


def _shared(own: Segment, other: Segment, number: int) -> _Cover | None:
    """Return the stretch on which two straight pieces are one line: parallel, close and side by side."""
    ahead, theirs = own.direction(), other.direction()
    cosine = _dot(ahead, theirs)
    if 1.0 - cosine * cosine > PARALLEL**2:
        return None
    start, end = _offset(own, other.start), _offset(own, other.end)
    start_mm, end_mm = _dot(ahead, start), _dot(ahead, end)
    low_mm, high_mm = max(0.0, min(start_mm, end_mm)), min(own.length_mm, max(start_mm, end_mm))
    if high_mm - low_mm <= ONLY_TOUCHES_MM:
        return None

    def share_at(along_mm: float) -> float:
        return (along_mm - start_mm) / (end_mm - start_mm)

    def aside(along_mm: float) -> tuple[float, ...]:
        share = share_at(along_mm)
        return tuple(s + share * (e - s) - along_mm * a for s, e, a in zip(start, end, ahead, strict=True))

    within = _shares_within(aside(low_mm), aside(high_mm))
    if within is None:
        return None
    from_mm, to_mm = (low_mm + share * (high_mm - low_mm) for share in within)
    if to_mm - from_mm <= ONLY_TOUCHES_MM:
        return None
    on_mm = [other.start.station_mm + share_at(mm) * other.length_mm for mm in (from_mm, to_mm)]
    return _Cover(own.start.station_mm + from_mm, own.start.station_mm + to_mm, number, *on_mm)


def _shares_within(first: tuple[float, ...], last: tuple[float, ...]) -> tuple[float, float] | None:
    """Return from which to which share a vector that goes evenly from one to another is short enough."""
    change = tuple(b - a for a, b in zip(first, last, strict=True))
    square, half, rest = _dot(change, change), _dot(first, change), _dot(first, first) - ONE_LOOM_MM**2
    if square < 1e-18:  # as far apart all along
        return (0.0, 1.0) if rest <= 0.0 else None
    root = half * half - square * rest
    if root < 0.0:
        return None
    low, high = ((-half + sign * math.sqrt(root)) / square for sign in (-1.0, 1.0))
    return (max(low, 0.0), min(high, 1.0)) if low < 1.0 and high > 0.0 else None


def _on_first_line(cover: _Cover, known: Sequence[_Cover]) -> Iterator[_Cover]:
    """Yield a stretch that lies on a run's line as lying on that of the first run that the line goes with."""
    low_mm, high_mm = cover.on_mm
    on_mm = low_mm
    for first in known:
        start_mm, end_mm = max(low_mm, first.from_mm), min(high_mm, first.to_mm)
        if end_mm - start_mm <= ONLY_TOUCHES_MM:
            continue
        yield from _part_on(cover, on_mm, start_mm)
        own = sorted((cover.at_on(start_mm), cover.at_on(end_mm)))
        ends = [first.on_at(cover.on_at(mm)) for mm in own]
        yield _Cover(own[0], own[1], first.on, ends[0], ends[1])
        on_mm = end_mm
    yield from _part_on(cover, on_mm, high_mm)


def _part_on(cover: _Cover, low_mm: float, high_mm: float) -> Iterator[_Cover]:
    """Yield the part of a stretch between two stations of the other run, if there is any."""
    if high_mm - low_mm > ONLY_TOUCHES_MM:
        part = cover.between(*sorted((cover.at_on(low_mm), cover.at_on(high_mm))))
        if part:
            yield part


def _beside_known(cover: _Cover, known: Sequence[_Cover]) -> list[_Cover]:
    """Return the parts of a stretch that no known one has already, of the run or of the other's line."""
    taken = [(each.from_mm, each.to_mm) for each in known]
    for each in known:
        if each.on == cover.on:
            low_mm, high_mm = sorted(cover.at_on(mm) for mm in each.on_mm)
            taken.append((low_mm, high_mm))
    parts = [cover]
    for low_mm, high_mm in taken:
        ends = ((-math.inf, low_mm), (high_mm, math.inf))
        parts = [rest for part in parts for low, high in ends if (rest := part.between(low, high))]
    return parts


def _uncovered(routed_mm: float, covers: Sequence[_Cover]) -> Iterator[tuple[float, float]]:
    """Yield from where to where a run lies on no earlier run's line."""
    at_mm = 0.0
    for cover in covers:
        if cover.from_mm - at_mm > ONLY_TOUCHES_MM:
            yield at_mm, cover.from_mm
        at_mm = max(at_mm, cover.to_mm)
    if routed_mm - at_mm > ONLY_TOUCHES_MM:
        yield at_mm, routed_mm


# Stretches of one line


def _rows_on(
    number: int, own: tuple[float, float], covers: Sequence[Sequence[_Cover]]
) -> Iterator[dict[int, tuple[float, float]]]:
    """Yield who lies on a stretch of a run's own line, from where to where in its own stations.

    The stretch is cut where another run joins or leaves; runs are told by their numbers, in their order.
    """
    there = [(run, cover) for run, row in enumerate(covers) for cover in row if cover.on == number]
    cuts = _apart(sorted([*own, *(mm for _, c in there for mm in c.on_mm if own[0] < mm < own[1])]))
    row: dict[int, tuple[float, float]] = {}
    for low_mm, high_mm in pairwise(cuts):
        after = {number: (low_mm, high_mm)}
        for run, cover in there:
            if cover.on_mm[0] < (low_mm + high_mm) / 2 < cover.on_mm[1]:
                after[run] = (cover.at_on(low_mm), cover.at_on(high_mm))
        if row and _goes_on(row, after):
            row = {run: (row[run][0], after[run][1]) for run in row}
            continue
        if row:
            yield row
        row = after
    yield row


def _apart(cuts_mm: Sequence[float]) -> list[float]:
    """Return cuts without those that lie so near to the one before that nothing is between them."""
    kept = [cuts_mm[0]]
    kept += [after for before, after in pairwise(cuts_mm) if after - before > ONLY_TOUCHES_MM]
    return kept


def _goes_on(before: dict[int, tuple[float, float]], after: dict[int, tuple[float, float]]) -> bool:
    return before.keys() == after.keys() and all(
        abs(after[run][0] - before[run][1]) <= ONLY_TOUCHES_MM for run in before
    )


def _part(route: Route, line: _Line, from_mm: float, to_mm: float) -> LoomPart:
    return LoomPart(route.run, line.at_corner(from_mm), line.at_corner(to_mm))


def _offset(piece: Segment, point: Any) -> tuple[float, float, float]:
    start = piece.start
    return point.x_mm - start.x_mm, point.y_mm - start.y_mm, point.z_mm - start.z_mm


def _dot(one: Sequence[float], other: Sequence[float]) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))
