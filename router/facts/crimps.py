"""Which crimp goes on a conductor: by its copper area, alike in the bill and in the list of connections."""

from __future__ import annotations

from router.facts.along_route import positions_at
from router.model.conductor_choice import ConductorChoice
from router.model.plan import Route
from router.model.vehicle import Profile, SpaceKind, Terminal
from router.tables import load_table

_DRY = (SpaceKind.CABIN, SpaceKind.LOAD_AREA, SpaceKind.BOOT)
"""Kinds of spaces in which an end stays dry; everywhere else each is sealed."""


def is_wet(profile: Profile, space: str) -> bool:
    """Return whether what is joined in a space is sealed against water and salt."""
    return profile.space(space).kind not in _DRY


def is_wet_at(profile: Profile, route: Route, station_mm: float) -> bool:
    """Return whether what is joined at a station of a route is sealed against water and salt.

    Parameters
    ----------
    profile : Profile
    route : Route
    station_mm : float
        Where on it a holder sits. [mm]
    """
    return is_wet(profile, positions_at(route, (station_mm,))[0].space)


def crimp_colour(choice: ConductorChoice) -> str:
    """Return the colour of the insulated crimp for a conductor; empty where there is none."""
    crimps = load_table("terminals")["crimps"]
    if choice.area_mm2 >= crimps["least_mm2"]:
        for row in crimps["colours"]:
            if choice.area_mm2 <= row["to_mm2"]:
                return str(row["colour"])
    return ""


def crimp_words(choice: ConductorChoice, *, is_sealed: bool) -> str:
    """Return the insulated crimp for a conductor by its colour, or its substitute if there is none."""
    colour = crimp_colour(choice)
    if not colour:
        return f"uninsulated, for {choice.size}, with heat-shrink"
    sleeve = ", with its own glue-lined heat-shrink" if is_sealed else ""
    return f"{colour}, for {choice.size}{sleeve}"


def contact_words(terminal: Terminal, choice: ConductorChoice) -> str:
    """Return the contact that a conductor ends in, by its family where that is known.

    It has no colour: it is no insulated crimp, and which one it is the connector says.
    """
    words = f"contact for a {terminal.contact}" if terminal.contact else "contact of the unit's connector"
    return f"{words}, for {choice.size}"
