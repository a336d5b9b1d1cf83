"""All errors: three kinds of refusal, never mixed.

UnreadableError   the question cannot be read (exit 2): a list of faults, each with its place
NoAnswerError     it was asked and there is no answer (exit 1), with the limit and its place
findings          are no errors: data in the result (router.model.plan.Finding)
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum


def shown(text: str) -> str:
    r"""Return a text, such as a file's name, with what would spoil its line written as an escape.

    >>> shown("van 17\n.yaml")
    'van 17\\x0a.yaml'
    """
    return "".join(f"\\x{ord(sign):02x}" if _breaks_a_line(ord(sign)) else sign for sign in text)


def _breaks_a_line(sign: int) -> bool:
    """Return whether a character is a control, a line's or paragraph's end, or half of one."""
    return sign < 0x20 or 0x7F <= sign < 0xA0 or sign in (0x2028, 0x2029) or 0xD800 <= sign <= 0xDFFF


def key_path(path: tuple[str | int, ...]) -> str:
    """Return a path of keys and indexes as programs write it.

    >>> key_path(("runs", 0, "conductors", 1, "load"))
    'runs[0].conductors[1].load'
    """
    return "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path).removeprefix(".")


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing wrong in one file: `file:line:column: where: what was found; what to write`.

    In a question that a program built in memory a path of keys stands in place of file, line and column:
    `runs[0].conductors[0].load: where: what was found; what to write`.
    """

    file: str
    line: int
    column: int
    where: str
    what: str
    key_path: str = ""
    """Empty where it is in a file; else `line` only says which of two faults comes first."""
    path: tuple[str | int, ...] = field(default=(), compare=False)
    """The keys and indexes to the value in its file; empty where it is the file's, or not known."""

    def __str__(self) -> str:
        place = self.key_path or f"{self.file}:{self.line}:{self.column}"
        return f"{shown(place)}: " + (f"{self.where}: {self.what}" if self.where else self.what)


class UnreadableError(Exception):
    """The question cannot be read; all faults at once."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults


class NoAnswerError(Exception):
    """It was asked, and there is no answer; `why` says what blocks it, and where."""

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.why = why


class RelaxationKind(StrEnum):
    """What one change would do to open a way."""

    MEASURE = "measure"
    SHIELD = "shield"
    CLEARANCE = "clearance"
    PRACTICE_CLEARANCE = "practice clearance"
    LOOM = "loom"
    BORE = "bore"
    PASS = "pass"
    ALLOW = "allow"
    WITHOUT_VIA = "without via"


@dataclass(frozen=True, slots=True)
class Relaxation:
    """One single change that opens a route where there is none."""

    kind: RelaxationKind
    name: str
    """What is changed: a keep-out, an opening, a member; empty for the loom."""
    from_mm: float | None
    to_mm: float | None
    """What it is now and what it must become; None where the change is no length."""
    what: str
    """The change in words: "a shield on rear silencer"."""


@dataclass(frozen=True, slots=True)
class Pinch:
    """Where the widest route of a run is stopped: between which things, how wide it is there and should be.

    Widths are None where the route is not narrow at one place but shut: `between` is what stands across then,
    and the place where a route would meet the first of it; None where it is nothing that could be named.
    """

    run: str
    space: str | None
    at_mm: tuple[float, float] | None
    between: tuple[str, ...]
    """Two things, or the one whose bore is too small."""
    width_mm: float | None
    needed_mm: float | None
    relaxations: tuple[Relaxation, ...]
    """Each opens a route by itself; tried, not guessed."""


class NoRouteError(NoAnswerError):
    """No route from a run's start to its end; `pinch` is the evidence, where there is a widest route.

    `is_for_any_loom`: the thinnest loom has no route either, so what made this one thick does not matter.
    """

    def __init__(
        self, why: str, pinch: Pinch | None = None, run: str | None = None, *, is_for_any_loom: bool = False
    ) -> None:
        super().__init__(why)
        self.pinch = pinch
        self.run = run
        self.is_for_any_loom = is_for_any_loom


class NoConductorError(NoAnswerError):
    """No conductor, fuse or loom meets the limits."""
