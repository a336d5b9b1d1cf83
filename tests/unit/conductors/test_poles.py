"""Both poles of a supply on one stud are a short circuit (elementary), so somebody must be told."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import a_circuit_job, supply_and_earth
from small_vehicle import a_profile, terminals

from router.conductors import pole_findings
from router.facts.poles import poles_at, stud_of
from router.model.plan import Severity
from router.model.vehicle import Profile, Studs


def profile(**studs: str | None) -> Profile:
    named = {"battery positive": "M6", "unit": None, "rear earth stud": "M8", **studs}
    return a_profile(terminals=terminals(**named))


def test_a_unit_with_one_stud_cannot_take_both_poles() -> None:
    job = a_circuit_job(*supply_and_earth())
    assert pole_findings(job, profile()) == ()  # a connector has a contact for each
    (found,) = pole_findings(job, profile(unit="M6"))
    assert (found.kind, found.severity) == ("poles", Severity.SHOULD)
    for word in ("unit has one M6 stud", "supply (plus)", "earth (minus)", "two terminals"):
        assert word in found.what


def test_earths_may_share_a_stud_and_supplies_too() -> None:
    job = a_circuit_job(*supply_and_earth())
    assert not poles_at(job, "battery positive").are_both
    assert not poles_at(job, "rear earth stud").are_both
    assert poles_at(job, "unit").plus == ("supply",)
    assert poles_at(job, "unit").minus == ("earth",)


@pytest.mark.parametrize("end", ["battery positive", "rear earth stud"])
def test_a_wrong_pole_of_the_source_is_a_dead_short(end: str) -> None:
    """The earth on the plus post, or the supply that ends on the minus post: a must."""
    supply, earth = supply_and_earth()
    runs = (
        (supply, replace(earth, end=end)) if end == "battery positive" else (replace(supply, end=end), earth)
    )
    job = a_circuit_job(*runs)
    job = replace(job, source=replace(job.source, negative_at="rear earth stud"))
    (found,) = pole_findings(job, profile())
    assert (found.kind, found.severity) == ("poles", Severity.MUST)
    assert end in found.what


def test_a_unit_with_a_stud_for_each_pole_takes_both() -> None:
    job = a_circuit_job(*supply_and_earth())
    one_stud = profile(unit="M6")
    unit = replace(one_stud.terminal("unit"), stud=None, studs=Studs("M6", "M5"))
    two_studs = replace(one_stud, terminals=(*(t for t in one_stud.terminals if t.name != "unit"), unit))
    assert len(pole_findings(job, one_stud)) == 1
    assert pole_findings(job, two_studs) == ()
    assert stud_of(job, two_studs, "unit", "supply") == "M6"
    assert stud_of(job, two_studs, "unit", "earth") == "M5"
    assert stud_of(job, two_studs, "rear earth stud", "earth") == "M8"
