"""A path found beside others: polished like any path, on a graph that has more on it."""

import math

import pytest
import shapely

from router.search import Ask, GraphWithLaid, find_beside, find_path, smooth
from router.search.sight_graph import SightGraph
from router.search.world import Layer, World, Zone

SHARE = 0.3
ROOM = shapely.box(0, 0, 1000, 1000)
DEAR = (
    Zone("dear one", shapely.box(0, 0, 500, 500), 1.0, 0.0),
    Zone("dear other", shapely.box(500, 500, 1000, 1000), 1.0, 0.0),
)
SITES = ((0, (100.0, 900.0)), (0, (900.0, 100.0)), (0, (30.0, 600.0)), (0, (30.0, 950.0)))


def test_a_path_beside_others_is_polished_where_it_crosses_two_borders_in_one_vertex():
    """Two dear quarters meet in the middle; the cheap diagonal passes just there, and costs its length."""
    graph = SightGraph(World((Layer("floor", ROOM, DEAR, (), (), 1.0),), ()), SITES, 100.0)
    laid = find_path(graph, Ask(2, 3))
    with_laid = GraphWithLaid(graph, [laid], SHARE, {})
    found = find_beside(with_laid, Ask(0, 1), math.inf)
    assert sum((step.x, step.y) == (500.0, 500.0) for step in found.steps) > 2
    assert smooth(with_laid, found).effort_mm == pytest.approx(800.0 * math.sqrt(2.0), abs=1e-6)
