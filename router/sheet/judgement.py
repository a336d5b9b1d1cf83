"""A review as a page: the verdict, each finding by number, the map, and what was near."""

from __future__ import annotations

from router.model.plan import Severity
from router.model.review import JudgedRun, Judgement
from router.sheet.document import make_document
from router.sheet.figures import metres, millimetres
from router.sheet.findings import SEVERITY_WORDS, rule_words, source_words
from router.sheet.maps import map_section, sheets_of
from router.sheet.markup import Html, element, joined, listed, table
from router.sheet.page import facts

NEAREST = 8


def make_review(judgement: Judgement, map_svg: str) -> str:
    """Return a review as one HTML document that needs nothing else.

    Raises
    ------
    ValueError
        Where the map is no SVG.
    """
    title = f"Review of {judgement.drawn.name}: {judgement.profile.name}"
    sheets = sheets_of(map_svg, title)
    parts = [
        _findings(judgement),
        _changes(judgement),
        _saved(judgement),
        element("section", element("h2", "Map"), map_section(sheets), class_="map"),
        *(_nearest(run) for run in judgement.runs),
        _scheme(judgement),
    ]
    header = joined([element("h1", title), _figures(judgement)])
    return make_document(title, title, sheets, header, joined(parts))


def _figures(judgement: Judgement) -> Html:
    approval, profile = judgement.drawn.approval, judgement.profile
    figures = [
        ("Verdict", "stands" if judgement.stands else "falls: a must-rule is broken"),
        ("Mark", f"{judgement.mark} of 100"),
        ("Job", judgement.job.name),
        ("Vehicle", f"{profile.name}, revision {profile.revision}"),
        ("Variant", profile.variant or "as first measured"),
        ("Practice", judgement.practice.name),
    ]
    if approval:
        figures.append(("Approved", f"by {approval.by} on {approval.on}, revision {approval.revision}"))
    return facts(figures)


def _findings(judgement: Judgement) -> Html:
    rows = []
    for number, judged in enumerate(judgement.findings, start=1):
        finding = judged.finding
        word = element("span", SEVERITY_WORDS[finding.severity], class_=str(finding.severity))
        station = metres(finding.station_mm) if finding.station_mm is not None else ""
        why = joined([finding.what, rule_words(finding.rule)], " ")
        cells = (word, finding.run or "", station, why, finding.required, finding.actual)
        rows.append((str(number), *cells, f"-{judged.points:g}"))
    heads = ("No.", "How bad", "Run", "Station", "What", "Asked", "Found", "Points")
    found = table("By number, as on the map", heads, rows, (0, 3, 7)) or element(
        "p", "Nothing is wrong with it."
    )
    return element("section", element("h2", "Findings"), found)


def _changes(judgement: Judgement) -> Html:
    if not judgement.drawn.approval:
        return Html("")
    words = [f"{each.run}: {each.what}" if each.run else each.what for each in judgement.changes]
    content = listed(words) if words else element("p", "Nothing changed under it.")
    return element("section", element("h2", "Since it was approved"), content)


def _saved(judgement: Judgement) -> Html:
    if judgement.planned is None:
        return Html("")
    content = listed(judgement.saved) if judgement.saved else element("p", "Nothing.")
    return element("section", element("h2", "What the planned way would have saved"), content)


def _nearest(run: JudgedRun) -> Html:
    rows = [
        (
            f"{check.keep_out} ({check.hazard})",
            millimetres(check.required_mm),
            millimetres(check.actual_mm),
            metres(check.station_mm),
            rule_words(check.rule) if check.rule else "the keep-out's own clearance",
        )
        for check in run.clearances[:NEAREST]
    ]
    heads = ("Keep-out", "Least", "Actual", "Station", "Rule")
    name = run.drawn.route.run
    return element(
        "section", element("h2", f"Run {name}"), table(f"Nearest to {name}", heads, rows, (1, 2, 3))
    )


def _scheme(judgement: Judgement) -> Html:
    keys = ("danger", *(str(severity) for severity in Severity))
    rules = [judgement.practice.rule("marking", key) for key in keys]
    rows = [(rule.name, f"{rule.value:g}", source_words(rule.source, str(rule.status))) for rule in rules]
    shown = table("Out of 100; what each finding takes off", ("Rule", "Points", "Source"), rows, (1,))
    return element("section", element("h2", "How it is marked"), shown)
