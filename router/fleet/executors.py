"""Where plans are worked out: here one after the other, on all cores, or on machines that dask knows.

Whatever `concurrent.futures.Executor` is behind it, the same calls are made and the same bytes come out.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, ParamSpec, TypeVar

from router.signals import raised

_P = ParamSpec("_P")
_T = TypeVar("_T")
KINDS = "serial, processes, or the address of a dask scheduler, e.g. tcp://10.0.0.5:8786"
SAMPLERS = ("profile", "profile-cycle")
"""What of dask's notes where the time of a worker goes, by the names of its periodic callbacks."""
_SCHEMES = ("tcp://", "tls://", "ucx://")


class ExecutorError(Exception):
    """There is no such executor, or it cannot be reached; says what to write or to do."""


class OtherVersionError(ExecutorError):
    """A worker has another version of this program, whose plans would not be the same."""


@dataclass(frozen=True, slots=True)
class Workforce:
    """An executor, and how many plans it works on at a time."""

    executor: Executor
    size: int


class SerialExecutor(Executor):
    """Does each thing at once, in this process."""

    def submit(self, fn: Callable[_P, _T], /, *args: _P.args, **kwargs: _P.kwargs) -> Future[_T]:
        """Return a future that is done."""
        future: Future[_T] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:
            future.set_exception(error)
        return future


class _Processes(ProcessPoolExecutor):
    """Processes that no key press reaches, not even while they start: the parent decides for all."""

    def submit(self, fn: Callable[_P, _T], /, *args: _P.args, **kwargs: _P.kwargs) -> Future[_T]:
        """Hand over a call; any of them may start one more process."""
        with _key_presses_held():
            return super().submit(fn, *args, **kwargs)


@contextmanager
def open_executor(named: str, workers: int | None = None) -> Iterator[Workforce]:
    """Open an executor by its name, and close it afterwards; what is not begun by then is dropped.

    Parameters
    ----------
    named : str
        "serial", "processes", or the address of a dask scheduler.
    workers : int, optional
        How many processes; as many as this process has cores by default.

    Raises
    ------
    ExecutorError
        Where the name is none, or its scheduler cannot be reached.
    """
    if named == "serial":
        yield Workforce(SerialExecutor(), 1)
    elif named == "processes":
        count = workers or len(os.sched_getaffinity(0) if hasattr(os, "sched_getaffinity") else "1")
        spawn = multiprocessing.get_context("spawn")  # a fork would take threads and locks along
        pool = _Processes(count, spawn, initializer=end_with_parent)
        with raised():
            try:
                yield Workforce(pool, count)
            except BaseException:
                for child in multiprocessing.active_children():  # what they are at, nobody wants any more
                    child.terminate()
                raise
            finally:
                pool.shutdown(cancel_futures=True)
    elif named.startswith(_SCHEMES):
        with raised(), _dask(named) as workforce:
            yield workforce
    else:
        raise ExecutorError(f'"{named}" is no executor; write {KINDS}')


@contextmanager
def _key_presses_held() -> Iterator[None]:
    """Hold key presses back until the end of this, and for good in what is started meanwhile.

    The mask is what a new process inherits; the handler keeps this one from being stopped half-way through a
    start where another of its threads takes the signal.
    """
    if not hasattr(signal, "pthread_sigmask") or threading.current_thread() is not threading.main_thread():
        yield
        return
    from multiprocessing import resource_tracker  # noqa: PLC0415 - only where there are signal masks

    resource_tracker.ensure_running()  # its start lets key presses through again
    pressed: list[int] = []
    handler = signal.signal(signal.SIGINT, lambda number, _: pressed.append(number))
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
        signal.signal(signal.SIGINT, handler)
        if pressed:
            signal.raise_signal(signal.SIGINT)


@contextmanager
def _dask(address: str) -> Iterator[Workforce]:
    try:
        import distributed  # noqa: PLC0415 - an extra, and slow to import
    except ImportError:
        install = "pip install 'underbody-router[distributed]'"
        raise ExecutorError(
            f"a dask scheduler needs the package distributed; install it: {install}"
        ) from None
    try:
        package: Any = distributed
        client = package.Client(address, timeout="15s", set_as_default=False)
    except (OSError, ValueError) as error:
        raise ExecutorError(f"no scheduler answers at {address}: {error or type(error).__name__}") from None
    try:
        size = sum(client.nthreads().values())
        if not size:
            raise ExecutorError(f"the scheduler at {address} has no workers; start one and try again")
        with _unsampled(client, package):
            yield Workforce(client.get_executor(pure=False), size)
    finally:
        client.close()


@contextmanager
def _unsampled(client: Any, package: Any) -> Iterator[None]:
    """Let no worker, nor any that comes later, note where its time goes until the end of this.

    A worker notes the stack of what it works at a hundred times a second and keeps that for a quarter of an
    hour, which comes to a megabyte a second of a search.
    """

    class Unsampled(package.WorkerPlugin):  # type: ignore[misc] # made here, so that it is sent whole
        def setup(self, worker: Any) -> None:
            callbacks = worker.periodic_callbacks  # what is not among them is not started later, either
            self.stopped = {each: callbacks.pop(each) for each in SAMPLERS if each in callbacks}
            for callback in self.stopped.values():
                callback.stop()

        def teardown(self, worker: Any) -> None:
            worker.periodic_callbacks.update(self.stopped)
            for callback in self.stopped.values():
                callback.start()

    name = f"unsampled-{client.id}"
    client.register_plugin(Unsampled(), name=name)
    try:
        yield
    finally:
        with contextlib.suppress(OSError):  # there is no scheduler any more
            client.unregister_worker_plugin(name)


def end_with_parent() -> None:
    """Let this worker end as soon as whoever started it has: a killed parent tells nobody."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # where key presses could not be held back at the start
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_after, args=(parent,), daemon=True).start()


def _end_after(parent: Any) -> None:
    parent.join()
    os._exit(1)
