"""Short circuits: how much current flows, and how long copper bears it."""

from __future__ import annotations

import math

from router.tables import load_table


def short_circuit_a(source_v: float, loop_ohm: float) -> float:
    """Return the current of a dead short at the end of a loop, without the source's own resistance. [A]

    Raises
    ------
    ValueError
        Where voltage or resistance is not above 0.
    """
    if not (source_v > 0 and loop_ohm > 0):
        raise ValueError(f"{source_v} V over {loop_ohm} ohm is no circuit")
    return source_v / loop_ohm


def adiabatic_k(initial_c: float, final_c: float) -> float:
    """Return k of I = k S / sqrt(t) for copper that is heated so fast that no heat leaves it.

    Parameters
    ----------
    initial_c : float
        Temperature of the copper before, -60 to 1083. [degC]
    final_c : float
        Temperature that it may reach, from `initial_c` to 1083. [degC]

    Returns
    -------
    float
        k. [A s^0.5 / mm2]

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    References
    ----------
    .. [1] IEC 60949: 226 sqrt(ln((Tf + 234.5) / (Ti + 234.5))).

    Examples
    --------
    >>> round(adiabatic_k(70, 160))
    115
    """
    if not -60 <= initial_c <= final_c <= 1083:
        raise ValueError(f"heating from {initial_c} to {final_c} degC is outside -60 to 1083")
    rules = load_table("fuses")["adiabatic"]
    beta_c = rules["beta_c"]
    return float(rules["k_copper"] * math.sqrt(math.log((final_c + beta_c) / (initial_c + beta_c))))


def short_time_limit_c(insulation_c: float) -> float:
    """Return the temperature that insulation of a class bears for a few seconds. [degC]"""
    limits = load_table("fuses")["short_time_limit"]["limits"]
    reached = max(limit["limit_c"] for limit in limits if limit["from_class_c"] <= insulation_c)
    return float(max(reached, insulation_c))


def survival_s(area_mm2: float, current_a: float, initial_c: float, final_c: float) -> float:
    """Return how long copper of an area bears a current: t = (k S / I)^2, safe beyond 5 s too. [s]

    Examples
    --------
    1.5 mm2, 150 A, 70 to 160 degC.

    >>> round(survival_s(1.5, 150, 70, 160), 2)
    1.32
    """
    if not (area_mm2 > 0 and current_a > 0):
        raise ValueError(f"{area_mm2} mm2 at {current_a} A is no conductor under load")
    return (adiabatic_k(initial_c, final_c) * area_mm2 / current_a) ** 2
