"""46 CFR 183.340(p): conductor sizes for a drop of 10 % at 12 V.

Source: Code of Federal Regulations, Title 46 Shipping, Part 183 Electrical Installation, Subpart C, section
183.340(p), table of conductor sizes for 12 V, 10 % drop, by current and by length from the source to the
most distant fixture, annual edition of 2015. Public domain. Its formula has K = 10.75 ohm circular mil /
ft; the metric K that it prints (3.28) is the number of feet in a metre and no K at all, so nothing is
tested against it.

The table's own floors are those of the rule set "law": no size under 14 AWG, as paragraph (c) asks of power
and lighting circuits, and the small-conductor limits of NEC (NFPA 70) 240.4(D), 20 A on 12 AWG and 30 A on
10 AWG at most. The sizes of the table are held against that rule set as it stands, with copper at the
temperature of its K.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import a_circuit_job, by_name, choose, supply_and_earth
from small_vehicle import a_conductor, a_run

from router.conductors.resistance import awg_area_mm2, resistance_ohm_per_m
from router.model.job import Series
from router.model.practice import Practice
from router.reading import read_practice

FEET = (10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60)
TABLE = """
 5 14 14 14 14 14 14 14 14 12 12 12
10 14 14 14 12 12 12 10 10 10 10  8
15 14 14 12 10 10 10  8  8  8  8  8
20 12 12 10 10  8  8  8  8  6  6  6
25 10 10 10  8  8  8  6  6  6  6  4
"""
K_AT_20C = 10.371
STRANDING = 1.02


def cells() -> list[tuple[int, int, int]]:
    rows = [[int(word) for word in line.split()] for line in TABLE.strip().splitlines()]
    return [(row[0], feet, gauge) for row in rows for feet, gauge in zip(FEET, row[1:], strict=True)]


def copper_c_for(k: float) -> float:
    """Return the temperature at which stranded copper has this K."""
    return (k / (K_AT_20C * STRANDING)) * 254.5 - 234.5


def law(**changes: float) -> Practice:
    """Return the rule set "law" with other values for some keys of its group "conductor"."""
    rules = read_practice("law")
    changed = {("conductor", key.replace("_", " ")): value for key, value in changes.items()}
    changed[("fuse", "own drop")] = 0.0
    held = {name: replace(rule, value=changed.get(name, rule.value)) for name, rule in rules.rules.items()}
    return replace(rules, rules=held)


def chosen_gauge(current_a: int, feet: int, practice: Practice) -> int:
    temperature_c = copper_c_for(10.75)
    runs = supply_and_earth(float(current_a), fuse=None)
    job = a_circuit_job(*runs, series=Series.AWG, drop=0.10, ambient_c={"underfloor": temperature_c})
    size = by_name(choose(job, feet * 304.8, practice=practice))["supply"].size
    return int(size.removesuffix(" AWG"))


def test_the_copy_has_55_cells():
    assert len(cells()) == 55


@pytest.mark.parametrize(("current_a", "feet", "gauge"), cells())
def test_every_cell(current_a, feet, gauge):
    bare = law(**{"self-heating": 0.0, "connection": 0.0, "crimp length": 0.0, "body return": 0.0})
    assert chosen_gauge(current_a, feet, bare) == gauge


@pytest.mark.parametrize(("current_a", "feet", "gauge"), cells())
def test_no_cell_is_thinner_with_joints_and_warm_copper(current_a, feet, gauge):
    assert chosen_gauge(current_a, feet, law()) <= gauge


def test_law_asks_for_14_awg_in_a_sheath_too():
    """Paragraph (c): conductors in power and lighting circuits must be 14 AWG or larger."""
    lamps = tuple(a_conductor(f"lamp {n}", load_a=0.5) for n in range(3))
    job = a_circuit_job(a_run("lead", conductors=lamps), series=Series.AWG)
    assert {choice.size for choice in choose(job, 500.0, practice=law()).conductors} == {"14 AWG"}
    named = a_circuit_job(
        a_run("lamp", conductors=(a_conductor(load_a=0.5, size="16 AWG"),)), series=Series.AWG
    )
    (finding,) = [each for each in choose(named, 500.0, practice=law()).findings if each.kind == "least size"]
    assert finding.required == "14 AWG"
    assert finding.rule is not None
    assert "46 CFR 183.340(c)" in finding.rule.source


def test_k_of_10_75_is_solid_copper_at_29_3_degc():
    ohm_per_ft = resistance_ohm_per_m(awg_area_mm2(10), copper_c=29.3) * 0.3048
    circular_mils = (92 ** ((36 - 10) / 39) * 5) ** 2
    assert ohm_per_ft * circular_mils == pytest.approx(10.75, rel=5e-4)
