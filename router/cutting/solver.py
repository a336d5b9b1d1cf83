"""The only door to HiGHS: patterns in, worths and whole numbers out. It is an extra and may not be there."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from router.cutting.problem import Pattern, Problem

MOST_NODES = 100
"""Nodes and not seconds, so that the same question has the same answer on any machine."""


def is_installed() -> bool:
    """Return whether there is a solver."""
    try:
        import highspy  # noqa: F401, PLC0415 - an extra
    except ImportError:
        return False
    return True


class Model:
    """Which patterns to cut, and how many reels by each, so that every cut is made for the least."""

    def __init__(self, problem: Problem) -> None:
        import highspy  # noqa: PLC0415 - an extra, and slow to import

        self._problem, self._patterns = problem, list[Pattern]()
        self._highspy: Any = highspy
        with _silence():  # it greets on stdout, where a person's answer goes
            self._highs: Any = self._highspy.Highs()
        options = {"output_flag": False, "threads": 1, "random_seed": 1, "mip_max_nodes": MOST_NODES}
        for name, value in {**options, "mip_rel_gap": 0.0}.items():
            self._highs.setOptionValue(name, value)
        for demand in problem.demands:
            self._highs.addRow(float(demand), highspy.kHighsInf, 0, [], [])

    def add(self, patterns: Sequence[Pattern]) -> None:
        """Let some more patterns be chosen from."""
        for pattern in patterns:
            rows = [number for number, _ in pattern.cuts]
            times = [float(each) for _, each in pattern.cuts]
            cost, most = float(self._problem.costs[pattern.kind]), float(self._problem.count)
            self._highs.addCol(cost, 0.0, most, len(rows), rows, times)
        self._patterns += patterns

    def worths(self) -> list[float]:
        """Return what each cut is worth where parts of reels may be bought: the dual of that problem."""
        self._highs.run()
        return list(self._highs.getSolution().row_dual)

    def whole_reels(self, bound: int) -> tuple[dict[Pattern, int], bool]:
        """Return whole numbers of reels for little, and whether the solver calls them the best there are.

        No start is handed over: given one, HiGHS 1.16 was seen to call it the best when it was not.
        """
        costs = [float(self._problem.costs[pattern.kind]) for pattern in self._patterns]
        for column in range(len(costs)):
            self._highs.changeColIntegrality(column, self._highspy.HighsVarType.kInteger)
        self._highs.addRow(float(bound), self._highspy.kHighsInf, len(costs), list(range(len(costs))), costs)
        self._highs.run()
        values = list(self._highs.getSolution().col_value)
        pairs = zip(self._patterns, values, strict=True) if len(values) == len(self._patterns) else ()
        is_best = self._highs.getModelStatus() == self._highspy.HighsModelStatus.kOptimal
        return {pattern: round(value) for pattern, value in pairs if round(value) > 0}, is_best


@contextmanager
def _silence() -> Iterator[None]:
    """Send to nowhere what a library writes past Python."""
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
