"""What is still to be measured before the work: what the plan hangs on and nobody measured yet."""

from __future__ import annotations

from collections.abc import Iterator

from router.facts import ToMeasure, assumed_parts, runs_hanging_on, still_to_measure
from router.model.plan import Plan, RunPlan
from router.sheet.figures import sentence
from router.sheet.markup import Html, element, joined, table, tick

_USES = {
    "space": ("lies at its height", "lie at its height"),
    "step": ("lies at its height", "lie at its height"),
    "member": ("crosses it", "cross it"),
    "pass": ("crosses there", "cross there"),
    "support": ("follows it or is fixed to it", "follow it or are fixed to it"),
    "cover": ("lies above it", "lie above it"),
    "opening": ("goes through it", "go through it"),
    "terminal": ("ends there", "end there"),
    "place": ("ends there", "end there"),
}
"""What one run does with a part, and what several do; reads on after their names."""
_COME = ("comes so near that it may touch it", "come so near that they may touch it")


def measure_section(plan: Plan) -> Html:
    """Return a table of what the plan hangs on, nearest to a run first; nothing where all was measured."""
    count = len(assumed_parts(plan.profile))
    if not count:
        return Html("")
    listed = still_to_measure(plan)
    left = element("p", sentence(further_words(count - len(listed), is_all=not listed)))
    if not listed:
        return left
    rows = [
        (
            tick(each.name),
            each.part,
            f"{each.assumed_mm:.0f}",
            f"{int(each.near_mm)}" if each.near_mm > 0.0 else "at it",
            "; ".join(_hanging(plan, each)),
        )
        for each in listed
    ]
    heads = ("Measure", "What it is", "Assumed to, mm", "From the loom, mm", "What hangs on it")
    caption = "Measured by nobody yet, and this plan hangs on it: nearest to a run first"
    return joined([table(caption, heads, rows, (2, 3), prose=(4,)), left])


def further_words(count: int, *, is_all: bool) -> str:
    """Return how many values may stay assumed.

    >>> further_words(3, is_all=False)
    '3 further values are assumed; this plan does not hang on them'
    >>> further_words(1, is_all=True)
    '1 value is assumed; this plan does not hang on it'
    """
    further = "" if is_all else "further "
    if count == 0:
        return "Nothing else is assumed"
    if count == 1:
        return f"1 {further}value is assumed; this plan does not hang on it"
    return f"{count} {further}values are assumed; this plan does not hang on them"


def _hanging(plan: Plan, each: ToMeasure) -> Iterator[str]:
    """Yield what the runs do with a part, or how near they come and what of that is as it is assumed."""
    runs = runs_hanging_on(plan, each)
    names = " and ".join(run.name for run in runs)
    if each.part in _USES and each.near_mm == 0.0:
        yield f"{names} {_USES[each.part][len(runs) > 1]}"
    elif each.part == "panel":
        is_drilled = any(fixing.panel == each.name for run in runs for fixing in run.fixings)
        yield f"holes for {names} are drilled into it" if is_drilled else f"{names} {_COME[len(runs) > 1]}"
    else:
        yield from (_distance(run, each, plan.profile.tolerance_mm) for run in runs)


def _distance(run: RunPlan, each: ToMeasure, tolerance_mm: float) -> str:
    checks = [check for check in run.clearances if check.keep_out.partition(", piece ")[0] == each.name]
    if not checks:
        return f"a hole for {run.name} comes near it"
    nearest = min(checks, key=lambda check: check.margin_mm)
    counted_mm = max(each.assumed_mm, tolerance_mm)
    return (
        f"{run.name} stays {int(nearest.actual_mm)} mm from it, {nearest.required_mm:.0f} mm are asked, "
        f"{counted_mm:.0f} mm of that as nobody measured it"
    )
