"""The map as a whole: everything drawn in its order, sheet by sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from router.drawing.labels.labelling import LabelBoard
from router.drawing.layers.differences import difference_entries
from router.drawing.layers.judged_route import as_drawn, drawn_entries, findings_of, judgement_entries
from router.drawing.layers.lesson_choices import ShownRoute, offered_route_entries
from router.drawing.layers.run_lines import holes_passed, near_checks
from router.drawing.layers.vehicle_layer import View
from router.drawing.paper.frame import (
    ROLL_WIDTH_MM,
    SCALES,
    Box,
    Frame,
    Paper,
    paper_named,
    rows_of_spaces,
    seen_from_word,
)
from router.drawing.paper.pen import Pen
from router.drawing.sheets import details, legend, strip_band, title
from router.drawing.sheets.geometry_data import draw_empty_groups, geometry_data
from router.drawing.sheets.headings import description, draw_title_block, heading
from router.drawing.sheets.layout import (
    Draw,
    Entries,
    Part,
    PlacedPart,
    PlanBand,
    Request,
    Rows,
    frames_of,
    place_parts,
    plan_band,
)
from router.drawing.sheets.plan_band import draw_plan_band, labels_box
from router.drawing.sheets.rolls import COLUMN_MM, band_on_roll, parts_on_roll, roll_of
from router.drawing.sheets.tiles import Tiling, draw_tile, keep_labels_whole, tile_box, tiling_of
from router.facts import cautions_on_map, keep_out_tags, plan_number
from router.model.comparison import Comparison
from router.model.plan import Plan
from router.model.review import Judgement
from router.model.vehicle import Profile, Space


def draw_map(
    plan: Plan,
    *,
    seen_from: str = "below",
    paper: str = "a4",
    roll_width_mm: float = ROLL_WIDTH_MM,
    scale: float | None = None,
    date: str = "",
    number: str = "",
    is_blank: bool = False,
) -> str:
    """Return the map of a plan as the text of one SVG document, in true scale for the paper.

    Parameters
    ----------
    plan : Plan
        What to draw.
    seen_from : str
        "below" (mirrored, as someone under the vehicle sees it) or "above".
    paper : str
        "a4", "a3", "letter" or "tabloid", always on its side, or "roll". The map has as many sheets as it
        needs, one under the other; on a roll it is one long strip.
    roll_width_mm : float
        Of a roll, edge to edge. [mm]
    scale : float, optional
        One of `SCALES`, for 1 to so many; without it, the largest that fits the paper. What is then larger
        than a sheet comes in tiles that overlap.
    date : str
        What the title block gives as the date; empty leaves a line to write it on.
    number : str
        The plan's, where it is known already; empty: it is worked out here.
    is_blank : bool
        Whether routes, fixings, stations and all else that tells them are left out, to be filled in by hand.
        Everything that is drawn lies where the full map has it.

    Raises
    ------
    ValueError
        For a paper, a scale or a place to look from that is not known, for numbers that cannot be drawn, and
        where the scale asked for is too large for the roll.
    """
    cautions = cautions_on_map(plan.profile, plan)
    request = Request(_paper(paper, roll_width_mm), seen_from_word(seen_from), plan.profile, plan, cautions)
    return _draw(replace(request, date=date, number=number, is_blank=is_blank, scale=_scale(scale)))


def draw_judgement(
    judgement: Judgement,
    *,
    seen_from: str = "below",
    paper: str = "a4",
    roll_width_mm: float = ROLL_WIDTH_MM,
    scale: float | None = None,
) -> str:
    """Return the map of a judged route beside the planned one; arguments and errors as for `draw_map`.

    Parameters
    ----------
    judgement : Judgement
        The judged route, with its plan where there is one.
    seen_from, paper, roll_width_mm, scale
        As for `draw_map`.
    """
    profile = judgement.profile
    sheet, side = _paper(paper, roll_width_mm), seen_from_word(seen_from)
    request = Request(sheet, side, profile, as_drawn(judgement), cautions_on_map(profile), judgement)
    return _draw(replace(request, scale=_scale(scale)))


def draw_offered_routes(
    plan: Plan, offered: Sequence[ShownRoute], *, seen_from: str = "below", paper: str = "a4"
) -> str:
    """Return one sheet of the blank map with some routes on it; arguments and errors as for `draw_map`.

    Parameters
    ----------
    plan : Plan
        For the vehicle and the job.
    offered : sequence of ShownRoute
        The routes to show side by side, each with its name.
    seen_from, paper
        As for `draw_map`, on sheets only.
    """
    cautions = cautions_on_map(plan.profile, plan)
    request = Request(paper_named(paper), seen_from_word(seen_from), plan.profile, plan, cautions)
    return _draw(replace(request, offered=tuple(offered), is_blank=True))


def draw_profile(
    profile: Profile,
    *,
    seen_from: str = "below",
    paper: str = "a4",
    roll_width_mm: float = ROLL_WIDTH_MM,
    scale: float | None = None,
) -> str:
    """Return a drawing of a vehicle alone, all its spaces shown; arguments and errors as for `draw_map`.

    Parameters
    ----------
    profile : Profile
        The vehicle.
    seen_from, paper, roll_width_mm, scale
        As for `draw_map`.
    """
    sheet, side = _paper(paper, roll_width_mm), seen_from_word(seen_from)
    request = Request(sheet, side, profile, None, cautions_on_map(profile))
    return _draw(replace(request, scale=_scale(scale)))


def _paper(name: str, roll_width_mm: float) -> Paper:
    return roll_of(roll_width_mm) if name == "roll" else paper_named(name)


def _scale(scale: float | None) -> float | None:
    if scale is not None and scale not in SCALES:
        raise ValueError(f"scale 1:{scale:g} is not known; use one of {', '.join(f'1:{s}' for s in SCALES)}")
    return scale


def draw_comparison(comparison: Comparison, *, seen_from: str = "below", paper: str = "a4") -> str:
    """Return a drawing of the second of two vehicles with all that differs from the first.

    Arguments and errors are as for `draw_map`.

    Parameters
    ----------
    comparison : Comparison
        Both vehicles and what differs between them.
    seen_from, paper
        As for `draw_map`, on sheets only.
    """
    before, after = comparison.before, comparison.after
    known = {space.name for space in after.spaces}
    spaces = (*after.spaces, *(space for space in before.spaces if space.name not in known))
    profile = replace(after, spaces=spaces)
    request = Request(paper_named(paper), seen_from_word(seen_from), profile, None, (), comparison=comparison)
    return _draw(request)


def spaces_shown(profile: Profile, plan: Plan | None) -> tuple[Space, ...]:
    """Return the spaces to draw: the main view, what lies beside it, and those that a run enters."""
    if plan is None:
        return profile.spaces
    entered = {point.space for run in plan.runs for point in run.route.points}
    rows = rows_of_spaces(profile.spaces)
    names = {space.name for space in rows[0]} | entered
    return tuple(space for space in profile.spaces if space.name in names)


def _spaces_asked(request: Request) -> tuple[Space, ...]:
    """Return the spaces to draw: for a lesson's question those that its routes enter, as large as may be."""
    entered = {point.space for shown in request.offered for point in shown.route.points}
    if entered:
        return tuple(space for space in request.profile.spaces if space.name in entered)
    return spaces_shown(request.profile, request.plan)


