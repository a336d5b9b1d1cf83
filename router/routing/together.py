"""All runs of a job together: the least effort of the whole job; see `effort` for what counts.

From several starts (each run alone, and the runs one after the other in several orders) every run in turn is
laid again where it adds least to the others, until none gets better: each step is a best answer to the
others, so the job's effort only falls. Then branch points are inserted (`branch_points`). The end is a plan
that no single run and no single branch place can make better by itself. From the best of them two runs at a
time are laid again, and more (`laid_again`). It need not be the best of all: `job_bound` says what no plan is
below.
Measured against exhaustive search in tests/unit/routing/test_together.py and test_streets.py. Never more than
the sum of the runs' own best. Deterministic.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence

from router.model.job import Job, Run
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.routing.branch_points import with_branch_points
from router.routing.closed_bores import ClosedBores
from router.routing.job_search import LEAST_GAIN_MM, JobSearch, NoPathError
from router.routing.laid_again import FEW_RUNS, NEAR_BEST_SHARE, exchanges, locally_best
from router.routing.laid_runs import LaidRuns, Together

MOST_FOUND = 4
"""How many paths of a job are given at most, the best among them."""


def lay_together(
    job: Job,
    profile: Profile,
    practice: Practice,
    diameters_mm: Mapping[str, float],
    *,
    is_draft: bool = False,
    closed: ClosedBores | None = None,
) -> tuple[Together, ...]:
    """Return the paths of all runs: the best that was found, then others that take little more.

    Parameters
    ----------
    job, profile, practice : records of the model
    diameters_mm : mapping of str to float
        By run: outside of the thickest loom that it lies in. Runs with the same may lie together. [mm]
    is_draft : bool
        Stop at the first start that leads somewhere, to see roughly which runs lie together.
    closed : mapping of str to sequence of Opening and ThroughPass, optional
        By run: what it may not go through.

    Raises
    ------
    NoPathError
        A run has no path, or none that stays apart from another as it must.
    """
    search = JobSearch(job, profile, practice, dict(diameters_mm), closed or {})
    for run in job.runs:
        search.alone(run, {})
    starts = _starts(search, 1 if is_draft else None)
    if is_draft:
        return (search.together(starts[0]),)
    if len(job.runs) > FEW_RUNS:
        starts = [min(starts, key=search.effort_mm)]
    tried: set[object] = set()
    found = [path for laid_runs in starts for path in with_branch_points(search, laid_runs, tried)]
    while better := next(exchanges(search, min(found, key=search.effort_mm)), None):
        found += with_branch_points(search, better, tried)
    found.sort(key=search.effort_mm)
    kept = found[:1]
    for laid_runs in found[1:]:
        more_mm = search.effort_mm(laid_runs) - search.effort_mm(kept[-1])
        if more_mm > LEAST_GAIN_MM and search.effort_mm(laid_runs) <= (
            1.0 + NEAR_BEST_SHARE
        ) * search.effort_mm(found[0]):
            kept.append(laid_runs)
    return tuple(search.together(laid_runs) for laid_runs in kept[:MOST_FOUND])


def _starts(search: JobSearch, most: int | None) -> list[LaidRuns]:
    """Return local optima, one from each order (or from `most`) that leads somewhere."""
    starts: dict[tuple[int, ...], LaidRuns] = {}
    first: NoPathError | None = None
    for order in _orders(search.job, search):
        try:
            laid = _one_by_one(search, order)
        except NoPathError as no_way:
            first = first or no_way
            continue
        laid_runs = {run.name: laid[run.name] for run in search.job.runs}
        start = search.key(laid_runs)
        if start not in starts:
            starts[start] = locally_best(search, laid_runs)
        if len(starts) == most:
            break
    if first and not starts:
        raise first
    return list(starts.values())


def _orders(job: Job, search: JobSearch) -> Iterator[tuple[Run, ...]]:
    """Yield the orders in which runs are laid one after the other, each once."""
    if len(job.runs) <= FEW_RUNS:
        yield from itertools.permutations(job.runs)
        return
    runs = job.runs
    by_effort = tuple(sorted(runs, key=lambda run: -search.alone_mm(run)))
    yield from dict.fromkeys([runs, runs[::-1], by_effort, by_effort[::-1]])


def _one_by_one(search: JobSearch, order: Sequence[Run]) -> LaidRuns:
    laid_runs: LaidRuns = {}
    for run in order:
        laid_runs[run.name] = search.answer(run, laid_runs)
    return laid_runs
