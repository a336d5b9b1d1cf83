"""Circuits that are to stay apart, joined on one stud of a unit: its feed, signals to it, its outputs.

What ends in rings on one stud touches there, so no unit can switch one from the other. A stud of its own, a
post, a fuse box and an earth point are there to join; a unit's stud is not.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from router.facts import ConductorEnds, Network, Node, Piece
from router.model.job import Conductor, Job
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Rule, Status
from router.model.vehicle import Profile, Terminal, TerminalKind

_RULE = Rule(
    "conductor",
    "a contact for each circuit",
    1.0,
    "count",
    "common practice, no source: rings on one stud touch, whatever the unit is to switch",
    Status.COMMON_PRACTICE,
)


@dataclass(frozen=True)
class _Stud:
    """One stud of a unit, and the conductors on it that bring no current back."""

    network: Network
    ends: ConductorEnds
    node: Node

    @cached_property
    def _arriving(self) -> tuple[Piece, ...]:
        here = self.network.at(self.node)
        return tuple(each for each in here if not each.is_return and each.end == self.node)

    @cached_property
    def _leaving(self) -> tuple[Piece, ...]:
        here = self.network.at(self.node)
        return tuple(each for each in here if not each.is_return and each.start == self.node)

    @cached_property
    def feeds(self) -> tuple[Piece, ...]:
        """Return what comes from a source along conductors alone: live with everything switched off."""
        return tuple(each for each in self._arriving if self._source_of(each) and self._is_straight(each))

    @cached_property
    def signals(self) -> tuple[Piece, ...]:
        """Return what comes from a circuit of the vehicle, such as a lamp's."""
        return tuple(each for each in self._arriving if not self._source_of(each))

    @cached_property
    def outputs(self) -> tuple[Piece, ...]:
        """Return what goes from the stud to a lamp or to the lamps of a trailer."""
        named = {each.conductor for each in self.signals}
        own = (each for each in self._leaving if self._conductor(each).fed_by not in named)
        return tuple(each for each in own if self._is_output(each))

    @property
    def joins_two(self) -> bool:
        """Return whether it joins signals of several circuits, or outputs to lamps of several."""
        lamps = {self._lamp_of(each) for each in self.outputs}
        return len({each.start for each in self.signals}) > 1 or len(lamps) > 1

    def _conductor(self, piece: Piece) -> Conductor:
        return self.ends.wires[piece.conductor][1]

    def _is_output(self, piece: Piece) -> bool:
        """Return whether the unit is to switch a lamp by a conductor; a supply of a trailer is no lamp's.

        One wire on from a stud to a lamp, of which nothing more is said, is a branch of the feed.
        """
        conductor, far = self._conductor(piece), self.ends.terminals.get(piece.end.terminal)
        if conductor.function:
            return "supply" not in conductor.function and "brake" not in conductor.function
        if conductor.switch or conductor.output_limit_a is not None:
            return True
        kind = None if far is None else far.kind
        beside = (each for each in self._leaving if each.end.terminal == piece.end.terminal)
        return kind is TerminalKind.TRAILER_SOCKET or (kind is TerminalKind.LAMP and len(set(beside)) > 1)

    def _lamp_of(self, piece: Piece) -> str:
        """Return what an output lights by its function, else by its switch, else by itself."""
        conductor = self._conductor(piece)
        return conductor.function or conductor.switch or conductor.name

    def _source_of(self, piece: Piece) -> str | None:
        """Return the source that a conductor's current comes from; None where the job has none for it."""
        root, has_no_gap = self.ends.root(piece.conductor)
        near = self.ends.near[root]
        return near if has_no_gap and self.ends.is_source(near) else None

    def _is_straight(self, piece: Piece) -> bool:
        """Return whether no unit or connector lies between a source and a conductor's end."""
        name, seen = piece.conductor, set[str]()
        while (feeder := self.ends.wires[name][1].fed_by) in self.ends.wires and feeder not in seen:
            joint = self.ends.near[name]
            if self.ends.node(feeder, joint) != self.ends.node(name, joint):
                return False
            seen.add(feeder)
            name = feeder
        return True


def joined_circuit_findings(network: Network, job: Job, profile: Profile) -> Iterator[Finding]:
    """Yield a must for each stud of a unit that joins its feed with a lamp's circuit, or two of those."""
    ends = ConductorEnds(job, profile)
    for terminal in profile.terminals:
        if terminal.name in ends.used and _is_units_stud(ends, terminal):
            names = (each for each in ends.at(terminal.name) if not ends.is_return(each))
            for node in dict.fromkeys(ends.node(name, terminal.name) for name in names):
                yield from _at(_Stud(network, ends, node), terminal)


def _is_units_stud(ends: ConductorEnds, terminal: Terminal) -> bool:
    """Return whether all but returns meet on a terminal, and it is part of a unit that only takes current."""
    is_unit = terminal.kind is TerminalKind.UNIT or terminal.studs is not None
    is_pole = terminal.kind is None and terminal.unit is not None
    return (is_unit or is_pole) and not terminal.is_connector and not ends.is_source(terminal.name)


def _at(stud: _Stud, terminal: Terminal) -> Iterator[Finding]:
    apart = (*stud.signals, *stud.outputs)
    if stud.feeds and apart:
        fed = dict.fromkeys(each.start.terminal for each in stud.feeds)
        yield _finding(terminal, (*stud.feeds, *apart), f"so {' and '.join(fed)} {_fed_words(stud)}")
    elif stud.joins_two:
        yield _finding(terminal, apart, "so what switches one of them on switches on all of them")


def _fed_words(stud: _Stud) -> str:
    """Return what a feed does to the circuits that are joined to it."""
    places = dict.fromkeys(each.start.terminal for each in stud.signals)
    lit = dict.fromkeys(each.end.terminal for each in stud.outputs)
    parts = [f"would feed back into the circuits at {' and '.join(places)}"] if places else []
    parts += [f"would light what is on {' and '.join(lit)}"] if lit else []
    return f"{' and '.join(parts)} with everything switched off"


def _finding(terminal: Terminal, joined: tuple[Piece, ...], what_happens: str) -> Finding:
    names, name = [each.conductor for each in joined], terminal.name
    key = "studs" if terminal.studs is not None else "stud"
    return Finding(
        FindingKind.JOINED_CIRCUITS,
        Severity.MUST,
        joined[0].run,
        None,
        f"{', '.join(names[:-1])} and {names[-1]} are joined on one stud of {name}, {what_happens}",
        f"; give each a contact of its own: leave {key} out of {name}, which is a connector then; where the "
        f"unit has studs and a connector, write that one as a terminal of its own and end there all but its "
        f"feed; where they are to be joined, {name} is no unit: write kind: stud, with stud: its size",
        "a contact for each circuit",
        f"{len(names)} on one stud",
        _RULE,
    )
