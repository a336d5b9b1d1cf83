"""What is listed as still to measure, nearest first; distances measured with shapely, by hand where level.

The job's one run follows the left rail, y -500, at 400 mm, up through the plug at x 2530 and on to the lamp.
"""

from __future__ import annotations

import hashlib
import json
from copy import deepcopy
from dataclasses import replace

import jsonschema
import pytest
import shapely
from assumed_vehicle import JOB, VEHICLE, measured

import router
from router.facts import assumed_by_nearness, assumed_parts, runs_hanging_on, still_to_measure
from router.facts.tags import plan_number
from router.judging.standards import _fingerprint_of
from router.model.plan import FindingKind, Severity
from router.writing import json_text, plan_data, summarise
from router.writing.plan_json import plan_schema

NEAR = [("support", "left rail"), ("opening", "plug"), ("terminal", "lamp"), ("keep-out", "near tank")]
FAR = [("keep-out", "far tank"), ("terminal", "other lamp"), ("support", "right rail")]


@pytest.fixture(scope="module")
def plan():
    return router.plan(JOB, profile=VEHICLE).record


def names(listed):
    return [(each.part, each.name) for each in listed]


def changed(section, name, **keys):
    """Return the vehicle with other keys in one of its things; None takes a key out."""
    data = deepcopy(VEHICLE)
    thing = next(each for each in data[section] if each["name"] == name)
    thing.update(keys)
    for key in [key for key, value in keys.items() if value is None]:
        del thing[key]
    return data


def test_the_nearest_come_first_and_what_the_plan_does_not_hang_on_is_left_out(plan):
    assert names(assumed_by_nearness(plan.profile, plan.runs)) == NEAR + FAR
    assert names(still_to_measure(plan)) == NEAR
    assert [each.run for each in still_to_measure(plan)] == ["supply"] * 4


def test_distances_are_those_from_the_outside_of_the_loom_in_space(plan):
    """The far tank lies as high as the loom, the other lamp higher than most of it."""
    points = plan.runs[0].route.points
    radius_mm = plan.runs[0].loom_diameter_mm / 2.0
    line = shapely.LineString([(each.x_mm, each.y_mm) for each in points if each.z_mm == 400.0])
    found = {each.name: each.near_mm for each in assumed_by_nearness(plan.profile, plan.runs)}
    far_mm = line.distance(shapely.box(800, 300, 1400, 800))
    assert found["far tank"] == pytest.approx(far_mm - radius_mm)
    assert found["near tank"] == pytest.approx(line.distance(shapely.box(800, -370, 1400, 100)) - radius_mm)
    last = points[-1]
    by_hand_mm = ((last.x_mm - 2900) ** 2 + (last.y_mm - 800) ** 2) ** 0.5  # at 720 mm, as the lamp
    assert found["other lamp"] == pytest.approx(by_hand_mm - radius_mm)
    assert found["left rail"] == found["plug"] == found["lamp"] == 0.0


@pytest.mark.parametrize(("more_mm", "is_listed"), [(1.0, True), (-1.0, False)])
def test_a_body_matters_as_far_as_it_would_be_too_near_were_it_off_by_as_much_again(plan, more_mm, is_listed):
    """From rail to tank are 130 mm: what is left of them beside loom and rule is shared by both."""
    rule_mm = plan.practice.value("clearance", "fuel")
    left_mm = 130.0 - plan.runs[0].loom_diameter_mm / 2.0 - rule_mm
    told = changed("keep-outs", "near tank", assumed=f"{left_mm / 2.0 + more_mm:.3f} mm")
    listed = names(still_to_measure(router.plan(JOB, profile=told).record))
    assert (("keep-out", "near tank") in listed) is is_listed


def test_what_was_measured_is_no_longer_listed(plan):
    told = changed("supports", "left rail", assumed=None)
    assert names(still_to_measure(router.plan(JOB, profile=told).record)) == NEAR[1:]


@pytest.mark.parametrize(
    ("section", "name", "part"),
    [
        ("panels", "floor", "panel"),
        ("terminals", "post plus", "terminal"),
        ("supports", "deck edge", "support"),
    ],
)
def test_everything_that_a_run_goes_by_is_listed(section, name, part):
    told = changed(section, name, assumed="30 mm")
    assert (part, name) in names(still_to_measure(router.plan(JOB, profile=told).record))


