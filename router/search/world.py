"""A world of free space and what lies on it: pure geometry, no vehicle words.

World    layers of free space, joined by links
zone     an area whose millimetres cost `factor` each and whose entry costs `amount`
gate     a line whose crossing costs `amount`
rail     a line that may be ridden at `factor`, joined and left where `join` lies for `join_mm`
link     a jump between two points (of the same or of different layers) for `cost_mm`

Every part carries a `key` by which a search may be told to use or to avoid it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any, TypeAlias

XY: TypeAlias = tuple[float, float]
Key: TypeAlias = str | Enum
"""Names of the caller's things are text; what the caller makes up itself is an enum, and equals no name."""


def may_meet(a: XY, b: XY, bounds: tuple[float, ...], within_mm: float = 0.0) -> bool:
    """Return whether a leg's box meets the bounds of an area; nothing that does not is looked at closely.

    Parameters
    ----------
    a, b : (x, y)
        The leg's ends. [mm]
    bounds : (low x, low y, high x, high y)
        Of the area; empty where it is. [mm]
    within_mm : float
        How much further apart they may be and still count.
    """
    if not bounds:
        return False
    low_x, low_y, high_x, high_y = bounds
    return (
        min(a[0], b[0]) <= high_x + within_mm
        and max(a[0], b[0]) >= low_x - within_mm
        and min(a[1], b[1]) <= high_y + within_mm
        and max(a[1], b[1]) >= low_y - within_mm
    )


@dataclass(frozen=True, slots=True)
class Zone:
    """An area with a factor and an amount for going in; zones may overlap, their factors multiply."""

    key: Key
    area: Any
    factor: float
    amount_mm: float


@dataclass(frozen=True, slots=True)
class Gate:
    """A line across free space whose crossing costs something."""

    key: str
    line: Any
    amount_mm: float


@dataclass(frozen=True, slots=True)
class Rail:
    """A line to ride on. `ride` and `join` are the parts of `line` where that may be done."""

    key: str
    line: Any
    ride: Any
    join: Any
    factor: float
    join_mm: float


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of free space (a Polygon or MultiPolygon) and what lies on it."""

    key: str
    free: Any
    zones: tuple[Zone, ...]
    gates: tuple[Gate, ...]
    rails: tuple[Rail, ...]


@dataclass(frozen=True, slots=True)
class Link:
    """A jump between a point of one layer and a point of another (or of the same) layer."""

    key: str
    layers: tuple[int, int]
    ends: tuple[XY, XY]
    cost_mm: float


@dataclass(frozen=True, slots=True)
class World:
    """All layers, and the links between them."""

    layers: tuple[Layer, ...]
    links: tuple[Link, ...]
