"""A 13-pin lead is one piece of cable in the bill, and its unused cores have caps.

ISO 11446-1:2012: 7 conductors of 1.5 mm2 (pins 1, 2, 4 to 8) and 5 of 2.5 mm2 (pins 3, 9, 10, 11, 13).
"""

from dataclasses import replace

import pytest
from example_plans import example_plan

from router.bill import list_entries
from router.facts import lead_cable_of
from router.model.plan import BillItem


@pytest.fixture(scope="module")
def plan():
    return example_plan("rowing-trailer")


def entries_of(plan, item):
    every = list_entries(plan.job, plan.profile, plan.practice, plan.runs, plan.looms)
    return [each for each in every if each.item is item]


def test_the_cable_is_one_cut_of_its_length_and_its_cores_are_none(plan):
    cuts = [each for each in entries_of(plan, BillItem.CONDUCTOR_CUT) if "socket lead" in each.where]
    lead = next(run for run in plan.runs if run.name == "socket lead")
    assert [each.spec.split(", insulation")[0] for each in cuts] == [
        "13-pin cable, 7 x 1.5 mm2 + 5 x 2.5 mm2, sheathed"
    ]
    assert cuts[0].quantity == pytest.approx(lead.length.cut_mm / 1000)
    assert "10 of 12 cores used; capped at both ends: pin 10, pin 11" in cuts[0].where
    totals = [each for each in entries_of(plan, BillItem.CONDUCTOR_TOTAL) if "13-pin" in each.spec]
    assert [each.quantity for each in totals] == [cuts[0].quantity]


def test_what_is_cut_has_as_many_metres_as_what_is_bought(plan):
    cut, total = (
        sum(each.quantity for each in entries_of(plan, item))
        for item in (BillItem.CONDUCTOR_CUT, BillItem.CONDUCTOR_TOTAL)
    )
    assert cut == pytest.approx(total)


def test_each_core_that_is_not_used_has_two_caps(plan):
    caps = [each for each in entries_of(plan, BillItem.HEAT_SHRINK) if each.spec.startswith("end cap")]
    assert [(each.quantity, "not used" in each.where) for each in caps] == [(2, True), (2, True)]


def test_it_weighs_at_least_its_copper(plan):
    # 7 x 1.5 + 5 x 2.5 = 23 mm2 of copper at 8890 kg/m3 (IEC 60028): 0.204 kg/m, less than twice that.
    (cable,) = [each for each in entries_of(plan, BillItem.CONDUCTOR_CUT) if "13-pin" in each.spec]
    assert 0.204 < cable.kg / cable.quantity < 0.408


def test_it_is_no_thinner_than_its_cores_side_by_side_in_area(plan):
    # Largest diameters of 2.4 mm and 3.0 mm: 7 x 2.4^2 + 5 x 3.0^2 = 85.3 = 9.24^2; twelve equal circles fill
    # 74 % of the circle round them (Kravitz 1967), so about 10.7 mm, and 1 mm of sheath on each side.
    run = plan.job.run("socket lead")
    choices = next(each for each in plan.runs if each.name == "socket lead").conductors
    cable = lead_cable_of(run, choices)
    assert 11.24 < cable.outside_mm < 13.5


def test_one_core_in_another_size_makes_it_no_cable(plan):
    run = plan.job.run("socket lead")
    choices = next(each for each in plan.runs if each.name == "socket lead").conductors
    assert lead_cable_of(run, choices) is not None
    thick = (replace(choices[0], area_mm2=6.0), *choices[1:])
    assert lead_cable_of(run, thick) is None
