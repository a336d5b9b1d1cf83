"""The table of fixings: where each is on the vehicle, why it is there, and the span before it."""

from __future__ import annotations

from router.model.plan import Fixing, Plan, RunPlan, Span
from router.sheet.figures import millimetres, nearest_mm, station
from router.sheet.markup import Html, folded, joined, table
from router.sheet.trunks import fixing_mark


def fixings_table(plan: Plan) -> Html:
    """Return, folded, every fixing of every run."""
    tables = (
        table(
            f"Fixings of {run.name}",
            ("No.", "Station, m", "Kind", "On", "Space", "x, y, z (mm)", "Why there", "Span before it"),
            [_row(plan, run, fixing, number) for number, fixing in enumerate(run.fixings)],
        )
        for run in plan.runs
    )
    return folded(f"Every fixing: place from {plan.profile.datum}; reason; span before it", joined(tables))


def _row(plan: Plan, run: RunPlan, fixing: Fixing, number: int) -> tuple[str, ...]:
    place = (fixing.x_mm, fixing.y_mm, fixing.z_mm)
    return (
        fixing_mark(plan, run, fixing),
        station(fixing.station_mm),
        str(fixing.kind),
        fixing.support or "the panel",
        fixing.space,
        ", ".join(f"{nearest_mm(value):.0f}" for value in place),
        fixing.why,
        _span_words(run.spans[number]) if run.spans else "",
    )


def _span_words(span: Span) -> str:
    return f"{millimetres(span.length_mm)} of {millimetres(span.rule.value)} on {', '.join(span.rests_on)}"
