"""What to have at hand: tools by fastener and hole, and every conductor to cut with what goes on its ends."""

from __future__ import annotations

from router.model.plan import FixingKind, PassageKind, Plan
from router.model.vehicle import Edge
from router.sheet.figures import count_of, metres, millimetres
from router.sheet.markup import Html, table, tick


def tools_table(plan: Plan) -> Html:
    """Return one line for every kind of fastener and hole of this job, with the tool for it."""
    rows = [*_cover_tools(plan), *_hole_tools(plan), *_end_tools(plan)]
    return table("Tools, by fastener and hole", ("Tool", "For"), [(tick(tool), use) for tool, use in rows])


def cut_list(plan: Plan) -> Html:
    """Return every conductor with its cut length and what stands at either end."""
    rows = [
        (
            tick(f"{run.name}, {choice.name}"),
            f"{choice.size} {choice.colour}",
            metres(choice.length_mm),
            _end_words(plan, run.start),
            _end_words(plan, run.end),
        )
        for run in plan.runs
        for choice in run.conductors
    ]
    return table("Cut list", ("Mark both ends", "Conductor", "Cut", "At the start", "At the end"), rows, (2,))


def _cover_tools(plan: Plan) -> list[tuple[str, str]]:
    covers = [plan.profile.cover(name) for name in _passed(plan, PassageKind.COVER)]
    return [
        (f"driver or clip lever for {cover.name}", count_of(cover.fasteners, "fastener")) for cover in covers
    ]


def _hole_tools(plan: Plan) -> list[tuple[str, str]]:
    openings = [plan.profile.opening(name) for name in _passed(plan, PassageKind.OPENING)]
    tools = {
        Edge.RUBBER: "blade for the rubber",
        Edge.ROLLED: "deburring tool",
        Edge.BARE: "deburring tool, grommet",
    }
    rows = [(tools[o.edge], f"{o.name}, bore {millimetres(o.bore_mm)}") for o in openings]
    drilled = sum(fixing.kind is FixingKind.P_CLIP for run in plan.runs for fixing in run.fixings)
    if drilled:
        words = f"{count_of(drilled, 'hole')} for P-clips, to the clips' screws"
        rows.append(("drill with depth stop, deburring tool, driver, paint for bare metal", words))
    return rows


def _end_tools(plan: Plan) -> list[tuple[str, str]]:
    sizes = list(dict.fromkeys(choice.size for run in plan.runs for choice in run.conductors))
    ends = dict.fromkeys(name for run in plan.runs for name in (run.start, run.end))
    rows = [("crimping and stripping tools", ", ".join(sizes))]
    for name in ends:
        terminal = plan.profile.terminal(name)
        if terminal.stud:
            rows.append((f"spanner for an {terminal.stud} nut, torque wrench", name))
    return rows


def _end_words(plan: Plan, name: str) -> str:
    stud = plan.profile.terminal(name).stud
    return f"{name}: ring {stud}" if stud else f"{name}: the unit's own connector"


def _passed(plan: Plan, kind: PassageKind) -> list[str]:
    return list(dict.fromkeys(p.name for run in plan.runs for p in run.route.passages if p.kind is kind))
