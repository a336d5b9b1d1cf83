"""Slide the places where a found path crosses a border or joins a rail to where they are best.

For a fixed order of borders the effort is convex in the crossing points, so a shrinking grid of positions
with dynamic programming over neighbours finds them. A leg that would leave its region is ruled out; the
found path itself is always among the candidates, so polishing never makes a path worse. Bends that the moved
places need no more are left out, and where a corner keeps a place from sliding on, the leg is bent round it;
the rest is slid again. Where the found path crosses several borders in one vertex, both sides are tried.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise
from operator import attrgetter
from typing import TypeAlias

import numpy as np
import shapely

from router.search.crossing_points import CrossingPoint, border_slides, crossing_points_of, opened
from router.search.other_sides import corners_between, paths_round
from router.search.path_search import Path, PathGraph, Step
from router.search.sight_graph import Node, fan_node
from router.search.world import XY

GRID_SHARES = (-1.0, -0.6, -0.3, -0.1, 0.0, 0.1, 0.3, 0.6, 1.0)
"""Positions tried round the present one, as shares of the reach of a round."""
GRID_SHRINKS_BY = 0.3
ROUNDS_AT_A_GLANCE, ROUGH_ROUNDS, FINE_ROUNDS = range(2), range(4), range(4, 9)
"""Rounds in which the grids shrink: at first only until it is plain what the path bends round."""
PROMISING_SHARE, MOST_PROMISING = 0.01, 4
"""Which of several paths are gone on with: that promise no more than the best by this share, and how many."""
NEARLY_BEST_MM = 1.0
"""Ways that take roughly so much more than the best of some are still slid to where they are best."""
MOST_CHANGES = 12
"""How often at most places are led on to the next vertex, and bends left out or added."""

_Offset: TypeAlias = tuple[int, float]
_Position: TypeAlias = tuple[float, float, float]
_Candidates: TypeAlias = list[tuple[_Offset, _Position]]
_Leg: TypeAlias = tuple[int, ...]
"""Between crossing point number k - 1 at its position i and crossing point k at its position j: (k, i, j)."""


def polish(graph: PathGraph, path: Path) -> Path:
    """Return the path with its free places where they are best; it meets the same, with no more effort."""
    return polish_best(graph, [path])


def polish_best(graph: PathGraph, paths: Iterable[Path]) -> Path:
    """Return the best of some paths, one at least, once their free places are where they are best."""
    sliding = [_Sliding(graph, each) for path in paths for each in (path, *paths_round(graph, path))]
    if len(sliding) > 1:
        glances = sorted((each.glance_mm(), number) for number, each in enumerate(sliding))
        most_mm = glances[0][0] + PROMISING_SHARE * sliding[0].before_mm
        sliding = [sliding[number] for mm, number in glances[:MOST_PROMISING] if mm <= most_mm]
    for each in sliding:
        each.settle(ROUGH_ROUNDS)
    least_mm = min(each.effort_mm for each in sliding)
    close = [each for each in sliding if each.effort_mm <= least_mm + NEARLY_BEST_MM]
    for each in close:
        each.settle(FINE_ROUNDS)
    return min(close, key=attrgetter("effort_mm")).path()


class _Sliding:
    """A path whose places are slid, and the best that was found for it so far."""

    def __init__(self, graph: PathGraph, found: Path) -> None:
        self._graph, self._found = graph, found
        self._path = opened(found)
        self._crossing_points = crossing_points_of(graph, self._path)
        self._offsets = [(0, 0.0)] * len(self._crossing_points)
        self.before_mm = _effort(self._crossing_points, [(*c.at, 0.0) for c in self._crossing_points])
        self._best_mm = self.before_mm
        self._best: tuple[list[CrossingPoint], list[_Position]] | None = None
        self._tried: set[Node] = set()

    @property
    def effort_mm(self) -> float:
        """Return the effort of the best found so far."""
        return self._found.effort_mm - self.before_mm + self._best_mm

    def glance_mm(self) -> float:
        """Return the effort that is left after a first try."""
        _, spots, _ = _best_places(self._crossing_points, self._offsets, ROUNDS_AT_A_GLANCE)
        gain_mm = self.before_mm - _effort(self._crossing_points, spots)
        return self._found.effort_mm - max(0.0, gain_mm)

    def settle(self, rounds: range) -> None:
        """Slide places on, leave bends out and add them until nothing changes."""
        crossing_points, offsets = self._crossing_points, self._offsets
        for _ in range(MOST_CHANGES):
            offsets[:], spots, is_hindered = _best_places(crossing_points, offsets, rounds)
            changed = _re_anchored(self._graph, crossing_points, offsets)
            while (idle := _idle_bend(crossing_points, spots)) is not None:
                for items in (crossing_points, offsets, spots):
                    del items[idle]
                changed = True
            effort_mm = _effort(crossing_points, spots)
            if effort_mm < self._best_mm:
                self._best_mm, self._best = effort_mm, (list(crossing_points), spots)
            may_bend = is_hindered and rounds is ROUGH_ROUNDS
            if not changed and not (
                may_bend and _bent(self._graph, self._path, crossing_points, offsets, spots, self._tried)
            ):
                break

    def path(self) -> Path:
        """Return the best path found."""
        if self._best is None:
            return self._found
        return _moved(self._path, *self._best, self.effort_mm)


def _bent(
    graph: PathGraph,
    path: Path,
    crossing_points: list[CrossingPoint],
    offsets: list[_Offset],
    spots: list[_Position],
    tried: set[Node],
) -> bool:
    """Bend the legs that keep places from sliding on round what is in their path; return whether any was."""
    _, wanted, _ = _best_places(crossing_points, offsets, ROUGH_ROUNDS, is_free=True)
    changed = False
    for number in reversed(range(len(crossing_points) - 1)):
        crossing_point = crossing_points[number]
        ends, moved = ([places[n][:2] for n in (number, number + 1)] for places in (spots, wanted))
        if (
            crossing_point.area is None
            or moved == ends
            or shapely.covers(crossing_point.area, shapely.LineString(moved))
        ):
            continue
        layer = path.steps[crossing_point.last].layer
        fans = corners_between(graph.prepared[layer], ends, moved)
        nodes = [fan_node(layer, fan) for fan in fans]
        places = [graph.position(node)[1:] for node in nodes]
        line = shapely.LineString([ends[0], *places, ends[1]])
        if not nodes or not tried.isdisjoint(nodes) or not shapely.covers(crossing_point.area, line):
            continue
        tried.update(nodes)
        here = slice(number + 1, number + 1)
        crossing_points[here] = [
            _bend_after(crossing_point, node, at) for node, at in zip(nodes, places, strict=True)
        ]
        offsets[here] = [(0, 0.0)] * len(nodes)
        changed = True
    return changed


def _bend_after(crossing_point: CrossingPoint, node: Node, at: XY) -> CrossingPoint:
    return replace(crossing_point, first=crossing_point.last, at=at, slides=(), is_bend=True, nodes=(node,))


def _re_anchored(graph: PathGraph, crossing_points: list[CrossingPoint], offsets: list[_Offset]) -> bool:
    """Re-anchor crossing points that reached the end of their border edge there; return whether any has."""
    changed = False
    for number, (crossing_point, (slide, at_mm)) in enumerate(zip(crossing_points, offsets, strict=True)):
        fans = crossing_point.slides[slide].fans if crossing_point.slides else None
        if fans is None or at_mm < crossing_point.slides[slide].far_mm:
            continue
        prepared = graph.prepared[crossing_point.nodes[0].layer]
        slides = border_slides(prepared, *fans)
        if slides:
            vertex = prepared.mesh.fan_vertex(fans[0])
            nodes = tuple(
                fan_node(node.layer, fan) for node, fan in zip(crossing_point.nodes, fans, strict=True)
            )
            at = (prepared.mesh.x[vertex], prepared.mesh.y[vertex])
            crossing_points[number] = replace(crossing_point, at=at, slides=slides, nodes=nodes)
            offsets[number] = (0, 0.0)
            changed = True
    return changed


def _best_places(
    crossing_points: list[CrossingPoint], offsets: list[_Offset], rounds: range, *, is_free: bool = False
) -> tuple[list[_Offset], list[_Position], bool]:
    """Return where the places are best, by grids that shrink round by round, and if a leg keeps them there.

    `is_free`: where they would be best if legs might leave their regions.
    """
    for number in rounds:
        offsets, spots, is_hindered = _improve(crossing_points, offsets, GRID_SHRINKS_BY**number, is_free)
    return offsets, spots, is_hindered


def _idle_bend(crossing_points: list[CrossingPoint], spots: list[_Position]) -> int | None:
    """Return a plain bend that the places beside it, where they are now, need no more, else None."""
    bends = [
        number
        for number in range(1, len(crossing_points) - 1)
        if crossing_points[number].is_bend and crossing_points[number].area is not None
        if crossing_points[number - 1].area is crossing_points[number].area
    ]
    if not bends:
        return None
    legs = shapely.linestrings([[spots[n - 1][:2], spots[n + 1][:2]] for n in bends])
    idle = shapely.covers([crossing_points[n].area for n in bends], legs)
    return bends[int(idle.argmax())] if idle.any() else None


def _positions(crossing_point: CrossingPoint, offset: _Offset, reach: float) -> _Candidates:
    """Return candidate offsets of a crossing point round its present one, with their places."""
    offsets = [offset]
    own, own_mm = offset
    for number, slide in enumerate(crossing_point.slides):
        centre_mm = own_mm if number == own else -own_mm  # the other slide begins where this one does
        at_mm = [centre_mm + share * reach * slide.far_mm for share in GRID_SHARES]
        offsets += [(number, mm) for mm in at_mm if 0.0 <= mm <= slide.far_mm and mm != own_mm]
    return [(each, _place(crossing_point, each)) for each in offsets]


def _place(crossing_point: CrossingPoint, offset: _Offset) -> _Position:
    number, at_mm = offset
    if not crossing_point.slides:
        return (*crossing_point.at, 0.0)
    slide = crossing_point.slides[number]
    return (
        crossing_point.at[0] + slide.ux * at_mm,
        crossing_point.at[1] + slide.uy * at_mm,
        slide.rate * at_mm,
    )


def _improve(
    crossing_points: list[CrossingPoint], offsets: list[_Offset], reach: float, is_free: bool
) -> tuple[list[_Offset], list[_Position], bool]:
    """Return the best offsets on this round's grid, their places, and if a leg was ruled out.

    A leg is where it leaves its region, unless that is free.
    """
    candidates = [_positions(c, o, reach) for c, o in zip(crossing_points, offsets, strict=True)]
    ruled_out: set[_Leg] = set()
    judged: set[int] = set()
    while True:
        picks = _cheapest(crossing_points, candidates, ruled_out)
        bad = set() if is_free else _strays(crossing_points, candidates, picks, judged)
        if not bad:
            chosen = [row[pick] for row, pick in zip(candidates, picks, strict=True)]
            return [offset for offset, _ in chosen], [place for _, place in chosen], bool(ruled_out)
        ruled_out |= bad


def _cheapest(
    crossing_points: list[CrossingPoint], candidates: list[_Candidates], ruled_out: set[_Leg]
) -> list[int]:
    """Return which position of each row the cheapest path through all of them goes by."""
    hypot, costs = math.hypot, [place[2] for _, place in candidates[0]]
    back: list[list[int]] = []
    ruled_out_after = {k for k, _, _ in ruled_out}
    for k in range(1, len(candidates)):
        if len(candidates[k - 1]) == len(candidates[k]) == 1:  # nothing to choose
            back.append([0])
            continue
        factor = crossing_points[k - 1].factor or 0.0
        ride = (
            crossing_points[k - 1].ride
            if crossing_points[k - 1].slides and crossing_points[k].slides
            else None
        )
        starts = [(cost, ax, ay) for cost, (_, (ax, ay, _)) in zip(costs, candidates[k - 1], strict=True)]
        following, pointers = [], []
        for j, (_, (bx, by, extra)) in enumerate(candidates[k]):
            totals = [cost + factor * hypot(bx - ax, by - ay) for cost, ax, ay in starts]
            if ride is not None or k in ruled_out_after:
                for i, (_, ax, ay) in enumerate(starts):
                    turns = ride is not None and (bx - ax) * ride[0] + (by - ay) * ride[1] < 0.0
                    if turns or (k, i, j) in ruled_out:
                        totals[i] = math.inf
            best = min(totals)
            following.append(best + extra)
            pointers.append(totals.index(best))
        costs = following
        back.append(pointers)
    picks = [min(range(len(costs)), key=costs.__getitem__)]
    for pointers in reversed(back):
        picks.append(pointers[picks[-1]])
    return picks[::-1]


def _strays(
    crossing_points: list[CrossingPoint], candidates: list[_Candidates], picks: list[int], judged: set[int]
) -> set[_Leg]:
    """Return the legs that leave their region; one between unmoved places is known to stay inside.

    If one does, all between the same two crossing points are tested at once: they would be tried next anyway.
    """
    legs = [
        (k, i, j)
        for k, (i, j) in enumerate(pairwise(picks), start=1)
        if (i, j) != (0, 0) and crossing_points[k - 1].area is not None and k not in judged
    ]
    if not legs:
        return set()
    lines = shapely.linestrings([[candidates[k - 1][i][1][:2], candidates[k][j][1][:2]] for k, i, j in legs])
    bad = set()
    for number in np.flatnonzero(
        ~shapely.covers([crossing_points[k - 1].area for k, _, _ in legs], lines)
    ).tolist():
        k, _, _ = legs[number]
        judged.add(k)
        bad |= {
            (k, *pair) for pair in _outside(crossing_points[k - 1].area, candidates[k - 1], candidates[k])
        }
    return bad


def _outside(area: shapely.Geometry, before: _Candidates, after: _Candidates) -> list[list[int]]:
    """Return the pairs of numbers of places between which the straight leg leaves an area."""
    starts = np.array([place[:2] for _, place in before])
    stops = np.array([place[:2] for _, place in after])
    legs = np.empty((len(starts), len(stops), 2, 2))
    legs[:, :, 0], legs[:, :, 1] = starts[:, None], stops[None]
    outside = ~shapely.covers(area, shapely.linestrings(legs))
    outside[0, 0] = False
    found: list[list[int]] = np.argwhere(outside).tolist()
    return found


def _effort(crossing_points: list[CrossingPoint], spots: list[_Position]) -> float:
    total_mm = sum(extra for _, _, extra in spots)
    for crossing_point, a, b in zip(crossing_points, spots, spots[1:], strict=False):
        if crossing_point.factor is not None:
            total_mm += crossing_point.factor * math.dist(a[:2], b[:2])
    return total_mm


def _moved(
    path: Path, crossing_points: list[CrossingPoint], spots: list[_Position], effort_mm: float
) -> Path:
    steps: list[Step] = []
    nodes: list[Node] = []
    for crossing_point, (x, y, extra_mm) in zip(crossing_points, spots, strict=True):
        group = range(crossing_point.first, crossing_point.last + 1)
        steps_here = [replace(path.steps[n], x=x, y=y) for n in group]
        own = list(zip(steps_here, crossing_point.nodes, strict=True))
        if extra_mm > 0.0:
            own = _riding_further(own, path.steps[crossing_point.first - 1].rail, crossing_point.at)
        steps += [step for step, _ in own]
        nodes += [node for _, node in own]
    return replace(path, steps=tuple(steps), nodes=tuple(nodes), effort_mm=effort_mm)


def _riding_further(own: list[tuple[Step, Node]], ridden: int | None, at: XY) -> list[tuple[Step, Node]]:
    """Keep the stop from which a join was moved outward: a rail may turn there, and is ridden past it."""
    number = next(n for n, (_, node) in enumerate(own) if node.kind == "stop")
    step, node = own[number]
    if number > 0:  # joins: rides from its new place through the old one
        return [*own[:number], (replace(step, keys=()), node), (replace(step, x=at[0], y=at[1]), node)]
    kept = replace(step, x=at[0], y=at[1], rail=ridden, keys=())
    return [(kept, node), *own]
