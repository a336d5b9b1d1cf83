"""What joints resist, by the size of their conductor. Expected figures by hand; IEC 60228 class 5."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import a_circuit_job, by_name, choose, supply_and_earth

from router.model.job import Series

COOL = {("conductor", "self-heating"): 0.0, ("conductor", "body return"): 0.0, ("fuse", "own drop"): 0.0}
WARMTH = (234.5 + 30) / 254.5
"""Resistance of copper at 30 degC over that at 20 degC."""


def earth_of(size: str, load_a: float, practice: dict[tuple[str, str], float] | None = None) -> float:
    """Return what an earth of 1 m in a size loses from end to end, joints included, in V."""
    runs = supply_and_earth(load_a, size=size, earth_size=size, fuse=None)
    job = a_circuit_job(*runs, series=Series.IEC, drop=1.0)
    return by_name(choose(job, 1000.0, practice={**COOL, **(practice or {})}))["earth"].own_drop_v


@pytest.mark.parametrize(
    ("size", "load_a", "mohm_per_m", "joint_mohm"),
    [
        ("2.5 mm2", 10.0, 7.98, 1.0576),  # 0.1 + 0.12 x 7.98
        ("16 mm2", 60.0, 1.21, 0.2452),  # 0.1 + 0.12 x 1.21
        ("50 mm2", 150.0, 0.386, 0.14632),  # 0.1 + 0.12 x 0.386
    ],
)
def test_a_joint_resists_a_contact_and_a_length_of_its_own_conductor(size, load_a, mohm_per_m, joint_mohm):
    by_hand_v = load_a * (mohm_per_m * WARMTH + 2 * joint_mohm) / 1000
    assert earth_of(size, load_a) == pytest.approx(by_hand_v, rel=1e-9)


def test_a_shop_says_otherwise():
    """Twice the length: 0.1 + 0.24 x 0.386 mohm."""
    more_v = earth_of("50 mm2", 150.0, {("conductor", "crimp length"): 240.0}) - earth_of("50 mm2", 150.0)
    assert more_v == pytest.approx(150 * 2 * 0.12 * 0.386 / 1000, rel=1e-9)


def test_what_the_job_measured_is_all_that_a_joint_resists():
    runs = supply_and_earth(10.0, size="2.5 mm2", earth_size="2.5 mm2", fuse=None)
    job = a_circuit_job(*runs, series=Series.IEC, drop=1.0)
    measured = replace(job, source=replace(job.source, joint_ohm=0.0004))
    found = by_name(choose(measured, 1000.0, practice=COOL))["earth"]
    assert found.own_drop_v == pytest.approx(10 * (7.98 * WARMTH + 2 * 0.4) / 1000, rel=1e-9)
    (drop,) = [each.what for each in found.reasons if each.what.startswith("drop to")]
    assert "counted as" not in drop


def test_the_sheet_says_what_a_joint_counts():
    job = a_circuit_job(*supply_and_earth(9.0), series=Series.IEC)
    reasons = [each.what for each in by_name(choose(job, 5000.0))["supply"].reasons]
    assert any("each joint counted as 120 mm of it" in each for each in reasons)


def test_thick_cables_are_not_refused_for_joints_that_are_as_large_as_they():
    """100 A over 1 m and back in 50 mm2: by 1 mohm a joint, six of them would lose 0.6 V of the 0.36 V."""
    job = a_circuit_job(*supply_and_earth(100.0), series=Series.IEC)
    found = choose(job, 1000.0, practice={("conductor", "body return"): 0.0})
    assert by_name(found)["supply"].drop_v <= 0.36


def test_chosen_sizes_keep_to_the_limit_with_their_joints():
    """3 % of 12 V."""
    job = a_circuit_job(*supply_and_earth(25.0), series=Series.IEC)
    found = by_name(choose(job, 300.0))
    assert found["supply"].decided_by == "drop"
    assert found["supply"].drop_v <= 0.36 * (1 + 1e-9)
