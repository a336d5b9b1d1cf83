"""Fixings that hold several runs at once: each is counted, drawn and fetched for the first of them."""

from __future__ import annotations

from collections.abc import Iterator

from router.facts.along_route import Placed
from router.model.plan import Fixing, Plan, RunPlan
from router.tolerances import SAME_FIXING_MM


def own_fixings(plan: Plan, run: RunPlan) -> tuple[Fixing, ...]:
    """Return the fixings of a run that are not already one of an earlier run's."""
    return tuple(fixing for fixing in run.fixings if not _there_already(plan, run, fixing))


def _there_already(plan: Plan, run: RunPlan, fixing: Fixing) -> bool:
    return any(_same_place(fixing, other) for other in _earlier_fixings(plan, run, fixing))


def _earlier_fixings(plan: Plan, run: RunPlan, fixing: Fixing) -> Iterator[Fixing]:
    for other in plan.runs[: plan.runs.index(run)]:
        yield from other.fixings
    yield from (own for own in run.fixings if own.number < fixing.number)  # two at one place are one


def _same_place(one: Placed, other: Placed) -> bool:
    gaps = (one.x_mm - other.x_mm, one.y_mm - other.y_mm, one.z_mm - other.z_mm)
    return one.space == other.space and max(map(abs, gaps)) < SAME_FIXING_MM
