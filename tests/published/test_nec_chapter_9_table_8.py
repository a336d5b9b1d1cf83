"""NEC chapter 9 table 8: direct-current resistance at 75 degC.

Source: NFPA 70, National Electrical Code, chapter 9 table 8, copper, uncoated, ohm per 1000 ft, as quoted
in trade literature (two reprints); its notes name NBS Handbook 100, Copper Wire Tables (1966), as their
basis.
"""

from __future__ import annotations

import pytest

from router.conductors.cable_sizes import size_named
from router.conductors.resistance import awg_area_mm2, resistance_ohm_per_m
from router.model.job import Series

KFT_M = 304.8
SOLID = {18: 7.77, 16: 4.89, 14: 3.07, 12: 1.93, 10: 1.21, 8: 0.764}
STRANDED = {
    18: 7.95,
    16: 4.99,
    14: 3.14,
    12: 1.98,
    10: 1.24,
    8: 0.778,
    6: 0.491,
    4: 0.308,
    2: 0.194,
    1: 0.154,
}


@pytest.mark.parametrize(("number", "ohm_per_kft"), SOLID.items())
def test_solid(number, ohm_per_kft):
    found = resistance_ohm_per_m(awg_area_mm2(number), copper_c=75.0) * KFT_M
    assert found == pytest.approx(ohm_per_kft, rel=5e-3)


@pytest.mark.parametrize(("number", "ohm_per_kft"), STRANDED.items())
def test_sizes_of_the_awg_series_are_stranded(number, ohm_per_kft):
    size = size_named(f"{number} AWG", Series.AWG)
    at_75c = size.ohm_per_m * (1 + 0.00393 * 55)
    assert at_75c * KFT_M == pytest.approx(ohm_per_kft, rel=7e-3)