def _draw(request: Request) -> str:
    if request.plan and not request.judgement and not request.number:
        request = replace(request, number=plan_number(request.plan))
    rows = rows_of_spaces(_spaces_asked(request))
    frames = {space.name: Frame((0.0, 0.0), 1.0, request.seen_from) for row in rows for space in row}
    view = View(
        request.profile, frames, keep_out_tags(request.profile), _used(request.plan), _near(request.plan)
    )
    legends = _legends(view, request)
    is_roll = request.paper.is_roll
    band, reserve_mm = (
        (band_on_roll(request, rows, legends[0][0]), 0.0) if is_roll else _first_sheet(request, rows, legends)
    )
    tiling = None if is_roll else _tiling(request, rows, band)
    if request.scale and not tiling:
        band = replace(band, scale=request.scale)
    passed = holes_passed(request.plan) if request.plan else frozenset()
    view = replace(view, frames=frames_of(rows, band, request.seen_from), passed=passed)
    if request.is_blank:  # the layout stays; what tells the answer goes
        view = replace(view, used=_ends(request.plan), near=frozenset(), passed=frozenset())
        band = replace(band, entries=legend.without_route(band.entries))
    is_judged = request.judgement is not None  # what was drawn is shown once, in its place
    windows = details.find_details(request.plan, view) if request.plan and not (tiling or is_judged) else ()
    parts = [] if request.offered else _parts(request, view, band, windows)
    if is_roll:
        request, placed = parts_on_roll(request, band, parts)
    else:
        placed = place_parts(request, parts, reserve_mm)
    return _draw_sheets(request, view, band, windows, placed, tiling)


