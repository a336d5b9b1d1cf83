"""What a drawing holds already, as a fine grid of cells, to be asked by thousands of places at once.

Every thing drawn takes the cells that it touches. For each cell the taken cells above and to the left of it
are counted once (a summed-area table); four look-ups then give how many taken cells any rectangle holds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from router.drawing.paper.frame import Box

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Counts = NDArray[np.int32]

FINEST_MM = 0.3  # less than the gap between two labels
LEADER_STEP = 1.4  # cells from one look to the next along a leader
MOST_CELLS = 1_200_000  # of a large sheet: coarser cells, so that time and memory stay small


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Something drawn: what it costs to lie on it, and whose labels may."""

    geometry: BaseGeometry
    cost: float
    owner: str


class Occupied:
    """Everything that does not move, ready to be asked by many boxes at once.

    Parameters
    ----------
    obstacles : sequence of Obstacle
        In mm of paper.
    inside : Box
        Where labels may lie; the grid covers it.
    crosses : float
        What a leader costs for each thing that it enters; things that are cheaper to lie on do not count.
    """

    def __init__(self, obstacles: Sequence[Obstacle], inside: Box, crosses: float) -> None:
        self._x, self._y = inside.x, inside.y
        self._cell_mm = max(FINEST_MM, (inside.width * inside.height / MOST_CELLS) ** 0.5)
        self._across = int(inside.width / self._cell_mm) + 1
        self._down = int(inside.height / self._cell_mm) + 1
        self._crosses = crosses
        costs = np.array([obstacle.cost for obstacle in obstacles], dtype=float)
        self._levels, level_of = np.unique(costs, return_inverse=True)
        self._owners = {name: number for number, name in enumerate({o.owner: None for o in obstacles})}
        short = np.min_scalar_type(len(obstacles))  # much quicker to sort by
        owner_of = np.array([self._owners[obstacle.owner] for obstacle in obstacles], dtype=short)
        shape, cell = self._cells_of(np.array([obstacle.geometry for obstacle in obstacles], dtype=object))
        self._total = _summed(cell, level_of[shape], len(self._levels), self._down, self._across)
        hard = np.bincount(cell[(costs >= crosses)[shape]], minlength=self._down * self._across)
        self._hard = hard.astype(np.int32)
        self._scratch = np.zeros_like(self._hard)  # nought between two questions
        order = np.argsort(owner_of[shape], kind="stable")
        self._cell, self._level = cell[order], level_of[shape[order]]
        self._first = np.searchsorted(owner_of[shape[order]], np.arange(len(self._owners) + 1))

    def costs(self, boxes: Floats, label: Ints, owners: Sequence[str]) -> Floats:
        """Return what each box (x0, y0, x1, y1) lies on, as a cost; what belongs to its owner is free.

        Parameters
        ----------
        boxes : array (n, 4)
            In mm of paper.
        label : array (n,)
            For each box the number of its label; sorted.
        owners : sequence of str
            For each label whose things it may lie on.
        """
        if not len(self._levels):
            return np.zeros(len(boxes))
        corners = self._corners(boxes)
        counts = _inside(self._total, *corners)
        for part, owner in _parts(label, owners):
            counts[part] -= self._own_inside(owner, *(corner[part] for corner in corners))
        cost: Floats = (counts > 0).astype(float) @ self._levels
        return cost

    def leader_costs(self, leaders: Floats, label: Ints, owners: Sequence[str]) -> Floats:
        """Return what each leader (x0, y0, x1, y1) costs by the things that it enters; as for `costs`."""
        cost = np.zeros(len(leaders))
        lengths = np.hypot(leaders[:, 2] - leaders[:, 0], leaders[:, 3] - leaders[:, 1])
        drawn = np.flatnonzero(lengths > 0)
        if not (len(drawn) and len(self._levels)):
            return cost
        share = np.linspace(0.0, 1.0, int(lengths.max() / (LEADER_STEP * self._cell_mm)) + 2)
        x0, y0, x1, y1 = leaders[drawn].T[:, :, None]
        across = ((x0 + (x1 - x0) * share - self._x) / self._cell_mm).astype(np.int32)
        down = ((y0 + (y1 - y0) * share - self._y) / self._cell_mm).astype(np.int32)
        cells = down.clip(0, self._down - 1) * self._across + across.clip(0, self._across - 1)
        taken = self._hard.take(cells)
        for part, owner in _parts(label[drawn], owners):
            taken[part] -= self._own_cells(owner, cells[part])
        is_in = taken > 0
        entries = is_in[:, 0] + (is_in[:, 1:] & ~is_in[:, :-1]).sum(axis=1)
        cost[drawn] = self._crosses * entries
        return cost

    def _own(self, owner: str) -> tuple[Ints, Ints]:
        """Return the cells that belong to an owner, and the level of each."""
        number = self._owners.get(owner)
        if number is None:
            return self._cell[:0], self._level[:0]
        part = slice(self._first[number], self._first[number + 1])
        return self._cell[part], self._level[part]

    def _own_cells(self, owner: str, cells: Ints) -> Counts:
        """Return for each cell how many of the things that count for leaders are the owner's."""
        own, level = self._own(owner)
        taken = own[self._levels[level] >= self._crosses]
        np.add.at(self._scratch, taken, np.int32(1))  # of its own type: much quicker
        found: Counts = self._scratch.take(cells)
        self._scratch[taken] = 0
        return found

    def _own_inside(self, owner: str, x0: Ints, y0: Ints, x1: Ints, y1: Ints) -> Counts:
        """Return how many cells that an owner takes, of each level, every box holds.

        Looked up in a grid of the size of what it owns.
        """
        cells, level = self._own(owner)
        if not len(cells):
            return np.zeros((len(x0), len(self._levels)), dtype=np.int32)
        rows, columns = np.divmod(cells, self._across)
        top, left = int(rows.min()), int(columns.min())
        down, across = int(rows.max()) - top + 1, int(columns.max()) - left + 1
        inner = (rows - top) * across + columns - left
        total = _summed(inner, level, len(self._levels), down, across)
        x0, x1 = (x0 - left).clip(0, across), (x1 - left).clip(0, across)
        y0, y1 = (y0 - top).clip(0, down), (y1 - top).clip(0, down)
        return _inside(total, x0, y0, x1, y1)

    def _corners(self, boxes: Floats) -> tuple[Ints, Ints, Ints, Ints]:
        """Return the first cell of each box on both axes, and the first one after it."""
        edges = (boxes - np.array([self._x, self._y, self._x, self._y])) / self._cell_mm
        x0, y0 = np.floor(edges[:, :2]).astype(np.int64).T
        x1, y1 = np.ceil(edges[:, 2:]).astype(np.int64).T
        x0, x1 = x0.clip(0, self._across), x1.clip(0, self._across)
        return x0, y0.clip(0, self._down), x1, y1.clip(0, self._down)

    def _cells_of(self, shapes: NDArray[np.object_]) -> tuple[Ints, Ints]:
        """Return numbers of shapes, and for each a cell that the shape touches."""
        parts, of_shape = shapely.get_parts(shapes, return_index=True)
        is_area = shapely.get_type_id(parts) == shapely.GeometryType.POLYGON
        rings, of_area = shapely.get_rings(parts[is_area], return_index=True)
        lines = np.concatenate([rings, parts[~is_area]])
        owners = np.concatenate([of_shape[is_area][of_area], of_shape[~is_area]])
        points, of_line = shapely.get_coordinates(lines, return_index=True)
        goes_on = of_line[1:] == of_line[:-1]
        starts, ends, owner = points[:-1][goes_on], points[1:][goes_on], owners[of_line[:-1][goes_on]]
        within = of_line[:-1][goes_on] < len(rings)
        edge, cells = self._along(starts, ends)
        area, filled = self._filled(starts[within], ends[within], owner[within])
        return np.concatenate([owner[edge], area]), np.concatenate([cells, filled])

    def _along(self, starts: Floats, ends: Floats) -> tuple[Ints, Ints]:
        """Return the cells along straight pieces, by places half a cell apart."""
        counts = np.ceil(np.hypot(*(ends - starts).T) / (self._cell_mm / 2)).astype(np.int64) + 1
        piece = np.repeat(np.arange(len(counts)), counts)
        number = np.arange(len(piece)) - np.repeat(np.cumsum(counts) - counts, counts)
        share = (number / np.maximum(counts[piece] - 1, 1))[:, None]
        places = starts[piece] * (1 - share) + ends[piece] * share
        xs, ys = (places[:, 0] - self._x) / self._cell_mm, (places[:, 1] - self._y) / self._cell_mm
        held = (xs >= 0) & (ys >= 0) & (xs < self._across) & (ys < self._down)
        cells = ys[held].astype(np.int64) * self._across + xs[held].astype(np.int64)
        return piece[held], cells

    def _filled(self, starts: Floats, ends: Floats, owner: Ints) -> tuple[Ints, Ints]:
        """Return the cells whose middle lies in an area: between every second crossing of its edge."""
        low, high = np.minimum(starts[:, 1], ends[:, 1]), np.maximum(starts[:, 1], ends[:, 1])
        first, last = (
            np.clip(np.ceil((y - self._y) / self._cell_mm - 0.5), 0, self._down).astype(np.int64)
            for y in (low, high)
        )
        counts = last - first
        edge = np.repeat(np.arange(len(counts)), counts)
        row = np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts) + first[edge]
        y = self._y + (row + 0.5) * self._cell_mm
        share = (y - starts[edge, 1]) / (ends[edge, 1] - starts[edge, 1])
        x = starts[edge, 0] + share * (ends[edge, 0] - starts[edge, 0])
        order = np.lexsort((x, row, owner[edge]))
        column = np.clip(np.ceil((x[order] - self._x) / self._cell_mm - 0.5), 0, self._across)
        begin, end = column[0::2].astype(np.int64), column[1::2].astype(np.int64)
        width = end - begin
        span = np.repeat(np.arange(len(width)), width)
        inner = np.arange(len(span)) - np.repeat(np.cumsum(width) - width, width) + begin[span]
        first_of = order[0::2][span]
        return owner[edge[first_of]], row[first_of] * self._across + inner


