"""How high a voltage may be, and whether one is that of a supply."""

from __future__ import annotations

from router.tables.loading import load_table


def most_planned_v() -> tuple[float, str]:
    """Return the voltage that insulation is made for, beyond which nothing is planned, and its source."""
    planned = load_table("voltages")["planned"]
    return float(planned["most_v"]), planned["source"]


def is_of_supply(made_for_v: float, supply_v: float) -> bool:
    """Return whether a nominal voltage is that of the supply, however either rounds it.

    >>> is_of_supply(12, 13.5), is_of_supply(12, 24)
    (True, False)
    """
    most_ratio = float(load_table("voltages")["nominal"]["most_ratio"])
    return supply_v <= made_for_v * most_ratio and made_for_v <= supply_v * most_ratio


def battery_range_v(nominal_v: float, state: str) -> tuple[float, float]:
    """Return the least and the most that a battery gives, "resting" or "running". [V]

    Examples
    --------
    15 % below and above 24 V.

    >>> low_v, high_v = battery_range_v(24.0, "resting")
    >>> round(low_v, 3), round(high_v, 3)
    (20.4, 27.6)
    """
    ratios = load_table("voltages")["battery"][state]
    return float(ratios["least_ratio"]) * nominal_v, float(ratios["most_ratio"]) * nominal_v


def is_of_battery(volts: float, nominal_v: float, state: str) -> bool:
    """Return whether a battery of a nominal voltage gives so much.

    Parameters
    ----------
    volts, nominal_v : float
        What it gives, and what it is called. [V]
    state : str
        "resting" or "running".
    """
    low_v, high_v = battery_range_v(nominal_v, state)
    return low_v <= volts <= high_v
