"""The best path of all that nearly are: several are found, each is polished, the best of these is taken.

The search lets a path cross a border, or join a rail, at vertices some distance apart only, so that of two
paths that pass a keep-out on different sides the wrong one may look better until their places are slid to
where they are best. The search back from the goal is therefore carried on until everything is found that
takes little more than the best, and every move of it is kept; from the start onward over these moves alone,
what is left to the goal known for each, the best path by each place follows. Of these those are given that
bend round other corners, ride other rails or take other links than the ones before. A path that only leaves
out a place, a rail say, has none of its own: where it matters, the best path by each move is looked at too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from heapq import heappop, heappush
from itertools import islice, pairwise
from operator import attrgetter, itemgetter
from typing import TypeAlias

from router.search.path_search import (
    Ask,
    Path,
    Searched,
    State,
    Trail,
    make_path,
    next_leg_target,
    search_back,
    via_left_before,
)
from router.search.polish import polish, polish_best
from router.search.sight_graph import Move, Node, SightGraph, site_node

_Found: TypeAlias = Mapping[State, tuple[float, Trail | None]]
"""By state: the least effort from it to the goal, and how the path goes on."""
_Way: TypeAlias = tuple[Node | tuple[Node, Node], float, State, Trail | None]
"""What a path goes by, its effort, a state on it, and how it goes on from there."""
NEAR_BEST_SHARE = 0.02
"""How much more than the best a path may take before it is polished; a share of the best."""
MOST_POLISHED = 6
"""How many paths are polished. Measured by `factors` of tests/speed/bench.py: with 3 the worst is 0.14 %
over the best known, with 6 0.02 %."""


def best_path(graph: SightGraph, ask: Ask) -> Path | None:
    """Return the best path that answers a question, its places where they are best; None if there is none."""
    near = list(islice(near_paths(graph, ask), MOST_POLISHED))
    return polish_best(graph, near) if near else None


def near_best_paths(
    graph: SightGraph,
    ask: Ask,
    share: float = NEAR_BEST_SHARE,
    most: int = MOST_POLISHED,
    *,
    by_moves: bool = False,
) -> tuple[Path, ...]:
    """Return the best path that answers a question and others of nearly as little effort, the least first.

    Parameters
    ----------
    graph : SightGraph
    ask : Ask
    share : float
        How much more than the best one may take before it is polished.
    most : int
        How many are polished.
    by_moves : bool
        Whether the best path by each move is looked at, not by each place alone.
    """
    near = islice(near_paths(graph, ask, share, by_moves=by_moves), most)
    return tuple(sorted((polish(graph, path) for path in near), key=attrgetter("effort_mm")))


def near_paths(
    graph: SightGraph, ask: Ask, share: float = NEAR_BEST_SHARE, *, by_moves: bool = False
) -> Iterator[Path]:
    """Yield paths that take little more than the best, the best first; each has a course of its own."""
    searched = search_back(graph, ask, near_best_share=share)
    start_node: State = (site_node(ask.start), 0)
    found = {(node, via_left): (left_mm, trail) for node, via_left, left_mm, trail in searched.closed}
    if start_node not in found:
        return
    moves = _moves(graph, ask, found, searched)
    came_from, through = _go_on(start_node, found, moves, searched.most_mm)
    courses: set[tuple[object, ...]] = set()
    passed: set[Node | tuple[Node, Node]] = set()
    ways = _by_moves(found, moves, through, searched.most_mm) if by_moves else _by_places(found, through)
    for by, effort_mm, state, onward in ways:
        if by in passed:
            continue
        here, trail = state, onward
        while here != start_node:
            move, before = came_from[here]
            trail, here = (move, here[0], trail), before
        path = make_path(graph, start_node[0], effort_mm + searched.entry_mm, trail)
        passed.update(pairwise(path.nodes) if by_moves else path.nodes)
        course = _course(graph, path)
        if course not in courses:
            courses.add(course)
            yield path


def _by_places(found: _Found, through: Mapping[State, float]) -> Iterator[_Way]:
    for state, effort_mm in through.items():
        yield state[0], effort_mm, state, found[state][1]


def _by_moves(
    found: _Found,
    moves: Mapping[State, list[tuple[Move, State]]],
    through: Mapping[State, float],
    most_mm: float,
) -> Iterator[_Way]:
    """Yield the best path by each move, the least effort first."""
    ways: list[_Way] = []
    for state, by_state_mm in through.items():
        before_mm = by_state_mm - found[state][0]
        for move, after in moves.get(state, ()):
            left_mm, trail = found[after]
            if (effort_mm := before_mm + move.cost_mm + left_mm) < most_mm:
                ways.append(((state[0], after[0]), effort_mm, state, (move, after[0], trail)))
    yield from sorted(ways, key=itemgetter(1))


def _moves(
    graph: SightGraph, ask: Ask, found: _Found, searched: Searched
) -> dict[State, list[tuple[Move, State]]]:
    """Return by state the moves that paths of less effort than the most may go on by, and to which state."""
    onward: dict[State, list[tuple[Move, State]]] = {}
    lower_bound_to = searched.lower_bound_to
    for state, (left_mm, trail) in found.items():
        node, via_left = state
        most_left_mm = searched.most_mm - left_mm
        for move in graph.moves_into(node, next_leg_target(graph, trail)):
            origin, cost_mm, _, _, keys = move
            if cost_mm + lower_bound_to[origin] >= most_left_mm:
                continue
            before = (origin, via_left_before(ask.via, via_left, keys) if keys else via_left)
            is_shut = keys and ask.shuts(graph, move, node, (before[1], via_left))
            if before in found and not is_shut:
                onward.setdefault(before, []).append((move, state))
    return onward


def _go_on(
    start_node: State, found: _Found, moves: Mapping[State, list[tuple[Move, State]]], most_mm: float
) -> tuple[dict[State, tuple[Move, State]], dict[State, float]]:
    """Go from the start onward.

    Returns
    -------
    came_from : by state the move that the best path to it ends with, and the state before
    through : by state the effort of the best path by it, where that is less than the most; the least first
    """
    came_from: dict[State, tuple[Move, State]] = {}
    through: dict[State, float] = {}
    best = {start_node: 0.0}
    queue = [(found[start_node][0], 0.0, start_node)]
    while queue:
        effort_mm, here_mm, state = heappop(queue)
        if state in through:
            continue
        through[state] = effort_mm
        for move, after in moves.get(state, ()):
            spent_mm = here_mm + move.cost_mm
            if spent_mm + found[after][0] < most_mm and spent_mm < best.get(after, math.inf):
                best[after], came_from[after] = spent_mm, (move, state)
                heappush(queue, (spent_mm + found[after][0], spent_mm, after))
    return came_from, through


def _course(graph: SightGraph, path: Path) -> tuple[object, ...]:
    """Return what a path bends round, rides and takes, in order."""
    course: list[object] = []
    for step, node in zip(path.steps, path.nodes, strict=True):
        kind, layer, fan, _ = node
        if kind == "fan" and graph.prepared[layer].bends[fan] is not None:
            course.append(node)
        elif step.link is not None:
            course.append(step.link)
        elif step.rail is not None and course[-1:] != [(layer, step.rail)]:
            course.append((layer, step.rail))
    return tuple(course)
