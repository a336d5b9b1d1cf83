"""Different factors: the found and polished effort against closed forms.

The law of refraction holds for least effort as for least time (Fermat): at a border between factors f1 and
f2, f1 sin a1 = f2 sin a2 (any optics text, e.g. E. Hecht, Optics, ch. 4); along a border of cheap ground, or
a support, a way joins and leaves at the critical angle, sin a = f2 / f1.
"""

from __future__ import annotations

import itertools
import math
from random import Random

import pytest
import shapely
from grounds import find_polished, one_layer
from level_rails import level_rail
from random_worlds import free_space, random_free_points, random_keep_outs

from router.search.world import Join, Rail, Zone

EQUAL = 1e-6
GROUND = shapely.box(0.0, 0.0, 5000.0, 1900.0)


def band(low_x: float, high_x: float, factor: float) -> Zone:
    """Return a zone right across the ground between two x."""
    return Zone(f"x {low_x}", shapely.box(low_x, -100.0, high_x, 2000.0), factor - 1.0, 0.0)


def refracted_mm(widths_mm: list[float], factors: list[float], across_mm: float) -> float:
    """Return the least effort through layers: the constant f sin a by bisection on the sideways way."""

    def sideways(constant: float) -> float:
        pairs = zip(widths_mm, factors, strict=True)
        return sum(w * constant / math.sqrt(f * f - constant * constant) for w, f in pairs)

    low, high = 0.0, min(factors) * (1.0 - 1e-15)
    for _ in range(200):
        middle = (low + high) / 2.0
        low, high = (middle, high) if sideways(middle) < across_mm else (low, middle)
    pairs = zip(widths_mm, factors, strict=True)
    return sum(w * f * f / math.sqrt(f * f - low * low) for w, f in pairs)


def found_mm(start, goal, **parts) -> float:
    way = find_polished(one_layer(GROUND, [start, goal], **parts), 0, 1)
    assert way is not None
    return way.effort_mm


@pytest.mark.parametrize("factor", [0.7, 0.8, 1.4, 1.5, 2.1])
@pytest.mark.parametrize("seed", range(4))
def test_refraction_at_one_straight_border(factor, seed):
    rng = Random(seed)
    border = rng.uniform(1500.0, 3500.0)
    start = (rng.uniform(100.0, border - 50.0), rng.uniform(50.0, 1850.0))
    goal = (rng.uniform(border + 50.0, 4900.0), rng.uniform(50.0, 1850.0))
    widths = [border - start[0], goal[0] - border]
    expected_mm = refracted_mm(widths, [1.0, factor], abs(goal[1] - start[1]))
    assert found_mm(start, goal, zones=(band(border, 5100.0, factor),)) == pytest.approx(
        expected_mm, rel=EQUAL
    )


@pytest.mark.parametrize("factors", [(1.5,), (0.7,), (1.4, 0.8), (0.8, 1.5)])
@pytest.mark.parametrize("seed", range(4))
def test_refraction_through_layers(factors, seed):
    """One layer between two borders, and two layers side by side."""
    rng = Random(seed)
    start = (rng.uniform(100.0, 900.0), rng.uniform(300.0, 1600.0))
    edges = [1000.0]
    for _ in factors:
        edges.append(edges[-1] + rng.uniform(300.0, 1200.0))
    goal = (edges[-1] + rng.uniform(50.0, 1000.0), rng.uniform(300.0, 1600.0))
    zones = tuple(band(a, b, f) for a, b, f in zip(edges, edges[1:], factors, strict=False))
    widths = [edges[0] - start[0], *(b - a for a, b in itertools.pairwise(edges))]
    widths.append(goal[0] - edges[-1])
    expected_mm = refracted_mm(widths, [1.0, *factors, 1.0], abs(goal[1] - start[1]))
    assert found_mm(start, goal, zones=zones) == pytest.approx(expected_mm, rel=EQUAL)


def along_mm(first_mm: float, second_mm: float, apart_mm: float, factor: float, join_mm: float) -> float:
    """Return the least effort by a cheap line: joined and left at the critical angle."""
    return (first_mm + second_mm) * math.sqrt(1.0 - factor**2) + apart_mm * factor + 2.0 * join_mm


