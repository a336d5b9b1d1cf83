"""A world of free space and what lies on it: pure geometry, no vehicle words.

World    layers of free space, joined by links
zone     an area whose millimetres cost `surcharge` more each and whose entry costs `amount`
gate     a line whose crossing costs `amount`
rail     a line that may be ridden at `factor`, joined and left along `joins` at what each of them costs
link     a jump between two points (of the same or of different layers) for `cost_mm`

A millimetre of bare ground costs the `factor` of its layer, and the surcharges of all zones that it lies in;
ridden on a rail it costs the rail's `factor`, and the surcharges of those that count on rails.

Every part carries a `key` by which a search may be told to use or to avoid it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any, NamedTuple, TypeAlias

import shapely

from router.tolerances import SAME_PLACE_MM

XY: TypeAlias = tuple[float, float]
Key: TypeAlias = str | Enum | tuple[Enum, str, int]
"""Names of the caller's things are text; what the caller makes up itself is an enum, or one with a name and a
number, and equals no name."""
LEAST_FACTOR = 0.05
"""What a mm costs at least, however many surcharges below 0 meet.

A way that costs nothing may be of any length, and one that costs less than nothing has no end: no search and
no proof would come to one. Twenty times around for nothing is more than a loom ever gains.
"""


def factor_of(base: float, surcharges: Iterable[float]) -> float:
    """Return what a mm costs, of ground or of a rail, where these surcharges are added."""
    return max(LEAST_FACTOR, base + sum(surcharges))


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
    """An area with a surcharge a mm and an amount for going in; where zones overlap, surcharges add up."""

    key: Key
    area: Any
    surcharge: float
    amount_mm: float
    is_on_rails: bool = True
    """Whether the surcharge counts on rails too."""


@dataclass(frozen=True, slots=True)
class Gate:
    """A line across free space whose crossing costs something."""

    key: Key
    line: Any
    amount_mm: float
    is_on_rails: bool = True
    """Whether who rides across it on a rail pays too."""


@dataclass(frozen=True, slots=True)
class Join:
    """Parts of a rail's line, and what it costs to join or to leave the rail on them."""

    line: Any
    cost_mm: float


@dataclass(frozen=True, slots=True)
class Rail:
    """A line to ride on; `ride` are the parts of `line` where that may be done."""

    key: str
    line: Any
    ride: Any
    joins: tuple[Join, ...]
    """Where it may be joined; where two of them meet, the cheaper counts."""
    factor: float
    slopes: tuple[float, ...]
    """By straight segment of `line`: its true length by that in plan, at least 1."""

    @property
    def join(self) -> Any:
        """Return all parts of the line where it may be joined, at whatever cost."""
        return shapely.MultiLineString(
            [part for join in self.joins for part in shapely.get_parts(join.line) if not part.is_empty]
        )


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of free space (a Polygon or MultiPolygon) and what lies on it."""

    key: str
    free: Any
    zones: tuple[Zone, ...]
    gates: tuple[Gate, ...]
    rails: tuple[Rail, ...]
    factor: float
    """What a mm costs outside of all zones."""


@dataclass(frozen=True, slots=True)
class Link:
    """A jump between a point of one layer and a point of another (or of the same) layer."""

    key: str
    layers: tuple[int, int]
    ends: tuple[XY, XY]
    cost_mm: float


class Crossing(NamedTuple):
    """A gate of a layer by its number there, or a link by its own: what leads from one side to the other."""

    layer: int | None
    number: int


class Ride(NamedTuple):
    """Riding a rail of a layer one way, by its number there: as its line goes, or against it."""

    layer: int
    rail: int
    is_forward: bool


@dataclass(frozen=True, slots=True)
class World:
    """All layers, and the links between them."""

    layers: tuple[Layer, ...]
    links: tuple[Link, ...]

    def crossings(
        self,
        here: tuple[int, float, float],
        there: tuple[int, float, float],
        link: str | None,
        keys: tuple[Key, ...],
    ) -> Iterator[Crossing]:
        """Yield the link that a move takes and the gates that it crosses: of those of one key, the nearest.

        Gates of one key that touch are one, and have the least number of theirs.

        Parameters
        ----------
        here, there : (layer, x, y)
            Where the move begins and ends. [mm]
        link : str or None
            The key of the link that it takes.
        keys : tuple of Key
            Of all that is met on it.
        """
        if link is not None:
            ends = {here, there}
            yield from (
                Crossing(None, number)
                for number, each in enumerate(self.links)
                if each.key == link
                and {(n, *at) for n, at in zip(each.layers, each.ends, strict=True)} == ends
            )
            return
        layer, *at = there
        gates = self.layers[layer].gates
        for key in dict.fromkeys(keys):
            own = {number: gate.line for number, gate in enumerate(gates) if gate.key == key}
            if own:
                nearest = min(own, key=lambda number: own[number].distance(shapely.Point(at)))
                yield Crossing(layer, min(_touching(own, nearest)))

    def ride(self, here: tuple[int, float, float], there: tuple[int, float, float], rail: int) -> Ride | None:
        """Return which way a move rides a rail; None where it stays at one place.

        Parameters
        ----------
        here, there : (layer, x, y)
            Where the move begins and ends, on the rail. [mm]
        rail : int
            The rail's number on its layer.
        """
        line = self.layers[here[0]].rails[rail].line
        from_mm, to_mm = (line.project(shapely.Point(at)) for _, *at in (here, there))
        if abs(to_mm - from_mm) < SAME_PLACE_MM:
            return None
        return Ride(here[0], rail, to_mm > from_mm)


def _touching(lines: Mapping[int, Any], first: int) -> set[int]:
    """Return the numbers of the lines that hang together with the first: they are one gate."""
    found: set[int] = set()
    waiting = {first}
    while waiting:
        found |= waiting
        waiting = {
            number
            for number, line in lines.items()
            if number not in found and any(line.distance(lines[own]) < SAME_PLACE_MM for own in waiting)
        }
    return found
