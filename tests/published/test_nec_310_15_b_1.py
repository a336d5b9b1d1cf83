"""NEC table 310.15(B)(1): ambient temperature correction.

Source: NFPA 70, National Electrical Code, table 310.15(B)(1), correction factors based on 30 degC, columns
60, 75 and 90 degC; the same factors stand in the public reprint as table E3705.2 of the International
Residential Code.
"""

from __future__ import annotations

import pytest

from router.conductors.ampacity import ambient_factor

TOP_OF_BAND_C = (10, 15, 20, 25, 30, 35, 40, 45, 50, 55)
FACTORS = {
    60: (1.29, 1.22, 1.15, 1.08, 1.00, 0.91, 0.82, 0.71, 0.58, 0.41),
    75: (1.20, 1.15, 1.11, 1.05, 1.00, 0.94, 0.88, 0.82, 0.75, 0.67),
    90: (1.15, 1.12, 1.08, 1.04, 1.00, 0.96, 0.91, 0.87, 0.82, 0.76),
}
CELLS = [
    (class_c, ambient_c, factor)
    for class_c, row in FACTORS.items()
    for ambient_c, factor in zip(TOP_OF_BAND_C, row, strict=True)
]


def test_the_copy_has_30_cells():
    assert len(CELLS) == 30


@pytest.mark.parametrize(("class_c", "ambient_c", "factor"), CELLS)
def test_every_factor(class_c, ambient_c, factor):
    assert ambient_factor(class_c, ambient_c) == pytest.approx(factor, abs=0.005)


@pytest.mark.parametrize(
    ("class_c", "ambient_c", "factor"),
    [
        (75, 60, 0.58),
        (75, 65, 0.47),
        (75, 70, 0.33),
        (90, 60, 0.71),
        (90, 70, 0.58),
        (90, 80, 0.41),
        (90, 85, 0.29),
    ],
)
def test_factors_above_55_degc(class_c, ambient_c, factor):
    assert ambient_factor(class_c, ambient_c) == pytest.approx(factor, abs=0.005)