@pytest.mark.parametrize("factor", [0.5, 0.7, 0.8])
@pytest.mark.parametrize("seed", range(4))
def test_the_critical_angle_along_a_cheap_border(factor, seed):
    """Both ends lie beside cheap ground: the way dips to its border, follows it, and comes back."""
    rng = Random(seed)
    first_mm, second_mm = rng.uniform(50.0, 300.0), rng.uniform(50.0, 300.0)
    start, goal = (rng.uniform(200.0, 400.0), 1000.0 + first_mm), (4500.0, 1000.0 + second_mm)
    cheap = Zone("cheap", shapely.box(-100.0, -100.0, 5100.0, 1000.0), factor - 1.0, 0.0)
    expected_mm = along_mm(first_mm, second_mm, goal[0] - start[0], factor, 0.0)
    assert found_mm(start, goal, zones=(cheap,)) == pytest.approx(expected_mm, rel=EQUAL)


def rail_at(y: float, factor: float, join_mm: float, ends=(-50.0, 5050.0)) -> Rail:
    line = shapely.LineString([(ends[0], y), (ends[1], y)])
    inside = shapely.intersection(line, GROUND)
    return level_rail("rail", line, inside, inside, factor, join_mm)


@pytest.mark.parametrize("join_mm", [0.0, 40.0])
@pytest.mark.parametrize("factor", [0.5, 0.7, 0.9])
@pytest.mark.parametrize("seed", range(4))
def test_a_support_is_joined_at_the_right_angle_or_not_at_all(factor, join_mm, seed):
    rng = Random(seed)
    for _ in range(4):
        first_mm, second_mm = rng.uniform(30.0, 500.0), rng.uniform(30.0, 500.0)
        side = rng.choice([1.0, -1.0])
        start = (rng.uniform(100.0, 1500.0), 950.0 + first_mm)
        goal = (rng.uniform(2500.0, 4900.0), 950.0 + side * second_mm)
        apart_mm = goal[0] - start[0]
        reach_mm = (first_mm + second_mm) * factor / math.sqrt(1.0 - factor**2)
        straight_mm = math.dist(start, goal)
        by_rail_mm = along_mm(first_mm, second_mm, apart_mm, factor, join_mm)
        expected_mm = min(straight_mm, by_rail_mm) if reach_mm < apart_mm else straight_mm
        rails = (rail_at(950.0, factor, join_mm),)
        assert found_mm(start, goal, rails=rails) == pytest.approx(expected_mm, rel=EQUAL)


def test_both_answers_occur_in_the_support_test():
    """A near support is worth it, one far away is not: the closed form itself tells them apart."""
    assert along_mm(30.0, 30.0, 3000.0, 0.7, 0.0) < 3000.0
    assert along_mm(500.0, 500.0, 2000.0, 0.9, 40.0) > math.hypot(2000.0, 0.0)
    start, goal = (1000.0, 1600.0), (2600.0, 1600.0)
    assert found_mm(start, goal, rails=(rail_at(500.0, 0.9, 0.0),)) == pytest.approx(1600.0, rel=1e-12)


def test_a_support_that_ends_early_is_left_at_its_end():
    """Beyond the support's end there is nothing to ride: the way leaves at the end, not at the angle."""
    start, goal = (100.0, 1000.0), (4000.0, 1300.0)
    expected_mm = along_mm(50.0, 0.0, 2900.0, 0.7, 0.0) + math.hypot(1000.0, 350.0)
    assert found_mm(start, goal, rails=(rail_at(950.0, 0.7, 0.0, (-50.0, 3000.0)),)) == pytest.approx(
        expected_mm, rel=EQUAL
    )


