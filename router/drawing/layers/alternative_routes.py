"""Other routes of each run in the plan band: thin lines where they leave the chosen one, each named."""

from __future__ import annotations

from shapely.geometry import LineString

from router.drawing.labels.labelling import Label, LabelBoard
from router.drawing.layers.run_lines import covered_stretches, lines_on_paper, own_stretches
from router.drawing.layers.vehicle_layer import SMALL, View
from router.drawing.paper import inks
from router.drawing.paper.pen import Pen
from router.model.plan import Alternative, Plan, RunPlan


def draw_other_ways(pen: Pen, plan: Plan, view: View, board: LabelBoard) -> None:
    """Draw what each other route does not share with the chosen one, under the runs."""
    with pen.group(
        "other routes", "Other routes that the runs could take, and how much more effort each takes"
    ):
        for run in plan.runs:
            for number, alternative in enumerate(run.alternatives, start=1):
                _draw_way(pen, plan, run, number, alternative, view, board)


def _draw_way(
    pen: Pen, plan: Plan, run: RunPlan, number: int, alternative: Alternative, view: View, board: LabelBoard
) -> None:
    shared = covered_stretches(alternative.route, run.route)
    lines = lines_on_paper(alternative.route, own_stretches(alternative.route, shared), view)
    of_run = f"{run.name} " if len(plan.runs) > 1 else ""
    name = f"{of_run}other route {number}"
    more_mm = alternative.more_effort_mm
    more = f"{abs(more_mm):.0f} mm {'more' if more_mm >= 0.0 else 'less'} effort"
    with pen.group(f"other route {run.name} {number}", f"{name}: {more}"):
        for line in lines:
            pen.line(line, inks.ALTERNATIVE)
    if lines:
        shape = LineString(max(lines, key=lambda line: LineString(line).length))
        places = [shape.interpolate(share, normalized=True) for share in (0.5, 0.3, 0.7, 0.15, 0.85)]
        anchors = tuple((place.x, place.y) for place in places)
        board.add(
            Label(name, anchors, SMALL, colour=inks.BLUE, is_needed=False, short=f"{of_run}other {number}")
        )
