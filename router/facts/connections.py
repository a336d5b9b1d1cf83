"""The list of connections: every end of every conductor, what it is joined to, by what, how that is made."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import product

from router.facts.crimps import contact_words, crimp_colour, crimp_words, is_wet, is_wet_at
from router.facts.heat_shrink import heat_shrink_words, lead_outside_mm
from router.facts.lead_cables import lead_cable_of
from router.facts.poles import stud_of
from router.model.conductor_choice import ConductorChoice, FuseChoice
from router.model.plan import Plan, RunPlan
from router.model.vehicle import Terminal
from router.tables import load_table
from router.units import tape_m


class Joint(StrEnum):
    """What joins an end to what it goes on."""

    RING = "ring"
    CONTACT = "contact"
    SPLICE = "splice"


@dataclass(frozen=True, slots=True)
class Connection:
    """One end of one conductor, or its joint with a lead of the fuse holder."""

    wire: int
    """Number of the conductor: its place in the job; also in the circuit diagram and on its labels."""
    run: str
    conductor: str
    colour: str
    size: str
    joined_to: str
    joint: Joint
    part: str
    cavity: str
    """Of the connector that it goes into; empty on a stud and at a splice."""
    seal: str
    """In a connector, or over a barrel."""
    strip: str
    torque: str
    """Where the torque is to be found; empty where nothing is tightened."""
    tool: str


def connections_of(plan: Plan) -> tuple[Connection, ...]:
    """Return every end of every conductor of a plan, in the job's order, from start to end."""
    choices = [(run, choice) for run in plan.runs for choice in run.conductors]
    return tuple(
        connection
        for wire, (run, choice) in enumerate(choices, start=1)
        for connection in _of_conductor(plan, run, choice, wire)
    )


def _of_conductor(plan: Plan, run: RunPlan, choice: ConductorChoice, wire: int) -> Iterator[Connection]:
    yield _at_terminal(plan, choice, wire, run.start)
    if run.fuse is not None and run.fuse.conductor == choice.name:
        yield from _at_holder(plan, run, run.fuse, choice, wire)
    yield _at_terminal(plan, choice, wire, run.end)


def _at_terminal(plan: Plan, choice: ConductorChoice, wire: int, name: str) -> Connection:
    terminal = plan.profile.terminal(name)
    stud = stud_of(plan.job, plan.profile, name, choice.name)
    end = _on_stud(plan, terminal, choice, stud) if stud else _in_connector(plan, terminal, choice)
    return Connection(wire, choice.run, choice.name, choice.colour, choice.size, *end)


@dataclass(frozen=True, slots=True)
class CappedCore:
    """A core of a trailer lead's cable that the job does not use."""

    run: str
    core: str
    """Its pin, function and colour."""
    size: str
    ends: tuple[str, str]
    """Between which terminals it lies."""


def capped_cores(plan: Plan) -> tuple[CappedCore, ...]:
    """Return the cores that are capped at both ends, by run, in the order of their pins."""
    cables = ((run, lead_cable_of(plan.job.run(run.name), run.conductors)) for run in plan.runs)
    return tuple(
        CappedCore(run.name, core.words, f"{core.area_mm2:g} mm2", (run.start, run.end))
        for run, cable in cables
        if cable is not None
        for core in cable.unused
    )


End = tuple[str, Joint, str, str, str, str, str, str]
"""Joined to, joint, part, cavity, seal, strip, torque, tool."""


def _on_stud(plan: Plan, terminal: Terminal, choice: ConductorChoice, stud: str) -> End:
    table = load_table("connections")
    torque, tool = table["torque"], table["tool"]
    where = torque["place"] if terminal.is_place else torque["vehicle"]
    is_sealed = is_wet(plan.profile, terminal.space)
    part = f"ring {stud}, {crimp_words(choice, is_sealed=is_sealed)}"
    tools = f"{_crimp_tool(choice, is_sealed=is_sealed)}; {tool['nut'].format(stud=stud)}"
    joined_to = f"{terminal.name}, stud {stud}"
    seal, strip = _seal(choice, is_sealed=is_sealed), _strip(choice, "terminal_mm")
    return joined_to, Joint.RING, part, "", seal, strip, where, tools


