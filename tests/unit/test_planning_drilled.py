"""A van whose load floor may be drilled, with a tank and a battery below: what plan, review and sheet say."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest
from page_reading import Page
from small_vehicle import a_job, a_keep_out, a_profile, a_run, box, default_practice, rectangle

from router.drawing import draw_map
from router.judging import judge_route
from router.model.fixing import FixingKind
from router.model.plan import Severity
from router.model.review import DrawnRoute
from router.model.vehicle import (
    Drill,
    Fix,
    Hazard,
    Panel,
    Screw,
    Space,
    SpaceKind,
    Support,
    SupportKind,
    Terminal,
)
from router.planning import make_plan
from router.sheet import make_sheet
from router.writing import plan_data, planned_route, read_plan, summarise
from router.writing.records import json_text

OUTLINE = rectangle(0.0, -700.0, 3000.0, 700.0)
FLOOR = Panel("load floor", ("underfloor", "load area"), 610.0, None, None, Drill.ALLOWED)
TANK = a_keep_out("fuel tank", box(800, -700, 2200, 700), Hazard.FUEL, heights_mm=(300.0, 590.0))
BATTERY = a_keep_out(
    "traction battery", box(2300, -700, 2900, 700), Hazard.HIGH_VOLTAGE, heights_mm=(300.0, 600.0)
)
LOW_TANK = replace(TANK, heights_mm=(300.0, 520.0))
"""70 mm below the drill's end, 66.7 mm from its edge: 51 and 5 mm are asked for."""


def van(*keep_outs, drill=Drill.ALLOWED, supports=()):
    spaces = (
        Space("load area", 620.0, OUTLINE, SpaceKind.LOAD_AREA),
        Space("underfloor", 450.0, OUTLINE, SpaceKind.UNDERFLOOR),
    )
    ends = (
        Terminal("battery positive", "load area", (300.0, 0.0), 620.0, "M8"),
        Terminal("unit", "load area", (2800.0, 0.0), 620.0, None),
    )
    return a_profile(
        spaces=spaces, panels=(replace(FLOOR, drill=drill),), keep_outs=keep_outs, supports=supports,
        terminals=ends, tolerance_mm=5.0,
    )  # fmt: skip


def planned(profile):
    return make_plan(a_job(a_run("supply")), profile, default_practice())


def broken(plan):
    """Return the kinds of the must-rules about holding that a plan breaks; its run has no fuse besides."""
    musts = {finding.kind for finding in plan.findings if finding.severity is Severity.MUST}
    return musts - {"no fuse"}


@pytest.fixture(scope="module")
def drilled():
    return planned(van(LOW_TANK))


def test_no_hole_is_drilled_above_the_tank_or_the_battery_and_what_is_not_held_is_told():
    plan = planned(van(TANK, BATTERY))
    (run,) = plan.runs
    assert run.fixings and max(fixing.x_mm for fixing in run.fixings) <= 800.0 - 51.0 - 5.0 - 3.3
    assert broken(plan) == {"span", "fixing missing"}
    assert not plan.stands


def test_a_tank_that_leaves_ground_beside_it_is_gone_round():
    plan = planned(van(replace(TANK, shape=box(800, -300, 2200, 300))))
    assert broken(plan) == set()
    assert all(
        abs(fixing.y_mm) > 300.0 or not 800.0 < fixing.x_mm < 2200.0 for fixing in plan.runs[0].fixings
    )


def test_where_the_floor_is_never_drilled_nothing_holds():
    plan = planned(van(drill=Drill.NEVER))
    assert plan.runs[0].fixings == ()
    assert broken(plan) == {"span", "fixing missing"}


def test_a_support_is_taken_before_any_hole():
    row = Support(
        "factory holes", "load area", SupportKind.HOLES, ((250.0, 15.0), (2900.0, 15.0)), 620.0, Fix.CLIP
    )
    plan = planned(van(LOW_TANK, supports=(row,)))
    assert {fixing.kind for fixing in plan.runs[0].fixings} == {FixingKind.CLIP}
    assert plan.holes == () and broken(plan) == set()


