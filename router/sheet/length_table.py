"""How each cut length comes about: one line a run, and on demand every allowance."""

from __future__ import annotations

from router.model.plan import Plan, RunPlan
from router.sheet.figures import metres, millimetres
from router.sheet.markup import Html, folded, joined, table

_HEADS = {
    "re-terminations": "Ends",
    "drip loop": "Drip loops",
    "service loop": "Slack",
    "turn into a bore": "Bores",
    "sag": "Sag",
    "too-short chance": "Errors",
}
_OTHER = "Other"


def lengths_section(plan: Plan) -> Html:
    """Return one line a run from the routed to the cut length, in mm; folded, every allowance."""
    heads = [head for head in (*_HEADS.values(), _OTHER) if any(_sum(run, head) for run in plan.runs)]
    rows = [
        (
            run.name,
            f"{run.length.routed_mm:.0f}",
            *(f"{_sum(run, head):.0f}" for head in heads),
            metres(run.length.cut_mm),
            f"± {run.length.uncertainty_mm:.0f} ({run.length.worst_case_mm:.0f})",
        )
        for run in plan.runs
    ]
    all_heads = ("Run", "Routed", *heads, "Cut", "Off by, at most")
    caption = (
        "In mm: routed, and what is added; off by: uncertainty for k = 2 by the GUM (all errors at worst)"
    )
    shown = table(caption, all_heads, rows, range(1, len(all_heads)))
    return joined([shown, *(_allowances(run) for run in plan.runs)])


def _sum(run: RunPlan, head: str) -> float:
    return sum(a.length_mm for a in run.length.allowances if _head(a.rule.key if a.rule else "") == head)


def _head(key: str) -> str:
    return _HEADS.get(key, _OTHER)


def _allowances(run: RunPlan) -> Html:
    rows: list[tuple[object, ...]] = [("routed", millimetres(run.length.routed_mm), "")]
    rows += [(a.why, millimetres(a.length_mm), a.rule.name if a.rule else "") for a in run.length.allowances]
    rows.append(("cut length, rounded up", millimetres(run.length.cut_mm), ""))
    return folded(
        f"{run.name}: every allowance", table(f"Length of {run.name}", ("What", "Length", "Rule"), rows, (1,))
    )
