"""Runs that may end at one of several terminals: the plan takes the best for the whole job, and says why."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from random import Random

import pytest
from random_vehicles import random_job, random_vehicle
from small_vehicle import CEILING, a_floor, a_job, a_keep_out, a_run, box, plain_practice

import router
from router.errors import NoAnswerError, NoRouteError
from router.judging import judge_route
from router.model.plan import FindingKind, OtherEnd
from router.planning import make_plan
from router.reading import read_route
from router.writing import json_text, plan_data, read_plan

WIDE = (1100.0, 700.0)


def to_any(name, start, *ends):
    return a_run(name, start, ends[0], may_end_at=ends)


def planned(ends, *runs, **parts):
    """Return a plan below a ceiling that may be drilled, so that looms are held wherever they lie."""
    job = a_job(*runs, source_at=runs[0].start)
    floor = a_floor(ends=ends, outline=WIDE, panels=(CEILING,), **parts)
    return make_plan(job, floor, plain_practice())


def taken(plan):
    return {run.name: run.end for run in plan.runs}


def test_the_nearer_stud_is_taken_and_the_other_one_told():
    """200 mm and 900 mm over an open floor: what is told is no more than the 700 mm between them."""
    ends = {"post": (50, 350), "far": (950, 350), "near": (250, 350)}
    plan = planned(ends, to_any("earth", "post", "far", "near"))
    (run,) = plan.runs
    assert (run.end, plan.job.run("earth").end, run.route.points[-1].x_mm) == ("near", "near", 250.0)
    (other,) = run.other_ends
    assert (other.terminal, other.is_start, other.is_at_least) == ("far", False, True)
    assert 690.0 < other.more_effort_mm <= 700.0
    least = f"at least {int(other.more_effort_mm)} mm more effort"
    assert run.reasons[-1].why == f"ends at near, not at far: the whole job would take {least}"
    assert run.reasons[-1].station_mm == run.route.routed_mm


def test_two_earths_share_a_stud_where_the_whole_job_then_takes_less():
    """By itself each has 480 mm to a stud of its own, 960 in all; to one stud 520 + 0.3 x 480 = 664."""
    ends = {"one": (530, 350), "two": (570, 350), "left stud": (50, 350), "right stud": (1050, 350)}
    studs = ("left stud", "right stud")
    plan = planned(ends, to_any("first", "one", *studs), to_any("second", "two", *studs))
    assert taken(plan) == {
        "first": "left stud",
        "second": "left stud",
    }  # as good as the right one: listed first
    assert plan.effort_mm == pytest.approx(520.0 + 0.3 * 480.0)
    first, second = (run.other_ends[0] for run in plan.runs)
    assert first == OtherEnd("right stud", False, pytest.approx(0.0, abs=1e-6), is_at_least=False)
    assert second.more_effort_mm == pytest.approx(0.0, abs=1e-6)


def test_of_two_that_are_alike_the_first_is_taken():
    ends = {"post": (550, 350), "left stud": (250, 350), "right stud": (850, 350)}
    for studs in (("left stud", "right stud"), ("right stud", "left stud")):
        assert taken(planned(ends, to_any("earth", "post", *studs))) == {"earth": studs[0]}


def test_a_run_may_begin_at_one_of_several():
    ends = {"far post": (50, 350), "near post": (850, 350), "lamp": (950, 350)}
    run = a_run("supply", "far post", "lamp", may_start_at=("far post", "near post"))
    plan = planned(ends, run)
    assert (plan.runs[0].start, plan.runs[0].end) == ("near post", "lamp")
    (reason,) = (each for each in plan.runs[0].reasons if each.why.startswith("begins at"))
    assert reason.why.startswith("begins at near post, not at far post: the whole job would take at least 7")
    assert reason.station_mm == 0.0


def test_an_end_without_a_way_is_passed_over():
    ends = {"post": (50, 350), "shut": (150, 350), "open": (950, 350)}
    tank = a_keep_out("tank", box(120, 300, 180, 400), space="floor")
    plan = planned(ends, to_any("earth", "post", "shut", "open"), keep_outs=(tank,))
    assert taken(plan) == {"earth": "open"}
    assert plan.runs[0].other_ends == (OtherEnd("shut", False, None, is_at_least=False),)
    assert plan.runs[0].reasons[-1].why == "ends at open, not at shut: the job has no way there"


def test_only_where_no_end_has_a_way_there_is_none_and_each_is_told():
    ends = {"post": (50, 350), "one": (350, 350), "other": (950, 350)}
    tanks = tuple(
        a_keep_out(f"{name} tank", box(ends[name][0] - 40, 300, ends[name][0] + 40, 400), space="floor")
        for name in ("one", "other")
    )
    with pytest.raises(NoRouteError) as refusal:
        planned(ends, to_any("earth", "post", "one", "other"), keep_outs=tanks)
    why = refusal.value.why
    assert why.startswith("none of the ends") and "one tank" in why and "other tank" in why
    assert '(1) run "earth"' in why and '(2) run "earth"' in why


def test_what_cannot_win_is_not_planned(monkeypatch):
    """The far stud takes 895 mm at least; 200 mm are planned, so that it is not."""
    asked = []
    real = router.planning._size_looms
    monkeypatch.setattr(
        "router.planning._size_looms", lambda question: asked.append(question.job) or real(question)
    )
    ends = {"post": (50, 350), "far": (950, 350), "near": (250, 350)}
    planned(ends, to_any("earth", "post", "far", "near"))
    assert [job.runs[0].end for job in asked] == ["near"]


def test_the_plan_comes_back_and_its_job_gives_the_same_plan_again(tmp_path):
    ends = {"post": (50, 350), "far": (950, 350), "near": (250, 350)}
    plan = planned(ends, to_any("earth", "post", "far", "near"))
    path = tmp_path / "plan.json"
    path.write_text(json_text(plan_data(plan)), encoding="utf-8")
    assert read_plan(path) == plan
    assert make_plan(plan.job, plan.profile, plan.practice) == plan


def with_choices(rng, profile, job):
    names = [terminal.name for terminal in profile.terminals]
    runs = []
    for run in job.runs:
        others = [name for name in names if name not in (run.start, run.end)]
        runs.append(replace(run, may_end_at=(run.end, rng.choice(others))) if others else run)
    return replace(job, runs=tuple(runs))


@pytest.mark.parametrize("count", [4, pytest.param(40, marks=pytest.mark.study)])
def test_no_choice_by_itself_gives_a_plan_of_less_effort(count):
    """Against a plan for each choice: exact, but for rules about fixings that a cheaper one would break."""
    rng, practice, seen, better = Random(7), plain_practice(), 0, 0
    while seen < count:
        profile = random_vehicle(rng)
        job = with_choices(rng, profile, random_job(rng, profile))
        try:
            plan = make_plan(job, profile, practice)
        except NoAnswerError:
            continue
        musts = sum(finding.kind is FindingKind.SPAN for finding in plan.findings)
        for ends in product(*((run.may_end_at or (run.end,)) for run in job.runs)):
            runs = (replace(run, end=end, may_end_at=()) for run, end in zip(job.runs, ends, strict=True))
            try:
                other = make_plan(replace(job, runs=tuple(runs)), profile, practice)
            except NoAnswerError:
                continue
            spans = sum(finding.kind is FindingKind.SPAN for finding in other.findings)
            better += plan.effort_mm > other.effort_mm + 0.02 and spans <= musts
        seen += 1
    assert better == 0


# Routes that somebody drew


def drawn(profile, job, *points):
    way = [{"space": "floor", "points": [list(point) for point in points]}]
    route = {"route": "By eye", "format": "route/1", "unit": "mm", "runs": [{"run": "earth", "way": way}]}
    return judge_route(job, profile, plain_practice(), read_route(route, job, profile))


@pytest.mark.parametrize(("x_mm", "end"), [(950, "far"), (250, "near")])
def test_a_drawn_route_may_end_at_any_of_them(x_mm, end):
    ends = {"post": (50, 350), "far": (950, 350), "near": (250, 350)}
    job = a_job(to_any("earth", "post", "far", "near"), source_at="post")
    judged = drawn(a_floor(ends=ends, outline=WIDE), job, (50, 350), (x_mm, 350))
    assert judged.job.run("earth").end == end
    assert FindingKind.END not in {each.finding.kind for each in judged.findings}


def test_a_drawn_route_that_ends_at_none_of_them_is_told():
    ends = {"post": (50, 350), "far": (950, 350), "near": (250, 350)}
    job = a_job(to_any("earth", "post", "far", "near"), source_at="post")
    judged = drawn(a_floor(ends=ends, outline=WIDE), job, (50, 350), (400, 350))
    found = [each.finding.what for each in judged.findings if each.finding.kind is FindingKind.END]
    assert len(found) == 1 and "ends away from near" in found[0]
