"""Clearances by hand: what is asked for, and the measuring tolerance of 10 mm."""

from dataclasses import replace

import pytest
from small_vehicle import a_profile, practice_with

from router.facts import clearance_of, clearances_of
from router.model.vehicle import Hazard, KeepOut, Shape, ShapeKind
from router.reviewing.clearances import required_clearance

PRACTICE = practice_with(
    {("clearance", "hot"): 200.0, ("clearance", "hot shielded"): 90.0, ("clearance", "fuel"): 50.0}
)
PIPE = KeepOut(
    "pipe", "underfloor", Hazard.HOT, Shape(ShapeKind.LINE, ((0, 0), (9, 0)), 30.0), None, False, None
)
KEEP_OUTS = {
    "hot": (PIPE, 210.0, "clearance: hot"),
    "hot, shielded": (replace(PIPE, is_shielded=True), 100.0, "clearance: hot shielded"),
    "fuel": (replace(PIPE, hazard=Hazard.FUEL), 60.0, "clearance: fuel"),
    "fuel, a shield is nothing": (
        replace(PIPE, hazard=Hazard.FUEL, is_shielded=True),
        60.0,
        "clearance: fuel",
    ),
    "its own": (replace(PIPE, clearance_mm=35.0), 45.0, None),
    "its own of nothing": (replace(PIPE, clearance_mm=0.0), 10.0, None),
}


@pytest.mark.parametrize(("keep_out", "required_mm", "rule"), KEEP_OUTS.values(), ids=KEEP_OUTS.keys())
def test_clearance_of_a_keep_out(keep_out: KeepOut, required_mm: float, rule: str | None) -> None:
    found = clearance_of(keep_out, PRACTICE, 10.0)
    assert found.required_mm == required_mm
    assert (found.rule.name if found.rule else None) == rule


@pytest.mark.parametrize("keep_out", [each[0] for each in KEEP_OUTS.values()], ids=KEEP_OUTS.keys())
def test_the_review_resolves_the_same_by_itself(keep_out: KeepOut) -> None:
    profile = a_profile(keep_outs=(keep_out,))
    found = clearances_of(profile, PRACTICE)["pipe"]
    assert (found.required_mm, found.rule) == required_clearance(keep_out, profile, PRACTICE)


ASSUMED = {
    "assumed to more than the tolerance": (replace(PIPE, assumed_mm=60.0), 260.0),
    "assumed to less": (replace(PIPE, assumed_mm=6.0), 210.0),
    "its own, assumed": (replace(PIPE, clearance_mm=35.0, assumed_mm=60.0), 95.0),
    "shielded, assumed": (replace(PIPE, is_shielded=True, assumed_mm=60.0), 150.0),
}


@pytest.mark.parametrize(("keep_out", "required_mm"), ASSUMED.values(), ids=ASSUMED.keys())
def test_what_is_assumed_stands_in_place_of_the_tolerance_where_it_is_more(
    keep_out: KeepOut, required_mm: float
) -> None:
    profile = a_profile(keep_outs=(keep_out, replace(PIPE, name="other pipe")))
    assert clearances_of(profile, PRACTICE)["pipe"].required_mm == required_mm
    assert clearances_of(profile, PRACTICE)["other pipe"].required_mm == 210.0
    assert required_clearance(keep_out, profile, PRACTICE)[0] == required_mm
