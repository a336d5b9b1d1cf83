"""A published trailer lead has its own areas: what they do not bear is told, and where to gain it.

ISO 11446-1:2012: 1.5 mm2 for stop (pin 6), 2.5 mm2 for the permanent supply (pin 9) and its return (pin 13).
33 CFR 183.425 Table 5, 105 degC column: 14 AWG, the nearest with no more copper than 2.5 mm2, carries 35 A.
"""

from dataclasses import replace

from conductor_cases import a_circuit_job, choose
from small_vehicle import a_conductor, a_run

from router.model.job import Fuse
from router.model.plan import FindingKind, Severity


def a_trailer(*, load_a, fuse_a=None, supply_size=None, drop=0.1, lead_mm=1500.0, size=None, limit_a=None):
    """Return what is chosen for a 13-pin lead of one load behind a unit, and its findings."""
    supply = a_conductor("supply", load_a=0.05, size=supply_size)
    earth = a_conductor("earth", load_a=0.0, returns=("supply", "back"), size=supply_size)
    box = a_conductor("box", load_a=load_a, fed_by="supply", function="permanent supply", size=size)
    back = a_conductor("back", load_a=0.0, returns=("box",), function="return for pin 9", size=size)
    lead = a_run("socket lead", "unit", "socket", conductors=(replace(box, output_limit_a=limit_a), back))
    job = a_circuit_job(
        a_run("supply", conductors=(supply,), fuse=Fuse(fuse_a)),
        replace(lead, lead="13-pin"),
        a_run("earth", "unit", "rear earth stud", conductors=(earth,)),
        drop=drop,
    )
    chosen = choose(job, {"supply": 4000.0, "socket lead": lead_mm, "earth": 300.0})
    return {each.name: each for each in chosen.conductors}, chosen.findings


def of_lead(found, kind):
    """Return the findings of a kind about the lead's run."""
    return [each for each in found if each.kind is kind and each.run == "socket lead"]


def test_a_lead_that_its_own_areas_are_enough_for_is_let_through():
    sizes, found = a_trailer(load_a=5.0, fuse_a=10.0)
    assert (sizes["box"].size, sizes["back"].size) == ("2.5 mm2", "2.5 mm2")
    assert not [each for each in found if each.run == "socket lead"]


def test_a_fuse_too_large_for_a_core_is_a_must_and_a_smaller_one_is_not():
    sizes, found = a_trailer(load_a=5.0, fuse_a=40.0)
    (finding,) = of_lead(found, FindingKind.FUSE)
    assert sizes["box"].size == "2.5 mm2"
    assert finding.severity is Severity.MUST
    assert finding.fact.startswith("a 40 A fuse does not protect box, back of the 13-pin cable (2.5 mm2)")
    assert "smaller fuses" in finding.more
    assert of_lead(a_trailer(load_a=5.0, fuse_a=30.0)[1], FindingKind.FUSE) == []  # below the 35 A


def test_an_output_that_its_unit_limits_needs_no_smaller_fuse():
    assert of_lead(a_trailer(load_a=5.0, fuse_a=40.0, limit_a=8.0)[1], FindingKind.FUSE) == []
    assert of_lead(a_trailer(load_a=5.0, fuse_a=40.0, limit_a=38.0)[1], FindingKind.FUSE)


def test_an_output_that_lets_less_through_than_its_load_is_a_must():
    (finding,) = of_lead(a_trailer(load_a=5.0, fuse_a=10.0, limit_a=4.0)[1], FindingKind.FUSE)
    assert finding.severity is Severity.MUST
    assert finding.fact == "the unit lets 4 A through to box, which carries 5 A"


def test_too_great_a_drop_tells_the_thickness_that_gains_it():
    _, found = a_trailer(load_a=12.0, fuse_a=15.0, drop=0.06, supply_size="2.5 mm2")
    (finding,) = of_lead(found, FindingKind.DROP)
    size = finding.more.split("supply and earth at ")[1].split(",")[0]
    assert finding.severity is Severity.MUST
    assert (
        of_lead(a_trailer(load_a=12.0, fuse_a=15.0, drop=0.06, supply_size=size)[1], FindingKind.DROP) == []
    )


def test_too_great_a_drop_tells_how_much_nearer_the_unit_has_to_be():
    _, found = a_trailer(load_a=12.0, fuse_a=15.0, drop=0.1, lead_mm=8000.0, supply_size="50 mm2")
    (finding,) = of_lead(found, FindingKind.DROP)
    left_m = float(finding.more.split("a lead cut to ")[1].split(" m)")[0])
    near = {"load_a": 12.0, "fuse_a": 15.0, "drop": 0.1, "supply_size": "50 mm2"}
    assert of_lead(a_trailer(**near, lead_mm=1000 * left_m)[1], FindingKind.DROP) == []
    assert of_lead(a_trailer(**near, lead_mm=1000 * left_m + 400.0)[1], FindingKind.DROP)


def test_copper_before_the_lead_makes_up_for_it_where_it_can():
    sizes, found = a_trailer(load_a=12.0, fuse_a=15.0, drop=0.06)
    short, _ = a_trailer(load_a=12.0, fuse_a=15.0, drop=0.06, lead_mm=200.0)
    assert of_lead(found, FindingKind.DROP) == []
    assert sizes["supply"].area_mm2 > short["supply"].area_mm2


def test_another_size_that_the_job_names_is_told_and_gone_without_it():
    _, found = a_trailer(load_a=5.0, fuse_a=10.0, size="6 mm2")
    (finding,) = of_lead(found, FindingKind.CONDUCTOR)
    assert "names 6 mm2, which is not sold so" in finding.fact
    assert "leave the size out" in finding.more
