"""Where the sizes of each line of the bill come from, and how far that can be trusted."""

from __future__ import annotations

from typing import Any

from router.model.job import Series
from router.model.plan import BillLine
from router.tables import load_table

_LOOM_SERIES = {Series.METRIC: "metric", Series.IEC: "metric", Series.AWG: "inch", Series.SAE: "inch"}
_NO_SOURCE = ("common practice, no source", "common practice")
_TABLES = {
    "tie": ("ties",),
    "P-clip": ("clips", "p_clips"),
    "screw": ("clips", "screw"),
    "ring terminal": ("terminals", "studs"),
    "connector contact": ("terminals", "crimps"),
    "splice": ("terminals", "crimps"),
    "fuse holder": ("sundries", "holder_leads"),
    "heat-shrink": ("sundries", "heat_shrink"),
    "label": ("sundries", "label"),
    "tape": ("sundries", "tape"),
    "edge guard": ("sundries", "edge_guard"),
    "grommet": ("grommets",),
    "heat sleeve": ("heat_sleeve",),
    "copper": ("conductors", "copper", "density_kg_per_m3"),
    "weight": ("masses",),
}
"""Item by item, the table and the block in it that names the source."""


def source_of(line: BillLine, series: Series) -> tuple[str, str]:
    """Return source and status of what a line asks for: of its size, not of its quantity."""
    if line.item.startswith("conductor"):
        return _named(load_table("conductors")[series.value]["sources"]["area"])
    if line.item == "loom":
        return _named(load_table("loom")[_LOOM_SERIES[series]])
    if line.item == "fuse":
        families = load_table("fuses")["families"]
        found = [family for family in families if line.spec.startswith(f"{family['name']},")]
        return _named(found[0]) if found else ("the job", "job")
    if line.item not in _TABLES:
        return _NO_SOURCE
    name, *blocks = _TABLES[line.item]
    block = load_table(name)
    for each in blocks:
        block = block[each]
    return _named(block)


def _named(block: dict[str, Any]) -> tuple[str, str]:
    return str(block["source"]), str(block["status"])
