"""How far the shop's length allowances are off, by what was used on many vehicles.

The difference of used and planned length is taken as one quantity observed n times: its best estimate is the
mean, the standard uncertainty of that s/sqrt(n) (JCGM 100:2008, 4.2, type A), and the expanded one is that
times Student's t for n - 1 degrees of freedom and 95 % (annex G).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from router.model.review import FittedRun
from router.tables import load_table

LEAST_VEHICLES = 2


def compare_fitted(run: str, planned_mm: float, allowances_mm: float, used_mm: Sequence[float]) -> FittedRun:
    """Return how far the allowances of a run are off.

    Parameters
    ----------
    run : str
        Name of the run.
    planned_mm : float
        Routed length and allowances, not rounded up. [mm]
    allowances_mm : float
        The allowances alone. [mm]
    used_mm : sequence of float
        Length used on each vehicle, for two vehicles or more. [mm]

    Raises
    ------
    ValueError
        For fewer than two vehicles, which say nothing about their spread.
    """
    count = len(used_mm)
    if count < LEAST_VEHICLES:
        raise ValueError(f"{run} has {count} used length; two vehicles or more show how they spread")
    off_mm = [each - planned_mm for each in used_mm]
    mean_mm = math.fsum(off_mm) / count
    spread_mm = math.sqrt(math.fsum((each - mean_mm) ** 2 for each in off_mm) / (count - 1))
    standard_mm = spread_mm / math.sqrt(count)
    expanded_mm = coverage_factor(count - 1) * standard_mm
    return FittedRun(run, planned_mm, allowances_mm, count, mean_mm, spread_mm, standard_mm, expanded_mm)


def coverage_factor(degrees_of_freedom: int) -> float:
    """Return Student's t for 95 %; between the table's lines that of the lower one: the safe side.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), table G.2.
    """
    factors: dict[int, float] = load_table("student")["t_95"]
    if not degrees_of_freedom >= 1:
        raise ValueError(f"{degrees_of_freedom} degrees of freedom; at least 1 is needed")
    return factors[max(known for known in factors if known <= degrees_of_freedom)]
