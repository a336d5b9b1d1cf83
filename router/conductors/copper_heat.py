"""How warm copper gets by its own current, and how much it then resists."""

from __future__ import annotations

from functools import lru_cache

from router.conductors.ampacity import Ampacity, ampacities_along
from router.conductors.cable_sizes import Size
from router.conductors.resistance import temperature_factor
from router.conductors.surroundings import Surroundings


def copper_temperature_c(
    ambient_c: float, class_c: float, current_a: float, ampacity_a: float, *, share: float = 1.0
) -> float:
    """Return how warm copper gets for good: ambient + (class - ambient) x (current / ampacity)^2.

    The heat of a current goes with its square, and at its ampacity a conductor reaches its class. Beyond that
    the class bounds it, as nothing may be loaded so; air warmer than the class warms the copper as well.

    Parameters
    ----------
    ambient_c, class_c : float
        Of the surroundings, and of the insulation. [degC]
    current_a, ampacity_a : float
        What it carries, and what it may carry there. [A]
    share : float
        Share of the rise that is counted, 0 to 1.

    Raises
    ------
    ValueError
        Where a current is below 0, or the share outside 0 to 1.

    References
    ----------
    .. [1] FAA AC 43.13-1B par. 11-66d(6) has the root of current / ampacity in place of the square, and calls
       that quite conservative.

    Examples
    --------
    Half of its ampacity, a quarter of the rise.

    >>> copper_temperature_c(50.0, 100.0, 10.0, 20.0)
    62.5
    """
    if not (current_a >= 0 and ampacity_a >= 0 and 0 <= share <= 1):
        raise ValueError(f"{current_a} A of {ampacity_a} A, share {share} is no load of a conductor")
    if ambient_c >= class_c:
        return ambient_c
    loaded = 1.0 if current_a >= ampacity_a else (current_a / ampacity_a) ** 2
    return ambient_c + share * (class_c - ambient_c) * loaded


@lru_cache(maxsize=4096)
def warm_metres(
    size: Size,
    current_a: float,
    insulation_c: float,
    surroundings: Surroundings,
    *,
    is_bundling_counted: bool,
    share: float,
) -> tuple[float, float]:
    """Return the length at 20 degC that resists like a warm conductor, and how warm it gets at most.

    FAA AC 43.13-1B chapter 11, L2 = 254.5 L1 / (234.5 + T2), solved for the other side. What is cut longer
    than the route lies where the copper is warmest.

    Parameters
    ----------
    size : Size
    current_a : float
        What warms it. [A]
    insulation_c : float
        Temperature class. [degC]
    surroundings : Surroundings
    is_bundling_counted : bool
    share : float
        Of the rise that is counted, 0 to 1.

    Returns
    -------
    tuple of float
        [m], [degC]
    """
    along = ampacities_along(
        size.copper_mm2, insulation_c, surroundings, is_bundling_counted=is_bundling_counted
    )
    warmth_c = [_copper_c(each, current_a, share) for each in along]
    lengths_mm = [each.stretch.length_mm for each in along]
    warmest_c = max(warmth_c)
    parts = [*zip(lengths_mm, warmth_c, strict=True), (surroundings.spare_mm, warmest_c)]
    return sum(mm * temperature_factor(at_c) for mm, at_c in parts) / 1000, warmest_c


def _copper_c(ampacity: Ampacity, current_a: float, share: float) -> float:
    return copper_temperature_c(
        ampacity.stretch.ambient_c, ampacity.insulation_c, current_a, ampacity.thermal_a, share=share
    )
