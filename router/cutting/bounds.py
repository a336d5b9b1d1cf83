"""What no cutting plan can do without, in exact whole numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from router.cutting.problem import Problem

MOST_SMALLS = 200


def simple_bound(problem: Problem) -> int:
    """Return what every plan costs at least, by the material alone, and by how few long cuts go together.

    With one kind of reel this is Martello and Toth's L2: for every k, cuts longer than room - k take a reel
    each, so do those longer than half, and what those leave must hold the rest down to k. With several, some
    reel must hold the longest cut, so no plan costs less than the cheapest reel that does.

    References
    ----------
    .. [1] S. Martello, P. Toth, Lower bounds and reduction procedures for the bin packing problem, Discrete
       Applied Mathematics 28 (1990) 59-70.
    """
    material = sum(size * demand for size, demand in zip(problem.sizes, problem.demands, strict=True))
    if not material:
        return 0
    if len(problem.rooms) == 1:
        return problem.costs[0] * _least_reels(problem)
    dearness = min(Fraction(cost, room) for cost, room in zip(problem.costs, problem.rooms, strict=True))
    kind = problem.cheapest_for(problem.sizes[0])
    longest = 0 if kind is None else problem.costs[kind]
    return max(longest, rounded_up(problem, material * dearness))


def _least_reels(problem: Problem) -> int:
    room = problem.rooms[0]
    sizes = list(zip(problem.sizes, problem.demands, strict=True))
    smalls = [size for size in problem.sizes if 2 * size <= room]
    some = smalls[:: max(1, len(smalls) // MOST_SMALLS)]  # each of them is a bound; not all are needed
    return max(_least_reels_above(sizes, room, small) for small in (0, *some))


def _least_reels_above(sizes: Sequence[tuple[int, int]], room: int, small: int) -> int:
    alone = sum(demand for size, demand in sizes if size > room - small)
    halves = [(size, demand) for size, demand in sizes if room - small >= size and 2 * size > room]
    rest = sum(size * demand for size, demand in sizes if small <= size and 2 * size <= room)
    half_count = sum(demand for _, demand in halves)
    left = half_count * room - sum(size * demand for size, demand in halves)
    return alone + half_count + max(0, math.ceil(Fraction(rest - left, room)))


def dual_bound(problem: Problem, worths: Sequence[int], best: Sequence[int]) -> int:
    """Return what every plan costs at least, by what its cuts are worth.

    Give each cut any worth, and let `best` be the most that one reel of each kind can hold of it. A plan
    holds the worth of all cuts, so sum(worth) <= sum over reels of best <= max over kinds of (best / cost)
    times what the plan costs. Worths from the dual of the continuous problem make this nearly tight.

    References
    ----------
    .. [1] A. A. Farley, A note on bounding a class of linear programming problems, including cutting stock
       problems, Operations Research 38 (1990) 922-923.
    """
    worth = sum(each * demand for each, demand in zip(worths, problem.demands, strict=True))
    if not worth:
        return 0
    dearness = min(Fraction(cost, most) for cost, most in zip(problem.costs, best, strict=True) if most > 0)
    return rounded_up(problem, worth * dearness)


def rounded_up(problem: Problem, cost: Fraction) -> int:
    """Return the least cost from this one on that whole reels can add up to, by their common divisor."""
    step = math.gcd(*problem.costs)
    return step * math.ceil(cost / step)
