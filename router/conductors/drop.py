"""Voltage drop, and how a circuit's conductors share what the limit allows.

One gradient (volts a metre) is allowed all along a loop, and every conductor is the smallest size that
keeps to it. It can be checked by hand, and it never makes a conductor thinner because a load was added
elsewhere, which a search for the least copper of a whole circuit can do: one conductor's step up leaves
slack that another would use up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from router.conductors.comparison import is_within


@dataclass(frozen=True, slots=True)
class Share:
    """One conductor of a loop that is still to be chosen."""

    length_m: float
    """Length at 20 degC that resists as much as the conductor at its temperature."""
    lightest_v_per_m: float
    """Gradient in the thinnest size that it may have."""
    heaviest_v_per_m: float
    """Gradient in the thickest size that there is."""


def voltage_drop_v(current_a: float, length_m: float, ohm_per_m: float) -> float:
    """Return the voltage lost along one conductor.

    Parameters
    ----------
    current_a : float
        Steady direct current, 0 to 2000. [A]
    length_m : float
        Length of the conductor, 0 to 1000. [m]
    ohm_per_m : float
        Resistance at the conductor's temperature, 0 to 1. [ohm/m]

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    References
    ----------
    .. [1] FAA AC 43.13-1B table 11-7: resistance a foot x length x current.

    Examples
    --------
    90 ft of No. 4, 0.00028 ohm/ft, 20 A: 0.504 V.

    >>> round(voltage_drop_v(20, 90 * 0.3048, 0.00028 / 0.3048), 3)
    0.504
    """
    if not 0 <= current_a <= 2000:
        raise ValueError(f"current {current_a} A is outside 0 to 2000")
    if not 0 <= length_m <= 1000:
        raise ValueError(f"length {length_m} m is outside 0 to 1000")
    if not 0 <= ohm_per_m <= 1:
        raise ValueError(f"resistance {ohm_per_m} ohm/m is outside 0 to 1")
    return current_a * length_m * ohm_per_m


def common_gradient_v_per_m(shares: Sequence[Share], budget_v: float) -> float | None:
    """Return the highest gradient that a loop may have, or None where even the thickest sizes lose more.

    Infinite where even the thinnest sizes keep to the budget.

    A conductor whose thinnest size is below the gradient loses what that size loses; one whose thickest is
    above it loses what that one loses; the others share the rest by length. The sum of

        length x clamp(gradient, heaviest, lightest)

    rises steadily with the gradient, in straight lines between the shares' own gradients: find the line on
    which it reaches the budget, and solve there.
    """
    if not is_within(_lost_v(shares, 0.0), budget_v):
        return None
    corners = sorted({each for share in shares for each in (share.heaviest_v_per_m, share.lightest_v_per_m)})
    below = corners[0]
    for corner in corners:
        if not is_within(_lost_v(shares, corner), budget_v):
            at_below = _lost_v(shares, below)
            part = (budget_v - at_below) / (_lost_v(shares, corner) - at_below)
            return below + max(0.0, part) * (corner - below)
        below = corner
    return math.inf


def _lost_v(shares: Sequence[Share], gradient: float) -> float:
    return sum(
        share.length_m * min(max(gradient, share.heaviest_v_per_m), share.lightest_v_per_m)
        for share in shares
    )
