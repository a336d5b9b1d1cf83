"""What everything weighs: each thing by its own figure, and the sums at the end of the bill."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from router.bill.counting import BillEntry
from router.facts import LeadCable
from router.model.conductor_choice import ConductorChoice
from router.model.plan import BillItem, RunPlan
from router.tables import load_table

_GROUPS = {
    "conductors": (BillItem.CONDUCTOR_CUT,),
    "ends": (
        BillItem.RING_TERMINAL,
        BillItem.CONNECTOR_CONTACT,
        BillItem.SPLICE,
        BillItem.HEAT_SHRINK,
        BillItem.LABEL,
    ),
    "fuses": (BillItem.FUSE, BillItem.FUSE_HOLDER),
    "covers": (BillItem.LOOM, BillItem.TAPE, BillItem.HEAT_SLEEVE, BillItem.GROMMET, BillItem.EDGE_GUARD),
    "fixings": (BillItem.TIE, BillItem.CLIP, BillItem.P_CLIP, BillItem.SCREW),
}
_TWICE = (BillItem.CONDUCTOR_TOTAL,)
"""Items whose mass is counted in other items already."""


def thing_kg(item: BillItem, quantity: float, *, size: float = 0.0, kind: str = "") -> float:
    """Return the mass of a number of pieces, or of metres, of an item.

    Parameters
    ----------
    item : str
        An item of the bill that the table of masses has.
    quantity : float
        Pieces, or metres where the table gives gram a metre.
    size : float
        What its mass grows with: a clip's size, a terminal's copper area. [mm or mm2]
    kind : str
        Which of several the table has, e.g. a fuse's family.

    Raises
    ------
    KeyError
        Where the table does not have it.
    """
    table = load_table("masses")
    row = {**table["gram"], **table["gram_per_m"]}[item]
    if not isinstance(row, dict):
        gram = float(row)
    elif "base" in row:
        gram = float(row["base"]) + float(row.get("per_mm") or row.get("per_mm2") or 0.0) * size
    else:
        gram = float(row[kind])
    return gram * quantity / 1000


def conductor_kg_per_m(choice: ConductorChoice) -> float:
    """Return the mass of a metre of conductor: its copper, and insulation as far as its outside."""
    sundries = load_table("sundries")
    copper_mm2 = choice.area_mm2 / sundries["copper_fill"]["value"]
    insulation_mm2 = max(0.0, math.pi / 4 * choice.outside_mm**2 - copper_mm2)
    insulation_kg: float = insulation_mm2 * 1e-6 * sundries["insulation_kg_per_m3"]["value"]
    return choice.copper_kg / (choice.length_mm / 1000) + insulation_kg


def cable_kg_per_m(cable: LeadCable) -> float:
    """Return the mass of a metre of a sheathed cable: copper of all cores, all else as insulation."""
    sundries = load_table("sundries")
    density = load_table("conductors")["copper"]["density_kg_per_m3"]["value"]
    copper_mm2 = sum(core.area_mm2 for core in cable.cores)
    cores_mm2 = sum(math.pi / 4 * core.outside_mm**2 for core in cable.cores)
    inside_mm = cable.outside_mm - 2 * load_table("trailer_leads")["cable"]["sheath_mm"]
    sheath_mm2 = math.pi / 4 * (cable.outside_mm**2 - inside_mm**2)
    insulation_mm2 = sheath_mm2 + cores_mm2 - copper_mm2 / sundries["copper_fill"]["value"]
    kg_per_m: float = 1e-6 * (
        copper_mm2 * density + insulation_mm2 * sundries["insulation_kg_per_m3"]["value"]
    )
    return kg_per_m


def mass_entries(runs: tuple[RunPlan, ...], entries: Sequence[BillEntry]) -> Iterator[BillEntry]:
    """Yield the copper in the conductors, and what all that is installed weighs, spare parts not counted."""
    copper_kg = sum(choice.copper_kg for run in runs for choice in run.conductors)
    yield BillEntry(BillItem.COPPER, "in all conductors, for information", copper_kg, "kg", "all runs")
    counted = [entry for entry in entries if entry.item not in _TWICE]
    parts = {name: _sum_kg(counted, items) for name, items in _GROUPS.items()}
    unknown = dict.fromkeys(entry.item for entry in counted if entry.kg is None)
    left_out = ", ".join([*unknown, load_table("masses")["left_out"]])
    spec = f"of all that is fitted, estimated, for information; without spare parts, {left_out}"
    where = ", ".join(f"{name} {kg:.3f} kg" for name, kg in parts.items() if kg > 0)
    yield BillEntry(BillItem.WEIGHT, spec, sum(parts.values()), "kg", where)


def _sum_kg(entries: Sequence[BillEntry], items: Sequence[str]) -> float:
    return math.fsum(entry.kg for entry in entries if entry.item in items and entry.kg is not None)
