"""Of plans that take nearly the same effort, one that can be held comes before one that cannot."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest
from small_vehicle import a_floor, a_keep_out, a_route, box, default_practice, star_job
from star_jobs import a_random_job

import router.planning
from router.explaining import find_routes_or_explain
from router.model.fixing import FixingKind
from router.model.plan import Finding, Severity
from router.planning import make_plan
from router.routing import near_best

SEED = 8
"""A job of two runs for which several ways of branching are found."""
NOTHING = "there is nothing at all to fix to here"


@pytest.fixture
def question():
    profile, job = a_random_job(SEED)
    return replace(job, source=replace(job.source, at="post")), profile, default_practice()


@pytest.fixture
def found(question):
    """What is found for the looms that the plan has, the least effort first."""
    plan = make_plan(*question)
    first = find_routes_or_explain(*question, {run.name: run.loom_diameter_mm for run in plan.runs})
    assert first.effort_mm == pytest.approx(plan.effort_mm) and len(first.runners_up) > 1
    return first, *first.runners_up


def refusing(monkeypatch, refused):
    """Let nothing be held along the first route of each of these."""
    ways = {tuple((p.x_mm, p.y_mm) for p in each.routes[0].points) for each in refused}
    place = router.planning.place_fixings

    def place_some(route, *others):
        fixings, findings = place(route, *others)
        if tuple((p.x_mm, p.y_mm) for p in route.points) not in ways:
            return fixings, findings
        nothing = Finding("fixing missing", Severity.MUST, route.run, 0.0, NOTHING, "", "one", "none", None)
        return fixings, (*findings, nothing)

    monkeypatch.setattr("router.planning.place_fixings", place_some)


def test_the_next_best_is_taken_where_the_best_cannot_be_held(question, found, monkeypatch):
    first, second, *_ = found
    assert first.effort_mm < second.effort_mm <= 1.03 * first.effort_mm
    refusing(monkeypatch, [first])
    plan = make_plan(*question)
    assert plan.effort_mm == pytest.approx(second.effort_mm)
    assert NOTHING not in {finding.what for finding in plan.findings}


def test_where_none_can_be_held_the_best_stays_and_says_so(question, found, monkeypatch):
    refusing(monkeypatch, found)
    plan = make_plan(*question)
    assert plan.effort_mm == pytest.approx(found[0].effort_mm)
    assert NOTHING in {finding.what for finding in plan.findings}


def test_of_routes_that_take_nearly_the_same_the_one_with_the_cheaper_fixings_is_taken(
    question, found, monkeypatch
):
    """Ties in place of holes, ten times the work: more than what the second takes longer."""
    _, second, *_ = found
    way = tuple((p.x_mm, p.y_mm) for p in second.routes[0].points)
    place = router.planning.place_fixings

    def place_ties(route, *others):
        fixings, findings = place(route, *others)
        if tuple((p.x_mm, p.y_mm) for p in route.points) == way:
            fixings = tuple(replace(each, kind=FixingKind.TIE) for each in fixings)
        return fixings, findings

    monkeypatch.setattr("router.planning.place_fixings", place_ties)
    assert make_plan(*question).effort_mm == pytest.approx(second.effort_mm)


def test_a_run_alone_has_other_routes_to_choose_from():
    """Round a block by either side it is the same."""
    block = a_keep_out("block", box(1000.0, 300.0, 2000.0, 700.0), space="floor")
    ends = {"post": (100.0, 500.0), "lamp": (2900.0, 500.0)}
    floor = a_floor(ends=ends, outline=(3000.0, 1000.0), keep_outs=(block,))
    routing = find_routes_or_explain(star_job(["lamp"]), floor, default_practice(), 10.0)
    sides = {
        max((p.y_mm for p in each.routes[0].points), key=lambda y: abs(y - 500.0)) > 500.0
        for each in (routing, *near_best(star_job(["lamp"]), routing, default_practice()))
    }
    assert sides == {True, False}


@pytest.mark.parametrize("shift_mm", [0.5, -0.5])
def test_of_one_run_a_path_that_is_nearly_its_best_is_taken(shift_mm, monkeypatch):
    """A block across the straight way; to the other side of it the way is a millimetre longer."""
    block = a_keep_out("block", box(400, 250 + shift_mm, 600, 450 + shift_mm), space="floor")
    profile = a_floor(ends={"post": (50, 350), "lamp": (950, 350)}, keep_outs=(block,))
    job = replace(star_job(["lamp"]), source=replace(star_job(["lamp"]).source, at="post"))
    best = make_plan(job, profile, default_practice())
    assert best.runs[0].route.routed_mm < 1000.0
    refusing(monkeypatch, [SimpleNamespace(routes=[best.runs[0].route])])
    other = make_plan(job, profile, default_practice())
    assert best.effort_mm < other.effort_mm < best.effort_mm + 5.0
    assert NOTHING not in {finding.what for finding in other.findings}
    sides = [{p.y_mm > 350.0 for p in plan.runs[0].route.points[1:-1]} for plan in (best, other)]
    assert sides == [{shift_mm < 0}, {shift_mm > 0}]


def test_no_way_that_turns_back_on_itself_stands_beside_the_best(question, found):
    """There and back on one line is a bend of radius 0, which no loom has, however little effort it takes."""
    first, second, *_ = found
    places = [(point.x_mm, point.y_mm, point.z_mm) for point in second.routes[0].points]
    spur = a_route([*places, places[-2], places[-1]], run=second.routes[0].run)
    bent = replace(second, routes=(spur, *second.routes[1:]))
    job, _, practice = question
    assert list(near_best(job, replace(first, runners_up=(bent, second)), practice)) == [second]
