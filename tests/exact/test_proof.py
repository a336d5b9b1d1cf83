"""The proven gap: never too small, against closed forms and against a search ten times as fine.

Closed forms: refraction at one straight border (Snell's law) and joining a cheap line at its critical angle
(W. Snell; e.g. M. Born and E. Wolf, Principles of Optics, sec. 3.2, for Fermat's principle at a border).
"""

import math
import random
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from grounds import proven
from level_rails import level_rail

from router.plane.offsets import grow_outside
from router.search.bound.distances import GraphBounds
from router.search.bound.leg_costs import pair_costs, spot_costs
from router.search.bound.proof import prove
from router.search.path_search import Ask, find_path
from router.search.polish import polish
from router.search.sight_graph import SightGraph
from router.search.world import Gate, Join, Layer, Rail, World, Zone

FLOOR = shapely.box(0, 0, 3000, 1500)


def graph(layer, ends, step_mm=100.0):
    return SightGraph(World((layer,), ()), tuple((0, end) for end in ends), step_mm)


def layer(free=FLOOR, zones=(), gates=(), rails=()):
    return Layer("floor", free, tuple(zones), tuple(gates), tuple(rails), 1.0)


def least_of(function, low, high):
    """Return the least value of a convex function by golden sections."""
    share = (math.sqrt(5) - 1) / 2
    for _ in range(200):
        a, b = high - share * (high - low), low + share * (high - low)
        low, high = (low, b) if function(a) < function(b) else (a, high)
    return function(low)


def test_one_factor_needs_no_proof():
    free = FLOOR.difference(grow_outside(shapely.Point(1500, 700), 300))
    way, gap = proven(graph(layer(free), ((100, 700), (2900, 700))), Ask(0, 1), 0.01, 1)
    assert gap == 0.0
    assert way.effort_mm == pytest.approx(
        find_path(graph(layer(free), ((100, 700), (2900, 700))), Ask(0, 1)).effort_mm
    )


@pytest.mark.parametrize("factor", [0.8, 1.4, 2.0])
def test_refraction_lies_between_the_bound_and_the_way(factor):
    zone = Zone("far side", shapely.box(-10, 700, 3010, 1510), factor - 1.0, 0.0)
    way, gap = proven(graph(layer(zones=[zone]), ((200, 300), (2600, 1300))), Ask(0, 1), 0.005, 6)
    best = least_of(lambda x: math.hypot(x - 200, 400) + factor * math.hypot(2600 - x, 600), 0, 3000)
    assert gap <= 0.005
    assert way.effort_mm / (1 + gap) <= best <= way.effort_mm * (1 + 1e-9)


def test_joining_at_the_critical_angle_lies_between_the_bound_and_the_way():
    line = shapely.LineString([(100, 1000), (2900, 1000)])
    rail = level_rail("ledge", line, line, line, 0.7, 0.0)
    way, gap = proven(graph(layer(rails=[rail]), ((300, 700), (2700, 700))), Ask(0, 1), 0.005, 6)
    angle = math.acos(0.7)
    best = 2 * 300 / math.sin(angle) + 0.7 * (2400 - 2 * 300 / math.tan(angle))
    assert gap <= 0.005
    assert way.effort_mm / (1 + gap) <= best <= way.effort_mm * (1 + 1e-9)


@pytest.mark.parametrize("dear_mm", [10.0, 40.0, 400.0])
def test_the_bound_keeps_below_a_support_joined_amid_a_long_piece(dear_mm):
    """Judged against a path half as dear again, so that what is known of the best cannot hide a fault.

    The support is sloped (1.25), and joined for 10 mm before x = 1500, for more behind; without the ride the
    ground costs 2.5 a mm.
    """
    line = shapely.LineString([(0, 1000), (3000, 1000)])
    near, far = (shapely.box(x, 0, x + 1500, 1500).intersection(line) for x in (0, 1500))
    rail = Rail("ledge", line, line, (Join(near, 10.0), Join(far, dear_mm)), 0.8, (1.25,))
    own = graph(Layer("floor", FLOOR, (), (), (rail,), 2.5), ((300, 700), (2700, 700)), 4000.0)
    aside = 300 / math.tan(math.acos(1.0 / 2.5))
    first = 10 + 2.5 * 300 / math.sin(math.acos(1.0 / 2.5))

    def left_between(low, high, join_mm):
        return join_mm + least_of(lambda x: x - 300 - aside + 2.5 * math.hypot(2700 - x, 300), low, high)

    best = first + min(left_between(300 + aside, 1500, 10), left_between(1500, 2700, dear_mm))
    path = find_path(own, Ask(0, 1))
    bound = prove(own, Ask(0, 1), replace(path, effort_mm=1.5 * best), 0.001, 9)
    assert 0.9 * best <= bound <= best + 1e-6
    assert polish(own, path).effort_mm == pytest.approx(best, rel=1e-6)


