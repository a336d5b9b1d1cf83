"""Why a run goes as it does, how else it could go, and where a whole plan is tightest."""

from __future__ import annotations

from collections.abc import Mapping

from router.model.marks import keep_out_tags
from router.model.plan import Alternative, ClearanceCheck, Plan, RunPlan, WayReason
from router.model.practice import Rule
from router.model.way import way_in_words
from router.sheet.figures import metres, millimetres
from router.sheet.markup import Html, element, joined, table


def why_this_way(run: RunPlan) -> Html:
    """Return what makes a run leave the straight line or its support, by station."""
    rows = [(_stretch(reason), _sentence(reason.why), _rule_name(reason.rule)) for reason in run.reasons]
    heads = ("Station", "What makes it go so", "Rule")
    return table("Why this way", heads, rows, (0,))


def other_ways(run: RunPlan) -> Html:
    """Return how else a run could go, and what that would cost more."""
    heading = element("h3", "Other ways, and why not")
    if not run.alternatives:
        words = "No other way that really differs takes less than twice the effort."
        return joined([heading, element("p", words)])
    items = [element("li", _alternative(alternative), class_="keep") for alternative in run.alternatives]
    length, effort = metres(run.route.routed_mm), millimetres(run.route.effort_mm)
    chosen = (
        f"The chosen way is {length} long and takes {effort} of effort by itself. "
        "What another way takes more counts for the whole job."
    )
    return joined([heading, element("p", chosen), element("ol", joined(items))])


def tightest_places(plan: Plan) -> Html:
    """Return the least margins of the whole plan."""
    tags = keep_out_tags(plan.profile)
    rows = [
        (letter, *_tightest_row(check, tags)) for letter, check in zip("abcde", plan.tightest(), strict=False)
    ]
    heads = ("On the map", "Run", "Station", "Keep-out", "Least", "Actual", "Spare")
    return table("The tightest places", heads, rows, (2, 4, 5, 6))


def _tightest_row(check: ClearanceCheck, tags: Mapping[str, str]) -> tuple[str, ...]:
    return (
        check.run,
        metres(check.station_mm),
        f"{tags[check.keep_out]} {check.keep_out} ({check.hazard})",
        millimetres(check.required_mm),
        millimetres(check.actual_mm),
        millimetres(check.margin_mm),
    )


def _stretch(reason: WayReason) -> str:
    start, end = f"{reason.station_mm / 1000:.2f}", metres(reason.to_station_mm)
    return end if end.startswith(start) else f"{start} to {end}"


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:].rstrip(".") + "."


def _rule_name(rule: Rule | None) -> str:
    return rule.name if rule else ""


def _alternative(alternative: Alternative) -> Html:
    route = alternative.route
    parts = [
        element("p", element("strong", _sentence("; ".join(alternative.differs)))),
        element("p", _worse(alternative)),
        element("p", f"{metres(route.routed_mm)} long: {way_in_words(route)}.", class_="soft"),
    ]
    if alternative.clearances:
        parts.append(element("p", f"Tightest: {_tightest(alternative)}.", class_="soft"))
    return joined(parts)


def _worse(alternative: Alternative) -> str:
    more_mm = alternative.more_effort_mm
    more = "As much effort as the chosen way"
    if abs(more_mm) >= 1.0:
        more = f"{millimetres(abs(more_mm))} {'more' if more_mm > 0.0 else 'less'} effort"
    return f"{more}: {', '.join(alternative.worse)}." if alternative.worse else f"{more}."


def _tightest(alternative: Alternative) -> str:
    return "; ".join(
        f"{check.keep_out}, {millimetres(check.actual_mm)} of {millimetres(check.required_mm)} "
        f"at {metres(check.station_mm)}"
        for check in alternative.clearances
    )
