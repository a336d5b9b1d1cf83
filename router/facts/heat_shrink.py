"""Heat-shrink over a crimp without insulation of its own: over its barrel, and tight on what is beside it."""

from __future__ import annotations

from router.errors import NoAnswerError
from router.facts.crimps import crimp_colour
from router.model.conductor_choice import ConductorChoice, FuseChoice
from router.tables import load_table


def heat_shrink_words(choice: ConductorChoice, thinner_mm: float | None = None) -> str:
    """Return the heat-shrink over a conductor's crimp; empty where the crimp is insulated.

    Parameters
    ----------
    choice : ConductorChoice
    thinner_mm : float, optional
        Outside of a lead that it is spliced to, where that is thinner. [mm]

    Raises
    ------
    NoAnswerError
        Where none is wide enough.
    """
    if crimp_colour(choice):
        return ""
    thinnest_mm = min(choice.outside_mm, thinner_mm or choice.outside_mm)
    words = _words(choice, thinnest_mm)
    if words is None and thinnest_mm < choice.outside_mm:
        words = f"{_words(choice, choice.outside_mm)}; the thinner lead built up first, with shrunk pieces"
    if words is None:
        raise NoAnswerError(
            f"no heat-shrink goes over the crimp of {choice.name}: before shrinking it must be "
            f"{_least_mm(choice):.1f} mm wide; divide the conductor into two"
        )
    return words


def _words(choice: ConductorChoice, thinnest_mm: float) -> str | None:
    """Return the first that passes over a barrel and grips what is thinnest beside it, None for none."""
    table = load_table("sundries")["heat_shrink"]
    least_mm, most_mm = _least_mm(choice), table["grips"] * thinnest_mm
    for family in table["families"]:
        for before_mm, after_mm in family["bores_mm"]:
            if before_mm >= least_mm and after_mm <= most_mm:
                return (
                    f"adhesive lined, {family['ratio']}, {before_mm:g} mm before shrinking and "
                    f"{after_mm:g} mm after, pieces of {table['length_mm']:g} mm"
                )
    return None


def _least_mm(choice: ConductorChoice) -> float:
    """Return how wide it must be to pass over a crimp's barrel and the insulation beside it."""
    room_mm: float = load_table("sundries")["heat_shrink"]["over_barrel_mm"]
    return max(_barrel_mm(choice), choice.outside_mm) + room_mm


def lead_outside_mm(fuse: FuseChoice, choice: ConductorChoice) -> float | None:
    """Return how thick the leads of a holder are where they are thinner than its conductor, else None."""
    if fuse.leads_mm2 is None or fuse.leads_mm2 >= choice.area_mm2:
        return None
    rows = load_table("conductors")["metric"]["sizes"]
    return max(float(row["outside_mm"]) for row in rows if row["area_mm2"] <= fuse.leads_mm2)


def _barrel_mm(choice: ConductorChoice) -> float:
    """Return the outside of a crimp's barrel; beyond the thickest of the table, that one's."""
    rows = load_table("terminals")["barrels"]["sizes"]
    found = (row["outside_mm"] for row in rows if choice.area_mm2 <= row["to_mm2"])
    return float(next(found, rows[-1]["outside_mm"]))