def test_tolls_are_in_the_bound():
    gate = Gate("sill", shapely.LineString([(1500, -1), (1500, 1501)]), 300.0)
    zone = Zone("panel", shapely.box(2000, -10, 3010, 1510), -0.2, 500.0)
    way, gap = proven(
        graph(layer(zones=[zone], gates=[gate]), ((100, 700), (2900, 700))), Ask(0, 1), 0.005, 6
    )
    best = 1900 + 0.8 * 900 + 300 + 500
    assert way.effort_mm == pytest.approx(best, abs=1e-6)
    assert way.effort_mm / (1 + gap) <= best + 1e-6
    assert gap <= 0.005


def random_ground(seed, step_mm):
    chance = random.Random(seed)
    things = [
        grow_outside(
            shapely.Point(chance.uniform(300, 2700), chance.uniform(0, 1500)), chance.uniform(40, 160)
        )
        for _ in range(chance.choice([2, 5]))
    ]
    zones = [
        Zone(f"zone {k}", shapely.box(x, y, x + chance.uniform(300, 900), y + chance.uniform(300, 600)),
             chance.choice([-0.2, 0.4, 0.5]), chance.choice([0.0, 0.0, 300.0]))
        for k, (x, y) in enumerate((chance.uniform(200, 2000), chance.uniform(-100, 1000)) for _ in range(2))
    ]  # fmt: skip
    free = FLOOR.difference(shapely.union_all(things))
    y = chance.uniform(100, 1400)
    line = shapely.LineString([(200, y), (2800, y + 40)])
    on_free = shapely.multilinestrings(list(shapely.get_parts(line.intersection(free))))
    rail = level_rail("ledge", line, on_free, on_free, 0.7, 20.0)
    ends = ((100, chance.uniform(100, 1400)), (2900, chance.uniform(100, 1400)))
    return graph(layer(free, zones, (), [rail]), ends, step_mm)


SEEDS = [*range(5), *(pytest.param(seed, marks=pytest.mark.study) for seed in range(5, 12))]
"""A few grounds every time, and the worlds of test_proof_worlds.py; more with `-m study`."""


@cache
def finer_mm(seed):
    """Return the effort of the best way that a search with ten times finer steps finds."""
    fine = random_ground(seed, 15.0)
    return polish(fine, find_path(fine, Ask(0, 1))).effort_mm


@pytest.mark.parametrize("gap_wanted", [0.02, 0.002])
@pytest.mark.parametrize("seed", SEEDS)
def test_no_finer_search_beats_the_bound(seed, gap_wanted):
    way, gap = proven(random_ground(seed, 150.0), Ask(0, 1), gap_wanted, 6)
    assert way.effort_mm / (1 + gap) <= finer_mm(seed) + 1e-6
    assert gap < 0.1


@pytest.mark.parametrize("seed", SEEDS)
def test_no_finer_search_beats_the_bound_where_a_support_is_to_be_met(seed):
    way, gap = proven(random_ground(seed, 100.0), Ask(0, 1, ("ledge",)), 0.01, 6)
    fine = random_ground(seed, 15.0)
    best = polish(fine, find_path(fine, Ask(0, 1, ("ledge",)))).effort_mm
    assert way.effort_mm / (1 + gap) <= best + 1e-6


