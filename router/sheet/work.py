"""The work in its order: make safe, take down, open, pull, fix, terminate, check, fuse, put back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from router.model.plan import FixingKind, Passage, PassageKind, Plan, RunPlan
from router.model.vehicle import Edge, Hazard, Opening, ThroughPass
from router.sheet.figures import at_station, count_of, metres, millimetres
from router.sheet.markup import Html, element, joined, listed, tick


def work_section(plan: Plan) -> Html:
    """Return every step of the job in the order it is done, each with a box to tick."""
    steps: list[tuple[str, list[str]]] = [
        ("Make safe", _make_safe(plan)),
        ("Take down covers", _covers(plan)),
        ("Drill and open", _openings(plan)),
        ("Cut and mark the conductors", _cuts(plan)),
    ]
    for run in plan.runs:
        steps.append((f"Pull {run.name}", _pull(run)))
        steps.append((f"Fix {run.name}", _fix(run)))
        steps.append((f"Terminate {run.name}", _terminate(plan, run)))
    steps.append(("Check before power", ["Do every check under “Before the fuse goes in”, below."]))
    steps.append(("Fit the fuse, last of all", _fuse(plan)))
    steps.append(("Check with power", ["Do every check under “With power”, below."]))
    steps.append(("Put back", _put_back(plan)))
    items = (joined([element("strong", title), listed(map(tick, lines))]) for title, lines in steps if lines)
    return listed(items, "ol", class_="work")


def _make_safe(plan: Plan) -> list[str]:
    hazards = {keep_out.hazard for keep_out in plan.profile.keep_outs}
    lines = [
        "Level ground, wheels chocked, key out; vehicle on stands or a lift at the maker's lifting points.",
        "Battery disconnected, negative lead first; leads secured away from the posts.",
    ]
    if Hazard.HIGH_VOLTAGE in hazards:
        lines.insert(0, "High-voltage system made safe by a person qualified for it, and marked so.")
    if Hazard.AIRBAG in hazards:
        lines.append("Waited after disconnecting for as long as the vehicle maker says (airbags).")
    if Hazard.HOT in hazards:
        lines.append("Exhaust cold to the hand.")
    return lines


def _covers(plan: Plan) -> list[str]:
    lines = []
    for name in _passed(plan, PassageKind.COVER):
        cover = plan.profile.cover(name)
        lines.append(
            f"{cover.name} ({cover.space}): {count_of(cover.fasteners, 'fastener')}. Keep them together."
        )
    return lines


def _openings(plan: Plan) -> list[str]:
    lines = [_open_words(plan.profile.opening(name)) for name in _passed(plan, PassageKind.OPENING)]
    for run in plan.runs:
        for passage in run.route.passages:
            if passage.kind is PassageKind.THROUGH_MEMBER:
                lines.append(_hole_words(plan, run, passage))
        drilled = [fixing for fixing in run.fixings if fixing.kind is FixingKind.P_CLIP]
        if drilled:
            numbers = ", ".join(str(fixing.number) for fixing in drilled)
            lines.append(
                f"{run.name}: mark the holes for {count_of(len(drilled), 'P-clip')} (fixings {numbers}). "
                "Look at what lies behind each before drilling; seal bare metal afterwards."
            )
    return list(dict.fromkeys(lines))


def _open_words(opening: Opening) -> str:
    edge = {
        Edge.RUBBER: "has its rubber; cut it no wider than the loom",
        Edge.ROLLED: "has a rolled edge; check it for burrs",
        Edge.BARE: "has a bare edge: fit a grommet",
    }
    between = " and ".join(opening.joins)
    return (
        f"Open {opening.name} (between {between}): {millimetres(opening.bore_mm)} bore, {edge[opening.edge]}."
    )


def _hole_words(plan: Plan, run: RunPlan, passage: Passage) -> str:
    member = plan.profile.member(passage.name)
    holes = [hole for hole in member.passes if isinstance(hole, ThroughPass)]
    middle = (passage.from_station_mm + passage.to_station_mm) / 2
    bores = " or ".join(sorted({millimetres(hole.bore_mm) for hole in holes}))
    grommet = ", grommet in its bare edge" if any(hole.edge is Edge.BARE for hole in holes) else ""
    return f"{run.name}: the existing hole in {member.name} {at_station(middle)}, bore {bores}{grommet}."


def _cuts(plan: Plan) -> list[str]:
    lines = []
    for run in plan.runs:
        for choice in run.conductors:
            lines.append(
                f"{choice.size} {choice.colour}, {metres(choice.length_mm)}: mark both ends "
                f"“{run.name}, {choice.name}”."
            )
    for loom in plan.looms:
        lines.append(f"{loom.loom}, {metres(loom.length_mm)}, over {' and '.join(loom.conductors)}.")
    return lines


def _pull(run: RunPlan) -> list[str]:
    lines = [
        f"From {run.start}, station 0, towards {run.end}; station {metres(run.length.routed_mm)} is its end."
    ]
    words = {
        PassageKind.OPENING: "through opening",
        PassageKind.OVER_MEMBER: "over",
        PassageKind.THROUGH_MEMBER: "through the hole in",
        PassageKind.COVER: "in above cover",
    }
    for passage in run.route.passages:
        if passage.kind in words:
            lines.append(
                f"{at_station(passage.from_station_mm).capitalize()}: {words[passage.kind]} {passage.name}."
            )
    for sleeve in run.heat_sleeves:
        lines.append(
            f"Heat sleeve over the loom from {metres(sleeve.from_station_mm)} to "
            f"{metres(sleeve.to_station_mm)} ({sleeve.keep_out})."
        )
    return lines


def _fix(run: RunPlan) -> list[str]:
    """Return fixings in groups that share a kind and a support, with their numbers and stations."""
    lines = []
    for (kind, support), group in groupby(run.fixings, key=lambda fixing: (fixing.kind, fixing.support)):
        fixings = list(group)
        where = f"on {support}" if support else "to the panel"
        places = ", ".join(f"{fixing.number} at {metres(fixing.station_mm)}" for fixing in fixings)
        lines.append(f"{kind} {where}: {places}.")
    return lines


def _terminate(plan: Plan, run: RunPlan) -> list[str]:
    lines = []
    for name in (run.start, run.end):
        terminal = plan.profile.terminal(name)
        on = f"ring for an {terminal.stud} stud" if terminal.stud else "the unit's own connector"
        lines.append(f"{name}: {on}; leave the length for making it up anew, and a drip loop.")
    return lines


def _fuse(plan: Plan) -> list[str]:
    return [
        f"{run.name}: {run.fuse.rating_a:g} A ({run.fuse.colour}) in its holder "
        f"{at_station(run.fuse.station_mm)}, no further than {metres(run.fuse.furthest_mm)} from "
        f"{run.start}. Battery connected, negative lead last."
        for run in plan.runs
        if run.fuse
    ]


def _put_back(plan: Plan) -> list[str]:
    lines = [f"{name}: all fasteners back." for name in _passed(plan, PassageKind.COVER)]
    return [*lines, "Tools and rags counted; vehicle down; this sheet filed with the vehicle's papers."]


def _passed(plan: Plan, kind: PassageKind) -> Sequence[str]:
    passages: Iterable[Passage] = (passage for run in plan.runs for passage in run.route.passages)
    return list(dict.fromkeys(passage.name for passage in passages if passage.kind is kind))
