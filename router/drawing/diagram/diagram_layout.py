"""Where everything of a circuit diagram lies: one row an end, from top to bottom, on sheets of one size."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from router.drawing.diagram.box_order import Order, order_of
from router.drawing.diagram.circuit_points import Circuit, End, minus_nets
from router.drawing.diagram.circuit_symbols import FRAME_MM, SYMBOL_MM
from router.drawing.diagram.end_words import INSIDE_MM, OUTSIDE_MM, EndWords, words_at
from router.drawing.diagram.line_crossings import lanes_of, nested
from router.drawing.paper.letters import wrap

MARGIN_MM = 2.0
LANE_MM = 2.6
TRACK_MM = 2.2
BOX_GAP_MM = 5.0
NAME_MM = 4.0
NAME_LINE_MM = 4.7
NOTE_MM = 3.4
HEAD_MM = 19.0
LEGEND_LINE_MM = 6.0
SHEET_MM = 255.0
"""Of a sheet at most, so that it goes on A4 with its margins."""


ENDLESS_MM = 15_000.0


@dataclass(frozen=True, slots=True)
class Row:
    """The line of one end."""

    end: End
    words: EndWords
    y: float


@dataclass(frozen=True, slots=True)
class Heading:
    """The name of a box over its first row, and once more where the box goes on on the next sheet."""

    box: str
    lines: tuple[str, ...]
    note: str
    top: float
    bottom: float
    is_crossed: bool
    """Whether a line goes through it at the left, so that its words stand further right."""


@dataclass(frozen=True, slots=True)
class Lane:
    """Ends that are joined by one upright line: their rows, and how far out that line is."""

    rows: tuple[int, ...]
    x: float
    is_one_point: bool
    """Whether all ends are one electrical point; else a unit joins or switches them."""


@dataclass(frozen=True, slots=True)
class DiagramLayout:
    """The places of everything, in mm from the upper left corner of the first sheet."""

    rows: tuple[Row, ...]
    headings: tuple[Heading, ...]
    boxes: tuple[tuple[float, float], ...]
    """Top and bottom of each."""
    joined: tuple[Lane, ...]
    minus: tuple[Lane, ...]
    wires: tuple[Lane, ...]
    """In the order of the circuit's conductors."""
    item_x: float
    """Where symbols begin, from the right."""
    frame_x: float
    edge_x: float
    """Of all boxes, at the right."""
    left_x: float
    width_mm: float
    legend_y: float
    end_y: float
    sheet_mm: float
    sheets: int


def lay_out(circuit: Circuit, legend_lines: int) -> DiagramLayout:
    """Return where everything lies, with room for a legend of so many lines at the end."""
    order = order_of(circuit)
    endless = _on_sheets(circuit, order, legend_lines, ENDLESS_MM)
    if endless.end_y <= SHEET_MM:
        return _on_sheets(circuit, order, legend_lines, endless.end_y)
    full = _on_sheets(circuit, order, legend_lines, SHEET_MM)
    shares = (endless.end_y / full.sheets + spare for spare in (10.0, 20.0, 40.0))
    tried = (_on_sheets(circuit, order, legend_lines, share) for share in shares if share < SHEET_MM)
    return next((even for even in tried if even.sheets == full.sheets), full)


