"""The circuit that a job makes on a vehicle: electrical points, what joins them, and what lies between.

    network = network_of(job, profile)

Nothing is judged here. `Network.joined` answers what is joined to a point by conductors alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from router.facts.conductor_ends import BODY, MINUS, PLUS, ConductorEnds, Node, fused_conductor
from router.model.job import Conductor, Job
from router.model.vehicle import Profile, TerminalKind


@dataclass(frozen=True, slots=True)
class Piece:
    """One conductor from the point where its current comes in to the one where it leaves."""

    conductor: str
    run: str
    start: Node
    end: Node
    is_return: bool
    fused_at: tuple[Node, ...]
    """At which of its ends a fuse sits."""

    @property
    def is_fused(self) -> bool:
        """Return whether a fuse sits in it."""
        return bool(self.fused_at)


@dataclass(frozen=True, slots=True)
class Link:
    """Two points that are joined without a conductor of the job.

    Inside a unit: its feed and an output that this feeds. In the vehicle: its battery's minus and its body.
    """

    start: Node
    end: Node


@dataclass(frozen=True, slots=True)
class Load:
    """What lies between the poles of a unit or a lamp, or at the far end of a lead."""

    conductor: str
    run: str
    terminal: str
    plus: Node
    minus: Node
    current_a: float
    is_minus_guessed: bool
    """Whether its minus is where a conductor says that it brings the load back, and the profile is silent."""


@dataclass(frozen=True, slots=True)
class Feed:
    """What can feed the points joined to its plus: a source, or a circuit that the vehicle has already."""

    terminal: str
    plus: Node
    minus: Node
    is_source: bool
    """False for a circuit of the vehicle that the job taps: its own fuse is not known here."""
    is_battery: bool = False
    """Whether one gets through it from its minus to its plus, as through a battery in a row of them."""
    limit_a: float = math.inf
    """The most that it drives into a short, where it limits its own current."""


@dataclass(frozen=True)
class Network:
    """The circuit of a job."""

    pieces: tuple[Piece, ...]
    links: tuple[Link, ...]
    loads: tuple[Load, ...]
    feeds: tuple[Feed, ...]

    @cached_property
    def _group(self) -> dict[Node, frozenset[Node]]:
        groups: dict[Node, frozenset[Node]] = {}
        ends = [(each.start, each.end) for each in self.pieces] + [
            (each.start, each.end) for each in self.links
        ]
        for start, end in ends:
            both = _of(groups, start) | _of(groups, end)
            groups.update(dict.fromkeys(both, both))
        return groups

    def joined(self, node: Node) -> frozenset[Node]:
        """Return all points that conductors join to one, itself included."""
        return _of(self._group, node)

    def at(self, node: Node) -> Iterator[Piece]:
        """Yield the conductors that end at a point."""
        return (piece for piece in self.pieces if node in (piece.start, piece.end))


def _of(groups: dict[Node, frozenset[Node]], node: Node) -> frozenset[Node]:
    return groups.get(node, frozenset({node}))


def network_of(job: Job, profile: Profile) -> Network:
    """Return the circuit that a job makes on a vehicle with the places that the job brings along."""
    ends = ConductorEnds(job, profile)
    pieces = tuple(_pieces(ends))
    sources = tuple(_sources(ends))
    links = (*_inside_units(ends), *_bonds(ends, sources), *_taken_for_earth(ends))
    known = Network(pieces, links, (), sources)
    tapped = tuple(_tapped(ends, known))
    links = (*links, *(Link(each.minus, BODY) for each in tapped if each.minus != BODY))
    return Network(pieces, links, tuple(_loads(ends)), (*sources, *tapped))


def _pieces(ends: ConductorEnds) -> Iterator[Piece]:
    for name, (run, conductor) in ends.wires.items():
        near, far = ends.node(name, ends.near[name]), ends.node(name, ends.far(name))
        fused: tuple[Node, ...] = ()
        if run.fuse is not None and fused_conductor(run, ends.job) is conductor:
            fused = (near, far) if run.fuse.is_at_both_ends else (near,)
        yield Piece(name, run.name, near, far, ends.is_return(name), fused)


def _inside_units(ends: ConductorEnds) -> Iterator[Link]:
    """Yield what a unit or a connector joins: the conductor that feeds another one there."""
    for name, (_, conductor) in ends.wires.items():
        feeder, near = conductor.fed_by, ends.near[name]
        if feeder in ends.wires and near in ends.ends_of(feeder):
            start, end = ends.node(feeder, near), ends.node(name, near)
            if start != end:
                yield Link(start, end)


# What feeds


def _sources(ends: ConductorEnds) -> Iterator[Feed]:
    for terminal in ends.used:
        if ends.is_source(terminal):
            own = ends.terminals.get(terminal)
            is_battery = own is not None and own.kind is TerminalKind.BATTERY_POST
            minus = _minus_of_source(ends, terminal)
            limit_a = math.inf if own is None or own.short_circuit_a is None else own.short_circuit_a
            yield Feed(terminal, Node(terminal, PLUS), minus, True, is_battery, limit_a)


def _minus_of_source(ends: ConductorEnds, terminal: str) -> Node:
    if terminal == ends.job.source.at and ends.job.source.negative_at is not None:
        return Node(ends.job.source.negative_at, MINUS)
    partner = ends.partner(terminal)
    if partner is not None:
        return Node(partner.name, MINUS)
    own = Node(terminal, MINUS)
    has_own = any(ends.is_return(name) and ends.node(name, terminal) == own for name in ends.at(terminal))
    return own if has_own else BODY


def _bonds(ends: ConductorEnds, sources: tuple[Feed, ...]) -> Iterator[Link]:
    """Yield what the vehicle joins: the minus of its battery and its body."""
    minus = [each.minus for each in sources if each.terminal == ends.job.source.at]
    own = ends.terminals.get(ends.job.source.at)
    for terminal in ends.used:
        post = ends.terminals.get(terminal)
        if post is None or post.kind is not TerminalKind.BATTERY_POST or not ends.is_earth(terminal):
            continue
        is_in_row = ends.job.source.negative_at not in (None, terminal)
        is_of_another = post.unit is not None and (own is None or post.unit != own.unit or is_in_row)
        if not post.is_place and not is_of_another:
            minus.append(Node(terminal, MINUS))
    return (Link(node, BODY) for node in dict.fromkeys(minus) if node != BODY)


def _taken_for_earth(ends: ConductorEnds) -> Iterator[Link]:
    for terminal in ends.used:
        if ends.is_taken_for_earth(terminal):
            returns = (ends.node(name, terminal) for name in ends.at(terminal) if ends.is_return(name))
            yield from (Link(node, BODY) for node in dict.fromkeys(returns))


def _tapped(ends: ConductorEnds, known: Network) -> Iterator[Feed]:
    """Yield the circuits of the vehicle that feed what nothing of the job does.

    A place that the job brings along has none, and an earth feeds nothing.
    """
    fed = frozenset[Node]().union(*(known.joined(feed.plus) for feed in known.feeds))
    for name, (_, conductor) in ends.wires.items():
        near = ends.near[name]
        terminal = ends.terminals.get(near)
        is_new = terminal is not None and terminal.is_place
        if ends.is_return(name) or conductor.fed_by in ends.wires or is_new or ends.is_earth(near):
            continue
        plus = ends.node(name, near)
        if plus not in fed and not _is_reached(ends, name, near):
            returns = (ends.node(each, near) for each in ends.at(near) if ends.is_return(each))
            yield Feed(near, plus, next(returns, BODY), is_source=False)


def _is_reached(ends: ConductorEnds, name: str, terminal: str) -> bool:
    """Return whether another conductor brings current to a terminal that is one point."""
    others = (each for each in ends.at(terminal) if each != name and not ends.is_return(each))
    return ends.is_one_node(terminal) and any(ends.far(each) == terminal for each in others)


# What is fed


def _loads(ends: ConductorEnds) -> Iterator[Load]:
    for name, (run, conductor) in ends.wires.items():
        if conductor.load_a > 0 and not conductor.returns:
            terminal = ends.far(name)
            minus, is_guessed = _minus_of_load(ends, conductor, terminal)
            yield Load(
                name, run.name, terminal, ends.node(name, terminal), minus, conductor.load_a, is_guessed
            )


def _minus_of_load(ends: ConductorEnds, load: Conductor, terminal: str) -> tuple[Node, bool]:
    """Return the other pole of a load, and whether only a conductor's word says so."""
    partner = ends.partner(terminal)
    if partner is not None:
        return Node(partner.name, MINUS), False
    own = ends.terminals.get(terminal)
    if own is not None and own.studs is not None:
        return Node(terminal, MINUS), False
    here = [each for each in ends.at(terminal) if ends.is_return(each)]
    here.sort(key=lambda each: load.name not in ends.wires[each][1].returns)
    if here:
        return ends.node(here[0], terminal), False
    named = [name for name, (_, each) in ends.wires.items() if load.name in each.returns]
    apart = [name for name in named if _begins_alone(ends, name)]
    if apart and ends.is_one_node(terminal):
        return ends.node(apart[0], ends.near[apart[0]]), True
    is_brought_back = bool(named) or _is_brought_back_upstream(ends, load)
    return (Node(terminal, MINUS) if is_brought_back else BODY), False


def _begins_alone(ends: ConductorEnds, name: str) -> bool:
    """Return whether a return begins at a stud that nothing feeds: the other pole of what it serves."""
    begin = ends.near[name]
    is_fed = any(not ends.is_return(each) for each in ends.at(begin))
    return ends.is_one_node(begin) and not is_fed and ends.node(name, begin) != BODY


def _is_brought_back_upstream(ends: ConductorEnds, load: Conductor) -> bool:
    """Return whether some conductor brings back what feeds a load, from that one's far end on."""
    upstream, names = load.fed_by, [load.name]
    while upstream in ends.wires and upstream not in names:
        names.append(upstream)
        upstream = ends.wires[upstream][1].fed_by
    return any(set(names) & set(each.returns) for _, each in ends.wires.values()) and len(names) > 1
