"""The source of the sizes in each line of the bill, and how far it can be trusted."""

from __future__ import annotations

from typing import Any

from router.model.job import Series
from router.model.plan import BillItem
from router.tables import load_table

_LOOM_SERIES = {Series.METRIC: "metric", Series.IEC: "metric", Series.AWG: "inch", Series.SAE: "inch"}
_NO_SOURCE = ("common practice, no source", "common practice")
_TABLES = {
    BillItem.TIE: ("ties",),
    BillItem.P_CLIP: ("clips", "p_clips"),
    BillItem.SCREW: ("clips", "screw"),
    BillItem.RING_TERMINAL: ("terminals", "studs"),
    BillItem.CONNECTOR_CONTACT: ("terminals", "crimps"),
    BillItem.SPLICE: ("terminals", "crimps"),
    BillItem.HEAT_SHRINK: ("sundries", "heat_shrink"),
    BillItem.LABEL: ("sundries", "label"),
    BillItem.TAPE: ("sundries", "tape"),
    BillItem.EDGE_GUARD: ("sundries", "edge_guard"),
    BillItem.GROMMET: ("grommets",),
    BillItem.HEAT_SLEEVE: ("heat_sleeve",),
    BillItem.COPPER: ("conductors", "copper", "density_kg_per_m3"),
    BillItem.WEIGHT: ("masses",),
}
"""By item: the table, and the block in it that names the source."""


def source_of(item: BillItem, series: Series, fuse_family: str | None) -> tuple[str, str]:
    """Return source and status of what a line asks for: of its size, not of its quantity.

    A fuse of no family is one that the job asks for.
    """
    if item in (BillItem.CONDUCTOR_CUT, BillItem.CONDUCTOR_TOTAL):
        return _named(load_table("conductors")[series.value]["sources"]["area"])
    if item == BillItem.LOOM:
        return _named(load_table("loom")[_LOOM_SERIES[series]])
    if item in (BillItem.FUSE, BillItem.FUSE_HOLDER):
        families = {family["name"]: family for family in load_table("fuses")["families"]}
        if fuse_family is None:
            return ("the job", "job")
        family = families[fuse_family]
        return _named(family if item == BillItem.FUSE else family["holder"])
    if item not in _TABLES:
        return _NO_SOURCE
    name, *blocks = _TABLES[item]
    block = load_table(name)
    for each in blocks:
        block = block[each]
    return _named(block)


def _named(block: dict[str, Any]) -> tuple[str, str]:
    return str(block["source"]), str(block["status"])
