"""Where two paths part, and the place that would be best for the three legs that meet there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TypeAlias

from router.search.path_search import Path
from router.search.world import XY
from router.tolerances import SAME_PLACE_MM

MOST_STEPS = 200
LEAST_GAIN_MM = 0.2
"""A place that gains less than this on the three legs that meet there is not worth trying."""

Spot: TypeAlias = tuple[int, float, float]
Promise: TypeAlias = tuple[float, tuple[int, XY]]
"""What a place gains on the three legs that meet there, in mm, and the place with its layer."""


def branch_places(one: Path, other: Path, paths: Sequence[Path], share: float) -> Iterator[Promise]:
    """Yield the places where two paths would part best by their present bends, with what that gains.

    Where they part now, one leg comes from their trunk and one leg each goes on; where they only meet, the
    trunk has yet to grow. A leg weighs 1, and `share` more for each further one of all `paths` in it.

    Parameters
    ----------
    one, other : Path
        The two that part.
    paths : sequence of Path
        All that are laid, these two among them.
    share : float
        What a further path costs along another, as a share of the effort there.
    """
    lines = [_line(path) for path in paths]
    spots = list(dict.fromkeys(spot for line in lines for spot in line))
    pieces = [set(pairwise(_with(line, spots))) for line in lines]
    first, second = _with(_line(one), spots), _with(_line(other), spots)
    seen: set[tuple[int, int, int]] = set()
    for spot, trunk, a, b in _partings(first, second):
        both = _runs_on(pieces, spot, trunk) if trunk != spot else 0
        mine, theirs = _runs_on(pieces, spot, a), _runs_on(pieces, spot, b)
        weights = [1.0 + share * (n - 1) for n in (max(both, mine + theirs), mine, theirs)]
        ends = [trunk[1:], a[1:], b[1:]]
        at = best_meeting(ends, weights)
        here_mm, there_mm = (
            sum(w * math.dist(p, end) for w, end in zip(weights, ends, strict=True)) for p in (spot[1:], at)
        )
        key = (spot[0], round(at[0] * 10), round(at[1] * 10))
        if here_mm - there_mm > LEAST_GAIN_MM and key not in seen:
            seen.add(key)
            yield here_mm - there_mm, (spot[0], (round(at[0], 6), round(at[1], 6)))


def _runs_on(pieces: Sequence[set[tuple[Spot, Spot]]], a: Spot, b: Spot) -> int:
    """Return how many paths have a piece between two places; at least one."""
    return max(1, sum((a, b) in own or (b, a) in own for own in pieces))


def best_meeting(ends: Sequence[XY], weights: Sequence[float]) -> XY:
    """Return the point with the least weighted sum of distances to some points.

    References
    ----------
    .. [1] E. Weiszfeld, Tohoku Math. J. 43 (1937) 355, with the test at the points themselves of
       H. W. Kuhn, Math. Programming 4 (1973) 98.
    """
    for n, (x, y) in enumerate(ends):
        pull = [
            (w * (px - x) / math.dist((px, py), (x, y)), w * (py - y) / math.dist((px, py), (x, y)))
            for (px, py), w in zip(ends, weights, strict=True)
            if (px, py) != (x, y)
        ]
        own = sum(w for p, w in zip(ends, weights, strict=True) if p == (x, y))
        if math.hypot(sum(p[0] for p in pull), sum(p[1] for p in pull)) <= own:
            return ends[n]
    total = sum(weights)
    x = sum(w * p[0] for p, w in zip(ends, weights, strict=True)) / total
    y = sum(w * p[1] for p, w in zip(ends, weights, strict=True)) / total
    for _ in range(MOST_STEPS):
        pulls = [w / max(math.dist(p, (x, y)), 1e-12) for p, w in zip(ends, weights, strict=True)]
        nx = sum(w * p[0] for p, w in zip(ends, pulls, strict=True)) / sum(pulls)
        ny = sum(w * p[1] for p, w in zip(ends, pulls, strict=True)) / sum(pulls)
        moved_mm, x, y = math.dist((x, y), (nx, ny)), nx, ny
        if moved_mm < 1e-9:
            break
    return x, y


def _line(path: Path) -> list[Spot]:
    """Return the bends of a path."""
    spots: list[Spot] = []
    for step in path.steps:
        spot = (step.layer, step.x, step.y)
        if spots and spot == spots[-1]:
            continue
        if len(spots) >= 2 and _is_between(spots[-2], spots[-1], spot):
            spots.pop()
        spots.append(spot)
    return spots


def _with(line: list[Spot], other: list[Spot]) -> list[Spot]:
    """Return a line with the bends of another that lie on it put in."""
    row = [line[0]]
    for a, b in pairwise(line):
        on = [spot for spot in other if _is_between(a, spot, b)]
        row += sorted(on, key=lambda spot: math.dist(a[1:], spot[1:]))
        row.append(b)
    return row


def _is_between(a: Spot, spot: Spot, b: Spot) -> bool:
    (layer, ax, ay), (at, x, y), (other, bx, by) = a, spot, b
    if not layer == at == other or _is_outside(x, ax, bx) or _is_outside(y, ay, by):
        return False
    if _is_same(a, spot) or _is_same(spot, b):
        return False
    through_mm = math.dist(a[1:], spot[1:]) + math.dist(spot[1:], b[1:]) - math.dist(a[1:], b[1:])
    if through_mm > SAME_PLACE_MM:
        return False
    ux, uy = bx - ax, by - ay
    off_mm = abs(ux * (y - ay) - uy * (x - ax)) / math.hypot(ux, uy)
    return off_mm <= SAME_PLACE_MM


def _is_outside(value: float, end: float, other: float) -> bool:
    """Return whether a value lies on one side of both ends, by more than what is between them may."""
    return (value > end + 2.0 * SAME_PLACE_MM and value > other + 2.0 * SAME_PLACE_MM) or (
        value < end - 2.0 * SAME_PLACE_MM and value < other - 2.0 * SAME_PLACE_MM
    )


def _is_same(a: Spot, b: Spot) -> bool:
    return a[0] == b[0] and math.dist(a[1:], b[1:]) <= SAME_PLACE_MM


def _partings(first: list[Spot], second: list[Spot]) -> Iterator[tuple[Spot, Spot, Spot, Spot]]:
    """Yield each place where the lines part: the place, and the next bends of trunk and lines."""
    for i, spot in enumerate(first):
        for j, there in enumerate(second):
            if not _is_same(spot, there):
                continue
            mine = [s for s in (*first[max(i - 1, 0) : i], *first[i + 1 : i + 2]) if s[0] == spot[0]]
            theirs = [s for s in (*second[max(j - 1, 0) : j], *second[j + 1 : j + 2]) if s[0] == spot[0]]
            both = [s for s in mine if any(_is_same(s, t) for t in theirs)]
            if len(both) > 1:
                continue
            trunk = both[0] if both else spot
            for a in (s for s in mine if s not in both):
                for b in (t for t in theirs if not any(_is_same(t, s) for s in both)):
                    yield spot, trunk, a, b
