"""What a job joins between plus and minus, and which terminal has which pole. Plain from the terminals.

Both poles of a supply on one stud are a short circuit (elementary), so somebody must be told.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import a_circuit_job, supply_and_earth
from small_vehicle import a_conductor, a_profile, a_run, default_practice, terminals

from router.conductors import circuit_findings
from router.facts.poles import poles_at, stud_of
from router.model.job import Job
from router.model.plan import Finding, Severity
from router.model.vehicle import Pole, Profile, Studs, TerminalKind


def profile(**studs: str | None) -> Profile:
    named = {"battery positive": "M6", "unit": None, "rear earth stud": "M8", **studs}
    return a_profile(terminals=terminals(**named))


def judged(job: Job, vehicle: Profile) -> tuple[Finding, ...]:
    return circuit_findings(job, vehicle, default_practice())


def with_terminal(vehicle: Profile, name: str, **changes: object) -> Profile:
    changed = replace(vehicle.terminal(name), **changes)  # type: ignore[arg-type]
    return replace(vehicle, terminals=(*(t for t in vehicle.terminals if t.name != name), changed))


def test_a_unit_with_one_stud_cannot_take_both_poles() -> None:
    job = a_circuit_job(*supply_and_earth())
    assert judged(job, profile()) == ()  # a connector has a contact for each
    found = judged(job, profile(unit="M6"))[0]
    assert (found.kind, found.severity) == ("dead short", Severity.MUST)
    for word in ("battery positive plus", "supply to unit", "earth to rear earth stud", "unit is one stud"):
        assert word in found.what


def test_both_advices_for_one_stud_lead_to_a_circuit_with_nothing_to_find() -> None:
    """Two studs of one terminal; or a second terminal, with the return that begins there."""
    supply, earth = supply_and_earth()
    one_stud = with_terminal(profile(unit="M6"), "unit", kind=TerminalKind.UNIT)
    (found,) = judged(a_circuit_job(supply, earth), one_stud)
    assert "studs: {plus: ..., minus: ...}" in found.what
    assert "unit: and pole: plus or minus at both" in found.what
    two_studs = with_terminal(one_stud, "unit", stud=None, studs=Studs("M6", "M6"))
    assert judged(a_circuit_job(supply, earth), two_studs) == ()
    apart = with_terminal(profile(unit="M6", minus="M6"), "unit", unit="inverter", pole=Pole.PLUS)
    apart = with_terminal(apart, "minus", unit="inverter", pole=Pole.MINUS)
    assert judged(a_circuit_job(supply, replace(earth, start="minus")), apart) == ()


def test_two_studs_that_nothing_says_are_one_unit_are_asked_for_and_not_refused() -> None:
    """Wired as it should be: there is no must, and the words put the rest right."""
    supply, earth = supply_and_earth()
    vehicle = profile(unit="M6", minus="M6")
    found = judged(a_circuit_job(supply, replace(earth, start="minus")), vehicle)
    assert [(f.kind, f.severity) for f in found] == [("no fuse", Severity.SHOULD), ("poles", Severity.NOTE)]
    said = with_terminal(vehicle, "unit", kind=TerminalKind.UNIT, unit="inverter", pole=Pole.PLUS)
    said = with_terminal(said, "minus", kind=TerminalKind.UNIT, unit="inverter", pole=Pole.MINUS)
    assert judged(a_circuit_job(supply, replace(earth, start="minus")), said) == ()


def test_a_minus_that_is_measured_and_left_empty_is_a_gap() -> None:
    supply, earth = supply_and_earth()
    vehicle = profile(unit="M6", minus="M6")
    vehicle = with_terminal(vehicle, "unit", unit="inverter", pole=Pole.PLUS)
    vehicle = with_terminal(vehicle, "minus", unit="inverter", pole=Pole.MINUS)
    (found,) = judged(a_circuit_job(supply), vehicle)
    assert (found.kind, found.severity) == ("broken return", Severity.MUST)
    assert 'add a conductor from minus to an earth that says "returns: supply"' in found.what
    assert judged(a_circuit_job(supply, replace(earth, start="minus")), vehicle) == ()


def test_no_advice_ever_begins_a_return_on_the_stud_of_the_supply() -> None:
    """One stud and no return: whoever begins one there makes a dead short."""
    supply, _ = supply_and_earth()
    vehicle = with_terminal(profile(unit="M6"), "unit", kind=TerminalKind.UNIT)
    (found,) = judged(a_circuit_job(supply), vehicle)
    assert (found.kind, found.severity) == ("no return", Severity.SHOULD)
    assert "add a run from its minus, which the profile does not show (unit is one stud" in found.what


def test_earths_may_share_a_stud_and_supplies_too() -> None:
    job = a_circuit_job(*supply_and_earth())
    assert not poles_at(job, "battery positive").are_both
    assert not poles_at(job, "rear earth stud").are_both
    assert poles_at(job, "unit").plus == ("supply",)
    assert poles_at(job, "unit").minus == ("earth",)


def test_a_supply_on_the_minus_of_the_source_is_a_dead_short() -> None:
    supply, earth = supply_and_earth()
    job = a_circuit_job(replace(supply, end="rear earth stud"), earth)
    job = replace(job, source=replace(job.source, negative_at="rear earth stud"))
    found = [finding for finding in judged(job, profile()) if finding.kind == "dead short"]
    assert [finding.severity for finding in found] == [Severity.MUST]
    assert "rear earth stud" in found[0].what


@pytest.mark.parametrize("unit", [None, "M6"])
def test_a_return_on_the_plus_is_told_and_no_conductor_is_to_lead_on_from_there(unit: str | None) -> None:
    supply, earth = supply_and_earth()
    job = a_circuit_job(supply, replace(earth, end="battery positive"))
    found = [finding for finding in judged(job, profile(unit=unit)) if finding.severity is Severity.MUST]
    assert [finding.kind for finding in found] == ["poles"]
    assert "earth is to bring current back and ends on battery positive" in found[0].what
    assert "end it on an earth point" in found[0].what


@pytest.mark.parametrize(
    "words",
    [
        {"load_a": 9.0},
        {"load_a": 0.0},
        {"load_a": 0.0, "returns": ("supply",)},
        {"load_a": 1.0, "fed_by": "supply"},
    ],
)
def test_a_link_from_plus_to_body_is_a_dead_short_whatever_it_is_called(words: dict[str, object]) -> None:
    vehicle = with_terminal(profile(), "rear earth stud", kind=TerminalKind.EARTH_POINT)
    link = a_run("link", "battery positive", "rear earth stud", conductors=(a_conductor("link", **words),))
    found = judged(a_circuit_job(*supply_and_earth(), link), vehicle)
    assert [f.severity for f in found if f.kind == "dead short"] == [Severity.MUST]
    assert "link to the vehicle's body" in found[0].what


def test_a_unit_with_a_stud_for_each_pole_takes_both() -> None:
    job = a_circuit_job(*supply_and_earth())
    one_stud = profile(unit="M6")
    unit = replace(one_stud.terminal("unit"), stud=None, studs=Studs("M6", "M5"))
    two_studs = replace(one_stud, terminals=(*(t for t in one_stud.terminals if t.name != "unit"), unit))
    assert judged(job, two_studs) == ()
    assert stud_of(job, two_studs, "unit", "supply") == "M6"
    assert stud_of(job, two_studs, "unit", "earth") == "M5"
    assert stud_of(job, two_studs, "rear earth stud", "earth") == "M8"
