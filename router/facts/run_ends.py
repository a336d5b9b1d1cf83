"""Runs that may end at one of several terminals: each choice, and the one that a drawn route took."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from router.model.job import Run
from router.model.plan import OtherEnd, RoutePoint
from router.model.vehicle import Profile, Terminal


def runs_by_ends(run: Run) -> tuple[Run, ...]:
    """Return a run once for each choice of its two ends, in the order of the file."""
    starts, ends = run.may_start_at or (run.start,), run.may_end_at or (run.end,)
    return tuple(replace(run, start=start, end=end) for start in starts for end in ends)


def run_as_drawn(run: Run, first: RoutePoint, last: RoutePoint, profile: Profile) -> Run:
    """Return a run with those of its ends that a drawn route begins and ends nearest to.

    Parameters
    ----------
    run : Run
    first, last : RoutePoint
        Of the drawn route.
    profile : Profile
        For its terminals.
    """
    starts, ends = run.may_start_at or (run.start,), run.may_end_at or (run.end,)
    return replace(run, start=_nearest(first, starts, profile), end=_nearest(last, ends, profile))


def why_not_there(other: OtherEnd, taken: str) -> str:
    """Return in words why a run does not begin or end at another terminal that the job gives.

    Parameters
    ----------
    other : OtherEnd
    taken : str
        The terminal that the run takes in its place.
    """
    return f"{'begins' if other.is_start else 'ends'} at {taken}, not at {other.terminal}: {_cost(other)}"


def _cost(other: OtherEnd) -> str:
    if other.more_effort_mm is None:
        return "the job has no way there"
    if other.more_effort_mm < 0.0:
        return "the looms could not be held there as the rules ask"
    if other.is_at_least:
        return f"the whole job would take at least {math.floor(other.more_effort_mm)} mm more effort"
    return f"the whole job would take {other.more_effort_mm:.0f} mm more effort"


def _nearest(point: RoutePoint, names: Iterable[str], profile: Profile) -> str:
    def away(terminal: Terminal) -> tuple[bool, float]:
        return terminal.space != point.space, math.dist(terminal.at, (point.x_mm, point.y_mm))

    return min((profile.terminal(name) for name in names), key=away).name
