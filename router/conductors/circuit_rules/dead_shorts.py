"""Dead shorts: a source's plus that conductors alone join to a minus, through whatever and however named."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from router.conductors.circuit_rules.crossed_poles import Crossing
from router.facts import BODY, Feed, Network, Node
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Rule, Status
from router.model.vehicle import Profile, Terminal

_RULE = Rule(
    "conductor",
    "a load between plus and minus",
    1.0,
    "count",
    "Ohm's law: across bare conductors the source drives all the current it can",
    Status.COMMON_PRACTICE,
)


_BATTERY = "the battery"
_Way = tuple[tuple[str, Node], ...]
"""Conductors, each with the point that it leads to; an empty name where the vehicle or a unit joins two."""


@dataclass(frozen=True, slots=True)
class Short:
    """A ring of conductors, and of batteries in a row, in which no load lies."""

    start: Node
    way: _Way
    """From a feed's plus to its minus."""

    @property
    def conductors(self) -> tuple[str, ...]:
        """Return its conductors in order."""
        return tuple(name for name, _ in self.way if name and name != _BATTERY)


def shorts_of(network: Network) -> tuple[Short, ...]:
    """Return a short for each group of joined points that has a plus in it from which a ring leads back."""
    told: set[Node] = set()
    found = []
    for feed in network.feeds:
        way = _way(network, feed)
        if way and not told & {feed.plus, *(node for _, node in way)}:
            told.update(*(network.joined(node) for node in (feed.plus, *(node for _, node in way))))
            found.append(Short(feed.plus, way))
    return tuple(found)


def is_shorted(network: Network, node: Node) -> bool:
    """Return whether a point lies in a dead short, or is joined to one by conductors alone."""
    ring = {node for each in shorts_of(network) for node in (each.start, *(node for _, node in each.way))}
    return not network.joined(node).isdisjoint(ring - network.joined(BODY)) or any(
        feed.plus in network.joined(node) and feed.plus in ring for feed in network.feeds
    )


def dead_short_findings(
    network: Network, profile: Profile, crossings: Sequence[Crossing]
) -> Iterator[Finding]:
    """Yield a must-rule for each dead short, with what to put elsewhere."""
    for short in shorts_of(network):
        crossing = next((each for each in crossings if each.conductors & {*short.conductors}), None)
        advice = _advice(network, short, profile)
        if crossing is not None:
            advice = f"; {crossing.fact}: {crossing.advice}"
        yield Finding(
            FindingKind.DEAD_SHORT,
            Severity.MUST,
            None,
            None,
            f"a dead short: {_in_words(short)}, with no load between",
            advice,
            "a load between plus and minus",
            "conductors alone",
            _RULE,
        )


def is_on_plus(network: Network, nodes: Iterable[Node]) -> bool:
    """Return whether one of some points is joined to the plus of something that feeds."""
    return any(not network.joined(feed.plus).isdisjoint(nodes) for feed in network.feeds)


def return_on_plus_findings(network: Network, crossed: Collection[str]) -> Iterator[Finding]:
    """Yield a must-rule for each conductor that is to bring current back and ends on something live.

    Its load has plus at both poles; where its unit is earthed by its body as well, that is a dead short. Of
    conductors at crossed poles another finding says so.
    """
    for piece in network.pieces:
        if piece.conductor in crossed:
            continue
        pluses = {feed.plus for feed in network.feeds}
        live = [node for node in (piece.end, piece.start) if is_on_plus(network, (node,))]
        live.sort(key=lambda node: node not in pluses)
        if piece.is_return and live and not is_shorted(network, live[0]):
            yield Finding(
                FindingKind.POLES,
                Severity.MUST,
                piece.run,
                None,
                f"{piece.conductor} is to bring current back and ends on {live[0].terminal}, which is a plus",
                "; end it on an earth point of the body",
                "a minus at the end of a return",
                live[0].words,
                _RULE,
            )


def _way(network: Network, feed: Feed) -> _Way:
    """Return the fewest conductors that lead from a feed's plus to its minus; empty where none do.

    A way may go through other batteries. One that goes backward through as many as there are in a row is
    no short: those are batteries side by side.
    """
    rows = [each for each in network.feeds if each.is_battery and each != feed]
    ways: dict[tuple[Node, int], _Way] = {(feed.plus, 0): ()}
    left = [(feed.plus, 0)]
    for node, in_row in left:
        for name, other, more in _steps(network, rows, node):
            there = (other, in_row + more)
            if there not in ways and abs(in_row + more) <= len(rows):
                ways[there] = (*ways[node, in_row], (name, other))
                if other == feed.minus and in_row + more != -1:
                    return ways[there]
                left.append(there)
    return ()


def _steps(network: Network, rows: list[Feed], node: Node) -> Iterator[tuple[str, Node, int]]:
    """Yield where one gets from a point: along what, to which, and forward or backward through a battery."""
    for piece in network.at(node):
        yield piece.conductor, piece.end if node == piece.start else piece.start, 0
    for link in network.links:
        if node in (link.start, link.end):
            yield "", link.end if node == link.start else link.start, 0
    for each in rows:
        if node in (each.plus, each.minus):
            is_forward = node == each.minus
            yield _BATTERY, each.plus if is_forward else each.minus, 1 if is_forward else -1


def _in_words(short: Short) -> str:
    words = [short.start.words]
    for name, node in short.way:
        words.append(f"{name} to {node.words}" if name else node.words)
    return ", ".join(words)


def _advice(network: Network, short: Short, profile: Profile) -> str:
    """Return what to do: where a plus and a minus meet on one stud, say which terminal has which pole."""
    for name, node in short.way[:-1]:
        terminal = next((each for each in profile.terminals if each.name == node.terminal), None)
        if name and terminal is not None and terminal.stud is not None and terminal.pole is None:
            return _of_one_stud(terminal)
    name = (short.conductors or ("one conductor",))[-1]
    is_return = any(each.is_return for each in network.pieces if each.conductor == name)
    if is_return:
        return f"; take {name} off one of its ends, or end it on the minus of what it serves"
    return (
        f"; end {name} on the plus of what it serves, and bring the current back from that one's minus: a "
        f'conductor to an earth that says "returns: {name}"'
    )


def _of_one_stud(terminal: Terminal) -> str:
    name = terminal.name
    return (
        f"; {name} is one stud, and all that ends on it is joined: end no return there. Where the unit "
        "has two, write studs: {plus: ..., minus: ...} in place of stud; where its minus is a terminal too, "
        "begin the return there, and write unit: and pole: plus or minus at both"
    )
