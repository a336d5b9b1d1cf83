"""A lesson as two pages: the questions to print and hand out, and the answers with their reasons."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from router.facts import course_in_words, keep_out_tags, plan_number, spaces_of
from router.model.lesson import FaultQuestion, FixQuestion, Lesson, OfferedRoute, RouteQuestion
from router.model.practice import Rule
from router.model.vehicle import KeepOut
from router.sheet.document import make_document
from router.sheet.embedded_maps import sheets_of
from router.sheet.figures import metres, millimetres
from router.sheet.finding_list import judged_table, kind_words, rule_words
from router.sheet.job_sheet import facts
from router.sheet.markup import Html, element, joined, listed, raw, table, tick
from router.sheet.stylesheets import stylesheet

MOST_CLEARANCES = 10
ROWS_EVERY_MM = 180.0
LINE_TO_WRITE_ON = "_" * 60


def make_questions(lesson: Lesson, maps: Mapping[str, str]) -> str:
    """Return the questions as one HTML document that needs nothing else.

    Parameters
    ----------
    lesson : Lesson
        What is asked.
    maps : mapping of str to str
        SVG documents by name: "blank", and "route 1", "fixing 1", "fault 1" and so on.

    Raises
    ------
    ValueError
        Where a map is no SVG.
    """
    plan = lesson.plan
    parts = [_how(lesson), _things(lesson), _picture(maps, "blank", "Blank map")]
    number = 0
    for count, route in enumerate(lesson.routes, start=1):
        number += 1
        content = joined([_ask_route(route), _picture(maps, f"route {count}", f"Question {number}")])
        parts.append(_question(number, f"Which route for {route.run}?", content))
    for count, fix in enumerate(lesson.fixings, start=1):
        number += 1
        content = joined([_ask_fixings(fix), _picture(maps, f"fixing {count}", f"Question {number}")])
        parts.append(_question(number, f"Where is {fix.run} to be fixed?", content))
    for count, fault in enumerate(lesson.faults, start=1):
        number += 1
        name = fault.judged.drawn.route.run
        content = joined([_ask_fault(fault), _picture(maps, f"fault {count}", f"Question {number}")])
        parts.append(_question(number, f"What is wrong with this route of {name}?", content))
    return _document(f"Lesson: {plan.job.name} on {plan.profile.name}", _heading(lesson), parts, maps)


def make_answers(lesson: Lesson, maps: Mapping[str, str]) -> str:
    """Return the answers as one HTML document; arguments and errors as for `make_questions`."""
    plan = lesson.plan
    parts: list[Html] = []
    number = 0
    for route in lesson.routes:
        number += 1
        parts.append(
            _answer(number, f"Which route for {route.run}? {route.right.letter}", _answer_route(route))
        )
    for count, fix in enumerate(lesson.fixings, start=1):
        number += 1
        picture = _picture(maps, f"fixing answer {count}", f"Answer {number}")
        content = joined([_answer_fixings(fix), picture])
        parts.append(_answer(number, f"Where is {fix.run} to be fixed?", content))
    for count, fault in enumerate(lesson.faults, start=1):
        number += 1
        name = fault.judged.drawn.route.run
        picture = _picture(maps, f"fault answer {count}", f"Answer {number}")
        content = joined([_answer_fault(fault), picture])
        parts.append(_answer(number, f"What is wrong with this route of {name}?", content))
    title = f"Answers: {plan.job.name} on {plan.profile.name}"
    return _document(title, _heading(lesson), parts, maps)


def _document(title: str, heading: Html, parts: Sequence[Html], maps: Mapping[str, str]) -> str:
    sheets = sheets_of(maps["blank"], title)
    header = joined([element("h1", title), heading])
    return make_document(
        title, title, sheets, header, joined(parts), stylesheet("router.sheet", "lesson.css")
    )


def _heading(lesson: Lesson) -> Html:
    plan = lesson.plan
    figures = [
        ("Vehicle", f"{plan.profile.name}, revision {plan.profile.revision}"),
        ("Variant", plan.profile.variant or "as first measured"),
        ("Practice", plan.practice.name),
        ("Made from plan", plan_number(plan)),
        ("Seed", str(lesson.seed)),
    ]
    return facts(figures)


def _how(lesson: Lesson) -> Html:
    runs = [f"{run.name}: from {run.start} to {run.end}" for run in lesson.plan.runs]
    return joined(
        [
            element("p", "Name: ", "_" * 30, "  Date: ", "_" * 16),
            element("p", "What is to be laid:"),
            listed(runs),
            element(
                "p",
                "Clearances count from the outside of the loom, in space, and the measuring tolerance "
                f"of {lesson.plan.profile.tolerance_mm:g} mm is added to each{_but_assumed(lesson)}. "
                "Use your shop's rules; they are listed with their sources by: underbody practice.",
            ),
        ]
    )


def _things(lesson: Lesson) -> Html:
    """Return the keep-outs by their tags on the maps."""
    tags = keep_out_tags(lesson.plan.profile)
    spaces = {point.space for run in lesson.plan.runs for point in run.route.points}
    profile = lesson.plan.profile
    rows = [
        (
            tags[k.name],
            k.name,
            f"{k.hazard}{', shielded' if k.is_shielded else ''}{_assumed(k)}",
            ", ".join(drawn),
            _heights(k.heights_mm),
        )
        for k in profile.keep_outs
        if (drawn := [space for space in spaces_of(profile, k) if space in spaces])
    ]
    rows.sort(key=lambda row: (row[3], row[0][0], int(row[0][1:])))
    shown = table("What stands on the maps", ("Tag", "Keep-out", "Hazard", "Space", "Heights"), rows)
    return element("section", element("h2", "Keep-outs"), shown)


def _but_assumed(lesson: Lesson) -> str:
    """Return what is added in place of the tolerance for keep-outs that nobody measured; nothing without."""
    some = any(_assumed(keep_out) for keep_out in lesson.plan.profile.keep_outs)
    return ", or how far off a keep-out is assumed to be where that is more" if some else ""


def _assumed(keep_out: KeepOut) -> str:
    return "" if keep_out.assumed_mm is None else f", assumed to {keep_out.assumed_mm:.0f} mm"


def _heights(heights_mm: tuple[float, float] | None) -> str:
    return f"{heights_mm[0]:.0f} to {heights_mm[1]:.0f} mm" if heights_mm else "all"


def _question(number: int, heading: str, content: Html) -> Html:
    return element("section", element("h2", f"{number}. {heading}"), content, class_="question")


def _answer(number: int, heading: str, content: Html) -> Html:
    return element("section", element("h2", f"{number}. {heading}"), content)


def _picture(maps: Mapping[str, str], name: str, title: str) -> Html:
    """Return the first sheet of a map; empty where there is none. Its ids go: a page has many maps."""
    if name not in maps:
        return Html("")
    picture = raw(re.sub(r'(<g\b[^>]*?) id="[^"]*"', r"\1", sheets_of(maps[name], title).pictures[0]))
    return element("div", picture, class_="map")


def _ask_route(question: RouteQuestion) -> Html:
    rows = [
        (tick(each.letter), metres(each.route.routed_mm), course_in_words(each.route))
        for each in question.offered
    ]
    asked = table("Tick the right one", ("Route", "Length", "Its course"), rows, (1,))
    note = element("p", "Where routes lie together, the map draws them side by side.", class_="soft")
    return joined([asked, note, _lines("What speaks against each of the others?", 4)])


def _answer_route(question: RouteQuestion) -> Html:
    parts: list[Html] = [element("h3", f"{question.right.letter} is right")]
    if question.reasons:
        parts.append(listed(question.reasons[:8]))
    for each in question.offered:
        if each.against:
            parts += [element("h3", f"Against {each.letter}"), _against(each)]
    return joined(parts)


def _against(offered: OfferedRoute) -> Html:
    return joined([listed(offered.against), *(element("p", rule_words(rule)) for rule in offered.rules)])


def _ask_fixings(question: FixQuestion) -> Html:
    passed = [
        (metres(p.from_station_mm), metres(p.to_station_mm), str(p.kind), p.name)
        for p in question.route.passages
    ]
    count = int(question.route.routed_mm / ROWS_EVERY_MM) + 3
    empty = [(str(number), "", "", "") for number in range(1, count + 1)]
    heads = ("No.", "Station", "Tie, clip or P-clip", "On what")
    return joined(
        [
            element(
                "p",
                f"The route is {metres(question.route.routed_mm)} long; stations run from its start. As few "
                "fixings as the rules allow.",
            ),
            table("What it meets", ("From", "To", "What", "Name"), passed, (0, 1)),
            element("div", table("Your fixings", heads, empty, (0,)), class_="write"),
        ]
    )


def _answer_fixings(question: FixQuestion) -> Html:
    rows = [(str(f.number), metres(f.station_mm), str(f.kind), f.on, f.why) for f in question.fixings]
    heads = ("No.", "Station", "Kind", "On what", "Why there")
    note = "These are the fewest; another choice is as good where it keeps to the same rules."
    return joined(
        [
            table(f"{len(rows)} fixings", heads, rows, (0, 1)),
            element("p", note),
            _rules(question.rules),
        ]
    )


def _rules(rules: Sequence[Rule]) -> Html:
    rows = [(rule.name, f"{rule.value:g} {rule.unit}", f"{rule.source} ({rule.status})") for rule in rules]
    return table("The rules", ("Rule", "Value", "Source"), rows, (1,))


def _ask_fault(question: FaultQuestion) -> Html:
    judged = question.judged
    route, fixings = judged.drawn.route, judged.drawn.fixings
    figures = [
        ("Length", metres(route.routed_mm)),
        ("Loom", f"{judged.loom_diameter_mm:.1f} mm outside"),
    ]
    if judged.planned_mm is not None:
        figures.append(("A planned route takes", metres(judged.planned_mm)))
    is_line = question.judgement.drawn.ignores_fixings
    line_words = "One rule about its line is broken; what holds it does not count here."
    broken = line_words if is_line else "One rule is broken."
    held = [(str(f.number), metres(f.station_mm), str(f.kind), f.on) for f in fixings if not is_line]
    near = [
        (check.keep_out, str(check.hazard), millimetres(check.actual_mm), metres(check.station_mm))
        for check in sorted(judged.clearances, key=lambda check: check.actual_mm)[:MOST_CLEARANCES]
    ]
    loose = [(metres(loop.station_mm), millimetres(loop.spare_mm)) for loop in judged.drawn.loops]
    return joined(
        [
            element(
                "p",
                f"{broken} Which one, where, and what would put it right?",
            ),
            facts(figures),
            element("p", f"Its course: {course_in_words(route)}."),
            _lines("", 3),
            table("What is near", ("Keep-out", "Hazard", "Distance", "Station"), near, (2, 3)),
            table("Left loose", ("Station", "How much"), loose, (0, 1)),
            table("What holds it", ("No.", "Station", "Kind", "On what"), held, (0, 1)),
        ]
    )


def _answer_fault(question: FaultQuestion) -> Html:
    kind = question.findings[0].finding.kind
    words = element("p", element("strong", f"It {kind_words(kind)}."))
    return joined([words, judged_table("What is wrong", question.findings)])


def _lines(words: str, count: int) -> Html:
    """Return lines to write on, under a question."""
    lines = [element("p", LINE_TO_WRITE_ON * 2, aria_hidden="true") for _ in range(count)]
    return element("div", element("p", words) if words else "", joined(lines), class_="lines")
