"""What a polished way may pass on its other side: a vertex where borders meet, a corner in the way of a leg."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from router.routing.ground import XY, Field
from router.routing.search import Ground, Node, Way

_Across = tuple[Node, float, tuple[str, ...]]
"""A fan that a border is crossed out of, at what cost and meeting what."""


def corners_between(field: Field, ends: Sequence[XY], moved: Sequence[XY]) -> list[int]:
    """Return the corners that a leg is stretched round when its ends are moved, as fans in its order.

    They are those of the convex hull of all corners that the leg sweeps over.

    Parameters
    ----------
    field : Field
    ends, moved : pairs of (x, y)
        The leg's two ends, where it is free, and where they are to be moved to. [mm]
    """
    fans = np.array([fan for fan, bend in enumerate(field.bends) if bend is not None], dtype=np.int64)
    places = np.array([bend[:2] for bend in field.bends if bend is not None]).reshape(-1, 2)
    swept = shapely.convex_hull(shapely.multipoints([*ends, *moved]))
    inside = np.flatnonzero(shapely.intersects_xy(swept, places[:, 0], places[:, 1]))
    known = {(x, y): int(fans[i]) for i, (x, y) in zip(inside, places[inside].tolist(), strict=True)}
    hull = shapely.convex_hull(shapely.multipoints([*moved, *known]))
    if hull.geom_type != "Polygon":
        return []
    ring = [(x, y) for x, y in hull.exterior.coords[:-1]]
    start, end = (tuple(place) for place in moved)
    if start not in ring or end not in ring:
        return []
    first = ring.index(start)
    ring = ring[first:] + ring[:first]
    chain = ring[1 : ring.index(end)] or ring[:0:-1][: -ring.index(end)]
    return [known[place] for place in chain if place in known]


def ways_round(ground: Ground, way: Way) -> Iterator[Way]:
    """Give the ways that pass one vertex, at which they cross several borders, on its other side.

    Only where that meets the same.
    """
    for first, last in _stands(way):
        keys = {key for step in way.steps[first:last] for key in step.keys}
        back = _other_way_round(ground, way.nodes[first], way.nodes[last], way.nodes[last - 1])
        if not back or {key for _, _, met in back for key in met} != keys:
            continue
        passed = back[::-1]
        steps = [replace(way.steps[first], keys=met) for _, _, met in passed]
        before_mm = sum(_cost_mm(ground, way, number) for number in range(first, last))
        more_mm = sum(cost_mm for _, cost_mm, _ in passed) - before_mm
        yield Way(
            (*way.steps[:first], *steps, *way.steps[last:]),
            way.effort_mm + more_mm,
            (*way.nodes[:first], *(node for node, _, _ in passed), *way.nodes[last:]),
        )


def _stands(way: Way) -> Iterator[tuple[int, int]]:
    """Give the first and the last step of those that stand on one vertex and cross several borders there."""
    first = 0
    for number in range(1, len(way.nodes) + 1):
        if number < len(way.nodes) and _is_crossing(way, number):
            continue
        if number - 1 - first > 1:
            yield first, number - 1
        first = number


def _is_crossing(way: Way, number: int) -> bool:
    """Return whether a step stands where the one before it does, both of them on fans."""
    here, before = way.steps[number], way.steps[number - 1]
    are_fans = way.nodes[number][0] == way.nodes[number - 1][0] == "fan"
    return are_fans and (here.sheet, here.x, here.y) == (before.sheet, before.x, before.y)


def _cost_mm(ground: Ground, way: Way, number: int) -> float:
    moves = ground.moves_into(way.nodes[number + 1], None)
    return min(move[1] for move in moves if move[0] == way.nodes[number])


def _other_way_round(ground: Ground, start: Node, end: Node, known: Node) -> list[_Across]:
    """Return how to come back from one fan of a vertex to another, not by a known one; nothing where shut."""
    found: list[_Across] = []
    here, came_from = end, known
    while here != start:
        steps = [
            (origin, cost_mm, keys)
            for origin, cost_mm, rail, link, keys in ground.steps_into(here)
            if origin[0] == "fan" and origin != came_from
        ]
        if len(steps) != 1 or len(found) > len(ground.fields[end[1]].mesh.fans_at):
            return []
        found += steps
        here, came_from = steps[0][0], here
    return found
