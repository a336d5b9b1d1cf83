"""Jobs whose ends coincide or lie just on something: a plan, or words why there is none; never a crash."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from random_vehicles import FRONT, FRONT_X, HEIGHTS_MM, REAR, REAR_X, WIDTH_MM, random_vehicle
from small_vehicle import a_job, a_profile, a_run, default_practice

from router.errors import NoAnswerError, NoRouteError
from router.explaining import find_routes_or_explain
from router.model.job import Job, Run
from router.model.vehicle import (
    Edge,
    ExposedArea,
    Hazard,
    KeepOut,
    Member,
    OverPass,
    Point,
    Profile,
    Shape,
    ShapeKind,
    Space,
    Support,
    Terminal,
    ThroughPass,
)
from router.planning import make_plan
from router.writing import files_of_plan

ROOM = Space("underfloor", 400.0, ((0.0, -700.0), (3000.0, -700.0), (3000.0, 700.0), (0.0, 700.0)))
NEAR_MM = (0.0, 0.0, 1e-9, 1e-7, 1e-6, 1e-4, 0.01, 0.5)
"""How far beside a place somebody may have written an end that is meant to be there."""


def two_posts(*supports: Support, apart_mm: float = 0.0, up_mm: float = 0.0) -> Profile:
    """Return a vehicle of one space with two terminals at one place, or so far apart."""
    one = Terminal("one", "underfloor", (200.0, 0.0), 400.0, "M6")
    two = Terminal("two", "underfloor", (200.0 + apart_mm, 0.0), 400.0 + up_mm, "M6")
    return a_profile(spaces=(ROOM,), supports=supports, terminals=(one, two))


def test_a_run_between_terminals_at_one_place_is_no_run():
    with pytest.raises(NoRouteError) as refused:
        make_plan(a_job(a_run("supply", "one", "two"), source_at="one"), two_posts(), default_practice())
    assert refused.value.why == (
        'run "supply": terminals "one" and "two" are at one place, so that no cable goes between them; '
        "put each where it was measured"
    )


@pytest.mark.parametrize(("apart_mm", "up_mm"), [(1e-3, 0.0), (1.0, 0.0), (0.0, 1.0), (0.0, 300.0)])
def test_a_run_between_terminals_hardly_apart_is_as_long_as_they_are_apart(apart_mm, up_mm):
    profile = two_posts(apart_mm=apart_mm, up_mm=up_mm)
    (run,) = make_plan(
        a_job(a_run("supply", "one", "two"), source_at="one"), profile, default_practice()
    ).runs
    assert run.length.routed_mm == pytest.approx(apart_mm + up_mm)


def test_two_runs_that_share_a_way_past_a_vertex_of_several_borders():
    """One run's way is slid beside the other's where the ends of passes and of a splashed area meet."""
    outline = ((3533.5, -724.4), (0, -724.4), (0, 724.4), (945.9, 724.4), (945.9, 260.5), (1178.6, 260.5),
               (1178.6, 724.4), (1562.8, 724.4), (1562.8, 336), (2000.4, 336), (2000.4, 724.4),
               (3533.5, 724.4))  # fmt: skip
    passes = (
        ThroughPass((1963.8, -123.1), 11.7, Edge.ROLLED),
        OverPass((1963.8, -9.2), (1963.8, 116.6), 25.0),
        OverPass((1963.8, 168.1), (1963.8, 242.4), 45.0),
    )
    shaft = Shape(ShapeKind.LINE, ((2006.9, 196.1), (1787.4, -817.8)), 7.5)
    splashed = ((2011.8, 181.3), (2011.8, 437.3), (1542.0, 437.3), (1542.0, 181.3))
    ends = {"a": (3331.4, -344.2), "b": (2615.3, 226.4), "c": (3037.2, 83.5), "d": (117.3, 206.6)}
    profile = a_profile(
        tolerance_mm=2.0,
        spaces=(Space("underfloor", 432.8, outline),),
        keep_outs=(KeepOut("shaft", "underfloor", Hazard.MOVING, shaft, None, False, None),),
        members=(Member("beam", "underfloor", ((1963.8, -229.6), (1963.8, 475.7)), 109.2, passes),),
        exposed=(ExposedArea("splashed", "underfloor", splashed),),
        terminals=tuple(Terminal(name, "underfloor", at, 432.8, None) for name, at in ends.items()),
    )
    job = a_job(a_run("one", "a", "b"), a_run("two", "c", "d"), source_at="a")
    assert [route.run for route in find_routes_or_explain(job, profile, default_practice(), 8.0).routes] == [
        "one",
        "two",
    ]


def degenerate_vehicle(rng: Random) -> Profile:
    """Return a random vehicle whose terminals lie at each other's places, or just on something."""
    profile = random_vehicle(rng)
    ends: list[Terminal] = []
    for terminal in profile.terminals:
        space, (x, y), height_mm = rng.choice(list(_places(rng, profile, ends)))
        x += rng.choice(NEAR_MM)
        low_x, high_x = FRONT_X if space == FRONT else REAR_X
        if low_x <= x <= high_x and abs(y) <= WIDTH_MM / 2.0 and rng.random() < 0.8:
            height_mm = rng.choice([height_mm, terminal.height_mm])
            ends.append(replace(terminal, space=space, at=(x, y), height_mm=height_mm))
        else:
            ends.append(terminal)
    return replace(profile, terminals=tuple(ends))


