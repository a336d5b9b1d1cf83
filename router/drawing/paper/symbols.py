"""Small shapes with one meaning each: fixings by kind, terminals, openings, the front arrow."""

from __future__ import annotations

import math

from router.drawing.paper.inks import BLACK, BLUE
from router.drawing.paper.pen import Ink, PaperPoint, Pen
from router.model.fixing import FixingKind

FIXING_MM = 1.0  # half the size of a fixing's symbol
TERMINAL_MM = 1.35
PLACE_MM = 2.0
OPENING_MM = 1.7
HOLE_MM = 1.0
CROSS_MM = 1.6  # half a centre line of a hole


def draw_fixing(pen: Pen, at: PaperPoint, kind: FixingKind) -> None:
    """Draw a fixing: round for a tie, square for a clip, a black triangle for a P-clip, which is drilled."""
    x, y = at
    ink = Ink(BLACK, 0.35, "#fff")
    if kind is FixingKind.TIE:
        pen.circle(at, FIXING_MM, ink)
    elif kind is FixingKind.CLIP:
        pen.box(x - 0.9, y - 0.9, 1.8, 1.8, ink)
    else:
        pen.area([(x, y - 1.3), (x + 1.2, y + 0.9), (x - 1.2, y + 0.9)], Ink(BLACK, 0.35, BLACK))


def draw_terminal(pen: Pen, at: PaperPoint, *, is_end: bool, is_place: bool = False) -> None:
    """Draw a terminal: a nut seen from above, filled where a run begins or ends.

    One that the job brings along has a ring of dashes round it: it is not in the vehicle yet.

    Parameters
    ----------
    pen : Pen
    at : (x, y)
        On paper. [mm]
    is_end, is_place : bool
    """
    if is_place:
        pen.circle(at, PLACE_MM, Ink(BLACK, 0.3, dash=(0.7, 0.5)))
    pen.area(ring(at, TERMINAL_MM, 6), Ink(BLACK, 0.35, BLACK if is_end else "#fff"))
    pen.circle(at, 0.5, Ink(fill="#fff" if is_end else BLACK))


def draw_opening(pen: Pen, at: PaperPoint) -> None:
    """Draw an opening: two rings, as a grommet styles."""
    pen.circle(at, OPENING_MM, Ink(BLUE, 0.45, "#fff"))
    pen.circle(at, OPENING_MM * 0.5, Ink(BLUE, 0.35))


def draw_hole(pen: Pen, at: PaperPoint) -> None:
    """Draw a hole in a member: a ring with its two centre lines, as holes are drawn in engineering."""
    x, y = at
    pen.circle(at, HOLE_MM, Ink(BLACK, 0.35, "#fff"))
    lines = [((x - CROSS_MM, y), (x + CROSS_MM, y)), ((x, y - CROSS_MM), (x, y + CROSS_MM))]
    pen.segments(lines, Ink(BLACK, 0.2))


def draw_front_arrow(pen: Pen, tip: PaperPoint) -> None:
    """Draw the arrow that points to the vehicle's front, which is always at the left."""
    x, y = tip
    outline = [(x, y), (x + 4.2, y - 2.4), (x + 4.2, y - 0.9), (x + 8, y - 0.9)]
    outline += [(a, 2 * y - b) for a, b in reversed(outline[1:])]
    pen.area(outline, Ink(BLACK, 0.25, BLACK))


def ring(centre: PaperPoint, radius_mm: float, corners: int) -> list[PaperPoint]:
    """Return the corners of a regular polygon, the first one at the right."""
    turns = (2 * math.pi * number / corners for number in range(corners))
    return [
        (centre[0] + radius_mm * math.cos(turn), centre[1] + radius_mm * math.sin(turn)) for turn in turns
    ]
