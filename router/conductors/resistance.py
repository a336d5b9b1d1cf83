"""Resistance of copper conductors: from area, at a temperature."""

from __future__ import annotations

import math

from router.tables import load_table

CIRCULAR_MIL_MM2 = math.pi / 4 * 0.0254**2
"""Area of a circle of one thousandth of an inch across."""


def awg_area_mm2(number: int) -> float:
    """Return the area of a solid conductor of an American wire gauge number.

    Parameters
    ----------
    number : int
        40 to -3; 1/0 is 0, 4/0 is -3.

    Returns
    -------
    float
        Area. [mm2]

    Raises
    ------
    ValueError
        Where the number is outside its range.

    References
    ----------
    .. [1] ASTM B258: d = 0.127 mm x 92^((36 - n) / 39).

    Examples
    --------
    >>> round(awg_area_mm2(-3), 2)  # 0.4600 in across
    107.22
    """
    if not -3 <= number <= 40:
        raise ValueError(f"AWG number {number} is outside 40 to 4/0 (-3)")
    diameter_mm = 0.127 * 92 ** ((36 - number) / 39)
    return float(math.pi / 4 * diameter_mm**2)


def temperature_factor(copper_c: float) -> float:
    """Return the resistance of copper as a multiple of that at 20 degC.

    Parameters
    ----------
    copper_c : float
        Temperature of the copper, -100 to 400. [degC]

    Raises
    ------
    ValueError
        Where the temperature is outside its range.

    References
    ----------
    .. [1] FAA AC 43.13-1B chapter 11: L2 = 254.5 L1 / (234.5 + T2).

    Examples
    --------
    >>> round(1 / temperature_factor(50.0), 4)
    0.8946
    """
    if not -100 <= copper_c <= 400:
        raise ValueError(f"copper temperature {copper_c} degC is outside -100 to 400")
    zero_c = _copper("zero_resistance_c")
    return float((zero_c + copper_c) / (zero_c + 20.0))


def resistance_ohm_per_m(copper_mm2: float, *, copper_c: float = 20.0, stranding: float = 1.0) -> float:
    """Return the resistance of a metre of copper conductor.

    Parameters
    ----------
    copper_mm2 : float
        Area of the copper, 0.01 to 1000. [mm2]
    copper_c : float
        Temperature of the copper. [degC]
    stranding : float
        How much longer a strand is than its conductor, 1 to 1.1; `stranding_factor()` for a usual one.

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    References
    ----------
    .. [1] IEC 60028:1925, 1/58 ohm mm2/m at 20 degC.

    Examples
    --------
    14 AWG, solid, 75 degC: 3.07 ohm per 1000 ft (NEC chapter 9 table 8).

    >>> round(resistance_ohm_per_m(awg_area_mm2(14), copper_c=75.0) * 304.8, 2)
    3.07
    """
    if not 0.01 <= copper_mm2 <= 1000:
        raise ValueError(f"copper area {copper_mm2} mm2 is outside 0.01 to 1000")
    if not 1.0 <= stranding <= 1.1:
        raise ValueError(f"stranding factor {stranding} is outside 1 to 1.1")
    return _copper("resistivity_ohm_mm2_per_m") / copper_mm2 * stranding * temperature_factor(copper_c)


def copper_area_mm2(ohm_per_m: float) -> float:
    """Return the copper area that a stranded conductor of a given resistance at 20 degC holds. [mm2]"""
    return _copper("resistivity_ohm_mm2_per_m") * stranding_factor() / ohm_per_m


def copper_kg(area_mm2: float, length_mm: float) -> float:
    """Return the mass of copper in a length of conductor; strands are longer than their conductor. [kg]"""
    return area_mm2 * length_mm * 1e-9 * _copper("density_kg_per_m3") * stranding_factor()


def stranding_factor() -> float:
    """Return the resistance of a stranded conductor as a multiple of a solid one of its area."""
    return _copper("stranding")


def _copper(key: str) -> float:
    return float(load_table("conductors")["copper"][key]["value"])
