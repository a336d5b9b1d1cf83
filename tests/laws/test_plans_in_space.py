"""Every plan keeps every clearance in space, is whole and is held: the checker finds nothing."""

from __future__ import annotations

import json
from copy import deepcopy
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from example_plans import EXAMPLES, example_plan
from space_checker import check_plan
from space_plans import planned
from space_vehicles import Length, SpaceQuestion, random_question

from router.writing import plan_data

PROFILES = Path(__file__).parents[2] / "profiles"
SHIPPED = sorted(path.parent.name for path in EXAMPLES.glob("*/job.yaml") if path.parent.name != "no-way")
"""Every example that has a plan."""
SEEDS = range(25)
MENDED = (200_014, 200_050, 200_226, 200_728)
"""A shared fixing beside its hole; stairs over a member on a slope; rises that rounding let lean."""
MANY_SEEDS = 10_000


@pytest.mark.parametrize("name", SHIPPED)
def test_a_shipped_plan_breaks_nothing(name):
    plan = json.loads(json.dumps(plan_data(example_plan(name))))
    profile = PROFILES / f"{plan['question']['profile']['key']}.yaml"
    assert check_plan(profile.read_text(encoding="utf-8"), plan) == []


def test_there_are_shipped_examples():
    assert len(SHIPPED) >= 4


def check_seed(seed: int) -> bool:
    """Assert that a random vehicle's plan breaks nothing; return whether there is one."""
    question = random_question(Random(seed))
    plan = planned(question)
    assert plan is None or check_plan(question.profile_text(), plan) == [], seed
    return plan is not None


def test_plans_of_random_vehicles_break_nothing():
    assert sum(check_seed(seed) for seed in SEEDS) > len(SEEDS) / 2
    assert all(check_seed(seed) for seed in MENDED)


def assumed(question: SpaceQuestion, rng: Random) -> SpaceQuestion:
    """Return a question of whose bodies and lines about half are assumed to be off by 20 to 90 mm."""
    profile = deepcopy(question.profile)
    for part in (*profile["keep-outs"], *profile["supports"]):
        if rng.random() < 0.5:
            part["assumed"] = Length(rng.uniform(20.0, 90.0))
    return replace(question, profile=profile)


def test_plans_of_vehicles_that_are_half_assumed_break_nothing():
    questions = [assumed(random_question(Random(seed)), Random(seed)) for seed in SEEDS]
    plans = [planned(question) for question in questions]
    assert sum(plan is not None for plan in plans) > len(SEEDS) / 3
    broken = [
        check_plan(question.profile_text(), plan)
        for question, plan in zip(questions, plans, strict=True)
        if plan is not None
    ]
    assert broken == [[]] * len(broken)


def test_a_plan_for_what_was_measured_is_too_near_where_it_is_assumed():
    """The checker itself must see what is assumed."""
    seen = 0
    for seed in SEEDS:
        question = random_question(Random(seed))
        if (plan := planned(question)) is not None:
            worse = assumed(question, Random(seed)).profile_text()
            seen += any(breach.kind == "clearance" for breach in check_plan(worse, plan))
    assert seen > 3


@pytest.mark.study
def test_plans_of_many_random_vehicles_break_nothing():
    assert sum(check_seed(seed) for seed in range(len(SEEDS), MANY_SEEDS)) > MANY_SEEDS / 2
