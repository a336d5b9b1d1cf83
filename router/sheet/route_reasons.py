"""Why the runs go as they do, how else they could go, and where the plan is tightest."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from router.facts import course_in_words, keep_out_tags, why_not_there
from router.model.plan import Alternative, ClearanceCheck, Plan, RouteReason, RunPlan
from router.sheet.figures import metres, millimetres, percent, sentence, station, to_spare
from router.sheet.markup import Html, element, folded, group, joined, listed, table, tick

_EFFORT = (
    "The best route is the one of least effort: its length, where a metre along a support or under a cover "
    "counts less and a metre beside hot parts or in spray counts more; and so much on top for every opening, "
    "crossmember and cover to pass."
)
GAP_OF_A_DETOUR = 0.02
"""A gap beyond this is no matter of proof: the run takes another route than its own best."""
LEAST_GAP_TOLD = 0.00005
"""A gap below this is none in words."""


def reasons_section(plan: Plan) -> Html:
    """Return how good the whole job is, and for each run why its route; folded, every bend."""
    runs = (_why(plan, run) for run in plan.runs)
    whole = [element("p", _how_good_together(plan), class_="lead")] if len(plan.runs) > 1 else []
    return joined([element("p", _EFFORT, class_="lead"), *whole, group(*runs, kind="columns")])


def tightest_places(plan: Plan) -> Html:
    """Return the least margins of the whole plan, lettered as on the map, to be measured when it is fixed."""
    tags = keep_out_tags(plan.profile)
    rows = [
        (tick(letter), *_tightest_row(check, tags), "_" * 8)
        for letter, check in zip("abcde", plan.tightest(), strict=False)
    ]
    heads = ("On the map", "Where", "Keep-out", "Keep at least", "As planned", "Spare", "Measured")
    return table("The tightest places, from the outside of the loom: measure them", heads, rows, (3, 4, 5))


def clearances(plan: Plan) -> Html:
    """Return a folded list of every keep-out near every run, with the rule that keeps it away."""
    tags = keep_out_tags(plan.profile)
    checks = sorted(
        (check for run in plan.runs for check in run.clearances),
        key=lambda check: check.margin_mm,
    )
    rows = [
        (*_tightest_row(check, tags), check.rule.name if check.rule else "the keep-out's own clearance")
        for check in checks
    ]
    heads = ("Where", "Keep-out", "Keep at least", "As planned", "Spare", "Rule")
    shown = table("Clearances, the tightest first", heads, rows, (2, 3, 4))
    return folded("Every keep-out near a run", shown)


def _tightest_row(check: ClearanceCheck, tags: Mapping[str, str]) -> tuple[str, ...]:
    return (
        f"{check.run} {station(check.station_mm)} m",
        f"{tags[check.keep_out]} {check.keep_out} ({check.hazard})",
        millimetres(check.required_mm),
        millimetres(check.actual_mm),
        to_spare(check.required_mm, check.actual_mm),
    )


def _why(plan: Plan, run: RunPlan) -> Html:
    main = [reason for reason in run.reasons if _is_main(reason)]
    heads = ("Station", "What makes it go so")
    every = [
        (_stretch(reason), sentence(reason.why), reason.rule.name if reason.rule else "")
        for reason in run.reasons
    ]
    rows = [(_stretch(reason), sentence(reason.why)) for reason in main]
    return joined(
        [
            element("h3", f"{run.name}: {metres(run.length.routed_mm)}"),
            element("p", _how_good(plan, run), class_="lead"),
            _other_ends(run),
            table(f"Why {run.name} takes this route", heads, rows, is_narrow=True),
            folded(
                f"{run.name}: every turn, with its rule",
                table(f"Every turn of {run.name}", (*heads, "Rule"), every, is_narrow=False),
            ),
            _other_ways(run),
        ]
    )


def _other_ends(run: RunPlan) -> Html:
    """Return which of several terminals the run takes, and what the others would cost."""
    words = (
        sentence(f"It {why_not_there(other, run.start if other.is_start else run.end)}")
        for other in run.other_ends
    )
    return joined(element("p", each, class_="lead") for each in words)


def _how_good_together(plan: Plan) -> str:
    """Return how good the routes of all runs are proven to be together."""
    if plan.gap < LEAST_GAP_TOLD:
        return "The whole job: proven that no plan takes less effort, however its runs share their looms."
    return (
        f"The whole job: proven to take at most {_at_most(plan.gap)} more effort than the best plan there "
        "can be, however its runs share their looms."
    )


def _how_good(plan: Plan, run: RunPlan) -> str:
    """Return how good a run's route is proven to be; where it leaves its own best for a shared loom, why."""
    gap = run.route.gap
    if gap < LEAST_GAP_TOLD:
        return "Proven: no route takes less effort."
    beside = {name for loom in plan.looms if run.name in loom.runs for name in loom.runs} - {run.name}
    saved_mm = plan.apart_effort_mm - plan.effort_mm
    if not beside or gap <= GAP_OF_A_DETOUR or saved_mm <= 0.0:
        return f"Proven: at most {_at_most(gap)} more effort than the best there can be."
    names = ", ".join(other.name for other in plan.runs if other.name in beside)
    return (
        f"It goes in one loom with {names}, as the whole job then takes {metres(saved_mm)} less effort than "
        "with each run on its own best route."
    )


