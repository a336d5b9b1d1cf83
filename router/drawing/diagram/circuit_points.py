"""What a circuit diagram shows, before anything has a place: boxes, ends, what lies between these.

box   a terminal, or all terminals that are poles of one unit
end   where a conductor ends in a box; a pole where none ends has one too, without a conductor
net   ends of one box or more that are joined inside it
item  what lies between an end and something else: a load, a feed
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from router.facts import BODY, ConductorEnds, Feed, Load, Network, Node, Piece, network_of
from router.model.plan import Plan
from router.model.vehicle import Terminal, TerminalKind


class Symbol(StrEnum):
    """What is drawn on the line of an end."""

    LAMP = "lamp"
    LOAD = "load"
    BATTERY = "battery"
    SOURCE = "source"
    TAP = "tap"


@dataclass(frozen=True, slots=True)
class End:
    """Where a conductor ends in a box; `wire` is None for a pole at which none does."""

    box: str
    terminal: str
    node: Node
    wire: int | None
    is_start: bool


@dataclass(frozen=True, slots=True)
class Item:
    """What lies between an end and another point; `minus` None: the vehicle's body, or not known."""

    symbol: Symbol
    end: End
    minus: Node | None
    words: str


@dataclass(frozen=True)
class Circuit:
    """A plan's circuit as it is to be drawn."""

    plan: Plan
    ends: ConductorEnds
    network: Network

    @cached_property
    def wires(self) -> tuple[tuple[End, End], ...]:
        """Return the two ends of each conductor, from where its current comes in, in the job's order."""
        return tuple(
            (
                self._end(self.ends.near[piece.conductor], piece.start, number, is_start=True),
                self._end(self.ends.far(piece.conductor), piece.end, number, is_start=False),
            )
            for number, piece in enumerate(self.network.pieces)
        )

    def _end(self, terminal: str, node: Node, wire: int | None, *, is_start: bool) -> End:
        return End(self.box_of(terminal), terminal, node, wire, is_start)

    def box_of(self, terminal: str) -> str:
        """Return in which box a terminal lies: its unit's, where it is one pole of that."""
        own = self.terminal(terminal)
        return own.unit if own and own.unit else terminal

    def terminal(self, name: str) -> Terminal | None:
        """Return the vehicle's terminal of that name, if it has one."""
        return self.ends.terminals.get(name)

    @cached_property
    def all_ends(self) -> tuple[End, ...]:
        """Return the ends of all conductors, and one for each pole that matters and has none."""
        wired = [end for pair in self.wires for end in pair]
        there = {end.node for end in wired}
        asked = dict.fromkeys(node for node in self._nodes_asked() if node not in there and node != BODY)
        bare = [self._end(node.terminal, node, None, is_start=False) for node in asked]
        return (*wired, *bare)

    def _nodes_asked(self) -> Iterator[Node]:
        for load in self.network.loads:
            yield from (load.plus, load.minus)
        for feed in self.network.feeds:
            yield from (feed.plus, feed.minus)

    @cached_property
    def boxes(self) -> tuple[str, ...]:
        """Return the boxes, in the job's order."""
        return tuple(dict.fromkeys(end.box for end in self.all_ends))

    @cached_property
    def inside(self) -> dict[Node, Node]:
        """Return for each point the one that stands for all that are joined to it inside a unit."""
        first: dict[Node, Node] = {}
        for link in self.network.links:
            if BODY not in (link.start, link.end):
                one, other = first.get(link.start, link.start), first.get(link.end, link.end)
                first = {node: one if at == other else at for node, at in first.items()}
                first |= {link.start: one, link.end: one}
        return first

    def group(self, node: Node) -> Node:
        """Return the point that stands for all that are joined to one inside a unit."""
        return self.inside.get(node, node)

    @cached_property
    def nets(self) -> tuple[tuple[End, ...], ...]:
        """Return the ends that are joined inside their box, two at least; earth points need no line."""
        grouped: dict[Node, list[End]] = {}
        for end in self.all_ends:
            if end.node != BODY:
                grouped.setdefault(self.group(end.node), []).append(end)
        return tuple(tuple(ends) for ends in grouped.values() if len(ends) > 1)

    @cached_property
    def framed(self) -> frozenset[Node]:
        """Return the points that stand on the vehicle's body."""
        pairs = [(link.start, link.end) for link in self.network.links if BODY in (link.start, link.end)]
        return frozenset({BODY, *(self.group(node) for pair in pairs for node in pair if node != BODY)})

    @cached_property
    def items(self) -> tuple[Item, ...]:
        """Return the loads and what feeds them, each on the line of an end."""
        found = [*map(self._feed, self.network.feeds), *map(self._load, self.network.loads)]
        return tuple(item for item in found if item)

    def _load(self, load: Load) -> Item | None:
        end = self._first(load.plus, self._wire(load.conductor))
        _, conductor = self.ends.wires[load.conductor]
        own = self.terminal(load.terminal)
        is_lamp = bool(conductor.lamps) or (own is not None and own.kind is TerminalKind.LAMP)
        symbol = Symbol.LAMP if is_lamp else Symbol.LOAD
        minus = None if load.minus == BODY else load.minus
        return Item(symbol, end, minus, f"{load.current_a:.3g} A") if end else None

    def _feed(self, feed: Feed) -> Item | None:
        end = self._first(feed.plus, None)
        if end is None:
            return None
        own = self.terminal(feed.terminal)
        if not feed.is_source:
            return Item(Symbol.TAP, end, None, "vehicle")
        is_battery = own is not None and own.kind is TerminalKind.BATTERY_POST
        symbol = Symbol.BATTERY if is_battery else Symbol.SOURCE
        is_own = feed.terminal == self.plan.job.source.at
        words = f"{self.plan.job.source.nominal_v:g} V" if is_own else ""
        return Item(symbol, end, None if feed.minus == BODY else feed.minus, words)

    def _wire(self, name: str) -> int:
        return next(number for number, each in enumerate(self.network.pieces) if each.conductor == name)

    def _first(self, node: Node, wire: int | None) -> End | None:
        """Return the end at a point, of a conductor's own two if one is there."""
        there = [end for end in self.all_ends if end.node == node]
        there.sort(key=lambda end: wire is None or end.wire != wire)
        return there[0] if there else None

    def piece(self, end: End) -> Piece | None:
        """Return the conductor of an end."""
        return None if end.wire is None else self.network.pieces[end.wire]


def circuit_of(plan: Plan) -> Circuit:
    """Return the circuit of a plan."""
    return Circuit(plan, ConductorEnds(plan.job, plan.profile), network_of(plan.job, plan.profile))


def minus_nets(circuit: Circuit) -> tuple[tuple[End, ...], ...]:
    """Return for each point to which loads and feeds go: their ends, and the first end at that point."""
    grouped: dict[Node, list[End]] = {}
    for item in circuit.items:
        if item.minus is not None:
            grouped.setdefault(circuit.group(item.minus), []).append(item.end)
    return tuple((*_once(ends), _at(circuit, node)) for node, ends in grouped.items())


def _at(circuit: Circuit, node: Node) -> End:
    return next(end for end in circuit.all_ends if circuit.group(end.node) == node)


def _once(ends: Iterable[End]) -> tuple[End, ...]:
    return tuple(dict.fromkeys(ends))
