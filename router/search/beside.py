"""The best path for one more run beside paths that are laid already. Pure geometry, no vehicle words.

On the graph of `laid_graph` the search finds what this run adds to the effort of all, and makes it least;
only where it joins or leaves a straight leg is taken from places some distance apart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from heapq import heappop, heappush
from itertools import count, pairwise

import shapely

from router.search.laid_graph import GraphWithLaid, is_one_place
from router.search.path_search import Ask, Path, Step, Trail, make_path, via_left_before
from router.search.polish import polish
from router.search.sight_graph import Node, site_node
from router.search.world import XY, Key
from router.tolerances import ON_LINE_MM

SNAP_MM = 0.05


def find_beside(
    with_laid: GraphWithLaid, ask: Ask, at_most_mm: float, met: set[Key] | None = None
) -> Path | None:
    """Return the path that adds least to what is laid; None where none adds less than `at_most_mm`.

    The path's effort is what it adds.

    Parameters
    ----------
    with_laid : GraphWithLaid
    ask : Ask
    at_most_mm : float
        What adds as much effort, or more, is not looked for.
    met : set of str, optional
        Takes the keys of all moves that the search looks at; without them it would have gone the same way.
    """
    graph = with_laid.graph
    if not (graph.is_free(ask.start) and graph.is_free(ask.goal)):
        return None
    graph.open_site(ask.start)
    entry_mm, keys = graph.entry_mm(ask.start)
    entry_mm -= with_laid.saved_mm(keys, entry_mm)
    start_node, end = site_node(ask.start), site_node(ask.goal)
    path = _find(with_laid, start_node, end, ask, at_most_mm - entry_mm, met)
    return replace(path, effort_mm=path.effort_mm + entry_mm) if path else None


def find_by_point(with_laid: GraphWithLaid, ask: Ask, layer: int, at: XY, at_most_mm: float) -> Path | None:
    """Return the path that adds least of those that go by a point, which must be one that `with_laid` knows.

    `ask.via` must be empty.

    Parameters
    ----------
    with_laid : GraphWithLaid
    ask : Ask
        Without `via`.
    layer : int
    at : (x, y)
        The point. [mm]
    at_most_mm : float
        What adds as much effort to either part, or more, is not looked for.
    """
    with_laid.graph.open_site(ask.start)
    middle = with_laid.point(layer, at)
    first = _find(with_laid, site_node(ask.start), middle, ask, at_most_mm)
    last = _find(with_laid, middle, site_node(ask.goal), ask, at_most_mm) if first else None
    if first is None or last is None:
        return None
    first, last = smooth(with_laid, first), smooth(with_laid, last)
    return Path(
        (*first.steps[:-1], *last.steps), first.effort_mm + last.effort_mm, (*first.nodes[:-1], *last.nodes)
    )


def find_by_nodes(with_laid: GraphWithLaid, ask: Ask, nodes: Sequence[Node]) -> Path | None:
    """Return a path by some nodes in turn, the best between each two; None where one is not reached.

    Parameters
    ----------
    with_laid : GraphWithLaid
    ask : Ask
        Without `via`.
    nodes : sequence of Node
    """
    with_laid.graph.open_site(ask.start)
    parts = []
    for here, there in pairwise([site_node(ask.start), *nodes, site_node(ask.goal)]):
        part = _find(with_laid, here, there, ask, math.inf)
        if part is None:
            return None
        parts.append(part)
    return Path(
        tuple(step for part in parts[:-1] for step in part.steps[:-1]) + parts[-1].steps,
        sum(part.effort_mm for part in parts),
        tuple(node for part in parts[:-1] for node in part.nodes[:-1]) + parts[-1].nodes,
    )


def find_between(
    with_laid: GraphWithLaid, start: tuple[int, XY], goal: tuple[int, XY], avoid: frozenset[str]
) -> Path | None:
    """Return the best path between two points that `with_laid` knows; their amounts are not asked for.

    Parameters
    ----------
    with_laid : GraphWithLaid
    start, goal : (layer, (x, y))
        The two points. [mm]
    avoid : frozenset of str
        Keys not to be used.
    """
    ask = Ask(-1, -1, (), avoid)
    with_laid.graph.close_sites()
    path = _find(with_laid, with_laid.point(*start), with_laid.point(*goal), ask, math.inf)
    return smooth(with_laid, path) if path else None


def is_loose(path: Path, i: int) -> bool:
    """Return whether a place of a path is a bend that no corner, border, rail or link holds there."""
    before, here, after = path.steps[i - 1 : i + 2]
    is_plain = _is_plain(before) and _is_plain(here)
    is_bend = not is_one_place(before, here) and not is_one_place(here, after)
    return path.nodes[i].kind == "laid" and path.nodes[i].item < 0 and is_plain and is_bend


def rerouted(path: Path, around: Sequence[tuple[int, float, float]], cut: Path) -> Path | None:
    """Return a path that takes `cut` in place of three places in a row; None where it has them not.

    Parameters
    ----------
    path : Path
    around : sequence of (layer, x, y)
        The three places, in either order of going. [mm]
    cut : Path
        From the first of them to the last.
    """
    spots = [(step.layer, step.x, step.y) for step in path.steps]
    for i in range(len(spots) - 2):
        if spots[i : i + 3] in (list(around), list(around)[::-1]):
            part = cut if spots[i] == around[0] else _turned(cut)
            steps = (*path.steps[:i], *part.steps[:-1], *path.steps[i + 2 :])
            return Path(steps, path.effort_mm, (*path.nodes[:i], *part.nodes[:-1], *path.nodes[i + 2 :]))
    return None


def _turned(path: Path) -> Path:
    """Return a path gone from its end to its start."""
    steps = path.steps[::-1]
    onward = [*path.steps[:-1][::-1], path.steps[-1]]
    turned = [replace(s, rail=o.rail, link=o.link, keys=o.keys) for s, o in zip(steps, onward, strict=True)]
    return Path(tuple(turned), path.effort_mm, path.nodes[::-1])


def _find(
    with_laid: GraphWithLaid,
    start_node: Node,
    end: Node,
    ask: Ask,
    at_most_mm: float,
    met: set[Key] | None = None,
) -> Path | None:
    """Search from the end back to the beginning, least effort first."""
    via, best = ask.via, [dict[Node, float]() for _ in range(len(ask.via) + 1)]
    best[-1][end] = 0.0
    ticket = count(1)
    queue: list[tuple[float, int, Node, int, Trail | None]] = [(0.0, 0, end, len(ask.via), None)]
    while queue:
        here_mm, _, node, via_left, trail = heappop(queue)
        if node == start_node and via_left == 0:
            return _tidy(with_laid, make_path(with_laid, start_node, here_mm, trail))
        if here_mm > best[via_left][node]:
            continue
        best_here = best[via_left]
        known, extra = with_laid.moves_in_two(node, _next_leg_target(with_laid, node, trail))
        for moves in (known, extra):
            for move in moves:
                origin, cost_mm, _, _, keys = move
                if not keys:
                    effort_mm, via_left_there, best_there = here_mm + cost_mm, via_left, best_here
                elif not via and best_here.get(origin, at_most_mm) <= here_mm:
                    continue
                else:
                    if met is not None:
                        met.update(keys)
                    own_mm = cost_mm - with_laid.saved_mm(keys, cost_mm) if moves is known else cost_mm
                    effort_mm = here_mm + own_mm
                    via_left_there = via_left_before(via, via_left, keys)
                    best_there = best[via_left_there]
                if effort_mm >= at_most_mm or effort_mm >= best_there.get(origin, at_most_mm):
                    continue
                if keys and ask.shuts(with_laid, move, node, (via_left_there, via_left)):
                    continue
                if via_left_there == 0 and origin == start_node:
                    at_most_mm = effort_mm
                best_there[origin] = effort_mm
                heappush(queue, (effort_mm, next(ticket), origin, via_left_there, (move, node, trail)))
    return None


def _next_leg_target(with_laid: GraphWithLaid, node: Node, trail: Trail | None) -> XY | None:
    """Return where the straight leg that leaves a bend leads; None where no leg leaves here."""
    if trail is None or not with_laid.graph.is_bend(node):
        return None
    move, after, _ = trail
    if move.rail is not None or move.link is not None:
        return None
    layer, x, y = with_laid.position(after)
    own = with_laid.position(node)
    return None if (layer, x, y) == own or layer != own[0] else (x, y)


def _tidy(with_laid: GraphWithLaid, path: Path) -> Path:
    """Leave out places in the middle of a laid leg, and give nodes names that mean something elsewhere."""
    last = len(path.steps) - 1
    kept = [i for i in range(last + 1) if i in (0, last) or not _is_mid_leg(path, i)]
    nodes = tuple(with_laid.public_node(path.nodes, i) for i in kept)
    return Path(tuple(path.steps[i] for i in kept), path.effort_mm, nodes)


def _is_mid_leg(path: Path, i: int) -> bool:
    """Return whether a place lies on the straight between its neighbours, all three of them laid."""
    around, steps = path.nodes[i - 1 : i + 2], path.steps[i - 1 : i + 2]
    if any(node.kind != "laid" for node in around) or not all(map(_is_plain, steps[:2])):
        return False
    a, b, c = ((step.x, step.y) for step in steps)
    return a != b != c and math.dist(a, b) + math.dist(b, c) - math.dist(a, c) < ON_LINE_MM


def smooth(with_laid: GraphWithLaid, path: Path) -> Path:
    """Return the path with the places where it crosses borders and joins rails where they are best.

    What is laid stays as it is: the path is parted wherever it goes from laid place to laid place.
    """
    laid = [node.kind == "laid" for node in path.nodes]
    starts = [0, *(i for i in range(1, len(laid)) if laid[i - 1] and laid[i])]
    parts = [
        Path(path.steps[first:end], 0.0, path.nodes[first:end])
        for first, end in pairwise([*starts, len(path.steps)])
    ]
    parts = [polish(with_laid, part) if _can_slide(part) else part for part in parts]
    return Path(
        tuple(step for part in parts for step in part.steps),
        path.effort_mm + sum(part.effort_mm for part in parts),
        tuple(node for part in parts for node in part.nodes),
    )


def _can_slide(part: Path) -> bool:
    """Return whether there is something between a part's ends, and no stop of a rail at a laid one."""
    laid_ends = [part.steps[i] for i in (0, -1) if part.nodes[i].kind == "laid"]
    at_ends = [
        node.kind
        for end in laid_ends
        for step, node in zip(part.steps, part.nodes, strict=True)
        if is_one_place(step, end)
    ]
    return len(part.steps) > 2 and "stop" not in at_ends


