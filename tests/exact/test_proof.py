"""The proven gap: never too small, against closed forms and against a search ten times as fine.

Closed forms: refraction at one straight border (Snell's law) and joining a cheap line at its critical angle
(W. Snell; e.g. M. Born and E. Wolf, Principles of Optics, sec. 3.2, for Fermat's principle at a border).
"""

import math
import random

import numpy as np
import pytest
import shapely

from router.plane.offsets import grow_outside
from router.routing.ground import Gate, Rail, Sheet, World, Zone
from router.routing.polish import polish
from router.routing.proof import ROUNDING_MM, _excess, _Pairs, prove
from router.routing.search import Ask, Ground, find_way

FLOOR = shapely.box(0, 0, 3000, 1500)


def ground(sheet, ends, step_mm=100.0):
    return Ground(World((sheet,), ()), tuple((0, end) for end in ends), step_mm)


def sheet(free=FLOOR, zones=(), gates=(), rails=()):
    return Sheet("floor", free, tuple(zones), tuple(gates), tuple(rails))


def least_of(function, low, high):
    """Return the least value of a convex function by golden sections."""
    share = (math.sqrt(5) - 1) / 2
    for _ in range(200):
        a, b = high - share * (high - low), low + share * (high - low)
        low, high = (low, b) if function(a) < function(b) else (a, high)
    return function(low)


def test_one_factor_needs_no_proof():
    free = FLOOR.difference(grow_outside(shapely.Point(1500, 700), 300))
    way, gap = prove(ground(sheet(free), ((100, 700), (2900, 700))), Ask(0, 1), 0.01, 1)
    assert gap == 0.0
    assert way.effort_mm == pytest.approx(
        find_way(ground(sheet(free), ((100, 700), (2900, 700))), Ask(0, 1)).effort_mm
    )


@pytest.mark.parametrize("factor", [0.8, 1.4, 2.0])
def test_refraction_lies_between_the_bound_and_the_way(factor):
    zone = Zone("far side", shapely.box(-10, 700, 3010, 1510), factor, 0.0)
    way, gap = prove(ground(sheet(zones=[zone]), ((200, 300), (2600, 1300))), Ask(0, 1), 0.005, 6)
    best = least_of(lambda x: math.hypot(x - 200, 400) + factor * math.hypot(2600 - x, 600), 0, 3000)
    assert gap <= 0.005
    assert way.effort_mm / (1 + gap) <= best <= way.effort_mm * (1 + 1e-9)


def test_joining_at_the_critical_angle_lies_between_the_bound_and_the_way():
    line = shapely.LineString([(100, 1000), (2900, 1000)])
    rail = Rail("ledge", line, line, line, 0.7, 0.0)
    way, gap = prove(ground(sheet(rails=[rail]), ((300, 700), (2700, 700))), Ask(0, 1), 0.005, 6)
    angle = math.acos(0.7)
    best = 2 * 300 / math.sin(angle) + 0.7 * (2400 - 2 * 300 / math.tan(angle))
    assert gap <= 0.005
    assert way.effort_mm / (1 + gap) <= best <= way.effort_mm * (1 + 1e-9)


def test_tolls_are_in_the_bound():
    gate = Gate("sill", shapely.LineString([(1500, -1), (1500, 1501)]), 300.0)
    zone = Zone("panel", shapely.box(2000, -10, 3010, 1510), 0.8, 500.0)
    way, gap = prove(
        ground(sheet(zones=[zone], gates=[gate]), ((100, 700), (2900, 700))), Ask(0, 1), 0.005, 6
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
             chance.choice([0.8, 1.4, 1.5]), chance.choice([0.0, 0.0, 300.0]))
        for k, (x, y) in enumerate((chance.uniform(200, 2000), chance.uniform(-100, 1000)) for _ in range(2))
    ]  # fmt: skip
    free = FLOOR.difference(shapely.union_all(things))
    y = chance.uniform(100, 1400)
    line = shapely.LineString([(200, y), (2800, y + 40)])
    on_free = shapely.multilinestrings(list(shapely.get_parts(line.intersection(free))))
    rail = Rail("ledge", line, on_free, on_free, 0.7, 20.0)
    ends = ((100, chance.uniform(100, 1400)), (2900, chance.uniform(100, 1400)))
    return ground(sheet(free, zones, (), [rail]), ends, step_mm)


@pytest.mark.parametrize("seed", range(6))
def test_no_finer_search_beats_the_bound(seed):
    way, gap = prove(random_ground(seed, 150.0), Ask(0, 1), 0.02, 4)
    fine = random_ground(seed, 15.0)
    best = polish(fine, find_way(fine, Ask(0, 1))).effort_mm
    assert way.effort_mm / (1 + gap) <= best + 1e-6
    assert gap < 0.1


def pair(psi, factor=1.0):
    ends = np.array([[[0.0, 0.0], [10.0, 0.0], [0.0, 50.0], [10.0, 50.0]]])
    return _Pairs(ends, np.array([psi]), np.array([factor]), np.array([[0, 0, 3]]))


def test_a_potential_that_falls_too_fast_is_caught():
    assert _excess(pair([51.0, 51.0, 0.0, 0.0]), 0.01)[0] > ROUNDING_MM
    assert _excess(pair([0.0, 0.0, 51.0, 51.0]), 0.01)[0] > ROUNDING_MM
    assert _excess(pair([0.0, 51.0, 0.0, 0.0]), 0.01)[0] > ROUNDING_MM
    assert _excess(pair([50.0, 50.0, 0.0, 0.0]), 0.01)[0] <= ROUNDING_MM


def test_the_excess_bounds_what_a_dense_grid_finds():
    chance = np.random.default_rng(7)
    for _ in range(200):
        ends = chance.uniform(0, 100, (1, 4, 2))
        psi = chance.uniform(0, 120, (1, 4))
        pairs = _Pairs(ends, psi, np.array([1.0]), np.array([[0, 0, 3]]))
        s, t = np.meshgrid(np.linspace(0, 1, 41), np.linspace(0, 1, 41))
        x = ends[0, 0] + s[..., None] * (ends[0, 1] - ends[0, 0])
        y = ends[0, 2] + t[..., None] * (ends[0, 3] - ends[0, 2])
        fall = psi[0, 0] + s * (psi[0, 1] - psi[0, 0]) - psi[0, 2] - t * (psi[0, 3] - psi[0, 2])
        found = (np.abs(fall) - 1.01 * np.hypot(*np.moveaxis(x - y, -1, 0))).max()
        assert _excess(pairs, 0.01)[0] >= min(found, ROUNDING_MM) - 1e-9
