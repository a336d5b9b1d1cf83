"""Worlds of which sheets have no free ground, a sliver of it, or pieces that only touch."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest
import shapely
from level_rails import level_rail
from shapely import LineString, MultiLineString, Polygon, box

from router.search.bound.distances import GraphBounds
from router.search.bound.proof import prove
from router.search.path_search import Ask, find_path
from router.search.reach import is_reached
from router.search.sight_graph import SightGraph
from router.search.world import Gate, Layer, Link, World, Zone

ROOM = box(0, 0, 1000, 600)
NOTHING = (
    Polygon(),
    shapely.MultiPolygon(),
    shapely.GeometryCollection(),
    shapely.difference(ROOM, box(-1, -1, 1001, 601)),
)


def scarce(rng: Random) -> Any:
    x, thin_mm = rng.uniform(0, 900), rng.choice([1e-7, 1e-6, 1e-5, 1e-3, 0.1])
    kind = rng.choice(["nothing", "nothing", "upright", "level", "needle", "pieces", "corner", "whole"])
    cuts = [box(at, -1, at + rng.choice([1e-6, 1.0, 50.0]), 601) for at in (x, rng.uniform(0, 900))]
    return {
        "nothing": rng.choice(NOTHING),
        "upright": box(x, 0, x + thin_mm, 600),
        "level": box(0, x / 2, 1000, x / 2 + thin_mm),
        "needle": Polygon([(x, 0), (x + thin_mm, 0), (x, 600)]),
        "pieces": ROOM.difference(shapely.union_all(cuts)),
        "corner": shapely.union_all([box(0, 0, 400, 300), box(400, 300, 1000, 600)]),
        "whole": ROOM,
    }[kind]


def a_layer(rng: Random, name: str, free: Any) -> Layer:
    x, y = rng.uniform(100, 800), rng.uniform(50, 450)
    zone = Zone(f"zone {name}", box(x, y, x + 200, y + 100), rng.choice([-0.2, 0.5]), rng.choice([0, 300]))
    gate = Gate(f"gate {name}", LineString([(x, 100), (x, 500)]), 300.0)
    line = LineString([(100, y), (900, y)])
    ride = MultiLineString([line])
    on_free = shapely.get_parts(shapely.intersection(line, free))
    lines = [p for p in on_free if p.geom_type == "LineString" and not p.is_empty]
    rail = level_rail(f"rail {name}", line, ride, MultiLineString(rng.choice([lines, []])), 0.7, 30.0)
    return Layer(
        name,
        free,
        (zone,) * rng.randint(0, 1),
        (gate,) * rng.randint(0, 1),
        (rail,) * rng.randint(0, 1),
        1.0,
    )


def a_place(rng: Random) -> tuple[float, float]:
    return rng.choice([50.0, 950.0, rng.uniform(0, 1000)]), rng.choice([50.0, rng.uniform(0, 600)])


@pytest.mark.parametrize("seed", range(120))
def test_scarce_ground_has_a_way_or_none_and_never_a_fault(seed):
    """There is a way where parts hang together and only there: neither of the two knows of the other."""
    rng = Random(seed)
    count = rng.randint(1, 3)
    layers = tuple(a_layer(rng, str(number), scarce(rng)) for number in range(count))
    links = tuple(
        Link(f"link {n}", (n, n + 1), (place, place), 300.0)
        for n in range(count - 1)
        for place in [a_place(rng)]
    )
    sites = ((0, a_place(rng)), (count - 1, a_place(rng)))
    ask = Ask(0, 1)
    graph = SightGraph(World(layers, links), sites, rng.choice([200.0, 1000.0]))
    path = find_path(graph, ask)
    graph.bounds = GraphBounds(graph)
    bounded = find_path(graph, ask)
    assert (path is not None) == is_reached(graph.world, sites, ask)
    assert (bounded is None) == (path is None)
    if path:
        assert 0.0 <= prove(graph, ask, path, 0.01, 3) <= path.effort_mm * (1.0 + 1e-9)


@pytest.mark.parametrize("free", NOTHING, ids=lambda free: free.geom_type)
def test_a_sheet_beside_the_way_may_be_full(free):
    """The way from (100, 100) to (900, 100) is straight, 800 mm, whatever another sheet is like."""
    rng = Random(1)
    rail = level_rail(
        "rail", LineString([(0, 300), (9, 300)]), MultiLineString(), MultiLineString(), 0.7, 0.0
    )
    full = Layer("full", free, (Zone("zone", ROOM, 0.5, 0.0),), (), (rail,), 1.0)
    world = World((Layer("free", ROOM, (), (), (), 1.0), full, a_layer(rng, "also full", free)), ())
    graph = SightGraph(world, ((0, (100.0, 100.0)), (0, (900.0, 100.0))), 200.0)
    graph.bounds = GraphBounds(graph)
    path = find_path(graph, Ask(0, 1))
    assert path is not None
    assert path.effort_mm == pytest.approx(800.0)
    assert prove(graph, Ask(0, 1), path, 0.01, 3) == pytest.approx(800.0)
