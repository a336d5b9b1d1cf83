"""Combining uncertainties: the calibration of an end gauge.

Source
------
JCGM 100:2008 (GUM 1995 with minor corrections), Evaluation of measurement data - Guide to the expression of
uncertainty in measurement, annex H.1 (end-gauge calibration); equation (10) and clause 4.3.7.
"""

from __future__ import annotations

from math import sqrt

import pytest

from router.lengths.measuring import combined_uncertainty, rectangular


def test_difference_of_the_gauges() -> None:
    """H.1.3.2: repeated observations 5.8 nm, comparator random 3.9 nm, systematic 6.7 nm -> 9.7 nm."""
    assert round(combined_uncertainty([5.8, 3.9, 6.7]), 1) == 9.7


def test_length_of_the_gauge() -> None:
    """Table H.1: 25, 9.7, 2.9 and 16.6 nm -> 32 nm."""
    assert round(combined_uncertainty([25.0, 9.7, 2.9, 16.6])) == 32


def test_rectangular_inputs_of_the_gauge() -> None:
    """H.1: d_alpha within +/- 1e-6 per degC and d_theta within +/- 0.05 degC, both rectangular.

    With l_s = 50 000 623 nm, theta = -0.1 and alpha_s = 11.5e-6: contributions 2.9 nm and 16.6 nm.
    """
    length_nm = 50_000_623
    assert length_nm * 0.1 * rectangular(1e-6) == pytest.approx(2.9, abs=0.05)
    assert length_nm * 11.5e-6 * rectangular(0.05) == pytest.approx(16.6, abs=0.05)
    assert rectangular(1.0) == pytest.approx(1 / sqrt(3))
