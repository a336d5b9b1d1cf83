"""What a person calls a thing decides nothing: under any other names a plan differs in its names only."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from example_plans import shared_plan
from random_vehicles import FRONT, REAR, random_job, random_vehicle
from renaming import names_in, random_words, renamed, with_names_of
from small_vehicle import default_practice

from router.errors import NoAnswerError
from router.model.job import Fuse, Job, Limits
from router.model.plan import Plan
from router.model.vehicle import Profile
from router.planning import make_plan
from router.reading import read_question
from router.writing import plan_data

EXAMPLES = Path(__file__).parents[2] / "examples"
SHIPPED = ("fridge-supply", "no-way", "trailer-socket", "work-lamp", "work-lamp-rear-battery")
LOADED = (
    "warm",
    "open",
    "shared",
    "battery",
    "engine bay",
    "underfloor",
    "nothing",
    "loom",
    "cabin",
    "exposed",
)
"""Words that mean something to rules, to the program or to people."""
SEEDS = [*range(12), *(pytest.param(seed, marks=pytest.mark.study) for seed in range(12, 200))]


def answer(job: Job, profile: Profile, make: Callable[..., Plan] = make_plan) -> str:
    """Return plan.json without the question that it repeats and its checksum, or the words of the refusal."""
    try:
        data = plan_data(make(job, profile, default_practice()))
    except NoAnswerError as error:
        return str(error)
    return json.dumps({key: data[key] for key in data if key not in ("question", "checksum")}, indent=1)


def loaded_job(rng: Random, job: Job) -> Job:
    """Return a job so loaded that warmth decides its copper, fused, now and then with a return."""
    (run,) = job.runs
    (supply,) = run.conductors
    heavy = replace(supply, load_a=rng.choice([15.0, 25.0, 40.0]))
    earth = replace(supply, name="earth", load_a=0.0, colour="black", returns=(supply.name,))
    ambient_c = {space: 40.0 for space in (FRONT, REAR) if rng.random() < 0.5}
    back = replace(run, name="back", start=run.end, end=run.start, conductors=(earth,), via=())
    there = replace(run, conductors=(heavy,), fuse=Fuse(None))
    return replace(job, runs=(there, back) if rng.random() < 0.5 else (there,), limits=Limits(0.3, ambient_c))


def numbers(text: str) -> object:
    """Return plan.json without its words, or nothing of a refusal."""

    def without_words(value: object) -> object:
        if isinstance(value, dict):
            return {key: without_words(each) for key, each in value.items()}
        if isinstance(value, list):
            return [without_words(each) for each in value]
        return "" if isinstance(value, str) else value

    return without_words(json.loads(text)) if text.startswith("{") else None


@pytest.mark.parametrize("name", SHIPPED)
def test_random_names_change_only_the_names_of_a_shipped_plan(name):
    question = read_question(EXAMPLES / name)
    words = random_words(names_in(question.profile, question.job), Random(name))
    other = answer(renamed(question.job, words), renamed(question.profile, words))
    assert with_names_of(other, words) == answer(question.job, question.profile, shared_plan)


@pytest.mark.parametrize("seed", SEEDS)
def test_random_names_change_only_the_names_of_a_random_plan(seed):
    rng = Random(seed)
    profile = random_vehicle(rng, kinds_said=0.5)
    job = loaded_job(rng, random_job(rng, profile))
    names = names_in(profile, job)
    words, loaded = random_words(names, rng), random_words(names, rng)
    kept = answer(job, profile)
    assert with_names_of(answer(renamed(job, words), renamed(profile, words)), words) == kept
    others = [name for name in names if name != profile.openings[0].name]
    loaded[profile.openings[0].name] = LOADED[0]
    loaded.update(zip(rng.sample(others, min(len(others), len(LOADED) - 1)), LOADED[1:], strict=False))
    assert numbers(answer(renamed(job, loaded), renamed(profile, loaded))) == numbers(kept)
