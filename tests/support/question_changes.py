"""Small changes of what is asked, by plain chance: what a person does who tries things out. mm."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random
from typing import TypeAlias

from random_vehicles import random_job, random_vehicle
from small_vehicle import a_conductor, a_run, practice_with

from router.model.job import Apart, Job
from router.model.practice import Practice
from router.model.vehicle import Profile

Question: TypeAlias = tuple[Job, Profile, Practice]
Change: TypeAlias = Callable[[Random, Question], Question]
LOADS_A = (1.0, 4.0, 9.0, 25.0)
RULES = (("clearance", "solid"), ("clearance", "hot"), ("factor", "open"), ("factor", "shared"))
DROPS = (0.02, 0.03, 0.1)


def random_question(rng: Random) -> Question:
    """Return a job of one run, now and then of two, on a random vehicle."""
    profile = random_vehicle(rng)
    job = random_job(rng, profile)
    if rng.random() < 0.25:
        start, end = rng.sample(profile.terminals, 2)
        apart = (Apart("supply", 80.0),) if rng.random() < 0.5 else ()
        more = a_run(
            "second", start.name, end.name, conductors=(a_conductor("second"),), fuse=None, apart_from=apart
        )
        job = replace(job, runs=(*job.runs, more))
    return job, profile, practice_with({})


def terminal_moved(rng: Random, asked: Question) -> Question:
    job, profile, practice = asked
    index = rng.randrange(len(profile.terminals))
    own = profile.terminals[index]
    xs, ys = zip(*profile.space(own.space).outline, strict=True)
    x = min(max(own.at[0] + rng.uniform(-80.0, 80.0), min(xs)), max(xs))
    y = rng.choice([min(ys), max(ys)]) if rng.random() < 0.2 else own.at[1] + rng.uniform(-80.0, 80.0)
    moved = replace(own, at=(x, min(max(y, min(ys)), max(ys))))
    terminals = (*profile.terminals[:index], moved, *profile.terminals[index + 1 :])
    return job, replace(profile, terminals=terminals), practice


def load_changed(rng: Random, asked: Question) -> Question:
    job, profile, practice = asked
    first, *others = job.runs
    conductors = tuple(replace(each, load_a=rng.choice(LOADS_A)) for each in first.conductors)
    return replace(job, runs=(replace(first, conductors=conductors), *others)), profile, practice


def limits_changed(rng: Random, asked: Question) -> Question:
    job, profile, practice = asked
    ambient = {space.name: rng.choice([30.0, 50.0, 70.0]) for space in profile.spaces}
    limits = replace(job.limits, drop_fraction=rng.choice(DROPS), ambient_c=ambient)
    return replace(job, limits=limits), profile, practice


def ends_swapped(rng: Random, asked: Question) -> Question:
    job, profile, practice = asked
    *others, last = job.runs
    return replace(job, runs=(*others, replace(last, start=last.end, end=last.start))), profile, practice


def body_changed(rng: Random, asked: Question) -> Question:
    job, profile, practice = asked
    if not profile.keep_outs:
        return asked
    index = rng.randrange(len(profile.keep_outs))
    own = profile.keep_outs[index]
    dx, dy = rng.uniform(-50.0, 50.0), rng.uniform(-50.0, 50.0)
    points = tuple((x + dx, y + dy) for x, y in own.shape.points)
    changed = replace(own, shape=replace(own.shape, points=points))
    keep_outs = (*profile.keep_outs[:index], changed, *profile.keep_outs[index + 1 :])
    return job, replace(profile, keep_outs=keep_outs), practice


def rule_changed(rng: Random, asked: Question) -> Question:
    job, profile, _ = asked
    default = practice_with({})
    changes = {key: default.value(*key) * rng.choice([0.8, 1.0, 1.2]) for key in RULES}
    return job, profile, practice_with(changes)


CHANGES: tuple[Change, ...] = (
    terminal_moved,
    load_changed,
    limits_changed,
    ends_swapped,
    body_changed,
    rule_changed,
)
