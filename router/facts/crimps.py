"""Which crimp goes on a conductor: by its copper area, alike in the bill and in the list of connections."""

from __future__ import annotations

from router.model.conductor_choice import ConductorChoice
from router.model.vehicle import Terminal
from router.tables import load_table


def crimp_colour(choice: ConductorChoice) -> str:
    """Return the colour of the insulated crimp for a conductor; empty where there is none."""
    crimps = load_table("terminals")["crimps"]
    if choice.area_mm2 >= crimps["least_mm2"]:
        for row in crimps["colours"]:
            if choice.area_mm2 <= row["to_mm2"]:
                return str(row["colour"])
    return ""


def crimp_words(choice: ConductorChoice) -> str:
    """Return the insulated crimp for a conductor by its colour, or its substitute if there is none."""
    colour = crimp_colour(choice)
    if colour:
        return f"{colour}, for {choice.size}"
    return f"uninsulated, for {choice.size}, with heat-shrink"


def contact_words(terminal: Terminal, choice: ConductorChoice) -> str:
    """Return the contact that a conductor ends in, by its family where that is known.

    It has no colour: it is no insulated crimp, and which one it is the connector says.
    """
    words = f"contact for a {terminal.contact}" if terminal.contact else "contact of the unit's connector"
    return f"{words}, for {choice.size}"
