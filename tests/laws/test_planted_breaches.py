"""The checker finds whatever is broken: plans broken on purpose, by amounts known without its geometry."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest
from planted_breaches import plant
from space_checker import check_plan
from space_plans import planned
from space_vehicles import random_question

PLANTS_A_VEHICLE = 10
ROUNDING_MM = 1e-5
"""Coordinates are written to 1e-6 mm."""


def check_vehicle(seed: int) -> Counter[str]:
    """Assert that every breach planted in a plan is found, and none before; return how many of a kind."""
    question, rng = random_question(Random(seed)), Random(seed)
    plan = planned(question)
    if plan is None:
        return Counter()
    assert check_plan(question.profile_text(), plan) == [], seed
    return Counter(check_plant(rng, question, plan, seed) for _ in range(PLANTS_A_VEHICLE))


def check_plant(rng, question, plan, seed: int) -> str:
    planted = plant(rng, question, plan)
    found = [
        breach
        for breach in check_plan(planted.profile_text, planted.plan)
        if breach.run == planted.run and breach.kind in planted.kinds and breach.what == planted.what
    ]
    assert found, (seed, planted.kinds, planted.what, planted.by_mm)
    by_mm = max(breach.required_mm - breach.actual_mm for breach in found)
    assert by_mm >= planted.by_mm - ROUNDING_MM, (seed, planted.kinds, planted.what, planted.by_mm, by_mm)
    return planted.kinds[0]


def test_every_planted_breach_is_found():
    """Sixty of them."""
    found = sum((check_vehicle(seed) for seed in range(11)), Counter())
    assert found.total() >= 60
    assert set(found) >= {"clearance", "opening", "in the air", "out of reach"}


@pytest.mark.study
def test_every_one_of_many_planted_breaches_is_found():
    """Five hundred of them, of every kind."""
    found = sum((check_vehicle(seed) for seed in range(100, 170)), Counter())
    assert found.total() >= 500
    assert set(found) >= {
        "clearance",
        "opening",
        "in the air",
        "out of reach",
        "takes none",
        "gap",
        "hole",
        "span",
    }
