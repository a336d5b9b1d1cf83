"""Two general-purpose references for shortest ways round polygons, and the judge of every way.

The plain visibility graph is the oldest method there is (T. Lozano-Perez and M. A. Wesley, Communications
of the ACM 22, 1979): corners joined wherever shapely says that the straight line between them stays in
the free polygon, and networkx's Dijkstra over it. It shares no code and no idea with the planner's cones.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from typing import Any

import networkx
import numpy as np
import shapely

XY = tuple[float, float]


def way_length_mm(points: Iterable[XY]) -> float:
    """Return the length of a way through points."""
    return sum(itertools.starmap(math.dist, itertools.pairwise(points)))


def stays_free(points: list[XY], free: Any) -> bool:
    """Return whether every leg lies in one piece of the closed free region, but for 1e-9 mm of rounding."""
    legs = [shapely.LineString([a, b]) for a, b in itertools.pairwise(points) if a != b]
    if all(np.any(shapely.covers(free, leg)) for leg in legs):
        return True
    return all(np.any(shapely.covers(shapely.buffer(free, 1e-9), leg)) for leg in legs)


class VisibilityGraph:
    """The corners of a free polygon that a taut way may bend at, joined where they see each other.

    A vertex where keep-outs only touch is on the boundary twice. It then counts once for each of its free
    sectors, and a leg belongs to the sector that it lies in, so that no way slips between them.
    """

    def __init__(self, free: Any) -> None:
        self.free = free
        shapely.prepare(self.free)
        sectors = _sectors(free)
        self.pinches = [at for at, found in sectors.items() if len(found) > 1]
        self.corners = [
            (at, s) for at, found in sectors.items() for s in found if _width(s) > math.pi + 1e-12
        ]
        self.graph = networkx.Graph()
        self.graph.add_nodes_from(range(len(self.corners)))
        pairs = np.array(list(itertools.combinations(range(len(self.corners)), 2)), dtype=int).reshape(-1, 2)
        self._join(self.graph, pairs)

    def shortest_mm(self, start: XY, goal: XY) -> float | None:
        """Return the length of the shortest way between two free points, None where there is none."""
        graph = self.graph.copy()
        first = len(self.corners)
        corners = [*self.corners, (start, (0.0, 2.0 * math.pi)), (goal, (0.0, 2.0 * math.pi))]
        pairs = [(k, end) for k in range(first) for end in (first, first + 1)]
        self._join(graph, np.array([*pairs, (first, first + 1)]), corners)
        if not (graph.has_node(first) and graph.has_node(first + 1)):
            return None
        try:
            return float(networkx.dijkstra_path_length(graph, first, first + 1))
        except networkx.NetworkXNoPath:
            return None

    def _join(self, graph: Any, pairs: Any, corners: Any = None) -> None:
        corners = self.corners if corners is None else corners
        if not len(pairs):
            return
        at = np.array([c[0] for c in corners])
        sector = np.array([c[1] for c in corners])
        a, b = at[pairs[:, 0]], at[pairs[:, 1]]
        keep = np.any(a != b, axis=1) & _may_bend(a, b, sector[pairs[:, 0]])
        keep &= _may_bend(b, a, sector[pairs[:, 1]])
        pairs, a, b = pairs[keep], a[keep], b[keep]
        legs = shapely.linestrings(np.stack([a, b], axis=1))
        free = shapely.covers(self.free, legs)
        for pinch in self.pinches:
            through = shapely.distance(legs, shapely.Point(pinch)) < 1e-9
            free &= ~through | np.all(a == pinch, axis=1) | np.all(b == pinch, axis=1)
        for (i, j), length_mm in zip(pairs[free].tolist(), shapely.length(legs[free]).tolist(), strict=True):
            graph.add_edge(i, j, weight=length_mm)


def _may_bend(at: Any, to: Any, sector: Any) -> Any:
    """Return where a leg lies in its corner's free sector and is the end of a taut way round the corner.

    A taut way hugs the corner: drawn on beyond it, the leg does not enter the free sector's inside more
    than half a turn away from either wall; so its angle to the nearer wall is at most width - pi.
    """
    width = (sector[:, 1] - sector[:, 0]) % (2.0 * math.pi)
    width[width == 0.0] = 2.0 * math.pi
    whole = width >= 2.0 * math.pi - 1e-12
    angle = np.arctan2(to[:, 1] - at[:, 1], to[:, 0] - at[:, 0])
    turn = (angle - sector[:, 0] + 1e-9) % (2.0 * math.pi) - 1e-9
    inside = turn <= width + 1e-9
    hugs = (turn <= width - math.pi + 1e-9) | (turn >= math.pi - 1e-9)
    return whole | (inside & hugs)


def _width(sector: tuple[float, float]) -> float:
    return (sector[1] - sector[0]) % (2.0 * math.pi) or 2.0 * math.pi


def _sectors(free: Any) -> dict[XY, list[tuple[float, float]]]:
    """Return for each boundary vertex its free sectors, as angles from their right to their left wall."""
    leaving: dict[XY, list[float]] = {}
    arriving: dict[XY, list[float]] = {}
    for polygon in shapely.get_parts(shapely.normalize(free)):
        for ring in [polygon.exterior, *polygon.interiors]:
            points = list(ring.coords)[:-1]
            if ring.is_ccw != (ring == polygon.exterior):
                points.reverse()  # the free side is then on the left
            for before, at, after in zip(
                [points[-1], *points], points, [*points[1:], points[0]], strict=False
            ):
                leaving.setdefault(at, []).append(math.atan2(after[1] - at[1], after[0] - at[0]))
                arriving.setdefault(at, []).append(math.atan2(before[1] - at[1], before[0] - at[0]))
    sectors: dict[XY, list[tuple[float, float]]] = {}
    for at, starts in leaving.items():
        for start in starts:
            end = min(arriving[at], key=lambda angle: (angle - start) % (2.0 * math.pi) or 2.0 * math.pi)
            sectors.setdefault(at, []).append((start, end))
    return sectors


class Library:
    """The visibility-graph library `extremitypathfinder` (MIT licence), where it is installed."""

    def __init__(self, polygon: Any) -> None:
        from extremitypathfinder import PolygonEnvironment

        polygon = shapely.orient_polygons(polygon)
        self.environment = PolygonEnvironment()
        holes = [np.array(ring.coords[:-1]) for ring in polygon.interiors]
        self.environment.store(np.array(polygon.exterior.coords[:-1]), holes, validate=False)

    def shortest(self, start: XY, goal: XY) -> list[XY]:
        """Return the points of the way that the library finds; empty where it finds none."""
        path, _ = self.environment.find_shortest_path(start, goal, verify=False)
        return [(float(x), float(y)) for x, y in path]