def test_a_height_is_listed_where_a_run_lies_at_it():
    data = deepcopy(VEHICLE)
    data["spaces"]["underfloor"]["assumed"] = "30 mm"
    data["spaces"]["deck"] |= {"assumed": "30 mm", "height": "690 mm"}
    listed = names(still_to_measure(router.plan(JOB, profile=data).record))
    assert ("space", "underfloor") in listed


def test_the_vehicle_may_have_changed_since_the_plan_was_made(plan):
    rails = [replace(each, assumed_mm=None) for each in plan.profile.supports]
    changed_since = replace(plan.profile, supports=tuple(rails), openings=())
    listed = names(assumed_by_nearness(changed_since, plan.runs))
    assert listed == [NEAR[2], NEAR[3], FAR[0], FAR[1]]
    assert assumed_by_nearness(changed_since, ()) == ()


def test_the_runs_that_hang_on_a_part_are_told(plan):
    assert [each.name for each in runs_hanging_on(plan, still_to_measure(plan)[0])] == ["supply"]


def test_plan_json_lists_them_and_is_read_back(plan, tmp_path):
    data = json.loads(json_text(plan_data(plan)))
    first, *_, last = data["still_to_measure"]
    assert first == {"part": "support", "name": "left rail", "assumed_mm": 40, "near_mm": 0, "run": "supply"}
    assert (last["name"], last["assumed_mm"]) == ("near tank", 60)
    assert jsonschema.Draft202012Validator(plan_schema()).is_valid(data)
    path = tmp_path / "plan.json"
    path.write_text(json_text(plan_data(plan)))
    assert router.load_plan(path).record == plan


def test_plan_json_of_what_was_measured_says_nothing_of_it():
    plan = router.plan(JOB, profile=measured(VEHICLE)).record
    data = json.loads(json_text(plan_data(plan)))
    assert not assumed_parts(plan.profile)
    assert "assumed_mm" not in json_text(data)
    assert "still_to_measure" not in data
    assert jsonschema.Draft202012Validator(plan_schema()).is_valid(data)


def test_the_summary_has_one_line_of_it(plan):
    lines = [line for line in summarise(plan).splitlines() if line.startswith("still to measure")]
    assert lines == ["still to measure, 4 of 7 assumed: left rail (40 mm), plug (25 mm), lamp (20 m..."]
    assert len(lines[0]) == 80


def test_fixings_on_assumed_supports_are_told_of_once(plan):
    (found,) = [each for each in plan.findings if each.kind is FindingKind.ASSUMED_SUPPORT]
    count = sum(each.support == "left rail" for each in plan.runs[0].fixings)
    assert found.severity is Severity.NOTE
    assert found.what == (
        f"{count} fixings go on left rail (40 mm off at most), which nobody measured yet: before it is tied "
        "to, measure where along and how high it runs"
    )
    all_measured = router.plan(JOB, profile=measured(VEHICLE)).record
    assert [each for each in all_measured.findings if each.kind is FindingKind.ASSUMED_SUPPORT] == []


def test_the_number_of_a_plan_tells_what_was_measured_since(plan):
    tanks = [replace(each, assumed_mm=None) for each in plan.profile.keep_outs]
    assert plan_number(replace(plan, profile=replace(plan.profile, keep_outs=tuple(tanks)))) != plan_number(
        plan
    )


def test_what_was_approved_of_a_measured_thing_stays_as_it_was_spelt_then(plan):
    """The digest in a standard route of before: of the record without what may be assumed since."""
    post = plan.profile.support("post")
    then = (
        "Support(name='post', space='underfloor', kind=<SupportKind.BRACKET_LINE: 'bracket line'>, "
        "along=((2520.0, -500.0), (2530.0, -500.0)), height_mm=400.0, fix=<Fix.CLIP: 'clip'>, "
        "heights_mm=(400.0, 590.0))"
    )
    assert _fingerprint_of(post) == hashlib.sha256(then.encode()).hexdigest()[:8]
    assert _fingerprint_of(replace(post, assumed_mm=60.0)) != _fingerprint_of(post)


def test_the_length_of_a_run_on_what_is_assumed_is_less_sure(plan):
    sure = router.plan(JOB, profile=measured(VEHICLE)).record.runs[0].length
    assert plan.runs[0].length.uncertainty_mm > sure.uncertainty_mm
    assert plan.runs[0].length.routed_mm == pytest.approx(sure.routed_mm)
