"""What the sheet says is still to be measured, in the words of a person who lies under the vehicle."""

from __future__ import annotations

from copy import deepcopy

import pytest
from assumed_vehicle import JOB, VEHICLE, measured
from page_reading import Page

import router
from router.drawing import draw_map
from router.facts import still_to_measure
from router.sheet.job_sheet import make_sheet
from router.sheet.measure_table import measure_section


@pytest.fixture(scope="module")
def plan():
    return router.plan(JOB, profile=VEHICLE).record


def words(plan):
    return Page(str(measure_section(plan))).text


def test_it_says_what_to_measure_and_what_hangs_on_it(plan):
    found = words(plan)
    order = ["left rail", "plug", "lamp", "near tank"]
    assert sorted(order, key=found.index) == order
    assert "supply follows it or is fixed to it" in found
    assert "supply goes through it" in found
    assert "supply ends there" in found
    rule_mm = plan.practice.value("clearance", "fuel")
    near_mm = int(130.0 - plan.runs[0].loom_diameter_mm / 2.0)  # rounded down
    asked = f"{rule_mm + 60.0:.0f} mm are asked, 60 mm of that as nobody measured it"
    assert f"supply stays {near_mm} mm from it, {asked}" in found
    assert "far tank" not in found
    assert "3 further values are assumed; this plan does not hang on them" in found


def test_where_all_was_measured_the_sheet_has_nothing_of_it():
    plan = router.plan(JOB, profile=measured(VEHICLE)).record
    sheet = make_sheet(plan, draw_map(plan))
    assert measure_section(plan) == ""
    assert "part-measure" not in sheet
    assert "assumed" not in sheet


def test_where_the_plan_hangs_on_nothing_that_is_assumed_it_says_so():
    data = measured(VEHICLE)
    data["keep-outs"][1]["assumed"] = "60 mm"
    plan = router.plan(JOB, profile=data).record
    assert still_to_measure(plan) == ()
    assert words(plan) == "1 value is assumed; this plan does not hang on it."


def test_the_sheet_has_it_once_before_what_to_fetch_and_says_how_much_is_assumed(plan):
    page = Page(make_sheet(plan, draw_map(plan)))
    assert "7 only assumed; 2026-03-14, to 10 mm" in page.text
    ids = [attributes.get("id") or "" for _, attributes in page.elements]
    ids = [each for each in ids if each.startswith("part-")]
    assert ids.index("part-measure") + 1 == ids.index("part-fetch")


def test_a_hostile_name_stays_a_name():
    data = deepcopy(VEHICLE)
    data["keep-outs"][0]["name"] = "<script>alert(1)</script>"
    assert "<script>" not in measure_section(router.plan(JOB, profile=data).record)
