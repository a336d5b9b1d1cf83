"""A plan band that is larger than a sheet: tiles that overlap, with marks to cut and to lay them by.

All tiles show one plan band that was laid out, labels and all, as if on one large sheet. Rows have letters
from the top, columns numbers from the front: A1, A2, B1. Tiles on which no space lies are left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from router.drawing.labels.labelling import COST_OF_AWKWARD_PLACE, Label, LabelBoard
from router.drawing.layers.vehicle_layer import LARGE, MIDDLE, SMALL, View
from router.drawing.paper import inks
from router.drawing.paper.frame import Box, Frame, SeenFrom
from router.drawing.paper.pen import PaperPoint, PaperSegment, Pen
from router.drawing.sheets.layout import PlanBand, Rows, band_size_mm, frames_of
from router.model.vehicle import Space

OVERLAP_MM = 12.0
MARGIN_MM = 7.0  # round a tile's window, for marks and the names of its neighbours
TICK_MM = 4.0
CROSS_MM = 2.0


@dataclass(frozen=True, slots=True)
class Tile:
    """One tile: its name, its row and column from 0, and its window on the large sheet."""

    name: str
    row: int
    column: int
    window: Box


@dataclass(frozen=True, slots=True)
class Tiling:
    """All tiles of a plan band, and how the vehicle lies on the large sheet."""

    band: PlanBand
    frames: Mapping[str, Frame]
    tiles: tuple[Tile, ...]

    def neighbour(self, tile: Tile, down: int, across: int) -> Tile | None:
        """Return the tile a number of rows further down and columns further right."""
        place = (tile.row + down, tile.column + across)
        return next((other for other in self.tiles if (other.row, other.column) == place), None)


def tile_box(body: Box) -> Box:
    """Return where a tile's window lies in what is free of a sheet."""
    return Box(
        body.x + MARGIN_MM, body.y + MARGIN_MM, body.width - 2 * MARGIN_MM, body.height - 2 * MARGIN_MM
    )


def tiling_of(rows: Rows, scale: float, seen_from: SeenFrom, size: Box) -> Tiling:
    """Return the tiles of a plan band at a scale, each as large as the box `size`."""
    width, height = band_size_mm(rows, scale)
    band = PlanBand(scale, Box(0.0, 0.0, width, height), Box(0.0, 0.0, 0.0, 0.0), (), ())
    frames = frames_of(rows, band, seen_from)
    spaces = [space_box(space, frames[space.name]) for row in rows for space in row]
    tiles = [
        Tile(
            f"{_letters(row)}{column + 1}",
            row,
            column,
            Box(
                column * (size.width - OVERLAP_MM), row * (size.height - OVERLAP_MM), size.width, size.height
            ),
        )
        for row in range(_count(height, size.height))
        for column in range(_count(width, size.width))
    ]
    seen = tuple(tile for tile in tiles if any(_shared(tile.window, box) for box in spaces))
    return Tiling(band, frames, seen)


def draw_tile(pen: Pen, tiling: Tiling, tile: Tile, box: Box, draw_band: Callable[[Pen], None]) -> None:
    """Draw one tile's window, and round it the marks to cut it by and the names of its neighbours."""
    shift = (box.x - tile.window.x, box.y - tile.window.y)
    with pen.window(f"tile {tile.name}", (box.x, box.y), box.width, box.height, shift):
        draw_band(pen)
    with pen.group(
        f"marks of tile {tile.name}", f"Tile {tile.name}: cut at the marks, or lay cross on cross"
    ):
        half = OVERLAP_MM / 2
        left, right, above, below = (
            tiling.neighbour(tile, *step) for step in ((0, -1), (0, 1), (-1, 0), (1, 0))
        )
        x0, x1 = box.x + half * bool(left), box.right - half * bool(right)
        y0, y1 = box.y + half * bool(above), box.bottom - half * bool(below)
        pen.segments(_ticks(box, (x0, x1), (y0, y1)), inks.DIMENSION)
        ups = [box.y + box.height * share for share in (0.25, 0.75)]
        alongs = [box.x + box.width * share for share in (0.25, 0.75)]
        crosses = [(x, y) for x, is_there in ((x0, left), (x1, right)) if is_there for y in ups]
        crosses += [(x, y) for y, is_there in ((y0, above), (y1, below)) if is_there for x in alongs]
        pen.segments([arm for place in crosses for arm in _cross(place)], inks.DIMENSION)
        _name(pen, tile, box, (left, right, above, below))


