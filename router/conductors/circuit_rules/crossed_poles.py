"""Supplies that end on the minus of a unit or of a second battery: its plus and minus are crossed.

A battery so joined lies in series with the source, and one more conductor makes a dead short of the two; an
electronic unit burns out. Nothing else that follows from the mistake is told beside it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from router.facts import BODY, Network, Node, Piece
from router.model.job import Job
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Rule, Status
from router.model.vehicle import Profile, Terminal

_RULE = Rule("conductor", "plus on plus", 1.0, "count", "plus goes on plus", Status.COMMON_PRACTICE)


@dataclass(frozen=True)
class Crossing:
    """A live supply on a minus, and what lies in its place on the plus of the same unit."""

    supply: Piece
    minus: Terminal
    plus: Terminal
    others: tuple[Piece, ...]
    """What ends on the plus and brings current back, or leads to the vehicle's body."""

    @cached_property
    def conductors(self) -> frozenset[str]:
        """Return the conductors that are to be put elsewhere."""
        return frozenset({self.supply.conductor, *(each.conductor for each in self.others)})

    @property
    def fact(self) -> str:
        """Return what is wrong, in words."""
        return f"{self.supply.conductor} ends on {self.minus.name}, which is a minus"

    @property
    def advice(self) -> str:
        """Return what to write so that plus is on plus, and what brings current back on minus."""
        if not self.others:
            return f"end it on {self.plus.name}"
        swapped = [f"{each.conductor} on {self.minus.name}{self._said(each)}" for each in self.others]
        ends = f"end {self.supply.conductor} on {self.plus.name}, and {', '.join(swapped)}"
        return f"plus and minus are crossed, swap them: {ends}"

    def _said(self, other: Piece) -> str:
        if other.is_return:
            return ""
        fuse = " and fuse" if other.is_fused else ""
        return f', with "returns: {self.supply.conductor}" in place of a load{fuse}'


def crossings_of(network: Network, job: Job, profile: Profile) -> tuple[Crossing, ...]:
    """Return every live supply on a minus whose plus the vehicle has too.

    Where the job takes its supply from that plus, a row of batteries is meant.
    """
    at = {each.name: each for each in profile.terminals}
    live = frozenset[Node]().union(*(network.joined(feed.plus) for feed in network.feeds))
    found = []
    for piece in network.pieces:
        minus = at.get(piece.end.terminal)
        plus = None if minus is None else _plus_of(minus, profile)
        is_supply = not piece.is_return and piece.start in live
        if minus is not None and plus is not None and is_supply and plus.name != job.source.at:
            found.append(Crossing(piece, minus, plus, tuple(_leading_away(network, plus))))
    return tuple(found)


def crossing_findings(crossings: Iterable[Crossing], shorted: Collection[str]) -> Iterator[Finding]:
    """Yield a must-rule for each crossing; the finding on a short says it of those that make one.

    Parameters
    ----------
    crossings : iterable of Crossing
    shorted : collection of str
        Conductors that lie in a dead short.
    """
    for each in crossings:
        if not each.conductors & frozenset(shorted):
            yield Finding(
                FindingKind.POLES,
                Severity.MUST,
                each.supply.run,
                None,
                each.fact,
                f"; {each.advice}",
                "plus on plus",
                each.supply.end.words,
                _RULE,
            )


def _plus_of(minus: Terminal, profile: Profile) -> Terminal | None:
    """Return the plus of the unit or battery of which a terminal is the minus."""
    if minus.unit is None or minus.pole is None or not minus.pole.is_minus:
        return None
    of_unit = (each for each in profile.terminals if each.unit == minus.unit)
    return next((each for each in of_unit if each.pole and not each.pole.is_minus), None)


def _leading_away(network: Network, plus: Terminal) -> Iterator[Piece]:
    """Yield what ends on a plus and brings current back, or leads from there to the vehicle's body."""
    earths = network.joined(BODY)
    for piece in network.pieces:
        ends = {piece.start.terminal: piece.end, piece.end.terminal: piece.start}
        other = ends.get(plus.name)
        if other is not None and (piece.is_return or other in earths):
            yield piece