def _tiling(request: Request, rows: Rows, band: PlanBand) -> Tiling | None:
    """Return the tiles of a plan band that is to be larger than fits its sheet."""
    if request.scale is None or request.scale >= band.scale:
        return None
    return tiling_of(rows, request.scale, request.seen_from, tile_box(request.body(1)))


def _draw_sheets(
    request: Request,
    view: View,
    band: PlanBand,
    windows: Sequence[details.Detail],
    placed: Sequence[PlacedPart],
    tiling: Tiling | None,
) -> str:
    """Return the whole drawing: plan band and parts, sheet by sheet, then the tiles, one a sheet."""
    before = 1 + max((part.sheet for part in placed), default=0)
    tiles = tiling.tiles if tiling else ()
    sheets = before + len(tiles)
    paper = request.paper
    scale = tiling.band.scale if tiling else band.scale
    pen = Pen(paper.width_mm, sheets * paper.height_mm, heading(request), description(request, band.scale))
    details_box = next((each.box for each in placed if each.part.name == "details"), None)
    boxes = [tile_box(request.body(before + number)) for number in range(len(tiles))]
    pen.note(geometry_data(request, view, windows, details_box, tiling, boxes))
    large_board = None
    for number in range(sheets):
        with pen.group(f"sheet {number + 1}", f"Sheet {number + 1} of {sheets}"):
            if number == 0:
                title.draw_cautions(pen, request.cautions, request.inner(0))
                draw_plan_band(pen, request, view, band, windows, tiling=tiling)
                legend.draw_legend(pen, band.legend_box, band.entries)
            for each in placed:
                if each.sheet == number:
                    each.part.draw(pen, each.box)
            if tiling and number >= before:
                large_board = large_board or LabelBoard(labels_box(tiling.band))
                large = replace(view, frames=tiling.frames)
                draw = partial(
                    draw_plan_band, request=request, view=large, band=tiling.band, board=large_board
                )
                tile = tiles[number - before]
                keep_labels_whole(tiling, large_board)
                draw_tile(pen, tiling, tile, boxes[number - before], draw)
                if request.is_blank:
                    draw_empty_groups(pen, large, tile.name)
            shown = scale if number >= before else band.scale
            draw_title_block(pen, request, shown, number, sheets)
    return pen.finish()


