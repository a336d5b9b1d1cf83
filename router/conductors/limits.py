"""The one place where a figure meets a limit."""

from __future__ import annotations

from router.tolerances import RELATIVE_ROUNDING


def is_within(figure: float, limit: float) -> bool:
    """Return whether a figure keeps to its upper limit; one that equals it does, NaN does not.

    Both are in the same unit and not negative.

    Examples
    --------
    5 m out and back, 10 A, 7 ohm/km: 0.7 V by hand, a little more in binary floats.

    >>> is_within(10.0 * (2 * 5.0) * 0.007, 0.7)
    True
    >>> is_within(0.7001, 0.7)
    False
    """
    return figure <= limit * (1.0 + RELATIVE_ROUNDING)
