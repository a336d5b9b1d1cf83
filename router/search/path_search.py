"""The best path through a world: a best-first search from place to place in sight. No vehicle words.

States are places of the sight graph, each with the number of `via` keys met so far. With one factor
everywhere it is the exact shortest path, because then only corners matter and all of them are there.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import count
from typing import NamedTuple, Protocol, TypeAlias

from router.search.prepared_layer import PreparedLayer
from router.search.sight_graph import Move, Node, SightGraph, site_node
from router.search.world import XY, Crossing, Key, Ride, World
from router.stopping import stop_if_asked


class Shut(NamedTuple):
    """What may not be crossed, or ridden, in one part of a path: by how many of `via` are met then."""

    thing: Crossing | Ride
    met_before: int
    met_after: int


@dataclass(frozen=True, slots=True)
class Ask:
    """One question: from which site to which, using and avoiding which keys."""

    start: int
    goal: int
    via: tuple[str, ...] = ()
    avoid: frozenset[str] = frozenset()
    shut: tuple[Shut, ...] = ()

    def shuts(self, graph: PathGraph, move: Move, node: Node, met: tuple[int, int]) -> bool:
        """Return whether a move to a node may not be made, with so many of `via` met before it and after."""
        if not self.avoid.isdisjoint(move.keys):
            return True
        if not self.shut:
            return False
        ends = graph.position(move.origin), graph.position(node)
        things: list[Crossing | Ride | None] = [*graph.world.crossings(*ends, move.link, move.keys)]
        if move.rail is not None:
            things.append(graph.world.ride(*ends, move.rail))
        return any(thing is not None and Shut(thing, *met) in self.shut for thing in things)


@dataclass(frozen=True, slots=True)
class Step:
    """One place of a path: where it is, and how the path goes on from here to the next place.

    `rail` is the rail ridden to the next place, `link` the link taken to it, `keys` what is met on the
    path to it; None and () where the path goes straight through free space.
    """

    layer: int
    x: float
    y: float
    rail: int | None
    link: str | None
    keys: tuple[Key, ...]


@dataclass(frozen=True, slots=True)
class Path:
    """An answer: its places in order, and its effort."""

    steps: tuple[Step, ...]
    effort_mm: float
    nodes: tuple[Node, ...]
    """What the search stood on at each step."""


class PathGraph(Protocol):
    """What writing and polishing a path asks of its graph: a sight graph, or one with paths laid on it."""

    world: World
    prepared: list[PreparedLayer]

    def position(self, node: Node) -> tuple[int, float, float]:
        """Return the layer and the coordinates of a node."""

    def moves_into(self, node: Node, goes_to: XY | None) -> Sequence[Move]:
        """Return every move that ends at a node; at a bend only those of a taut path on to `goes_to`."""

    def steps_into(self, node: Node) -> Iterable[Move]:
        """Return every move that ends at a node and is no straight leg."""


State: TypeAlias = tuple[Node, int]
Trail: TypeAlias = tuple[Move, Node, "Trail | None"]
"""How a path goes on: by which move, to which place, and how from there."""


Closed: TypeAlias = tuple[Node, int, float, Trail | None]
"""A place, how many of `via` are to be met before it, the least effort from it to the goal, and how."""


def find_path(
    graph: SightGraph,
    ask: Ask,
    at_most_mm: float = math.inf,
    is_shut: Callable[[Node, Node], bool] | None = None,
) -> Path | None:
    """Return the best path that answers a question, or None where there is none of so little effort.

    Parameters
    ----------
    graph : SightGraph
    ask : Ask
    at_most_mm : float
        What takes more effort is not looked for.
    is_shut : callable, optional
        Whether the move from one node to another may not be taken although the graph has it.
    """
    found = search_back(graph, ask, at_most_mm, is_shut=is_shut)
    if not found.closed or found.closed[-1][:2] != (site_node(ask.start), 0):
        return None
    start_node, _, effort_mm, trail = found.closed[-1]
    return make_path(graph, start_node, effort_mm + found.entry_mm, trail)


@dataclass(frozen=True, slots=True)
class Searched:
    """What a search back from a goal has found."""

    closed: Sequence[Closed]
    """The most promising first; if no more than the best path is asked for, it ends with the start."""
    most_mm: float
    """Every path cheaper than this uses closed nodes only."""
    lower_bound_to: Mapping[Node, float]
    """By place: what a path to it from the start costs at least."""
    entry_mm: float
    """The amounts of the zones that the start lies in; no effort here has them."""


def search_back(
    graph: SightGraph,
    ask: Ask,
    at_most_mm: float = math.inf,
    near_best_share: float = 0.0,
    is_shut: Callable[[Node, Node], bool] | None = None,
) -> Searched:
    """Search from a question's goal back to its start, first where the path to the start is short.

    Parameters
    ----------
    graph : SightGraph
    ask : Ask
    at_most_mm : float
        What takes more effort is not looked for.
    near_best_share : float
        The search goes on until everything is found that takes no more than the best by this share of it.
    is_shut : callable, optional
        Whether the move from one node to another may not be taken although the graph has it.
    """
    stop_if_asked()
    entry_mm, entry_keys = graph.entry_mm(ask.start)
    is_open = graph.is_free(ask.start) and graph.is_free(ask.goal)
    if not (is_open and ask.avoid.isdisjoint(entry_keys)):
        return Searched((), 0.0, {}, 0.0)
    graph.open_site(ask.start)
    start_node = site_node(ask.start)
    end = site_node(ask.goal)
    lower_bound_to, via = graph.lower_bounds_from(ask.start, ask.goal), ask.via
    best: list[dict[Node, float]] = [{} for _ in range(len(via) + 1)]
    best[-1][end] = 0.0
    ticket = count()
    queue: list[tuple[float, int, float, Node, int, Trail | None]] = [(0.0, 0, 0.0, end, len(via), None)]
    closed: list[Closed] = []
    most_mm = at_most_mm - entry_mm
    while queue:
        _, _, here_mm, node, via_left, trail = heappop(queue)
        if here_mm > best[via_left][node]:
            continue
        closed.append((node, via_left, here_mm, trail))
        if node == start_node and via_left == 0:
            if near_best_share <= 0.0:
                break
            continue
        for move in graph.moves_into(node, next_leg_target(graph, trail)):
            origin, cost_mm, _, _, keys = move
            effort_mm = here_mm + cost_mm
            via_left_there = via_left_before(via, via_left, keys) if keys else via_left
            if effort_mm >= best[via_left_there].get(origin, most_mm):
                continue
            if keys and ask.shuts(graph, move, node, (via_left_there, via_left)):
                continue
            bound_mm = effort_mm + lower_bound_to[origin]
            if bound_mm >= most_mm or (is_shut is not None and is_shut(origin, node)):
                continue
            if via_left_there == 0 and origin == start_node:
                most_mm = min(most_mm, (1.0 + near_best_share) * bound_mm)
            best[via_left_there][origin] = effort_mm
            heappush(queue, (bound_mm, next(ticket), effort_mm, origin, via_left_there, (move, node, trail)))
    return Searched(closed, most_mm, lower_bound_to, entry_mm)


def via_left_before(via: tuple[str, ...], via_left: int, keys: tuple[Key, ...]) -> int:
    """Return how many `via` keys remain before the beginning of a move, when `via_left` do before its end.

    The search runs backward, from the goal to the start.

    Parameters
    ----------
    via : tuple of str
        All keys, in the order in which they are to be used.
    via_left : int
        How many of them remain before the end of the move.
    keys : tuple of str
        What the move uses.
    """
    while via_left > 0 and via[via_left - 1] in keys:
        via_left -= 1
    return via_left


def next_leg_target(graph: SightGraph, trail: Trail | None) -> XY | None:
    """Return the end of the path's next leg if that is straight, else None (it follows a rail or a link)."""
    if trail is None:
        return None
    move, after, _ = trail
    return graph.position(after)[1:] if move.rail is None and move.link is None else None


def make_path(graph: PathGraph, start_node: Node, effort_mm: float, trail: Trail | None) -> Path:
    """Return a trail over a sight graph written as a path.

    Parameters
    ----------
    graph : PathGraph
        That the trail is of.
    start_node : Node
    effort_mm : float
        Of the whole path.
    trail : Trail or None
        How the path goes on from its start; None where it goes nowhere.
    """
    steps, nodes, node = [], [start_node], start_node
    while trail is not None:
        move, after, trail = trail
        steps.append(Step(*graph.position(node), move.rail, move.link, move.keys))
        nodes.append(after)
        node = after
    steps.append(Step(*graph.position(node), None, None, ()))
    return Path(tuple(steps), effort_mm, tuple(nodes))
