"""What to fetch: parts, tools by fastener and hole, and each conductor to cut with what goes on its ends."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from router.facts import poles_at, stud_of
from router.model.conductor_choice import ConductorChoice
from router.model.plan import BillItem, BillLine, PassageKind, Plan, RunPlan
from router.model.vehicle import Edge, Screw
from router.sheet.figures import count_of, metres, millimetres, station
from router.sheet.markup import Html, element, group, joined, listed, table, tick
from router.sheet.trunk_text import conductor_name

_PLACED_ELSEWHERE = (
    BillItem.CONDUCTOR_CUT,
    BillItem.CONDUCTOR_TOTAL,
    BillItem.LOOM,
    BillItem.RING_TERMINAL,
    BillItem.CONNECTOR_CONTACT,
)
"""Items whose places are in the lists of what to cut: not said twice."""
_NAMED_BY_SPEC = (
    BillItem.RING_TERMINAL,
    BillItem.CONNECTOR_CONTACT,
    BillItem.TAPE,
    BillItem.EDGE_GUARD,
    BillItem.CLIP,
)
"""Items whose spec says what they are: "ring M6, ...", "edge clip for a flange, ..."."""


def fetch_section(plan: Plan) -> Html:
    """Return parts and tools as lists to tick off as they go into the box."""
    parts = [line for line in plan.bill if line.unit != "kg" and line.item != BillItem.CONDUCTOR_CUT]
    masses = [f"{line.item} {line.spec}: {line.quantity:g} kg" for line in plan.bill if line.unit == "kg"]
    tools = (tick(f"{tool} ({use})") for tool, use in _tools(plan))
    return joined(
        [
            group(element("h3", "Parts"), listed(_parts(parts), class_="plain columns"), kind="parts"),
            element("p", "; ".join(masses) + ".", class_="soft screen") if masses else "",
            group(element("h3", "Tools"), listed(tools, class_="plain columns"), kind="parts"),
        ]
    )


def cut_list(plan: Plan) -> Html:
    """Return every conductor with its cut length and what goes on either end."""
    rows = [
        (
            tick(conductor_name(run.name, choice.name)),
            f"{choice.size} {choice.colour}",
            metres(choice.length_mm),
            _end_words(plan, run.start, choice.name),
            _end_words(plan, run.end, choice.name),
        )
        for run, choice in conductors_of(plan)
    ]
    heads = ("Mark both ends", "Conductor", "Cut", "On its start", "On its end")
    return table("Conductors to cut", heads, rows, (2,))


def loom_list(plan: Plan) -> Html:
    """Return every piece of loom with its length, what lies in it, and where."""
    rows = [
        (
            tick(loom.loom),
            metres(loom.length_mm),
            " + ".join(loom.runs),
            f"{station(loom.from_station_mm)} to {station(loom.to_station_mm)} m of {loom.runs[0]}",
        )
        for loom in plan.looms
    ]
    return table("Loom to cut", ("Loom", "Length", "Over", "Where"), rows, (1,))


def conductors_of(plan: Plan) -> list[tuple[RunPlan, ConductorChoice]]:
    """Return every conductor of a plan with its run."""
    return [(run, choice) for run in plan.runs for choice in run.conductors]


def passed(plan: Plan, kind: PassageKind) -> Sequence[str]:
    """Return the names of what the runs pass, of one kind, each once."""
    return list(dict.fromkeys(p.name for run in plan.runs for p in run.route.passages if p.kind is kind))


def _parts(lines: Sequence[BillLine]) -> Iterator[Html]:
    """Yield what to take and how much; where it goes is given if there are several of its kind."""
    counts = Counter(line.item for line in lines)
    for line in lines:
        quantity = f"{line.quantity:g} ×" if line.unit == "piece" else f"{line.quantity:g} {line.unit}"
        words: list[object] = [element("b", quantity), _thing(line)]
        if counts[line.item] > 1 and line.item not in _PLACED_ELSEWHERE:
            words.append(element("span", f"({line.where})", class_="soft"))
        elif line.spare:
            words.append(element("span", f"(with {line.spare:g} spare)", class_="soft"))
        yield tick(joined(words, " "))


def _thing(line: BillLine) -> str:
    """Return what a line asks for; its item only where the spec does not say it already."""
    if line.item in _NAMED_BY_SPEC:
        return line.spec
    item = "conductor" if line.item == BillItem.CONDUCTOR_TOTAL else line.item
    return f"{item}: {line.spec}"


def _tools(plan: Plan) -> list[tuple[str, str]]:
    return [*_cover_tools(plan), *_hole_tools(plan), *_end_tools(plan)]


def _cover_tools(plan: Plan) -> list[tuple[str, str]]:
    covers = [plan.profile.cover(name) for name in passed(plan, PassageKind.COVER)]
    return [
        ("driver or clip lever", f"{count_of(cover.fasteners, 'fastener')} of {cover.name}")
        for cover in covers
    ]


def _hole_tools(plan: Plan) -> list[tuple[str, str]]:
    openings = [plan.profile.opening(name) for name in passed(plan, PassageKind.OPENING)]
    tools = {
        Edge.RUBBER: "blade for the rubber",
        Edge.ROLLED: "deburring tool",
        Edge.BARE: "deburring tool, grommet",
    }
    rows = [(tools[o.edge], f"{o.name}, bore {millimetres(o.bore_mm)}") for o in openings]
    if plan.holes:
        tool = "drill with a collar as depth stop, deburring tool, driver, primer, sealant, vacuum cleaner"
        sizes = sorted({hole.diameter_mm for hole in plan.holes})
        words = " and ".join(f"{size_mm:g} mm" for size_mm in sizes)
        if any(hole.screw is Screw.RIVET_NUT for hole in plan.holes):
            tool += ", rivet-nut setter"
        rows.append((tool, f"{count_of(len(plan.holes), 'hole')} of {words} for P-clips"))
    return rows


def _end_tools(plan: Plan) -> list[tuple[str, str]]:
    sizes = dict.fromkeys(choice.size for _, choice in conductors_of(plan))
    studs: dict[str, list[str]] = {}
    ends = ((name, choice.name) for run, choice in conductors_of(plan) for name in (run.start, run.end))
    for name, conductor in ends:
        stud = stud_of(plan.job, plan.profile, name, conductor)
        if stud and name not in studs.setdefault(stud, []):
            studs[stud].append(name)
    is_shrunk = any(
        line.item is BillItem.HEAT_SHRINK or BillItem.HEAT_SHRINK.value in line.spec for line in plan.bill
    )
    shrinking = [("hot-air gun", "everything that is shrunk")] if is_shrunk else []
    return [
        ("tape measure, marker, cutter, multimeter", "the whole job"),
        ("stripping and crimping tools", ", ".join(sizes)),
        *shrinking,
        *((f"spanner for {stud} nuts, torque wrench", ", ".join(names)) for stud, names in studs.items()),
    ]


def _end_words(plan: Plan, name: str, conductor: str) -> str:
    stud, poles = stud_of(plan.job, plan.profile, name, conductor), poles_at(plan.job, name)
    pole = ""
    if plan.profile.terminal(name).studs or (stud and poles.are_both):
        pole = ", plus" if conductor in poles.plus else ", minus"
    return f"ring {stud}: {name}{pole}" if stud else f"contact: {name}"
