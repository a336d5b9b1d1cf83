"""Where two paths had best lie together, beside every pair of places tried.

Source: shortest paths by networkx (A. Hagberg, D. Schult, P. Swart, 2008), a library of general use.
"""

from __future__ import annotations

import math
from dataclasses import replace

import networkx as nx
import pytest
from small_vehicle import plain_practice
from street_jobs import COVER_MM, a_street_job

from router.routing.job_search import JobSearch
from router.search import Trunks
from router.search.sight_graph import site_node

SHARE = 0.3
SEEDS = (1, 3, 4, 12)
PRACTICE = plain_practice({("amount", "cover"): COVER_MM})


def two_asks(seed):
    """Return a sight graph, and what the first two runs of a street job ask of it."""
    each = a_street_job(seed)
    search = JobSearch(each.job, each.profile, PRACTICE, {run.name: 1.0 for run in each.job.runs}, {})
    first, second = (search.alone(run, {}) for run in each.job.runs[:2])
    return first.graph, first.ask, second.ask


def as_digraph(graph, sites):
    """Return all moves between places, as somebody else's graph: what one pays, and what two do together."""
    amounts = {zone.key: zone.amount_mm for layer in graph.world.layers for zone in layer.zones}
    made, waiting, known = nx.DiGraph(), [site_node(site) for site in sites], set()
    graph.close_sites()
    while waiting:
        node = waiting.pop()
        if node in known:
            continue
        known.add(node)
        for move in graph.moves_into(node, None):
            once = sum(amounts.get(key, 0.0) for key in move.keys)
            both = move.cost_mm + SHARE * (move.cost_mm - once)
            old = made.get_edge_data(move.origin, node, {"one": math.inf, "both": math.inf})
            made.add_edge(move.origin, node, one=min(old["one"], move.cost_mm), both=min(old["both"], both))
            waiting.append(move.origin)
    return made


def least_of_all_pairs_mm(graph, one, other):
    """Return the least of all trunks between any two places; infinite where to lie apart takes less."""
    made = as_digraph(graph, {one.start, one.goal, other.start, other.goal})
    turned = made.reverse()
    to = {
        site: nx.single_source_dijkstra_path_length(turned, site_node(site), weight="one")
        for site in (one.start, one.goal, other.start, other.goal)
    }
    together_mm = apart_mm = math.inf
    for first in made:
        before_mm = sum(to[site].get(first, math.inf) for site in (one.start, other.start))
        if before_mm == math.inf:
            continue
        for last, trunk_mm in nx.single_source_dijkstra_path_length(made, first, weight="both").items():
            whole_mm = (
                before_mm + trunk_mm + sum(to[site].get(last, math.inf) for site in (one.goal, other.goal))
            )
            if last == first:
                apart_mm = min(apart_mm, whole_mm)
            else:
                together_mm = min(together_mm, whole_mm)
    return together_mm if together_mm < apart_mm else math.inf


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("is_turned", [False, True])
def test_the_best_trunk_is_the_best_of_all_pairs_of_places(seed, is_turned):
    graph, one, other = two_asks(seed)
    if is_turned:
        other = replace(other, start=other.goal, goal=other.start)
    trunk = Trunks(graph, SHARE).best(one, other, math.inf)
    found_mm = trunk.effort_mm if trunk else math.inf
    assert found_mm == pytest.approx(least_of_all_pairs_mm(graph, one, other), abs=1e-6)


def test_what_takes_too_much_is_none():
    graph, one, other = two_asks(SEEDS[0])
    trunks = Trunks(graph, SHARE)
    best = trunks.best(one, other, math.inf)
    assert best is not None
    assert trunks.best(one, other, best.effort_mm) is None
    assert trunks.best(one, other, best.effort_mm + 0.01) == best