def _in_connector(plan: Plan, terminal: Terminal, choice: ConductorChoice) -> End:
    table = load_table("connections")
    is_at_pin = choice.pin is not None and terminal.name == plan.job.run(choice.run).end
    cavity = f"pin {choice.pin}" if is_at_pin else "by its papers"
    is_sealed = is_wet(plan.profile, terminal.space)
    seal = f"wire seal, {choice.outside_mm:.1f} mm" if is_sealed else "none, it is dry there"
    part = contact_words(terminal, choice)
    strip, tool = table["strip"]["contact"], table["tool"]["contact"]
    return f"{terminal.name}, connector", Joint.CONTACT, part, cavity, seal, strip, "", tool


def _at_holder(
    plan: Plan, run: RunPlan, fuse: FuseChoice, choice: ConductorChoice, wire: int
) -> Iterator[Connection]:
    """Yield both joints of a conductor with each of its fuse holders, from start to end."""
    for station_mm, side in product(sorted(fuse.stations_mm), (run.start, run.end)):
        holder = f"{fuse.rating_a:g} A holder at {tape_m(station_mm)} m"
        is_sealed = is_wet_at(plan.profile, run.route, station_mm)
        end = _in_holder(fuse, choice, holder, side, is_sealed=is_sealed)
        yield Connection(wire, choice.run, choice.name, choice.colour, choice.size, *end)


def _in_holder(fuse: FuseChoice, choice: ConductorChoice, holder: str, side: str, *, is_sealed: bool) -> End:
    crimp = crimp_words(choice, is_sealed=is_sealed)
    tools = _crimp_tool(choice, is_sealed=is_sealed)
    if fuse.stud is None:
        joined_to = f"{holder}, lead towards {side}"
        seal = _seal(choice, lead_outside_mm(fuse, choice), is_sealed=is_sealed)
        strip = _strip(choice, "splice_mm")
        return joined_to, Joint.SPLICE, f"butt splice, {crimp}", "", seal, strip, "", tools
    table = load_table("connections")
    tools = f"{tools}; {table['tool']['nut'].format(stud=fuse.stud)}"
    joined_to = f"{holder}, stud {fuse.stud} towards {side}"
    part, strip = f"ring {fuse.stud}, {crimp}", _strip(choice, "terminal_mm")
    seal = _seal(choice, is_sealed=is_sealed)
    return joined_to, Joint.RING, part, "", seal, strip, table["torque"]["place"], tools


def _seal(choice: ConductorChoice, thinner_mm: float | None = None, *, is_sealed: bool) -> str:
    """Return what seals a crimp: over an uninsulated one wherever it is, else where it gets wet."""
    words = heat_shrink_words(choice, thinner_mm)
    if words:
        return f"heat-shrink, {words}"
    return "its own glue-lined heat-shrink" if is_sealed else "none, it is dry there: insulated crimp"


def _strip(choice: ConductorChoice, key: str) -> str:
    strip = load_table("connections")["strip"]
    colour = crimp_colour(choice)
    found = (row[key] for row in strip["colours"] if row["colour"] == colour)
    length_mm = next(found, None)
    return str(strip["other"]) if length_mm is None else f"{length_mm} mm"


def _crimp_tool(choice: ConductorChoice, *, is_sealed: bool) -> str:
    tool, colour = load_table("connections")["tool"], crimp_colour(choice)
    if not colour:
        return f"{tool['lug'].format(size=choice.size)}; {tool['shrink']}"
    words = str(tool["insulated"].format(colour=colour))
    return f"{words}; {tool['shrink']}" if is_sealed else words
