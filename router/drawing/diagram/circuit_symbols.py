"""Symbols of a circuit diagram, after IEC 60617: from memory, the standard itself was not read.

Each is drawn on a level line, to the left of a place at which that line arrives, unless it says otherwise.
"""

from __future__ import annotations

import math

from router.drawing.diagram.circuit_points import Symbol
from router.drawing.paper.inks import BLACK
from router.drawing.paper.pen import Ink, PaperPoint, Pen

WIRE = Ink(BLACK, 0.5)
THIN = Ink(BLACK, 0.25)
THICK = Ink(BLACK, 0.9, is_butt=True)
HOLLOW = Ink(BLACK, 0.35, "#fff")
SOLID = Ink(fill=BLACK)
SYMBOL_MM = 8.0
"""Of the line that a symbol takes."""
FRAME_MM = 5.0
FUSE_MM = 6.0
LAMP_MM = 2.2


def draw_item(pen: Pen, at: PaperPoint, symbol: Symbol) -> None:
    """Draw what lies on a line that arrives at the right and leaves at the left, `SYMBOL_MM` long."""
    x, y = at
    left, middle = x - SYMBOL_MM, x - SYMBOL_MM / 2
    if symbol is Symbol.TAP:
        pen.line([(x, y), (middle, y)], WIRE)
        pen.area([(middle, y - 1.4), (middle, y + 1.4), (middle + 2.4, y)], SOLID)
        return
    pen.line([(x, y), (left, y)], WIRE)
    if symbol is Symbol.LAMP:
        draw_lamp(pen, (middle, y))
    elif symbol is Symbol.LOAD:
        pen.box(middle - 2.6, y - 1.2, 5.2, 2.4, HOLLOW)
    elif symbol is Symbol.BATTERY:
        draw_battery(pen, (middle, y))
    else:
        pen.circle((middle, y), LAMP_MM, HOLLOW)
        pen.line([(middle - LAMP_MM, y), (middle + LAMP_MM, y)], THIN)


def draw_lamp(pen: Pen, at: PaperPoint) -> None:
    """Draw a lamp: a circle with a cross in it."""
    x, y = at
    pen.circle(at, LAMP_MM, HOLLOW)
    reach = LAMP_MM / math.sqrt(2)
    lines = [
        ((x - reach, y - reach), (x + reach, y + reach)),
        ((x - reach, y + reach), (x + reach, y - reach)),
    ]
    pen.segments(lines, THIN)


def draw_battery(pen: Pen, at: PaperPoint) -> None:
    """Draw a battery of two cells, its plus, the long line of each, at the right."""
    x, y = at
    pen.box(x - 1.8, y - 0.6, 3.6, 1.2, Ink(fill="#fff"))
    for plus in (x + 1.8, x - 0.6):
        pen.line([(plus, y - 2.2), (plus, y + 2.2)], THIN)
        pen.line([(plus - 1.2, y - 1.1), (plus - 1.2, y + 1.1)], THICK)


def draw_frame(pen: Pen, at: PaperPoint) -> None:
    """Draw a connection to the frame, the vehicle's body, at the left end of a line."""
    x, y = at
    pen.line([(x, y), (x - 1.5, y)], WIRE)
    bar = x - 1.5
    pen.line([(bar, y - 2.0), (bar, y + 2.0)], WIRE)
    pen.segments([((bar, y + dy), (bar - 1.6, y + dy + 1.1)) for dy in (-2.0, 0.0, 2.0)], THIN)


def draw_fuse(pen: Pen, at: PaperPoint) -> None:
    """Draw a fuse round a place on a line, with the two splices of its holder."""
    x, y = at
    half = FUSE_MM / 2
    pen.box(x - half, y - 1.2, FUSE_MM, 2.4, HOLLOW)
    pen.line([(x - half, y), (x + half, y)], WIRE)
    for splice in (x - half - 2.2, x + half + 2.2):
        draw_dot(pen, (splice, y))


def draw_dot(pen: Pen, at: PaperPoint) -> None:
    """Draw where conductors are joined: a splice, a bar, two rings on a stud."""
    pen.circle(at, 0.75, SOLID)


def draw_cable(pen: Pen, at: PaperPoint) -> None:
    """Draw conductors in one sheath: a ring round their lines."""
    x, y = at
    pen.circle(at, LAMP_MM, Ink(BLACK, 0.35))
    pen.segments([((x - 4.0, y + dy), (x + 4.0, y + dy)) for dy in (-1.0, 0.0, 1.0)], THIN)


def draw_stud(pen: Pen, at: PaperPoint) -> None:
    """Draw a terminal that a conductor is screwed to: a ring."""
    pen.circle(at, 0.95, HOLLOW)


def draw_contact(pen: Pen, at: PaperPoint) -> None:
    """Draw a contact of a connector, plugged in: a pin at the right, its socket round it."""
    x, y = at
    bow = [(x + 1.5 * math.cos(t), y + 1.5 * math.sin(t)) for t in _turns(math.pi / 2, 3 * math.pi / 2, 8)]
    pen.line(bow, THIN)
    pen.box(x - 0.6, y - 0.55, 2.6, 1.1, SOLID)


def _turns(start: float, end: float, steps: int) -> list[float]:
    return [start + (end - start) * number / steps for number in range(steps + 1)]
