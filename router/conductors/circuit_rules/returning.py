"""Whether every load has a closed way: from a source's plus to it, and from it back to that source's minus.

Current flows in a closed circuit only (Kirchhoff's current law). What a conductor brings back the job says
(`returns`), and sizes follow that; so a way back counts as one where the job says so and the ends meet.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from router.conductors.circuit import Carrier, Circuit
from router.conductors.circuit_rules.dead_shorts import is_on_plus, is_shorted
from router.facts import BODY, Load, Network, Node
from router.model.plan import Finding, FindingKind, Severity
from router.model.vehicle import Profile, Terminal


@dataclass(frozen=True)
class ClosedWays:
    """What is asked: which conductor brings what back by the job, and what joins what."""

    circuit: Circuit
    network: Network
    profile: Profile
    crossed: Collection[str] = ()
    """Conductors at crossed poles, of which another finding says more."""

    def findings(self) -> Iterator[Finding]:
        """Yield a finding for each load without a feed, and for each without a way back."""
        silent: list[Load] = []
        for load in self.network.loads:
            if load.conductor in self.crossed:
                continue
            if is_shorted(self.network, load.plus) or is_on_plus(self.network, self._reached(load)):
                continue
            if not self._is_fed(load):
                yield self._no_feed(load)
            if self._is_silent(load):
                silent.append(load)
            elif not self._is_closed(load):
                yield self._broken(load)
        yield from self._no_returns(silent)

    # to the load

    def _is_fed(self, load: Load) -> bool:
        joined = self.network.joined(load.plus)
        return any(feed.plus in joined and feed.terminal != load.terminal for feed in self.network.feeds)

    def _no_feed(self, load: Load) -> Finding:
        piece = next(each for each in self.network.pieces if each.conductor == load.conductor)
        begin, feeder = piece.start.terminal, self._carrier(load).conductor.fed_by
        if feeder is not None:
            why = f": {feeder} is to feed it and does not end there; begin or end both at one terminal"
        else:
            why = (
                f': begin it at a source, or write "fed-by" with the conductor that feeds it; where {begin} '
                'is a source, write "source: true" there'
            )
        return _must(FindingKind.NO_FEED, load, f"nothing feeds {load.conductor} at {begin}", why, "a feed")

    # back from the load

    def _is_silent(self, load: Load) -> bool:
        """Return whether nothing is said to bring a load back: its unit may be earthed by its own body."""
        own = self._terminal(load.minus.terminal)
        is_measured = own is not None and (own.pole is not None or own.studs is not None)
        return not is_measured and not self._is_brought_back(load)

    def _is_brought_back(self, load: Load) -> bool:
        """Return whether a conductor returns a load by name, or what feeds it, from its own minus on."""
        return any(
            load.conductor in each.conductor.returns or load.minus in self._ends(each)
            for each in self._backs(load)
        )

    def _backs(self, load: Load) -> list[Carrier]:
        return [each for each in self.circuit.loop(load.conductor) if each.is_return]

    def _is_closed(self, load: Load) -> bool:
        joined = self.network.joined(load.plus)
        feeds = (each for each in self.network.feeds if each.terminal != load.terminal)
        minuses = {BODY} | {feed.minus for feed in feeds if feed.plus in joined}
        earths = set(minuses)
        for link in self.network.links:
            if {link.start, link.end} & minuses:
                earths |= {link.start, link.end}
        return bool(self._reached(load) & earths)

    def _reached(self, load: Load) -> frozenset[Node]:
        """Return every point that the conductors which bring a load back lead to from its minus."""
        reached, left = frozenset({load.minus}), self._backs(load)
        while touching := [each for each in left if reached & self._ends(each)]:
            reached = reached.union(*map(self._ends, touching))
            left = [each for each in left if each not in touching]
        return reached

    def _broken(self, load: Load) -> Finding:
        lost = f"no current of {load.conductor} gets back from {load.terminal}"
        return _must(FindingKind.BROKEN_RETURN, load, lost, self._gap_words(load), "a closed circuit")

    def _gap_words(self, load: Load) -> str:
        """Return why nothing gets back, with what to do."""
        backs, reached = self._backs(load), self._reached(load)
        names = [each.name for each in backs if reached & self._ends(each)]
        begin = self._begin_words(load)
        if not names:
            others = ", ".join(f"{each.name} ({each.run.start} to {each.run.end})" for each in backs)
            why = f": no end of {others} is there" if others else f": nothing ends on {load.minus.words}"
            to = self._piece_begin(backs[0]) if backs else begin
            to = "an earth" if to == begin else to
            return f'{why}; add a conductor from {begin} to {to} that says "returns: {load.conductor}"'
        ends = reached - {load.minus} or reached
        gap = " or ".join(dict.fromkeys(node.terminal for node in sorted(ends, key=str)))
        more = [
            each.name
            for each in self.circuit.carriers
            if each.is_return and each not in backs and reached & self._ends(each)
        ]
        change = (
            f'write {load.conductor} into "returns" of {more[0]}'
            if more
            else f'add a conductor from {gap} to an earth that says "returns: {load.conductor}"'
        )
        return f": {', '.join(names)} ends at {gap}, and nothing takes it on there; {change}"

    def _begin_words(self, load: Load) -> str:
        """Return where a return of a load begins; never the stud on which its supply ends."""
        own = self._terminal(load.minus.terminal)
        if own is not None and own.stud is not None and own.pole is None and own.name == load.terminal:
            return (
                f"its minus, which the profile does not show ({own.name} is one stud: write studs: {{plus: "
                "..., minus: ...} in place of stud, or measure its minus as a terminal with unit and pole)"
            )
        return load.minus.terminal

    def _piece_begin(self, back: Carrier) -> str:
        piece = next(each for each in self.network.pieces if each.conductor == back.name)
        return piece.start.terminal

    def _no_returns(self, silent: list[Load]) -> Iterator[Finding]:
        """Yield a finding for each run with loads whose current no conductor of the job brings back."""
        for run in self.circuit.job.runs:
            own = [each for each in silent if self._carrier(each).run is run]
            if not own:
                continue
            names = [each.conductor for each in own]
            listed = names[0] if len(names) == 1 else f"[{', '.join(names)}]"
            begins = " and ".join(dict.fromkeys(map(self._own_begin_words, own)))
            advice = (
                f': add a run from {begins} to an earth with a conductor that says "returns: {listed}"; '
                "leave it so only where the unit is earthed by its own body"
            )
            yield Finding(
                FindingKind.NO_RETURN,
                Severity.SHOULD,
                run.name,
                None,
                f"nothing brings the current of {', '.join(names)} back",
                advice,
                "a way back",
                "none in this job",
                None,
            )

    def _own_begin_words(self, load: Load) -> str:
        return self._begin_words(replace(load, minus=Node(load.terminal, "")))

    # looked up

    def _ends(self, carrier: Carrier) -> frozenset[Node]:
        piece = next(each for each in self.network.pieces if each.conductor == carrier.name)
        return frozenset({piece.start, piece.end})

    def _carrier(self, load: Load) -> Carrier:
        return self.circuit.by_name[load.conductor]

    def _terminal(self, name: str) -> Terminal | None:
        return next((each for each in self.profile.terminals if each.name == name), None)


def _must(kind: FindingKind, load: Load, fact: str, more: str, required: str) -> Finding:
    run = load.run
    return Finding(kind, Severity.MUST, run, None, fact, more, required, "a gap", None)