def _parts(request: Request, view: View, band: PlanBand, windows: Sequence[details.Detail]) -> list[Part]:
    """Return what comes after the plan band: every run's strip, the details, what is left of the legend."""
    parts = []
    if request.plan:
        for number, run in enumerate(request.plan.runs):
            found = findings_of(request.judgement, run.name) if request.judgement else ()
            shown = partial(strip_band.draw_strip, findings=found)
            draw_one = strip_band.draw_blank_strip if request.is_blank else shown
            drawn = partial(draw_one, plan=request.plan, number=number)
            parts.append(Part(f"strip {run.name}", strip_band.strip_height_mm(run), drawn))
    entries = _later_entries(request, band)
    entries_of = partial(legend.draw_legend, entries=entries, name="Names and bill")
    width = COLUMN_MM if request.paper.is_roll else request.body(1).width
    if request.plan and windows:
        larger = partial(details.draw_details, plan=request.plan, view=view, details=windows)
        draw: Draw = _leave_free if request.is_blank else larger
        used_mm = details.width_mm(len(windows))
        if entries and legend.fits(entries, width - used_mm, details.HEIGHT_MM):
            return [*parts, Part("details", details.HEIGHT_MM, _side_by_side(draw, used_mm, entries_of))]
        parts.append(Part("details", details.HEIGHT_MM, draw))
    if entries:
        columns = max(1, int(width / legend.COLUMN_MM))
        parts.append(Part("names and bill", legend.least_height_mm(entries, columns), entries_of))
    return parts


def _later_entries(request: Request, band: PlanBand) -> Entries:
    """Return what the first sheet does not say: findings, what is left of its legend, the bill."""
    bill = legend.bill_entries(request.plan) if request.plan else ()
    findings = judgement_entries(request.judgement) if request.judgement else ()
    return (*findings, *band.later, *(legend.without_route(bill) if request.is_blank else bill))


def _side_by_side(left: Draw, left_mm: float, right: Draw) -> Draw:
    """Return what draws one thing at the left of a box, and another to the right of it."""

    def draw(pen: Pen, box: Box) -> None:
        left(pen, box)
        right(pen, Box(box.x + left_mm, box.y, box.width - left_mm, box.height))

    return draw


def _leave_free(pen: Pen, box: Box) -> None:
    """Draw nothing where the full map has details: their places would tell where it is crowded."""


def _first_sheet(
    request: Request, rows: Rows, legends: Sequence[tuple[Entries, Entries]]
) -> tuple[PlanBand, float]:
    """Return the plan band, and what of its sheet is left for strips: some where that costs no scale."""
    band = plan_band(request, rows, legends, 0.0)
    if request.plan is None or request.offered:
        return band, 0.0
    reserve_mm = strip_band.strip_height_mm(request.plan.runs[0])
    lower = plan_band(request, rows, legends, reserve_mm)
    return (lower, reserve_mm) if lower.scale <= band.scale else (band, 0.0)


def _legends(view: View, request: Request) -> tuple[tuple[Entries, Entries], ...]:
    """Return the splits of the legend between the first sheet and a later one, the best first."""
    plan = request.plan
    if request.comparison:
        signs = legend.sign_entries(view, None)
        return (
            ((*difference_entries(request.comparison), *signs), ()),
            (signs, difference_entries(request.comparison)),
        )
    if request.offered:
        return (((*offered_route_entries(request.offered), *legend.sign_entries(view, None)), ()),)
    drawn = drawn_entries(request.judgement) if request.judgement else ()
    return (
        ((*drawn, *legend.legend_entries(view, plan)), ()),
        ((*drawn, *legend.sign_entries(view, plan)), legend.name_entries(view)),
    )


def _used(plan: Plan | None) -> frozenset[str]:
    if plan is None:
        return frozenset()
    names = {name for run in plan.runs for name in (run.start, run.end)}
    names |= {passage.name for run in plan.runs for passage in run.route.passages}
    names |= {point.along for run in plan.runs for point in run.route.points if point.along}
    return frozenset(names)


def _ends(plan: Plan | None) -> frozenset[str]:
    """Return the terminals where the runs may begin or end: the question, without the answer."""
    if plan is None:
        return frozenset()
    taken = {name for run in plan.runs for name in (run.start, run.end)}
    return frozenset(taken | {other.terminal for run in plan.runs for other in run.other_ends})


def _near(plan: Plan | None) -> frozenset[str]:
    return (
        frozenset(check.keep_out for run in plan.runs for check in near_checks(run)) if plan else frozenset()
    )
