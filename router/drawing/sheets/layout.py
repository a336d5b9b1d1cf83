"""What goes where on the sheets of a map, and at which scale."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from router.drawing.layers.lesson_choices import ShownRoute
from router.drawing.paper.frame import SCALES, Box, Frame, Paper, SeenFrom
from router.drawing.paper.pen import Pen
from router.drawing.sheets import legend, title
from router.facts import Caution
from router.model.comparison import Comparison
from router.model.plan import Plan
from router.model.review import Judgement
from router.model.vehicle import Profile, Space

SIDE_MM = 7.0  # above and below the plan band, for the names of the sides
ROW_GAP_MM = 9.0  # between two rows of spaces
EDGE_MM = 9.0  # round the vehicle, for labels
PART_GAP_MM = 5.0

Rows = tuple[tuple[Space, ...], ...]
Entries = tuple[legend.Entry, ...]


@dataclass(frozen=True, slots=True)
class Request:
    """What is to be drawn, on which paper, seen from where; without a plan the vehicle alone."""

    paper: Paper
    seen_from: SeenFrom
    profile: Profile
    plan: Plan | None
    cautions: tuple[Caution, ...]
    judgement: Judgement | None = None
    """A route that someone drew, to be shown over the planned one."""
    date: str = ""
    """As the caller gives it; empty: a line to write it on."""
    number: str = ""
    """The plan's."""
    scale: float | None = None
    """The plan band's, where one is asked for; else the largest that fits the paper."""
    offered: tuple[ShownRoute, ...] = ()
    """Routes to show on a blank map; it then has one sheet only."""
    comparison: Comparison | None = None
    """What differs from another vehicle, to be shown over this one."""
    is_blank: bool = False
    """Whether the same map is drawn without what was planned, to be filled in by hand."""

    def inner(self, number: int) -> Box:
        """Return what may be printed on of a sheet, counted from 0."""
        return self.paper.inner.moved(number * self.paper.height_mm)

    def body(self, number: int) -> Box:
        """Return what is left of a sheet between its head and its title block."""
        inner = self.inner(number)
        head = title.cautions_height_mm(self.cautions) if number == 0 else 0.0
        return Box(inner.x, inner.y + head, inner.width, inner.height - head - title.TITLE_MM - 2)


@dataclass(frozen=True, slots=True)
class PlanBand:
    """Where the plan band and the legend lie on the first sheet, and at which scale."""

    scale: float
    box: Box
    legend_box: Box
    entries: Entries
    later: Entries
    """What of the legend comes on a later sheet."""


Draw: TypeAlias = Callable[[Pen, Box], None]
"""Draws something in a box."""


@dataclass(frozen=True, slots=True)
class Part:
    """Something across a whole sheet: how high it is, and how it is drawn into its box."""

    name: str
    height_mm: float
    draw: Draw


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """A part with its sheet, counted from 0, and its box there."""

    part: Part
    sheet: int
    box: Box


def place_parts(request: Request, parts: Sequence[Part], reserve_mm: float) -> tuple[PlacedPart, ...]:
    """Return parts one below the other: in what is kept free on the first sheet, then sheet by sheet."""
    placed = []
    number, free = 0, reserve_mm
    for part in parts:
        if part.height_mm > free:
            number, free = number + 1, request.body(number + 1).height
        body = request.body(number)
        placed.append(PlacedPart(part, number, Box(body.x, body.bottom - free, body.width, part.height_mm)))
        free -= part.height_mm + PART_GAP_MM
    return tuple(placed)


def plan_band(
    request: Request,
    rows: Rows,
    legends: Sequence[tuple[Entries, Entries]],
    reserve_mm: float,
) -> PlanBand:
    """Return the layout with the largest scale: legend beside or under the plan band, whole or in part."""
    body = request.body(0)
    body = Box(body.x, body.y, body.width, body.height - reserve_mm)
    bands = []
    for entries, later in legends:
        right = len(legend.columns_of(entries, body.height)) * legend.COLUMN_MM
        under = legend.least_height_mm(entries, max(1, int(body.width / legend.COLUMN_MM))) + 2
        beside = Box(body.right - right + 2, body.y, right - 2, body.height)
        below = Box(body.x, body.bottom - under + 1, body.width, under - 1)
        boxes = (
            (Box(body.x, body.y, body.width - right, body.height), beside),
            (Box(body.x, body.y, body.width, body.height - under), below),
        )
        for box, place in boxes:
            first, rest = legend.filled(entries, later, place.height)
            bands.append(PlanBand(_scale(rows, box), box, place, first, rest))
    return min(bands, key=lambda band: band.scale)


def _scale(rows: Rows, box: Box) -> float:
    """Return the largest scale at which all rows fit the box."""
    low, high = _extent(tuple(space for row in rows for space in row), 0)
    widths = [_extent(row, 1) for row in rows]
    across = sum(end - start for start, end in widths)
    gaps = 2 * SIDE_MM + EDGE_MM / 2 + ROW_GAP_MM * (len(rows) - 1)
    for scale in SCALES:
        if (high - low) / scale + EDGE_MM <= box.width and across / scale + gaps <= box.height:
            return float(scale)
    return max((high - low) / (box.width - EDGE_MM), across / max(box.height - gaps, 1.0))


def band_size_mm(rows: Rows, scale: float) -> tuple[float, float]:
    """Return how wide and how high a plan band is at a scale, with room for labels round it."""
    low, high = _extent(tuple(space for row in rows for space in row), 0)
    across = sum(end - start for start, end in (_extent(row, 1) for row in rows))
    return (high - low) / scale + 4 * EDGE_MM, across / scale + 4 * SIDE_MM + 2 * ROW_GAP_MM * len(rows)


def frames_of(rows: Rows, band: PlanBand, seen_from: SeenFrom) -> dict[str, Frame]:
    """Return the frame of every space: rows one below the other, each x right below the same x."""
    low, high = _extent(tuple(space for row in rows for space in row), 0)
    origin_x = band.box.x + (band.box.width - (high - low) / band.scale) / 2 - low / band.scale
    heights = [(end - start) / band.scale for start, end in (_extent(row, 1) for row in rows)]
    used = sum(heights) + 2 * SIDE_MM
    gap = min(3 * ROW_GAP_MM, (band.box.height - used) / (len(rows) + 1))
    y = band.box.y + (band.box.height - sum(heights) - gap * (len(rows) - 1)) / 2
    frames = {}
    for row, height in zip(rows, heights, strict=True):
        start, end = _extent(row, 1)
        top_side = start if seen_from is SeenFrom.BELOW else -end
        for space in row:
            frames[space.name] = Frame((origin_x, y - top_side / band.scale), band.scale, seen_from)
        y += height + gap
    return frames


def _extent(spaces: Sequence[Space], axis: int) -> tuple[float, float]:
    values = [point[axis] for space in spaces for point in space.outline]
    return min(values), max(values)
