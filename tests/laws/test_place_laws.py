"""A place of a job is a terminal: moved from the profile into the job, it changes nothing of the plan."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from example_plans import EXAMPLES, example_plan, shared_plan

from router.reading import read_question

PROFILES = Path(__file__).parents[2] / "profiles"


def moved_into_the_job(name: str, *terminals: str):
    """Return the question of an example whose profile lacks some terminals, which its job brings along."""
    job = yaml.safe_load((EXAMPLES / name / "job.yaml").read_text(encoding="utf-8"))
    profile = yaml.safe_load((PROFILES / f"{job['profile']}.yaml").read_text(encoding="utf-8"))
    places = [each for each in profile["terminals"] if each["name"] in terminals]
    assert len(places) == len(terminals)
    rest = [each for each in profile["terminals"] if each not in places]
    return read_question(job | {"places": places}, vehicle=profile | {"terminals": rest, "variants": {}})


@pytest.mark.parametrize(
    ("name", "places"),
    [
        ("fridge-supply", ("refrigerator unit",)),
        ("fridge-supply", ("rear earth stud", "battery positive")),
        ("work-lamp", ("work lamp",)),
    ],
)
def test_a_place_gives_the_plan_of_the_same_terminal_in_the_profile(name, places):
    question = moved_into_the_job(name, *places)
    moved, own = shared_plan(question.job, question.profile, question.practice), example_plan(name)
    assert [each.name for each in moved.profile.terminals if each.is_place] != []
    assert moved.runs == own.runs
    assert (moved.bill, moved.looms, moved.findings) == (own.bill, own.looms, own.findings)
    as_own = sorted(replace(each, is_place=False).name for each in moved.profile.terminals)
    assert as_own == sorted(each.name for each in own.profile.terminals)
