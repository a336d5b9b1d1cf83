"""Voltage drop, and how a circuit's conductors share what the limit allows.

Every conductor of a loop may lose volts a metre by its own length: one gradient, that of a conductor of 1 m,
times `weight_of_length` of each. So a short earth is not as thick as the long supply that it belongs to, and
two of the same length are alike. Every conductor is then the smallest size that keeps to its own gradient.
It can be checked by hand, and it never makes a conductor thinner because a load was added or a length was
made longer elsewhere, which a search for the least copper of a whole circuit can do: one conductor's step up
leaves slack that another would use up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from router.conductors.limits import is_within

_SHORTNESS = 1 / 4
"""Between 0 (a loop has one gradient, whatever its lengths) and 1 (all its conductors lose the same).

Below 1, what a longer conductor loses still grows, so that no other one gains by it. A quarter makes an earth
of a sixteenth of its supply's length half as thick; a supply with one earth comes out a twelfth thicker at
most.
"""


@dataclass(frozen=True, slots=True)
class Share:
    """One conductor of a loop that is still to be chosen."""

    length_m: float
    """As it is cut."""
    lightest_v_per_m: float
    """Gradient in the thinnest size that it may have, as warm as its load makes it."""
    heaviest_v_per_m: float
    """Gradient in the thickest size that there is, likewise."""

    def lost_v(self, gradient: float) -> float:
        """Return what it loses where a conductor of 1 m may lose `gradient` a metre."""
        own = gradient * weight_of_length(self.length_m)
        return self.length_m * min(max(own, self.heaviest_v_per_m), self.lightest_v_per_m)


def weight_of_length(length_m: float) -> float:
    """Return how many times more a metre a conductor may lose than one of 1 m.

    >>> round(weight_of_length(0.5) / weight_of_length(8.0), 9)  # a sixteenth of the length
    2.0
    """
    return math.pow(length_m, -_SHORTNESS) if length_m > 0 else 1.0


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

    It is the gradient of a conductor of 1 m; another may lose `weight_of_length` times as much a metre.

    Infinite where even the thinnest sizes keep to the budget.

    A conductor whose thinnest size is below the gradient loses what that size loses; one whose thickest is
    above it loses what that one loses; the others share the rest. The sum of

        length x clamp(gradient x weight, heaviest, lightest)

    rises steadily with the gradient, in straight lines between the shares' own gradients: find the line on
    which it reaches the budget, and solve there.
    """
    if not is_within(_lost_v(shares, 0.0), budget_v):
        return None
    corners = sorted(
        each / weight_of_length(share.length_m)
        for share in shares
        for each in (share.heaviest_v_per_m, share.lightest_v_per_m)
    )
    below = corners[0]
    for corner in corners:
        if not is_within(_lost_v(shares, corner), budget_v):
            at_below = _lost_v(shares, below)
            part = (budget_v - at_below) / (_lost_v(shares, corner) - at_below)
            return below + max(0.0, part) * (corner - below)
        below = corner
    return math.inf


def _lost_v(shares: Sequence[Share], gradient: float) -> float:
    return sum(share.lost_v(gradient) for share in shares)
