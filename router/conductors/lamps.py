"""What published lamps draw, and trailer leads by function."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from router.tables import load_table


@dataclass(frozen=True, slots=True)
class LeadConductor:
    """One conductor of a trailer lead; `area_mm2` and `pin` None where its source says nothing."""

    function: str
    colour: str
    area_mm2: float | None
    pin: int | None
    returns: tuple[str, ...]
    """Functions whose current comes back along it."""


def lamp_currents_a(lamp: str) -> tuple[float, ...]:
    """Return what a lamp draws at its test voltage, one figure a filament, in A.

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
    .. [1] UN Regulation 37, data sheets: largest power at 13.5 V.

    Examples
    --------
    >>> [round(each, 3) for each in lamp_currents_a("PY21/5W")]
    [1.963, 0.489]
    """
    for row in load_table("lamps")["lamps"]:
        if row["lamp"] == lamp:
            return tuple(watts / row["test_v"] for watts in row["watts"])
    raise KeyError(lamp)


@cache
def trailer_lead(lead: str) -> dict[str, LeadConductor]:
    """Return the conductors of a trailer lead ("4-way", "7-pin", "13-pin") by their functions.

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
                )
                for row in each["conductors"]
            }
    raise KeyError(lead)
