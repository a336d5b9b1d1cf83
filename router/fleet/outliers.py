"""Plans that stand out among those of the same job, by a rule that one odd plan cannot spoil.

The modified z-score of a value is 0.6745 (value - median) / MAD, where MAD is the median of the distances
from the median; beyond 3.5 a value stands out. Where more than half of the values are alike MAD is 0, and the
mean distance from the median stands in, scaled by 1.2533 as for a normal distribution (from memory).

References
----------
.. [1] B. Iglewicz, D. C. Hoaglin, How to Detect and Handle Outliers, ASQC Quality Press, 1993; the rule is
   quoted in the NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.17.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from router.fleet.store import Store

LEAST_OUTLIER_SCORE = 3.5
TO_NORMAL = 0.6745
MEAN_TO_NORMAL = 1 / 1.253314
FEWEST_PLANS = 5
"""With fewer plans than this none is judged: what is usual is not known."""
MOST_NAMED = 50
OUTLIER_RULE = (
    "Modified z-score beyond 3.5 among the plans of the same job (Iglewicz and Hoaglin 1993, as in the "
    "NIST/SEMATECH e-Handbook, 1.3.5.17); fewer than 5 plans are not judged"
)


class Measure(StrEnum):
    """By what runs are compared."""

    LENGTH = "length"
    EFFORT = "effort"
    MARGIN = "tightest margin"


MEASURES = {
    Measure.LENGTH: ("fleet_runs", "routed_mm"),
    Measure.EFFORT: ("fleet_runs", "effort_mm"),
    Measure.MARGIN: ("fleet_runs", "margin_mm"),
}


@dataclass(frozen=True, slots=True)
class Outlier:
    """One run whose value stands out. All values in mm."""

    measure: Measure
    job: str
    run: str
    profile: str
    variant: str
    folder: str
    value: float
    median: float
    score: float


def find_outliers(store: Store) -> tuple[Outlier, ...]:
    """Return the runs that stand out most by length, effort or tightest margin, at most 50."""
    found = [
        outlier
        for job, run in store.rows("select distinct job, run from fleet_runs order by 1, 2")
        for measure in MEASURES
        for outlier in _of_run(store, job, run, measure)
    ]
    return tuple(
        sorted(found, key=lambda each: (-abs(each.score), each.job, each.run, each.folder))[:MOST_NAMED]
    )


def _of_run(store: Store, job: str, run: str, measure: Measure) -> Iterator[Outlier]:
    view, column = MEASURES[measure]
    where = f"from {view} where job = ? and run = ? and {column} is not null"
    median = median_of(store, column, where, job, run)
    if median is None:
        return
    scale = _scale(store, column, where, median, job, run)
    if not scale:
        return
    query = (
        f"select profile, variant, folder, {column}, ({column} - ?) / ? as score {where}"
        " and abs(score) > ? order by abs(score) desc, folder limit ?"
    )
    for profile, variant, folder, value, score in store.rows(
        query, median, scale, job, run, LEAST_OUTLIER_SCORE, MOST_NAMED
    ):
        yield Outlier(measure, job, run, profile, variant, folder, value, median, score)


def _scale(store: Store, column: str, where: str, median: float, job: str, run: str) -> float:
    """Return the value of a score of 1: MAD / 0.6745, or its substitute; 0 if all are alike."""
    distance = f"abs({column} - {float(median)!r})"
    mad = median_of(store, distance, where, job, run) or 0.0
    if mad > 0:
        return mad / TO_NORMAL
    mean = store.rows(f"select avg({distance}) {where}", job, run)[0][0]
    return float(mean) / MEAN_TO_NORMAL


def median_of(store: Store, column: str, where: str, *values: object) -> float | None:
    """Return the median of a column, found by the database; None for fewer rows than `FEWEST_PLANS`."""
    count = store.rows(f"select count(*) {where}", *values)[0][0]
    if count < FEWEST_PLANS:
        return None
    first = math.ceil(count / 2) - 1
    middle = store.rows(f"select {column} {where} order by 1 limit ? offset ?", *values, 2 - count % 2, first)
    return float(sum(row[0] for row in middle) / len(middle))
