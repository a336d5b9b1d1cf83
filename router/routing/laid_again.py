"""Runs of a job laid again: each in turn, two at a time, or as if some amount were paid.

Each run in turn is laid again where it adds least to the others, until none gets better. What nobody gains
from alone is found by laying two runs again at a time, by laying all or one as if some amount were paid
already or what it is paid for were shut, and by laying one along the best trunk of two for the others to
follow.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from router.model.job import Run
from router.routing.job_search import LEAST_GAIN_MM, JobSearch, NoPathError
from router.routing.laid_runs import LaidRuns

MOST_ROUNDS = 8
"""How often at most all runs are laid again."""
NEAR_BEST_SHARE = 0.03
"""What is found on the way and takes more effort than the best by more than this share is of no use."""
WORTH_SETTLING_SHARE = 0.01
"""What takes more effort than the best by a larger share does not become better than it when settled."""
FEW_RUNS = 2
"""Up to this many runs every order is a start, and branch points are inserted from each of them."""
FEW_FOLLOWING = 3
"""Up to this many runs all others may follow two onto a trunk that is not the best for these two alone."""
MOST_THINGS = 12
"""Of more things with an amount only those are thought paid, or shut, that some path found so far uses."""
MOST_MORE_OF_TWO = 0.2
"""So much more effort, as a share, may two runs take on their best trunk: others may join them there."""


def locally_best(search: JobSearch, laid_runs: LaidRuns) -> LaidRuns:
    """Lay every run again in turn until none gets better."""
    effort_mm = search.effort_mm(laid_runs)
    for _ in range(MOST_ROUNDS):
        before_mm = effort_mm
        for run in search.job.runs:
            others = {name: laid for name, laid in laid_runs.items() if name != run.name}
            try:
                changed = {**laid_runs, run.name: search.answer(run, others)}
            except NoPathError:  # what it must stay apart from has moved to where it was allowed to
                continue
            changed_mm = search.effort_mm(changed)
            if changed_mm < effort_mm - LEAST_GAIN_MM and search.keeps_apart(changed, run):
                laid_runs, effort_mm = changed, changed_mm
        if before_mm - effort_mm <= LEAST_GAIN_MM:
            break
    return laid_runs


def exchanges(search: JobSearch, laid_runs: LaidRuns) -> Iterator[LaidRuns]:
    """Yield better plans in which two runs, or one along a trunk and all others, are laid again.

    What nobody gains from alone, as a trunk that all would have to move to, is found so; and what an amount
    keeps all from, or keeps all at: they are laid as if it were paid, or what it is paid for were shut.
    """
    below_mm = search.effort_mm(laid_runs) - LEAST_GAIN_MM
    moves = [move(search, laid_runs) for move in (_pairs_again, _with_others_used, _by_trunks)]
    for changed in itertools.chain.from_iterable(moves):
        if search.effort_mm(changed) < _enough_mm(search, laid_runs):
            settled = locally_best(search, changed)
            if search.effort_mm(settled) < below_mm and search.are_apart(settled):
                yield settled


def _enough_mm(search: JobSearch, laid_runs: LaidRuns) -> float:
    """Return the effort that what is found on the way must be below to be of any use. [mm]"""
    return (1.0 + WORTH_SETTLING_SHARE) * (search.effort_mm(laid_runs) - LEAST_GAIN_MM)


def _pairs_again(search: JobSearch, laid_runs: LaidRuns) -> Iterator[LaidRuns]:
    """Yield plans in which two runs are taken out and laid again, the one first or the other."""
    for one, other in itertools.permutations(search.job.runs, 2):
        kept = {name: laid for name, laid in laid_runs.items() if name not in (one.name, other.name)}
        if changed := _answered(search, kept, (one, other), _enough_mm(search, laid_runs)):
            yield changed


def _with_others_used(search: JobSearch, laid_runs: LaidRuns) -> Iterator[LaidRuns]:
    """Yield plans laid as if the amount of a thing were paid, or as if one that is used were shut.

    All runs are laid again, in order or from the last to the first, or only one of them is. Laying further
    runs can only add effort, so that what already takes too much is not looked into.
    """
    runs, enough_mm = search.job.runs, _enough_mm(search, laid_runs)
    used = search.used(laid_runs)
    things = search.paid_once()
    if len(things) > MOST_THINGS:
        found = {key for path in search.found_paths() for step in path.steps for key in step.keys}
        things = tuple(key for key in things if key in found)
    for key, is_paid in [*((key, True) for key in things), *((key, False) for key in things if key in used)]:
        for again in dict.fromkeys([runs, runs[::-1], *((run,) for run in runs)]):
            names = {run.name for run in again}
            changed = {name: laid for name, laid in laid_runs.items() if name not in names}
            for run in again:
                laid = search.answer_as_if(run, changed, key, is_paid=is_paid)
                if laid is None:
                    break
                changed[run.name] = laid
                if search.effort_mm(changed) >= enough_mm:
                    break
            else:
                yield {run.name: changed[run.name] for run in runs}


def _by_trunks(search: JobSearch, laid_runs: LaidRuns) -> Iterator[LaidRuns]:
    """Yield plans in which one of two runs lies along their best trunk, and all others or one answer."""
    for one, other in itertools.combinations(search.job.runs, 2):
        if one.via or other.via or not search.may_share(one.name, other.name):
            continue
        rest = {name: laid for name, laid in laid_runs.items() if name not in (one.name, other.name)}
        enough_mm = _enough_mm(search, laid_runs)
        own_mm = search.effort_mm({run.name: laid_runs[run.name] for run in (one, other)})
        is_few = len(search.job.runs) <= FEW_FOLLOWING
        below_mm = (1.0 + MOST_MORE_OF_TWO) * own_mm if is_few else own_mm
        for laid in search.along_trunks(one, other, below_mm):
            for kept in (rest, {}) if rest and is_few else (rest,):
                if changed := _answered(search, {**kept, laid.route.run: laid}, (one, other), enough_mm):
                    yield changed


def _answered(search: JobSearch, kept: LaidRuns, first: Sequence[Run], enough_mm: float) -> LaidRuns | None:
    """Return the runs with those that are not kept laid again in turn, some first; None where one cannot.

    None, too, as soon as they take `enough_mm`: laying further runs can only add effort.
    """
    laid_runs = dict(kept)
    waiting = [run for run in (*first, *search.job.runs) if run.name not in kept]
    try:
        for run in dict.fromkeys(waiting):
            if laid_runs and search.effort_mm(laid_runs) >= enough_mm:
                return None
            laid_runs[run.name] = search.answer(run, laid_runs)
    except NoPathError:
        return None
    return {run.name: laid_runs[run.name] for run in search.job.runs}
