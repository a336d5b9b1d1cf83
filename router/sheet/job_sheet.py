"""The sheet as a whole."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from router.facts import Caution, assumed_parts, cautions_for, first_cautions, measured_words, plan_number
from router.model.plan import Plan, RunPlan
from router.sheet.acceptance import checks_section
from router.sheet.connection_list import connections_section
from router.sheet.document import make_document
from router.sheet.electrical import electrical_section
from router.sheet.embedded_maps import MapSheets, circuit_section, map_section, sheets_of
from router.sheet.fetch import fetch_section
from router.sheet.figures import metres
from router.sheet.finding_list import findings_list
from router.sheet.length_table import lengths_section
from router.sheet.markup import Html, element, joined, listed, table
from router.sheet.measure_table import measure_section
from router.sheet.route_reasons import clearances, reasons_section
from router.sheet.rule_sources import sources_section
from router.sheet.span_table import holding_details
from router.sheet.work import work_section

_PARTS = {
    "cautions": "Cautions",
    "glance": "At a glance",
    "measure": "Still to measure",
    "fetch": "What to fetch",
    "map": "Map",
    "more-cautions": "Before you begin: further cautions",
    "work": "The work, in its order",
    "checks": "Acceptance checks",
    "reasons": "Why this route",
    "circuit": "Circuit diagram",
    "connections": "List of connections",
    "electrical": "Conductors and fuses",
    "lengths": "Cut lengths",
    "sources": "Sources of the rules",
}

_KINDS = {"map": "map last", "more-cautions": "cautions further"}
"""The CSS class of a part that differs from its name: in print the map's sheets come last."""


def make_sheet(plan: Plan, map_svg: str, date: str = "", number: str = "", circuit_svg: str = "") -> str:
    """Return the sheet of a plan as one HTML document that needs nothing else.

    Parameters
    ----------
    plan : Plan
        What to write about.
    map_svg : str
        Its map, as `router.drawing.draw_map` returns it.
    date : str
        The date to print; empty leaves a line to write it on.
    number : str
        The plan's, where it is known already; empty: it is worked out here.
    circuit_svg : str
        Its circuit diagram, as `router.drawing.draw_circuit` returns it; empty: the sheet has none.

    Raises
    ------
    ValueError
        Where the map or the circuit diagram is no SVG.
    """
    profile = plan.profile
    title = f"{plan.job.name}: {profile.name}"
    sheets = sheets_of(map_svg, title)
    circuit = circuit_section(circuit_svg, title) if circuit_svg else Html("")
    number = number or plan_number(plan)
    on_each_page = f"{title}, revision {profile.revision}, plan {number}"
    return make_document(
        title,
        on_each_page,
        sheets,
        _header(plan, number, date, has_circuit=bool(circuit)),
        _main(plan, sheets, circuit),
    )


def facts(figures: Iterable[tuple[str, str]]) -> Html:
    """Return named figures side by side."""
    pairs = (element("div", element("dt", name), element("dd", value)) for name, value in figures)
    return element("dl", joined(pairs), class_="facts")


def _header(plan: Plan, number: str, date: str, *, has_circuit: bool) -> Html:
    profile = plan.profile
    figures = [
        ("Vehicle", f"{profile.name}, revision {profile.revision}"),
        ("Variant", profile.variant or "as first measured"),
        ("Measured", measured_words(profile)),
        ("Supply", f"{plan.job.source.nominal_v:g} V from {plan.job.source.at}"),
        ("Loom", f"{plan.loom_diameter_mm:.1f} mm outside at most"),
        ("Rules", plan.practice.name),
        ("Plan number, as on the map", number),
        ("Date", date or "_" * 14),
    ]
    is_there = {"circuit": has_circuit, "measure": bool(assumed_parts(profile))}
    parts = {name: heading for name, heading in _PARTS.items() if is_there.get(name, True)}
    links = (element("a", heading, href=f"#part-{name}") for name, heading in parts.items())
    nav = element("nav", listed(links), aria_label="Parts of this sheet")
    return joined([element("h1", plan.job.name), facts(figures), nav])


def _main(plan: Plan, sheets: MapSheets, circuit: Html) -> Html:
    found = findings_list(plan.findings) or element("p", "The review of this plan found nothing to look at.")
    cautions = cautions_for(plan.profile, plan)
    first = first_cautions(cautions)
    later = tuple(caution for caution in cautions if caution not in first)
    contents = {
        "cautions": joined([_cautions(first), _cautions_to_come(later)]),
        "glance": joined([_glance(plan), found]),
        "measure": measure_section(plan),
        "fetch": fetch_section(plan),
        "map": map_section(sheets),
        "more-cautions": _cautions(later),
        "work": work_section(plan),
        "checks": checks_section(plan),
        "reasons": joined([reasons_section(plan), clearances(plan)]),
        "circuit": circuit,
        "connections": connections_section(plan),
        "electrical": electrical_section(plan),
        "lengths": joined([lengths_section(plan), holding_details(plan)]),
        "sources": sources_section(plan),
    }
    return joined(
        element(
            "section",
            element("h2", heading, id=f"part-{name}"),
            contents[name],
            class_=_KINDS.get(name, name),
        )
        for name, heading in _PARTS.items()
        if contents[name]
    )


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


def _cautions_to_come(later: Sequence[Caution]) -> Html:
    """Return where the cautions stand that are not among the first."""
    link = element("a", _PARTS["more-cautions"], href="#part-more-cautions")
    return element(
        "p", f"{len(later)} more, to be read before the first tool is picked up: “", link, "”.", class_="soft"
    )


def _glance(plan: Plan) -> Html:
    rows = [
        (
            joined([element("b", run.name + ":"), f"{run.start} to {run.end}"], " "),
            metres(run.length.routed_mm),
            metres(run.length.cut_mm),
            _conductors(run),
            f"{run.fuse.rating_a:g} A" if run.fuse else "none",
            str(len(run.own_fixings)),
        )
        for run in plan.runs
    ]
    heads = ("Run", "Routed", "Cut", "Conductors", "Fuse", "Fixings")
    return table("Runs; a fixing that holds several counts once", heads, rows, (1, 2, 5))


def _conductors(run: RunPlan) -> str:
    """Return the conductors of a run by size: "1.5 mm2 brown, yellow; 2.5 mm2 white"."""
    by_size: dict[str, list[str]] = {}
    for choice in run.conductors:
        by_size.setdefault(choice.size, []).append(choice.colour)
    return "; ".join(f"{size} {', '.join(colours)}" for size, colours in by_size.items())
