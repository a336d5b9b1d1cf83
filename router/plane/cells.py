"""Which of many boxes may hold a point: a grid of square cells over all of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np


@dataclass(frozen=True, slots=True)
class Cells:
    """Square cells, row by row, and the boxes that reach into each."""

    low_x: float
    low_y: float
    side_mm: float
    columns: int
    rows: int
    boxes: list[int]
    """Cell after cell: the numbers of its boxes, in order."""
    starts: list[int]
    """By cell: where its boxes begin; one more for the end."""

    def boxes_near(self, x: float, y: float) -> list[int]:
        """Return the numbers of the boxes that reach into the cell of a point; none beyond all of them."""
        column, row = (x - self.low_x) // self.side_mm, (y - self.low_y) // self.side_mm
        if not (0 <= column < self.columns and 0 <= row < self.rows):
            return []
        cell = int(row) * self.columns + int(column)
        return self.boxes[self.starts[cell] : self.starts[cell + 1]]


def make_cells(low_x: Any, low_y: Any, high_x: Any, high_y: Any) -> Cells:
    """Return cells over some boxes, about a quarter as many as there are boxes; over none, no cell.

    Parameters
    ----------
    low_x, low_y, high_x, high_y : arrays of float
        By box: its least and its greatest coordinates. [mm]
    """
    if not len(low_x):
        return Cells(0.0, 0.0, 1.0, 0, 0, [], [0])
    left, bottom = float(low_x.min()), float(low_y.min())
    wide, deep = float(high_x.max()) - left, float(high_y.max()) - bottom
    side_mm = 2.0 * float(np.sqrt(wide * deep / len(low_x)))
    first_column, last_column = ((each - left) // side_mm for each in (low_x, high_x))
    first_row, last_row = ((each - bottom) // side_mm for each in (low_y, high_y))
    across = (last_column - first_column + 1).astype(np.int64)
    counts = across * (last_row - first_row + 1).astype(np.int64)
    box = np.repeat(np.arange(len(counts)), counts)
    within = np.arange(len(box)) - np.repeat(np.cumsum(counts) - counts, counts)
    columns, rows = int(wide // side_mm) + 1, int(deep // side_mm) + 1
    row = first_row[box].astype(np.int64) + within // across[box]
    cell = row * columns + first_column[box].astype(np.int64) + within % across[box]
    order = np.argsort(cell, kind="stable")
    starts = np.searchsorted(cell[order], np.arange(columns * rows + 1))
    return Cells(left, bottom, side_mm, columns, rows, box[order].tolist(), starts.tolist())
