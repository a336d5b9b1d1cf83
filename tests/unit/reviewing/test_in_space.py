"""Distances in space against places looked at one by one, and against arithmetic by hand."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from itertools import pairwise

import pytest
from shapely import LineString, Polygon
from shapely import Point as Spot
from small_vehicle import a_keep_out, area, box, disc, line

from router.reviewing.clearances import nearest_place
from router.reviewing.in_space import body_of
from router.reviewing.route_segments import Segment

EXACT_MM = 1e-9


def straight(start, end):
    """A segment between two places in space, with its own length for its stations."""
    length_mm = math.dist(start, end)
    return Segment("underfloor", start[:2], end[:2], start[2], end[2], 0.0, length_mm, None)


def away_mm(shape, heights, place):
    """The distance of one place in space from a body, as its definition says."""
    cores = {"area": Polygon, "disc": lambda points: Spot(points[0]), "line": LineString}
    core = cores[shape.kind.value](shape.points)
    low, high = heights
    plan = max(0.0, core.distance(Spot(place[0], place[1])) - shape.reach_mm)
    return math.hypot(plan, max(0.0, low - place[2], place[2] - high))


def least_by_looking(shape, heights, start, end):
    """The least distance on a segment: many places, then the best of them looked at ever closer.

    With as many places as these the best one lies in the right valley of a concave footprint; the ternary
    search in it needs no more than that it falls and then rises.
    """

    def at(share):
        return away_mm(shape, heights, [a + share * (b - a) for a, b in zip(start, end, strict=True)])

    count = 400
    values = [at(number / count) for number in range(count + 1)]
    best = math.inf
    for number, value in enumerate(values):
        near = values[max(0, number - 1) : number + 2]
        if value > min(near) or value > best + math.dist(start, end) / count:
            continue
        low, high = max(0.0, (number - 1) / count), min(1.0, (number + 1) / count)
        for _ in range(100):
            third = (high - low) / 3
            low, high = (low, high - third) if at(low + third) < at(high - third) else (low + third, high)
        best = min(best, at(low), at(high), value)
    return best


def random_shape(chance):
    kind = chance.choice(["convex", "concave", "line", "disc"])
    x, y = chance.uniform(-300, 300), chance.uniform(-300, 300)
    if kind == "disc":
        return disc(x, y, chance.uniform(0, 150))
    if kind == "line":
        points = [(x + 150 * n, y + chance.uniform(-100, 100)) for n in range(chance.randint(2, 4))]
        return line(*points, width_mm=chance.uniform(0, 120))
    if kind == "convex":
        turns = sorted(chance.uniform(0, 2 * math.pi) for _ in range(chance.randint(3, 6)))
        if max(b - a for a, b in pairwise([*turns, turns[0] + 2 * math.pi])) > 3.0:
            return box(x, y, x + 100, y + 50)
        return area(*((x + 150 * math.cos(turn), y + 150 * math.sin(turn)) for turn in turns))
    deep = chance.uniform(20, 180)  # a U
    return area(
        (x, y), (x + 300, y), (x + 300, y + 200), (x + 200, y + 200), (x + 200, y + 200 - deep),
        (x + 100, y + 200 - deep), (x + 100, y + 200), (x, y + 200),
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(300))
def test_any_piece_against_any_body(seed):
    chance = random.Random(seed)
    shape = random_shape(chance)
    low = chance.uniform(-200, 200)
    heights = (low, low + chance.uniform(0, 200))
    start, end = ([chance.uniform(-500, 500) for _ in range(3)] for _ in range(2))
    if seed % 5 == 0:
        end[2] = start[2]  # level
    if seed % 5 == 1:
        end[:2] = start[:2]  # upright
    segment = straight(tuple(start), tuple(end))
    nearest = body_of(a_keep_out("body", shape, heights_mm=heights)).nearest(segment)
    assert nearest.distance_mm == pytest.approx(least_by_looking(shape, heights, start, end), abs=EXACT_MM)
    # and the station is that of a place that is so near
    there = segment.place_at(nearest.station_mm / segment.end_station_mm)
    assert away_mm(shape, heights, there) == pytest.approx(nearest.distance_mm, abs=1e-8)


def test_by_hand_a_slope_over_an_edge():
    # from (0, 0, 0) to (400, 0, 300), a 3-4-5 slope, under a wide box that begins at x 250 and 300 mm up: its
    # lower edge (250, y, 300) is |3 * 250 - 4 * 300| / 5 = 90 mm from the line, at 250 * 4/5 + 300 * 3/5 =
    # 380 along it
    body = body_of(a_keep_out("box", box(-500, -500, 250, 500), heights_mm=(300.0, 400.0)))
    nearest = body.nearest(straight((0.0, 0.0, 0.0), (400.0, 0.0, 300.0)))
    assert nearest.distance_mm == pytest.approx(90.0, abs=EXACT_MM)
    assert nearest.station_mm == pytest.approx(380.0, abs=1e-6)


def test_by_hand_a_slope_past_a_post():
    # a post of radius 10 with its middle 50 mm beside the line, as high as anything: 40 mm, where it passes
    body = body_of(a_keep_out("post", disc(200, 50, 10)))
    nearest = body.nearest(straight((0.0, 0.0, 0.0), (400.0, 0.0, 300.0)))
    assert nearest.distance_mm == pytest.approx(40.0, abs=EXACT_MM)
    assert nearest.station_mm == pytest.approx(250.0, abs=1e-6)


def test_a_slope_through_the_lid_of_a_box_touches_it():
    body = body_of(a_keep_out("box", box(0, -50, 400, 50), heights_mm=(100.0, 150.0)))
    assert body.nearest(straight((100.0, 0.0, 0.0), (300.0, 0.0, 300.0))).distance_mm == 0.0


def test_a_slope_in_the_notch_of_a_concave_body():
    # a U of 100 mm walls round a notch of 100 mm: in its middle 50 mm from three of its sides
    u = area((0, 0), (300, 0), (300, 300), (200, 300), (200, 100), (100, 100), (100, 300), (0, 300))
    body = body_of(a_keep_out("u", u, heights_mm=(0.0, 1000.0)))
    nearest = body.nearest(straight((150.0, 150.0, 100.0), (150.0, 250.0, 300.0)))
    assert nearest.distance_mm == pytest.approx(50.0, abs=EXACT_MM)


def test_of_a_slope_over_a_body_and_a_level_piece_beside_it_the_nearer_one_counts():
    # in plan the slope crosses the post, and passes its heights further on: it could be as near as 0, and is
    # (700 - 110) / sqrt(2) from the rim of its lower end; the level piece passes 200 mm from its middle
    post = a_keep_out("post", disc(100, 0, 10), heights_mm=(700.0, 720.0))
    slope = straight((0.0, 0.0, 0.0), (1000.0, 0.0, 1000.0))
    level = replace(straight((0.0, 200.0, 710.0), (500.0, 200.0, 710.0)), space="load area")
    assert nearest_place([slope], post).distance_mm == pytest.approx(590.0 / math.sqrt(2.0), abs=EXACT_MM)
    for pieces in ([slope, level], [level, slope]):
        assert nearest_place(pieces, post).distance_mm == pytest.approx(190.0, abs=EXACT_MM)
