"""What a planner has worked out and may need again, each result kept by all that it depends on.

A pure function of frozen records is marked with `remembered`. While a planner's memory is in use, what the
function returned for equal arguments is returned again; without one it is just called. The arguments are the
key, so that nothing can be out of date: whoever leaves an argument out has nothing to work it out from.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import wraps
from typing import Any, ParamSpec, TypeVar, cast

P = ParamSpec("P")
R = TypeVar("R")


class Memory:
    """Results of pure functions, those that were asked for last of each; what is in it only grows so far."""

    def __init__(self) -> None:
        self._kept: dict[Callable[..., object], OrderedDict[tuple[object, ...], object]] = {}

    def result(self, function: Callable[..., object], arguments: tuple[object, ...], most: int) -> object:
        """Return what a pure function returns; it is called only where that is not known.

        Parameters
        ----------
        function : callable
        arguments : tuple
            All of its arguments, each hashable and never changed.
        most : int
            How many of its results are kept.
        """
        kept = self._kept.setdefault(function, OrderedDict())
        if arguments in kept:
            kept.move_to_end(arguments)
            return kept[arguments]
        result = function(*arguments)
        kept[arguments] = result
        while len(kept) > most:
            kept.popitem(last=False)
        return result

    @property
    def size(self) -> int:
        """Return how many results are kept."""
        return sum(len(kept) for kept in self._kept.values())

    @contextmanager
    def in_use(self) -> Iterator[None]:
        """Let `remembered` functions that are called in here, in this thread, keep their results."""
        before = _IN_USE.set(self)
        try:
            yield
        finally:
            _IN_USE.reset(before)


_IN_USE: ContextVar[Memory | None] = ContextVar("memory in use", default=None)


def remembered(most: int) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Return a decorator for a pure function of hashable arguments, given by place, not by name.

    Parameters
    ----------
    most : int
        How many results one memory keeps, those that were asked for last.
    """

    def decorated(function: Callable[P, R]) -> Callable[P, R]:
        @wraps(function)
        def asked(*arguments: P.args, **named: P.kwargs) -> R:
            assert not named, "what is remembered is asked for by place"
            memory = _IN_USE.get()
            if memory is None:
                return function(*arguments, **named)
            places = cast("tuple[Any, ...]", arguments)
            return cast("R", memory.result(function, places, most))

        return asked

    return decorated
