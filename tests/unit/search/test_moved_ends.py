"""Ends of runs that are moved on a finished ground, and very large grounds, against a plain reference."""

import itertools

import networkx
import pytest
import shapely

from router.plane import mesh
from router.search.path_search import Ask, find_path
from router.search.sight_graph import SightGraph
from router.search.world import Layer, Link, World
from tests.speed.speed_worlds import DEEP_MM, WIDE_MM, make_case, plain_world, varied_world


def shortest_by_plain_visibility(case, start, end):
    """Every pair of corners that see each other, judged by shapely; shortest path by networkx."""
    rings = (case.free.exterior, *case.free.interiors)
    points = [start, end, *(tuple(p) for ring in rings for p in ring.coords[:-1])]
    pairs = list(itertools.combinations(range(len(points)), 2))
    lines = shapely.linestrings([[points[a], points[b]] for a, b in pairs])
    room = shapely.buffer(case.free, 1e-9)
    shapely.prepare(room)
    graph = networkx.Graph()
    for (a, b), line, sees in zip(pairs, lines, shapely.covers(room, lines), strict=True):
        if sees:
            graph.add_edge(a, b, weight=line.length)
    return networkx.shortest_path_length(graph, 0, 1, weight="weight")


def test_worlds_are_the_same_every_time_and_about_as_large_as_they_say():
    case = make_case(100)
    assert case == make_case(100)
    assert 10 * 100 < case.vertices < 20 * 100
    assert 0.6 < case.free.area / (WIDE_MM * DEEP_MM) < 0.9


def test_moved_sites_give_the_shortest_ways():
    case = make_case(10, pairs=8)
    assert len(case.pairs) == 8
    graph = SightGraph(plain_world(case), tuple((0, end) for end in case.pairs[0]), 100.0)
    for start, end in case.pairs:
        graph.move_site(0, *start)
        graph.move_site(1, *end)
        path = find_path(graph, Ask(0, 1))
        assert path.effort_mm == pytest.approx(shortest_by_plain_visibility(case, start, end), rel=1e-9)


def test_a_moved_site_answers_like_one_that_was_there_from_the_beginning():
    case = make_case(20, pairs=6)
    assert len(case.pairs) == 6
    world = varied_world(case)
    moved = SightGraph(world, tuple((0, end) for end in case.pairs[0]), 100.0)
    for start, end in case.pairs:
        fresh = SightGraph(world, ((0, start), (0, end)), 100.0)
        moved.move_site(0, *start)
        moved.move_site(1, *end)
        for graph in (moved, moved, fresh):  # asked twice: the second time efforts from the start are known
            assert find_path(graph, Ask(0, 1)).effort_mm == pytest.approx(
                find_path(fresh, Ask(0, 1)).effort_mm, rel=1e-12
            )


def test_a_moved_site_is_seen_anew_from_the_ends_of_links():
    room = shapely.box(0.0, 0.0, 1000.0, 1000.0)
    layers = (Layer("one", room, (), (), (), 1.0), Layer("two", room, (), (), (), 1.0))
    world = World(layers, (Link("door", (0, 1), ((500.0, 500.0), (500.0, 500.0)), 10.0),))
    graph = SightGraph(world, ((0, (500.0, 100.0)), (1, (900.0, 500.0))), 100.0)
    assert find_path(graph, Ask(0, 1)).effort_mm == pytest.approx(400.0 + 10.0 + 400.0)
    graph.move_site(0, 500.0, 300.0)
    assert find_path(graph, Ask(0, 1)).effort_mm == pytest.approx(200.0 + 10.0 + 400.0)
    graph.move_site(1, 500.0, 550.0)
    for _ in range(2):
        assert find_path(graph, Ask(0, 1)).effort_mm == pytest.approx(200.0 + 10.0 + 50.0)
        assert find_path(graph, Ask(1, 0)).effort_mm == pytest.approx(200.0 + 10.0 + 50.0)


def test_free_space_cut_into_strips_gives_the_same_ways(monkeypatch):
    case = make_case(20, pairs=10)
    sites = tuple((0, end) for pair in case.pairs for end in pair)
    whole = SightGraph(plain_world(case), sites, 100.0)
    monkeypatch.setattr(mesh, "MANY_VERTICES", 10)
    monkeypatch.setattr(mesh, "STRIP_VERTICES", 40)
    strips = SightGraph(plain_world(case), sites, 100.0)
    assert len(strips.prepared[0].faces) > len(whole.prepared[0].faces)
    for pair in range(10):
        ask = Ask(2 * pair, 2 * pair + 1)
        assert find_path(strips, ask).effort_mm == pytest.approx(find_path(whole, ask).effort_mm, rel=1e-9)
