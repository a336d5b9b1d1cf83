"""A load's current flows in a closed circuit only (Kirchhoff's current law): a gap in its way back is told.

Which circuits have a gap is plain from the terminals that their conductors join; no figure of ours is used.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import a_circuit_job, a_return, choose, supply_and_earth
from small_vehicle import a_conductor, a_run

from router.model.job import Job, Run
from router.model.plan import Finding, Severity


def broken(job: Job) -> list[Finding]:
    return [finding for finding in choose(job, 1000.0).findings if finding.kind == "broken return"]


def a_lamp(*backs: str, end: str = "unit") -> Run:
    lamp = a_conductor("lamp", load_a=1.0, fed_by="supply")
    returns = tuple(a_return(name, "lamp") for name in backs)
    return a_run("lamp", end, "rear lamp", conductors=(lamp, *returns))


def with_earth(*returns: str, lamp: Run) -> Job:
    supply, earth = supply_and_earth(5.0)
    (own,) = earth.conductors
    earth = replace(earth, conductors=(replace(own, returns=returns),))
    return a_circuit_job(supply, earth, lamp, drop=0.2)


def test_an_earth_that_begins_elsewhere_does_not_take_a_lamp_without_a_return() -> None:
    """The earth goes from the unit to a stud; from the lamp to the unit no conductor leads back."""
    (finding,) = broken(with_earth("supply", "lamp", lamp=a_lamp()))
    assert (finding.severity, finding.run) == (Severity.MUST, "lamp")
    assert "no current of lamp gets back from rear lamp" in finding.what
    assert "earth (unit to rear earth stud)" in finding.what
    assert 'says "returns: lamp"' in finding.what


@pytest.mark.parametrize("returns", [("supply", "lamp"), ("supply", "lamp return"), ("supply",)])
def test_a_return_that_an_earth_takes_on_is_closed(returns: tuple[str, ...]) -> None:
    """`returns: supply` brings back all that flows in the supply, the lamp that it feeds as well."""
    assert not broken(with_earth(*returns, lamp=a_lamp("lamp return")))


def test_a_return_that_nothing_takes_on_is_told_with_the_conductor_that_could() -> None:
    supply, earth = supply_and_earth(5.0)
    pump = a_run("pump", conductors=(a_conductor("pump", load_a=2.0),))
    earth = replace(earth, conductors=(replace(earth.conductors[0], returns=("pump",)),))
    job = a_circuit_job(supply, pump, earth, a_lamp("lamp return"), drop=0.2)
    (finding,) = broken(job)
    assert "lamp return ends at unit, and nothing takes it on there" in finding.what
    assert 'write lamp into "returns" of earth' in finding.what
    mended = replace(earth, conductors=(replace(earth.conductors[0], returns=("pump", "lamp")),))
    assert not broken(replace(job, runs=(supply, pump, mended, job.runs[3])))


def test_a_return_with_nothing_beside_it_is_told_to_go_on_to_an_earth() -> None:
    supply, _ = supply_and_earth(5.0)
    (finding,) = broken(a_circuit_job(supply, a_lamp("lamp return"), drop=0.2))
    assert 'add a conductor from unit to an earth that says "returns: lamp"' in finding.what


def test_an_earth_at_the_wrong_end_of_a_supply_is_a_gap_for_the_supply() -> None:
    supply, earth = supply_and_earth(5.0)
    assert not broken(a_circuit_job(supply, earth, drop=0.2))
    elsewhere = replace(earth, start="rear lamp")
    (finding,) = broken(a_circuit_job(supply, elsewhere, drop=0.2))
    assert finding.run == "supply"
    to_post = replace(elsewhere, start="unit", end="battery negative")
    job = a_circuit_job(supply, to_post, drop=0.2)
    assert not broken(replace(job, source=replace(job.source, negative_at="battery negative")))


def test_a_lead_fed_by_nothing_in_the_job_comes_back_to_where_its_feed_comes_from() -> None:
    cores = (a_conductor("stop", load_a=2.0), a_return("white", "stop"))
    assert not broken(a_circuit_job(a_run("lead", "trailer unit", "socket", conductors=cores), drop=0.2))
