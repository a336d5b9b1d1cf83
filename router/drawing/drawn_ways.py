"""A route that somebody drew, over the planned one: each finding has its number where it is."""

from __future__ import annotations

from shapely.geometry import LineString, Point

from router.drawing import inks, legend
from router.drawing.labels import Label, LabelBoard
from router.drawing.pen import Ink, Pen
from router.drawing.run_lines import lines_on_paper
from router.drawing.vehicle import SMALL, View
from router.model.plan import Finding
from router.model.review import Judgement
from router.model.way import positions_at

DRAWN = Ink(stroke="#a30016", width_mm=0.7, dash=(2.4, 1.0))
MARK = Ink(stroke="#a30016", width_mm=0.5)
MARK_MM = 1.5


def draw_drawn_ways(pen: Pen, judgement: Judgement, view: View, board: LabelBoard) -> None:
    """Draw every drawn run as a dashed line, and a cross with its number at each finding that has a place."""
    with pen.group("drawn routes", "The routes that were drawn, judged"):
        for run in judgement.runs:
            route = run.drawn.route
            with pen.group(f"drawn {route.run}", f"{route.run} as drawn"):
                for line in lines_on_paper(route, ((0.0, route.routed_mm),), view):
                    pen.line(line, inks.CASING)
                    pen.line(line, DRAWN)
                    board.keep_off(LineString(line).buffer(DRAWN.width_mm * 0.6))
    with pen.group("findings", "Findings, by number: the weightiest first"):
        for number in range(1, len(judgement.findings) + 1):
            _draw_finding(pen, judgement, number, view, board)


def drawn_entries() -> tuple[legend.Entry, ...]:
    """Return what the first legend says: which line is the drawn one, and that all the rest is the plan."""
    words = "as drawn; crosses f1, f2, …: findings; all else, fixings too, is the plan"
    return legend.Entry(("Judged",)), legend.line_entry(words, DRAWN)


def judgement_entries(judgement: Judgement) -> tuple[legend.Entry, ...]:
    """Return what a later legend says of a judged route: every finding with its reason."""
    findings = [each.finding for each in judgement.findings]
    entries = [
        legend.words_entry(f"{_where(finding)}{finding.what}", f"f{number}", MARK.stroke)
        for number, finding in enumerate(findings, start=1)
    ]
    return (legend.Entry(("Findings, the weightiest first",)), *entries)


def _where(finding: Finding) -> str:
    if finding.run is None or finding.station_mm is None:
        return ""
    return f"{finding.run} at {finding.station_mm / 1000:.2f} m: "


def _draw_finding(pen: Pen, judgement: Judgement, number: int, view: View, board: LabelBoard) -> None:
    finding = judgement.findings[number - 1].finding
    routes = {run.drawn.route.run: run.drawn.route for run in judgement.runs}
    if finding.station_mm is None or finding.run not in routes:
        return
    place = positions_at(routes[finding.run], (finding.station_mm,))[0]
    if not view.shows(place.space):
        return
    x, y = view.frame(place.space).at((place.x_mm, place.y_mm))
    with pen.group(f"finding {number}", f"{number}: {finding.what}"):
        arms = [((x - MARK_MM, y + by), (x + MARK_MM, y - by)) for by in (MARK_MM, -MARK_MM)]
        pen.segments(arms, MARK)
    board.keep_off(Point(x, y).buffer(MARK_MM))
    words = f"f{number}: {finding.kind}"
    board.add(
        Label(
            words,
            ((x, y),),
            SMALL,
            is_bold=True,
            colour=MARK.stroke,
            reach_mm=19.0,
            rank=0,
            short=f"f{number}",
        )
    )
