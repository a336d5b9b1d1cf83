"""Every way to refuse. Three kinds, never mixed.

UnreadableError   the question cannot be read (exit 2): a list of faults, each with its place
NoAnswerError     it was asked and there is no answer (exit 1), with the limit and its place
findings          are no errors: data in the result (router.model.plan.Finding)
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing wrong in one file: `file:line:column: where: what was found; what to write`."""

    file: str
    line: int
    column: int
    where: str
    what: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}: "
        return place + (f"{self.where}: {self.what}" if self.where else self.what)


class UnreadableError(Exception):
    """The question cannot be read; all faults at once."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults


class NoAnswerError(Exception):
    """It was asked, and there is no answer; `why` says what stands in the way, and where."""

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.why = why


class NoRouteError(NoAnswerError):
    """No way from a run's start to its end."""


class NoConductorError(NoAnswerError):
    """No conductor, fuse or loom meets the limits."""
