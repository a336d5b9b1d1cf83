"""The plan band: everything that lies in plan, in the order in which one thing covers another."""

from __future__ import annotations

from collections.abc import Sequence

from router.drawing.labels.labelling import LabelBoard
from router.drawing.layers.alternative_routes import draw_other_ways
from router.drawing.layers.differences import draw_differences
from router.drawing.layers.judged_route import draw_findings, draw_planned_ways
from router.drawing.layers.lesson_choices import draw_routes_side_by_side
from router.drawing.layers.run_lines import draw_clearance_lines, draw_runs, draw_symbols, draw_tightest
from router.drawing.layers.vehicle_layer import View, draw_ends, draw_vehicle
from router.drawing.paper.frame import Box
from router.drawing.paper.pen import Pen
from router.drawing.sheets import details, title
from router.drawing.sheets.geometry_data import draw_empty_groups
from router.drawing.sheets.layout import PlanBand, Request
from router.drawing.sheets.tiles import Tiling, mark_tiles


def labels_box(band: PlanBand) -> Box:
    """Return where a plan band's labels may lie."""
    return Box(band.box.x, band.box.y + 5, band.box.width, band.box.height - 10)


def draw_plan_band(
    pen: Pen,
    request: Request,
    view: View,
    band: PlanBand,
    windows: Sequence[details.Detail] = (),
    *,
    tiling: Tiling | None = None,
    board: LabelBoard | None = None,
) -> None:
    """Draw a plan band; with `tiling`, which tile shows what; a board that was placed is only drawn again."""
    is_tile = board is not None
    board = board or LabelBoard(labels_box(band))
    plan = None if request.is_blank else request.plan
    with pen.group("plan-band", f"Plan band, scale 1:{band.scale:g}, seen from {request.seen_from}"):
        draw_vehicle(pen, view, board)
        if plan:
            draw_clearance_lines(pen, plan, view)
            draw_other_ways(pen, plan, view, board)
            if request.judgement:
                draw_planned_ways(pen, request.judgement, view)
            draw_runs(pen, plan, view, board)
        if request.offered:
            draw_routes_side_by_side(pen, request.offered, view, board)
        draw_ends(pen, view, board)
        if request.comparison:
            draw_differences(pen, request.comparison, view, board)
        if plan:
            larger = [(each.space, each.corners(view.frame(each.space))) for each in windows]
            draw_symbols(pen, plan, view, board, larger)
            draw_tightest(pen, plan, view, board, larger)
            details.mark_details(pen, view, windows, board)
            if request.judgement:
                draw_findings(pen, request.judgement, view, board)
        if tiling:
            mark_tiles(pen, view, tiling, board)
        title.draw_sides(pen, band.box, request.seen_from)
        board.draw(pen, "labels")
    if request.is_blank and not request.offered and not is_tile:
        draw_empty_groups(pen, view)
