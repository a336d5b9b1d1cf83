"""The source of the sizes in each line of the bill, and how far it can be trusted."""

from __future__ import annotations

from typing import Any

from router.model.job import Series
from router.model.plan import BillItem
from router.tables import load_table

_LOOM_SERIES = {Series.METRIC: "metric", Series.IEC: "metric", Series.AWG: "inch", Series.SAE: "inch"}
_NO_SOURCE = ("common practice, no source", "common practice")
_UNKNOWN_CONTACT = ("the connector's own data sheet; the profile does not name the family", "common practice")
_TABLES = {
    BillItem.TIE: ("ties",),
    BillItem.P_CLIP: ("clips", "p_clips"),
    BillItem.SCREW: ("clips", "screw"),
    BillItem.RING_TERMINAL: ("terminals", "studs"),
    BillItem.CONNECTOR_CONTACT: ("terminals", "contacts"),
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


def source_of(
    item: BillItem, series: Series, fuse_family: str | None, contact_family: str | None
) -> tuple[str, str]:
    """Return source and status of what a line asks for: of its size, not of its quantity.

    Parameters
    ----------
    item : BillItem
    series : Series
        Of the job's conductors.
    fuse_family : str or None
        A fuse of no family is one that the job asks for.
    contact_family : str or None
        Of a connector's contact; None where nobody named it.
    """
    if item in (BillItem.CONDUCTOR_CUT, BillItem.CONDUCTOR_TOTAL):
        return _named(load_table("conductors")[series.value]["sources"]["area"])
    if item == BillItem.LOOM:
        return _named(load_table("loom")[_LOOM_SERIES[series]])
    if item in (BillItem.FUSE, BillItem.FUSE_HOLDER):
        return _of_fuse(item, fuse_family)
    if item == BillItem.CONNECTOR_CONTACT and contact_family is None:
        return _UNKNOWN_CONTACT
    if item not in _TABLES:
        return _NO_SOURCE
    name, *blocks = _TABLES[item]
    block = load_table(name)
    for each in blocks:
        block = block[each]
    return _named(block)


def _of_fuse(item: BillItem, family_name: str | None) -> tuple[str, str]:
    families = {family["name"]: family for family in load_table("fuses")["families"]}
    if family_name is None:
        return ("the job", "job")
    family = families[family_name]
    return _named(family if item == BillItem.FUSE else family["holder"])


def _named(block: dict[str, Any]) -> tuple[str, str]:
    return str(block["source"]), str(block["status"])
