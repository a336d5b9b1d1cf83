"""The parts of a profile as they are drawn and listed: read from its data, passing over what cannot be read.

A profile that is being measured is not whole yet. Whatever of it can be understood is shown; its faults are
told elsewhere, by `underbody check`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from router.units import parse_quantity

Point = tuple[float, float]
_SHAPES = ("outline", "area", "along", "at", "over", "through")
_NEEDS_HEIGHT = frozenset({"spaces", "steps", "keep-outs", "terminals"})
SECTIONS = ("spaces", "panels", "keep-outs", "members", "supports", "covers", "openings", "terminals")


@dataclass(frozen=True, slots=True)
class VehiclePart:
    """One part of a vehicle, as far as it was written."""

    section: str
    name: str
    space: str
    form: str
    """The key of its shape: outline, area, along, at, over, through or disc; empty where it has none."""
    points: tuple[Point, ...]
    radius_mm: float
    """Half the width of a line, or a disc's radius."""
    heights_mm: tuple[float, float] | None
    assumed_mm: float | None
    hazard: str

    @property
    def lacks_height(self) -> bool:
        """Return whether it should have a height and has none."""
        return self.heights_mm is None and self.section in _NEEDS_HEIGHT

    @property
    def box_mm(self) -> tuple[float, float, float, float]:
        """Return the least x, least y, greatest x and greatest y that it reaches."""
        xs, ys = [x for x, _ in self.points], [y for _, y in self.points]
        away = self.radius_mm if self.form == "disc" else 0.0
        return min(xs) - away, min(ys) - away, max(xs) + away, max(ys) + away


def parts_of(data: Mapping[str, Any]) -> tuple[VehiclePart, ...]:
    """Return every part of a profile's data that has a place, in the order of the file."""
    scale = _mm_per_unit(data)
    return tuple(
        part
        for section in SECTIONS
        for name, item in _items(data.get(section))
        for part in _with_inner(section, name, item, scale)
        if part.points
    )


def kinds_of_spaces(data: Mapping[str, Any]) -> dict[str, str]:
    """Return the kind of each space by its name; empty for one that says none."""
    return {name: str(item.get("kind", "")) for name, item in _items(data.get("spaces"))}


def _items(section: object) -> Iterator[tuple[str, Mapping[str, Any]]]:
    if isinstance(section, dict):
        yield from ((str(name), item) for name, item in section.items() if isinstance(item, dict))
    elif isinstance(section, list):
        yield from ((str(item.get("name", "")), item) for item in section if isinstance(item, dict))


def _with_inner(section: str, name: str, item: Mapping[str, Any], scale: float) -> Iterator[VehiclePart]:
    part = _part(section, name, item, scale)
    yield replace(part, space=name) if section == "spaces" else part
    for inner, words in (("steps", "step of"), ("passes", "pass of")):
        for number, (_, each) in enumerate(_items(item.get(inner)), start=1):
            space = name if inner == "steps" else part.space
            yield replace(_part(inner, f"{words} {name}, {number}", each, scale), space=space)


def _part(section: str, name: str, item: Mapping[str, Any], scale: float) -> VehiclePart:
    form, points, radius_mm = _shape(item, scale)
    between = item.get("joins") or item.get("between") or [""]
    space = item.get("space") or (between[0] if isinstance(between, list) else "")
    return VehiclePart(
        section, name, str(space), form, points, radius_mm,
        _heights(item), _length(item.get("assumed")), str(item.get("hazard", "")),
    )  # fmt: skip


def _shape(item: Mapping[str, Any], scale: float) -> tuple[str, tuple[Point, ...], float]:
    disc = item.get("disc")
    if isinstance(disc, dict):
        return "disc", _points([disc.get("centre")], scale), _length(disc.get("radius")) or 0.0
    for key in _SHAPES:
        if key in item:
            value = [item[key]] if key in ("at", "through") else item[key]
            return key, _points(value, scale), (_length(item.get("width")) or 0.0) / 2
    return "", (), 0.0


def _points(value: object, scale: float) -> tuple[Point, ...]:
    if not isinstance(value, list):
        return ()
    return tuple(
        (each[0] * scale, each[1] * scale)
        for each in value
        if isinstance(each, list) and len(each) == 2 and all(type(number) in (int, float) for number in each)
    )


def _heights(item: Mapping[str, Any]) -> tuple[float, float] | None:
    found = item.get("heights", [item.get("height")])
    lengths = [_length(each) for each in found] if isinstance(found, list) else []
    known = [each for each in lengths if each is not None]
    return (min(known), max(known)) if known and len(known) == len(lengths) else None


def _length(value: object) -> float | None:
    try:
        return parse_quantity(value, "length") if isinstance(value, str) else None
    except ValueError:
        return None


def _mm_per_unit(data: Mapping[str, Any]) -> float:
    return _length(f"1 {data.get('unit')}") or 1.0
