"""How far a straight piece of loom is from an upright prism, exactly, by plain arithmetic alone. mm.

A prism is a footprint (a polygon, or edges with a reach round them: a stadium, a disc) from one height to
another. A place of the loom is hypot(plan distance, height gap) away from it. Along a straight piece the
distance to one edge of the footprint is convex; inside a polygon the plan distance is 0. So the least of
what each edge gives and of the gaps above the polygon is the distance, whether the polygon is convex or not.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
ROUNDS = 90
"""Golden sections: they leave 1e-19 of the piece."""
ON_BORDER_MM = 1e-6
"""A place this near to the border of an area is in it: what rounding does to a place on the border."""

Point = tuple[float, float]
Place = tuple[float, float, float]
Edge = tuple[Point, Point]
Share = tuple[float, float]
"""From where to where on a piece, 0 its start and 1 its end."""
WHOLE: Share = (0.0, 1.0)
Nearest = tuple[float, float]
"""How near a piece comes [mm], and where on it, as a share of its length."""
NOWHERE: Nearest = (math.inf, 0.0)


@dataclass(frozen=True)
class Piece:
    """A straight piece of a line in space."""

    start: Place
    end: Place

    def at(self, share: float) -> Place:
        x, y, z = (a + share * (b - a) for a, b in zip(self.start, self.end, strict=True))
        return x, y, z

    @property
    def is_level(self) -> bool:
        return self.start[2] == self.end[2]

    @property
    def is_upright(self) -> bool:
        return self.start[:2] == self.end[:2]


@dataclass(frozen=True)
class Prism:
    """A footprint with its heights. Where it is a polygon `points` go round it, else along it or to it."""

    points: tuple[Point, ...]
    is_area: bool
    reach_mm: float
    low_mm: float
    high_mm: float

    @property
    def edges(self) -> tuple[Edge, ...]:
        if len(self.points) == 1:
            return ((self.points[0], self.points[0]),)
        around = (*self.points, self.points[0]) if self.is_area else self.points
        return tuple(pairwise(around))

    def gap_mm(self, z: float) -> float:
        """Return how far a height is above or below it."""
        return max(0.0, self.low_mm - z, z - self.high_mm)


def nearest(piece: Piece, prism: Prism, share: Share = WHOLE) -> Nearest:
    """Return how near a part of a piece comes to a prism, and where."""
    found = [_nearest_to_edge(piece, edge, prism, share) for edge in prism.edges]
    if prism.is_area:
        found += [
            _least_gap(piece, inside, prism) for inside in shares_inside(piece, prism.points, share, 0.0)
        ]
    return min(found)


def box_distance_mm(piece: Piece, prism: Prism) -> float:
    """Return what no place of a piece is nearer than: the distance between the boxes round both."""
    gaps = []
    for axis in (0, 1):
        low, high = sorted((piece.start[axis], piece.end[axis]))
        values = [point[axis] for point in prism.points]
        gaps.append(max(0.0, min(values) - high, low - max(values)))
    low, high = sorted((piece.start[2], piece.end[2]))
    upright_mm = max(0.0, prism.low_mm - high, low - prism.high_mm)
    return math.hypot(max(0.0, math.hypot(*gaps) - prism.reach_mm), upright_mm)


def _nearest_to_edge(piece: Piece, edge: Edge, prism: Prism, share: Share) -> Nearest:
    if piece.is_level:
        plan_mm, at = _segments(piece.at(share[0])[:2], piece.at(share[1])[:2], *edge)
        gap_mm = prism.gap_mm(piece.start[2])
        return math.hypot(max(0.0, plan_mm - prism.reach_mm), gap_mm), share[0] + at * (share[1] - share[0])
    if piece.is_upright:
        plan_mm = max(0.0, _to_segment(piece.start[:2], *edge)[0] - prism.reach_mm)
        gap_mm, at = _least_gap(piece, share, prism)
        return math.hypot(plan_mm, gap_mm), at

    def away_mm(at: float) -> float:
        x, y, z = piece.at(at)
        return math.hypot(max(0.0, _to_segment((x, y), *edge)[0] - prism.reach_mm), prism.gap_mm(z))

    return least_of_convex(away_mm, share)


def least_of_convex(function: Callable[[float], float], share: Share) -> Nearest:
    """Return the least value of a convex function between two arguments, and where it is."""
    low, high = share
    left, right = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_left, at_right = function(left), function(right)
    for _ in range(ROUNDS):
        if at_left <= at_right:
            high, right, at_right = right, left, at_left
            left = high - GOLDEN * (high - low)
            at_left = function(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + GOLDEN * (high - low)
            at_right = function(right)
    return min((function(at), at) for at in (*share, low, high, left, right))


def _least_gap(piece: Piece, share: Share, prism: Prism) -> Nearest:
    """Return the least height gap between a part of a piece and a prism."""
    first_z, rise_mm = piece.start[2], piece.end[2] - piece.start[2]
    levels = [z for z in (prism.low_mm, prism.high_mm) if math.isfinite(z) and rise_mm]
    at = [(z - first_z) / rise_mm for z in levels]
    places = [*share, *(min(max(each, share[0]), share[1]) for each in at)]
    return min((prism.gap_mm(piece.at(each)[2]), each) for each in places)


def shares_inside(
    piece: Piece, area: tuple[Point, ...], share: Share = WHOLE, spare_mm: float = ON_BORDER_MM
) -> list[Share]:
    """Return the parts of a piece inside a polygon in plan, its border and `spare_mm` beside it too."""
    start, end = piece.start[:2], piece.end[:2]
    cuts = {share[0], share[1]}
    for edge in pairwise((*area, area[0])):
        cuts |= {at for at in _crossings(start, end, *edge) if share[0] < at < share[1]}
    inside = []
    for low, high in pairwise(sorted(cuts) if len(cuts) > 1 else [share[0], share[0]]):
        if is_in(piece.at((low + high) / 2.0)[:2], area, spare_mm):
            inside.append((low, high))
    return _joined(inside)


def is_in(point: Point, area: tuple[Point, ...], spare_mm: float = ON_BORDER_MM) -> bool:
    """Return whether a point lies in a polygon, on its border, or no further than `spare_mm` outside."""
    x, y = point
    crossed = False
    for (ax, ay), (bx, by) in pairwise((*area, area[0])):
        if _to_segment(point, (ax, ay), (bx, by))[0] <= spare_mm:
            return True
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            crossed = not crossed
    return crossed


def covers(area: tuple[Point, ...], prism: Prism) -> bool:
    """Return whether a whole footprint, its reach included, lies in a polygon."""
    border = tuple(pairwise((*area, area[0])))
    for a, b in prism.edges:
        if shares_inside(Piece((*a, 0.0), (*b, 0.0)), area) != [WHOLE]:
            return False
        if prism.reach_mm and any(_segments(a, b, *e)[0] < prism.reach_mm - ON_BORDER_MM for e in border):
            return False
    return True


def rest_of(shares: list[Share], share: Share = WHOLE) -> list[Share]:
    """Return what is left of a part of a piece without others."""
    left, low = [], share[0]
    for start, end in _joined(sorted(shares)):
        if start > low:
            left.append((low, start))
        low = max(low, end)
    return [*left, (low, share[1])] if low < share[1] else left


def common(first: list[Share], second: list[Share]) -> list[Share]:
    """Return what is part of both."""
    both = [(max(a, c), min(b, d)) for a, b in first for c, d in second]
    return sorted(each for each in both if each[0] <= each[1])


def share_above(first: float, last: float, spare: float = ON_BORDER_MM) -> list[Share]:
    """Return where a value is 0 or more that changes evenly from `first` to `last` along a piece."""
    first, last = first + spare, last + spare
    if first >= 0.0 and last >= 0.0:
        return [WHOLE]
    if first < 0.0 and last < 0.0:
        return []
    at = first / (first - last)
    return [(0.0, at)] if first >= 0.0 else [(at, 1.0)]


def along_and_aside(point: Point, start: Point, end: Point) -> Point:
    """Return how far along a line a point lies, and how far to the side that y lies of x."""
    long_mm = math.dist(start, end)
    ux, uy = (end[0] - start[0]) / long_mm, (end[1] - start[1]) / long_mm
    dx, dy = point[0] - start[0], point[1] - start[1]
    return dx * ux + dy * uy, ux * dy - uy * dx


def distance_to_line_mm(place: Place, line: tuple[Place, ...]) -> float:
    """Return how far a place in space is from a line of straight pieces."""
    return min(_to_segment(place, a, b)[0] for a, b in pairwise(line))


def _joined(shares: list[Share]) -> list[Share]:
    joined: list[Share] = []
    for low, high in shares:
        if joined and low <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return joined


def _to_segment(point: tuple[float, ...], start: tuple[float, ...], end: tuple[float, ...]) -> Nearest:
    """Return how far a point is from a segment, in plan or in space, and the share of the segment there."""
    ahead = [b - a for a, b in zip(start, end, strict=True)]
    square = sum(part * part for part in ahead)
    reached = sum(part * (p - a) for part, p, a in zip(ahead, point, start, strict=True))
    share = min(1.0, max(0.0, reached / square)) if square else 0.0
    return math.dist(point, [a + share * part for a, part in zip(start, ahead, strict=True)]), share


def _segments(a: Point, b: Point, c: Point, d: Point) -> Nearest:
    """Return how near segment ab comes to segment cd in plan, and the share of ab there."""
    met = _crossings(a, b, c, d)
    if met:
        return 0.0, met[0]
    return min(
        (_to_segment(a, c, d)[0], 0.0),
        (_to_segment(b, c, d)[0], 1.0),
        _to_segment(c, a, b),
        _to_segment(d, a, b),
    )


def _crossings(a: Point, b: Point, c: Point, d: Point) -> list[float]:
    """Return the share of ab at which it crosses cd, if it does; none where they are parallel."""
    (abx, aby), (cdx, cdy) = (b[0] - a[0], b[1] - a[1]), (d[0] - c[0], d[1] - c[1])
    turn = abx * cdy - aby * cdx
    if turn == 0.0:
        return []
    acx, acy = c[0] - a[0], c[1] - a[1]
    share, other = (acx * cdy - acy * cdx) / turn, (acx * aby - acy * abx) / turn
    return [share] if 0.0 <= share <= 1.0 and 0.0 <= other <= 1.0 else []
