"""Why a run ends where it does and not at another terminal that the job gives, and what that would cost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from router.errors import NoAnswerError, NoRouteError
from router.facts import why_not_there
from router.model.job import Job, Run
from router.model.plan import OtherEnd, Route, RouteReason


@dataclass(frozen=True, slots=True)
class TriedEnds:
    """A job with fixed ends that was looked at; `effort_mm` None where it has no answer."""

    job: Job
    effort_mm: float | None
    is_least: bool
    """Whether it takes no less than that, and was not planned."""


def find_other_ends(run: Run, effort_mm: float, tried: Sequence[TriedEnds]) -> tuple[OtherEnd, ...]:
    """Return the other terminals where a run may begin or end, in the job's order.

    Parameters
    ----------
    run : Run
        With the ends that it takes.
    effort_mm : float
        Of the whole job with these. [mm]
    tried : sequence of TriedEnds
        Everything that was looked at.
    """
    sides = ((True, run.may_start_at, run.start), (False, run.may_end_at, run.end))
    return tuple(
        _other_end(run.name, name, effort_mm, tried, is_start=is_start)
        for is_start, names, taken in sides
        for name in names
        if name != taken
    )


def _other_end(
    run: str, terminal: str, effort_mm: float, tried: Sequence[TriedEnds], *, is_start: bool
) -> OtherEnd:
    """Return an end with the least that the job takes with it; what was planned says it exactly."""
    found = [
        (each.effort_mm, each.is_least)
        for each in tried
        if each.effort_mm is not None
        and terminal == (each.job.run(run).start if is_start else each.job.run(run).end)
    ]
    if not found:
        return OtherEnd(terminal, is_start, None, is_at_least=False)
    least_mm, is_least = min(found)
    return OtherEnd(terminal, is_start, least_mm - effort_mm, is_at_least=is_least)


def end_reasons(run: Run, route: Route, others: Sequence[OtherEnd]) -> Iterator[RouteReason]:
    """Yield why a run begins or ends where it does, at its first or last station.

    Parameters
    ----------
    run : Run
        With the ends that it takes.
    route : Route
    others : sequence of OtherEnd
    """
    for other in others:
        why = why_not_there(other, run.start if other.is_start else run.end)
        at_mm = 0.0 if other.is_start else route.routed_mm
        yield RouteReason(at_mm, at_mm, why, None, None, None, None, None)


def no_end_has_an_answer(refusals: Sequence[NoAnswerError]) -> NoAnswerError:
    """Return the one refusal of a job none of whose ends has an answer: it says why for each."""
    first, words = refusals[0], tuple(dict.fromkeys(each.why for each in refusals))
    if len(words) == 1:
        return first
    why = f"none of the ends that the job lets its runs take has an answer. {_numbered(words)}"
    if isinstance(first, NoRouteError):
        return NoRouteError(why, first.pinch, first.run, is_for_any_loom=first.is_for_any_loom)
    return type(first)(why)


def _numbered(words: Sequence[str]) -> str:
    return " ".join(f"({number}) {each.rstrip('.')}." for number, each in enumerate(words, start=1))
