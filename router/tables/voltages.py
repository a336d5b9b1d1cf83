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
