"""IEC 60228: highest resistance of class 5 conductors.

Source: IEC 60228:2004, Conductors of insulated cables, table 3 (class 5 flexible copper conductors), plain
wires, highest resistance at 20 degC, ohm/km.
"""

from __future__ import annotations

import pytest

from router.conductors.cable_sizes import sizes_of
from router.model.job import Series

OHM_PER_KM = {
    0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30, 10.0: 1.91,
    16.0: 1.21, 25.0: 0.780, 35.0: 0.554, 50.0: 0.386, 70.0: 0.272, 95.0: 0.206, 120.0: 0.161,
}  # fmt: skip


def test_every_size_and_no_other():
    found = {size.area_mm2: size.ohm_per_m * 1000 for size in sizes_of(Series.IEC)}
    assert found == pytest.approx(OHM_PER_KM)


@pytest.mark.parametrize("area_mm2", [70.0, 95.0, 120.0])
def test_thick_metric_cable_has_the_resistance_of_class_5(area_mm2):
    found = {size.area_mm2: size.ohm_per_m * 1000 for size in sizes_of(Series.METRIC)}
    assert found[area_mm2] == pytest.approx(OHM_PER_KM[area_mm2])


@pytest.mark.parametrize("area_mm2", [area for area in OHM_PER_KM if area <= 16])
def test_a_limit_is_8_to_16_percent_over_solid_copper_of_the_nominal_area(area_mm2):
    size = next(size for size in sizes_of(Series.IEC) if size.area_mm2 == area_mm2)
    solid_ohm_per_m = 1 / 58 / area_mm2  # IEC 60028: 1/58 ohm mm2/m
    assert 1.08 <= size.ohm_per_m / solid_ohm_per_m <= 1.16
