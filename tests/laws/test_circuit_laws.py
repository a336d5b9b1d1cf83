"""What the judgement of a circuit finds is what Kirchhoff's laws say it does, on thousands of random jobs.

Sound jobs have nothing to find; a planted short, an unprotected source and an open load are each found. What
is planted is first confirmed by a solver that knows nothing of the package (tests/support/circuit_solver.py).
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from circuit_jobs import (
    Circuit,
    plant_crossed,
    plant_joined,
    plant_open,
    plant_short,
    plant_unprotected,
    sound_circuit,
)
from circuit_solver import dead_loads, is_shorted, let_through_a, unprotected
from conductor_cases import choose
from small_vehicle import default_practice

from router.conductors import circuit_findings
from router.model.job import Limits
from router.model.plan import Finding, Severity

FURTHEST_MM, PIGTAIL_MM = 72 * 25.4, 7 * 25.4
"""ABYC E-11 at a battery; 33 CFR 183.455(b) and (e)."""
FEW, MANY = 60, 500


def judged(circuit: Circuit) -> tuple[Finding, ...]:
    job, profile = circuit.job_and_profile()
    return circuit_findings(job, profile, default_practice(), circuit.length_mm)


def planted(seed: int, plant) -> tuple[Circuit, str]:
    """Return a sound job with a fault planted in it, and how."""
    rng = Random(seed)
    circuit = sound_circuit(rng)
    return circuit, plant(circuit, rng)


def assert_nothing_is_found(seeds: range) -> None:
    for seed in seeds:
        circuit = sound_circuit(Random(seed))
        assert not is_shorted(circuit)
        assert not dead_loads(circuit)
        assert not unprotected(circuit, FURTHEST_MM, PIGTAIL_MM)
        found = [f.what for f in judged(circuit) if f.kind != "no load"]  # spare wires have none
        assert found == [], seed


def assert_shorts_are_found(seeds: range) -> None:
    for seed in seeds:
        circuit, how = planted(seed, plant_short)
        assert is_shorted(circuit), (seed, how)
        found = [finding for finding in judged(circuit) if finding.kind == "dead short"]
        assert found, (seed, how)
        assert {finding.severity for finding in found} == {Severity.MUST}


def assert_unprotected_are_found(seeds: range) -> None:
    for seed in seeds:
        circuit, how = planted(seed, plant_unprotected)
        missing = unprotected(circuit, FURTHEST_MM, PIGTAIL_MM)
        assert missing, (seed, how)
        found = [f for f in judged(circuit) if (f.kind, f.severity) == ("no fuse", Severity.MUST)]
        for _, name in missing:
            assert any(name in finding.fact for finding in found), (seed, how, name)


def assert_open_loads_are_found(seeds: range) -> None:
    for seed in seeds:
        circuit, how = planted(seed, plant_open)
        dead = dead_loads(circuit)
        assert dead, (seed, how)
        found = [f for f in judged(circuit) if f.kind in ("no feed", "no return", "broken return")]
        for name in dead:
            assert any(name in finding.fact for finding in found), (seed, how, name)


def assert_crossed_batteries_are_found(seeds: range) -> None:
    """One finding says it, and nothing else is said of what is crossed."""
    for seed in seeds:
        circuit, how = planted(seed, plant_crossed)
        assert is_shorted(circuit), (seed, how)
        musts = [f for f in judged(circuit) if f.severity is Severity.MUST]
        assert [f.kind for f in musts] == ["dead short"], (seed, how, [f.what for f in musts])
        assert "link 99 ends on battery 99 negative, which is a minus" in musts[0].what
        assert "end link 99 on battery 99 positive" in musts[0].what


def assert_joined_fuses_add_up(seeds: range) -> None:
    """What is said to reach a thin conductor behind a joint is what the max flow through all fuses is."""
    for seed in seeds:
        circuit, how = planted(seed, plant_joined)
        job, profile = circuit.job_and_profile()
        job = replace(job, limits=Limits(0.9, {"underfloor": 30.0}))
        answer = choose(job, circuit.length_mm, profile=profile)
        through_a = let_through_a(circuit, "bus", "thin")
        words = f"let {through_a:.4g} A through to thin in 0.5 mm2"
        found = [f.what for f in answer.findings if words in f.what and f.severity is Severity.MUST]
        assert len(found) == 1, (seed, how, words, [f.what for f in answer.findings])
        earth = next(each for each in answer.conductors if each.name == "thin back")
        assert earth.ampacity_a >= through_a


def test_in_a_sound_job_nothing_is_found() -> None:
    assert_nothing_is_found(range(2 * FEW))


def test_every_planted_short_is_found() -> None:
    assert_shorts_are_found(range(FEW))


def test_every_unprotected_source_is_found() -> None:
    assert_unprotected_are_found(range(FEW))


def test_every_open_load_is_found() -> None:
    assert_open_loads_are_found(range(FEW))


def test_every_crossed_battery_is_found_once() -> None:
    assert_crossed_batteries_are_found(range(FEW))


def test_the_fuses_of_supplies_that_meet_add_up() -> None:
    assert_joined_fuses_add_up(range(FEW))


@pytest.mark.study
def test_nothing_is_found_in_two_thousand_sound_jobs() -> None:
    assert_nothing_is_found(range(10_000, 10_000 + 4 * MANY))


@pytest.mark.study
def test_every_one_of_five_hundred_planted_faults_is_found() -> None:
    assert_shorts_are_found(range(20_000, 20_000 + MANY))
    assert_unprotected_are_found(range(30_000, 30_000 + MANY))
    assert_open_loads_are_found(range(40_000, 40_000 + MANY))
    assert_crossed_batteries_are_found(range(50_000, 50_000 + MANY))
    assert_joined_fuses_add_up(range(60_000, 60_000 + MANY))
