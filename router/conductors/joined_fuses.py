"""How much all fuses together let through to a conductor where supplies meet.

Behind a joint each supply's fuse bears its own share, so their ratings add up. The most that gets to a
conductor is the least sum of ratings that parts it from every source (max-flow min-cut theorem, Ford and
Fulkerson 1956); from a source that no fuse parts from it no figure follows, and another finding says so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from router.conductors.circuit import Carrier
from router.conductors.protection import Protection, lasting_a
from router.conductors.question import ElectricalQuestion
from router.facts import Network, Node, Piece


@dataclass(frozen=True, slots=True)
class Joined:
    """What the fuses of several supplies let through to a conductor together."""

    amperes: float
    """[A]"""
    conductor: str
    """Where it comes in: the conductor itself, or the one whose current it brings back."""
    fuses: tuple[str, ...]
    """The conductors in which these fuses sit."""
    is_from_behind: bool
    """Whether it comes in at the end to which the conductor carries its current."""


def joined_fuses(question: ElectricalQuestion, protections: Sequence[Protection]) -> Mapping[str, Joined]:
    """Return by conductor what more than one fuse lets through to it; what one does is not in it."""
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


def listed_fuses(joined: Joined) -> str:
    """Return the fuses in words: "the fuses of a and b"."""
    return f"the fuses of {', '.join(joined.fuses[:-1])} and {joined.fuses[-1]}"


def _of_supply(
    question: ElectricalQuestion, carrier: Carrier, piece: Piece, ratings: Mapping[str, float]
) -> Joined | None:
    """Return the more of what comes in at either end, where more than one fuse lets it in."""
    sides = []
    for node, is_behind in ((piece.start, False), (piece.end, True)):
        own_a = ratings[piece.conductor] if node in piece.fused_at else math.inf
        through_a, fuses = _let_through(question.network, piece, node, ratings)
        through_a = min(own_a, through_a)
        if len(fuses) > 1 and through_a < own_a:
            lasting = through_a if is_behind else lasting_a(question.circuit, carrier, through_a)
            sides.append(Joined(lasting, piece.conductor, fuses, is_behind))
    return max(sides, key=lambda side: side.amperes, default=None)


_Arc = tuple[Node, Node]


def _let_through(
    network: Network, apart: Piece, to: Node, ratings: Mapping[str, float]
) -> tuple[float, tuple[str, ...]]:
    """Return the most that all sources drive to a point, one conductor left out, and the fuses that limit it.

    Infinite, and no fuses, where some source gets there past none.
    """
    room = _room(network, apart, ratings)
    sources = [feed.plus for feed in network.feeds if feed.is_source]
    total_a = 0.0
    while True:
        reached = _reached(room, sources)
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
    cut = (
        piece.conductor
        for piece in network.pieces
        if piece.is_fused and piece != apart and (piece.start in reached) is not (piece.end in reached)
    )
    return total_a, tuple(cut)


def _room(network: Network, apart: Piece, ratings: Mapping[str, float]) -> dict[_Arc, float]:
    """Return how much may flow from point to point, both ways."""
    room: dict[_Arc, float] = {}
    joins = [
        (each.start, each.end, ratings[each.conductor] if each.is_fused else math.inf)
        for each in network.pieces
        if not each.is_return and each != apart
    ]
    joins += [(each.start, each.end, math.inf) for each in network.links]
    for start, end, amperes in joins:
        for arc in ((start, end), (end, start)):
            room[arc] = room.get(arc, 0.0) + amperes
    return room


def _reached(room: Mapping[_Arc, float], sources: Sequence[Node]) -> dict[Node, Node | None]:
    """Return the points that more can get to, each with the one before it; the nearest first."""
    before: dict[Node, Node | None] = dict.fromkeys(sources)
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
