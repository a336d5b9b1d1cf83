"""Where two paths had best come together and part again, on a sight graph. Pure geometry, no vehicle words.

Of two paths that lie together once, from one place of the graph to another one, the least is found exactly:
what each takes to its end from every place is known from one search a site, and what both take on from a
place, together at first, from one more. Amounts count for each path where they go apart, and once where they
are together. What paths may do besides, as to come together twice, is left to those who lay them again.
"""

from __future__ import annotations

import math
from heapq import heapify, heappop, heappush
from itertools import count
from typing import NamedTuple

from router.search.path_search import Ask
from router.search.sight_graph import Move, Node, SightGraph, site_node
from router.search.world import Key
from router.stopping import stop_if_asked


class Trunk(NamedTuple):
    """Two paths that lie together from one place to another, and are apart before and after."""

    effort_mm: float
    first: Node
    last: Node


class Trunks:
    """Asks for trunks on one sight graph; what was worked out for a site serves every question.

    Parameters
    ----------
    graph : SightGraph
    share : float
        What a second path costs along a trunk, as a share of the effort there.
    """

    def __init__(self, graph: SightGraph, share: float) -> None:
        self._graph, self._share = graph, share
        layers = [own.layer for own in graph.prepared]
        self._amounts_mm: dict[Key, float] = {z.key: z.amount_mm for layer in layers for z in layer.zones}
        self._amounts_mm |= {gate.key: gate.amount_mm for layer in layers for gate in layer.gates}
        self._efforts_mm: dict[tuple[int, frozenset[str]], dict[Node, float]] = {}

    def best(self, one: Ask, other: Ask, below_mm: float) -> Trunk | None:
        """Return the best trunk of two paths, which both go along it as `one` does.

        None if there is none, or if to lie together nowhere takes less.

        Parameters
        ----------
        one, other : Ask
            Without `via`.
        below_mm : float
            What both take together must be less.
        """
        before = [self._efforts_to(ask.start, ask.avoid) for ask in (one, other)]
        after = [self._efforts_to(ask.goal, ask.avoid) for ask in (one, other)]
        avoid, ticket = one.avoid | other.avoid, count()
        best_mm = {node: mm + after[1][node] for node, mm in after[0].items() if node in after[1]}
        lasts = {node: node for node in best_mm}
        queue = [(mm, next(ticket), node) for node, mm in best_mm.items() if mm < below_mm]
        heapify(queue)
        best: Trunk | None = None
        while queue:
            here_mm, _, node = heappop(queue)
            if here_mm >= below_mm:
                break
            if here_mm > best_mm[node]:
                continue
            whole_mm = here_mm + sum(efforts_mm.get(node, math.inf) for efforts_mm in before)
            if whole_mm < below_mm:
                below_mm, best = whole_mm, Trunk(whole_mm, node, lasts[node])
            for move in self._graph.moves_into(node, None):
                effort_mm = here_mm + self._together_mm(move)
                if effort_mm < best_mm.get(move.origin, math.inf) and avoid.isdisjoint(move.keys):
                    best_mm[move.origin], lasts[move.origin] = effort_mm, lasts[node]
                    heappush(queue, (effort_mm, next(ticket), move.origin))
        return best if best and best.first != best.last else None

    def _together_mm(self, move: Move) -> float:
        once_mm = sum(self._amounts_mm.get(key, 0.0) for key in move.keys)
        return move.cost_mm + self._share * max(0.0, move.cost_mm - once_mm)

    def _efforts_to(self, goal: int, avoid: frozenset[str]) -> dict[Node, float]:
        """Return what a path from each place to a site takes at least; by legs that no site begins."""
        key = (goal, avoid)
        if key not in self._efforts_mm:
            stop_if_asked()
            self._graph.close_sites()
            self._efforts_mm[key] = self._search_all(site_node(goal), avoid)
        return self._efforts_mm[key]

    def _search_all(self, end: Node, avoid: frozenset[str]) -> dict[Node, float]:
        best_mm, ticket = {end: 0.0}, count()
        queue = [(0.0, next(ticket), end)]
        while queue:
            here_mm, _, node = heappop(queue)
            if here_mm > best_mm[node]:
                continue
            for origin, cost_mm, _, _, keys in self._graph.moves_into(node, None):
                effort_mm = here_mm + cost_mm
                if effort_mm < best_mm.get(origin, math.inf) and avoid.isdisjoint(keys):
                    best_mm[origin] = effort_mm
                    heappush(queue, (effort_mm, next(ticket), origin))
        return best_mm
