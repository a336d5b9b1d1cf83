"""A judged route, drawn as a plan is: the planned route thin beside it, each finding where it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from shapely.geometry import Point

from router.drawing.labels.labelling import FINDING_INK, Label, LabelBoard, Sign, draw_finding_frame
from router.drawing.layers.lesson_choices import draw_loops
from router.drawing.layers.run_lines import covered_stretches, lines_on_paper, own_stretches
from router.drawing.layers.vehicle_layer import SMALL, View
from router.drawing.paper import inks
from router.drawing.paper.frame import Box
from router.drawing.paper.pen import Ink, PaperPoint, Pen
from router.drawing.sheets import legend
from router.facts import bundles_of, positions_at, with_shared
from router.model.fixing import Fixing
from router.model.plan import Bundle, Finding, Loom, Plan, RunLength, RunPlan
from router.model.review import JudgedRun, Judgement
from router.units import tape_m

MARK = Ink(stroke=FINDING_INK, width_mm=0.5)
MARK_MM = 1.5


def as_drawn(judgement: Judgement) -> Plan:
    """Return a judged route as a plan has its runs, with nothing but what the route itself says.

    So that it is drawn like a plan: its own route, fixings, stations and clearances.
    """
    routes = {run.drawn.route.run: run.drawn.route for run in judgement.runs}
    bundles = bundles_of([routes[run.name] for run in judgement.job.runs if run.name in routes])
    by_run = dict[str, RunPlan]()
    for judged in judgement.runs:
        earlier = {name: run.fixings for name, run in by_run.items()}
        run = _run_as_drawn(judgement, judged, earlier, bundles)
        by_run[run.name] = run
    thickest_mm = max(run.loom_diameter_mm for run in judgement.runs)
    job, profile, practice = judgement.job, judgement.profile, judgement.practice
    looms = tuple(_loom_as_drawn(bundle, by_run) for bundle in bundles)
    return Plan(job, profile, practice, thickest_mm, tuple(by_run.values()), looms, (), (), 0.0, 0.0, 0.0)


def _run_as_drawn(
    judgement: Judgement,
    judged: JudgedRun,
    earlier: Mapping[str, Sequence[Fixing]],
    bundles: Sequence[Bundle],
) -> RunPlan:
    route, asked = judged.drawn.route, judgement.job.run(judged.drawn.route.run)
    length = RunLength(asked.name, route.routed_mm, (), 0.0, judged.length_mm, judged.length_mm)
    return RunPlan(
        name=asked.name,
        start=asked.start,
        end=asked.end,
        route=route,
        length=length,
        stations=(),
        fixings=with_shared(asked.name, judged.drawn.fixings, earlier, bundles),
        clearances=judged.clearances,
        conductors=(),
        fuse=None,
        heat_sleeves=(),
        loom_diameter_mm=judged.loom_diameter_mm,
        reasons=(),
        alternatives=(),
        breakouts=(),
        spans=(),
        other_ends=(),
    )


def _loom_as_drawn(bundle: Bundle, by_run: Mapping[str, RunPlan]) -> Loom:
    outside_mm = max(by_run[name].loom_diameter_mm for name in bundle.runs)
    return Loom(bundle, (), outside_mm, f"{outside_mm:.1f} mm outside", 0.0, outside_mm, ())


def draw_planned_ways(pen: Pen, judgement: Judgement, view: View) -> None:
    """Draw the planned route of every judged run where it leaves the drawn one, thin, under the runs."""
    planned = {run.name: run.route for run in judgement.planned.runs} if judgement.planned else {}
    with pen.group("planned routes", "The planned routes, where the drawn ones leave them"):
        for run in judgement.runs:
            route = planned.get(run.drawn.route.run)
            if route is not None:
                own = own_stretches(route, covered_stretches(route, run.drawn.route))
                for line in lines_on_paper(route, own, view):
                    pen.line(line, inks.ALTERNATIVE)


def draw_findings(pen: Pen, judgement: Judgement, view: View, board: LabelBoard) -> None:
    """Draw a cross at each finding that has a place, with its number in a dark diamond; and loose length."""
    for run in judgement.runs:
        draw_loops(pen, run.drawn.route, run.drawn.loops, view, board)
    with pen.group("findings", "Findings, by number: the weightiest first"):
        for number in range(1, len(judgement.findings) + 1):
            _draw_finding(pen, judgement, number, view, board)


def findings_of(judgement: Judgement, run: str) -> tuple[tuple[int, float], ...]:
    """Return the number and the station of each finding of a run that has one. [mm]"""
    return tuple(
        (number, each.finding.station_mm)
        for number, each in enumerate(judgement.findings, start=1)
        if each.finding.run == run and each.finding.station_mm is not None
    )


def finding_label(number: int, at: PaperPoint) -> Label:
    """Return the number of a finding in its diamond, for its place on paper."""
    return Label(
        str(number), (at,), SMALL, is_bold=True, colour="#fff", sign=Sign.FINDING, reach_mm=25.0, rank=0
    )


def drawn_entries(judgement: Judgement) -> tuple[legend.Entry, ...]:
    """Return what the first legend says first: whose route is drawn bold, and how findings are marked."""
    entries = [
        legend.Entry(("Judged: the route as drawn, bold",)),
        legend.sample_entry("finding, by its number in the list", _finding_sample),
    ]
    if judgement.planned:
        entries.append(legend.line_entry("planned route, where it differs", inks.ALTERNATIVE))
    return tuple(entries)


def judgement_entries(judgement: Judgement) -> tuple[legend.Entry, ...]:
    """Return what a later legend says of a judged route: every finding with its reason."""
    findings = [each.finding for each in judgement.findings]
    entries = [
        legend.sample_entry(f"{_where(finding)}{finding.what}", _numbered_sample(number))
        for number, finding in enumerate(findings, start=1)
    ]
    return (legend.Entry(("Findings, the weightiest first",)), *entries) if entries else ()


def _numbered_sample(number: int) -> legend.Sample:
    def draw(pen: Pen, box: Box) -> None:
        place = (box.x + box.width / 2, box.y + legend.LINE_MM / 2 - 0.1)
        label = finding_label(number, place)
        size = (label.width_mm, label.height_mm)
        draw_finding_frame(pen, Box(place[0] - size[0] / 2, place[1] - size[1] / 2, *size))
        pen.text(
            (place[0], place[1] + 0.9),
            str(number),
            size_mm=SMALL,
            is_bold=True,
            anchor="middle",
            colour="#fff",
        )

    return draw


def _finding_sample(pen: Pen, box: Box) -> None:
    _draw_cross(pen, (box.x + 1.8, box.y + legend.LINE_MM / 2 - 0.1))
    _numbered_sample(1)(pen, Box(box.x + 4.0, box.y, box.width - 4.0, box.height))


def _where(finding: Finding) -> str:
    if finding.run is None or finding.station_mm is None:
        return ""
    return f"{finding.run} at {tape_m(finding.station_mm)} m: "


def _draw_finding(pen: Pen, judgement: Judgement, number: int, view: View, board: LabelBoard) -> None:
    finding = judgement.findings[number - 1].finding
    routes = {run.drawn.route.run: run.drawn.route for run in judgement.runs}
    if finding.station_mm is None or finding.run not in routes:
        return
    place = positions_at(routes[finding.run], (finding.station_mm,))[0]
    if not view.shows(place.space):
        return
    at = view.frame(place.space).at((place.x_mm, place.y_mm))
    with pen.group(f"finding {number}", f"{number}: {finding.what}"):
        _draw_cross(pen, at)
    board.add_obstacle(Point(at).buffer(MARK_MM))
    board.add(finding_label(number, at))


def _draw_cross(pen: Pen, at: PaperPoint) -> None:
    x, y = at
    pen.segments([((x - MARK_MM, y + by), (x + MARK_MM, y - by)) for by in (MARK_MM, -MARK_MM)], MARK)
