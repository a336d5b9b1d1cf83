"""Sag between fixings.

Source
------
FAA AC 43.13-1B, Acceptable Methods, Techniques and Practices - Aircraft Inspection and Repair (8 September
1998, change 1 27 September 2001): par. 11-96 (support at least every 24 in), par. 11-118 (slack between
supports not more than 1/2 in). Spans of 18 in (ABYC E-11, as quoted in trade literature) and 12 in too.

The length of a parabola of depth s on a span c is exact: with u = 4 s / c,
L = c/2 (sqrt(1 + u^2) + asinh(u) / u) (any calculus text).
"""

from __future__ import annotations

from math import asinh, sqrt

import pytest

from router.lengths.measuring import sag_excess_mm


def exact_excess_mm(sag_mm: float, span_mm: float) -> float:
    u = 4 * sag_mm / span_mm
    return span_mm / 2 * (sqrt(1 + u * u) + asinh(u) / u) - span_mm


@pytest.mark.parametrize("span_mm", [609.6, 457.2, 304.8])
def test_half_an_inch_on_the_usual_spans_is_within_1_percent_of_the_arc(span_mm: float) -> None:
    assert sag_excess_mm(12.7, span_mm) == pytest.approx(exact_excess_mm(12.7, span_mm), rel=0.01)


@pytest.mark.parametrize(("span_mm", "percent"), [(609.6, 0.116), (457.2, 0.206), (304.8, 0.463)])
def test_sag_alone_adds_less_than_half_a_percent(span_mm: float, percent: float) -> None:
    assert 100 * sag_excess_mm(12.7, span_mm) / span_mm == pytest.approx(percent, abs=0.0006)