def _on_sheets(circuit: Circuit, order: Order, legend_lines: int, sheet_mm: float) -> DiagramLayout:
    """Return where everything lies on sheets of a height."""
    at = {end: number for number, end in enumerate(order.ends)}
    joined = nested([[at[end] for end in net] for net in circuit.nets])
    minus = nested([[at[end] for end in net] for net in minus_nets(circuit)])
    spans = sorted(
        (sorted((at[one], at[other])), number) for number, (one, other) in enumerate(circuit.wires)
    )
    spans.sort(key=lambda each: each[0][1] - each[0][0])
    tracks = lanes_of([(low, high) for (low, high), _ in spans])
    joined_lanes = lanes_of([(net[0], net[-1]) for net in joined])
    minus_lanes = lanes_of([(net[0], net[-1]) for net in minus])
    left = MARGIN_MM + 1.5
    frame_x = left + LANE_MM * _many(minus_lanes) + FRAME_MM
    item_x = frame_x + SYMBOL_MM
    words_x = item_x + LANE_MM * _many(joined_lanes) + 1.0
    edge_x = words_x + INSIDE_MM
    track_x = edge_x + OUTSIDE_MM
    crossed = {row for net in (*joined, *minus) for row in range(net[0] + 1, net[-1] + 1)}
    rows, headings, boxes, bottom = _stacked(circuit, order.ends, edge_x - MARGIN_MM, sheet_mm, crossed)
    one = [len({order.ends[row].node for row in net}) == 1 for net in joined]
    legend_mm = legend_lines * LEGEND_LINE_MM + 6.0
    legend_y = _fitted(bottom, legend_mm, sheet_mm)
    end_y = legend_y + legend_mm
    sheets = math.ceil(end_y / sheet_mm)
    wires = [
        Lane(tuple(pair), track_x + TRACK_MM * (1 + track), is_one_point=True)
        for (pair, _), track in zip(spans, tracks, strict=True)
    ]
    by_number = [wires[k] for k in sorted(range(len(wires)), key=lambda k: spans[k][1])]
    return DiagramLayout(
        rows, headings, boxes,
        _lanes(joined, joined_lanes, words_x - 1.0, one),
        _lanes(minus, minus_lanes, frame_x - FRAME_MM, [True] * len(minus)),
        tuple(by_number), item_x, frame_x, edge_x, MARGIN_MM,
        track_x + TRACK_MM * (1 + _many(tracks)) + MARGIN_MM, legend_y,
        end_y, sheet_mm, sheets,
    )  # fmt: skip


def _many(lanes: list[int]) -> int:
    return 1 + max(lanes, default=-1)


def _lanes(nets: list[list[int]], lanes: list[int], right: float, one: list[bool]) -> tuple[Lane, ...]:
    """Return nets with the place of their upright lines, the innermost the furthest right."""
    return tuple(
        Lane(tuple(net), right - LANE_MM * (lane + 0.5), is_one)
        for net, lane, is_one in zip(nets, lanes, one, strict=True)
    )


def _stacked(
    circuit: Circuit, ends: tuple[End, ...], width_mm: float, sheet_mm: float, crossed: set[int]
) -> tuple[tuple[Row, ...], tuple[Heading, ...], tuple[tuple[float, float], ...], float]:
    """Return rows, headings and boxes one under the other, and where the last one ends."""
    rows: list[Row] = []
    headings: list[Heading] = []
    boxes: list[tuple[float, float]] = []
    y = HEAD_MM
    for box, inside in groupby(ends, key=lambda end: end.box):
        first = len(headings)
        for end in inside:
            words = words_at(circuit, end)
            row_mm = words.over_mm + words.under_mm
            is_new = len(headings) == first
            is_crossed = len(rows) in crossed
            heading = _heading(circuit, box, INSIDE_MM if is_crossed else width_mm, is_new=is_new)
            heading_mm = len(heading[0]) * NAME_LINE_MM + (NAME_LINE_MM if heading[1] else 0.0) + 1.5
            fitted = _fitted(y, row_mm + (heading_mm if is_new else 0.0), sheet_mm)
            if is_new or fitted > y:
                headings.append(Heading(box, *heading, fitted, fitted + heading_mm, is_crossed))
                fitted += heading_mm
            rows.append(Row(end, words, fitted + words.over_mm))
            y = fitted + row_mm
        boxes.append((headings[first].top, y))
        y += BOX_GAP_MM
    return tuple(rows), tuple(headings), tuple(boxes), y


def _fitted(y: float, height_mm: float, sheet_mm: float) -> float:
    """Return where something of a height begins, on the next sheet where it does not fit on this one."""
    below = (y // sheet_mm + 1) * sheet_mm
    return y if y + height_mm <= below else below + MARGIN_MM


def _heading(circuit: Circuit, box: str, width_mm: float, *, is_new: bool) -> tuple[tuple[str, ...], str]:
    name = box if is_new else f"{box}, continued"
    lines = wrap(name, width_mm - 3.0, NAME_MM, is_bold=True)
    return lines, _note(circuit, box) if is_new else ""


def _note(circuit: Circuit, box: str) -> str:
    """Return what a box is and in which space: "battery post, engine bay"."""
    own = next(_terminals(circuit, box), None)
    terminal = circuit.terminal(own) if own else None
    if terminal is None:
        return ""
    kind = [str(terminal.kind)] if terminal.kind and not terminal.unit else []
    return ", ".join([*kind, terminal.space])


def _terminals(circuit: Circuit, box: str) -> Iterator[str]:
    return (end.terminal for end in circuit.all_ends if end.box == box)