def snapped(with_laid: GraphWithLaid, path: Path) -> Path:
    """Return the path with joints on a rail moved onto laid places that they nearly meet.

    Where the best joint is a place that is laid already, sliding only comes near to it.
    """
    steps = list(path.steps)
    for i, node in enumerate(path.nodes):
        for near in (i - 1, i + 1):
            if node.kind == "laid" and 0 <= near < len(steps) and path.nodes[near].kind in ("fan", "stop"):
                _snap(with_laid, steps, path.nodes, i, near)
    return replace(path, steps=tuple(steps))


def _snap(with_laid: GraphWithLaid, steps: list[Step], nodes: tuple[Node, ...], laid: int, near: int) -> None:
    at, old, turn = steps[laid], steps[near], near - laid
    if old.layer != at.layer or not 0.0 < math.dist((at.x, at.y), (old.x, old.y)) <= SNAP_MM:
        return
    group = [near]
    while 0 <= group[-1] + turn < len(steps) and is_one_place(steps[group[-1] + turn], old):
        group.append(group[-1] + turn)
    rails = [nodes[i].item for i in group if nodes[i].kind == "stop"]
    lines = [with_laid.graph.prepared[at.layer].layer.rails[rail].line for rail in rails]
    if len(rails) == 1 and shapely.dwithin(lines[0], shapely.Point(at.x, at.y), ON_LINE_MM):
        for i in group:
            steps[i] = replace(steps[i], x=at.x, y=at.y)


def _is_plain(step: Step) -> bool:
    """Return whether a path goes straight on from here, on no rail and over nothing."""
    return step.rail is None and step.link is None and not step.keys
