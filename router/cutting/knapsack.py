"""Bounded knapsack: the greatest worth of cuts that fits each kind of reel, exact, in whole numbers."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from router.cutting.problem import Cuts, Problem

LARGEST_TABLE = 300_000_000
"""Bytes; a larger table is refused."""


class Knapsack:
    """Fills reels with the cuts of greatest worth, none more often than it is wanted.

    Raises
    ------
    MemoryError
        Where the table would be too large.
    """

    def __init__(self, problem: Problem) -> None:
        self._unit = math.gcd(*problem.sizes)
        self._rooms = [room // self._unit for room in problem.rooms]
        room = max(self._rooms)
        self._chunks = [
            (number, times, times * size // self._unit)
            for number, (size, demand) in enumerate(zip(problem.sizes, problem.demands, strict=True))
            for times in _powers(min(demand, room * self._unit // size))
        ]
        if (room + 1) * len(self._chunks) > LARGEST_TABLE:
            raise MemoryError("too many lengths for this reel")

    def fill(self, worths: list[int]) -> list[tuple[int, Cuts]]:
        """Return for each kind of reel the greatest worth that it can hold, and the cuts."""
        room = max(self._rooms)
        most: npt.NDArray[np.int64] = np.zeros(room + 1, dtype=np.int64)
        taken = np.zeros((len(self._chunks), room + 1), dtype=bool)
        for row, (number, times, size) in enumerate(self._chunks):
            if worths[number] <= 0 or size > room:
                continue
            with_it = most[: room + 1 - size] + worths[number] * times
            better = with_it > most[size:]
            taken[row, size:] = better
            most[size:] = np.where(better, with_it, most[size:])
        return [(int(most[each]), self._cuts(taken, each)) for each in self._rooms]

    def _cuts(self, taken: npt.NDArray[np.bool_], room: int) -> Cuts:
        counts: dict[int, int] = {}
        for row in range(len(self._chunks) - 1, -1, -1):
            number, times, size = self._chunks[row]
            if taken[row, room]:
                counts[number] = counts.get(number, 0) + times
                room -= size
        return tuple(sorted(counts.items()))


def _powers(count: int) -> list[int]:
    """Return numbers whose partial sums reach every count from 0 on: 1, 2, 4 ... and the remainder."""
    parts, power = [], 1
    while count > 0:
        parts.append(min(power, count))
        count -= parts[-1]
        power *= 2
    return parts
