"""The work in its order, from making the vehicle safe to putting it back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial

from router.facts import (
    ConductorEnds,
    course_in_words,
    heat_shrink_words,
    passed_name,
    place_in_words,
    poles_at,
)
from router.model.job import Conductor
from router.model.plan import Passage, PassageKind, Plan, RunPlan
from router.model.vehicle import Edge, Hazard, Opening, Studs, Terminal, ThroughPass
from router.sheet.along_run import along_table
from router.sheet.fetch import conductors_of, cut_list, loom_list, passed
from router.sheet.figures import (
    at_station,
    count_of,
    metres,
    millimetres,
    nearest_mm,
    sentence,
    to_side,
)
from router.sheet.fixing_table import fixings_table
from router.sheet.hole_table import hole_steps, hole_table
from router.sheet.markup import Html, element, group, joined, listed, tick
from router.sheet.route_reasons import tightest_places
from router.sheet.trunk_text import conductor_name, shared_stretches

_LOOPS = ("drip loop", "service loop")
_EDGES = {
    Edge.RUBBER: "It has its rubber: cut it no wider than the loom.",
    Edge.ROLLED: "Its edge is rolled: feel for burrs.",
    Edge.BARE: "Its edge is bare: deburr it and fit the grommet before the loom goes in.",
}


def work_section(plan: Plan) -> Html:
    """Return every step of the job in the order it is done, each with boxes to tick."""
    steps: list[tuple[str, Html]] = [
        ("Make safe", _ticks(_make_safe(plan))),
        ("Take down", _ticks(_covers(plan))),
        ("Put in place what the job brings along", _ticks(_places(plan))),
        ("Open and drill", _open_and_drill(plan)),
        ("Cut, mark and cover", joined([cut_list(plan), loom_list(plan)])),
        ("Pull", _ticks(_pull(plan))),
        ("Fix by number", _fix(plan)),
        ("Make up the ends", _ticks(_make_up(plan))),
        ("Connect the ends", joined([_ticks(_terminate(plan)), _ticks(_loops(plan), "plain columns")])),
        ("Check before power", _ticks(["Every check under “Before the fuse goes in”, below."])),
        ("Connect the battery", _ticks(["Fuse still out. Battery connected, negative lead last."])),
        ("Fit the fuse, last of all", _ticks(_fuse(plan))),
        ("Check with power", _ticks(["Every check under “With power”, below."])),
        ("Put back", _ticks(_put_back(plan))),
    ]
    items = (joined([element("h3", title), content]) for title, content in steps if content.strip())
    return listed(items, "ol", class_="work")


def _ticks(lines: Iterable[object], kind: str = "plain") -> Html:
    ticked = [tick(line) for line in lines]
    return listed(ticked, class_=kind) if ticked else Html("")


def _make_safe(plan: Plan) -> list[str]:
    hazards = {keep_out.hazard for keep_out in plan.profile.keep_outs}
    lines = ["Fault codes read and noted."]
    if Hazard.HIGH_VOLTAGE in hazards:
        lines.append("High-voltage system made safe by a person qualified for it, and marked so.")
    lines += [
        "Ground level, wheels chocked, key out. Vehicle on stands or a lift, at the maker's lifting points.",
        "Control units asleep: waited for as long as the vehicle maker says.",
        "Battery off, negative lead first. Both leads held away from the posts.",
    ]
    if Hazard.AIRBAG in hazards:
        lines.append("Airbags: waited for as long as the vehicle maker says.")
    if Hazard.HOT in hazards:
        lines.append("Exhaust cold to the hand.")
    return lines


def _covers(plan: Plan) -> list[str]:
    covers = [plan.profile.cover(name) for name in passed(plan, PassageKind.COVER)]
    return [
        sentence(f"{cover.name} ({cover.space}): {count_of(cover.fasteners, 'fastener')}; keep them together")
        for cover in covers
    ]


def _places(plan: Plan) -> Iterator[str]:
    """Yield where each place of the job is: the routes and their lengths end there, not beside it."""
    for terminal in plan.profile.terminals:
        if terminal.is_place:
            x_mm, y_mm = terminal.at
            at = (to_side(x_mm, "behind", "ahead"), to_side(y_mm, "right", "left"))
            height = f"{nearest_mm(terminal.height_mm):.0f} high"
            kind = f"{terminal.kind}, " if terminal.kind else ""
            where = f"{kind}{terminal.space}, {_ends_on(terminal)}"
            yield sentence(
                f"{terminal.name} ({where}): {', '.join((*at, height))}; mm from {plan.profile.datum}"
            )


def _ends_on(terminal: Terminal) -> str:
    if terminal.studs:
        return f"studs {terminal.studs.plus} plus and {terminal.studs.minus} minus"
    return f"stud {terminal.stud}" if terminal.stud else "connector"


def _open_and_drill(plan: Plan) -> Html:
    return joined([_ticks(_openings(plan)), _ticks(hole_steps(plan)), hole_table(plan)])


def _openings(plan: Plan) -> list[str]:
    lines = [_open_words(plan.profile.opening(name)) for name in passed(plan, PassageKind.OPENING)]
    lines += [_hole_words(plan, run, passage, hole) for run, passage, hole in _own_holes(plan)]
    return lines


def _open_words(opening: Opening) -> str:
    between = " to ".join(opening.joins)
    return f"Open {opening.name} ({between}), bore {millimetres(opening.bore_mm)}. {_EDGES[opening.edge]}"


def _own_holes(plan: Plan) -> Iterator[tuple[RunPlan, Passage, ThroughPass]]:
    """Yield the holes in members that a run goes through outside of an earlier run's loom."""
    for run in plan.runs:
        shared = shared_stretches(plan, run)
        for passage in run.route.passages:
            is_own = not any(stretch.holds(passage.from_station_mm) for stretch in shared)
            if passage.hole and is_own:
                yield run, passage, passage.hole