def _parts(label: Ints, owners: Sequence[str]) -> list[tuple[slice, str]]:
    """Return the rows of every label that owns something, with its owner's name."""
    cuts = np.searchsorted(label, np.arange(len(owners) + 1))
    return [(slice(cuts[n], cuts[n + 1]), owner) for n, owner in enumerate(owners) if owner]


def _summed(cells: Ints, level: Ints, levels: int, down: int, across: int) -> Counts:
    """Return for each cell and level how many taken cells are above and to the left of it."""
    grid = np.bincount(cells * levels + level, minlength=down * across * levels)
    total = np.zeros((down + 1, across + 1, levels), dtype=np.int32)
    total[1:, 1:] = grid.reshape(down, across, levels)
    np.cumsum(total, axis=0, out=total)
    np.cumsum(total, axis=1, out=total)
    return total


def _inside(total: Counts, x0: Ints, y0: Ints, x1: Ints, y1: Ints) -> Counts:
    """Return how many taken cells of each level every box holds."""
    _, across, levels = total.shape
    flat, upper, lower = total.reshape(-1, levels), y0 * across, y1 * across
    found: Counts = (  # `take` on one axis is several times quicker than looking up on two
        flat.take(lower + x1, axis=0)
        - flat.take(upper + x1, axis=0)
        - flat.take(lower + x0, axis=0)
        + flat.take(upper + x0, axis=0)
    )
    return found
