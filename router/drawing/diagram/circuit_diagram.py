"""The circuit diagram of a plan: sources, fuses, conductors, loads, earths; one line a conductor.

Boxes stand in one column, narrow enough for a telephone. It is black on white; nothing is told by colour.
"""

from __future__ import annotations

from router.drawing.diagram import circuit_symbols as symbols
from router.drawing.diagram.circuit_legend import draw_circuit_legend, legend_of
from router.drawing.diagram.circuit_points import Circuit, Symbol, circuit_of
from router.drawing.diagram.circuit_symbols import WIRE
from router.drawing.diagram.diagram_layout import (
    NAME_LINE_MM,
    NAME_MM,
    NOTE_MM,
    DiagramLayout,
    Heading,
    Lane,
    Row,
    lay_out,
)
from router.drawing.diagram.end_words import INSIDE_MM, LINE_MM, TYPE_MM, fuse_at
from router.drawing.paper import inks
from router.drawing.paper.letters import fit, wrap
from router.drawing.paper.pen import Ink, Pen
from router.facts import BODY, plan_number
from router.model.plan import Plan

TITLE_MM = 4.5
OVER_LINE_MM = 2.3
"""From a conductor to the words over it: room for what hangs below their line."""
OVER_FUSE_MM = 3.2
"""The same over a fuse, whose box stands over the line."""
SWITCHED = Ink(inks.BLACK, 0.35, dash=(1.4, 1.0))
BOX = Ink(inks.BLACK, 0.35, "#fff")


def draw_circuit(plan: Plan, *, number: str = "") -> str:
    """Return the circuit diagram of a plan as the text of one SVG document, its sheets one under the other.

    Parameters
    ----------
    plan : Plan
        What to draw.
    number : str
        The plan's, where it is known already; empty: it is worked out here.
    """
    circuit = circuit_of(plan)
    entries = tuple(legend_of(circuit))
    layout = lay_out(circuit, len(entries))
    title = f"Circuit: {plan.job.name}"
    pen = Pen(layout.width_mm, layout.sheets * layout.sheet_mm, title, _description(circuit))
    for sheet in range(layout.sheets):
        with pen.group(f"circuit sheet {sheet + 1}", f"Sheet {sheet + 1} of {layout.sheets}"):
            corner = (0.0, sheet * layout.sheet_mm)
            with pen.window(f"page {sheet + 1}", corner, layout.width_mm, layout.sheet_mm):
                _draw_all(pen, circuit, layout, entries, (title, number or plan_number(plan)))
    return pen.finish()


def _description(circuit: Circuit) -> str:
    pieces = circuit.network.pieces
    return f"{len(pieces)} conductors between {len(circuit.boxes)} places: {', '.join(circuit.boxes)}"


def _draw_all(
    pen: Pen,
    circuit: Circuit,
    layout: DiagramLayout,
    entries: tuple[tuple[str, str], ...],
    head: tuple[str, str],
) -> None:
    title, number = head
    width = layout.width_mm - 2 * layout.left_x
    pen.text((layout.left_x, 5.0), fit(title, width, TITLE_MM, is_bold=True), size_mm=TITLE_MM, is_bold=True)
    words = f"Plan {number}. One line a conductor, numbered as in the list of connections."
    for line, note in enumerate(wrap(words, width, NOTE_MM)):
        pen.text((layout.left_x, 10.0 + line * LINE_MM), note, size_mm=NOTE_MM)
    for top, bottom in layout.boxes:
        pen.box(layout.left_x, top, layout.edge_x - layout.left_x, bottom - top, BOX)
    for lane in layout.wires:
        _draw_wire(pen, layout, lane)
    for heading in layout.headings:
        _write_heading(pen, layout, heading)
    for lane in (*layout.joined, *layout.minus):
        _draw_lane(pen, layout, lane)
    for row in layout.rows:
        _draw_row(pen, circuit, layout, row)
    draw_circuit_legend(pen, layout, entries)


def _draw_wire(pen: Pen, layout: DiagramLayout, lane: Lane) -> None:
    """Draw a conductor from one end to the other, round what lies between them."""
    start, end = (layout.rows[row].y for row in lane.rows)
    pen.line([(layout.edge_x, start), (lane.x, start), (lane.x, end), (layout.edge_x, end)], WIRE)


