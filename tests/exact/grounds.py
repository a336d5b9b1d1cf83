"""Ways of the search itself, on worlds of pure geometry: one sheet, given free space, zones and rails."""

from __future__ import annotations

from typing import Any

from router.search.bound.proof import prove
from router.search.k_best import best_path
from router.search.path_search import Ask, Path, find_path
from router.search.polish import polish
from router.search.sight_graph import SightGraph
from router.search.world import Gate, Layer, Link, Rail, World, Zone

XY = tuple[float, float]


def one_layer(
    free: Any,
    points: list[XY],
    *,
    zones: tuple[Zone, ...] = (),
    gates: tuple[Gate, ...] = (),
    rails: tuple[Rail, ...] = (),
    links: tuple[Link, ...] = (),
    step_mm: float = 100.0,
    factor: float = 1.0,
) -> SightGraph:
    """Return the ground of one sheet, ready for questions between points."""
    world = World((Layer("sheet", free, zones, gates, rails, factor),), links)
    return SightGraph(world, tuple((0, point) for point in points), step_mm)


def find_points(graph: SightGraph, start: int, goal: int) -> list[XY] | None:
    """Return the places of the best way between two points, None where there is none."""
    way = find_path(graph, Ask(start, goal))
    return None if way is None else [(step.x, step.y) for step in way.steps]


def find_polished(graph: SightGraph, start: int, goal: int) -> Path | None:
    """Return the best way between two points, polished."""
    way = find_path(graph, Ask(start, goal))
    return None if way is None else polish(graph, way)


def proven(graph: SightGraph, ask: Ask, gap: float, rounds: int) -> tuple[Path, float] | None:
    """Return the best path that answers a question and its proven gap, None where there is no way."""
    way = best_path(graph, ask)
    return way and (way, way.effort_mm / prove(graph, ask, way, gap, rounds) - 1.0)
