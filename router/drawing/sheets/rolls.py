"""A map as one long strip for a roll of paper: plan band, legend and strips, one after the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from router.drawing.paper.frame import SCALES, Box, Paper
from router.drawing.sheets import legend, title
from router.drawing.sheets.layout import Entries, Part, PlacedPart, PlanBand, Request, Rows, band_size_mm

COLUMN_MM = 281.0  # of strips, as on a small sheet; wider where the longest run at the plan band's scale is
STRIP_ENDS_MM = 50.0  # beside the stations, for names
GAP_MM = 8.0


def roll_of(width_mm: float) -> Paper:
    """Return a roll of this width; how much of it is used is not known yet."""
    return Paper(f"a roll of {width_mm:g} mm", 0.0, width_mm)


def roll_scale(request: Request, rows: Rows) -> float:
    """Return the largest scale at which the plan band fits across the roll, or the one asked for.

    Raises
    ------
    ValueError
        Where it does not fit; says how wide a roll would do.
    """
    free_mm = request.body(0).height
    for scale in (request.scale,) if request.scale else SCALES:
        needed_mm = band_size_mm(rows, scale)[1]
        if needed_mm <= free_mm:
            return float(scale)
    wide_mm = request.paper.height_mm + needed_mm - free_mm
    raise ValueError(f"at 1:{scale:g} the map needs a roll {wide_mm:.0f} mm wide or more")


def band_on_roll(request: Request, rows: Rows, entries: Entries) -> PlanBand:
    """Return the plan band at the front end of the roll, with the whole legend beside it."""
    body, scale = request.body(0), roll_scale(request, rows)
    width = band_size_mm(rows, scale)[0]
    columns = len(legend.columns_of(entries, body.height))
    beside = Box(body.x + width + GAP_MM, body.y, columns * legend.COLUMN_MM, body.height)
    return PlanBand(scale, Box(body.x, body.y, width, body.height), beside, entries, ())


def parts_on_roll(
    request: Request, band: PlanBand, parts: Sequence[Part]
) -> tuple[Request, tuple[PlacedPart, ...]]:
    """Return the request with the roll cut to length, and all parts in columns after the legend."""
    body = request.body(0)
    runs = request.plan.runs if request.plan else ()
    longest_mm = max((run.route.routed_mm for run in runs), default=0.0)
    wide = max(COLUMN_MM, longest_mm / band.scale + STRIP_ENDS_MM)
    x, y = band.legend_box.right + GAP_MM, body.y
    placed = []
    for part in parts:
        if y > body.y and y + part.height_mm > body.bottom:
            x, y = x + wide + GAP_MM, body.y
        placed.append(PlacedPart(part, 0, Box(x, y, wide, part.height_mm)))
        y += part.height_mm + GAP_MM
    end = x + wide if placed else band.legend_box.right
    length = max(end, title.LEAST_WIDTH_MM) + request.paper.margin_mm
    return replace(request, paper=replace(request.paper, width_mm=length)), tuple(placed)
