"""Jobs with fixed ends out of one whose runs may end at several: which, and the least that each takes."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from random import Random

import pytest
from random_vehicles import random_job, random_vehicle
from small_vehicle import a_floor, a_job, a_keep_out, a_run, box, plain_practice

from router.errors import NoRouteError
from router.explaining import find_routes_or_explain
from router.model.vehicle import Cover
from router.routing import fixed_ends
from router.routing.end_choices import MOST_CHOICES
from router.tolerances import DEFAULT_GAP

ENDS = {"post": (50.0, 350.0), "near": (250.0, 350.0), "far": (950.0, 350.0)}


def to_any(name, *ends, start="post"):
    return a_run(name, start, ends[0], may_end_at=ends)


def ends_of(fixed):
    return tuple(run.end for run in fixed.job.runs)


def test_a_job_without_a_choice_is_itself():
    job = a_job(a_run("supply", "post", "far"))
    (only,) = fixed_ends(job, a_floor(ends=ENDS), plain_practice())
    assert (only.job, only.least_mm) == (job, 0.0)


def test_the_most_promising_comes_first_with_the_least_that_it_takes():
    """Straight over an open floor a metre counts as a metre: 200 and 900 mm, less what a search may miss."""
    job = a_job(to_any("supply", "far", "near"))
    found = fixed_ends(job, a_floor(ends=ENDS), plain_practice())
    assert [(ends_of(each), each.least_mm) for each in found] == [
        (("near",), pytest.approx(200.0 / (1.0 + DEFAULT_GAP))),
        (("far",), pytest.approx(900.0 / (1.0 + DEFAULT_GAP))),
    ]
    assert found[0].job.runs[0].may_end_at == ("far", "near")


def test_a_run_that_shares_all_of_it_still_takes_its_share():
    """900 mm, and practice "factor: shared" of 200 mm for the one that may lie in the same loom."""
    share = plain_practice().value("factor", "shared")
    job = a_job(to_any("first", "far"), to_any("second", "near", "far"))
    found = {ends_of(each): each.least_mm for each in fixed_ends(job, a_floor(ends=ENDS), plain_practice())}
    assert found["far", "near"] == pytest.approx((900.0 + share * 200.0) / (1.0 + DEFAULT_GAP))
    assert found["far", "far"] == pytest.approx((900.0 + share * 900.0) / (1.0 + DEFAULT_GAP))


def test_what_a_run_passes_twice_counts_once():
    """900 mm across a cover shaped like a U: 200 mm of it sheltered, and one cover to take down, not two."""
    value = plain_practice().value
    u = ((300, 0), (700, 0), (700, 3000), (600, 3000), (600, 50), (400, 50), (400, 3000), (300, 3000))
    ends = {name: (x, 2900.0) for name, (x, _) in ENDS.items()}
    floor = a_floor(ends=ends, outline=(1000.0, 3000.0), covers=(Cover("panel", "floor", u, 4),))
    job = a_job(to_any("supply", "far", "near"))
    found = {ends_of(each): each for each in fixed_ends(job, floor, plain_practice())}
    effort_mm = 700.0 + 200.0 * value("factor", "sheltered") + value("amount", "cover")
    routing = find_routes_or_explain(found["far",].job, floor, plain_practice(), 1.0)
    assert routing.effort_mm == pytest.approx(effort_mm)
    assert found["far",].least_mm <= effort_mm


def test_an_end_that_no_loom_reaches_is_left_out_unless_there_is_no_other():
    shut = a_keep_out("tank", box(900, 300, 990, 400), space="floor")
    floor = a_floor(ends=ENDS, keep_outs=(shut,))
    found = fixed_ends(a_job(to_any("supply", "far", "near")), floor, plain_practice())
    assert [ends_of(each) for each in found] == [("near",)]
    both = replace(floor, keep_outs=(shut, a_keep_out("box", box(200, 300, 300, 400), space="floor")))
    found = fixed_ends(a_job(to_any("supply", "far", "near")), both, plain_practice())
    assert sorted(ends_of(each) for each in found) == [("far",), ("near",)]


def test_of_many_choices_the_best_alone_its_neighbours_and_like_ends_are_looked_at():
    ends = {"post": (50.0, 350.0)} | {f"stud {n}": (200.0 * n, 350.0) for n in range(1, 5)}
    studs = tuple(ends)[1:]
    job = a_job(*(to_any(f"run {n}", *studs[::-1]) for n in range(5)))
    assert len(studs) ** len(job.runs) > MOST_CHOICES
    found = [ends_of(each) for each in fixed_ends(job, a_floor(ends=ends), plain_practice())]
    assert len(set(found)) == len(found) <= MOST_CHOICES
    assert found[0] == ("stud 1",) * 5
    assert ("stud 1", "stud 1", "stud 2", "stud 1", "stud 1") in found
    assert ("stud 2",) * 5 in found
    again = fixed_ends(job, a_floor(ends=ends), plain_practice())
    assert [ends_of(each) for each in again] == found


def random_choices(rng):
    """Return a random vehicle with a job whose runs may each end at two terminals."""
    profile = random_vehicle(rng)
    job = random_job(rng, profile)
    names = [terminal.name for terminal in profile.terminals]
    runs = []
    for run in job.runs:
        others = [name for name in names if name not in (run.start, run.end)]
        runs.append(replace(run, may_end_at=(run.end, rng.choice(others))) if others else run)
    return profile, replace(job, runs=tuple(runs))


@pytest.mark.parametrize("count", [12, pytest.param(100, marks=pytest.mark.study)])
def test_no_job_takes_less_than_the_least(count):
    """Against the planner's own answer for each choice, with looms of 6 mm."""
    rng, practice, seen, wrong = Random(20261130), plain_practice(), 0, 0
    while seen < count:
        profile, job = random_choices(rng)
        found = {
            tuple((run.start, run.end) for run in each.job.runs): each
            for each in fixed_ends(job, profile, practice)
        }
        for ends in product(*((run.may_end_at or (run.end,)) for run in job.runs)):
            runs = tuple(replace(run, end=end) for run, end in zip(job.runs, ends, strict=True))
            try:
                routing = find_routes_or_explain(replace(job, runs=runs), profile, practice, 6.0)
            except NoRouteError:
                continue
            least_mm = found[tuple((run.start, run.end) for run in runs)].least_mm
            wrong += not 0.0 < least_mm <= routing.effort_mm
            seen += 1
    assert wrong == 0
