"""The plot of a fleet: lengths, efforts and tightest margins side by side, a dot a plan or a box a job.

Every dot has its figure beside it, so nothing has to be read off an axis; a plan that stands out has a ring
and its name in the table of those. Few plans get a row each; many get a row for each run of a job, with the
least, the quartiles, the median and the largest value.
"""

from __future__ import annotations

from dataclasses import dataclass

from router.drawing import BLACK, BLUE, GREY, Ink, Pen
from router.fleet.report import PlanLine
from router.fleet.store import Store

MOST_ROWS = 40
"""More plans than this are shown as boxes."""
WIDTH_MM, LABEL_MM, ROW_MM, TOP_MM, TEXT_MM = 180.0, 56.0, 8.0, 14.0, 2.7
_PANELS = ("Length along the route, m", "Effort, m", "Tightest margin, mm")
_DECIMALS = (2, 2, 1)
_PANEL_MM = (WIDTH_MM - LABEL_MM) / len(_PANELS)
_FIGURE_MM = 12.0
"""Kept free at the right of each panel for figures."""
_HAIR, _BOX, _DOT = Ink("#bbb", 0.15), Ink(BLUE, 0.3, "#dbe7f2"), Ink(BLUE, 0.3, BLUE)
_LINE, _MEDIAN = Ink(BLUE, 0.3), Ink(BLACK, 0.6, is_butt=True)


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its name, and for each panel the values from least to largest; one value is a dot."""

    label: str
    detail: str
    """Said below the label, in smaller letters; empty for nothing."""
    values: tuple[tuple[float, ...], ...]


def draw_fleet(rows: tuple[Row, ...], title: str) -> str:
    """Return the plot as an SVG document; empty rows give an empty plot."""
    height_mm = TOP_MM + ROW_MM * len(rows) + 3.0
    pen = Pen(WIDTH_MM, height_mm, title, _in_words(rows))
    for panel, heading in enumerate(_PANELS):
        with pen.group(heading, heading):
            _panel(pen, rows, panel, heading, height_mm)
    with pen.group("rows"):
        for number, row in enumerate(rows):
            pen.text(
                (1.0, _row_y(number) + (-0.2 if row.detail else 0.9)), _short(row.label), size_mm=TEXT_MM
            )
            pen.text((1.0, _row_y(number) + 2.9), _short(row.detail), size_mm=2.3, colour=GREY)
    return pen.finish()


def rows_of_plans(lines: tuple[PlanLine, ...]) -> tuple[Row, ...]:
    """Return a row for each plan that there is."""
    return tuple(
        Row(
            line.job,
            ", ".join(part for part in (line.profile, line.variant) if part),
            (
                (line.routed_mm / 1000,),
                ((line.effort_mm or 0.0) / 1000,),
                () if line.margin_mm is None else (line.margin_mm,),
            ),
        )
        for line in lines
        if line.routed_mm is not None
    )


def rows_of_jobs(store: Store) -> tuple[Row, ...]:
    """Return a row for each job, of the least, the quartiles and the largest value of its plans."""
    rows = []
    for (job,) in store.rows("select distinct job from fleet_plans where status = 'planned' order by 1"):
        columns = (("routed_mm", 1000.0), ("effort_mm", 1000.0), ("margin_mm", 1.0))
        rows.append(Row(job, "", tuple(_quartiles(store, job, column, scale) for column, scale in columns)))
    return tuple(rows)


def _quartiles(store: Store, job: str, column: str, scale: float) -> tuple[float, ...]:
    where = f"from fleet_plans where job = ? and {column} is not null"
    count = store.rows(f"select count(*) {where}", job)[0][0]
    if not count:
        return ()
    places = [round((count - 1) * share) for share in (0, 0.25, 0.5, 0.75, 1)]
    query = f"select {column} {where} order by 1 limit 1 offset ?"
    return tuple(float(store.rows(query, job, place)[0][0]) / scale for place in places)


def _panel(pen: Pen, rows: tuple[Row, ...], panel: int, heading: str, height_mm: float) -> None:
    left = LABEL_MM + panel * _PANEL_MM
    right = left + _PANEL_MM - _FIGURE_MM
    pen.text((left, 5.0), heading, size_mm=3.0, is_bold=True)
    most = max((value for row in rows for value in row.values[panel]), default=1.0) or 1.0
    step = _step(most)
    ticks = [step * number for number in range(int(most / step + 1e-9) + 1)]
    for tick in ticks:
        x = left + (right - left) * tick / most
        pen.line([(x, 10.0), (x, height_mm - 2.0)], _HAIR)
        pen.text((x, 9.0), f"{tick:g}", size_mm=2.4, anchor="middle", colour=GREY)
    for number, row in enumerate(rows):
        places = [left + (right - left) * max(0.0, value) / most for value in row.values[panel]]
        figures = [f"{value:.{_DECIMALS[panel]}f}" for value in row.values[panel]]
        _draw_dots(pen, left, places, figures, _row_y(number))


def _draw_dots(pen: Pen, left: float, places: list[float], figures: list[str], y: float) -> None:
    """Draw one dot with its figure, or five values as a line with a box and a bar at the median."""
    if len(places) == 1:
        pen.circle((places[0], y), 0.9, _DOT)
        pen.text((places[0] + 1.8, y + 0.9), figures[0], size_mm=TEXT_MM, halo_mm=0.5)
    elif not places:
        pen.text((left, y + 0.9), "none near", size_mm=TEXT_MM, colour=GREY)
    else:
        least, low, middle, high, most = places
        pen.line([(least, y), (most, y)], _LINE)
        pen.box(low, y - 1.4, max(0.2, high - low), 2.8, _BOX)
        pen.line([(middle, y - 1.8), (middle, y + 1.8)], _MEDIAN)
        pen.text((most + 1.2, y + 0.9), figures[2], size_mm=TEXT_MM, halo_mm=0.5)


def _row_y(number: int) -> float:
    return TOP_MM + ROW_MM * (number + 0.5) - 1.0


def _step(most: float) -> float:
    """Return a round step that gives two to five ticks."""
    step = 10.0 ** len(str(int(max(most, 1.0))))
    for part in (2.0, 2.5, 2.0) * 6:
        if most / step >= 2:
            break
        step /= part
    return step


def _short(words: str) -> str:
    return words if len(words) <= 44 else f"{words[:43]}…"


def _in_words(rows: tuple[Row, ...]) -> str:
    """Return every row's figures, the median where there are several, for who cannot see the plot."""
    lines = []
    for row in rows:
        middles = [f"{values[len(values) // 2]:.2f}" if values else "none near" for values in row.values]
        lines.append(f"{', '.join(part for part in (row.label, row.detail) if part)}: {', '.join(middles)}")
    return f"{', '.join(_PANELS)}. " + "; ".join(lines)
