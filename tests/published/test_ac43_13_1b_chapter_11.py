"""FAA AC 43.13-1B chapter 11: drop, temperature-shortened runs, ampacity of bundled wires.

Source: U.S. Department of Transportation, Federal Aviation Administration, Advisory Circular AC 43.13-1B,
Acceptable Methods, Techniques, and Practices - Aircraft Inspection and Repair, 9/8/98 with change 1 of
9/27/01, chapter 11 Aircraft Electrical Systems, tables 11-7, 11-8 and 11-9. Public domain.

Paragraph 11-67, example No. 2: 14 AWG rated 200 degC in 50 degC, 20 A of the 26 A that it may carry there,
15.5 ft. Paragraph 11-66d(6) estimates the conductor's temperature with the root of current over ampacity
and calls that quite conservative; the program goes by the square, as heat does, so that it may not come out
warmer.

Two figures of the tables are misprinted and stand corrected here: table 11-7 row 3 prints 3.60 for a
product of 3.555, table 11-8 row 2 prints .366 for a product of .491.
"""

from __future__ import annotations

import pytest
from conductor_cases import a_circuit_job, by_name, choose
from small_vehicle import a_conductor, a_run

from router.conductors.ampacity import table_value
from router.conductors.copper_heat import copper_temperature_c
from router.conductors.drop import voltage_drop_v
from router.conductors.resistance import awg_area_mm2, temperature_factor

FOOT_M = 0.3048
TABLE_11_7 = [(0.00044, 107, 0.942), (0.00028, 90, 0.504), (0.00202, 88, 3.555), (0.00306, 100, 6.12)]
TABLE_11_8 = [(0.00126, 39, 0.983), (0.00126, 19.5, 0.491), (0.00126, 156, 3.93), (0.00126, 273, 6.88)]
TABLE_11_9_AT_105C = {18: 6, 16: 7, 14: 10, 12: 13, 10: 17, 8: 38, 6: 50, 4: 68, 2: 95, 1: 113, 0: 128}
TABLE_11_9_BELOW_18 = {24: (2.5, 4, 5), 22: (3, 5, 6), 20: (4, 7, 9)}


@pytest.mark.parametrize(("ohm_per_ft", "feet", "drop_v"), TABLE_11_7 + TABLE_11_8)
def test_drop_examples(ohm_per_ft, feet, drop_v):
    assert voltage_drop_v(20, feet * FOOT_M, ohm_per_ft / FOOT_M) == pytest.approx(drop_v, rel=5e-3)


def test_temperature_shortened_run():
    assert 1 / temperature_factor(50.0) == pytest.approx(0.8946, abs=1e-4)


def test_temperature_shortened_run_agrees_with_the_coefficient_of_copper():
    assert temperature_factor(50.0) == pytest.approx(1 + 0.00393 * 30, rel=1e-4)


@pytest.mark.parametrize(("number", "amperes"), TABLE_11_9_BELOW_18.items())
def test_sizes_below_33_cfr_come_from_table_11_9(number, amperes):
    values = [table_value(awg_area_mm2(number), class_c) for class_c in (105, 150, 200)]
    assert tuple(value.amperes for value in values if value) == amperes
    assert all(value.ambient_c == 70 and value.includes_bundling for value in values if value)


@pytest.mark.parametrize(
    ("ambient_c", "amperes"),
    [(40.0, 4.0), (70.0, 4.0), (90.0, 4.0 * (15 / 35) ** 0.5)],  # no credit below the table's own 70 degC
)
def test_20_awg_at_other_ambients_and_bundled_as_the_table_is(ambient_c, amperes):
    lamps = tuple(a_conductor(f"lamp {n}", load_a=0.5, size="20 AWG") for n in range(5))
    job = a_circuit_job(a_run("lead", conductors=lamps), drop=0.2, ambient_c={"underfloor": ambient_c})
    assert by_name(choose(job, 500.0))["lamp 0"].ampacity_a == pytest.approx(amperes, rel=1e-12)


@pytest.mark.parametrize(("number", "bundled_a"), TABLE_11_9_AT_105C.items())
def test_a_single_conductor_carries_more_than_one_of_33_in_a_bundle_at_altitude(number, bundled_a):
    value = table_value(awg_area_mm2(number), 105)
    assert value is not None
    assert value.amperes >= bundled_a


def estimate_by_the_ac_c(ambient_c, rating_c, current_a, ampacity_a):
    """Return T2 = T1 + (TR - T1) sqrt(I2 / Imax)."""
    return ambient_c + (rating_c - ambient_c) * (current_a / ampacity_a) ** 0.5


def test_example_2_the_conductor_is_warmer_than_its_surroundings_and_no_warmer_than_estimated():
    """By hand: 50 + 150 sqrt(20/26) = 181.6 degC by the AC; 50 + 150 (20/26)^2 = 138.8 degC by heat."""
    assert estimate_by_the_ac_c(50, 200, 20, 26) == pytest.approx(181.6, abs=0.05)
    assert copper_temperature_c(50, 200, 20, 26) == pytest.approx(138.8, abs=0.05)
    shortened_ft = 254.5 * 15.5 / (234.5 + 138.8)
    assert 15.5 / temperature_factor(copper_temperature_c(50, 200, 20, 26)) == pytest.approx(
        shortened_ft, abs=0.01
    )


@pytest.mark.parametrize("current_a", [0.0, 1.0, 13.0, 20.0, 25.9, 26.0])
def test_the_estimate_of_the_ac_bounds_ours_and_both_meet_at_no_load_and_at_full_load(current_a):
    ours_c, theirs_c = (
        copper_temperature_c(50, 200, current_a, 26),
        estimate_by_the_ac_c(50, 200, current_a, 26),
    )
    assert 50 <= ours_c <= theirs_c <= 200
    assert (ours_c == pytest.approx(theirs_c)) is (current_a in (0.0, 26.0))


def test_the_class_bounds_it_and_air_that_is_warmer_warms_the_copper():
    assert copper_temperature_c(50, 200, 40, 26) == 200
    assert copper_temperature_c(120, 100, 1, 0) == 120
