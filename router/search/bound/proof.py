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
from typing import Any

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
MOST_HALVINGS = 3
"""How often an edge is halved at most at once."""
SHARE_OF_BEST = 0.25
"""Which edges are split in any case: how near to its best path, as a share of what is to be proven."""
LEAST_LEGS = 6.0
"""Over how many legs the wanted gap is shared out at least."""


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
    relaxed = (relaxed or relax(graph)).copy()
    entry_mm = graph.entry_mm(ask.start)[0]
    bound_mm, aim_mm = 0.0, math.inf
    wanted_mm = _bound_wanted(best.effort_mm, effort_mm, gap)
    for number in range(rounds):
        efforts = _Efforts(relaxed, ask, best.effort_mm - entry_mm)
        bound_mm = max(bound_mm, entry_mm + min(efforts.least_mm, aim_mm))
        if bound_mm >= wanted_mm or number == rounds - 1:
            break
        aim_mm = wanted_mm + (1.0 - AIMED_SHARE_OF_GAP) * (best.effort_mm - wanted_mm) - entry_mm
        legs = max(LEAST_LEGS, sum(step.rail is None for step in best.steps) / 2.0)
        _narrow(relaxed, efforts, aim_mm, (best.effort_mm - entry_mm - aim_mm) / legs)
    return min(bound_mm, best.effort_mm)


def _bound_wanted(best_mm: float, effort_mm: float, gap: float) -> float:
    """Return the bound that proves the gap for an effort; for the best path where that is too much to ask."""
    wanted_mm = max(best_mm, effort_mm) / (1.0 + gap)
    return wanted_mm if wanted_mm <= (1.0 - LEAST_SLACK_OF_GAP * gap) * best_mm else best_mm / (1.0 + gap)


class _Efforts:
    """The efforts from the start and to the goal of every kept place of a graph, by `via` met so far.

    Efforts that no path cheaper than the best known has are left infinite.
    """

    def __init__(self, relaxed: Relaxed, ask: Ask, best_mm: float) -> None:
        distances = Distances(relaxed, ask)
        self.firsts = distances.firsts
        start, goal = distances.site(ask.start), distances.site(ask.goal)
        most = np.full(
            (len(ask.via) + 1, distances.count), best_mm * (1.0 + EFFORT_ROUNDING) + COST_ROUNDING_MM
        )
        sites = [site for site in range(len(relaxed.graph.sites)) if relaxed.graph.is_movable(site)]
        most[:, [distances.site(site) for site in sites if site not in (ask.start, ask.goal)]] = -math.inf
        self.spent = distances.from_start(start, most)
        self.left = distances.to_goal(goal, most - self.spent)
        self.least_mm = float(self.spent[len(ask.via), goal])


def _narrow(relaxed: Relaxed, efforts: _Efforts, aim_mm: float, loss_mm: float) -> None:
    """Drop what no path cheaper than `aim_mm` meets; split edges whose legs lose more than `loss_mm`."""
    total = (efforts.spent + efforts.left).min(0)
    for layer, bound_layer in enumerate(relaxed.bound_layers):
        low, high = efforts.firsts[layer], efforts.firsts[layer + 1]
        if not len(bound_layer.pieces.line):
            continue
        is_alive = np.zeros(len(bound_layer.at), dtype=bool)
        is_alive[bound_layer.kept] = total[low:high] < aim_mm
        parts = is_alive[bound_layer.pieces.ends].any(1).astype(np.int64)
        spent, left = efforts.spent[:, low:high], efforts.left[:, low:high]
        for legs in (relaxed.legs[layer].pairs, relaxed.legs[layer].spots):
            pieces, counts = _wanted(legs, spent, left, (efforts.least_mm, aim_mm), loss_mm)
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
