"""What a conductor may carry: by size, temperature class, surroundings and neighbours."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

from router.conductors.cable_sizes import Size, awg_label
from router.conductors.limits import is_within
from router.conductors.resistance import awg_area_mm2
from router.conductors.surroundings import Stretch, Surroundings
from router.model.job import Series
from router.tables import load_table


@dataclass(frozen=True, slots=True)
class TableValue:
    """What a published table lets a size carry, and under which conditions."""

    amperes: float
    awg_number: int
    """The size in the table: the nearest with no more copper."""
    class_c: float
    """The column: the nearest class that is no higher than the insulation's."""
    ambient_c: float
    includes_bundling: bool
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class Ampacity:
    """What a conductor may carry in the worst stretch of its run, factor by factor."""

    amperes: float
    table: TableValue | None
    """None where no table has a value for so thin a conductor or so low a class."""
    stretch: Stretch
    ambient_factor: float
    engine_factor: float
    bundling_factor: float


def table_value(copper_mm2: float, insulation_c: float) -> TableValue | None:
    """Return what the published tables let a conductor carry.

    Both choices are on the safe side: the nearest size with no more copper, the nearest class no higher.

    Parameters
    ----------
    copper_mm2 : float
        Area of the copper. [mm2]
    insulation_c : float
        Temperature class of the insulation. [degC]

    References
    ----------
    .. [1] 33 CFR 183.425 Table 5; below 18 AWG, FAA AC 43.13-1B table 11-9.

    Examples
    --------
    >>> table_value(2.5, 105).amperes  # as 14 AWG
    35.0
    """
    for table in load_table("ampacity")["tables"]:
        rows = [row for row in table["rows"] if is_within(awg_area_mm2(row["number"]), copper_mm2)]
        classes = [class_c for class_c in table["classes_c"] if is_within(class_c, insulation_c)]
        if rows and classes:
            return _value(table, min(rows, key=lambda row: row["number"]), max(classes))
    return None


def ambient_factor(class_c: float, ambient_c: float, *, base_c: float = 30.0) -> float:
    """Return the share of its table value that a conductor may carry at another ambient temperature.

    Parameters
    ----------
    class_c : float
        Temperature class of the insulation, above `base_c`, to 400. [degC]
    ambient_c : float
        Ambient temperature, -60 to 400; from `class_c` on the share is 0. [degC]
    base_c : float
        Ambient temperature that the table is for. [degC]

    Raises
    ------
    ValueError
        Where an argument is outside its range.

    References
    ----------
    .. [1] NEC (NFPA 70) table 310.15(B)(1): I' = I sqrt((Tc - Ta) / (Tc - 30)).

    Examples
    --------
    >>> round(ambient_factor(90, 50), 2)
    0.82
    """
    if not base_c < class_c <= 400:
        raise ValueError(f"temperature class {class_c} degC is outside {base_c} to 400")
    if not -60 <= ambient_c <= 400:
        raise ValueError(f"ambient temperature {ambient_c} degC is outside -60 to 400")
    return math.sqrt(max(0.0, class_c - ambient_c) / (class_c - base_c))


def engine_space_factor(class_c: float) -> float:
    """Return the share of Table 5 in an engine space, by the class of a column of the table.

    33 CFR 183.425 Table 5 note 1. KeyError for a class that is no column.

    >>> engine_space_factor(105)
    0.85
    """
    return float(load_table("ampacity")["engine_space"]["factors"][class_c])


def bundling_factor(count: int) -> float:
    """Return the share of Table 5 for a number of current-carrying conductors side by side.

    33 CFR 183.425 Table 5 note 2.

    >>> bundling_factor(2), bundling_factor(5)
    (1.0, 0.6)
    """
    steps = load_table("ampacity")["bundling"]["factors"]
    return min((float(step["factor"]) for step in steps if count >= step["from_count"]), default=1.0)


def ampacity_along(
    copper_mm2: float, insulation_c: float, surroundings: Surroundings, *, is_bundling_counted: bool
) -> Ampacity:
    """Return what a conductor may carry along its run; the worst stretch decides."""
    value = table_value(copper_mm2, insulation_c)
    if value is None:
        return Ampacity(0.0, None, surroundings.stretches[0], 0.0, 0.0, 0.0)
    on_each = [_on_stretch(value, stretch, is_bundling_counted) for stretch in surroundings.stretches]
    return min(on_each, key=lambda ampacity: ampacity.amperes)


@cache
def is_least_size(size: Size, *, is_in_sheath: bool) -> bool:
    """Return whether a size is thick enough to be used at all.

    33 CFR 183.425: 16 AWG; 18 AWG together with others in one sheath. An SAE size counts by its number.
    """
    number = load_table("ampacity")["least_size"]["in a sheath" if is_in_sheath else "separate"]
    if size.series is Series.SAE and size.awg_number is not None:
        return size.awg_number <= int(number)
    return is_within(awg_area_mm2(int(number)), size.area_mm2)


def least_awg(*, is_in_sheath: bool) -> str:
    """Return the least size of `is_least_size` as a person writes it: "16 AWG"."""
    return awg_label(load_table("ampacity")["least_size"]["in a sheath" if is_in_sheath else "separate"])


def _value(table: dict[str, Any], row: dict[str, Any], class_c: float) -> TableValue:
    return TableValue(
        amperes=float(row["amperes"][table["classes_c"].index(class_c)]),
        awg_number=row["number"],
        class_c=class_c,
        ambient_c=table["ambient_c"],
        includes_bundling=table["bundling"] == "included",
        source=table["source"],
        status=table["status"],
    )


def _on_stretch(value: TableValue, stretch: Stretch, is_bundling_counted: bool) -> Ampacity:
    by_ambient = ambient_factor(value.class_c, stretch.ambient_c, base_c=value.ambient_c)
    if value.includes_bundling:  # a table for harnesses: its conditions are worse than ours, take no credit
        factors = (min(1.0, by_ambient), 1.0, 1.0)
    else:
        # The engine-space share stands for 50 degC: a hotter one as stated, a cooler one is not trusted.
        engine = engine_space_factor(value.class_c) if stretch.is_engine_space else math.inf
        by_neighbours = bundling_factor(stretch.bundled) if is_bundling_counted else 1.0
        factors = (1.0, engine, by_neighbours) if engine < by_ambient else (by_ambient, 1.0, by_neighbours)
    amperes = value.amperes * math.prod(factors)
    return Ampacity(amperes, value, stretch, *factors)
