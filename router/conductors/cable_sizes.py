"""Sizes that can be bought, by series: area, resistance and outside diameter, each with its source."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from router.conductors.resistance import (
    CIRCULAR_MIL_MM2,
    awg_area_mm2,
    copper_area_mm2,
    resistance_ohm_per_m,
    stranding_factor,
)
from router.errors import NoConductorError
from router.model.job import Series
from router.tables import load_table
from router.units import ConductorSize, parse_size


@dataclass(frozen=True, slots=True)
class Size:
    """One size of one series."""

    label: str
    """As bought: "2.5 mm2", "14 AWG", "14 AWG (SAE)"."""
    series: Series
    area_mm2: float
    """Nominal area; of an SAE-marked size, its least area."""
    ohm_per_m: float
    """Resistance at 20 degC."""
    outside_mm: float
    awg_number: int | None
    is_ordinary: bool
    """Whether it may be chosen; others are used only if a job names them."""

    @property
    def copper_mm2(self) -> float:
        """Return the copper that its resistance answers for, never more than its nominal area."""
        return min(self.area_mm2, copper_area_mm2(self.ohm_per_m))


@cache
def sizes_of(series: Series) -> tuple[Size, ...]:
    """Return every size of a series, thinnest first."""
    table = load_table("conductors")[series.value]
    if series is Series.AWG:
        sizes = _awg_sizes(table)
    elif series is Series.SAE:
        sizes = [_sae_size(row) for row in table["ordinary"]]
    else:
        sizes = [_metric_size(row, series) for row in table["sizes"]]
    return tuple(sorted(sizes, key=lambda size: -size.ohm_per_m))


def ordinary_sizes(series: Series) -> tuple[Size, ...]:
    """Return the sizes of a series that may be chosen, thinnest first."""
    return tuple(size for size in sizes_of(series) if size.is_ordinary)


def size_named(text: str, series: Series) -> Size:
    """Return the size that a job names; its unit overrides the job's series.

    Raises
    ------
    NoConductorError
        Where no table has it, with the sizes that there are.
    """
    wanted = parse_size(text)
    by_number, by_area = (Series.AWG, Series.SAE), (Series.METRIC, Series.IEC)
    same_unit = by_number if wanted.unit == "AWG" else by_area
    found_in = series if series in same_unit else same_unit[0]
    for size in sizes_of(found_in):
        if _is_that(size, wanted):
            return size
    known = ", ".join(size.label for size in sizes_of(found_in))
    raise NoConductorError(f'no table has the size "{text}" in the series {found_in}; there are {known}')


def series_source(series: Series, column: str) -> tuple[str, str]:
    """Return source and status of a column ("area", "resistance", "outside") of a series."""
    of_column = load_table("conductors")[series.value]["sources"][column]
    return of_column["source"], of_column["status"]


def awg_label(number: int) -> str:
    """Return an AWG number as bought: "14 AWG", "4/0 AWG"."""
    return str(ConductorSize(float(number), "AWG"))


def _is_that(size: Size, wanted: ConductorSize) -> bool:
    return wanted.number == (size.area_mm2 if size.awg_number is None else size.awg_number)


def _metric_size(row: dict[str, Any], series: Series) -> Size:
    return Size(
        label=row["mark"],
        series=series,
        area_mm2=row["area_mm2"],
        ohm_per_m=row["mohm_per_m"] / 1000,
        outside_mm=row["outside_mm"],
        awg_number=None,
        is_ordinary=row.get("ordinary", True),
    )


def _awg_sizes(table: dict[str, Any]) -> list[Size]:
    outside = {row["number"]: row["outside_mm"] for row in table["ordinary"]}
    numbers = range(table["numbers"]["finest"], table["numbers"]["coarsest"] - 1, -1)
    sizes = []
    for number in numbers:
        next_thicker = max(known for known in outside if known <= number)  # its diameter is on the safe side
        area_mm2 = awg_area_mm2(number)
        sizes.append(
            Size(
                label=awg_label(number),
                series=Series.AWG,
                area_mm2=area_mm2,
                ohm_per_m=resistance_ohm_per_m(area_mm2, stranding=stranding_factor()),
                outside_mm=outside[next_thicker],
                awg_number=number,
                is_ordinary=number in outside,
            )
        )
    return sizes


def _sae_size(row: dict[str, Any]) -> Size:
    area_mm2 = row["circular_mils"] * CIRCULAR_MIL_MM2
    return Size(
        label=f"{awg_label(row['number'])} (SAE)",
        series=Series.SAE,
        area_mm2=area_mm2,
        ohm_per_m=resistance_ohm_per_m(area_mm2, stranding=stranding_factor()),
        outside_mm=row["outside_mm"],
        awg_number=row["number"],
        is_ordinary=True,
    )
