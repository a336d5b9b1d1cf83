"""Where a plan rests on the most careful rule of all kinds, as the profile does not say what something is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from router.model.job import Job
from router.model.plan import Finding, FindingKind, Route, Severity
from router.model.vehicle import Profile


def unsaid_kinds(job: Job, profile: Profile, routes: Sequence[Route]) -> tuple[Finding, ...]:
    """Return a finding for each space passed, and for the source, that has no kind.

    Parameters
    ----------
    job : Job
        For the terminal of its source.
    profile : Profile
        The vehicle, for the kinds of its spaces and terminals.
    routes : sequence of Route
        The routes of the job: the spaces that they pass.
    """
    passed = dict.fromkeys(point.space for route in routes for point in route.points)
    return tuple(_finding(what) for what in _unsaid(job, profile, tuple(passed)))


def _unsaid(job: Job, profile: Profile, passed: tuple[str, ...]) -> Iterator[str]:
    for space in profile.spaces:
        if space.name in passed and space.kind is None:
            yield f'space "{space.name}" has no kind: spacing and warmth there are the strictest of any'
    source = profile.terminal(job.source.at)
    if source.kind is None:
        yield f'terminal "{source.name}" has no kind: its fuse lies as near as the strictest rule of any asks'


def _finding(fact: str) -> Finding:
    more = "; write one, `underbody check` on the profile shows where"
    return Finding(FindingKind.NO_KIND, Severity.NOTE, None, None, fact, more, "a kind", "none", None)
