"""A planner that remembers, as programs use it: what may change, what is refused, how it is stopped."""

from __future__ import annotations

import threading
import time
from pathlib import Path

import pytest
import yaml

import router
from router.memory import Memory, remembered

LAMP = Path(__file__).parents[2] / "examples" / "work-lamp-rear-battery"
MOST_SECONDS = 2.0
"""A stop takes some hundredths of a second; a machine that does other work too may take longer."""


@pytest.fixture(scope="module")
def planner():
    return router.Planner(LAMP)


@pytest.fixture(autouse=True)
def _as_before(planner):
    planner.set(job=LAMP, profile="sanderling-estate", variant="battery at the back")


def changed_job(load, drop):
    """Return the example's job with another load and another drop limit, as a program would write it."""
    job = yaml.safe_load((LAMP / "job.yaml").read_text(encoding="utf-8"))
    job["runs"][0]["conductors"][0]["load"] = load
    job["limits"]["drop"] = drop
    return job


def electrics(plan):
    runs = plan.runs.values()
    return [(run.points, run.conductors, run.fuse, run.cut_mm, run.fixings) for run in runs]


def test_loads_and_limits_are_those_of_a_job_that_says_so(planner):
    planner.set(loads={"supply": "12 A"}, limits={"drop": "2 %"})
    fresh = router.plan(changed_job("12 A", "2 %"))
    assert electrics(planner.plan()) == electrics(fresh)
    assert planner.asked[0].limits == fresh.record.job.limits


def test_a_change_is_kept_while_another_is_made(planner):
    planner.set(loads={"supply": "12 A"})
    x, y = planner.asked[1].terminal("work lamp").at
    planner.move("work lamp", (x - 40.0, y))
    planner.set(limits={"drop": "2 %"})
    job, profile, _ = planner.asked
    assert job.run("supply").conductors[0].load_a == 12.0
    assert profile.terminal("work lamp").at == (x - 40.0, y)


def test_another_variant_has_its_own_terminals(planner):
    x, y = planner.asked[1].terminal("work lamp").at
    planner.move("work lamp", (x - 40.0, y))
    planner.set(profile="sanderling-estate")
    assert planner.asked[1].variant is None
    assert planner.asked[1].terminal("work lamp").at == (x, y)


REFUSED = {
    "no such terminal": (lambda own: own.move("lamp", (0.0, 0.0)), "did you mean"),
    "outside its space": (lambda own: own.move("work lamp", (-9000.0, 0.0)), "outside space"),
    "no number": (lambda own: own.move("work lamp", (float("nan"), 0.0)), "write two numbers"),
    "no such conductor": (lambda own: own.set(loads={"suply": "9 A"}), "write one of supply, earth"),
    "no current": (lambda own: own.set(loads={"supply": "9 miles"}), "miles"),
    "no limit": (lambda own: own.set(limits={"drip": "3 %"}), "drip"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_refused_changes_nothing(planner, name):
    change, words = REFUSED[name]
    before = planner.asked
    with pytest.raises(router.UnreadableError, match=words):
        change(planner)
    assert planner.asked == before


def test_a_gap_out_of_its_range_changes_nothing(planner):
    before = planner.asked
    with pytest.raises(ValueError, match="gap is 2"):
        planner.set(gap=2.0, loads={"supply": "12 A"})
    assert planner.asked == before


def test_an_answer_has_no_proof_and_is_not_saved(planner, tmp_path):
    answer = planner.answer()
    assert not answer.is_proven
    assert [run.points for run in answer.runs.values()] == [
        run.points for run in planner.plan().runs.values()
    ]
    with pytest.raises(ValueError, match="nothing of it is proven"):
        answer.save(tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_stop_from_another_thread_ends_the_plan_at_once():
    own, stopped_at_s = router.Planner(LAMP), []

    def stop():
        stopped_at_s.append(time.monotonic())
        own.stop()

    timer = threading.Timer(0.2, stop)
    timer.start()
    with pytest.raises(router.PlanStoppedError):
        own.plan()
    assert time.monotonic() - stopped_at_s[0] < MOST_SECONDS
    assert electrics(own.plan()) == electrics(router.plan(LAMP))


def test_who_asks_may_say_stop(planner):
    x, y = planner.asked[1].terminal("work lamp").at
    planner.move("work lamp", (x - 10.0, y))
    with pytest.raises(router.PlanStoppedError):
        planner.plan(should_stop=lambda: True)
    assert planner.plan().is_proven


@remembered(most=3)
def doubled(number):
    return [number, number]


def test_a_memory_keeps_so_many_and_no_more():
    memory = Memory()
    with memory.in_use():
        first = doubled(1)
        assert doubled(1) is first
        for number in (2, 3, 4):
            doubled(number)
        assert doubled(1) is not first
    assert memory.size == 3
    assert doubled(2) is not doubled(2)
