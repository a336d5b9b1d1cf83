"""A published trailer lead has its own areas: who needs more is told, and where to gain it.

ISO 11446-1:2012: 1.5 mm2 for stop (pin 6), 2.5 mm2 for the permanent supply (pin 9) and its return (pin 13).
"""

from dataclasses import replace

from conductor_cases import a_circuit_job, choose
from small_vehicle import a_conductor, a_run

from router.model.job import Fuse
from router.model.plan import Severity


def a_trailer(*, load_a, fuse_a=None, supply_size=None, drop=0.05, metres=4.0, size=None):
    """Return what is chosen for a 13-pin lead of one load behind a unit, and its findings about the lead."""
    supply = a_conductor("supply", load_a=0.05, size=supply_size)
    earth = a_conductor("earth", load_a=0.0, returns=("supply", "back"), size=supply_size)
    stop = a_conductor("stop", load_a=load_a, fed_by="supply", function="permanent supply", size=size)
    back = a_conductor("back", load_a=0.0, returns=("stop",), function="return for pin 9", size=size)
    lead = a_run("socket lead", "unit", "socket", conductors=(stop, back))
    job = a_circuit_job(
        a_run("supply", conductors=(supply,), fuse=Fuse(fuse_a)),
        replace(lead, lead="13-pin"),
        a_run("earth", "unit", "rear earth stud", conductors=(earth,)),
        drop=drop,
    )
    chosen = choose(job, {"supply": metres * 1000, "socket lead": 1500.0, "earth": 300.0})
    found = [each for each in chosen.findings if "13-pin cable" in each.fact]
    return {each.name: each for each in chosen.conductors}, found


def test_a_lead_that_its_own_areas_are_enough_for_is_let_through():
    sizes, found = a_trailer(load_a=5.0, fuse_a=10.0, drop=0.1)
    assert (sizes["stop"].size, sizes["back"].size) == ("2.5 mm2", "2.5 mm2")
    assert found == []


def test_what_the_fuse_asks_for_is_told_and_gone_with_a_smaller_one():
    _, (finding,) = a_trailer(load_a=5.0, fuse_a=40.0, drop=0.1)
    assert finding.severity is Severity.SHOULD
    assert finding.fact.startswith("a 13-pin cable has 2.5 mm2 for permanent supply, return for pin 9")
    assert "smaller fuses" in finding.more
    assert a_trailer(load_a=5.0, fuse_a=10.0, drop=0.1)[1] == []


def test_what_the_drop_asks_for_is_told_and_gone_with_a_thicker_supply():
    _, (finding,) = a_trailer(load_a=12.0, fuse_a=15.0, drop=0.055, supply_size="4 mm2")
    assert "the voltage drop asks for that" in finding.more
    assert a_trailer(load_a=12.0, fuse_a=15.0, drop=0.055, supply_size="35 mm2")[1] == []


def test_what_the_job_names_is_told_and_gone_without_it():
    _, (finding,) = a_trailer(load_a=5.0, fuse_a=10.0, drop=0.1, size="6 mm2")
    assert "up to 6 mm2" in finding.fact
    assert "Leave the size out" in finding.more
