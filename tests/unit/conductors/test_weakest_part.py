"""The weakest part decides: leads of holders, contacts, wires that are there already. Expected by hand.

33 CFR 183.425 Table 5 at 105 degC: 10 AWG 60 A, 8 AWG 80 A, 16 AWG 25 A. At 85 degC ambient sqrt((105 - 85) /
(105 - 30)) = 0.5164 of that: 30.98 A, 41.31 A.
"""

from __future__ import annotations

from dataclasses import replace

from conductor_cases import AUTO, BENCH, a_circuit_job, choose, fuse_of, supply_and_earth

from router.model.job import Fuse
from router.model.plan import Electrical, Finding, FindingKind, Severity
from router.model.vehicle import Terminal, TerminalKind

HOT = {"underfloor": 85.0}
WIDE = 0.3
"""A drop limit that decides nothing."""


def a_terminal(name="unit", **changes):
    return Terminal(name, "underfloor", (0.0, 0.0), 400.0, None, **changes)


def chosen(load_a=24.0, fuse=AUTO, *, ambient_c=HOT, ends=(), short_circuit_a=None, **conductor):
    """Return what is chosen for a supply and its earth, 2 m each."""
    job = a_circuit_job(*supply_and_earth(load_a, fuse=fuse, **conductor), ambient_c=ambient_c, drop=WIDE)
    job = replace(job, source=replace(job.source, short_circuit_a=short_circuit_a))
    return choose(job, 2000.0, profile=replace(BENCH, terminals=(*BENCH.terminals, *ends)))


def musts(found: Electrical) -> list[Finding]:
    return [finding for finding in found.findings if finding.severity is Severity.MUST]


# Holder leads


def test_a_named_40_a_blade_fuse_whose_leads_carry_31_a_in_that_heat_is_a_must():
    found = chosen(28.0, Fuse(40.0, family="blade"), size="16 mm2", earth_size="16 mm2")
    (must,) = musts(found)
    assert must.kind is FindingKind.FUSE
    assert must.fact == (
        "a 40 A fuse does not protect the leads of its holder, 6 mm2 or 10 AWG, in underfloor at 85 degC"
    )
    assert (must.required, must.actual) == ("30.98 A or less", "40 A")
    assert must.rule.status == "from memory"


def test_following_that_advice_ends_the_finding_and_makes_no_new_one():
    found = chosen(28.0, Fuse(40.0, family="blade"), size="16 mm2", earth_size="16 mm2")
    assert musts(found)[0].more == (
        "; a large blade fuse of 40 A would do (fuse: 40 A, fuse-family: large blade)"
    )
    followed = chosen(28.0, Fuse(40.0, family="large blade"), size="16 mm2", earth_size="16 mm2")
    assert len(followed.findings) == len(found.findings) - 1
    assert fuse_of(followed).leads == "10 mm2 or 8 AWG"


def test_a_chosen_fuse_has_a_holder_that_bears_it():
    """28 A continuous counts 35 A: blade leads carry 30.98 A, those of a large blade holder 41.31 A."""
    fuse = fuse_of(chosen(28.0))
    assert (fuse.rating_a, fuse.family, fuse.leads) == (40.0, "large blade", "10 mm2 or 8 AWG")
    cool = fuse_of(chosen(28.0, ambient_c={"underfloor": 30.0}))
    assert (cool.rating_a, cool.family) == (35.0, "blade")


def test_where_no_lead_bears_it_the_fuse_is_bolted_to_studs():
    """40 A continuous counts 50 A, and the thickest leads in line carry 41.31 A."""
    fuse = fuse_of(chosen(40.0))
    assert (fuse.rating_a, fuse.family, fuse.leads, fuse.stud) == (50.0, "bolt-down M5", None, "M5")


