"""Each run's own pages: figures, electrical results with reasons, stations, fixings, clearances, findings."""

from __future__ import annotations

from collections.abc import Iterable

from router.model.marks import keep_out_tags
from router.model.plan import ClearanceCheck, ConductorChoice, Finding, Plan, Reason, RunPlan, Severity
from router.model.practice import Rule
from router.sheet.figures import metres, millimetres, percent
from router.sheet.markup import Html, element, joined, listed, table
from router.sheet.ways import other_ways, why_this_way

TIGHTEST = 5
SEVERITY_WORDS = {
    Severity.MUST: "Must be put right",
    Severity.SHOULD: "Look at this",
    Severity.NOTE: "Good to know",
}


def run_section(plan: Plan, run: RunPlan, number: int) -> Html:
    """Return everything about one run."""
    own = [finding for finding in plan.findings if finding.run == run.name]
    return element(
        "section",
        element("h2", f"Run {number}: {run.name}", id=f"part-run-{number}"),
        element("p", f"From {run.start} to {run.end}."),
        _figures(run),
        element("h3", "Findings") if own else "",
        findings_list(own),
        why_this_way(run),
        other_ways(run),
        _electrical(run),
        _allowances(run),
        _stations(run),
        _fixings(run),
        _clearances(plan, run),
    )


def findings_list(findings: Iterable[Finding]) -> Html:
    """Return findings, the gravest first, each with what is asked, what is there and the rule."""
    order = list(Severity)
    items = []
    for finding in sorted(findings, key=lambda found: order.index(found.severity)):
        word = element("span", SEVERITY_WORDS[finding.severity] + ":", class_=str(finding.severity))
        station = f"station {metres(finding.station_mm)}" if finding.station_mm is not None else ""
        asked = f"asked: {finding.required}" if finding.required else ""
        there = f"found: {finding.actual}" if finding.actual else ""
        where = f"{finding.run}, {station}" if finding.run and station else finding.run or station
        parts = [_sentence(part) for part in (finding.what, where, asked, there) if part]
        items.append(joined([word, *parts, rule_words(finding.rule)], " "))
    return listed(items, class_="plain findings") if items else Html("")


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:].rstrip(".") + "."


def rule_words(rule: Rule | None) -> Html:
    """Return which rule something rests on, in small type."""
    return (
        element("span", f"Rule {rule.name}: {rule.source} ({rule.status}).", class_="soft")
        if rule
        else Html("")
    )


def _figures(run: RunPlan) -> Html:
    length = run.length
    figures = [
        ("Routed length", metres(length.routed_mm)),
        ("Cut each conductor to", metres(length.cut_mm)),
        ("Uncertainty (k = 2)", f"± {millimetres(length.uncertainty_mm)}"),
        ("All errors at worst", f"± {millimetres(length.worst_case_mm)}"),
        ("Fixings", str(len(run.fixings))),
        ("Conductors", ", ".join(f"{choice.size} {choice.colour}" for choice in run.conductors)),
    ]
    if run.fuse:
        figures.append(("Fuse", f"{run.fuse.rating_a:g} A at {metres(run.fuse.station_mm)}"))
    if run.route.gap >= 0.00005:
        figures.append(("Effort, at most above the best", percent(run.route.gap)))
    return facts(figures)


def facts(figures: Iterable[tuple[str, str]]) -> Html:
    """Return named figures side by side."""
    pairs = (element("div", element("dt", name), element("dd", value)) for name, value in figures)
    return element("dl", joined(pairs), class_="facts")


def _electrical(run: RunPlan) -> Html:
    heads = ("Conductor", "Size", "Colour", "Length", "Load", "Ampacity", "Drop", "Decided by")
    rows = [_conductor_row(choice) for choice in run.conductors]
    reasons = [_reasons(choice.name, choice.reasons) for choice in run.conductors]
    if run.fuse:
        reasons.append(_reasons(f"Fuse {run.fuse.rating_a:g} A", run.fuse.reasons))
    return joined([table("Conductors", heads, rows, (3, 4, 5, 6)), *reasons])


def _conductor_row(choice: ConductorChoice) -> tuple[str, ...]:
    return (
        choice.name,
        choice.size,
        choice.colour,
        metres(choice.length_mm),
        f"{choice.load_a:.1f} A" if choice.load_a else "return",
        f"{choice.ampacity_a:.1f} A",
        f"{choice.drop_v:.2f} V, {percent(choice.drop_fraction)}",
        choice.decided_by,
    )


def _reasons(name: str, reasons: Iterable[Reason]) -> Html:
    items = [
        joined([reason.what, element("span", f"{reason.source} ({reason.status})", class_="soft")], " ")
        for reason in reasons
    ]
    if not items:
        return Html("")
    return element("div", element("p", element("strong", f"Why {name}:")), listed(items), class_="keep")


def _allowances(run: RunPlan) -> Html:
    rows: list[tuple[object, ...]] = [("routed", millimetres(run.length.routed_mm), "")]
    rows += [(a.why, millimetres(a.length_mm), a.rule.name if a.rule else "") for a in run.length.allowances]
    rows.append(("cut length, rounded up", millimetres(run.length.cut_mm), ""))
    return table("Length", ("What", "Length", "Rule"), rows, (1,))


def _stations(run: RunPlan) -> Html:
    rows = [(metres(station.station_mm), station.what, station.detail) for station in run.stations]
    return table("Stations, from the start", ("Station", "What", "Detail"), rows, (0,))


def _fixings(run: RunPlan) -> Html:
    rows = [
        (
            str(fixing.number),
            metres(fixing.station_mm),
            str(fixing.kind),
            fixing.support or "panel",
            fixing.space,
            f"{fixing.x_mm:.0f}, {fixing.y_mm:.0f}, {fixing.z_mm:.0f}",
            fixing.why,
        )
        for fixing in run.fixings
    ]
    heads = ("No.", "Station", "Kind", "On", "Space", "x, y, z (mm)", "Why there")
    return table("Fixings", heads, rows, (0, 1, 5))


def _clearances(plan: Plan, run: RunPlan) -> Html:
    tags = keep_out_tags(plan.profile)
    ordered = sorted(run.clearances, key=lambda check: (check.actual_mm - check.required_mm, check.keep_out))
    rows = [_clearance_row(check, tags[check.keep_out]) for check in ordered[:TIGHTEST]]
    heads = ("Keep-out", "Hazard", "Least", "Actual", "Spare", "Station", "Rule")
    return table("Tightest clearances, outside of the loom", heads, rows, (2, 3, 4, 5))


def _clearance_row(check: ClearanceCheck, tag: str) -> tuple[object, ...]:
    return (
        f"{tag} {check.keep_out}",
        str(check.hazard),
        millimetres(check.required_mm),
        millimetres(check.actual_mm),
        millimetres(check.actual_mm - check.required_mm),
        metres(check.station_mm),
        check.rule.name if check.rule else "the keep-out's own clearance",
    )
