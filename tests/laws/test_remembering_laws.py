"""Laws of a planner that remembers: after any changes its answer is a fresh plan's, to the byte of plan.json.

Changes are drawn by hypothesis, their amounts by plain chance from a seed. Between them some are taken back,
some plans are stopped on the way, and some answers are asked for before their proof.
"""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from question_changes import CHANGES, random_question

from router.errors import NoAnswerError
from router.memory import Memory
from router.planning import make_answer, make_plan
from router.stopping import PlanStoppedError, stoppable
from router.writing import json_text, plan_data

BACK, STOPPED, ANSWERED = "taken back", "stopped", "answered first"
OPTIONS = {
    "deadline": None,
    "suppress_health_check": list(HealthCheck),
    "phases": [Phase.generate],  # to shrink what fails takes hours, and what failed is told
}
ALL = [*CHANGES, CHANGES[0], BACK, STOPPED, ANSWERED]


def outcome(*asked) -> str:
    """Return all of a plan as it is written, or why there is none."""
    try:
        return json_text(plan_data(make_plan(*asked)))
    except NoAnswerError as error:
        return f"{type(error).__name__}: {error.why}"


def stops_after(times):
    """Return what says so many times that the work goes on, and then that it is to stop."""
    left = iter(range(times))
    return lambda: next(left, None) is None


def check_remembering(seed, steps, *, is_each_compared):
    """Assert that what a memory answers after changes is what is planned afresh."""
    rng, memory = Random(seed), Memory()
    asked = random_question(rng)
    before = [asked]
    for number, step in enumerate(steps, start=1):
        if callable(step):
            asked = step(rng, asked)
        elif step == BACK:
            asked = rng.choice(before)
        before.append(asked)
        with memory.in_use():
            if step == STOPPED:
                with stoppable(stops_after(rng.randrange(400))), pytest.raises((PlanStoppedError, OverError)):
                    outcome(*asked)
                    raise OverError
            if step == ANSWERED:
                answered(asked)
            found = outcome(*asked)
        if is_each_compared or number == len(steps):
            assert found == outcome(*asked), (seed, number, step)


class OverError(Exception):
    """The plan was there before it was to be stopped."""


def answered(asked):
    """Assert that the answer before its proof has the routes, lengths, fixings and findings of the plan."""
    try:
        first = make_answer(*asked)
    except NoAnswerError:
        return
    whole = make_plan(*asked)
    pairs = list(zip(first.runs, whole.runs, strict=True))
    assert [(a.route.points, a.length, a.fixings, a.conductors) for a, _ in pairs] == [
        (b.route.points, b.length, b.fixings, b.conductors) for _, b in pairs
    ]
    assert (first.findings, first.bill, first.effort_mm) == (whole.findings, whole.bill, whole.effort_mm)


@settings(max_examples=4, derandomize=True, **OPTIONS)
@given(st.integers(0, 10**6), st.permutations(ALL))
def test_after_any_changes_the_answer_is_that_of_a_fresh_plan(seed, steps):
    check_remembering(seed, steps, is_each_compared=True)


@pytest.mark.study
@settings(max_examples=500, **OPTIONS)
@given(st.integers(0, 10**9), st.lists(st.sampled_from(ALL), min_size=10, max_size=10))
def test_after_ten_changes_five_hundred_times(seed, steps):
    check_remembering(seed, steps, is_each_compared=False)