def _hole_words(plan: Plan, run: RunPlan, passage: Passage, hole: ThroughPass) -> str:
    member = plan.profile.member(passage.name)
    where = f"{run.name} {at_station(passage.from_station_mm)}"
    words = f"Hole already in {member.name} {place_in_words(member, hole.at)}, "
    return f"{words}bore {millimetres(hole.bore_mm)} ({where}): clean it out. {_EDGES[hole.edge]}"


def _pull(plan: Plan) -> Iterator[Html]:
    for run in plan.runs:
        shared = shared_stretches(plan, run)
        trunk = "".join(
            f" It lies in the loom of {each.first} for {metres(abs(each.to_mm - each.from_mm))}."
            for each in shared
        )
        ends = f"from {run.start} to {run.end}, {metres(run.length.routed_mm)}"
        course = course_in_words(run.route, partial(passed_name, plan.profile, run.route))
        words = f": {ends}: {course}.{trunk}"
        yield joined([element("b", sentence(run.name).rstrip(".")), words], "")


def _fix(plan: Plan) -> Html:
    note = element(
        "p",
        "Stations are metres along the loom from the start of the run; numbers are those of the map. Lay it "
        "in by hand first, pull nothing tight, then fix from the start.",
    )
    tables = group(*(along_table(plan, run) for run in plan.runs), kind="columns")
    return joined([note, tables, fixings_table(plan), tightest_places(plan)])


def _make_up(plan: Plan) -> Iterator[str]:
    """Yield the crimps, before anything is connected: holders first, with what must not lie before them."""
    shrunk = {run.name: _is_shrunk(run) for run in plan.runs}
    for run in plan.runs:
        if run.fuse:
            crimped = "crimped, shrunk" if shrunk[run.name] else "crimped, pulled by hand"
            joined_by = (
                f"both rings {crimped} and bolted to its {run.fuse.stud} studs"
                if run.fuse.stud
                else f"both splices {crimped}"
            )
            for end, from_end_mm in _holders(plan, run):
                yield (
                    f"Holder of {run.name} {'set' if run.fuse.stud else 'spliced'} into "
                    f"{run.fuse.conductor}, {metres(from_end_mm)} from {end}: {joined_by}, no fuse "
                    f"in it. Slack beyond it: it does not protect what lies between {end} and it."
                )
    yield "Every other end: stripped, crimped, pulled by hand; not connected."
    bare = [choice for _, choice in conductors_of(plan) if heat_shrink_words(choice)]
    if bare:
        names = ", ".join(dict.fromkeys(choice.size for choice in bare))
        yield (
            f"Each ring and splice on {names} has no insulation of its own: heat-shrink slipped on before it "
            "is crimped, shrunk after it was pulled; which one stands under “Every end”."
        )
    yield "Each conductor end to end, both ends free: first table under “Before the fuse goes in”."


def _is_shrunk(run: RunPlan) -> bool:
    """Return whether the joints at a run's fuse holder are shrunk: those without insulation of their own."""
    return any(
        bool(heat_shrink_words(choice))
        for choice in run.conductors
        if run.fuse and choice.name == run.fuse.conductor
    )


def source_end(plan: Plan, run: RunPlan) -> str:
    """Return the end of a run that its fuse holder is near to: the one at which its current comes in."""
    assert run.fuse is not None
    return ConductorEnds(plan.job, plan.profile).near[run.fuse.conductor]


def _holders(plan: Plan, run: RunPlan) -> Iterator[tuple[str, float]]:
    """Yield the end that each holder of a run is near to, and how far from it along the run. [mm]"""
    assert run.fuse is not None
    first = source_end(plan, run)
    second = run.end if first == run.start else run.start
    for end, station_mm in zip((first, second), run.fuse.stations_mm, strict=False):
        yield end, run.route.routed_mm - station_mm if end == run.end else station_mm


