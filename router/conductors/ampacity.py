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
    """The column: the nearest class that is no higher than the insulation's; the lowest where none is."""
    ambient_c: float
    includes_bundling: bool
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class Ampacity:
    """What a conductor may carry in one stretch of its run, factor by factor."""

    table: TableValue | None
    """None where no table has a value for so thin a conductor."""
    insulation_c: float
    stretch: Stretch
    ambient_factor: float
    engine_factor: float
    bundling_factor: float
    small_a: float = math.inf
    """The most on so small a conductor by the rules in force, however cool it stays. [A]"""

    @property
    def thermal_a(self) -> float:
        """Return the current at which it gets as warm as its insulation may. [A]"""
        factors = self.ambient_factor * self.engine_factor * self.bundling_factor
        return self.table.amperes * factors if self.table else 0.0

    @property
    def amperes(self) -> float:
        """Return what it may carry. [A]"""
        return min(self.thermal_a, self.small_a)


def table_value(copper_mm2: float, insulation_c: float) -> TableValue | None:
    """Return what the published tables let a conductor carry.

    Both choices are on the safe side: the nearest size with no more copper, the nearest class no higher.
    Where a table has no class so low, its lowest stands, and the ambient temperature is held against the
    insulation's own.

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
        if rows:
            classes = [class_c for class_c in table["classes_c"] if is_within(class_c, insulation_c)]
            class_c = max(classes, default=min(table["classes_c"]))
            return _value(table, min(rows, key=lambda row: row["number"]), class_c)
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


def small_conductor_a(copper_mm2: float) -> float:
    """Return the most on a conductor of an area by NEC 240.4(D); infinite from 8 AWG on. [A]

    >>> small_conductor_a(awg_area_mm2(12)), small_conductor_a(2.5)
    (20.0, 15.0)
    """
    rows = load_table("ampacity")["small_conductors"]["rows"]
    next_thicker = rows[-1]["number"] - 2
    if is_within(awg_area_mm2(next_thicker), copper_mm2):
        return math.inf
    allowed = [row for row in rows if is_within(awg_area_mm2(row["number"]), copper_mm2)]
    return float(max((row["most_a"] for row in allowed), default=rows[0]["most_a"]))


def ampacities_along(
    copper_mm2: float,
    insulation_c: float,
    surroundings: Surroundings,
    *,
    is_bundling_counted: bool,
    is_small_limited: bool = False,
) -> tuple[Ampacity, ...]:
    """Return what a conductor may carry in each stretch of its run.

    Parameters
    ----------
    copper_mm2 : float
        Area of the copper. [mm2]
    insulation_c : float
        Temperature class of the insulation. [degC]
    surroundings : Surroundings
    is_bundling_counted : bool
        Whether conductors side by side carry less.
    is_small_limited : bool
        Whether small conductors carry no more than NEC 240.4(D) lets them.
    """
    value = table_value(copper_mm2, insulation_c)
    small_a = small_conductor_a(copper_mm2) if is_small_limited else math.inf
    return tuple(
        _on_stretch(value, insulation_c, stretch, is_bundling_counted, small_a)
        for stretch in surroundings.stretches
    )


@cache
def is_least_size(size: Size, *, is_in_sheath: bool, least_number: int = 18) -> bool:
    """Return whether a size is thick enough to be used at all.

    33 CFR 183.425: 16 AWG; 18 AWG together with others in one sheath; and no thinner than the AWG number
    that the rules in force give. An SAE size counts by its number.
    """
    number = _least_number(is_in_sheath, least_number)
    if size.series is Series.SAE and size.awg_number is not None:
        return size.awg_number <= int(number)
    return is_within(awg_area_mm2(int(number)), size.area_mm2)


def least_awg(*, is_in_sheath: bool, least_number: int = 18) -> str:
    """Return the least size of `is_least_size` as a person writes it: "16 AWG"."""
    return awg_label(_least_number(is_in_sheath, least_number))


def _least_number(is_in_sheath: bool, least_number: int) -> int:
    by_sheath = load_table("ampacity")["least_size"]["in a sheath" if is_in_sheath else "separate"]
    return min(int(by_sheath), least_number)


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


def _on_stretch(
    value: TableValue | None,
    insulation_c: float,
    stretch: Stretch,
    is_bundling_counted: bool,
    small_a: float,
) -> Ampacity:
    if value is None:
        return Ampacity(None, insulation_c, stretch, 0.0, 0.0, 0.0, small_a)
    by_ambient = _by_ambient(value, insulation_c, stretch.ambient_c)
    if value.includes_bundling:  # a table for harnesses: its conditions are worse than ours, take no credit
        return Ampacity(value, insulation_c, stretch, min(1.0, by_ambient), 1.0, 1.0, small_a)
    # The engine-space share stands for 50 degC: a hotter one as stated, a cooler one is not trusted.
    engine = engine_space_factor(value.class_c) if stretch.is_engine_space else math.inf
    by_neighbours = bundling_factor(stretch.bundled) if is_bundling_counted else 1.0
    factors = (1.0, engine) if engine < by_ambient else (by_ambient, 1.0)
    return Ampacity(value, insulation_c, stretch, *factors, by_neighbours, small_a)


def _by_ambient(value: TableValue, insulation_c: float, ambient_c: float) -> float:
    """Return the share of a table's value at an ambient temperature, for insulation between two columns too.

    The current of a lower column warms the copper by less than the insulation bears. So it holds up to a
    warmer ambient, by the same formula with the insulation's own class, yet never counts for more.
    """
    rise_c = value.class_c - value.ambient_c
    own = min(1.0, math.sqrt(max(0.0, insulation_c - ambient_c) / rise_c))
    if not is_within(value.class_c, insulation_c):
        return own
    return max(own, ambient_factor(value.class_c, ambient_c, base_c=value.ambient_c))