def _write_heading(pen: Pen, layout: DiagramLayout, heading: Heading) -> None:
    x = layout.edge_x - INSIDE_MM + 1.0 if heading.is_crossed else layout.left_x + 1.5
    for number, line in enumerate(heading.lines, start=1):
        y = heading.top + number * NAME_LINE_MM
        pen.text((x, y), line, size_mm=NAME_MM, is_bold=True)
    if heading.note:
        width = layout.edge_x - x - 1.5
        y = heading.top + (len(heading.lines) + 1) * NAME_LINE_MM
        pen.text((x, y), fit(heading.note, width, NOTE_MM), size_mm=NOTE_MM, colour=inks.GREY)


def _draw_lane(pen: Pen, layout: DiagramLayout, lane: Lane) -> None:
    """Draw what joins ends in a box: drawn through where they are one point, else in dashes."""
    ink = WIRE if lane.is_one_point else SWITCHED
    ys = [layout.rows[row].y for row in lane.rows]
    pen.line([(lane.x, min(ys)), (lane.x, max(ys))], ink)
    for y in ys:
        symbols.draw_dot(pen, (lane.x, y))


def _draw_row(pen: Pen, circuit: Circuit, layout: DiagramLayout, row: Row) -> None:
    end, y = row.end, row.y
    number = layout.rows.index(row)
    left = _draw_inside(pen, circuit, layout, number)
    if left < layout.edge_x:
        pen.line([(layout.edge_x, y), (left, y)], WIRE)
    own = circuit.terminal(end.terminal)
    draw_point = symbols.draw_contact if own is None or own.is_connector else symbols.draw_stud
    if fuse_at(circuit, end):
        symbols.draw_fuse(pen, (layout.edge_x + 12.0, y))
    draw_point(pen, (layout.edge_x, y))
    inside_x, outside_x = layout.edge_x - INSIDE_MM + 1.0, layout.edge_x + 3.0
    over, under = row.words.over, row.words.under
    _write(pen, row.words.inside_over, inside_x, y - 1.5, is_over=True)
    _write(pen, row.words.inside_under, inside_x, y + 1.2, is_over=False)
    clear_mm = OVER_FUSE_MM if fuse_at(circuit, end) else OVER_LINE_MM
    _write(pen, over, outside_x, y - clear_mm, is_over=True)
    _write(pen, under, outside_x, y + 1.9, is_over=False)


def _write(pen: Pen, lines: tuple[str, ...], x: float, y: float, *, is_over: bool) -> None:
    """Write lines that end over a place, or begin under it."""
    for number, line in enumerate(lines):
        down = (number + 1 - len(lines)) * LINE_MM if is_over else number * LINE_MM + TYPE_MM * 0.76
        pen.text((x, y + down), line, size_mm=TYPE_MM)


def _draw_inside(pen: Pen, circuit: Circuit, layout: DiagramLayout, number: int) -> float:
    """Draw what is on an end's line inside its box; return how far left the line goes from the box's edge."""
    row = layout.rows[number]
    items = [item for item in circuit.items if item.end == row.end]
    joined = [lane.x for lane in layout.joined if number in lane.rows]
    minus = [lane.x for lane in layout.minus if number in lane.rows]
    is_framed = _is_framed(circuit, row) and not items
    is_on_body = bool(items) and items[0].minus is None and items[0].symbol is not Symbol.TAP
    left = min([layout.edge_x, *joined])
    if items or minus or is_framed:
        left = layout.item_x
    if items:
        symbols.draw_item(pen, (layout.item_x, row.y), items[0].symbol)
    elif minus or is_framed:
        pen.line([(layout.item_x, row.y), (layout.frame_x, row.y)], WIRE)
    if minus:
        pen.line([(layout.frame_x, row.y), (min(minus), row.y)], WIRE)
    if is_framed or is_on_body:
        symbols.draw_frame(pen, (layout.frame_x, row.y))
    return left


def _is_framed(circuit: Circuit, row: Row) -> bool:
    """Return whether an end stands on the vehicle's body: every earth point, else the first of its point."""
    node = row.end.node
    if node == BODY:
        return True
    group = circuit.group(node)
    first = next(end for end in circuit.all_ends if circuit.group(end.node) == group)
    return group in circuit.framed and row.end == first
