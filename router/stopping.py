"""How a plan is called off by whoever asked for it: long work asks here, often, if it is still wanted."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar


class PlanStoppedError(Exception):
    """The plan was called off before it was there."""

    def __init__(self) -> None:
        super().__init__("the plan was stopped before it was there")


_SHOULD_STOP: ContextVar[Callable[[], bool] | None] = ContextVar("should stop", default=None)


@contextmanager
def stoppable(should_stop: Callable[[], bool]) -> Iterator[None]:
    """Let `stop_if_asked`, called in here in this thread, ask a function whether to go on."""
    before = _SHOULD_STOP.set(should_stop)
    try:
        yield
    finally:
        _SHOULD_STOP.reset(before)


def stop_if_asked() -> None:
    """Go on, or raise `PlanStoppedError` where the work is no longer wanted.

    Nothing half-made may be kept by whoever calls this: what is remembered is whole, or is not there.
    """
    should_stop = _SHOULD_STOP.get()
    if should_stop is not None and should_stop():
        raise PlanStoppedError