def _places(rng: Random, profile: Profile, ends: list[Terminal]) -> list[tuple[str, Point, float]]:
    """Return places where things end, begin, touch or are blocked off, each with a space and a height."""
    found = [(end.space, end.at, end.height_mm) for end in ends]
    found += [(each.space, rng.choice(each.along), each.height_mm) for each in profile.supports]
    found += [(rng.choice(each.joins), each.at, each.height_mm) for each in profile.openings]
    places = [(space.name, rng.choice(space.outline)) for space in profile.spaces]
    for member in profile.members:
        for each in member.passes:
            places.append(
                (REAR, rng.choice([each.start, each.end] if isinstance(each, OverPass) else [each.at]))
            )
    for area in (*profile.covers, *profile.exposed):
        places.append((area.space, rng.choice(area.area)))
    for keep_out in profile.keep_outs:
        (x, y), reach_mm = rng.choice(keep_out.shape.points), keep_out.shape.reach_mm
        places.append(
            (
                keep_out.space or rng.choice([FRONT, REAR]),
                (x + reach_mm + rng.choice([0.0, 4.0, 20.0, 100.0]), y),
            )
        )
    return [*found, *((space, at, HEIGHTS_MM[space]) for space, at in places)]


def degenerate_job(rng: Random, profile: Profile) -> Job:
    """Return a job of one to three runs between any two terminals, by way of anything."""
    things = (*profile.supports, *profile.members, *profile.openings, *profile.terminals)
    names = [each.name for each in things]
    runs: list[Run] = []
    for number in range(rng.choice([1, 1, 2, 2, 3])):
        start, end = rng.sample(profile.terminals, 2)
        run = a_run(f"run {number}", start.name, end.name)
        wires = tuple(replace(each, name=f"{each.name} {number}") for each in run.conductors)
        via = (rng.choice(names),) if rng.random() < 0.25 else ()
        runs.append(replace(run, conductors=wires, via=via))
    return a_job(*runs, source_at=runs[0].start)


def _judge_plan(seed: int) -> None:
    rng = Random(f"degenerate {seed}")
    profile = degenerate_vehicle(rng)
    job = degenerate_job(rng, profile)
    try:
        assert files_of_plan(make_plan(job, profile, default_practice()))
    except NoAnswerError as error:
        assert error.why.isprintable() and error.why
    except Exception as error:
        raise AssertionError(f"seed {seed}: {type(error).__name__}: {error}") from error


@pytest.mark.parametrize("seed", range(12))
def test_degenerate_jobs_are_planned_or_refused(seed):
    _judge_plan(seed)


@pytest.mark.study
def test_many_degenerate_jobs_are_planned_or_refused():
    for seed in range(2000):
        _judge_plan(seed)
