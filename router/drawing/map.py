"""The map as a whole: which scale, what goes on which sheet, and everything drawn in order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from router.drawing import legend, strip_band, title
from router.drawing.frame import (
    SCALES,
    Box,
    Frame,
    Paper,
    SeenFrom,
    paper_named,
    rows_of_spaces,
    seen_from_word,
)
from router.drawing.labels import LabelBoard
from router.drawing.pen import Pen
from router.drawing.run_lines import draw_clearance_lines, draw_runs, draw_tightest, near_checks
from router.drawing.vehicle import View, draw_vehicle
from router.model.cautions import Caution, cautions_for
from router.model.marks import plan_number
from router.model.plan import Plan
from router.model.vehicle import Profile, Space

SIDE_MM = 7.0  # above and below the plan band, for the names of the sides
ROW_GAP_MM = 9.0  # between two rows of spaces
EDGE_MM = 9.0  # round the vehicle, for labels
PART_GAP_MM = 5.0
LARGE_PAPER_MM = 270.0  # as high as this, a sheet holds the first strip under the plan band

Rows = tuple[tuple[Space, ...], ...]


@dataclass(frozen=True, slots=True)
class PlanBand:
    """Where the plan band and the legend lie on the first sheet, and at which scale."""

    scale: float
    box: Box
    legend_box: Box
    entries: tuple[legend.Entry, ...]
    later: tuple[legend.Entry, ...]
    """What of the legend comes on a later sheet."""


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What every part of one map needs to know."""

    paper: Paper
    seen_from: SeenFrom
    profile: Profile
    plan: Plan | None
    cautions: tuple[Caution, ...]

    def inner(self, number: int) -> Box:
        """Return what may be printed on of a sheet, counted from 0."""
        return self.paper.inner.moved(number * self.paper.height_mm)

    def body(self, number: int) -> Box:
        """Return what is left of a sheet between its head and its title block."""
        inner = self.inner(number)
        head = title.cautions_height_mm(self.cautions) if number == 0 else 0.0
        return Box(inner.x, inner.y + head, inner.width, inner.height - head - title.TITLE_MM - 2)


@dataclass(frozen=True, slots=True)
class _Part:
    """One strip, or the rest of the legend, and where it lies."""

    sheet: int
    box: Box


def draw_map(plan: Plan, *, seen_from: str = "below", paper: str = "a4") -> str:
    """Return the map of a plan as the text of one SVG document, in true scale for the paper.

    Parameters
    ----------
    plan : Plan
        What to draw.
    seen_from : str
        "below" (mirrored, as someone under the vehicle sees it) or "above".
    paper : str
        "a4", "a3", "letter" or "tabloid", always on its side. The map has as many sheets as it needs, one
        under the other.

    Raises
    ------
    ValueError
        For a paper or a place to look from that is not known, and for numbers that cannot be drawn.
    """
    return _draw(
        _Sheet(paper_named(paper), seen_from_word(seen_from), plan.profile, plan, cautions_for(plan.profile))
    )


def draw_profile(profile: Profile, *, seen_from: str = "below", paper: str = "a4") -> str:
    """Return a drawing of a vehicle alone, all its spaces shown; arguments and errors as for `draw_map`."""
    return _draw(_Sheet(paper_named(paper), seen_from_word(seen_from), profile, None, cautions_for(profile)))


def spaces_shown(profile: Profile, plan: Plan | None) -> tuple[Space, ...]:
    """Return the spaces to draw: the main view, what lies beside it, and those that a run enters."""
    if plan is None:
        return profile.spaces
    entered = {point.space for run in plan.runs for point in run.route.points}
    rows = rows_of_spaces(profile.spaces)
    names = {space.name for space in rows[0]} | entered
    return tuple(space for space in profile.spaces if space.name in names)


def _draw(sheet: _Sheet) -> str:
    rows = rows_of_spaces(spaces_shown(sheet.profile, sheet.plan))
    frames = {space.name: Frame((0.0, 0.0), 1.0, sheet.seen_from) for row in rows for space in row}
    view = View(sheet.profile, frames, _used(sheet.plan), _near(sheet.plan))
    reserve = _strip_on_first_sheet(sheet)
    band = _plan_band(sheet, rows, _legends(view, sheet.plan), reserve)
    parts = _later_parts(sheet, band, reserve)
    sheets = 1 + max((part.sheet for part in parts), default=0)
    pen = Pen(
        sheet.paper.width_mm, sheets * sheet.paper.height_mm, _heading(sheet), _description(sheet, band.scale)
    )
    for number in range(sheets):
        with pen.group(f"sheet {number + 1}", f"Sheet {number + 1} of {sheets}"):
            if number == 0:
                title.draw_cautions(pen, sheet.cautions, sheet.inner(0))
                _draw_plan_band(pen, sheet, replace(view, frames=_frames(rows, band, sheet.seen_from)), band)
                legend.draw_legend(pen, band.entries, band.legend_box)
            _draw_parts(pen, sheet, band, parts, number)
            _draw_title_block(pen, sheet, band.scale, number, sheets)
    return pen.finish()


def _draw_title_block(pen: Pen, sheet: _Sheet, scale: float, number: int, sheets: int) -> None:
    block = title.TitleBlock(_heading(sheet), _rows(sheet, scale), scale, sheet.seen_from, number + 1, sheets)
    inner = sheet.inner(number)
    title.draw_title_block(
        pen, block, Box(inner.x, inner.bottom - title.TITLE_MM, inner.width, title.TITLE_MM)
    )


