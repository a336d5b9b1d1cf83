"""The best tree for a few runs with a common end, by trying everything: an independent yardstick.

Places are a grid over the free ground, its corners and the terminals; between any two the straight line,
where shapely says that it is free, and all-pairs shortest ways over these (R. W. Floyd, Comm. ACM 5 (1962)
345). Over the places runs the
recurrence of S. E. Dreyfus and R. A. Wagner, Networks 1 (1971) 195, with a price that depends on how many
runs a stretch carries (1 + share for each further run): the best way to bring a set of runs to a place is
the best over all places to come from and all ways to part the set there. Exact over these places; the best
tree of all costs a little less, by what the grid is too coarse for.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

XY = tuple[float, float]


def distances_mm(free: Any, places: Any) -> Any:
    """Return the length of the shortest free way over the places between each two of them."""
    first, second = np.triu_indices(len(places), 1)
    legs = shapely.linestrings(np.stack([places[first], places[second]], axis=1))
    room = shapely.buffer(free, 1e-7)
    shapely.prepare(room)
    can_see = shapely.covers(room, legs)
    lengths = np.full((len(places), len(places)), np.inf)
    lengths[first[can_see], second[can_see]] = shapely.length(legs[can_see])
    lengths = np.minimum(lengths, lengths.T)
    np.fill_diagonal(lengths, 0.0)
    for by in range(len(places)):
        lengths = np.minimum(lengths, lengths[:, by, None] + lengths[None, by, :])
    return lengths


def places_on(free: Any, terminals: Sequence[XY], step_mm: float) -> Any:
    """Return terminals, corners of the free ground and a grid over it, the terminals first."""
    low_x, low_y, high_x, high_y = free.bounds
    xs, ys = np.arange(low_x, high_x + 1e-9, step_mm), np.arange(low_y, high_y + 1e-9, step_mm)
    grid = np.array(list(itertools.product(xs, ys)))
    grid = grid[shapely.intersects_xy(free, grid[:, 0], grid[:, 1])]
    corners = np.unique(shapely.get_coordinates(free), axis=0)
    return np.vstack([np.array(terminals), corners, grid])


def best_tree_mm(free: Any, common: XY, ends: Sequence[XY], share: float, step_mm: float) -> float:
    """Return the least effort of runs from one common terminal to the others, over the places."""
    ways = distances_mm(free, places_on(free, [common, *ends], step_mm))
    reach = {frozenset([n]): ways[n + 1] for n in range(len(ends))}
    for size in range(2, len(ends) + 1):
        for runs in map(frozenset, itertools.combinations(range(len(ends)), size)):
            parted = np.min([reach[part] + reach[runs - part] for part in _parts(runs)], axis=0)
            price = 1.0 + share * (size - 1)
            reach[runs] = np.minimum(parted, np.min(parted[None, :] + price * ways, axis=1))
    return float(reach[frozenset(range(len(ends)))][0])


def _parts(runs: frozenset[int]) -> list[frozenset[int]]:
    first, *rest = sorted(runs)
    return [
        frozenset([first, *chosen])
        for count in range(len(rest))
        for chosen in itertools.combinations(rest, count)
    ]