def test_borders_between_equal_ground_change_next_to_nothing():
    """Zones of factor 1 leave the shortest way as it is, which is known exactly without them.

    So this measures what borders cost in precision: the worst way found is 0.14 % too long, half of them
    are exact.
    """
    surplus = []
    for seed in range(25):
        rng = Random(seed)
        keep_outs = random_keep_outs(rng, rng.choice([8, 15, 30]))
        free = free_space(keep_outs)
        points = random_free_points(rng, free, keep_outs, 2)
        centres = [(rng.uniform(0.0, 5000.0), rng.uniform(0.0, 1900.0)) for _ in range(4)]
        zones = tuple(
            Zone(f"zone {n}", shapely.Point(at).buffer(rng.uniform(100.0, 500.0), quad_segs=2), 0.0, 0.0)
            for n, at in enumerate(centres)
        )
        exact = find_polished(one_layer(free, points), 0, 1)
        found = find_polished(one_layer(free, points, zones=zones), 0, 1)
        assert (exact is None) == (found is None)
        if exact is not None and found is not None:
            surplus.append(found.effort_mm / exact.effort_mm - 1.0)
    assert len(surplus) > 20
    assert min(surplus) > -1e-9
    assert sorted(surplus)[len(surplus) // 2] < 1e-6
    assert max(surplus) < 2e-3


def least_of(function, low: float, high: float) -> float:
    """Return the least value of a convex function by golden sections."""
    share = (math.sqrt(5.0) - 1.0) / 2.0
    for _ in range(80):
        a, b = high - share * (high - low), low + share * (high - low)
        low, high = (low, b) if function(a) < function(b) else (a, high)
    return function(low)


@pytest.mark.parametrize("factor", [1.5, 2.0, 3.0])
def test_a_leg_that_a_corner_keeps_back_is_bent_round_it(factor):
    """The one vertex of the border is seen past the box; the best crossing is seen only from its corner."""
    free = shapely.difference(shapely.box(0, 0, 5000, 2200), shapely.box(1800, 0, 2200, 1005))
    start, goal, corners = (1000.0, 1000.0), (3000.0, 300.0), [(1800.0, 1005.0), (2200.0, 1005.0)]
    zone = Zone("dear", shapely.box(2400, -100, 5100, 2300), factor - 1.0, 0.0)
    way = find_polished(one_layer(free, [start, goal], zones=(zone,), step_mm=1500.0), 0, 1)
    beyond_mm = least_of(
        lambda y: math.dist(corners[1], (2400.0, y)) + factor * math.dist((2400.0, y), goal), 0.0, 2200.0
    )
    expected_mm = math.dist(start, corners[0]) + math.dist(*corners) + beyond_mm
    assert way.effort_mm == pytest.approx(expected_mm, rel=EQUAL)


@pytest.mark.parametrize("is_turned", [False, True])
@pytest.mark.parametrize(("left", "upper"), [(0.8, 1.5), (1.5, 0.8), (0.6, 0.7), (1.3, 1.4)])
def test_a_vertex_of_two_borders_is_passed_on_the_better_side(left, upper, is_turned):
    """From the left zone into the upper one: across the ground of both, or across that of neither."""
    start, goal = (2300.0, 700.0), (2900.0, 1150.0)
    zones = (
        Zone("left", shapely.box(-100, -100, 2500, 2000), left - 1.0, 0.0),
        Zone("upper", shapely.box(-100, 950, 5100, 2000), upper - 1.0, 0.0),
    )

    def by_neither(y: float) -> float:
        first_mm = left * math.dist(start, (2500.0, y))
        return first_mm + least_of(
            lambda x: math.dist((2500.0, y), (x, 950.0)) + upper * math.dist((x, 950.0), goal), 2500.0, 4000.0
        )

    def by_both(x: float) -> float:
        first_mm = left * math.dist(start, (x, 950.0))
        return first_mm + least_of(
            lambda y: (
                (left + upper - 1.0) * math.dist((x, 950.0), (2500.0, y))
                + upper * math.dist((2500.0, y), goal)
            ),
            950.0,
            1900.0,
        )

    expected_mm = min(least_of(by_neither, 0.0, 950.0), least_of(by_both, 0.0, 2500.0))
    ends = [goal, start] if is_turned else [start, goal]
    way = find_polished(one_layer(GROUND, ends, zones=zones, step_mm=5000.0), 0, 1)
    assert way.effort_mm == pytest.approx(expected_mm, rel=EQUAL)


def beyond_mm(leave_at, goal, factor, start_mm):
    """Return the least effort from a rail's start_mm to a goal that leaves the rail between two x."""
    low, high = leave_at
    return least_of(lambda x: factor * (x - start_mm) + math.dist((x, 950.0), goal), low, high)


@pytest.mark.parametrize("dear_mm", [20.0, 60.0, 300.0])
@pytest.mark.parametrize("goal_x", [2600.0, 2900.0, 4000.0])
def test_a_support_is_left_before_a_step_where_leaving_it_behind_costs_more(dear_mm, goal_x):
    """It is joined and left for 10 mm before x = 2500, for more behind: the cheaper of both ways is taken."""
    line = shapely.LineString([(-50.0, 950.0), (5050.0, 950.0)])
    inside = shapely.intersection(line, GROUND)
    near, far = (
        shapely.intersection(inside, shapely.box(*x)) for x in ((0, 0, 2500, 1900), (2500, 0, 5000, 1900))
    )
    rail = Rail("rail", line, inside, (Join(near, 10.0), Join(far, dear_mm)), 0.6, (1.0,))
    start, goal = (200.0, 950.0 + 80.0), (goal_x, 950.0 - 150.0)
    joined_at = 200.0 + 80.0 * 0.6 / 0.8  # at the critical angle, cos a = 0.6
    first_mm = 10.0 + math.dist(start, (joined_at, 950.0))
    before_mm = first_mm + 10.0 + beyond_mm((joined_at, 2500.0), goal, 0.6, joined_at)
    behind_mm = first_mm + dear_mm + beyond_mm((2500.0, goal_x), goal, 0.6, joined_at)
    assert found_mm(start, goal, rails=(rail,)) == pytest.approx(min(before_mm, behind_mm), rel=EQUAL)


@pytest.mark.parametrize("goal_x", [2300.0, 2450.0, 2800.0])
def test_a_support_is_not_left_where_it_may_not_be_joined(goal_x):
    """Between x = 2000 and 2400 nobody leaves it, as if something lay between it and the ground."""
    line = shapely.LineString([(-50.0, 950.0), (5050.0, 950.0)])
    inside = shapely.intersection(line, GROUND)
    join = shapely.difference(inside, shapely.box(2000.0, 900.0, 2400.0, 1000.0))
    start, goal = (300.0, 950.0), (goal_x, 950.0 - 150.0)
    ends = (300.0, 2000.0), (2400.0, 4000.0)
    expected_mm = min(beyond_mm(x, goal, 0.6, 300.0) for x in ends)
    rail = level_rail("rail", line, inside, join, 0.6, 0.0)
    assert found_mm(start, goal, rails=(rail,), step_mm=1000.0) == pytest.approx(expected_mm, rel=EQUAL)


def test_a_sloped_support_costs_its_true_length():
    """A rise of 750 mm on 1000 mm in plan is 1250 mm long: ridden at 0.5, a mm in plan costs 0.625."""
    line = shapely.LineString([(500.0, 950.0), (1500.0, 950.0), (4500.0, 950.0)])
    rail = Rail("rail", line, line, (Join(line, 0.0),), 0.5, (1.25, 1.0))
    expected_mm = 0.625 * 1000.0 + 0.5 * 3000.0
    assert found_mm((500.0, 950.0), (4500.0, 950.0), rails=(rail,)) == pytest.approx(expected_mm, rel=EQUAL)


def test_surcharges_add_up_on_ground_and_on_rails():
    """Ground of 2.5 with 0.5 and -0.2 more on 1000 mm each; on the rail only the first of the two counts."""
    zones = (
        band(1000.0, 3000.0, 1.5),
        Zone("on ground", shapely.box(2000, -100, 4000, 2000), -0.2, 0.0, False),
    )
    start, goal = (0.0, 950.0), (5000.0, 950.0)
    on_ground_mm = 1000.0 * (2.5 + 3.0 + 2.8 + 2.3 + 2.5)
    assert found_mm(start, goal, zones=zones, factor=2.5) == pytest.approx(on_ground_mm, rel=EQUAL)
    on_rail_mm = 1000.0 * (0.7 + 1.2 + 1.2 + 0.7 + 0.7)
    rails = (rail_at(950.0, 0.7, 0.0),)
    assert found_mm(start, goal, zones=zones, factor=2.5, rails=rails) == pytest.approx(on_rail_mm, rel=EQUAL)


def test_however_many_surcharges_meet_a_mm_costs_something():
    zones = tuple(Zone(f"gift {n}", shapely.box(-100, -100, 5100, 2000), -0.3, 0.0) for n in range(9))
    assert found_mm((0.0, 950.0), (5000.0, 950.0), zones=zones) == pytest.approx(0.05 * 5000.0, rel=EQUAL)