def _terminate(plan: Plan) -> Iterator[str]:
    for name in dict.fromkeys(name for run in plan.runs for name in (run.start, run.end)):
        terminal, poles = plan.profile.terminal(name), poles_at(plan.job, name)
        stud, studs = terminal.stud, terminal.studs
        if studs:
            yield from _on_two_studs(plan, name, studs)
            continue
        on = f"ring on the {stud} stud" if stud else "contacts in its connector"
        if not poles.are_both:
            yield sentence(f"{name}: {on}: {_ending(plan, name, (*poles.plus, *poles.minus))}")
            continue
        minus = "ring on its own minus, never on the stud of the plus" if stud else on
        yield sentence(f"{name}, supply (plus): {on}: {_ending(plan, name, poles.plus)}")
        yield sentence(f"{name}, earth (minus): {minus}: {_ending(plan, name, poles.minus)}")


def _on_two_studs(plan: Plan, name: str, studs: Studs) -> Iterator[str]:
    """Yield what ends on either stud of a unit, each pole on its own."""
    poles = poles_at(plan.job, name)
    ends = ((poles.plus, "plus", studs.plus), (poles.minus, "minus", studs.minus))
    for names, pole, stud in ends:
        if names:
            yield sentence(f"{name}: ring on its {pole} stud, {stud}: {_ending(plan, name, names)}")


_JOINED = {
    False: "by the unit between their pins, else by a splice behind the connector, never both in one contact",
    True: "by the unit alone, between their pins; spliced, they would burn with everything switched off",
}
"""How a conductor goes on at a connector: any, and a lamp's that the unit is to switch."""


def _ending(plan: Plan, terminal: str, names: Sequence[str]) -> str:
    """Return what ends at a terminal; in a connector, apart from that, what another conductor there feeds.

    Whether a unit switches the one from the other, or they must be joined, only the fitter can see.
    """
    has_stud = not plan.profile.terminal(terminal).is_connector
    by_other: dict[tuple[str | None, bool], list[str]] = {}
    lamps = {each.name for run in plan.job.runs for each in run.conductors if each.function and each.lamps}
    for run, choice in conductors_of(plan):
        if terminal in (run.start, run.end) and choice.name in names:
            other = None if has_stud else _goes_on(plan, choice.name, names)
            words = f"{conductor_name(run.name, choice.name)} ({choice.size} {choice.colour})"
            is_output = other is not None and choice.name in lamps
            by_other.setdefault((other, is_output), []).append(words)
    parts = [", ".join(by_other.pop((None, False), []))]
    parts += [
        f"joined there to {other} ({_JOINED[is_output]}): {', '.join(others)}"
        for (other, is_output), others in by_other.items()
    ]
    return "; ".join(part for part in parts if part)


def _goes_on(plan: Plan, name: str, others: Sequence[str]) -> str | None:
    """Return which of several conductors at one place a branch's current comes from, or goes on along."""
    by_name = {each.name: each for run in plan.job.runs for each in run.conductors}
    own = by_name[name]
    if own.fed_by in others:
        return own.fed_by
    feeders = {each: by_name[each].fed_by for each in own.returns}
    return next((each for each in others if _takes_on(by_name[each], own, feeders)), None)


def _takes_on(other: Conductor, own: Conductor, feeders: Mapping[str, str | None]) -> bool:
    """Return whether another conductor brings back all that this one does, and more."""
    if own.name in other.returns:
        return True
    is_more = set(own.returns) != set(other.returns)
    return is_more and bool(feeders) and all({load, by} & {*other.returns} for load, by in feeders.items())


def _loops(plan: Plan) -> Iterator[str]:
    """Yield what of the cut lengths stays beside the ends, each once."""
    allowances = [allowance for run in plan.runs for allowance in run.length.allowances]
    loops = [a for a in allowances if a.rule and a.rule.key in _LOOPS]
    yield from dict.fromkeys(
        sentence(f"{loop.why}: {millimetres(loop.length_mm)}" if loop.why else "") for loop in loops
    )
    again = next((a.rule for a in allowances if a.rule and a.rule.key == "re-terminations"), None)
    if again:
        times = {1.0: "once", 2.0: "twice"}.get(again.value, f"{again.value:g} times")
        yield f"Nothing trimmed off: every end is cut long enough to be made up again {times}."


def _fuse(plan: Plan) -> list[str]:
    return [
        f"{run.fuse.rating_a:g} A ({run.fuse.colour}) into the holder of {run.name}, "
        f"{metres(from_end_mm)} from {end}."
        for run in plan.runs
        if run.fuse
        for end, from_end_mm in _holders(plan, run)
    ]


def _put_back(plan: Plan) -> list[str]:
    lines = [
        sentence(f"{name}: all {plan.profile.cover(name).fasteners} fasteners back")
        for name in passed(plan, PassageKind.COVER)
    ]
    codes = "Fault codes read again; none is new. What the vehicle must know of is coded."
    return [
        *lines,
        codes,
        "Tools and rags counted, vehicle down, this sheet filed with the vehicle's papers.",
    ]
