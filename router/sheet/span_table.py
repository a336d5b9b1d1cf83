"""On demand: what every span of a run rests on, and why every loom is as wide as it is."""

from __future__ import annotations

from router.model.plan import Plan, RunPlan
from router.sheet.figures import station
from router.sheet.finding_list import source_words
from router.sheet.markup import Html, element, folded, joined, listed, table


def holding_details(plan: Plan) -> Html:
    """Return the spans of every run and the reasons of every loom, folded."""
    return joined([*(_spans(run) for run in plan.runs), _looms(plan)])


def _spans(run: RunPlan) -> Html:
    rows = [
        (
            f"{station(span.from_station_mm)} to {station(span.to_station_mm)}",
            f"{span.length_mm:.0f}",
            f"{span.rule.value:.0f}",
            ", then ".join(span.rests_on),
            span.rule.name,
        )
        for span in run.spans
    ]
    if not rows:
        return Html("")
    heads = ("Station, m", "Span, mm", "At most, mm", "Rests on", "Rule")
    return folded(
        f"{run.name}: what each span rests on", table(f"Spans of {run.name}", heads, rows, (0, 1, 2))
    )


def _looms(plan: Plan) -> Html:
    looms = {(loom.loom, loom.conductors): loom for loom in plan.looms if loom.reasons}
    parts = []
    for loom in looms.values():
        items = [
            joined([each.what, element("span", source_words(each.source, each.status), class_="soft")], " ")
            for each in loom.reasons
        ]
        heading = f"{loom.loom} over {', '.join(loom.conductors)}"
        parts.append(joined([element("p", element("b", heading)), listed(items)]))
    return folded("Why each loom is as wide as it is", *parts)
