"""Branch points inserted into laid runs, as into a Steiner tree.

Where two runs part, the point that is best for the three legs that meet there becomes one that one of them
must pass, and the other answers; what is better stays.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from router.model.job import Run
from router.routing.job_search import LEAST_GAIN_MM, JobSearch, NoPathError
from router.routing.laid_again import FEW_RUNS, locally_best
from router.routing.laid_runs import LaidRuns
from router.search import XY, branch_places, is_loose, rerouted

MOST_BRANCH_POINTS, MOST_BRANCH_POINTS_OF_MANY = 60, 16
"""How many branch points are tried for a job of so few runs, and for one of more: each takes a while."""


def with_branch_points(search: JobSearch, laid_runs: LaidRuns, tried: set[object]) -> Iterator[LaidRuns]:
    """Yield every step of inserting branch points, until none makes the job's effort less.

    The most promising come first.

    Parameters
    ----------
    search : JobSearch
    laid_runs : LaidRuns
        What to begin with.
    tried : set
        What was asked before, from this start or another one; it is not asked again, and grows.
    """
    while True:
        yield laid_runs
        moves = itertools.chain(_straighter(search, laid_runs), _branch_moves(search, laid_runs, tried))
        better = next(moves, None)
        if better is None:
            return
        laid_runs = locally_best(search, better)


def _straighter(search: JobSearch, laid_runs: LaidRuns) -> Iterator[LaidRuns]:
    """Yield runs with a bend cut short that only a branch made, and that all runs there share."""
    for run in search.job.runs:
        own = laid_runs[run.name].path
        for i in range(1, len(own.steps) - 1):
            if not is_loose(own, i):
                continue
            cut = search.cut_short(run, own.steps[i - 1], own.steps[i + 1])
            around = [(step.layer, step.x, step.y) for step in own.steps[i - 1 : i + 2]]
            changed = dict(laid_runs)
            for other in search.job.runs:
                found = rerouted(laid_runs[other.name].path, around, cut) if cut else None
                if found and search.may_share(run.name, other.name):
                    changed[other.name] = search.relaid(other, laid_runs[other.name], found)
            is_apart = search.are_apart(changed)
            if cut and is_apart and search.effort_mm(changed) < search.effort_mm(laid_runs) - LEAST_GAIN_MM:
                yield changed


def _branch_moves(search: JobSearch, laid_runs: LaidRuns, tried: set[object]) -> Iterator[LaidRuns]:
    most = MOST_BRANCH_POINTS if len(search.job.runs) <= FEW_RUNS else MOST_BRANCH_POINTS_OF_MANY
    for one, other, place in _branch_points(search, laid_runs):
        for kept in _may_stay(laid_runs, one, other):
            key = (one.name, other.name, place, *(laid.number for laid in kept.values()))
            if key in tried or len(tried) >= most:
                continue
            tried.add(key)
            changed_runs = _with_branch_point(
                search, kept, (one, other), place, search.effort_mm(laid_runs) - LEAST_GAIN_MM
            )
            if changed_runs:
                yield changed_runs


def _branch_points(search: JobSearch, laid_runs: LaidRuns) -> list[tuple[Run, Run, tuple[int, XY]]]:
    """Return which two runs could part better, and where; what promises most first."""
    paths = [laid.path for laid in laid_runs.values()]
    found = [
        (-gain_mm, place, one, other)
        for one, other in itertools.permutations(search.job.runs, 2)
        if not one.via and search.may_share(one.name, other.name)
        for gain_mm, place in branch_places(
            laid_runs[one.name].path, laid_runs[other.name].path, paths, search.share
        )
    ]
    found.sort(key=lambda pull: (round(pull[0], 3), pull[1]))
    return [(one, other, place) for _, place, one, other in found]


def _may_stay(laid_runs: LaidRuns, one: Run, other: Run) -> list[LaidRuns]:
    """Return what may stay laid while a branch point of two runs is inserted: all others, or nobody."""
    rest = {name: laid for name, laid in laid_runs.items() if name not in (one.name, other.name)}
    return [rest, {}] if rest else [rest]


def _with_branch_point(
    search: JobSearch, kept: LaidRuns, pair: tuple[Run, Run], place: tuple[int, XY], below_mm: float
) -> LaidRuns | None:
    """Return the runs with one laid through a branch point; who is not kept answers, the other one first.

    Return None as soon as the effort reaches `below_mm`: laying further runs can only add to it.
    """
    one, other = pair
    waiting = [run for run in search.job.runs if run.name not in kept and run not in pair]
    try:
        through = search.answer_through_branch_point(one, kept, *place)
        if through is None:
            return None
        laid_runs = {**kept, one.name: through}
        for run in (other, *waiting):
            if search.effort_mm(laid_runs) >= below_mm:
                return None
            laid_runs[run.name] = search.answer(run, laid_runs)
    except NoPathError:
        return None
    if not search.are_apart(laid_runs):
        return None
    changed_runs = {run.name: laid_runs[run.name] for run in search.job.runs}
    return changed_runs if search.effort_mm(changed_runs) < below_mm else None
