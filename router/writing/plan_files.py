"""The six files of a plan, as bytes by name: the same for one job and for a fleet."""

from __future__ import annotations

from functools import partial

import router.drawing
from router.drawing import ROLL_WIDTH_MM
from router.facts import plan_number
from router.model.plan import Plan
from router.sheet import make_sheet
from router.writing.csv_tables import bill_csv
from router.writing.plan_json import plan_data
from router.writing.records import json_text
from router.writing.route_yaml import planned_route, route_bytes

NAMES = ("map.svg", "circuit.svg", "sheet.html", "bill.csv", "plan.json", "route.yaml")


def files_of_plan(
    plan: Plan,
    *,
    seen_from: str = "below",
    paper: str = "a4",
    roll_width_mm: float = ROLL_WIDTH_MM,
    scale: float | None = None,
    date: str = "",
) -> dict[str, bytes]:
    """Return map, circuit, sheet, bill, data and route file of a plan; the same plan gives the same bytes.

    Within the sheet, which a browser prints, the map is always on sheets, without tiles.

    Parameters
    ----------
    plan : Plan
        What to write.
    seen_from, paper, roll_width_mm, scale, date
        As for `draw_map`.

    Raises
    ------
    ValueError
        As `draw_map`.
    """
    number = plan_number(plan)
    draw = partial(router.drawing.draw_map, plan, seen_from=seen_from, date=date, number=number)
    drawn = draw(paper=paper, roll_width_mm=roll_width_mm, scale=scale)
    on_sheets = draw(paper="a4" if paper == "roll" else paper) if paper == "roll" or scale else drawn
    circuit = router.drawing.draw_circuit(plan, number=number)
    contents = (
        drawn.encode(),
        circuit.encode(),
        make_sheet(plan, on_sheets, date, number, circuit).encode(),
        bill_csv(plan),
        json_text(plan_data(plan, seen_from)).encode(),
        route_bytes(planned_route(plan)),
    )
    return dict(zip(NAMES, contents, strict=True))
