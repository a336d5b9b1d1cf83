"""Best packings of equal circles in a circle.

Sources
-------
Values for 1 to 20 circles: "Circle packing in a circle", Wikipedia, the free encyclopedia (table of R/r),
which rests on R. L. Graham, B. D. Lubachevsky, K. J. Nurmela, P. R. J. Ostergard, "Dense packings of
congruent circles in a circle", Discrete Mathematics 181 (1998) 139-154.
Closed forms: S. Kravitz, "Packing cylinders into cylindrical containers", Mathematics Magazine 40 (1967)
65-71.
Three unequal circles: R. Descartes, letter to Elisabeth of Bohemia, November 1643 (circle theorem).
Loom: FAA AC 43.13-1B (1998, change 1 2001) par. 11-249 (bore about 25 % larger than the bundle);
NEC (NFPA 70) chapter 9 table 1 (1 conductor 53 %, 2 conductors 31 %, more than 2 conductors 40 % filled).
"""

from __future__ import annotations

from math import pi, sin, sqrt

import pytest
from small_vehicle import default_practice

from router.looms import least_bore_mm, loom_for
from router.model.job import Series
from router.plane import bundle_diameter_mm

TABLE = {
    1: 1.0, 2: 2.0, 3: 2.1547, 4: 2.4142, 5: 2.7013, 6: 3.0, 7: 3.0, 8: 3.3048, 9: 3.6131, 10: 3.8130,
    11: 3.9238, 12: 4.0296, 13: 4.2361, 14: 4.3284, 15: 4.5214, 16: 4.6154, 17: 4.7920, 18: 4.8637,
    19: 4.8637, 20: 5.1223,
}  # fmt: skip
CLOSED = {
    2: 2.0, 3: 1 + 2 / sqrt(3), 4: 1 + sqrt(2), 5: 1 + sqrt(2 * (1 + 1 / sqrt(5))), 6: 3.0, 7: 3.0,
    8: 1 + 1 / sin(pi / 7), 9: 1 + sqrt(2 * (2 + sqrt(2))), 11: 1 + 1 / sin(pi / 9), 13: 2 + sqrt(5),
    18: 1 + sqrt(2) + sqrt(6), 19: 1 + sqrt(2) + sqrt(6),
}  # fmt: skip


def ratio(count: int) -> float:
    return bundle_diameter_mm((2.4,) * count) / 2.4


@pytest.mark.parametrize(("count", "published"), TABLE.items())
def test_never_below_the_best_packing_and_within_5_percent_of_it(count: int, published: float) -> None:
    assert published - 1e-4 <= ratio(count) <= 1.05 * published


@pytest.mark.parametrize(("count", "exact"), CLOSED.items())
def test_never_below_the_closed_form(count: int, exact: float) -> None:
    assert ratio(count) >= exact * (1 - 1e-9)


@pytest.mark.parametrize("count", [1, 2, 3])
def test_exact_up_to_three(count: int) -> None:
    assert ratio(count) == pytest.approx({1: 1.0, **CLOSED}[count], rel=1e-12)


@pytest.mark.parametrize("outsides_mm", [(3.0, 2.0, 1.8), (2.0, 2.0, 1.4), (5.0, 3.0, 2.9), (4.0, 2.0, 1.9)])
def test_three_that_touch_keep_to_descartes(outsides_mm: tuple[float, float, float]) -> None:
    """(k1 + k2 + k3 + k4)^2 = 2 (k1^2 + k2^2 + k3^2 + k4^2), the outer circle's bend k4 negative."""
    bends = [2 / outside for outside in outsides_mm]
    bends.append(-2 / bundle_diameter_mm(outsides_mm))
    assert outsides_mm[0] + outsides_mm[1] < bundle_diameter_mm(outsides_mm) < sum(outsides_mm)
    assert sum(bends) ** 2 == pytest.approx(2 * sum(bend**2 for bend in bends), rel=1e-9)


def test_pappus_third_circle_just_fits_beside_two_across() -> None:
    """Circles of 2 and 1 across one of 3 leave room for 6/7 (Pappus, arbelos): a hair more does not fit."""
    assert bundle_diameter_mm((2.0, 1.0, 6 / 7)) == pytest.approx(3.0, rel=1e-12)
    assert bundle_diameter_mm((2.0, 1.0, 6 / 7 + 1e-3)) > 3.0 + 1e-8


# Loom rules


def test_seven_conductors_of_2_4_mm() -> None:
    """Bundle 3 x 2.4 = 7.2; 25 %: 9.0; 40 %: sqrt(7 x 2.4^2 / 0.4) = 10.04, the larger, so NW10 or 1/2 in."""
    seven = (2.4,) * 7
    practice = default_practice()
    assert bundle_diameter_mm(seven) == pytest.approx(7.2, abs=1e-3)
    assert least_bore_mm(seven, practice) == pytest.approx(10.04, abs=0.005)
    assert loom_for(seven, practice).loom == "NW10"
    assert loom_for(seven, practice, Series.AWG).loom == "1/2 in"


@pytest.mark.parametrize(("count", "fill"), [(1, 0.53), (2, 0.31), (3, 0.40), (9, 0.40)])
def test_share_filled_is_never_more_than_the_code_allows(count: int, fill: float) -> None:
    size = loom_for((3.0,) * count, default_practice())
    assert count * 3.0**2 / least_bore_mm((3.0,) * count, default_practice()) ** 2 <= fill * (1 + 1e-12)
    assert count * 3.0**2 / size.bore_mm**2 <= fill
    assert size.bore_mm >= 1.25 * size.bundle_mm