def test_leads_are_no_thinner_than_the_conductor_where_they_can_be_had():
    assert fuse_of(chosen(4.0, size="2.5 mm2")).leads == "2.5 mm2 or 14 AWG"
    assert fuse_of(chosen(4.0, size="4 mm2")).leads == "4 mm2 or 12 AWG"
    assert fuse_of(chosen(4.0, size="25 mm2")).leads == "6 mm2 or 10 AWG"


def test_leads_thicker_than_the_conductor_where_their_own_insulation_asks_for_it():
    """15 A, 1.5 mm2 at 125 degC class: the lead is 105 degC, 16 AWG carries 12.9 A there, 14 AWG 18.1 A."""
    job = a_circuit_job(*supply_and_earth(12.0), ambient_c=HOT, drop=WIDE, insulation_c=125.0)
    found = choose(job, 2000.0)
    assert (fuse_of(found).rating_a, fuse_of(found).leads) == (15.0, "2.5 mm2 or 14 AWG")


def test_leads_that_the_job_names_are_judged_and_thicker_ones_asked_for():
    thin = Fuse(30.0, leads="2.5 mm2")
    found = chosen(24.0, thin, size="10 mm2", earth_size="10 mm2")
    (must,) = musts(found)
    assert "the leads of its holder, 2.5 mm2," in must.fact
    assert must.more == "; leads of 6 mm2 would do (holder-leads: 6 mm2)"
    followed = chosen(24.0, replace(thin, leads="6 mm2"), size="10 mm2", earth_size="10 mm2")
    assert musts(followed) == []
    assert fuse_of(followed).leads == "6 mm2"


def test_the_holders_own_space_counts_not_the_hottest_of_the_run():
    """The first metre is cool, the rest at 85 degC: blade leads carry 60 A there, and the fuse is a blade."""
    spaces = {"underfloor": 0.5, "load area": 0.5}
    ambient_c = {"underfloor": 30.0, "load area": 85.0}
    job = a_circuit_job(*supply_and_earth(28.0), ambient_c=ambient_c, drop=WIDE)
    assert fuse_of(choose(job, 2000.0, spaces=spaces)).family == "blade"
    far = a_circuit_job(*supply_and_earth(28.0, fuse=Fuse(None, 1500.0)), ambient_c=ambient_c, drop=WIDE)
    assert fuse_of(choose(far, 2000.0, spaces=spaces)).family == "large blade"


# Breaking capacity


def test_a_source_that_drives_more_than_a_fuse_breaks_gets_another_family_or_a_must():
    assert fuse_of(chosen(8.0, short_circuit_a=1000.0)).family == "blade"
    assert fuse_of(chosen(24.0, short_circuit_a=1500.0)).family == "bolt-down M5"
    (must,) = musts(chosen(24.0, Fuse(30.0, family="blade"), short_circuit_a=1500.0))
    assert must.fact == "a blade fuse breaks no more than 1000 A, and the source drives 1500 A into a short"
    assert must.more == "; a bolt-down M5 fuse of 30 A would do (fuse: 30 A, fuse-family: bolt-down M5)"
    assert musts(chosen(24.0, Fuse(30.0, family="bolt-down M5"), short_circuit_a=1500.0)) == []
    (none,) = musts(chosen(24.0, short_circuit_a=9000.0))
    assert none.more == "; no family of the table breaks that"


# Contacts and wires that are there already


def test_a_contact_behind_a_fuse_is_protected_by_it_or_told():
    """Tabs of 4.8 mm carry 16 A by the table: 15 A protects them, 20 A does not."""
    end = a_terminal(contact="4.8 mm tab")
    assert musts(chosen(8.0, Fuse(15.0), ends=(end,), ambient_c={"underfloor": 30.0})) == []
    (must,) = musts(chosen(8.0, Fuse(20.0), ends=(end,), ambient_c={"underfloor": 30.0}))
    assert must.fact == "a 20 A fuse does not protect the 4.8 mm tab contact at unit"
    assert must.more == "; a blade fuse of 15 A would do (fuse: 15 A, fuse-family: blade)"
    followed = chosen(8.0, Fuse(15.0, family="blade"), ends=(end,), ambient_c={"underfloor": 30.0})
    assert musts(followed) == []


