"""The smallest circle that we can show to hold a set of round conductors.

Exact for one, two and three. For more, circles are put one by one, largest first, against the wall and
against each other inside a trial circle, and the trial circle is shrunk as long as all go in. What comes
out is a real packing, so it is never smaller than the best one; pure numbers, no trade.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

SLACK_MM = 1e-9
"""What two circles may overlap by: rounding."""

DIAMETER_PRECISION = 1e-5
"""Share of the diameter to which the trial circle is shrunk."""

_Spot = tuple[float, float]


@lru_cache(maxsize=256)
def bundle_diameter_mm(outsides_mm: tuple[float, ...]) -> float:
    """Return the diameter of a circle that holds circles of these diameters.

    Parameters
    ----------
    outsides_mm : tuple of float
        Outside diameters, one or more, each above 0, in any order. [mm]

    Returns
    -------
    float
        The least diameter for one to three circles; a safe upper bound for more, 6 % above the published
        best packings of up to 37 equal circles at most. [mm]

    Raises
    ------
    ValueError
        Where there is no circle, or one of no size.

    References
    ----------
    Three circles: Descartes' circle theorem (1643) for the circle round three that touch each other.

    Examples
    --------
    Seven equal circles, six round one, take three diameters:

    >>> round(bundle_diameter_mm((2.4,) * 7), 3)
    7.2
    """
    if not outsides_mm or not all(0 < outside < math.inf for outside in outsides_mm):
        raise ValueError(f"a bundle needs conductors with an outside above 0 mm, not {outsides_mm}")
    radii = sorted((outside / 2 for outside in outsides_mm), reverse=True)
    if len(radii) == 1:
        return 2 * radii[0]
    if len(radii) == 2:
        return 2 * (radii[0] + radii[1])
    if len(radii) == 3:
        return 2 * _round_three(radii[0], radii[1], radii[2])
    return 2 * min(_shrunk(radii, prefer) for prefer in (_outermost, _snuggest))


def _round_three(a: float, b: float, c: float) -> float:
    """Return the radius round three circles, a >= b >= c."""
    beside_both = 1 / (1 / a + 1 / b - 1 / (a + b))
    if c <= beside_both:
        return a + b
    bends = (1 / a, 1 / b, 1 / c)
    products = bends[0] * bends[1] + bends[1] * bends[2] + bends[2] * bends[0]
    return 1 / (2 * math.sqrt(products) - sum(bends))


@dataclass(slots=True)
class _Trial:
    """A circle being filled: what lies in it, what is left, and the spots open to each radius left."""

    wall: float
    left: Counter[float]
    lying: list[tuple[float, float, float]] = field(default_factory=list)
    open_spots: dict[float, list[_Spot]] = field(default_factory=dict)

    def put(self, spot: _Spot, radius: float) -> None:
        """Lay a circle down, and open the spots that touch it and one other circle or the wall."""
        self.left[radius] -= 1
        for other in (r for r, count in self.left.items() if count):
            still_open = [old for old in self.open_spots.get(other, ()) if _apart(old, spot, other + radius)]
            rings = [(0.0, 0.0, self.wall - other), *((x, y, r + other) for x, y, r in self.lying)]
            touching = [new for ring in rings for new in _crossings(ring, (*spot, radius + other))]
            self.open_spots[other] = still_open + [new for new in touching if self.is_free(new, other)]
        self.lying.append((*spot, radius))

    def is_free(self, spot: _Spot, radius: float) -> bool:
        """Return whether a circle fits there."""
        return math.hypot(*spot) <= self.wall - radius + SLACK_MM and all(
            _apart(spot, (x, y), radius + r) for x, y, r in self.lying
        )


def _apart(one: _Spot, other: _Spot, distance: float) -> bool:
    return math.hypot(one[0] - other[0], one[1] - other[1]) >= distance - SLACK_MM


def _crossings(one: tuple[float, float, float], other: tuple[float, float, float]) -> tuple[_Spot, ...]:
    """Return where two circles (x, y, radius) cross."""
    dx, dy = other[0] - one[0], other[1] - one[1]
    distance = math.hypot(dx, dy)
    a, b = one[2], other[2]
    if distance == 0 or not abs(a - b) <= distance <= a + b:
        return ()
    along = (a * a - b * b + distance * distance) / (2 * distance)
    across = math.sqrt(max(0.0, a * a - along * along))
    ux, uy = dx / distance, dy / distance
    x, y = one[0] + along * ux, one[1] + along * uy
    return (x - across * uy, y + across * ux), (x + across * uy, y - across * ux)


_Prefer = Callable[[_Trial, _Spot, float], tuple[float, float]]


def _outermost(trial: _Trial, spot: _Spot, radius: float) -> tuple[float, float]:
    """Prefer the wall, then the side where the first circle lies."""
    return round(-math.hypot(*spot), 6), round(abs(math.atan2(spot[1], spot[0])), 6)


def _snuggest(trial: _Trial, spot: _Spot, radius: float) -> tuple[float, float]:
    """Prefer the spot whose next neighbour, beyond the two it touches, is nearest; then the wall."""
    from_centre = math.hypot(*spot)
    gaps = [math.hypot(spot[0] - x, spot[1] - y) - r for x, y, r in trial.lying]
    gaps.append(trial.wall - from_centre)
    third = sorted(gaps)[2] - radius if len(gaps) > 2 else 0.0
    return round(third, 6), round(-from_centre, 6)


def _shrunk(radii: Sequence[float], prefer: _Prefer) -> float:
    """Return the smallest trial radius, by halving, into which all circles went."""
    too_small = max(radii[0] + radii[1], math.sqrt(sum(radius**2 for radius in radii))) * (
        1 - DIAMETER_PRECISION
    )
    large_enough = sum(radii)  # side by side they always go in
    while large_enough - too_small > DIAMETER_PRECISION * large_enough:
        wall = (too_small + large_enough) / 2
        if _go_in(radii, wall, prefer):
            large_enough = wall
        else:
            too_small = wall
    return large_enough


def _go_in(radii: Sequence[float], wall: float, prefer: _Prefer) -> bool:
    if radii[0] > wall:
        return False
    trial = _Trial(wall, Counter(radii))
    trial.put((wall - radii[0], 0.0), radii[0])
    for radius in radii[1:]:
        spots = trial.open_spots[radius]
        if not spots:
            return False
        trial.put(min(spots, key=lambda spot: prefer(trial, spot, radius)), radius)
    return True