@pytest.mark.parametrize("x", [150.0, 200.0, 333.0])
def test_a_start_on_a_support_that_goes_on_in_line_beyond_a_gap(x):
    """Nobody who lies on a line looks at it; the leg over the gap lies along both of its parts."""
    line = shapely.LineString([(100, 1000), (2900, 1000)])
    parts = shapely.MultiLineString([[(100, 1000), (1400, 1000)], [(1600, 1000), (2900, 1000)]])
    rail = level_rail("ledge", line, parts, parts, 0.7, 0.0)
    way, gap = proven(graph(layer(rails=[rail]), ((x, 1000), (2700, 1000))), Ask(0, 1), 0.005, 6)
    best = 0.7 * (1400 - x) + 200 + 0.7 * 1100
    assert way.effort_mm / (1 + gap) <= best + 1e-6
    assert best <= way.effort_mm + 1e-6


@pytest.mark.parametrize("seed", range(12))
def test_a_search_led_by_the_bounds_finds_the_same(seed):
    """From starts anywhere, on a support and in line with it, too."""
    plain = random_ground(seed, 100.0)
    support = plain.world.layers[0].rails[0].join
    for at in (plain.sites[0][1], support.interpolate(0.37, normalized=True).coords[0]):
        plain.move_site(0, *at)
        led = SightGraph(plain.world, ((0, at), plain.sites[1]), 100.0)
        led.bounds = GraphBounds(led)
        expected = find_path(plain, Ask(0, 1)).effort_mm
        assert find_path(led, Ask(0, 1)).effort_mm == pytest.approx(expected, rel=1e-12)


def dearest(costs, s, t):
    """Return the most that psi(x) - psi(y) can be at shares s and t, where c_ij keeps it at the ends.

    The dual of that linear programme sends shares of a unit from both ends of one edge to both ends of the
    other at least cost; with two ends each, one of two plans is best.
    """
    c00, c10, c11, c01 = costs

    def sent(both):
        return c00 * (1 - s - t + both) + c10 * (s - both) + c01 * (t - both) + c11 * both

    return np.minimum(sent(np.minimum(s, t)), sent(np.maximum(s + t - 1, 0)))


def edges_beside(chance):
    """Return two edges that do not cross: apart, meeting in an end, nearly touching, or far apart."""
    while True:
        a0, a1, b0, b1 = chance.uniform(0, 100, (4, 2))
        kind = chance.integers(4)
        if kind == 1:
            return a0, a1, a0, b1
        if kind == 2:
            b0 = a0 + (a1 - a0) * chance.uniform(0, 1) + chance.normal(0, 0.5, 2)
        if kind == 3:
            b0, b1 = b0 + 300, b1 + 300
        if not shapely.LineString([a0, a1]).intersects(shapely.LineString([b0, b1])):
            return a0, a1, b0, b1


@pytest.mark.parametrize("count", [400, pytest.param(1000, marks=pytest.mark.study)])
def test_costs_between_ends_keep_every_leg_between_two_edges(count):
    chance = np.random.default_rng(7)
    s, t = np.meshgrid(np.linspace(0, 1, 41), np.linspace(0, 1, 41), indexing="ij")
    for _ in range(count):  # each kind of pair a hundred times
        a0, a1, b0, b1 = edges_beside(chance)
        costs = pair_costs(*(end[None] for end in (a0, a1, b0, b1)))[0]
        leg = a0 + s[..., None] * (a1 - a0) - b0 - t[..., None] * (b1 - b0)
        assert (dearest(costs, s, t) <= np.hypot(leg[..., 0], leg[..., 1]) + 1e-9).all()
        assert (costs >= 0).all()


def test_costs_from_a_point_keep_every_leg_to_an_edge():
    chance = np.random.default_rng(8)
    t = np.linspace(0, 1, 101)
    for _ in range(1000):
        at, b0, b1 = chance.uniform(0, 100, (3, 2))
        at = (b0 + b1) / 2 if chance.integers(10) == 0 else at
        one, other = spot_costs(at[None], b0[None], b1[None])[0]
        leg = at - b0 - t[:, None] * (b1 - b0)
        assert ((1 - t) * one + t * other <= np.hypot(leg[:, 0], leg[:, 1]) + 1e-9).all()


def test_costs_of_edges_far_apart_are_nearly_the_distance():
    """By at most the square of half of what both are wide, over twice the distance."""
    far = [np.array([end], dtype=float) for end in ((0, 0), (0, 10), (300, 0), (300, 10))]
    costs = pair_costs(*far)[0]
    lengths = np.array([300, math.hypot(300, 10), 300, math.hypot(300, 10)])
    assert (lengths - costs).max() <= 10**2 / (2 * 300) + 1e-6
