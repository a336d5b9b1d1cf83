"""What the judgement of a circuit finds is what Kirchhoff's laws say it does, on thousands of random jobs.

Sound jobs have nothing to find; a planted short, an unprotected source and an open load are each found. What
is planted is first confirmed by a solver that knows nothing of the package (tests/support/circuit_solver.py).
"""

from __future__ import annotations

from random import Random

import pytest
from circuit_jobs import Circuit, plant_open, plant_short, plant_unprotected, sound_circuit
from circuit_solver import dead_loads, is_shorted, unprotected
from small_vehicle import default_practice

from router.conductors import circuit_findings
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


def test_in_a_sound_job_nothing_is_found() -> None:
    assert_nothing_is_found(range(2 * FEW))


def test_every_planted_short_is_found() -> None:
    assert_shorts_are_found(range(FEW))


def test_every_unprotected_source_is_found() -> None:
    assert_unprotected_are_found(range(FEW))


def test_every_open_load_is_found() -> None:
    assert_open_loads_are_found(range(FEW))


@pytest.mark.study
def test_nothing_is_found_in_two_thousand_sound_jobs() -> None:
    assert_nothing_is_found(range(10_000, 10_000 + 4 * MANY))


@pytest.mark.study
def test_every_one_of_five_hundred_planted_faults_is_found() -> None:
    assert_shorts_are_found(range(20_000, 20_000 + MANY))
    assert_unprotected_are_found(range(30_000, 30_000 + MANY))
    assert_open_loads_are_found(range(40_000, 40_000 + MANY))
