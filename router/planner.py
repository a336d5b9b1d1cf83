"""A planner that remembers: one question, asked again and again with small changes, and what is known of it.

What a change does not touch is not made again. The answer is that of a fresh plan, to the byte: what is
remembered is kept by all that it depends on (`router.memory`), and belongs to the planner that worked it out.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from copy import deepcopy
from dataclasses import dataclass, field, replace
from typing import Any, TypeAlias

from router.api import Given, Plan, checked_gap
from router.memory import Memory
from router.model.job import Job
from router.model.plan import Plan as PlanRecord
from router.model.practice import Practice
from router.model.vehicle import Point, Profile
from router.planning import make_answer, make_plan
from router.reading import (
    Question,
    changed_question,
    job_data,
    moved_question,
    moved_terminal,
    read_question,
    with_limits,
    with_loads,
)
from router.stopping import stoppable
from router.tolerances import DEFAULT_GAP

Work: TypeAlias = Callable[[Job, Profile, Practice], PlanRecord]


@dataclass(frozen=True, slots=True)
class _Given:
    """What a planner was given: as it was written, and as it was read."""

    job: Given
    profile: Given | None
    practice: Given | None
    variant: str | None
    trusts_paths: bool
    data: dict[str, Any] = field(init=False)
    """What the job's file holds."""
    question: Question = field(init=False)

    def __post_init__(self) -> None:
        question = read_question(
            self.job, self.practice, self.profile, self.variant, trusts_paths=self.trusts_paths
        )
        object.__setattr__(self, "question", question)
        object.__setattr__(self, "data", job_data(self.job))

    @property
    def vehicle(self) -> Profile:
        """Return the vehicle without the places that the job brings along."""
        profile = self.question.profile
        own = tuple(terminal for terminal in profile.terminals if not terminal.is_place)
        return replace(profile, terminals=own)


@dataclass(frozen=True, slots=True)
class _Changes:
    """What was changed since."""

    moves: Mapping[str, Point] = field(default_factory=dict)
    loads: Mapping[str, object] = field(default_factory=dict)
    limits: Mapping[str, object] = field(default_factory=dict)

    def applied_to(self, given: _Given) -> Question:
        """Return what is asked with all changes made; UnreadableError where that cannot be."""
        question = given.question
        if self.loads or self.limits:
            data = deepcopy(given.data)
            with_loads(data, self.loads)
            with_limits(data, self.limits)
            question = changed_question(question, data, question.profile)
        return moved_question(question, self.moves)


