"""The fewest stations that meet every need and span; numbers only, exact by dynamic programming.

The stations that may come just before another one lie in one unbroken row: as a span grows it only gets
harder to allow, and a need between two chosen stations may not be left without. So each step looks at one
row, and the best way to a station is the best way to its predecessor plus the step.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from router.tolerances import LENGTH_ROUNDING_MM


@dataclass(frozen=True, slots=True)
class FixingOption:
    """A station that may be chosen, what it adds to the count, and how unwelcome its kind is."""

    station_mm: float
    count: int
    dislike: int


def fewest_stations(
    options: Sequence[FixingOption],
    needs_mm: Sequence[tuple[float, float]],
    end_mm: float,
    longest_span_mm: Callable[[float, float], float],
) -> tuple[int, ...]:
    """Return the indices of the best set of stations, in order.

    Best: least count, then least sum of dislikes, then least sum of squared spans (the most even).

    Parameters
    ----------
    options : sequence of FixingOption
        By station, each station once, all between 0 and `end_mm`.
    needs_mm : sequence of (float, float)
        Closed stretches; each holds at least one of the options and gets at least one.
    end_mm : float
        Both ends, 0 and `end_mm`, hold the run and cost nothing. [mm]
    longest_span_mm : callable
        Longest span allowed between two stations; it never grows when the span grows. Where neighbouring
        options lie further apart than that, the span between just these two is taken all the same.
    """
    stations = [0.0, *(option.station_mm for option in options), end_mm]
    counts = [0, *(option.count for option in options), 0]
    dislikes = [0, *(option.dislike for option in options), 0]
    firsts = _first_predecessors(stations, needs_mm, longest_span_mm)
    ranks = [(0, 0)]  # count and sum of dislikes: what is compared first
    squares_mm2 = [0.0]
    came_from = [0]
    for here in range(1, len(stations)):
        first, at_mm = firsts[here], stations[here]
        count, dislike = least = min(ranks[first:here])
        least_mm2, before = min(
            (squares_mm2[j] + (at_mm - stations[j]) * (at_mm - stations[j]), j)
            for j in range(first, here)
            if ranks[j] == least
        )
        ranks.append((count + counts[here], dislike + dislikes[here]))
        squares_mm2.append(least_mm2)
        came_from.append(before)
    return _walk_back(came_from)


def _first_predecessors(
    stations: Sequence[float],
    needs_mm: Sequence[tuple[float, float]],
    longest_span_mm: Callable[[float, float], float],
) -> list[int]:
    """Return for each station the first one that may come just before it."""
    firsts = [0]
    first = 0
    needs = sorted(needs_mm, key=lambda need: need[1])
    passed = 0
    least_mm = -math.inf
    last = len(stations) - 1
    for here in range(1, len(stations)):
        while passed < len(needs) and (needs[passed][1] < stations[here] or here == last):
            least_mm = max(least_mm, needs[passed][0])
            passed += 1
        while first < here - 1 and (
            (passed > 0 and first == 0)  # an end is no fixing
            or stations[first] < least_mm
            or stations[here] - stations[first]
            > longest_span_mm(stations[first], stations[here]) + LENGTH_ROUNDING_MM
        ):
            first += 1
        firsts.append(first)
    return firsts


def _walk_back(came_from: Sequence[int]) -> tuple[int, ...]:
    chosen = []
    here = came_from[-1]
    while here > 0:
        chosen.append(here - 1)
        here = came_from[here]
    return tuple(reversed(chosen))
