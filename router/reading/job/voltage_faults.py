"""Voltages of a job: too high to be planned or to be fused, and lamps and units of another than the supply's.

Works on what was written, so that a fault elsewhere in a conductor does not hide a fault here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from router.errors import Fault
from router.reading.job.lamp_words import parse_lamps
from router.reading.job.voltage_words import unit_voltage
from router.reading.yaml.documents import Document
from router.reading.yaml.raw import items_in, mapping_in
from router.reading.yaml.wording import Path
from router.tables import battery_range_v, is_of_battery, is_of_supply, lamp_row, load_table, most_planned_v
from router.units import parse_quantity

_SOURCE_KEYS = ("nominal", "resting", "running")
_USUAL_V = (12.0, 24.0, 48.0)
_STATES = {"resting": "at rest", "running": "with the engine running"}


def voltage_faults(document: Document) -> Iterator[Fault]:
    """Yield a fault for each voltage that nothing here is made for, or that is not the supply's."""
    source = mapping_in(document.data.get("source"))
    supply_v = _volts(source.get("nominal"))
    if supply_v is None:
        return  # reported as a fault of structure
    yield from _source_faults(document, source, supply_v)
    yield from _battery_faults(document, source, supply_v)
    yield from _fuse_faults(document, source)
    for (index,), run in items_in(document.data.get("runs"), ()):
        for path, raw in items_in(run.get("conductors"), ("runs", index, "conductors")):
            yield from _lamp_faults(document, path, raw, supply_v)
            yield from _unit_faults(document, path, raw, supply_v)
            yield from _inverter_faults(document, path, raw, supply_v)


def _source_faults(document: Document, source: Mapping[str, Any], supply_v: float) -> Iterator[Fault]:
    """Yield a fault for each of the source's voltages that is too high to plan for."""
    planned_v, why = most_planned_v()
    for key in _SOURCE_KEYS:
        volts = _volts(source.get(key))
        if (
            volts is not None
            and volts > planned_v
            and (key == "nominal" or is_of_battery(volts, supply_v, key))
        ):
            words = (
                f"{key} {volts:g} V is more than {planned_v:g} V, beyond which nothing is planned here: such "
                f"voltage can kill, and cable, cover and training are of another kind ({why}); leave it to "
                "who is trained for it"
            )
            yield document.fault(("source", key), words)


def _battery_faults(document: Document, source: Mapping[str, Any], supply_v: float) -> Iterator[Fault]:
    """Yield a fault for each voltage that no battery of the nominal one has; and which one it would be."""
    for key, when in _STATES.items():
        volts = _volts(source.get(key))
        if volts is None or is_of_battery(volts, supply_v, key):
            continue
        low_v, high_v = battery_range_v(supply_v, key)
        usual = (each for each in _USUAL_V if each != supply_v and is_of_battery(volts, each, key))
        other_v = next(usual, None)
        nominal = f"nominal: {other_v:g} V, or " if other_v else ""
        words = (
            f"{key} {volts:g} V is no voltage of a {supply_v:g} V battery, which gives {low_v:.3g} to "
            f"{high_v:.3g} V {when}; write {nominal}what was measured there"
        )
        yield document.fault(("source", key), words)


def _fuse_faults(document: Document, source: Mapping[str, Any]) -> Iterator[Fault]:
    """Yield a fault for each fuse of a rating, or of any, that no family has for the source's voltage."""
    volts = max(each for key in _SOURCE_KEYS if (each := _volts(source.get(key))) is not None)
    if volts > most_planned_v()[0]:
        return  # refused altogether
    families = load_table("fuses")["families"]
    enough = {
        each for family in families if volts <= family["voltage_v"]["value"] for each in _ratings(family)
    }
    for (index,), run in items_in(document.data.get("runs"), ()):
        rating_a = _amperes(run.get("fuse"))
        with_it = [family for family in families if rating_a in _ratings(family)]
        if ("fuse" in run and not enough) or (with_it and rating_a not in enough):
            highest = max((each["voltage_v"] for each in with_it or families), key=lambda each: each["value"])
            words = (
                f'"{run["fuse"]}" has fuse-links for no more than {highest["value"]:g} V '
                f"({highest['source']}), and the source gives {volts:g} V (33 CFR 183.455(d)); "
            )
            listed = ", ".join(f"{each:g} A" for each in sorted(enough))
            words += f"write auto, or one of {listed}" if enough else "take a converter to a lower voltage"
            yield document.fault(("runs", index, "fuse"), words)


def _ratings(family: Mapping[str, Any]) -> tuple[float, ...]:
    coloured = (float(row["rating_a"]) for row in family.get("ratings", ()))
    return (*coloured, *(float(rating_a) for rating_a in family.get("ratings_a", ())))


def _lamp_faults(document: Document, path: Path, raw: Mapping[str, Any], supply_v: float) -> Iterator[Fault]:
    held = raw.get("lamps")
    for index, text in enumerate(held if isinstance(held, list) else [held]):
        try:
            name = parse_lamps(str(text)).lamp.split()[0]
        except ValueError:
            continue  # reported as a fault of structure
        lamp_v = float(lamp_row(name)["nominal_v"])
        if not is_of_supply(lamp_v, supply_v):
            inner = (*path, "lamps", index) if isinstance(held, list) else (*path, "lamps")
            words = (
                f'has "{text}", whose figures are of a {lamp_v:g} V lamp, and the supply is {supply_v:g} V; '
                f"write load: with what lamps of {supply_v:g} V draw"
            )
            yield document.fault(inner, words)


def _unit_faults(document: Document, path: Path, raw: Mapping[str, Any], supply_v: float) -> Iterator[Fault]:
    try:
        low_v, high_v = unit_voltage(raw["voltage"])
    except (KeyError, ValueError):
        return  # not written, or reported as a fault of structure
    is_one = low_v == high_v
    if not (is_of_supply(low_v, supply_v) if is_one else low_v <= supply_v <= high_v):
        made_for = f"{low_v:g} V" if is_one else f"{low_v:g} to {high_v:g} V"
        words = (
            f"voltage: its load is made for {made_for}, and the supply is {supply_v:g} V; take another unit"
        )
        words += ", a converter between them, or correct the voltage"
        yield document.fault((*path, "voltage"), words)


def _inverter_faults(
    document: Document, path: Path, raw: Mapping[str, Any], supply_v: float
) -> Iterator[Fault]:
    lowest_v = _volts(mapping_in(raw.get("inverter")).get("lowest"))
    if lowest_v is not None and lowest_v > supply_v:
        words = (
            f"lowest {lowest_v:g} V is above the supply's {supply_v:g} V; write at how little it still runs"
        )
        yield document.fault((*path, "inverter", "lowest"), words)


def _amperes(value: object) -> float | None:
    try:
        return parse_quantity(str(value), "current")
    except ValueError:
        return None


def _volts(value: object) -> float | None:
    try:
        return parse_quantity(str(value), "voltage")
    except ValueError:
        return None
