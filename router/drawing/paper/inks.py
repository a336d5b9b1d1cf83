"""Every colour, width and dash of the map, in one place. Widths in mm of paper.

Wide lines are twice as wide as narrow ones, and dashed means hidden or removable, as in ISO 128.
Only the run is bold and black. Nothing is told by colour alone.
"""

from __future__ import annotations

from dataclasses import replace

from router.drawing.paper.pen import Ink
from router.model.vehicle import Fix

BLACK = "#111"
GREY = "#595959"  # contrast 7 : 1 on white
GREEN = "#00563f"
BLUE = "#1f4e79"

OUTLINE = Ink("#333", 0.5)
FRAME = Ink("#333", 0.25)
HAIRLINE = Ink("#777", 0.13)
STEP = Ink("#333", 0.25, dash=(4.0, 1.0))
PANEL = Ink("#333", 0.9)
MEMBER = Ink("#555", 0.35, "#e4e4e4")
PASSABLE = Ink(fill="#fff")
PASS_END = Ink(BLACK, 0.4)
COVER = Ink(BLUE, 0.35, dash=(2.4, 1.2))
EXPOSED = Ink("#777", 0.25, "#777", dash=(0.3, 0.9), fill_opacity=0.08)
LEADER_BETWEEN_SPACES = Ink(BLUE, 0.25, dash=(3.0, 0.8, 0.6, 0.8))
SUPPORTS = {
    Fix.TIE: Ink(GREEN, 0.5, dash=(3.0, 1.0)),
    Fix.CLIP: Ink(GREEN, 0.5, dash=(3.0, 0.8, 0.7, 0.8)),
    Fix.NEVER: Ink(GREY, 0.35, dash=(0.7, 0.9)),
}
CLEARANCE = Ink("#444", 0.18, dash=(1.1, 0.6))
DIMENSION = Ink(BLACK, 0.25)
ALTERNATIVE = Ink(BLUE, 0.35, dash=(0.9, 0.9))

RUN_WIDTH_MM = 1.0
CASING = Ink("#fff", 2.2)
INLAY_WIDTH_MM = 0.4
RUN_DASHES: tuple[tuple[float, ...], ...] = (
    (),
    (3.6, 1.1),
    (4.2, 0.9, 0.9, 0.9),
    (1.3, 0.9),
    (5.0, 0.8, 0.8, 0.8, 0.8, 0.8),
    (6.0, 2.2),
)
"""Of the first run, the second, and so on, repeated after the last; each run has its name beside it."""


TWO_DOTS = (0.8, 0.5, 0.8, 0.5)
"""Within the dashes of what nobody measured yet: as ISO 128 draws what may come to lie elsewhere."""
ASSUMED_DASH_MM = 3.4


def as_assumed(ink: Ink) -> Ink:
    """Return an ink with two dots in its line, for what nobody measured yet."""
    *dashes, gap_mm = ink.dash or (ASSUMED_DASH_MM, TWO_DOTS[0])
    return replace(ink, dash=(*dashes, *TWO_DOTS, gap_mm))


def run_ink(number: int) -> Ink:
    """Return the ink of a run on its own route; number 0 is the first run."""
    return Ink(BLACK, RUN_WIDTH_MM, dash=RUN_DASHES[number % len(RUN_DASHES)])


def inlay_ink(number: int) -> Ink:
    """Return the ink of a later run on the route of an earlier one: a light dash inside the bold line."""
    return Ink("#fff", INLAY_WIDTH_MM, dash=RUN_DASHES[number % len(RUN_DASHES)] or (2.0, 2.0))
