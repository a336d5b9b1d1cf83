"""A review as a page: the verdict, each finding by number, the map, and what was near."""

from __future__ import annotations

from router.facts import keep_out_tags
from router.model.plan import Severity
from router.model.review import Judgement
from router.sheet.document import make_document
from router.sheet.embedded_maps import map_section, sheets_of
from router.sheet.figures import metres, millimetres, station, to_spare
from router.sheet.finding_list import judged_table, rule_words, source_words
from router.sheet.job_sheet import facts
from router.sheet.markup import Html, element, folded, group, joined, listed, table

MOST_CLEARANCES = 8
_SIGNED = ("Drawn by", "Marked by, date", "Talked through on")


def make_review(judgement: Judgement, map_svg: str, marks_page: str = "") -> str:
    """Return a review as one HTML document that needs nothing else.

    Parameters
    ----------
    judgement : Judgement
        What the review says.
    map_svg : str
        Its map.
    marks_page : str
        File name of the page with the marks of all, where this is one of many; to go back to.

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
        element("section", element("h2", "Map"), map_section(sheets), class_="map last"),
        _nearest(judgement),
        group(_saved(judgement), _scheme(judgement), kind="pair"),
        element("div", joined(element("div", name) for name in _SIGNED), class_="sign"),
    ]
    back = element("nav", element("a", "Back to all marks", href=marks_page)) if marks_page else Html("")
    header = joined([back, element("h1", title), _figures(judgement)])
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
    if judgement.drawn.ignores_fixings:
        figures.append(("Judged", "the route only, not its fixings"))
    if judgement.drawn.drawing_tolerance_mm:
        figures.append(("Lines drawn on paper, known to", f"{judgement.drawn.drawing_tolerance_mm:.0f} mm"))
    if approval:
        figures.append(("Approved", f"by {approval.by} on {approval.on}, revision {approval.revision}"))
    return facts(figures)


def _findings(judgement: Judgement) -> Html:
    found = judged_table("By number, as in the dark diamonds on the map", judgement.findings)
    found = found or element("p", "Nothing is wrong with it.")
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
    rows = [
        (run.drawn.route.run, metres(run.drawn.route.routed_mm), metres(run.planned_mm))
        for run in judgement.runs
        if run.planned_mm is not None
    ]
    lengths = table("Routed lengths", ("Run", "As drawn", "As planned"), rows, (1, 2), is_narrow=True)
    words = listed(judgement.saved) if judgement.saved else element("p", "Nothing: it is as good as planned.")
    content = joined([words, lengths])
    return element("section", element("h2", "What the planned route would have saved"), content)


def _nearest(judgement: Judgement) -> Html:
    tags = keep_out_tags(judgement.profile)
    near = [(run, check) for run in judgement.runs for check in run.clearances[:MOST_CLEARANCES]]
    rows = [
        (
            f"{run.drawn.route.run} {station(check.station_mm)} m",
            f"{tags[check.keep_out]} {check.keep_out} ({check.hazard})",
            millimetres(check.required_mm),
            millimetres(check.actual_mm),
            to_spare(check.required_mm, check.actual_mm),
            check.rule.name if check.rule else "the keep-out's own clearance",
        )
        for run, check in sorted(near, key=lambda each: each[1].margin_mm)
    ]
    heads = ("Where", "Keep-out", "Keep at least", "As drawn", "Spare", "Rule")
    shown = table("From the outside of the loom, the least to spare first", heads, rows, (2, 3, 4))
    rules = {check.rule.name: check.rule for run in judgement.runs for check in run.clearances if check.rule}
    sources = folded("Sources of these rules", listed(rule_words(rules[name]) for name in sorted(rules)))
    nothing = element("p", "No keep-out is near.")
    return element("section", element("h2", "What was near"), joined([shown, sources]) if rows else nothing)


def _scheme(judgement: Judgement) -> Html:
    keys = ("danger", *(str(severity) for severity in Severity))
    rules = [judgement.practice.rule("marking", key) for key in keys]
    rows = [(rule.name, f"{rule.value:g}", source_words(rule.source, str(rule.status))) for rule in rules]
    shown = table(
        "Out of 100; what each finding takes off", ("Rule", "Points", "Source"), rows, (1,), is_narrow=True
    )
    return element("section", element("h2", "How it is marked"), shown)
