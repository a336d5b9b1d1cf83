"""Whether a fuse protects every conductor at every source that can feed it (33 CFR 183.455(a) and (b)).

From each source's plus one goes on along conductors and through units until a fuse. What lies before it is
live and unprotected, with a load or without, and must be as short as the rule lets a fuse be far off.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import count

from router.conductors.fuses import furthest_rule
from router.conductors.limits import is_within
from router.facts import Feed, Network, Node, Piece
from router.model.job import Job, Run
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Practice, Rule, Status
from router.model.vehicle import Profile

_RULE = Rule("fuse", "every conductor", 1.0, "count", "33 CFR 183.455(a)", Status.PUBLISHED)


@dataclass(frozen=True, slots=True)
class _Exposed:
    """A conductor that one feed reaches before any fuse."""

    piece: Piece
    first: Piece
    """The conductor at the feed itself through which it is reached."""
    end: Node
    """Its end away from the feed."""
    end_mm: float
    """How much conductor lies between the feed and that end."""


@dataclass(frozen=True)
class SourceProtection:
    """What is asked: the circuit, and how long its conductors are."""

    job: Job
    profile: Profile
    practice: Practice
    network: Network
    length_mm: Mapping[str, float]
    """By run; a run that is not in it is longer than any rule allows."""
    misplaced: Collection[str] = ()
    """Conductors on a plus that are to end on a minus, as another finding says."""
    ampacity_a: Mapping[str, float] = field(default_factory=dict)
    """What each conductor may carry; nothing where that is not known yet."""

    def findings(self) -> Iterator[Finding]:
        """Yield a finding for each source, and for each run on it, that no fuse protects there."""
        for feed in self.network.feeds:
            if feed.is_source:
                yield from self._at_source(feed)
        taps = [each for feed in self.network.feeds if not feed.is_source for each in self._exposed(feed)]
        yield from self._at_taps(taps)

    def _exposed(self, feed: Feed) -> Iterator[_Exposed]:
        """Yield each conductor once, by the shortest way from a feed that passes no fuse."""
        order = count()
        queue: list[tuple[float, int, Node, Piece | None]] = [(0.0, next(order), feed.plus, None)]
        seen: set[Node] = set()
        met: set[str] = set()
        while queue:
            far_mm, _, node, first = heappop(queue)
            if node in seen:
                continue
            seen.add(node)
            for piece in self.network.at(node):
                if piece.is_return or node in piece.fused_at or piece.conductor in met:
                    continue
                met.add(piece.conductor)
                other = piece.end if node == piece.start else piece.start
                end_mm = far_mm + self.length_mm.get(piece.run, math.inf)
                yield _Exposed(piece, first or piece, other, end_mm)
                if not piece.is_fused:
                    heappush(queue, (end_mm, next(order), other, first or piece))
            for link in self.network.links:
                if first is not None and node in (link.start, link.end):
                    other = link.end if node == link.start else link.start
                    heappush(queue, (far_mm, next(order), other, first))

    def _at_source(self, feed: Feed) -> Iterator[Finding]:
        exposed = tuple(self._exposed(feed))
        for run in self.job.runs:
            here = (each for each in exposed if each.first.run == run.name)
            on_it = [each for each in here if not self._needs_none(feed, each.piece.conductor)]
            furthest = self._furthest(feed, on_it)
            too_far = [each for each in on_it if not is_within(each.end_mm, furthest.value)]
            if too_far:
                yield self._unprotected(feed, run, too_far, furthest)

    def _needs_none(self, feed: Feed, conductor: str) -> bool:
        """Return whether a conductor needs no fuse at a source: it carries all that this one can give."""
        return conductor in self.misplaced or is_within(feed.limit_a, self.ampacity_a.get(conductor, 0.0))

    def _furthest(self, feed: Feed, exposed: list[_Exposed]) -> Rule:
        """Return how much conductor may lie before a fuse; where none follows, no more than a pigtail."""
        ends = {each.end for each in exposed}
        has_load = any(ends & {load.plus, load.minus} for load in self.network.loads)
        has_fuse = any(each.piece.is_fused for each in exposed) or any(
            node in piece.fused_at for node in ends for piece in self.network.at(node)
        )
        if has_fuse and not has_load:
            terminal = next((each for each in self.profile.terminals if each.name == feed.terminal), None)
            return furthest_rule(terminal, self.practice)
        return self.practice.rule("fuse", "bare distance")

    def _unprotected(self, feed: Feed, run: Run, exposed: list[_Exposed], furthest: Rule) -> Finding:
        names = ", ".join(each.piece.conductor for each in exposed)
        longest_mm = max(each.end_mm for each in exposed)
        return Finding(
            FindingKind.NO_FUSE,
            Severity.MUST,
            run.name,
            None,
            f"no fuse protects {names} at {feed.terminal}",
            f"; {self._advice(feed, run, exposed[0].first)}",
            f"a fuse within {furthest.value:.0f} mm of every source",
            "none" if math.isinf(longest_mm) else f"none in {longest_mm:.0f} mm",
            _RULE,
        )

    def _advice(self, feed: Feed, run: Run, first: Piece) -> str:
        """Return what to write so that a fuse protects a conductor at a feed."""
        outs = [each for each in self.network.pieces if each.run == run.name and not each.is_return]
        if first.is_fused:
            return f'{feed.terminal} feeds it too: write "fuse-at-both-ends: true" in run "{run.name}"'
        sources = {each.plus for each in self.network.feeds if each.is_source}
        both = ' and "fuse-at-both-ends: true"' if {first.start, first.end} <= sources else ""
        if len(outs) > 1:
            own = f'give {first.conductor} a run of its own with "fuse: auto"{both}'
            return f"a fuse sits in one conductor: {own}"
        return f'fit one there: write "fuse: auto"{both} in run "{run.name}"'

    def _at_taps(self, exposed: list[_Exposed]) -> Iterator[Finding]:
        """Yield a finding for each run that a circuit of the vehicle feeds: its fuse is not known here."""
        for run in self.job.runs:
            names = dict.fromkeys(each.piece.conductor for each in exposed if each.piece.run == run.name)
            if not names:
                continue
            taps = dict.fromkeys(each.first.start.terminal for each in exposed if each.piece.run == run.name)
            where = " and ".join(taps)
            yield Finding(
                FindingKind.NO_FUSE,
                Severity.SHOULD,
                run.name,
                None,
                f"no fuse of this job protects {', '.join(names)}",
                f"; what feeds it at {where} must have one{self._feeder_words(run, tuple(taps))}",
                "a fuse",
                "none in this job",
                _RULE,
            )

    def _feeder_words(self, run: Run, taps: tuple[str, ...]) -> str:
        """Return how to say what feeds a run, where a conductor of the job ends at where it comes from."""
        feeders = [
            each
            for each in self.network.pieces
            if each.end.terminal in taps and not each.is_return and each.run != run.name
        ]
        if not feeders:
            return ""
        words = (
            f'; where that is a conductor of this job, say which, as "fed-by: {feeders[0].conductor}", so '
            "that it carries the load too"
        )
        outs = [each for each in run.conductors if not each.returns]
        own = '; "fuse: auto" gives the run a fuse of its own'
        return words + own if run.fuse is None and len(outs) == 1 else words
