"""All plans of a fleet: worked out a few at a time, kept as they come, none done twice.

Plans that ask for one and the same search go to one worker, one after the other: it searches once.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, CancelledError, Future, wait
from dataclasses import dataclass
from itertools import groupby, islice
from operator import itemgetter

from router.drawing import DrawingOptions
from router.errors import Fault, NoAnswerError, UnreadableError
from router.fleet.content import plan_key, search_key
from router.fleet.executors import ExecutorError, Workforce
from router.fleet.store import Asked, Store, Wanted
from router.fleet.working import Failure, PlanOutcome, plan_together
from router.planning import first_looms_mm
from router.reading import FleetReader, Question

WAITING_PER_WORKER = 2
"""Batches waiting for each worker: enough that none is idle, few enough to stay small."""
MOST_TOGETHER = 16
"""Plans of a batch at most: they are kept together, and whoever stops the program loses what is not kept."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a fleet is: plans kept from before, made now, and in all."""

    kept: int
    made: int
    all: int


@dataclass(frozen=True, slots=True)
class FailedPlan:
    """A plan that this program could not finish, which is a fault of the program."""

    vehicle: str
    job: str
    what: str


def read_wanted(reader: FleetReader, options: DrawingOptions) -> Iterator[Wanted]:
    """Yield which plan each vehicle needs for each job, by its key.

    Raises
    ------
    UnreadableError
        At the end: every fault of the fleet and all that it names.
    """
    vehicle, position = -1, 0
    for asked in reader.questions():
        position = position + 1 if asked.vehicle == vehicle else 1
        vehicle = asked.vehicle
        yield vehicle, position, asked.job, plan_key(asked.question, options), search_key(asked.question)


def make_plans(
    reader: FleetReader,
    store: Store,
    options: DrawingOptions,
    workforce: Workforce,
    on_progress: Callable[[Progress], None],
) -> tuple[FailedPlan, ...]:
    """Make every wanted plan that is not kept yet; return what this program could not finish.

    Parameters
    ----------
    reader : FleetReader
        For the questions, read again one at a time.
    store : Store
        Which plans are wanted, and where they are kept.
    options : DrawingOptions
        How a plan is drawn.
    workforce : Workforce
        Who works them out.
    on_progress : callable
        Told at first and after each plan how far it is.

    Raises
    ------
    UnreadableError
        Where a file was changed meanwhile.
    ExecutorError
        Where a worker was lost; OSError where a plan cannot be kept.
    """
    return _Run(reader, store, options, workforce, on_progress).run()


class _Run:
    def __init__(
        self,
        reader: FleetReader,
        store: Store,
        options: DrawingOptions,
        workforce: Workforce,
        on_progress: Callable[[Progress], None],
    ) -> None:
        self._reader, self._store, self._options, self._workforce = reader, store, options, workforce
        self._on_progress = on_progress
        self._names = tuple(vehicle.name for vehicle in reader.fleet.vehicles)
        self._running: dict[Future[tuple[PlanOutcome | Failure, ...]], dict[str, Asked]] = {}
        self._failed: list[FailedPlan] = []
        self._kept, self._made, self._all = 0, 0, store.count_wanted()

    def run(self) -> tuple[FailedPlan, ...]:
        self._on_progress(Progress(0, 0, self._all))
        for batch in self._batches():
            questions = tuple((key, question) for key, (_, question) in batch.items())
            future = self._workforce.executor.submit(plan_together, questions, self._options)
            self._running[future] = {key: asked for key, (asked, _) in batch.items()}
            while len(self._running) >= WAITING_PER_WORKER * self._workforce.size:
                self._take_what_is_done()
        while self._running:
            self._take_what_is_done()
        self._on_progress(Progress(self._kept, self._made, self._all))
        return tuple(self._failed)

    def _batches(self) -> Iterator[dict[str, tuple[Asked, Question]]]:
        """Yield the questions to work out, by their keys, those together that share a search.

        No batch is larger than a worker's share of the whole, so that none is idle for it.
        """
        most = min(MOST_TOGETHER, math.ceil(self._all / self._workforce.size))
        for _, alike in groupby(self._missing(), key=itemgetter(3)):
            while some := tuple(islice(alike, most)):
                yield from _by_looms({asked[2]: (asked, self._question(asked)) for asked in some})

    def _missing(self) -> Iterator[Asked]:
        for asked in self._store.asked():
            if self._store.is_kept(asked[2]):
                self._kept += 1
            else:
                yield asked

    def _question(self, asked: Asked) -> Question:
        vehicle, job, key, _ = asked
        question = self._reader.question(vehicle, job)
        if plan_key(question, self._options) != key:
            words = (
                f'something that vehicle "{self._names[vehicle]}" needs was changed meanwhile; run it again'
            )
            raise UnreadableError((Fault(str(self._reader.path), 1, 1, "", words),))
        return question

    def _take_what_is_done(self) -> None:
        done, _ = wait(self._running, return_when=FIRST_COMPLETED)
        for future in done:
            batch = self._running.pop(future)
            error = future.exception()
            if error is None:
                self._keep(future.result(), batch)
            elif isinstance(error, BrokenExecutor | CancelledError):
                raise ExecutorError(f"a worker was lost ({error}); run it again, what is finished is kept")
            elif isinstance(error, ExecutorError):
                raise error
            else:  # not a plan's fault: nothing can be handed over
                what = f"{type(error).__name__}: {error}"
                self._keep(tuple(Failure(key, what) for key in batch), batch)

    def _keep(self, outcomes: tuple[PlanOutcome | Failure, ...], batch: dict[str, Asked]) -> None:
        for outcome in outcomes:
            if isinstance(outcome, Failure):
                vehicle, job, *_ = batch[outcome.key]
                self._failed.append(FailedPlan(self._names[vehicle], job, outcome.what))
            else:
                self._store.keep(outcome)
                self._made += 1
            self._on_progress(Progress(self._kept, self._made, self._all))


def _by_looms(
    some: dict[str, tuple[Asked, Question]],
) -> Iterator[dict[str, tuple[Asked, Question]]]:
    """Yield those questions of one search together whose looms are guessed to be as thick."""
    if len(some) < 2:
        yield some
        return
    by_looms: dict[tuple[float, ...], dict[str, tuple[Asked, Question]]] = {}
    for key, (asked, question) in some.items():
        by_looms.setdefault(_guessed_looms_mm(question), {})[key] = (asked, question)
    yield from by_looms.values()


def _guessed_looms_mm(question: Question) -> tuple[float, ...]:
    """Return how thick the looms of a question's runs are guessed to be; nothing where there is no answer."""
    try:
        return tuple(first_looms_mm(question.job, question.profile, question.practice).values())
    except NoAnswerError:
        return ()