def _at_most(gap: float) -> str:
    """Return a gap in per cent, rounded up: what is proven is no less."""
    return percent(math.ceil(gap * 1000.0 - 1e-6) / 1000.0)


def _is_main(reason: RouteReason) -> bool:
    """Return whether a thing of the vehicle decides the route, not a factor on its length."""
    return bool(reason.keep_out or reason.opening or (reason.member and reason.rule))


def _other_ways(run: RunPlan) -> Html:
    heading = element("p", element("b", "Other routes, and why not"), class_="lead")
    if not run.alternatives:
        words = "No other route that really differs takes less than twice the effort."
        return joined([heading, element("p", words)])
    items = (
        element("li", element("b", sentence(_briefly(each.differs))), f" {_worse(each)}")
        for each in run.alternatives
    )
    details = folded(f"The other routes for {run.name} in full", listed(_in_full(run), "ol"))
    return joined([heading, element("ol", joined(items), class_="keep"), details])


def _briefly(differs: Sequence[str]) -> str:
    """Return the first difference along the route, and how much else does."""
    more = len(differs) - 1
    words = differs[0] if differs else "Another route"
    return f"{words}, and {more} more {'difference' if more == 1 else 'differences'}" if more > 0 else words


def _in_full(run: RunPlan) -> Iterator[Html]:
    for each in run.alternatives:
        route = each.route
        tight = f" Tightest: {_tightest(each)}." if each.clearances else ""
        course = f"{metres(route.routed_mm)} long: {course_in_words(route)}."
        yield element("p", f"{sentence('; '.join(each.differs))} {course}{tight}")


def _stretch(reason: RouteReason) -> str:
    start, end = station(reason.station_mm), station(reason.to_station_mm)
    return f"{start} m" if end == start else f"{start} to {end} m"


def _worse(alternative: Alternative) -> str:
    more_mm = alternative.more_effort_mm
    more = "As much effort as the chosen route"
    if abs(more_mm) >= 1.0:
        more = f"{millimetres(abs(more_mm))} {'more' if more_mm > 0.0 else 'less'} effort for the whole job"
    return f"{more}: {', '.join(alternative.worse)}." if alternative.worse else f"{more}."


def _tightest(alternative: Alternative) -> str:
    return "; ".join(
        f"{check.keep_out}, {millimetres(check.actual_mm)} of {millimetres(check.required_mm)} "
        f"at {station(check.station_mm)} m"
        for check in alternative.clearances
    )