class Planner:
    """A job that is planned again and again while things in it change.

    Parameters
    ----------
    job, profile, practice, variant, gap, trusts_paths
        As `router.plan`.

    Raises
    ------
    UnreadableError
        The question cannot be read: every fault of job, profile and practice at once.

    Examples
    --------
    >>> planner = Planner("examples/work-lamp-rear-battery")
    >>> before = planner.plan()
    >>> x, y = before.record.profile.terminal("work lamp").at
    >>> planner.move("work lamp", (x - 50.0, y))
    >>> planner.plan() == before
    False
    >>> planner.move("work lamp", (x, y))
    >>> planner.plan() == before
    True
    """

    def __init__(
        self,
        job: Given,
        *,
        profile: Given | None = None,
        practice: Given | None = None,
        variant: str | None = None,
        gap: float = DEFAULT_GAP,
        trusts_paths: bool = False,
    ) -> None:
        self._gap = checked_gap(gap)
        self._given = _Given(job, profile, practice, variant, trusts_paths)
        self._changes = _Changes()
        self._question = self._given.question
        self._memory = Memory()
        self._planning, self._is_stopped = threading.Lock(), threading.Event()

    def plan(self, should_stop: Callable[[], bool] | None = None) -> Plan:
        """Plan the job as it is now.

        Parameters
        ----------
        should_stop : callable, optional
            Asked again and again, some hundred times a second, whether the plan is no longer wanted.

        Raises
        ------
        NoRouteError, NoConductorError
            As `router.plan`.
        PlanStoppedError
            It was called off, by `should_stop` or by `stop`; the planner is whole, and can plan again.
        """
        gap = self._gap
        return Plan(
            self._work(lambda job, profile, practice: make_plan(job, profile, practice, gap), should_stop)
        )

    def answer(self, should_stop: Callable[[], bool] | None = None) -> Plan:
        """Return the plan as soon as its routes, lengths, fixings and findings stand.

        Nothing of it is proven yet (its gaps are infinite), and it has neither reasons nor alternatives;
        `plan` goes on from there.

        Parameters
        ----------
        should_stop
            As `plan`.

        Raises
        ------
        NoRouteError, NoConductorError, PlanStoppedError
            As `plan`.
        """
        return Plan(self._work(make_answer, should_stop))

    def move(self, terminal: str, at: tuple[float, float]) -> None:
        """Put a terminal elsewhere in its space; its height stays.

        Parameters
        ----------
        terminal : str
            Its name.
        at : (x, y)
            x rearward, y to the right, as in records. [mm]

        Raises
        ------
        UnreadableError
            There is no such terminal, or its space does not reach there; nothing is changed.
        """
        moved_terminal(self._question.profile, terminal, at)  # refuses names that there are not
        changes = replace(self._changes, moves={**self._changes.moves, terminal: at})
        self._question, self._changes = changes.applied_to(self._given), changes

    def set(
        self,
        *,
        job: Given | None = None,
        profile: Given | None = None,
        practice: Given | None = None,
        variant: str | None = None,
        loads: Mapping[str, object] | None = None,
        limits: Mapping[str, object] | None = None,
        gap: float | None = None,
    ) -> None:
        """Change what is asked; what is not named stays as it is.

        Parameters
        ----------
        job, profile, practice, variant
            Another one in place of that which there is, as `router.plan` takes it. With another job come its
            loads and limits, with another vehicle or variant the places of its terminals.
        loads : mapping of str to object, optional
            By conductor: its load, as a job file has it, e.g. {"supply": "12 A"}.
        limits : mapping of str to object, optional
            As a job file has them, e.g. {"drop": "3 %", "ambient": {"underfloor": "50 degC"}}.
        gap : float, optional
            As for `router.plan`.

        Raises
        ------
        UnreadableError
            What is asked then cannot be read: every fault; nothing is changed.
        ValueError
            The gap is out of its range; nothing is changed.
        """
        gap = checked_gap(self._gap if gap is None else gap)
        given, changes = self._given, self._changes
        if job is not None:
            changes = replace(changes, loads={}, limits={})
        if not (job is profile is practice is variant is None):
            given = _Given(
                given.job if job is None else job,
                given.profile if profile is None else profile,
                given.practice if practice is None else practice,
                given.variant if variant is None and profile is None else variant,
                given.trusts_paths,
            )
        if not (profile is variant is None) or given.vehicle != self._given.vehicle:
            changes = replace(changes, moves={})
        changes = replace(
            changes, loads={**changes.loads, **(loads or {})}, limits={**changes.limits, **(limits or {})}
        )
        self._question, self._given, self._changes = changes.applied_to(given), given, changes
        self._gap = gap

    def stop(self) -> None:
        """Call off what is being planned now, from another thread; without that nothing happens."""
        self._is_stopped.set()

    @property
    def asked(self) -> tuple[Job, Profile, Practice]:
        """Return what is asked now, as records."""
        return self._question.job, self._question.profile, self._question.practice

    def _work(self, work: Work, should_stop: Callable[[], bool] | None) -> PlanRecord:
        """Return what is worked out of what is asked now, with what is known; one at a time."""
        is_stopped = self._is_stopped
        with self._planning:
            is_stopped.clear()
            with (
                self._memory.in_use(),
                stoppable(lambda: is_stopped.is_set() or bool(should_stop and should_stop())),
            ):
                return work(*self.asked)
