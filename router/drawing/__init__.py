"""The map: one true-scale SVG, the vehicle in plan above, every run unrolled below. And the circuit diagram.

sheet       one page of paper; a map has as many as it needs, one under the other in the same SVG
plan band   the vehicle in plan, seen from below (mirrored) or above
strip band  one run unrolled: station against height
frame       how a place of the vehicle comes to lie on the paper
ink         how a line or a surface is drawn

Everything on paper is in mm of paper, x to the right and y down; one unit of the SVG is one millimetre.
Nothing here depends on what was drawn before: the same plan gives the same bytes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from router.lazy_names import lazy_names

if TYPE_CHECKING:
    from router.drawing.diagram.circuit_diagram import draw_circuit
    from router.drawing.layers.lesson_choices import ShownRoute
    from router.drawing.paper.frame import ROLL_WIDTH_MM, SCALES
    from router.drawing.paper.inks import BLACK, BLUE, GREY
    from router.drawing.paper.pen import Ink, Pen
    from router.drawing.sheets.drawing_options import DrawingOptions
    from router.drawing.sheets.map import (
        draw_comparison,
        draw_judgement,
        draw_map,
        draw_offered_routes,
        draw_profile,
    )
    from router.drawing.sheets.pixels import NoRendererError, draw_pictures
    from router.drawing.sheets.printing import NotPrintableError, draw_pdf

__all__ = [
    "BLACK",
    "BLUE",
    "GREY",
    "ROLL_WIDTH_MM",
    "SCALES",
    "DrawingOptions",
    "Ink",
    "NoRendererError",
    "NotPrintableError",
    "Pen",
    "ShownRoute",
    "draw_circuit",
    "draw_comparison",
    "draw_judgement",
    "draw_map",
    "draw_offered_routes",
    "draw_pdf",
    "draw_pictures",
    "draw_profile",
]

_HOMES = {
    "diagram.circuit_diagram": ("draw_circuit",),
    "layers.lesson_choices": ("ShownRoute",),
    "paper.frame": (
        "ROLL_WIDTH_MM",
        "SCALES",
    ),
    "paper.inks": (
        "BLACK",
        "BLUE",
        "GREY",
    ),
    "paper.pen": (
        "Ink",
        "Pen",
    ),
    "sheets.drawing_options": ("DrawingOptions",),
    "sheets.map": (
        "draw_comparison",
        "draw_judgement",
        "draw_map",
        "draw_profile",
        "draw_offered_routes",
    ),
    "sheets.pixels": (
        "NoRendererError",
        "draw_pictures",
    ),
    "sheets.printing": (
        "NotPrintableError",
        "draw_pdf",
    ),
}

__getattr__ = lazy_names(__name__, _HOMES)
