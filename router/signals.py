"""Ctrl-C and requests to end: what they do, and what they wait for.

A stop may come at any moment, in the middle of an import too, where an exception is lost or turned into
another one by whoever is being imported. So in a process of our own a stop ends it at once, without unwinding
anything; what must be whole holds stops back, and who has workers to send home asks for an exception.
"""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

STOPS = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))
WORDS = "underbody: stopped"


class Stopped(BaseException):
    """The process was asked to end; `code` is what it ends with: 130 after Ctrl-C."""

    def __init__(self, number: int) -> None:
        super().__init__(WORDS)
        self.number = number
        self.code = code_of(number)


def code_of(number: int) -> int:
    """Return the exit code of a process that a signal ended, as shells count it."""
    return 128 + number


def end_at_stops() -> None:
    """Let stops end this process at once, in one line; those that whoever started it ignores stay ignored."""
    for number in STOPS:
        if signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _end)


@contextmanager
def held() -> Iterator[None]:
    """Hold stops back until the end of this, so that what is done in here is done whole."""
    waiting: list[int] = []
    try:
        with _handled(lambda number, _: waiting.append(number), STOPS):
            yield
    finally:
        if waiting:
            signal.raise_signal(waiting[0])


@contextmanager
def raised() -> Iterator[None]:
    """Let a stop that would end the process at once raise `Stopped` in here, so that all is closed."""
    before = sys.unraisablehook
    sys.unraisablehook = _unraisable
    try:
        with _handled(_raise, tuple(number for number in STOPS if signal.getsignal(number) is _end)):
            yield
    finally:
        sys.unraisablehook = before


def stopped() -> Stopped | None:
    """Return the stop that was raised, also where whoever was interrupted made another exception of it."""
    return _met[0] if _met else None


_met: list[Stopped] = []


def _end(number: int, _frame: Any) -> None:
    with contextlib.suppress(OSError):
        os.write(2, f"{WORDS}\n".encode())
    os._exit(code_of(number))


def _raise(number: int, _frame: Any) -> None:
    _met.append(Stopped(number))
    raise _met[-1]


def _unraisable(met: Any) -> None:
    """End the process where a stop was raised in a place that no exception leaves; tell anything else."""
    if isinstance(met.exc_value, Stopped):
        _end(met.exc_value.number, None)
    sys.__unraisablehook__(met)


@contextmanager
def _handled(handler: Callable[[int, Any], None], numbers: tuple[int, ...]) -> Iterator[None]:
    """Put a handler in place of those that there are; only the main thread may, and is interrupted."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {number: signal.getsignal(number) for number in numbers}
    ours = [number for number, other in before.items() if other not in (None, signal.SIG_IGN)]
    try:
        for number in ours:
            signal.signal(number, handler)
        yield
    finally:
        for number in ours:
            signal.signal(number, before[number])
