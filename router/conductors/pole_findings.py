"""Findings on poles: a stud takes one of them, and the source's own plus takes no earth."""

from __future__ import annotations

from collections.abc import Iterator

from router.facts import Poles, poles_at
from router.model.job import Job
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Rule, Status
from router.model.vehicle import Profile

_RULE = Rule(
    "conductor", "one pole to a stud", 1.0, "count", "common practice, no source", Status.COMMON_PRACTICE
)


_APART = (
    "; where it has two studs, write studs: {plus: ..., minus: ...}; where they are apart, measure them "
    "as two terminals and end each run on its own"
)


def pole_findings(job: Job, profile: Profile) -> tuple[Finding, ...]:
    """Return a finding for each stud on which both poles of a job would end, in the order of its runs.

    Where a terminal has a stud for each pole, every conductor ends on its own.

    A must-rule where the stud is a pole of the source: there it is a dead short. Elsewhere the unit may have
    a second connection that the profile does not show, so a person should look.
    """
    names = dict.fromkeys(name for run in job.runs for name in (run.start, run.end))
    return tuple(finding for name in names for finding in _at(job, profile, name))


def _at(job: Job, profile: Profile, name: str) -> Iterator[Finding]:
    stud, poles = profile.terminal(name).stud, poles_at(job, name)
    if stud is None:
        return
    if name == job.source.at and poles.minus:
        yield _finding(
            f"{_and(poles.minus)}: an earth ends on {name}, the source's plus", "; end it on its minus"
        )
    elif name == job.source.negative_at and poles.plus:
        yield _finding(
            f"{_and(poles.plus)}: a supply ends on {name}, the source's minus", "; end it on its plus"
        )
    elif poles.are_both:
        yield _finding(_words(name, stud, poles), _APART, Severity.SHOULD)


def _words(name: str, stud: str, poles: Poles) -> str:
    return (
        f"{name} has one {stud} stud, and both poles end on it: {_and(poles.plus)} (plus) and "
        f"{_and(poles.minus)} (minus)"
    )


def _finding(fact: str, more: str, severity: Severity = Severity.MUST) -> Finding:
    return Finding(
        FindingKind.POLES, severity, None, None, fact, more, "one pole to a stud", "both on one stud", _RULE
    )


def _and(names: tuple[str, ...]) -> str:
    return ", ".join(names)
