"""Paths that take little more than the best: one that only leaves out a rail is found by its own move."""

from __future__ import annotations

import pytest
from small_vehicle import a_floor, plain_practice

from router.model.vehicle import Fix, Support, SupportKind
from router.routing.free_space import make_world
from router.routing.loom_on_vehicle import LoomOnVehicle
from router.search.k_best import near_paths
from router.search.path_search import Ask
from router.search.sight_graph import SightGraph


@pytest.mark.parametrize("by_moves", [False, True])
def test_straight_on_beside_a_rail_is_a_path_of_its_own_by_its_move(by_moves):
    """900 mm straight on at 1.0; along the rail, 10 mm aside, at 0.7. Both have both ends, and no corner."""
    ends = {"post": (50.0, 350.0), "lamp": (950.0, 350.0)}
    rail = Support("rail", "floor", SupportKind.RAIL, ((100.0, 340.0), (900.0, 340.0)), 0.0, Fix.TIE)
    world = make_world(LoomOnVehicle(a_floor(ends=ends, supports=(rail,)), plain_practice(), 5.0))
    graph = SightGraph(world, ((0, ends["post"]), (0, ends["lamp"])), 1000.0)
    found = list(near_paths(graph, Ask(0, 1), 0.5, by_moves=by_moves))
    assert found[0].effort_mm < 700.0 and any(step.rail is not None for step in found[0].steps)
    straight = [path.effort_mm for path in found if all(step.rail is None for step in path.steps)]
    assert straight == ([pytest.approx(900.0)] if by_moves else [])
