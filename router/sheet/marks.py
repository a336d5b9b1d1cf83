"""Marks of many routes as a page: a table, what is wrong in common, and each route's findings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from urllib.parse import quote

from router.model.review import MarkedRoute, Mistake
from router.sheet.document import make_document
from router.sheet.figures import metres
from router.sheet.findings import rule_words
from router.sheet.maps import MapSheets
from router.sheet.markup import Html, element, joined, listed, table
from router.sheet.page import facts

NO_MAPS = MapSheets((), 297.0, 210.0)


def make_marks(marked: Sequence[MarkedRoute], mistakes: Sequence[Mistake]) -> str:
    """Return the marks of many routes of one job as one HTML document that needs nothing else."""
    judged = [each.judgement for each in marked if each.judgement]
    title = f"Marks: {judged[0].job.name} on {judged[0].profile.name}" if judged else "Marks"
    figures = [("Routes", str(len(marked))), ("Stand", str(sum(each.stands for each in judged)))]
    if judged:
        figures.append(("Mean mark", f"{sum(each.mark for each in judged) / len(judged):.0f} of 100"))
        figures.append(("Practice", judged[0].practice.name))
    if any(each.drawn.is_way_only for each in judged):
        figures.append(("Judged", "the way only, not what holds the loom"))
    parts = [_table(marked), _mistakes(mistakes, len(judged)), *(_one(each) for each in marked)]
    header = joined([element("h1", title), facts(figures)])
    return make_document(title, title, NO_MAPS, header, joined(parts))


def _table(marked: Sequence[MarkedRoute]) -> Html:
    rows: list[tuple[object, ...]] = []
    for each in sorted(marked, key=lambda one: one.name):
        judged = each.judgement
        if judged is None:
            rows.append((each.name, "", "cannot be read", ""))
            continue
        kinds = Counter(found.finding.kind for found in judged.findings)
        words = ", ".join(f"{kind} ({count})" if count > 1 else kind for kind, count in kinds.items())
        rows.append(
            (_name(each), str(judged.mark), "stands" if judged.stands else "falls", words or "nothing")
        )
    heads = ("Route", "Mark", "Verdict", "What is wrong")
    return element("section", element("h2", "Marks"), table("Out of 100", heads, rows, (1,)))


def _name(marked: MarkedRoute) -> Html | str:
    """Return a route's name, which leads to its own page with its map where there is one."""
    return element("a", marked.name, href=quote(marked.page)) if marked.page else marked.name


def _mistakes(mistakes: Sequence[Mistake], count: int) -> Html:
    rows = [(m.kind, f"{m.routes} of {count}", str(m.findings), m.example) for m in mistakes]
    shown = table("The most common first", ("Kind", "Routes", "Times", "For example"), rows, (1, 2))
    return element("section", element("h2", "Common mistakes"), shown or element("p", "None."))


def _one(marked: MarkedRoute) -> Html:
    judged = marked.judgement
    heading = element("h3", _name(marked), f": {judged.mark} of 100" if judged else ": cannot be read")
    if judged is None:
        return element("section", heading, listed(marked.faults))
    rows = []
    for each in judged.findings:
        finding = each.finding
        station = metres(finding.station_mm) if finding.station_mm is not None else ""
        why = joined([f"{finding.what}.", rule_words(finding.rule)], " ")
        rows.append((finding.run or "", station, why, finding.required, finding.actual, f"-{each.points:g}"))
    heads = ("Run", "Station", "What", "Asked", "Found", "Points")
    shown = table("Findings, the weightiest first", heads, rows, (1, 5)) or element("p", "Nothing is wrong.")
    saved = [element("p", "The planned way would have saved:"), listed(judged.saved)] if judged.saved else []
    return element("section", heading, shown, *saved)