def test_a_hole_with_room_behind_it_is_planned_and_read_back(drilled, tmp_path):
    assert broken(drilled) == set()
    assert len(drilled.holes) == len(drilled.runs[0].fixings) >= 7
    assert {each.keep_out for hole in drilled.holes for each in hole.behind} == {"fuel tank"}
    (tmp_path / "plan.json").write_text(json_text(plan_data(drilled)), encoding="utf-8")
    assert read_plan(tmp_path / "plan.json") == drilled


def test_the_sheet_has_a_row_for_each_hole_and_its_cautions(drilled):
    page = Page(make_sheet(drilled, draw_map(drilled)))
    words = unescape(page.text)
    table = words[words.index("Holes to drill, mm from: front axle") :]
    rows = re.findall(r"load floor (\d+) behind (\d+) (?:right|left) 610 6.6 down, 20 deep", table)
    assert len(rows) == len(drilled.holes)
    assert "fuel tank (fuel) 66 mm away, 56 mm asked" in table
    for caution in ("at yes before", "deburred", "primed", "sealed", "grommet", "Collar on the drill"):
        assert caution.replace("at yes", "by eye") in words
    assert "A drill that goes too deep opens a tank, a line or a battery pack" in words
    never = planned(van(TANK, drill=Drill.NEVER))
    none = unescape(Page(make_sheet(never, draw_map(never))).text)
    assert "Holes to drill" not in none and "A drill that goes too deep" not in none


@pytest.mark.parametrize(
    ("screw", "spec", "hole_mm", "in_fixings", "in_holes"),
    [
        (Screw.NUT, "M6 x 16, with nut, washer", "6.6", "P-clip, screw and nut", "deep fuel"),
        (Screw.RIVET_NUT, "M6 x 16, with a rivet nut M6", "9.1", "P-clip, screw in a rivet nut", "rivet nut"),
        (Screw.SELF_CUTTING, "tapping screw ST4.8 x 19", "4", "P-clip, self-cutting screw", "self-cutting"),
    ],
)
def test_bill_sheet_and_plan_say_what_a_p_clips_screw_holds_in(
    screw, spec, hole_mm, in_fixings, in_holes, tmp_path
):
    profile = van(LOW_TANK)
    plan = planned(replace(profile, panels=(replace(profile.panels[0], screw=screw),)))
    (line,) = [each for each in plan.bill if each.item == "screw"]
    assert line.spec.startswith(spec) and line.spec.endswith(f"hole {hole_mm} mm")
    assert line.quantity - line.spare == len(plan.holes) > 0
    words = " ".join(unescape(Page(make_sheet(plan, draw_map(plan))).text).split())
    assert in_fixings in words
    assert re.search(rf"610 {hole_mm} down, 20 deep.{{0,3}}{in_holes.removeprefix('deep ')}", words)
    assert ("rivet-nut setter" in words) is (screw is Screw.RIVET_NUT)
    (tmp_path / "plan.json").write_text(json_text(plan_data(plan)), encoding="utf-8")
    assert {hole.screw for hole in read_plan(tmp_path / "plan.json").holes} == {screw}


def test_the_summary_counts_the_holes(drilled):
    count = len(drilled.holes)
    assert f"{count}, {count} holes to drill" in summarise(drilled)


def test_the_same_holes_above_a_tank_that_is_higher_are_dangerous(drilled):
    """What was planned for a low tank, reviewed on the van with the high one: 30 points each, to none."""
    profile = van(TANK)
    drawn = DrawnRoute("old", planned_route(drilled).runs, None)
    judged = judge_route(drilled.job, profile, drilled.practice, drawn)
    holes = [each for each in judged.findings if each.finding.kind == "drilled hole"]
    above = [fixing for fixing in drilled.runs[0].fixings if 744.0 < fixing.x_mm < 2256.0]
    assert len(holes) == len(above) >= 3
    assert {each.points for each in holes} == {30.0}
    assert judged.mark <= 10
