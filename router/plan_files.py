"""The five files of a plan, as bytes by name: the same for one job and for a fleet."""

from __future__ import annotations

import router.drawing
import router.sheet
from router.model.plan import Plan
from router.outputs import bill_csv, json_text, plan_json
from router.reviews import planned_route, route_yaml

NAMES = ("map.svg", "sheet.html", "bill.csv", "plan.json", "route.yaml")


def plan_files(
    plan: Plan, *, seen_from: str = "below", paper: str = "a4", date: str = ""
) -> dict[str, bytes]:
    """Return map, sheet, bill, data and route file of a plan; the same plan gives the same bytes."""
    drawn = router.drawing.draw_map(plan, seen_from=seen_from, paper=paper, date=date)
    contents = (
        drawn.encode(),
        router.sheet.make_sheet(plan, drawn, date).encode(),
        bill_csv(plan),
        json_text({**plan_json(plan), "seen_from": seen_from}).encode(),
        route_yaml(planned_route(plan)),
    )
    return dict(zip(NAMES, contents, strict=True))
