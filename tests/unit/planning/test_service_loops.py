"""Slack beside a run's start that can be made: lengths by hand, then plan, bill and sheet of one mind.

A U of four quarter bends of radius r is 2 pi r of conductor on 4 r of run: it takes in 2.2832 r.
"""

from __future__ import annotations

from html import unescape

import pytest
from small_vehicle import (
    a_conductor,
    a_job,
    a_profile,
    a_run,
    default_practice,
    practice_with,
    rectangle,
)

from router.drawing import draw_map
from router.facts import service_loop
from router.lengths import measure_run
from router.model.vehicle import Fix, Space, SpaceKind, Support, SupportKind, Terminal
from router.planning import make_plan
from router.sheet import make_sheet

VAN = a_profile(
    spaces=(Space("load area", 620.0, rectangle(0.0, -700.0, 3000.0, 700.0), SpaceKind.LOAD_AREA),),
    supports=(Support("rail", "load area", SupportKind.RAIL, ((300.0, 0.0), (2800.0, 0.0)), 620.0, Fix.TIE),),
    terminals=(
        Terminal("battery positive", "load area", (300.0, 0.0), 620.0, "M8"),
        Terminal("unit", "load area", (2800.0, 0.0), 620.0, "M8"),
    ),
    tolerance_mm=5.0,
)


def planned(size: str):
    run = a_run("supply", conductors=(a_conductor("supply", size=size),))
    return make_plan(a_job(run), VAN, default_practice())


def slack_of(plan):
    return next(each for each in plan.runs[0].length.allowances if each.rule.name == "length: service loop")


@pytest.mark.parametrize(
    ("wire_mm", "radius_mm", "least_mm", "slack_mm", "is_swept"),
    [
        (3.0, 30.0, 68.5, 100.0, False),  # 2.5 mm2: the shop's own 100 mm are more
        (6.0, 60.0, 137.0, 137.0, False),  # 10 mm2
        (7.9, 79.0, 180.4, 180.4, False),  # 16 mm2
        (9.4, 94.0, 214.6, 200.0, True),  # 25 mm2
        (13.5, 135.0, 308.2, 200.0, True),  # 50 mm2: 100 mm in a loop cannot be made
    ],
)
def test_a_loop_takes_in_what_its_bends_ask_for(wire_mm, radius_mm, least_mm, slack_mm, is_swept):
    loop = service_loop(wire_mm, default_practice())
    assert loop.radius_mm == radius_mm
    assert loop.least_mm == pytest.approx(least_mm, abs=0.05)
    assert loop.slack_mm == pytest.approx(slack_mm, abs=0.05)
    assert loop.is_swept is is_swept


def test_a_shop_with_larger_loops_or_gentler_bends():
    """400 mm let 50 mm2 be looped, and 20 times 6.0 mm ask for 274 mm, more than 200."""
    assert not service_loop(13.5, practice_with({("length", "largest loop"): 400.0})).is_swept
    assert service_loop(6.0, practice_with({("bend", "least radius"): 20.0})).is_swept


def test_before_a_conductor_is_chosen_the_loop_is_the_rules():
    plan = planned("50 mm2")
    length = measure_run(plan.job.runs[0], plan.runs[0].route, VAN, default_practice())
    (slack,) = [each for each in length.allowances if each.rule and each.rule.key == "service loop"]
    assert (slack.length_mm, slack.why) == (
        100.0,
        "service loop, bundled and secured beside battery positive",
    )


def test_a_thin_wire_is_looped_and_nothing_is_found():
    plan = planned("10 mm2")
    assert slack_of(plan).length_mm == pytest.approx(137.0, abs=0.05)
    assert slack_of(plan).why.endswith(": a U of four quarter bends, none tighter than 60 mm")
    assert "service loop" not in [each.kind for each in plan.findings]


def test_a_thick_wire_ends_swept_in_lengths_finding_bill_and_sheet_alike():
    plan = planned("50 mm2")
    (found,) = [each for each in plan.findings if each.kind == "service loop"]
    assert found.run == "supply"
    assert "13.5 mm wire is too thick for a service loop" in found.what
    assert "200 mm of slack are left as a swept end" in found.what
    assert slack_of(plan).length_mm == 200.0
    assert slack_of(plan).why.startswith("swept end beside battery positive")
    (length,) = [run.length for run in plan.runs]
    asked_mm = length.routed_mm + sum(each.length_mm for each in length.allowances)
    assert asked_mm <= length.cut_mm < asked_mm + 50.0
    assert plan.runs[0].conductors[0].length_mm == length.cut_mm
    ties = "; ".join(line.where for line in plan.bill if line.item == "tie")
    assert "supply: swept end" in ties and "service loop" not in ties
    words = " ".join(unescape(make_sheet(plan, draw_map(plan))).split())
    assert "Swept end beside battery positive" in words
    assert "service loop, bundled" not in words


def test_what_is_cut_is_what_the_conductor_was_chosen_for():
    """A wire that the drop makes thick makes its own loop larger: the choice holds for the longer cut."""
    run = a_run("supply", conductors=(a_conductor("supply", load_a=40.0),))
    plan = make_plan(a_job(run), VAN, default_practice())
    (supply,) = plan.runs[0].conductors
    assert supply.decided_by == "drop"
    assert supply.length_mm == plan.runs[0].length.cut_mm
    assert slack_of(plan).length_mm == service_loop(supply.outside_mm, default_practice()).slack_mm > 100.0
