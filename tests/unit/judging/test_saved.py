"""What a judged route says that the planned one saves: lengths and fixings changed by known amounts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from example_plans import example_plan

from router.judging import judge_route
from router.writing import planned_route

PLAN = "work-lamp-rear-battery"


def lengthened(run, by_mm):
    """Return a planned run whose way is so much longer, its points left where they are."""
    *points, last = run.route.points
    points.append(replace(last, station_mm=last.station_mm + by_mm))
    return replace(run, route=replace(run.route, points=tuple(points)))


def saved(longer_mm, fewer=0):
    """Return what is said where the planned supply is longer than the judged one, and has fewer fixings."""
    plan = example_plan(PLAN)
    supply = lengthened(plan.runs[0], longer_mm)
    supply = replace(supply, fixings=supply.fixings[: len(supply.fixings) - fewer])
    changed = replace(plan, runs=(supply, *plan.runs[1:]))
    return judge_route(plan.job, plan.profile, plan.practice, planned_route(plan), changed).saved


@pytest.mark.parametrize(
    ("longer_mm", "words"),
    [
        (-100.0, ("supply: 100 mm of length",)),
        (-1.0, ("supply: 1 mm of length",)),
        (-0.9, ()),  # nobody cuts a cable so exactly
        (0.0, ()),
        (100.0, ()),  # the judged route is the shorter one: nothing is saved
    ],
)
def test_a_planned_way_saves_what_the_judged_one_is_longer(longer_mm, words):
    assert saved(longer_mm) == words


@pytest.mark.parametrize(("fewer", "words"), [(1, "1 fixing"), (2, "2 fixings")])
def test_a_planned_way_saves_the_fixings_that_it_does_without(fewer, words):
    assert saved(0.0, fewer) == (f"supply: {words}",)
