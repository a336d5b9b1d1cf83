"""ASTM B258: American wire gauge.

Source: ASTM B258, Standard Specification for Standard Nominal Diameters and Cross-Sectional Areas of AWG
Sizes of Solid Round Wires Used as Electrical Conductors: d = 0.005 in x 92^((36 - n) / 39), No. 36 = 0.0050
in, No. 0000 = 0.4600 in; four-figure circular mils as in NBS Handbook 100, Copper Wire Tables (1966), and
ohm per 1000 ft at 20 degC by 100 % IACS copper (IEC 60028: 1/58 ohm mm2/m).
"""

from __future__ import annotations

import math

import pytest

from router.conductors.cable_sizes import size_named, sizes_of
from router.conductors.resistance import CIRCULAR_MIL_MM2, awg_area_mm2, resistance_ohm_per_m
from router.model.job import Series

ROWS = [  # number, diameter in mm, circular mils, ohm per 1000 ft
    (24, 0.5106, 404.0, 25.67),
    (22, 0.6438, 642.4, 16.14),
    (20, 0.8118, 1_021.5, 10.15),
    (18, 1.0237, 1_624.3, 6.385),
    (16, 1.2908, 2_582.7, 4.016),
    (14, 1.6277, 4_106.7, 2.525),
    (12, 2.0525, 6_529.9, 1.588),
    (10, 2.5882, 10_383, 0.9988),
    (8, 3.2636, 16_510, 0.6282),
    (6, 4.1154, 26_251, 0.3951),
    (4, 5.1894, 41_741, 0.2485),
    (3, 5.8273, 52_635, 0.1970),
    (2, 6.5437, 66_371, 0.1563),
    (1, 7.3481, 83_693, 0.1239),
    (0, 8.2515, 105_535, 0.0983),
    (-1, 9.2658, 133_077, 0.0779),
    (-3, 11.684, 211_600, 0.0490),
]


@pytest.mark.parametrize(("number", "diameter_mm", "circular_mils", "ohm_per_kft"), ROWS)
def test_every_row(number, diameter_mm, circular_mils, ohm_per_kft):
    area_mm2 = awg_area_mm2(number)
    assert math.sqrt(4 * area_mm2 / math.pi) == pytest.approx(diameter_mm, rel=5e-4)
    assert area_mm2 / CIRCULAR_MIL_MM2 == pytest.approx(circular_mils, rel=5e-4)
    four_figures = max(5e-4, 0.00005 / ohm_per_kft)  # the last printed digit
    assert resistance_ohm_per_m(area_mm2) * 304.8 == pytest.approx(ohm_per_kft, rel=four_figures)


@pytest.mark.parametrize(("number", "inches"), [(36, 0.0050), (-3, 0.4600)])
def test_anchors(number, inches):
    assert awg_area_mm2(number) == pytest.approx(math.pi / 4 * (inches * 25.4) ** 2, rel=1e-12)


def test_adjacent_sizes_differ_by_one_ratio():
    assert math.sqrt(awg_area_mm2(9) / awg_area_mm2(10)) == pytest.approx(1.1229322, rel=1e-7)


def test_the_series_has_any_size_from_24_to_4_0():
    assert [size.awg_number for size in sizes_of(Series.AWG)] == list(range(24, -4, -1))
    assert size_named("4/0 AWG", Series.AWG).area_mm2 == pytest.approx(107.22, rel=5e-4)


@pytest.mark.parametrize("number", [41, -4])
def test_no_such_number(number):
    with pytest.raises(ValueError, match="outside 40 to 4/0"):
        awg_area_mm2(number)
