"""The page as a whole."""

from __future__ import annotations

from collections.abc import Sequence

from router.model.cautions import Caution, cautions_for
from router.model.marks import plan_number
from router.model.plan import BillLine, Plan
from router.sheet.checks import checks_section
from router.sheet.figures import metres
from router.sheet.maps import MapSheets, map_section, sheets_of
from router.sheet.markup import Html, element, joined, listed, raw, table, tick
from router.sheet.runs import facts, findings_list, run_section
from router.sheet.sources import sources_table
from router.sheet.style import CSS, page_rule
from router.sheet.tools import cut_list, tools_table
from router.sheet.ways import tightest_places
from router.sheet.work import work_section


def make_sheet(plan: Plan, map_svg: str, date: str = "") -> str:
    """Return the sheet of a plan as one HTML document that needs nothing else.

    Parameters
    ----------
    plan : Plan
        What to write about.
    map_svg : str
        Its map, as `router.drawing.draw_map` returns it.
    date : str
        The date to print; empty leaves a line to write it on.

    Raises
    ------
    ValueError
        Where the map is no SVG.
    """
    title = f"{plan.job.name}: {plan.profile.name}"
    sheets = sheets_of(map_svg, title)
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", title),
        element("style", raw(CSS + page_rule(sheets.width_mm, sheets.height_mm))),
    )
    body = element("body", _header(plan, date), element("main", _main(plan, sheets)))
    return f"<!DOCTYPE html>\n{element('html', head, body, lang='en')}\n"


def _header(plan: Plan, date: str) -> Html:
    profile = plan.profile
    figures = [
        ("Vehicle", f"{profile.name}, revision {profile.revision}"),
        ("Variant", profile.variant or "as first measured"),
        ("Measured", f"{profile.measured_on}, to {profile.tolerance_mm:g} mm"),
        ("Practice", plan.practice.name),
        ("Supply", f"{plan.job.source.nominal_v:g} V from {plan.job.source.at}"),
        ("Loom", f"{plan.loom_diameter_mm:.1f} mm outside at most"),
        ("Plan number, as on the map", plan_number(plan)),
        ("Date", date or "_" * 14),
    ]
    links = [
        ("cautions", "Cautions"),
        ("findings", "Findings"),
        ("fetch", "Fetch"),
        ("map", "Map"),
        ("work", "Work"),
    ]
    links += [(f"run-{number}", run.name) for number, run in enumerate(plan.runs, start=1)]
    links += [("checks", "Checks"), ("sources", "Sources")]
    nav = element(
        "nav", listed(element("a", words, href=f"#part-{part}") for part, words in links), aria_label="Parts"
    )
    return element("header", element("h1", plan.job.name), facts(figures), nav)


def _main(plan: Plan, sheets: MapSheets) -> Html:
    parts = [
        _part("cautions", "Cautions", _cautions(cautions_for(plan.profile))),
        _part(
            "findings",
            "At a glance",
            joined([_glance(plan), findings_list(plan.findings) or _nothing_found(), tightest_places(plan)]),
        ),
        _part("fetch", "What to fetch", joined([_bill(plan.bill), tools_table(plan), cut_list(plan)])),
        element("section", element("h2", "Map", class_="screen"), map_section(sheets), id="part-map"),
        _part("work", "The work, in its order", work_section(plan)),
        *(run_section(plan, run, number) for number, run in enumerate(plan.runs, start=1)),
        _part("checks", "Acceptance checks", checks_section(plan)),
        _part("sources", "Sources", sources_table(plan)),
    ]
    return joined(parts)


def _part(name: str, heading: str, content: Html) -> Html:
    return element("section", element("h2", heading, id=f"part-{name}"), content)


def _cautions(cautions: Sequence[Caution]) -> Html:
    return joined(
        element(
            "div",
            element("strong", caution.word, class_=str(caution.word)),
            element("p", caution.text),
            class_="caution",
        )
        for caution in cautions
    )


def _glance(plan: Plan) -> Html:
    rows = [
        (
            run.name,
            f"{run.start} to {run.end}",
            metres(run.length.routed_mm),
            metres(run.length.cut_mm),
            ", ".join(f"{choice.size} {choice.colour}" for choice in run.conductors),
            f"{run.fuse.rating_a:g} A" if run.fuse else "none",
            str(len(run.fixings)),
        )
        for run in plan.runs
    ]
    return table("Runs", ("Run", "Way", "Routed", "Cut", "Conductors", "Fuse", "Fixings"), rows, (2, 3, 6))


def _nothing_found() -> Html:
    return element("p", "The review found nothing that a person must look at.")


def _bill(lines: Sequence[BillLine]) -> Html:
    rows = [(tick(line.item), line.spec, f"{line.quantity:g} {line.unit}", line.where) for line in lines]
    return table(
        "Tick as it goes into the box", ("Item", "What exactly", "How much", "Where it goes"), rows, (2,)
    )
