"""Whether there is a path at all: which parts of a world hang together, without laying one.

Parts are the pieces of free space of every layer and the stretches of every rail that may be ridden; they
hang together where a rail may be joined and where a link leads from one to the other. As every move can be
made in both directions, there is a path that meets everything asked for if all of it touches one group of
parts.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from router.search.path_search import Ask
from router.search.world import XY, Gate, Link, World, Zone
from router.tolerances import ON_LINE_MM

SHUT_MM = 0.01
"""Half the width of what is cut out where a gate is to be avoided."""


@dataclass(frozen=True, slots=True)
class Parts:
    """The parts of a world and their groups: one number for all that hang together.

    `free` and `rides` hold by layer the pieces of free space and of rails, each with its group; a rail's
    pieces with its key.
    """

    free: tuple[tuple[tuple[Any, int], ...], ...]
    rides: tuple[tuple[tuple[str, Any, int], ...], ...]
    links: tuple[Link, ...]

    def at(self, layer: int, place: XY) -> frozenset[int]:
        """Return the groups that a place of a layer belongs to, on foot."""
        point = shapely.Point(place)
        return frozenset(
            group for part, group in self.free[layer] if shapely.dwithin(part, point, ON_LINE_MM)
        )


def parts_of(world: World, avoid: frozenset[str] = frozenset()) -> Parts:
    """Return the parts of a world that are left when nothing of these keys is used, and their groups."""
    shut = [_shut(layer.gates, layer.zones, avoid) for layer in world.layers]
    free = [
        list(shapely.get_parts(shapely.difference(layer.free, closed)))
        for layer, closed in zip(world.layers, shut, strict=True)
    ]
    rides: list[list[tuple[str, Any, Any]]] = []
    for layer, closed in zip(world.layers, shut, strict=True):
        rails = [rail for rail in layer.rails if rail.key not in avoid]
        rides.append(
            [
                (rail.key, line, shapely.difference(rail.join, closed))
                for rail in rails
                for line in _lines(shapely.difference(rail.ride, closed))
            ]
        )
    groups = _Groups(sum(len(parts) for parts in free) + sum(len(lines) for lines in rides))
    first_free = np.cumsum([0, *[len(parts) for parts in free]])
    first_ride = first_free[-1] + np.cumsum([0, *[len(lines) for lines in rides]])
    for number, parts in enumerate(free):
        for ride, (_, line, join) in enumerate(rides[number]):
            shared = shapely.intersection(parts, shapely.intersection(line, join))
            for part in np.flatnonzero(shapely.length(shared) > ON_LINE_MM):
                groups.join(first_free[number] + part, first_ride[number] + ride)
    links = tuple(link for link in world.links if link.key not in avoid)
    for link in links:
        ends = [_part_at(free[on], at) for on, at in zip(link.layers, link.ends, strict=True)]
        if ends[0] is not None and ends[1] is not None:
            groups.join(first_free[link.layers[0]] + ends[0], first_free[link.layers[1]] + ends[1])
    return Parts(
        tuple(
            tuple((part, groups.of(first_free[number] + n)) for n, part in enumerate(parts))
            for number, parts in enumerate(free)
        ),
        tuple(
            tuple((key, line, groups.of(first_ride[number] + n)) for n, (key, line, _) in enumerate(lines))
            for number, lines in enumerate(rides)
        ),
        links,
    )


def is_reached(world: World, sites: tuple[tuple[int, XY], ...], ask: Ask) -> bool:
    """Return whether there is a path that answers a question.

    Parameters
    ----------
    world : World
    sites : tuple of (layer, (x, y))
        What the question's numbers stand for. [mm]
    ask : Ask
    """
    parts = parts_of(world, ask.avoid)
    groups = parts.at(*sites[ask.start]) & parts.at(*sites[ask.goal])
    for key in ask.via:
        groups &= frozenset(_groups_of(world, parts, key))
    return bool(groups)


def _groups_of(world: World, parts: Parts, key: str) -> Iterator[int]:
    """Yield the groups from which something of a key can be used."""
    for link in parts.links:
        if link.key == key:
            yield from parts.at(link.layers[0], link.ends[0]) & parts.at(link.layers[1], link.ends[1])
    for number, layer in enumerate(world.layers):
        yield from (group for name, _, group in parts.rides[number] if name == key)
        things = [gate.line for gate in layer.gates if gate.key == key]
        things += [zone.area for zone in layer.zones if zone.key == key]
        for thing in things:
            yield from (g for part, g in parts.free[number] if shapely.intersects(part, thing))
            yield from (g for _, line, g in parts.rides[number] if shapely.intersects(line, thing))


def _shut(gates: tuple[Gate, ...], zones: tuple[Zone, ...], avoid: frozenset[str]) -> Any:
    if not avoid:
        return shapely.Polygon()
    lines = [shapely.buffer(gate.line, SHUT_MM, quad_segs=1) for gate in gates if gate.key in avoid]
    return shapely.union_all([*lines, *[zone.area for zone in zones if zone.key in avoid]])


def _lines(geometry: shapely.Geometry) -> list[Any]:
    merged = shapely.line_merge(geometry)
    return [
        part for part in shapely.get_parts(merged) if part.geom_type == "LineString" and not part.is_empty
    ]


def _part_at(parts: list[shapely.Geometry], place: XY) -> int | None:
    point = shapely.Point(place)
    return next(
        (number for number, part in enumerate(parts) if shapely.dwithin(part, point, ON_LINE_MM)), None
    )


class _Groups:
    """Which of some numbered things hang together."""

    def __init__(self, count: int) -> None:
        self._above = list(range(count))

    def of(self, number: int) -> int:
        while self._above[number] != number:
            number = self._above[number]
        return number

    def join(self, one: int, other: int) -> None:
        self._above[self.of(int(one))] = self.of(int(other))
