"""A proof of how good a path is: a graph that no path over the sight graph can beat.

The search only lets a path cross a border, or join a rail, at vertices some distance apart; the best
path may do so between them. Let psi be a number for every end of every edge that a path may touch (a piece of
a border, gate or rail, seen from one side), for every corner of free space, site and stop, and straight along
each edge. Suppose that for every straight leg from x to y inside a region of factor f, its ends on edges,
corners or sites,

    psi(x) - psi(y) <= f |x - y|,                                                           (1)

and that rides along a rail, joins, gates, amounts and links, too, cost no less than what psi falls by on
them. Then every path costs at least psi(start) - psi(goal): add up along it. This is weak duality for
shortest paths (psi is a feasible potential: L. R. Ford and D. R. Fulkerson, Flows in Networks, 1962) carried
over from a graph to the plane.

`relaxed` has a graph whose costs between ends of edges are so low that whatever psi keeps them keeps (1)
between the ends, too (`leg_costs` says why); rides, joins, crossings and amounts are straight along edges,
and do so because they do at both ends. The efforts to the goal through this graph are such a psi, and the
largest: its shortest path is a bound.

The bound is made better where that matters. An edge at whose ends no path through the graph costs less than
what is to be proven is touched by no path over the sight graph that does (efforts from the start and to the
goal both are straight along it), and is dropped. Of the others, those are split whose legs lose most.

Which pairs of edges can see each other? Slide a leg between two edges until something stops it: an end
of an edge, so that this end sees the other edge; or a corner of free space, which then sees both edges in
opposite directions. So looking from ends and corners finds every pair.

Where a support is to be met (`via`), touching it is enough for the bound.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from router.plane import Floats
from router.search.bound.bound_layers import LegsOfPairs
from router.search.bound.distances import Distances
from router.search.bound.relaxed import Relaxed, narrow, relax, twins
from router.search.path_search import Ask, Path
from router.search.sight_graph import SightGraph
from router.tolerances import COST_ROUNDING_MM, EFFORT_ROUNDING

AIMED_SHARE_OF_GAP = 0.75
"""What share of the wanted gap is aimed at, once edges are dropped."""
LEAST_SLACK_OF_GAP = 0.25
"""A bound nearer to the best path than this share of the wanted gap takes too long to prove."""
MOST_HALVINGS = 2
"""How often an edge is halved at most at once."""
SHARE_OF_BEST = 0.25
"""Which edges are split in any case: how near to its best path, as a share of what is to be proven."""
LEAST_LEGS = 6.0
"""Over how many legs the wanted gap is shared out at least."""


@dataclass(slots=True)
class _Claim:
    """What is to be proven of one question, and what has been."""

    ask: Ask
    best: Path
    wanted_mm: float
    bound_mm: float = 0.0
    aim_mm: float = math.inf


def prove(
    graph: SightGraph,
    ask: Ask,
    best: Path,
    gap: float,
    rounds: int,
    relaxed: Relaxed | None = None,
    effort_mm: float = 0.0,
) -> float:
    """Return an effort that no path is below, in mm.

    Parameters
    ----------
    graph : SightGraph
    ask : Ask
    best : Path
        The best path known that answers the question on this sight graph.
    gap : float
        The gap wanted: edges are split until it is proven that the best path takes at most (1 + gap) times
        the best possible, or until `rounds` are done.
    relaxed : Relaxed, optional
        The sight graph's graph, where it was made before.
    effort_mm : float, optional
        Effort of another way, for which the gap is wanted if it can be had: one that goes a little aside.
    """
    claim = _Claim(ask, best, _bound_wanted(best.effort_mm, effort_mm, gap))
    _prove(graph, [claim], rounds, relaxed or relax(graph))
    return min(claim.bound_mm, best.effort_mm)


def prove_all(
    graph: SightGraph, bests: Mapping[Ask, Path], gap: float, rounds: int, relaxed: Relaxed
) -> dict[Ask, float]:
    """Return by question an effort that no path is below, in mm; edges are split for all questions at once.

    Parameters
    ----------
    graph : SightGraph
    bests : mapping of Ask to Path
        By question: the best path known. They differ in nothing but their goals.
    gap : float
        The gap wanted.
    rounds : int
        How often edges are split at most, and once less.
    relaxed : Relaxed
        The sight graph's graph.
    """
    claims = [
        _Claim(ask, best, _bound_wanted(best.effort_mm, best.effort_mm, gap)) for ask, best in bests.items()
    ]
    _prove(graph, claims, rounds, relaxed)
    return {claim.ask: min(claim.bound_mm, claim.best.effort_mm) for claim in claims}


def _prove(graph: SightGraph, claims: Sequence[_Claim], rounds: int, relaxed: Relaxed) -> None:
    """Prove claims that differ in nothing but their goals."""
    relaxed, entry_mm = relaxed.copy(), graph.entry_mm(claims[0].ask.start)[0]
    for left in reversed(range(rounds)):
        efforts = _Efforts(relaxed, [(claim.ask, claim.best.effort_mm - entry_mm) for claim in claims])
        for claim, least_mm in zip(claims, efforts.least_mm, strict=True):
            claim.bound_mm = max(claim.bound_mm, entry_mm + min(least_mm, claim.aim_mm))
        rows = [row for row, claim in enumerate(claims) if claim.bound_mm < claim.wanted_mm]
        if not (rows and left):
            return
        claims = [claims[row] for row in rows]
        wishes = [_wish(claim, entry_mm, efforts, row) for claim, row in zip(claims, rows, strict=True)]
        _narrow(relaxed, efforts.firsts, wishes)


def _wish(claim: _Claim, entry_mm: float, efforts: _Efforts, row: int) -> _Wish:
    """Aim a little beyond what is to be proven; return which places matter to that."""
    best_mm = claim.best.effort_mm
    claim.aim_mm = claim.wanted_mm + (1.0 - AIMED_SHARE_OF_GAP) * (best_mm - claim.wanted_mm) - entry_mm
    legs = max(LEAST_LEGS, sum(step.rail is None for step in claim.best.steps) / 2.0)
    between = (efforts.least_mm[row], claim.aim_mm)
    return _Wish(efforts.spent, efforts.left[row], between, (best_mm - entry_mm - claim.aim_mm) / legs)


def _bound_wanted(best_mm: float, effort_mm: float, gap: float) -> float:
    """Return the bound that proves the gap for an effort; for the best path where that is too much to ask."""
    wanted_mm = max(best_mm, effort_mm) / (1.0 + gap)
    return wanted_mm if wanted_mm <= (1.0 - LEAST_SLACK_OF_GAP * gap) * best_mm else best_mm / (1.0 + gap)


class _Efforts:
    """The efforts from the start and to each goal of every kept place of a graph, by `via` met so far.

    Efforts that no path cheaper than the best known has are left infinite.
    """

    def __init__(self, relaxed: Relaxed, questions: Sequence[tuple[Ask, float]]) -> None:
        asks = [ask for ask, _ in questions]
        distances = Distances(relaxed, asks[0])
        self.firsts = distances.firsts
        graph, end = relaxed.graph, len(asks[0].via)
        movable = [site for site in range(len(graph.sites)) if graph.is_movable(site)]
        most = np.empty((len(asks), end + 1, distances.count))
        for row, (ask, best_mm) in zip(most, questions, strict=True):
            row[:] = best_mm * (1.0 + EFFORT_ROUNDING) + COST_ROUNDING_MM
            row[
                :, [distances.site(site) for site in movable if site not in (ask.start, ask.goal)]
            ] = -math.inf
        goals = [distances.site(ask.goal) for ask in asks]
        self.spent = distances.from_start(distances.site(asks[0].start), most.max(0))
        self.left = distances.to_goals(goals, most - self.spent)
        self.least_mm: list[float] = self.spent[end, goals].tolist()


class _Wish(NamedTuple):
    """What one question wants of the next graph."""

    spent: Any
    left: Any
    """By `via` met and kept place: the least efforts from the start and to the goal. [mm]"""
    between: tuple[float, float]
    """What is proven, and what is aimed at. [mm]"""
    loss_mm: float
    """Edges whose legs lose more than this are split."""


def _narrow(relaxed: Relaxed, firsts: Sequence[int], wishes: Sequence[_Wish]) -> None:
    """Drop what no path cheaper than is aimed at meets; split edges whose legs lose much."""
    is_wanted = np.any([(wish.spent + wish.left).min(0) < wish.between[1] for wish in wishes], axis=0)
    for layer, bound_layer in enumerate(relaxed.bound_layers):
        low, high = firsts[layer], firsts[layer + 1]
        if not len(bound_layer.pieces.line):
            continue
        is_alive = np.zeros(len(bound_layer.at), dtype=bool)
        is_alive[bound_layer.kept] = is_wanted[low:high]
        parts = is_alive[bound_layer.pieces.ends].any(1).astype(np.int64)
        for legs in (relaxed.legs[layer].pairs, relaxed.legs[layer].spots):
            for wish in wishes:
                spent, left = wish.spent[:, low:high], wish.left[:, low:high]
                pieces, counts = _wanted(legs, spent, left, wish.between, wish.loss_mm)
                np.maximum.at(parts, pieces, counts)
        is_whole = np.isin(bound_layer.pieces.line, [line for at, line in relaxed.whole if at == layer])
        parts[is_whole] = np.minimum(parts[is_whole], 1)
        far = twins(bound_layer)
        both = np.flatnonzero(far >= 0)
        both = both[(parts[both] > 0) & (parts[far[both]] > 0)]
        parts[both] = np.maximum(parts[both], parts[far[both]])
        narrow(relaxed, layer, is_alive, parts)


def _wanted(
    legs: LegsOfPairs, spent: Floats, left: Floats, between: tuple[float, float], loss_mm: float
) -> tuple[Any, Any]:
    """Return pieces to split, and into how many: whose legs lose much, or lie on all but the best paths."""
    one, other = legs.ends[..., 0], legs.ends[..., 1]
    through = np.minimum(spent[:, one] + left[:, other], spent[:, other] + left[:, one]).min(0)
    through = (through + legs.cost).min(1, initial=math.inf)
    least_mm, aim_mm = between
    near = np.flatnonzero((through < aim_mm) & (legs.shortfall > loss_mm))
    best = np.flatnonzero(through < least_mm + (aim_mm - least_mm) * SHARE_OF_BEST)
    halvings = np.clip(np.ceil(0.7 * np.log2(legs.shortfall[near] / loss_mm)), 1, MOST_HALVINGS)
    counts = np.concatenate([2 ** halvings.astype(np.int64), np.full(len(best), 2)])
    rows = np.concatenate([near, best])
    return np.concatenate([legs.one[rows], legs.other[rows]]), np.concatenate([counts, counts])
