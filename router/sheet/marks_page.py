"""Marks of many routes as a page: a table, what is wrong in common, and each route's findings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from urllib.parse import quote

from router.model.review import MarkedRoute, Mistake
from router.sheet.document import make_document
from router.sheet.embedded_maps import MapSheets
from router.sheet.finding_list import judged_table, kind_words
from router.sheet.job_sheet import facts
from router.sheet.markup import Html, element, joined, listed, table

NO_MAPS = MapSheets((), 297.0, 210.0)


def make_marks(marked: Sequence[MarkedRoute], mistakes: Sequence[Mistake]) -> str:
    """Return the marks of many routes of one job as one HTML document that needs nothing else."""
    judged = [each.judgement for each in marked if each.judgement]
    title = f"Marks: {judged[0].job.name} on {judged[0].profile.name}" if judged else "Marks"
    figures = [("Routes", str(len(marked))), ("Stand", str(sum(each.stands for each in judged)))]
    if judged:
        figures.append(("Mean mark", f"{sum(each.mark for each in judged) / len(judged):.0f} of 100"))
        figures.append(("Practice", judged[0].practice.name))
    if any(each.drawn.ignores_fixings for each in judged):
        figures.append(("Judged", "the route only, not its fixings"))
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
        kinds = Counter(kind_words(found.finding.kind) for found in judged.findings)
        words = "; ".join(f"{kind} ({count} times)" if count > 1 else kind for kind, count in kinds.items())
        verdict = "stands" if judged.stands else "falls"
        rows.append((_name(each), str(judged.mark), verdict, words or "nothing is wrong"))
    heads = ("Route", "Mark", "Verdict", "What it does")
    return element("section", element("h2", "Marks"), table("Out of 100", heads, rows, (1,)))


def _name(marked: MarkedRoute) -> Html | str:
    """Return a route's name, which leads to its own page with its map where there is one."""
    return element("a", marked.name, href=quote(marked.page)) if marked.page else marked.name


def _mistakes(mistakes: Sequence[Mistake], count: int) -> Html:
    rows = [(kind_words(m.kind), f"{m.routes} of {count}", str(m.findings), m.example) for m in mistakes]
    shown = table("The most common first", ("What they do", "Routes", "Times", "For example"), rows, (1, 2))
    return element("section", element("h2", "Common mistakes"), shown or element("p", "None."))


def _one(marked: MarkedRoute) -> Html:
    judged = marked.judgement
    heading = element("h3", _name(marked), f": {judged.mark} of 100" if judged else ": cannot be read")
    if judged is None:
        return element("section", heading, listed(marked.faults))
    shown = judged_table("Findings, the weightiest first", judged.findings)
    shown = shown or element("p", "Nothing is wrong with it.")
    saved = (
        [element("p", "The planned route would have saved:"), listed(judged.saved)] if judged.saved else []
    )
    return element("section", heading, shown, *saved)
