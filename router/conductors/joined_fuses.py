"""How much all fuses together let through to a conductor where supplies meet.

Behind a joint each supply's fuse bears its own share, so their ratings add up. The most that gets to a
conductor is the least sum of ratings that parts it from every source (max-flow min-cut theorem, Ford and
Fulkerson 1956); from a source that no fuse parts from it no figure follows, and another finding says so.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from router.conductors.circuit import Carrier
from router.conductors.protection import Protection, lasting_a
from router.conductors.question import ElectricalQuestion
from router.facts import Network, Node, Piece


@dataclass(frozen=True, slots=True)
class Joined:
    """What the fuses of other supplies, or of several, let through to a conductor."""

    amperes: float
    """[A]"""
    conductor: str
    """Where it comes in: the conductor itself, or the one whose current it brings back."""
    limits: tuple[str, ...]
    """In words, each fuse and each source that limits its own current: "the fuse of a"."""
    is_from_behind: bool
    """Whether it comes in at the end to which the conductor carries its current."""


def joined_fuses(question: ElectricalQuestion, protections: Sequence[Protection]) -> Mapping[str, Joined]:
    """Return by conductor what more than one fuse lets through to it, or any at its far end.

    What one does at its near end is not in it: that fuse is before it, and the sizes count it anyway.
    """
    ratings = {each.carrier.name: each.rating_a for each in protections}
    pieces = {piece.conductor: piece for piece in question.network.pieces}
    found: dict[str, Joined] = {}
    for carrier in question.circuit.carriers:
        if not carrier.is_return:
            own = _of_supply(question, carrier, pieces[carrier.name], ratings)
            if own is not None:
                found[carrier.name] = own
    for carrier in question.circuit.carriers:
        if carrier.is_return:
            brought = [found[load] for load in sorted(carrier.may_carry) if load in found]
            outs = [each for each in brought if not each.is_from_behind]
            if outs:
                found[carrier.name] = max(outs, key=lambda each: each.amperes)
    return found


def limit_words(joined: Joined) -> str:
    """Return what limits it and lets it through: "the fuses of a and b together let 50 A through"."""
    fuses = [each.removeprefix(_FUSE) for each in joined.limits if each.startswith(_FUSE)]
    others = [each for each in joined.limits if not each.startswith(_FUSE)]
    names = [f"the fuses of {_and(fuses)}"] if len(fuses) > 1 else [f"{_FUSE}{each}" for each in fuses]
    let = "together let" if len(joined.limits) > 1 else "lets"
    return f"{_and([*names, *others])} {let} {joined.amperes:.4g} A through"


def _and(words: Sequence[str]) -> str:
    return " and ".join((", ".join(words[:-1]), words[-1]) if len(words) > 1 else words)


def _of_supply(
    question: ElectricalQuestion, carrier: Carrier, piece: Piece, ratings: Mapping[str, float]
) -> Joined | None:
    """Return the more of what comes in at either end; through the only fuse before it nothing counts."""
    sides = []
    for node, is_behind in ((piece.start, False), (piece.end, True)):
        own_a = ratings[piece.conductor] if node in piece.fused_at else math.inf
        through_a, limits = _let_through(question.network, piece, node, ratings)
        through_a = min(own_a, through_a)
        if len(limits) > (0 if is_behind else 1) and through_a < own_a:
            lasting = through_a if is_behind else lasting_a(question.circuit, carrier, through_a)
            sides.append(Joined(lasting, piece.conductor, limits, is_behind))
    return max(sides, key=lambda side: side.amperes, default=None)


_FUSE = "the fuse of "
_Arc = tuple[Node, Node]
_SOURCES = Node("", "all sources")
"""From here each source drives what it can."""


def _let_through(
    network: Network, apart: Piece, to: Node, ratings: Mapping[str, float]
) -> tuple[float, tuple[str, ...]]:
    """Return the most that all sources drive to a point, one conductor left out, and what limits it.

    Infinite, and nothing, where some source gets there past none.
    """
    room = _room(network, apart, ratings)
    total_a = 0.0
    while True:
        reached = _reached(room)
        if to not in reached:
            break
        way = _way_to(reached, to)
        more_a = min((room[arc] for arc in way), default=math.inf)
        if math.isinf(more_a):
            return math.inf, ()
        total_a += more_a
        for start, end in way:
            room[start, end] -= more_a
            room[end, start] += more_a
    return total_a, (*_fuses_of_cut(network, apart, reached), *_sources_of_cut(network, reached))


def _fuses_of_cut(network: Network, apart: Piece, reached: Collection[Node]) -> Iterator[str]:
    for piece in network.pieces:
        is_cut = (piece.start in reached) is not (piece.end in reached)
        if piece.is_fused and piece != apart and is_cut:
            yield f"{_FUSE}{piece.conductor}"


def _sources_of_cut(network: Network, reached: Collection[Node]) -> Iterator[str]:
    for feed in network.feeds:
        if feed.is_source and feed.plus not in reached:
            yield f"the source {feed.terminal}"


def _room(network: Network, apart: Piece, ratings: Mapping[str, float]) -> dict[_Arc, float]:
    """Return how much may flow from point to point, both ways."""
    room: dict[_Arc, float] = {}
    joins = [
        (each.start, each.end, ratings[each.conductor] if each.is_fused else math.inf)
        for each in network.pieces
        if not each.is_return and each != apart
    ]
    joins += [(each.start, each.end, math.inf) for each in network.links]
    joins += [(_SOURCES, each.plus, each.limit_a) for each in network.feeds if each.is_source]
    for start, end, amperes in joins:
        for arc in ((start, end), (end, start)):
            room[arc] = room.get(arc, 0.0) + amperes
    return room


def _reached(room: Mapping[_Arc, float]) -> dict[Node, Node | None]:
    """Return the points that more can get to, each with the one before it; the nearest first."""
    before: dict[Node, Node | None] = {_SOURCES: None}
    left = list(before)
    for node in left:
        for (start, end), amperes in room.items():
            if start == node and amperes > 0 and end not in before:
                before[end] = node
                left.append(end)
    return before


def _way_to(before: Mapping[Node, Node | None], to: Node) -> list[_Arc]:
    way: list[_Arc] = []
    while (earlier := before[to]) is not None:
        way.append((earlier, to))
        to = earlier
    return way
