"""Findings in words, the gravest first."""

from __future__ import annotations

from collections.abc import Iterable

from router.model.plan import Finding, Severity
from router.model.practice import Rule
from router.sheet.figures import sentence, station
from router.sheet.markup import Html, element, joined, listed

SEVERITY_WORDS = {
    Severity.MUST: "Must be put right",
    Severity.SHOULD: "Look at this",
    Severity.NOTE: "Good to know",
}


def findings_list(findings: Iterable[Finding]) -> Html:
    """Return findings, the gravest first, each with what is asked, what is there and the rule."""
    order = list(Severity)
    items = []
    for finding in sorted(findings, key=lambda found: order.index(found.severity)):
        word = element("span", SEVERITY_WORDS[finding.severity] + ":", class_=str(finding.severity))
        at = f"station {station(finding.station_mm)} m" if finding.station_mm is not None else ""
        asked = f"asked: {finding.required}" if finding.required else ""
        there = f"found: {finding.actual}" if finding.actual else ""
        where = f"{finding.run}, {at}" if finding.run and at else finding.run or at
        parts = [sentence(part) for part in (finding.what, where, asked, there) if part]
        items.append(joined([word, *parts, rule_words(finding.rule)], " "))
    return listed(items, class_="plain findings") if items else Html("")


def source_words(source: str, status: str) -> str:
    """Return a source, and how far to trust it where that is not said or plain already.

    >>> source_words("49 CFR 393.83(a)", "published"), source_words("UN R37", "from memory")
    ('49 CFR 393.83(a)', 'UN R37 (from memory)')
    """
    return source if status == "published" or status in source else f"{source} ({status})"


def rule_words(rule: Rule | None) -> Html:
    """Return which rule something rests on, in small type."""
    return (
        element("span", f"Rule {rule.name}: {source_words(rule.source, str(rule.status))}.", class_="soft")
        if rule
        else Html("")
    )
