"""Findings in words, the gravest first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Rule
from router.model.review import JudgedFinding
from router.sheet.figures import sentence, station
from router.sheet.markup import Html, element, joined, listed, table

SEVERITY_WORDS = {
    Severity.MUST: "Must be put right",
    Severity.SHOULD: "Look at this",
    Severity.NOTE: "Good to know",
}

KIND_WORDS = {
    FindingKind.CLEARANCE: "comes too near to something",
    FindingKind.SPAN: "is held too seldom",
    FindingKind.FIXING_FORBIDDEN: "is fixed where it may not be",
    FindingKind.DRILLED_HOLE: "needs a hole where none may be drilled",
    FindingKind.FIXING_UNFIT: "is held by something that its support does not take",
    FindingKind.FIXING_OUT_OF_REACH: "is declared to be fixed to something that it does not reach",
    FindingKind.FIXING_MISSING: "is not held near something that needs it",
    FindingKind.MEMBER: "meets a crossmember beside the places where that may be passed",
    FindingKind.RISE: "goes over a crossmember without rising over its top",
    FindingKind.HEIGHT: "hangs in free air, where nothing is to hold it",
    FindingKind.LOOP: "has length left loose that can reach something that may not be touched",
    FindingKind.OPENING: "is too thick for an opening",
    FindingKind.HOLE: "is too thick for a hole",
    FindingKind.SPACE: "changes its space where there is no opening",
    FindingKind.PASS: "does not pass what its file says, or not there",
    FindingKind.CONTINUITY: "has a gap",
    FindingKind.SUPPORT: "does not follow a support that its file names",
    FindingKind.AVOID: "uses something that the job avoids",
    FindingKind.VIA: "misses something that the job goes by",
    FindingKind.DOUBLED: "lies twice on one line",
    FindingKind.BEND: "is bent too sharply",
    FindingKind.END: "does not end at its terminal",
    FindingKind.APART: "is too near to a run that it must stay apart from",
    FindingKind.LENGTH: "goes a long way round",
    FindingKind.OUTLINE: "leaves its space",
    FindingKind.CONDUCTOR: "is too long for any conductor",
}
"""What a route does, by the kind of finding; reads on after its name, or after "it"."""
NO_BREAK = "\u00a0"


def kind_words(kind: FindingKind) -> str:
    """Return what a route does that has findings of a kind.

    >>> kind_words("span")
    'is held too seldom'
    """
    return KIND_WORDS.get(kind, kind)


def judged_table(caption: str, findings: Sequence[JudgedFinding]) -> Html:
    """Return judged findings by number: where, how grave, by which rule, what was asked and found, points."""
    rows = []
    for number, judged in enumerate(findings, start=1):
        finding = judged.finding
        word = element("span", SEVERITY_WORDS[finding.severity] + ":", class_=str(finding.severity))
        at = f"{station(finding.station_mm)} m" if finding.station_mm is not None else ""
        where = f"{finding.run or ''} {at}".strip().replace(" ", NO_BREAK)
        what = joined([word, sentence(finding.what), rule_words(finding.rule)], " ")
        rows.append((str(number), where, what, finding.required, finding.actual, judged.taken))
    return table(caption, ("No.", "Where", "What", "Asked", "Found", "Points"), rows, (0, 5), prose=(2,))


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
