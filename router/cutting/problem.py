"""The cutting problem in whole numbers, so that sums and proofs are exact: mm, and parts of a price."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from router.model.fleet import Reel

PRICE_PARTS = 10_000
"""A price has four decimals at most."""


@dataclass(frozen=True, slots=True)
class Problem:
    """Cuts by size, the longest first, and what they may be cut from.

    Every cut loses `loss`, but for one that ends its reel exactly: n cuts fit on a reel where the sum of
    lengths and n - 1 losses is no more than the reel. So a loss is added to each cut and once to each reel.
    """

    sizes: tuple[int, ...]
    demands: tuple[int, ...]
    rooms: tuple[int, ...]
    """Of each kind of reel, one loss included."""
    costs: tuple[int, ...]
    """Of each kind of reel: its price, or its length where there are no prices."""

    @property
    def count(self) -> int:
        """Return how many cuts there are."""
        return sum(self.demands)

    def cheapest_for(self, size: int) -> int | None:
        """Return the cheapest kind of reel with room for a size; None if there is none."""
        holding = [kind for kind, room in enumerate(self.rooms) if room >= size]
        return min(holding, key=lambda kind: (self.costs[kind], self.rooms[kind]), default=None)


Cuts = tuple[tuple[int, int], ...]
"""What one reel is cut into: number of a size, and how often."""


@dataclass(frozen=True, slots=True, order=True)
class Pattern:
    """One kind of reel with what it is cut into."""

    kind: int
    cuts: Cuts

    def size(self, problem: Problem) -> int:
        """Return how much room of its reel the pattern takes."""
        return sum(problem.sizes[number] * times for number, times in self.cuts)


Solution = dict[Pattern, int]
"""How many reels are cut by each pattern."""


def whole_mm(length_mm: float) -> int:
    """Return a cut in whole mm, rounded up; less than 1e-6 mm over is rounding, not a mm.

    >>> whole_mm(5400.000000000001), whole_mm(5400.2)
    (5400, 5401)
    """
    return math.ceil(length_mm - 1e-6)


def make_problem(lengths_mm: Iterable[float], reels: Sequence[Reel], loss_mm: float) -> Problem:
    """Return the problem in whole mm: cuts rounded up, reels rounded down.

    Raises
    ------
    ValueError
        Where a cut is longer than every reel.
    """
    loss = whole_mm(loss_mm)
    wanted = Counter(whole_mm(length_mm) + loss for length_mm in lengths_mm)
    sizes = tuple(sorted(wanted, reverse=True))
    rooms = tuple(math.floor(reel.length_mm + 1e-6) + loss for reel in reels)
    if sizes and sizes[0] > max(rooms):
        longest_m, reel_m = (sizes[0] - loss) / 1000, (max(rooms) - loss) / 1000
        raise ValueError(f"a cut of {longest_m:g} m is longer than the longest reel, {reel_m:g} m")
    costs = tuple(
        math.floor(reel.length_mm + 1e-6) if reel.price is None else round(reel.price * PRICE_PARTS)
        for reel in reels
    )
    return Problem(sizes, tuple(wanted[size] for size in sizes), rooms, costs)


def cost_of(problem: Problem, solution: Solution) -> int:
    """Return what a solution costs."""
    return sum(problem.costs[pattern.kind] * times for pattern, times in solution.items())


def is_solution(problem: Problem, solution: Solution) -> bool:
    """Return whether every cut is made exactly as often as wanted, and no reel is overfull."""
    made = Counter[int]()
    for pattern, times in solution.items():
        if times < 1 or pattern.size(problem) > problem.rooms[pattern.kind]:
            return False
        for number, each in pattern.cuts:
            made[number] += each * times
    return all(made[number] == demand for number, demand in enumerate(problem.demands))
