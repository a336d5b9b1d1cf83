"""All plans of a fleet: worked out a few at a time, kept as they come, none done twice."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, CancelledError, Future, wait
from dataclasses import dataclass

from router.drawing import DrawingOptions
from router.errors import Fault, UnreadableError
from router.fleet.content import plan_key
from router.fleet.executors import ExecutorError, Workforce
from router.fleet.store import Store, Wanted
from router.fleet.working import PlanOutcome, plan_one
from router.reading import FleetReader

WAITING_PER_WORKER = 2
"""Questions waiting for each worker: enough that none is idle, few enough to stay small."""


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
        yield vehicle, position, asked.job, plan_key(asked.question, options)


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
        self._running: dict[Future[PlanOutcome], tuple[str, int, str]] = {}
        self._failed: list[FailedPlan] = []
        self._kept, self._made, self._all = 0, 0, store.count_wanted()

    def run(self) -> tuple[FailedPlan, ...]:
        self._on_progress(Progress(0, 0, self._all))
        seen: set[bytes] = set()
        for vehicle, _, job, key in self._store.wanted():
            if (short := bytes.fromhex(key)) in seen:
                continue
            seen.add(short)
            if self._store.is_kept(key):
                self._kept += 1
                continue
            self._submit(key, vehicle, job)
            while len(self._running) >= WAITING_PER_WORKER * self._workforce.size:
                self._take_what_is_done()
        while self._running:
            self._take_what_is_done()
        self._on_progress(Progress(self._kept, self._made, self._all))
        return tuple(self._failed)

    def _submit(self, key: str, vehicle: int, job: str) -> None:
        question = self._reader.question(vehicle, job)
        if plan_key(question, self._options) != key:
            words = (
                f'something that vehicle "{self._names[vehicle]}" needs was changed meanwhile; run it again'
            )
            raise UnreadableError((Fault(str(self._reader.path), 1, 1, "", words),))
        future = self._workforce.executor.submit(plan_one, key, question, self._options)
        self._running[future] = (key, vehicle, job)

    def _take_what_is_done(self) -> None:
        done, _ = wait(self._running, return_when=FIRST_COMPLETED)
        for future in done:
            _, vehicle, job = self._running.pop(future)
            error = future.exception()
            if error is None:
                self._store.keep(future.result())
                self._made += 1
            elif isinstance(error, BrokenExecutor | CancelledError):
                raise ExecutorError(f"a worker was lost ({error}); run it again, what is finished is kept")
            elif isinstance(error, ExecutorError):
                raise error
            else:
                what = f"{type(error).__name__}: {error}"
                self._failed.append(FailedPlan(self._names[vehicle], job, what))
            self._on_progress(Progress(self._kept, self._made, self._all))
