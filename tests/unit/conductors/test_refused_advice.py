"""What a refusal advises: never what the load does not bear, never too little; what limits is told at once.

A drop beyond 10 % is offered nobody (46 CFR 183.340(p)); what an inverter leaves of its source is Kirchhoff's
voltage law; the rest is a rule of the trade. Expected values by hand.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from conductor_cases import a_circuit_job, a_return, choose, of_fuses, supply_and_earth
from small_vehicle import a_conductor, a_run

from router.errors import NoConductorError
from router.model.job import Duty, Fuse, Inverter, Job, LoadKind, Series
from router.reading.job.insulation_words import insulation_class_c
from router.tables import SAE, insulation_key


def refusal(job: Job, length_mm: float = 3000.0) -> str:
    with pytest.raises(NoConductorError) as refused:
        choose(job, length_mm)
    return refused.value.why


def inverter_job(lowest_v: float, drop: float) -> Job:
    """Return 1000 W / 0.85 / 10.5 V = 112 A, whatever its lowest voltage is said to be."""
    supply, earth = supply_and_earth(112.0)
    conductor = replace(supply.conductors[0], inverter=Inverter(1000.0, 0.85, lowest_v))
    return a_circuit_job(replace(supply, conductors=(conductor,)), earth, drop=drop, insulation_c=125.0)


def offered_percent(why: str) -> float | None:
    found = re.search(r"limits: drop: ([\d.]+) %", why)
    return float(found[1]) if found else None


def test_no_drop_above_ten_percent_is_offered() -> None:
    """The body's 5 mohm and a fuse's 0.1 V: 60 A lose 0.4 V at least, 3.3 %; 240 A 1.3 V, 10.8 %."""
    little, much = (
        refusal(a_circuit_job(*supply_and_earth(load_a), insulation_c=125.0), 1000.0)
        for load_a in (60.0, 240.0)
    )
    assert offered_percent(little) is not None
    assert offered_percent(much) is None
    assert "joints and body measured at no more than source: {joint:" in much


def test_no_drop_is_offered_with_which_an_inverter_switches_off() -> None:
    """112 A lose 0.56 V in the body and 0.1 V in the fuse: 12.6 V less that is below 12 V, and above 10.5."""
    assert offered_percent(refusal(inverter_job(12.0, 0.04), 200.0)) is None
    assert offered_percent(refusal(inverter_job(10.5, 0.04), 200.0)) is not None


def test_a_drop_that_the_job_allows_and_the_inverter_does_not_is_no_limit() -> None:
    """12.6 V less 12 V is 0.6 V, and 0.66 V are lost at least; 15 % of 12 V are 1.8 V."""
    why = refusal(inverter_job(12.0, 0.15), 200.0)
    assert "the limit is 0.6 V (so that its inverter has its lowest, 12 V, of the 12.6 V" in why
    assert choose(inverter_job(10.5, 0.15), 200.0)


def test_a_load_of_less_than_half_is_another_unit_and_no_advice() -> None:
    """0.36 V less the fuse's 0.1 V over 5 mohm of the body: 52 A at most, of 140 A."""
    why = refusal(a_circuit_job(*supply_and_earth(140.0), insulation_c=125.0), 1000.0)
    assert "a load of" not in why


def test_what_limits_at_once_is_told_at_once_and_no_place_twice() -> None:
    """450 A are more than 120 mm2 carries and lose more than 3 %; two conductors have one reason."""
    why = refusal(a_circuit_job(*supply_and_earth(450.0, fuse=None)), 3000.0)
    assert "drop: the limit is 0.36 V" in why
    assert why.count("450 A is asked") == 1
    assert 'run "supply", conductor "supply" and run "earth", conductor "earth": ampacity' in why


def test_a_loop_that_is_too_long_is_told_to_be_shorter_and_one_of_joints_is_not() -> None:
    """Of 0.36 V, 140 A lose 0.7 V in the body, however short; 9 A 0.045 V."""
    assert "a shorter route" in refusal(a_circuit_job(*supply_and_earth(9.0)), 200_000.0)
    assert "a shorter route" not in refusal(
        a_circuit_job(*supply_and_earth(140.0), insulation_c=125.0), 1000.0
    )


def test_the_worst_load_is_told_in_full_and_the_others_by_name() -> None:
    supply = a_run("supply", conductors=(a_conductor("supply", load_a=9.0),), fuse=Fuse(None))
    other = a_run("other", conductors=(a_conductor("other", load_a=3.0),), fuse=Fuse(None))
    earth = a_run("earth", "unit", "stud", conductors=(a_return("earth", "supply", "other"),))
    why = refusal(a_circuit_job(supply, other, earth), 300_000.0)
    assert why.startswith('run "supply", conductor "supply": drop')
    assert why.endswith("; besides, other lose too much")


@pytest.mark.parametrize(("series", "key"), [(Series.METRIC, "class C"), (Series.SAE, "GXL")])
def test_the_key_that_a_refusal_names_is_one_that_a_job_may_have_and_would_do(
    series: Series, key: str
) -> None:
    """At 110 degC a class of 100 or 85 degC carries nothing; 125 degC is the next that does."""
    job = a_circuit_job(
        *supply_and_earth(1.0), ambient_c={"underfloor": 110.0}, series=series, insulation_c=85.0
    )
    assert f"would do: write insulation: {key}" in refusal(job, 500.0)
    assert choose(replace(job, insulation_c=insulation_class_c(key)), 500.0)
    assert insulation_key(150.0, SAE) == "insulation: 150 degC"  # none of SAE-marked cable


def winch(fuse: Fuse | None, kind: LoadKind | None) -> Job:
    runs = supply_and_earth(400.0, fuse=fuse, duty=Duty.INTERMITTENT, kind=kind)
    job = a_circuit_job(*runs, drop=0.1, insulation_c=125.0)
    return replace(job, source=replace(job.source, joint_ohm=0.0001, body_ohm=0.0003))


def test_a_winch_follows_either_advice_of_its_refusal() -> None:
    """400 A x 2 is above the 500 A of the largest fuse; nobody shares a winch."""
    why = refusal(winch(Fuse(None), LoadKind.MOTOR))
    assert "counts 800 A" in why
    assert "share the load" not in why
    assert "fuse: 400 A" in why and "leave kind: motor out" in why
    for job in (winch(Fuse(400.0), LoadKind.MOTOR), winch(Fuse(None), None)):
        assert of_fuses(choose(job, 3000.0)) == [400.0]
