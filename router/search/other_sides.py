"""What polishing may change of a path's course: corners bent round, the side of a vertex of borders."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from router.search.path_search import Path, PathGraph
from router.search.prepared_layer import PreparedLayer
from router.search.sight_graph import Node
from router.search.world import XY, Key

_Across = tuple[Node, float, tuple[Key, ...]]
"""A fan that a border is crossed out of, at what cost and meeting what."""


def corners_between(prepared: PreparedLayer, ends: Sequence[XY], moved: Sequence[XY]) -> list[int]:
    """Return the corners that a leg is stretched round when its ends are moved, as fans in its order.

    They are those of the convex hull of all corners that the leg sweeps over; none where these lie on both
    sides of it.

    Parameters
    ----------
    prepared : PreparedLayer
    ends, moved : pairs of (x, y)
        The leg's two ends, where it is free, and where they are to be moved to. [mm]
    """
    corners = {bend[:2]: fan for fan, bend in enumerate(prepared.bends) if bend is not None}
    places = np.array(list(corners)).reshape(-1, 2)
    swept = shapely.convex_hull(shapely.multipoints([*ends, *moved]))
    inside = places[shapely.intersects_xy(swept, places[:, 0], places[:, 1])]
    hull = shapely.convex_hull(shapely.multipoints([*moved, *inside]))
    ring = shapely.get_coordinates(hull).tolist()[:-1] if hull.geom_type == "Polygon" else []
    start, end = list(moved[0]), list(moved[1])
    if start not in ring or end not in ring:
        return []
    ring = ring[ring.index(start) :] + ring[: ring.index(start)]
    if ring[1] == end:
        ring = [start, *ring[:0:-1]]
    return [corners[x, y] for x, y in ring[1:-1]] if ring[-1] == end else []


def paths_round(graph: PathGraph, path: Path) -> Iterator[Path]:
    """Yield the paths that pass one vertex, where they cross several borders, on its other side.

    Only those that meet the same in the same order. They cost what this one does, but for amounts.
    """
    for first, last in _stands(path):
        round_it = _other_path_round(graph, path.nodes[first], path.nodes[last], path.nodes[last - 1])
        keys = [key for step in path.steps[first:last] for key in step.keys]
        if not round_it or [key for _, _, met in round_it for key in met] != keys:
            continue
        before_mm = sum(_cost_mm(graph, path, number) for number in range(first, last))
        more_mm = sum(cost_mm for _, cost_mm, _ in round_it) - before_mm
        yield Path(
            (
                *path.steps[:first],
                *(replace(path.steps[first], keys=met) for _, _, met in round_it),
                *path.steps[last:],
            ),
            path.effort_mm + more_mm,
            (*path.nodes[:first], *(node for node, _, _ in round_it), *path.nodes[last:]),
        )


def _stands(path: Path) -> Iterator[tuple[int, int]]:
    """Yield the first and the last step of those that stand on one vertex and cross several borders there."""
    first = 0
    for number in range(1, len(path.nodes) + 1):
        if number < len(path.nodes) and _is_crossing(path, number):
            continue
        if number - 1 - first > 1:
            yield first, number - 1
        first = number


def _is_crossing(path: Path, number: int) -> bool:
    """Return whether a step stands where the one before it does, both of them on fans."""
    here, before = path.steps[number], path.steps[number - 1]
    are_fans = path.nodes[number].kind == path.nodes[number - 1].kind == "fan"
    return are_fans and (here.layer, here.x, here.y) == (before.layer, before.x, before.y)


def _cost_mm(graph: PathGraph, path: Path, number: int) -> float:
    moves = graph.moves_into(path.nodes[number + 1], None)
    return min(move.cost_mm for move in moves if move.origin == path.nodes[number])


def _other_path_round(graph: PathGraph, start: Node, end: Node, known: Node) -> list[_Across]:
    """Return how to go from one fan of a vertex to another, not by a known one; nothing where shut."""
    found: list[_Across] = []
    here, came_from = end, known
    while here != start:
        borders = [
            (move.origin, move.cost_mm, move.keys)
            for move in graph.steps_into(here)
            if move.origin.kind == "fan" and move.origin not in (came_from, end)
        ]
        if len(borders) != 1:
            return []
        found += borders
        here, came_from = borders[0][0], here
    return found[::-1]
