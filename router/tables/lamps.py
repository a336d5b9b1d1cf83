"""What published lamps draw, and trailer leads by function."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from router.tables.loading import load_table


@dataclass(frozen=True, slots=True)
class LeadConductor:
    """One conductor of a trailer lead; `area_mm2` and `pin` None where its source says nothing."""

    function: str
    colour: str
    area_mm2: float | None
    pin: int | None
    returns: tuple[str, ...]
    """Functions whose current comes back along it."""
    switch: str
    """What lights it, with all others of that word at once; its own function where nothing else is."""


def lamp_currents_a(lamp: str) -> tuple[float, ...]:
    """Return what a lamp draws at its test voltage, one figure a filament, the bright one first, in A.

    Parameters
    ----------
    lamp : str
        What is printed on its base, e.g. "P21W".

    Raises
    ------
    KeyError
        Where the table has no such lamp.

    References
    ----------
    .. [1] UN Regulation 37, data sheets: largest power at 13.5 V; SAE J573: current at its own voltage.

    Examples
    --------
    >>> [round(each, 3) for each in lamp_currents_a("PY21/5W")]
    [1.963, 0.489]
    """
    row = lamp_row(lamp)
    if "amperes" in row:
        return tuple(row["amperes"])
    return tuple(watts / test_v for watts, test_v in zip(row["watts"], row["test_v"], strict=True))


def lamp_row(lamp: str) -> dict[str, Any]:
    """Return a lamp's row of the table; KeyError where it has no such lamp."""
    for row in load_table("lamps")["lamps"]:
        if row["lamp"] == lamp:
            return dict(row)
    raise KeyError(lamp)


def known_lamps() -> tuple[str, ...]:
    """Return what is printed on the lamps that the table has."""
    return tuple(row["lamp"] for row in load_table("lamps")["lamps"])


def lead_source(lead: str) -> tuple[str, str]:
    """Return source and status of a trailer lead; KeyError where the table has none of that name."""
    for each in load_table("trailer_leads")["leads"]:
        if each["lead"] == lead:
            return each["source"], each["status"]
    raise KeyError(lead)


@cache
def trailer_lead(lead: str) -> dict[str, LeadConductor]:
    """Return the conductors of a trailer lead ("4-way", "7-way", "7-pin", "13-pin") by their functions.

    Raises
    ------
    KeyError
        Where the table has no such lead.
    """
    for each in load_table("trailer_leads")["leads"]:
        if each["lead"] == lead:
            return {
                row["function"]: LeadConductor(
                    row["function"],
                    row["colour"],
                    row.get("area_mm2"),
                    row.get("pin"),
                    tuple(row.get("returns", ())),
                    row.get("switch", row["function"]),
                )
                for row in each["conductors"]
            }
    raise KeyError(lead)