def mark_tiles(pen: Pen, view: View, tiling: Tiling, board: LabelBoard) -> None:
    """Draw on the small plan band which part of each space is on which tile."""
    with pen.group("tiles", "Which tile shows what"):
        for tile in tiling.tiles:
            half = OVERLAP_MM / 2
            window = tile.window
            cut = Box(window.x + half, window.y + half, window.width - 2 * half, window.height - 2 * half)
            for space in view.profile.spaces:
                if not view.shows(space.name):
                    continue
                shared = _shared(cut, space_box(space, tiling.frames[space.name]))
                if shared:
                    corners = _moved(shared, tiling.frames[space.name], view.frame(space.name))
                    pen.line([*corners, corners[0]], inks.DIMENSION)
                    middle = (corners[0][0] + corners[2][0]) / 2, (corners[0][1] + corners[2][1]) / 2
                    words = f"tile {tile.name}"
                    board.add(Label(words, (middle, *corners), MIDDLE, is_bold=True, may_lie_on=True))


def keep_labels_whole(tiling: Tiling, board: LabelBoard) -> None:
    """Ask labels to keep off the edges of the windows."""
    from shapely.geometry import LineString  # noqa: PLC0415 - only where there are tiles

    for tile in tiling.tiles:
        w = tile.window
        corners = [(w.x, w.y), (w.right, w.y), (w.right, w.bottom), (w.x, w.bottom), (w.x, w.y)]
        board.add_obstacle(LineString(corners), COST_OF_AWKWARD_PLACE)


def space_box(space: Space, frame: Frame) -> Box:
    """Return the upright box round a space on paper."""
    places = frame.all_at(space.outline)
    xs, ys = [x for x, _ in places], [y for _, y in places]
    return Box(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def _count(length_mm: float, window_mm: float) -> int:
    return max(1, math.ceil((length_mm - OVERLAP_MM) / (window_mm - OVERLAP_MM) - 1e-9))


def _letters(row: int) -> str:
    return chr(ord("A") + row) if row < 26 else f"{_letters(row // 26 - 1)}{_letters(row % 26)}"


def _shared(one: Box, other: Box) -> Box | None:
    x0, y0 = max(one.x, other.x), max(one.y, other.y)
    x1, y1 = min(one.right, other.right), min(one.bottom, other.bottom)
    return Box(x0, y0, x1 - x0, y1 - y0) if x1 > x0 and y1 > y0 else None


def _moved(box: Box, before: Frame, after: Frame) -> list[PaperPoint]:
    """Return the corners of a box as they lie in another frame of the same space."""
    by = before.scale / after.scale
    corners = ((box.x, box.y), (box.right, box.y), (box.right, box.bottom), (box.x, box.bottom))
    (bx, by_), (ax, ay) = before.origin, after.origin
    return [(ax + (x - bx) * by, ay + (y - by_) * by) for x, y in corners]


def _ticks(box: Box, xs: tuple[float, float], ys: tuple[float, float]) -> list[PaperSegment]:
    ups = [
        ((x, y), (x, y + tick_mm))
        for x in xs
        for y, tick_mm in ((box.y - 1, -TICK_MM), (box.bottom + 1, TICK_MM))
    ]
    alongs = [
        ((x, y), (x + tick_mm, y))
        for y in ys
        for x, tick_mm in ((box.x - 1, -TICK_MM), (box.right + 1, TICK_MM))
    ]
    return [*ups, *alongs]


def _cross(place: PaperPoint) -> list[PaperSegment]:
    x, y = place
    return [((x - CROSS_MM, y), (x + CROSS_MM, y)), ((x, y - CROSS_MM), (x, y + CROSS_MM))]


def _name(pen: Pen, tile: Tile, box: Box, neighbours: Sequence[Tile | None]) -> None:
    left, right, above, below = neighbours
    top, foot = box.y - 2.0, box.bottom + 4.6
    middle = box.x + box.width / 2
    pen.text((box.x + 10, top), f"TILE {tile.name}", size_mm=LARGE, is_bold=True)
    if left:
        pen.text((box.x + 34, top), f"at the left: {left.name}", size_mm=SMALL)
    if above:
        pen.text((middle, top), f"above: {above.name}", size_mm=SMALL, anchor="middle")
    if right:
        pen.text((box.right - 10, top), f"at the right: {right.name}", size_mm=SMALL, anchor="end")
    if below:
        pen.text((middle, foot), f"below: {below.name}", size_mm=SMALL, anchor="middle")
