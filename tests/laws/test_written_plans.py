"""What is written and read again is the same: for every example and for random vehicles, byte by byte."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random

import jsonschema
import pytest
from example_plans import EXAMPLES, example_plan
from random_vehicles import random_job, random_vehicle

import router
from router.drawing import draw_map
from router.errors import NoAnswerError
from router.facts import plan_number
from router.planning import make_plan
from router.reading import read_practice
from router.writing import json_text, plan_data, plan_schema, read_plan

NAMES = sorted(folder.name for folder in EXAMPLES.iterdir() if (folder / "job.yaml").is_file())
ANSWERED = [name for name in NAMES if name != "no-way"]
VEHICLES = 15


def written(plan, folder: Path) -> Path:
    path = folder / "plan.json"
    path.write_bytes(json_text(plan_data(plan, "below")).encode())
    return path


def random_plans(count):
    """Yield plans on seeded random vehicles; those without an answer are passed over, and not counted."""
    rng, practice = Random(20261130), read_practice()
    while count:
        profile = random_vehicle(rng)
        try:
            yield make_plan(random_job(rng, profile), profile, practice)
        except NoAnswerError:
            continue
        count -= 1


def check_same_again(plan, folder):
    path = written(plan, folder)
    read = read_plan(path)
    assert read == plan
    assert json_text(plan_data(read, "below")).encode() == path.read_bytes()
    assert plan_number(read) == plan_number(plan)
    return read


@pytest.mark.parametrize("name", ANSWERED)
def test_examples_come_back_whole(name, tmp_path):
    check_same_again(example_plan(name), tmp_path)


@pytest.mark.parametrize("count", [VEHICLES, pytest.param(30, marks=pytest.mark.study)])
def test_random_plans_come_back_whole(tmp_path, count):
    validator = jsonschema.Draft202012Validator(plan_schema())
    seen = 0
    for plan in random_plans(count):
        check_same_again(plan, tmp_path)
        validator.validate(plan_data(plan))
        seen += 1
    assert seen == count


def test_a_map_drawn_again_is_the_same_bytes(tmp_path):
    plan = example_plan("work-lamp-rear-battery")
    assert draw_map(read_plan(written(plan, tmp_path))) == draw_map(plan)


def test_files_of_a_loaded_plan_are_the_same_bytes(tmp_path):
    files = router.Plan(example_plan("work-lamp-rear-battery")).save(tmp_path / "first")
    again = router.load_plan(tmp_path / "first" / "plan.json")
    assert again == router.Plan(example_plan("work-lamp-rear-battery"))
    for one, other in zip(files, again.save(tmp_path / "again"), strict=True):
        assert one.read_bytes() == other.read_bytes(), one.name


@pytest.mark.parametrize("name", ANSWERED)
def test_schema_takes_every_example(name):
    jsonschema.Draft202012Validator(plan_schema()).validate(plan_data(example_plan(name), "above"))


def test_schema_is_one_and_refuses_what_is_not_written():
    schema = plan_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    good = json.loads(json.dumps(plan_data(example_plan("work-lamp-rear-battery"))))
    assert validator.is_valid(good)
    for spoil in (
        lambda data: data.pop("looms"),
        lambda data: data.update(looms=None),
        lambda data: data.update(extra=1),
        lambda data: data["runs"][0].update(cut_mm="1150"),
        lambda data: data["runs"][0].pop("routed_mm"),
        lambda data: data["runs"][0]["points"][0].update(x=None),
        lambda data: data["findings"][0].update(severity="grave"),
        lambda data: data["question"]["profile"]["keep_outs"][0]["shape"].update(points=[[1]]),
        lambda data: data["question"].pop("practice"),
    ):
        data = json.loads(json.dumps(good))
        spoil(data)
        assert not validator.is_valid(data)