def test_a_conductor_that_does_not_go_into_its_contact_is_told_which_takes_it():
    """Tabs of 4.8 mm take 0.5 to 2.6 mm2, of 6.3 mm 0.5 to 6.6 mm2, of 9.5 mm 3.2 to 10.5 mm2."""
    cool = {"underfloor": 30.0}

    def unfit(contact, size):
        end = a_terminal(contact=contact)
        found = chosen(8.0, Fuse(10.0), ends=(end,), ambient_c=cool, size=size, earth_size=size)
        return [each for each in musts(found) if each.kind is FindingKind.CONDUCTOR]

    assert unfit("4.8 mm tab", "2.5 mm2") == []
    supply, _ = unfit("4.8 mm tab", "4 mm2")
    assert supply.fact == "supply of 4 mm2 does not go into the 4.8 mm tab contact at unit"
    assert (supply.required, supply.actual) == ("0.5 to 2.6 mm2", "4 mm2")
    assert supply.more == (
        "; a connector with 6.3 mm tab or 9.5 mm tab contacts takes it (contact: 6.3 mm tab)"
    )
    assert unfit("6.3 mm tab", "4 mm2") == unfit("9.5 mm tab", "4 mm2") == []
    assert len(unfit("9.5 mm tab", "2.5 mm2")) == 2  # too thin to be gripped
    assert unfit("9.5 mm tab", "16 mm2")[0].more == "; no contact of the table takes it: end it on a stud"
    assert unfit(None, "16 mm2") == []


def test_a_wire_that_goes_on_from_a_terminal_is_protected_too():
    """1.5 mm2 counts as 16 AWG: 25 A at 30 degC."""
    end = a_terminal(wire="1.5 mm2", kind=TerminalKind.CONNECTOR)
    cool = {"underfloor": 30.0}
    (must,) = musts(chosen(18.0, Fuse(30.0), ends=(end,), ambient_c=cool))
    assert must.fact == "a 30 A fuse does not protect the wire of 1.5 mm2 that is there already at unit"
    assert must.required == "25 A or less"
    assert must.more == "; a blade fuse of 25 A would do (fuse: 25 A, fuse-family: blade)"
    assert musts(chosen(18.0, Fuse(25.0, family="blade"), ends=(end,), ambient_c=cool)) == []


def test_where_no_fuse_carries_the_load_and_protects_the_wire_it_is_to_be_shared():
    end = a_terminal(wire="1 mm2")
    (must,) = musts(chosen(24.0, ends=(end,), ambient_c={"underfloor": 30.0}))
    assert must.more == "; share its load among several circuits, each with a fuse that protects it"


def test_the_size_of_a_wire_behind_a_connector_is_asked_for():
    end = a_terminal(kind=TerminalKind.CONNECTOR)
    asked = [each for each in chosen(8.0, ends=(end,)).findings if "nobody said how thick" in each.fact]
    assert [(each.severity, "wire: 1.5 mm2" in each.more) for each in asked] == [(Severity.NOTE, True)]
    told = chosen(8.0, ends=(replace(end, wire="2.5 mm2"),))
    assert not any("nobody said how thick" in each.fact for each in told.findings)


def test_more_than_a_feeding_wire_carries_is_a_must():
    """1.5 mm2 as 16 AWG carries 25 A at 30 degC: 25 A may be taken from it, 25.1 A not."""
    from_wire = replace(BENCH, terminals=(replace(BENCH.terminals[0], wire="1.5 mm2"),))
    cool = {"underfloor": 30.0}
    for load_a, count in ((25.0, 0), (25.1, 1)):
        job = a_circuit_job(*supply_and_earth(load_a), ambient_c=cool, drop=WIDE)
        found = musts(choose(job, 2000.0, profile=from_wire))
        assert [each.kind for each in found] == [FindingKind.AMPACITY] * count