def _draw_plan_band(pen: Pen, sheet: _Sheet, view: View, band: PlanBand) -> None:
    board = LabelBoard(Box(band.box.x, band.box.y + 5, band.box.width, band.box.height - 10))
    with pen.group("plan-band", f"Plan band, scale 1:{band.scale:g}, seen from {sheet.seen_from}"):
        draw_vehicle(pen, view, board)
        if sheet.plan:
            draw_clearance_lines(pen, sheet.plan, view)
            draw_runs(pen, sheet.plan, view, board)
            draw_tightest(pen, sheet.plan, view, board)
        title.draw_sides(pen, band.box, sheet.seen_from)
        _draw_labels(pen, "labels", board)


def _draw_labels(pen: Pen, name: str, board: LabelBoard) -> None:
    with pen.group(name):
        for placed in board.place():
            placed.draw(pen)


def _strip_on_first_sheet(sheet: _Sheet) -> float:
    """Return how much of the first sheet is kept for the first run's strip: something only on large paper."""
    if sheet.plan is None or sheet.paper.height_mm < LARGE_PAPER_MM:
        return 0.0
    return strip_band.strip_height_mm(sheet.plan.runs[0])


def _later_parts(sheet: _Sheet, band: PlanBand, reserve: float) -> tuple[_Part, ...]:
    """Return every run's strip and what is left of the legend, each with its sheet and place."""
    heights = [strip_band.strip_height_mm(run) for run in sheet.plan.runs] if sheet.plan else []
    columns = max(1, int(sheet.body(1).width / legend.COLUMN_MM))
    if band.later:
        heights.append(legend.least_height_mm(band.later, columns))
    parts = []
    number, free = 0, reserve
    for height in heights:
        if height > free:
            number, free = number + 1, sheet.body(number + 1).height
        body = sheet.body(number)
        parts.append(_Part(number, Box(body.x, body.bottom - free, body.width, height)))
        free -= height + PART_GAP_MM
    return tuple(parts)


def _draw_parts(pen: Pen, sheet: _Sheet, band: PlanBand, parts: Sequence[_Part], on_sheet: int) -> None:
    runs = sheet.plan.runs if sheet.plan else ()
    for number, part in enumerate(parts):
        if part.sheet != on_sheet:
            continue
        if sheet.plan and number < len(runs):
            for board in strip_band.draw_strip(pen, sheet.plan, number, part.box):
                _draw_labels(pen, f"strip labels {runs[number].name}", board)
        else:
            legend.draw_legend(pen, band.later, part.box, "Names of the keep-outs")


def _legends(
    view: View, plan: Plan | None
) -> tuple[tuple[tuple[legend.Entry, ...], tuple[legend.Entry, ...]], ...]:
    """Return the ways to part the legend between the first sheet and a later one, the best first."""
    return (
        (legend.legend_entries(view, plan), ()),
        (legend.sign_entries(view, plan), legend.name_entries(view)),
    )


def _plan_band(
    sheet: _Sheet,
    rows: Rows,
    legends: Sequence[tuple[tuple[legend.Entry, ...], tuple[legend.Entry, ...]]],
    reserve: float,
) -> PlanBand:
    """Return the layout with the largest scale: legend beside or under the plan band, whole or in part."""
    body = sheet.body(0)
    body = Box(body.x, body.y, body.width, body.height - reserve)
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


def _frames(rows: Rows, band: PlanBand, seen_from: SeenFrom) -> dict[str, Frame]:
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


def _used(plan: Plan | None) -> frozenset[str]:
    if plan is None:
        return frozenset()
    names = {name for run in plan.runs for name in (run.start, run.end)}
    names |= {passage.name for run in plan.runs for passage in run.route.passages}
    names |= {point.along for run in plan.runs for point in run.route.points if point.along}
    return frozenset(names)


def _near(plan: Plan | None) -> frozenset[str]:
    return (
        frozenset(check.keep_out for run in plan.runs for check in near_checks(run)) if plan else frozenset()
    )


def _heading(sheet: _Sheet) -> str:
    return f"{sheet.plan.job.name}: {sheet.profile.name}" if sheet.plan else sheet.profile.name


def _description(sheet: _Sheet, scale: float) -> str:
    runs = (
        ", ".join(f"{run.name} from {run.start} to {run.end}" for run in sheet.plan.runs)
        if sheet.plan
        else "none"
    )
    view = f"Seen from {sheet.seen_from}, front at the left, scale 1:{scale:g} on {sheet.paper.name}."
    return f"{view} Runs: {runs}."


def _rows(sheet: _Sheet, scale: float) -> tuple[tuple[str, str], ...]:
    profile = sheet.profile
    mirrored = " (mirrored)" if sheet.seen_from is SeenFrom.BELOW else ""
    shared = (
        ("Revision", str(profile.revision)),
        ("Variant", profile.variant or "as first measured"),
        ("Measured", f"{profile.measured_on}, to {profile.tolerance_mm:g} mm"),
        ("Scale", f"1:{scale:.4g} on {sheet.paper.name}"),
        ("Seen from", f"{sheet.seen_from}{mirrored}"),
    )
    if sheet.plan is None:
        return shared
    loom = f"{sheet.plan.loom_diameter_mm:.1f} mm outside at most"
    number = plan_number(sheet.plan)
    return (*shared, ("Practice", sheet.plan.practice.name), ("Loom", loom), ("Plan no.", number))
