"""IEC 60949: adiabatic heating of copper by a short circuit.

Source: IEC 60949:1988, Calculation of thermally permissible short-circuit currents, taking into account
non-adiabatic heating effects: I = K S / sqrt(t) x sqrt(ln((Tf + b) / (Ti + b))), copper K = 226 A
s^0.5/mm2, b = 234.5, as quoted in trade literature. The three k of IEC 60364-4-43 for PVC, XLPE and rubber
come out of it.
"""

from __future__ import annotations

import math

import pytest

from router.conductors.short_circuit import adiabatic_k, survival_s


@pytest.mark.parametrize(("initial_c", "final_c", "k"), [(70, 160, 115), (90, 250, 143), (60, 200, 141)])
def test_k_of_copper(initial_c, final_c, k):
    assert adiabatic_k(initial_c, final_c) == pytest.approx(k, rel=1e-3)


@pytest.mark.parametrize(
    ("area_mm2", "seconds"),
    [(0.5, 0.147), (0.75, 0.331), (1.0, 0.588), (1.5, 1.322), (2.5, 3.674), (4.0, 9.40)],
)
def test_time_at_150_a_with_k_115(area_mm2, seconds):
    assert (115 * area_mm2 / 150) ** 2 == pytest.approx(seconds, rel=2e-3)  # the source's figures by hand
    assert survival_s(area_mm2, 150, 70, 160) == pytest.approx(seconds, rel=2e-3)


def test_another_formula_of_the_trade_agrees():
    """Onderdonk: I = A sqrt(log10((Tm - Ta) / (234 + Ta) + 1) / (33 t)), A in circular mils; 10 AWG."""
    current_a = 10_383 * math.sqrt(math.log10((160 - 70) / (234 + 70) + 1) / 33)
    assert survival_s(5.2612, current_a, 70, 160) == pytest.approx(1.0, rel=6e-3)


@pytest.mark.parametrize(("initial_c", "final_c"), [(160, 70), (float("nan"), 160), (70, 1100)])
def test_no_heating_backwards_nor_past_melting(initial_c, final_c):
    with pytest.raises(ValueError, match="outside"):
        adiabatic_k(initial_c, final_c)
