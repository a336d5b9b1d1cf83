"""Dead shorts: a source's plus that conductors alone join to a minus, through whatever and however named."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from router.facts import Feed, Network, Node
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


def is_shorted(network: Network, node: Node) -> bool:
    """Return whether a point is joined to the plus of something that feeds, and to that one's minus."""
    joined = network.joined(node)
    return any(feed.plus in joined and _minus_in(feed, joined) is not None for feed in network.feeds)


def dead_short_findings(network: Network, profile: Profile) -> Iterator[Finding]:
    """Yield a must-rule for each group of joined points that has a plus and a minus in it."""
    told: set[frozenset[Node]] = set()
    for feed in network.feeds:
        joined = network.joined(feed.plus)
        minus = _minus_in(feed, joined)
        if minus is None or joined in told:
            continue
        told.add(joined)
        way = _way(network, feed.plus, minus)
        yield Finding(
            FindingKind.DEAD_SHORT,
            Severity.MUST,
            None,
            None,
            f"a dead short: {_in_words(feed.plus, way)}, with no load between",
            _advice(way, profile),
            "a load between plus and minus",
            "conductors alone",
            _RULE,
        )


def is_on_plus(network: Network, nodes: Iterable[Node]) -> bool:
    """Return whether one of some points is joined to the plus of something that feeds."""
    return any(not network.joined(feed.plus).isdisjoint(nodes) for feed in network.feeds)


def return_on_plus_findings(network: Network) -> Iterator[Finding]:
    """Yield a must-rule for each conductor that is to bring current back and ends on something live.

    Its load has plus at both poles; where its unit is earthed by its body as well, that is a dead short.
    """
    for piece in network.pieces:
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
                "; end it on an earth point or on the source's minus",
                "a minus at the end of a return",
                live[0].words,
                _RULE,
            )


def _minus_in(feed: Feed, joined: frozenset[Node]) -> Node | None:
    return feed.minus if feed.minus in joined else None


_Way = tuple[tuple[str, Node], ...]
"""Conductors, each with the point that it leads to; an empty name where the vehicle or a unit joins two."""


def _way(network: Network, start: Node, end: Node) -> _Way:
    """Return the fewest conductors that lead from one point to another."""
    ways: dict[Node, _Way] = {start: ()}
    left = [start]
    for node in left:
        steps = [(each.conductor, {each.start, each.end}) for each in network.at(node)]
        steps += [("", {each.start, each.end}) for each in network.links if node in (each.start, each.end)]
        for name, both in steps:
            for other in both - ways.keys():
                ways[other] = (*ways[node], (name, other))
                left.append(other)
    return ways.get(end, ())


def _in_words(start: Node, way: _Way) -> str:
    words = [start.words]
    for name, node in way:
        words.append(f"{name} to {node.words}" if name else node.words)
    return ", ".join(words)


def _advice(way: _Way, profile: Profile) -> str:
    """Return what to do: where a plus and a minus meet on one stud, say which terminal has which pole."""
    for name, node in way[:-1]:
        terminal = next((each for each in profile.terminals if each.name == node.terminal), None)
        if name and terminal is not None and terminal.stud is not None and terminal.pole is None:
            return _of_one_stud(terminal)
    return f"; take {_conductor(way)} off one of its ends, or end it on the minus of what it serves"


def _of_one_stud(terminal: Terminal) -> str:
    name = terminal.name
    return (
        f"; {name} is one stud, and all that ends on it is joined: end no return there. Where the unit "
        "has two, write studs: {plus: ..., minus: ...} in place of stud; where its minus is a terminal too, "
        "begin the return there, and write unit: and pole: plus or minus at both"
    )


def _conductor(way: _Way) -> str:
    return next((name for name, _ in reversed(way) if name), "one conductor")
