"""33 CFR 183.425 Table 5 and its notes.

Source: Code of Federal Regulations, Title 33 Navigation and Navigable Waters, Part 183 Boats and Associated
Equipment, Subpart I Electrical Systems, section 183.425 Conductors: General, Table 5 "Allowable Amperage of
Conductors" with notes 1 (engine spaces) and 2 (bundling), annual edition of 2015. Public domain.
"""

from __future__ import annotations

import pytest
from conductor_cases import a_circuit_job, by_name, choose, fuse_of, supply_and_earth

from router.conductors.ampacity import (
    ambient_factor,
    bundling_factor,
    engine_space_factor,
    is_least_size,
    table_value,
)
from router.conductors.cable_sizes import size_named
from router.conductors.resistance import awg_area_mm2
from router.errors import NoConductorError
from router.model.job import Fuse, Series

CLASSES_C = (60, 75, 80, 90, 105, 125, 200)
TABLE_5 = """
  18  10  10  15  20  20  25  25
  16  15  15  20  25  25  30  35
  14  20  20  25  30  35  40  45
  12  25  25  35  40  45  50  55
  10  40  40  50  55  60  70  70
   8  55  65  70  70  80  90 100
   6  80  95 100 100 120 125 135
   4 105 125 130 135 160 170 180
   3 120 145 150 155 180 195 210
   2 140 170 175 180 210 225 240
   1 165 195 210 210 245 265 280
   0 195 230 245 245 285 305 325
  00 225 265 285 285 330 355 370
 000 260 310 330 330 385 410 430
0000 300 360 385 385 445 475 510
"""
NOTE_1 = {60: 0.58, 75: 0.75, 80: 0.78, 90: 0.82, 105: 0.85, 125: 0.89, 200: 1.00}
NOTE_2 = {1: 1.0, 2: 1.0, 3: 0.70, 4: 0.60, 6: 0.60, 7: 0.50, 24: 0.50, 25: 0.40, 40: 0.40}


def cells() -> list[tuple[str, int, int]]:
    rows = [line.split() for line in TABLE_5.strip().splitlines()]
    return [(row[0], c, int(a)) for row in rows for c, a in zip(CLASSES_C, row[1:], strict=True)]


def number_of(gauge: str) -> int:
    return 1 - len(gauge) if set(gauge) == {"0"} else int(gauge)


def test_the_copy_has_all_of_the_table():
    assert len(cells()) == 15 * 7


@pytest.mark.parametrize(("gauge", "class_c", "amperes"), cells())
def test_every_cell_of_table_5(gauge, class_c, amperes):
    value = table_value(awg_area_mm2(number_of(gauge)), class_c)
    assert value is not None
    assert value.amperes == amperes
    assert value.ambient_c == 30


@pytest.mark.parametrize(("class_c", "factor"), NOTE_1.items())
def test_note_1_engine_spaces(class_c, factor):
    assert engine_space_factor(class_c) == factor


@pytest.mark.parametrize("class_c", [60, 75, 80, 90, 105, 125])
def test_note_1_is_the_ambient_formula_at_50_degc(class_c):
    assert ambient_factor(class_c, 50.0) == pytest.approx(NOTE_1[class_c], abs=0.007)


def test_note_1_at_200_degc_is_no_formula():
    assert ambient_factor(200, 50.0) == pytest.approx(0.94, abs=0.005)


@pytest.mark.parametrize(("count", "factor"), NOTE_2.items())
def test_note_2_bundling(count, factor):
    assert bundling_factor(count) == factor


@pytest.mark.parametrize(
    ("size", "in_sheath", "is_allowed"),
    [
        ("16 AWG", False, True),
        ("18 AWG", False, False),
        ("18 AWG", True, True),
        ("20 AWG", True, False),
        ("1.5 mm2", False, True),  # 16 AWG is 1.31 mm2
        ("1 mm2", False, False),
        ("1 mm2", True, True),  # 18 AWG is 0.82 mm2
        ("0.75 mm2", True, False),
    ],
)
def test_least_sizes(size, in_sheath, is_allowed):
    assert is_least_size(size_named(size, Series.METRIC), is_in_sheath=in_sheath) is is_allowed


def test_10_awg_105_degc_in_an_engine_space_carries_51_a():
    job = a_circuit_job(
        *supply_and_earth(20.0, size="10 AWG", earth_size="10 AWG"),
        series=Series.AWG,
        ambient_c={"engine bay": 50.0},
    )
    choice = by_name(choose(job, 1000.0, spaces={"engine bay": 1.0}))["supply"]
    assert choice.ampacity_a == pytest.approx(60 * 0.85, rel=1e-12)


@pytest.mark.parametrize(
    ("load_a", "share", "rating_a"),
    [
        (40.0, 1.0, 50.0),  # 40 x 1.25 = 50 A, no more than 51 A: the stricter rule
        (51.0, 1.5, 70.0),  # 63.75 A: within 150 % of 51 A, and within the law's 150 % of 60 A = 90 A
    ],
)
def test_fuse_over_10_awg_in_an_engine_space(load_a, share, rating_a):
    assert fuse_of(choose_in_engine_space(load_a, share)).rating_a == rating_a


@pytest.mark.parametrize(
    ("load_a", "share"),
    [
        (41.0, 1.0),  # 51.25 A is over 51 A
        (62.0, 1.5),  # 77.5 A: within the law's 90 A, not within 150 % of 51 A
    ],
)
def test_no_fuse_over_10_awg_in_an_engine_space(load_a, share):
    with pytest.raises(NoConductorError, match="no fuse fits"):
        choose_in_engine_space(load_a, share)


def choose_in_engine_space(load_a, share):
    runs = supply_and_earth(load_a, size="10 AWG", earth_size="10 AWG", fuse=Fuse(None))
    job = a_circuit_job(*runs, series=Series.AWG, ambient_c={"engine bay": 50.0}, drop=0.5)
    practice = {("fuse", "share of ampacity"): share}
    return choose(job, 1000.0, spaces={"engine bay": 1.0}, practice=practice)
