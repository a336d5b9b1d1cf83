"""Of ways that nearly are the best, the best once polished: against searches with ten times finer steps."""

from __future__ import annotations

import math
import random
from functools import cache
from itertools import pairwise

import pytest
import shapely
from level_rails import level_rail
from proof_worlds import random_question

from router.plane.offsets import grow_outside
from router.search.k_best import NEAR_BEST_SHARE, best_path, near_paths
from router.search.path_search import Ask, find_path
from router.search.polish import polish
from router.search.sight_graph import SightGraph
from router.search.world import Layer, World, Zone

WIDE_MM, DEEP_MM = 3000.0, 1500.0
STEP_MM = 100.0
FINER = 10.0
OVER = 5e-4
"""How much more than the finer search's way is allowed, as a share."""
SEEDS = [*range(4), *(pytest.param(seed, marks=pytest.mark.study) for seed in range(4, 40))]
"""Four floors every time, each with ninety keep-outs, zones and a support; forty with `-m study`."""


def dense_graph(seed, step_mm):
    """Return a floor with ninety keep-outs, two zones and a support, so that many ways are nearly alike."""
    chance = random.Random(seed)
    taken = [
        grow_outside(
            shapely.Point(chance.uniform(250, WIDE_MM - 250), chance.uniform(0, DEEP_MM)),
            chance.uniform(20, 60),
        )
        for _ in range(90)
    ]
    free = shapely.difference(shapely.box(0, 0, WIDE_MM, DEEP_MM), shapely.union_all(taken))
    free = max(shapely.get_parts(free), key=lambda part: part.area)
    x, y = chance.uniform(300, 1800), chance.uniform(0, 900)
    zones = (
        Zone("cover", shapely.box(x, y, x + 900, y + 500), -0.2, 50.0),
        Zone("spray", shapely.box(1300 - x / 4, -10, 2100 - x / 4, 1600), 0.4, 0.0),
    )
    y = chance.uniform(200, 1300)
    line = shapely.LineString([(200, y), (1500, y - 60), (2800, y + 80)])
    parts = [p for p in shapely.get_parts(line.intersection(free)) if p.geom_type == "LineString"]
    on_free = shapely.multilinestrings(parts)
    rail = level_rail("ledge", line, on_free, on_free, 0.7, 30.0)
    ends = tuple((0, free_place(chance, free, x)) for x in (100.0, WIDE_MM - 100.0))
    return SightGraph(World((Layer("floor", free, zones, (), (rail,), 1.0),), ()), ends, step_mm)


@cache
def solved(seed):
    """Return a coarse graph and the best way on it; efforts that it has worked out serve every test."""
    graph = dense_graph(seed, STEP_MM)
    return graph, best_path(graph, Ask(0, 1))


def free_place(chance, free, x):
    while True:
        y = chance.uniform(50, DEEP_MM - 50)
        if shapely.contains_xy(free, x, y):
            return x, y


@pytest.mark.parametrize("seed", SEEDS)
def test_no_finer_search_finds_a_way_that_is_noticeably_better(seed):
    fine = dense_graph(seed, STEP_MM / FINER)
    finer = polish(fine, find_path(fine, Ask(0, 1)))
    assert solved(seed)[1].effort_mm <= (1.0 + OVER) * finer.effort_mm


def test_the_best_way_found_is_not_always_the_best_once_polished():
    """Why several are polished: in some world one alone is not good enough."""
    gains = []
    for seed in range(4):
        graph, best = solved(seed)
        one = polish(graph, find_path(graph, Ask(0, 1)))
        gains.append(one.effort_mm / best.effort_mm - 1.0)
    assert min(gains) >= -1e-12
    assert max(gains) > OVER


@pytest.mark.parametrize("by_moves", [False, True])
@pytest.mark.parametrize("seed", SEEDS)
def test_ways_come_in_order_and_the_first_is_the_best_found(seed, by_moves):
    graph, _ = solved(seed)
    near = list(near_paths(graph, Ask(0, 1), by_moves=by_moves))
    best = find_path(dense_graph(seed, STEP_MM), Ask(0, 1))
    efforts_mm = [way.effort_mm for way in near]
    assert efforts_mm[0] == pytest.approx(best.effort_mm, abs=1e-9)
    assert efforts_mm == sorted(efforts_mm)
    assert efforts_mm[-1] <= (1.0 + NEAR_BEST_SHARE) * efforts_mm[0] + 1e-9
    assert len({way.nodes for way in near}) == len(near)


@pytest.mark.parametrize("by_moves", [False, True])
@pytest.mark.parametrize("seed", SEEDS)
def test_every_way_costs_what_it_says(seed, by_moves):
    """Summed up anew: every leg's length inside each zone, by its factor; rides, joins and amounts."""
    graph, _ = solved(seed)
    ways = list(near_paths(graph, Ask(0, 1), by_moves=by_moves))
    assert ways
    for way in ways:
        assert summed_mm(graph, way) == pytest.approx(way.effort_mm, abs=1e-4)  # the mesh rounds its points


def summed_mm(graph, way):
    layer = graph.world.layers[0]
    at = shapely.Point(way.steps[0].x, way.steps[0].y)
    total_mm = sum(zone.amount_mm for zone in layer.zones if zone.area.contains(at))
    for (here, there), (node, after) in zip(pairwise(way.steps), pairwise(way.nodes), strict=True):
        leg = shapely.LineString([(here.x, here.y), (there.x, there.y)])
        total_mm += legs_mm(leg, layer.zones, layer.factor if here.rail is None else layer.rails[0].factor)
        total_mm += sum(zone.amount_mm for zone in layer.zones if zone.key in here.keys)
        total_mm += layer.rails[0].joins[0].cost_mm if {node.kind, after.kind} == {"fan", "stop"} else 0.0
    return total_mm


def legs_mm(leg, zones, base):
    """Return a leg's effort, cut where it goes in or out of a zone; on a border the cheaper side counts."""
    if not leg.length:
        return 0.0
    crossed = [shapely.get_coordinates(leg.intersection(zone.area.boundary)).tolist() for zone in zones]
    places = [leg.project(shapely.Point(xy)) for found in crossed for xy in found]
    cuts = sorted({0.0, *places, leg.length})
    areas = [(zone.area.buffer(math.copysign(1e-4, -zone.surcharge)), zone.surcharge) for zone in zones]
    return sum(
        (b - a) * (base + sum(more for area, more in areas if area.contains(leg.interpolate((a + b) / 2))))
        for a, b in pairwise(cuts)
    )


WORLDS = [*range(20), *(pytest.param(seed, marks=pytest.mark.study) for seed in range(20, 40))]
"""Half of them every time; wishes, sheets and passes by chance."""


@pytest.mark.parametrize("seed", WORLDS)
def test_what_is_met_and_avoided_holds_for_every_way(seed):
    """On worlds of several sheets, too."""
    question = random_question(seed)
    graph = SightGraph(question.world, question.sites, STEP_MM)
    ask = question.ask
    for way in near_paths(graph, ask):
        met = [key for step in way.steps for key in step.keys]
        assert ask.avoid.isdisjoint(met)
        assert set(ask.via) <= set(met)
    plain = SightGraph(question.world, question.sites, STEP_MM)
    found = find_path(plain, ask)
    best = best_path(graph, ask)
    assert (found is None) == (best is None)
    if found is not None:
        assert best.effort_mm <= polish(plain, found).effort_mm + 1e-9
