"""A job whose runs may end at one of several terminals, as jobs with fixed ends, the most promising first.

Each comes with the least effort that it can take, whatever its runs share. Of runs that lie together each
stretch counts once and practice "factor: shared" for each further run, and each amount once. So a job takes
no less than one of its runs by itself, and that share of what the others take by themselves where no amount
counts. A run by itself pays an amount as often as it passes a thing, the job once; no run passes one more
than twice, so that half of it counts. A thin loom goes wherever a thicker one does, for no more effort: so
the least is worked out for one that is thinner than any.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from router.facts import runs_by_ends
from router.model.job import Job, Run
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.routing.job_search import JobSearch, NoPathError
from router.tolerances import DEFAULT_GAP

MOST_CHOICES = 16
"""Up to so many choices of ends of a whole job are all looked at."""
THINNEST_MM = 1.0
"""No loom is thinner."""
PAID_ONCE = ("amount", "hold")
"""Groups of the practice that a run may get for nothing where another one pays them."""

_Ends: TypeAlias = tuple[str, str, str]
"""A run's name and its two ends."""
_Several: TypeAlias = tuple[tuple[str, ...], tuple[str, ...]]
"""Where a run may start and end, empty where it has no choice."""
_Picked: TypeAlias = tuple[str, str]
"""Where it does; empty where it has no choice."""


@dataclass(frozen=True, slots=True)
class FixedEnds:
    """A job whose runs have one end each, and the least effort that it takes. [mm]"""

    job: Job
    least_mm: float


@dataclass(frozen=True, slots=True)
class _Alone:
    """The least effort of a run in a job, and where nothing counts that another run may pay. [mm]"""

    effort_mm: float
    bare_mm: float


def fixed_ends(job: Job, profile: Profile, practice: Practice) -> tuple[FixedEnds, ...]:
    """Return a job once for each choice of its runs' ends that may have a way, the least effort first.

    Choices that no loom has a way for are left out, unless a run has no other. Of more than `MOST_CHOICES`
    those are returned where each run ends where it is best alone, those that differ from it in one run, and
    those where runs with the same choice take the same: so many at most.

    Parameters
    ----------
    job, profile, practice : records of the model
    """
    choices = [runs_by_ends(run) for run in job.runs]
    if all(len(each) == 1 for each in choices):
        return (FixedEnds(job, 0.0),)
    alone = _alone(job, choices, profile, practice)
    open_choices = _open_choices(choices, alone)
    share = practice.value("factor", "shared")
    made = [
        FixedEnds(replace(job, runs=runs), _least_mm(runs, alone, share))
        for runs in _combinations(open_choices, alone)
    ]
    return tuple(sorted(made, key=lambda each: each.least_mm)[:MOST_CHOICES])


def _alone(
    job: Job, choices: Sequence[Sequence[Run]], profile: Profile, practice: Practice
) -> dict[_Ends, _Alone]:
    """Return what each run takes by itself for each choice of its ends that has a way."""
    every = [run for each in choices for run in each]
    efforts_mm = _efforts_mm(job, every, profile, _scaled(practice, ("amount",), 0.5))
    bare_mm = _efforts_mm(job, every, profile, _scaled(practice, PAID_ONCE, 0.0))
    return {key: _Alone(efforts_mm[key], bare_mm[key]) for key in efforts_mm if key in bare_mm}


def _scaled(practice: Practice, groups: Sequence[str], by: float) -> Practice:
    """Return a practice with the values of some groups multiplied."""
    rules = {
        name: replace(rule, value=by * rule.value) if name[0] in groups else rule
        for name, rule in practice.rules.items()
    }
    return replace(practice, rules=rules)


def _efforts_mm(job: Job, runs: Sequence[Run], profile: Profile, practice: Practice) -> dict[_Ends, float]:
    renamed = {str(number): replace(run, name=str(number), apart_from=()) for number, run in enumerate(runs)}
    search = JobSearch(
        replace(job, runs=tuple(renamed.values())), profile, practice, dict.fromkeys(renamed, THINNEST_MM), {}
    )
    found = {}
    for run, each in zip(runs, renamed.values(), strict=True):
        try:
            found[_ends(run)] = search.alone_mm(each) / (1.0 + DEFAULT_GAP)
        except NoPathError:
            continue
    return found


def _ends(run: Run) -> _Ends:
    return run.name, run.start, run.end


def _open_choices(choices: Sequence[Sequence[Run]], alone: Mapping[_Ends, _Alone]) -> list[tuple[Run, ...]]:
    """Return the choices that have a way; where a run has none, all of its own and just one of each other.

    Then there is no answer, and only why is asked.
    """
    open_choices = [tuple(run for run in each if _ends(run) in alone) for each in choices]
    if all(open_choices):
        return open_choices
    return [each[:1] or tuple(shut) for each, shut in zip(open_choices, choices, strict=True)]


def _combinations(choices: Sequence[tuple[Run, ...]], alone: Mapping[_Ends, _Alone]) -> list[tuple[Run, ...]]:
    """Return the choices of all runs that are looked at, each once."""
    if math.prod(len(each) for each in choices) <= MOST_CHOICES:
        return list(itertools.product(*choices))
    best = tuple(
        min(each, key=lambda run: alone[_ends(run)].effort_mm if _ends(run) in alone else math.inf)
        for each in choices
    )
    changed = (
        (*best[:number], run, *best[number + 1 :]) for number, each in enumerate(choices) for run in each
    )
    alike = itertools.islice(_alike(choices), MOST_CHOICES)
    return list(dict.fromkeys((best, *alike, *changed)))


def _alike(choices: Sequence[tuple[Run, ...]]) -> Iterator[tuple[Run, ...]]:
    """Yield the choices of all runs in which those that may end at the same terminals do."""
    options: dict[_Several, list[_Picked]] = {}
    for each in choices:
        options.setdefault(_several(each[0]), [_picked(run) for run in each])
    for picked in itertools.product(*options.values()):
        wanted = dict(zip(options, picked, strict=True))
        found = [[run for run in each if _picked(run) == wanted[_several(run)]] for each in choices]
        if all(found):
            yield tuple(each[0] for each in found)


def _several(run: Run) -> _Several:
    return run.may_start_at, run.may_end_at


def _picked(run: Run) -> _Picked:
    return run.start if run.may_start_at else "", run.end if run.may_end_at else ""


def _least_mm(runs: Sequence[Run], alone: Mapping[_Ends, _Alone], share: float) -> float:
    """Return the least effort of a job; see the module for why. 0 where a run has no way. [mm]"""
    if not all(_ends(run) in alone for run in runs):
        return 0.0
    each = [alone[_ends(run)] for run in runs]
    rest_mm = share * sum(one.bare_mm for one in each)
    return rest_mm + max(one.effort_mm - share * one.bare_mm for one in each)
