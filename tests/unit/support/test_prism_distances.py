"""The checker's distances against sampled places, and against shapely in plan."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
import shapely
from prism_distances import WHOLE, Piece, Prism, covers, nearest, rest_of, shares_inside
from random_worlds import random_star

SAMPLES = 4001
CASES = 400


def random_prism(rng: Random) -> Prism:
    x, y = rng.uniform(-200.0, 200.0), rng.uniform(-200.0, 200.0)
    low_mm = rng.uniform(-200.0, 150.0)
    heights = rng.choice([(low_mm, low_mm + rng.uniform(0.0, 150.0)), (-math.inf, math.inf)])
    kind = rng.choice(["disc", "line", "area", "area"])
    if kind == "disc":
        return Prism(((x, y),), False, rng.uniform(0.0, 90.0), *heights)
    if kind == "line":
        points = [
            (x + rng.uniform(-250.0, 250.0), y + rng.uniform(-250.0, 250.0)) for _ in range(rng.randint(2, 4))
        ]
        return Prism(tuple(points), False, rng.choice([0.0, 7.5, 40.0]), *heights)
    star = random_star(rng, x, y, rng.uniform(40.0, 200.0))
    return Prism(tuple(star.exterior.coords[:-1]), True, 0.0, *heights)


def random_piece(rng: Random, kind: str) -> Piece:
    a = tuple(rng.uniform(-300.0, 300.0) for _ in range(3))
    b = tuple(rng.uniform(-300.0, 300.0) for _ in range(3))
    if kind == "level":
        b = (*b[:2], a[2])
    if kind == "upright":
        b = (*a[:2], b[2])
    return Piece(a, b)


def footprint(prism: Prism) -> shapely.Geometry:
    if prism.is_area:
        return shapely.Polygon(prism.points)
    return shapely.LineString(prism.points) if len(prism.points) > 1 else shapely.Point(prism.points[0])


def sampled_mm(piece: Piece, prism: Prism, share: tuple[float, float]) -> float:
    """Return the least of the distances of many places on a part of a piece."""
    shares = np.linspace(*share, SAMPLES)[:, None]
    places = np.array(piece.start) + shares * (np.array(piece.end) - np.array(piece.start))
    plan_mm = shapely.distance(shapely.points(places[:, :2]), footprint(prism)) - prism.reach_mm
    gaps_mm = np.maximum(np.maximum(prism.low_mm - places[:, 2], places[:, 2] - prism.high_mm), 0.0)
    return float(np.hypot(np.maximum(plan_mm, 0.0), gaps_mm).min())


@pytest.mark.parametrize("kind", ["level", "upright", "sloped"])
def test_distances_are_those_of_many_sampled_places(kind):
    """No sampled place may be nearer, and the nearest one is no further than half a step away."""
    rng = Random(kind)
    touching = 0
    for case in range(CASES):
        piece, prism = random_piece(rng, kind), random_prism(rng)
        share = rng.choice([WHOLE, (0.0, 0.5), (0.3, 0.9), (1.0, 1.0)])
        distance_mm, at = nearest(piece, prism, share)
        sampled = sampled_mm(piece, prism, share)
        step_mm = math.dist(piece.start, piece.end) * (share[1] - share[0]) / (SAMPLES - 1)
        assert distance_mm - 1e-9 <= sampled <= distance_mm + step_mm / 2.0 + 1e-9, case
        assert sampled_mm(piece, prism, (at, at)) == pytest.approx(distance_mm, abs=1e-7), case
        assert share[0] - 1e-12 <= at <= share[1] + 1e-12
        touching += distance_mm == 0.0
    assert CASES / 50 < touching < CASES / 2


def test_level_pieces_are_as_far_in_plan_as_shapely_says():
    rng = Random(1)
    for case in range(CASES):
        piece, prism = random_piece(rng, "level"), random_prism(rng)
        plan_mm = shapely.LineString([piece.start[:2], piece.end[:2]]).distance(footprint(prism))
        gap_mm = max(0.0, prism.low_mm - piece.start[2], piece.start[2] - prism.high_mm)
        expected_mm = math.hypot(max(0.0, plan_mm - prism.reach_mm), gap_mm)
        assert nearest(piece, prism)[0] == pytest.approx(expected_mm, abs=1e-9), case


def test_a_sloped_piece_over_the_edge_of_a_box():
    """By hand: from 100 above a box it falls 1 in 1 past the edge, which is 100 / sqrt 2 from its line."""
    box = Prism(((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)), True, 0.0, 0.0, 50.0)
    piece = Piece((100.0, 50.0, 150.0), (300.0, 50.0, -50.0))
    distance_mm, at = nearest(piece, box)
    assert distance_mm == pytest.approx(100.0 / math.sqrt(2.0), abs=1e-9)
    assert piece.at(at) == pytest.approx((150.0, 50.0, 100.0), abs=1e-5)


def test_parts_inside_an_area_are_those_of_shapely():
    rng = Random(2)
    cut = 0
    for case in range(CASES):
        piece, area = random_piece(rng, rng.choice(["level", "sloped"])), random_star(rng, 0.0, 0.0, 250.0)
        inside = shares_inside(piece, tuple(area.exterior.coords[:-1]))
        line = shapely.LineString([piece.start[:2], piece.end[:2]])
        assert sum(b - a for a, b in inside) == pytest.approx(
            line.intersection(area).length / line.length, abs=1e-7
        )
        assert sum(b - a for a, b in [*inside, *rest_of(inside)]) == pytest.approx(1.0, abs=1e-12), case
        cut += 0 < len(inside) < 3 and inside != [WHOLE]
    assert cut > CASES / 4


def test_footprints_are_covered_where_shapely_covers_them():
    rng = Random(3)
    found = []
    for case in range(CASES):
        prism, area = random_prism(rng), random_star(rng, 0.0, 0.0, 700.0)
        core = footprint(prism)
        is_covered = area.covers(core) and core.distance(area.exterior) >= prism.reach_mm
        found.append(is_covered)
        assert covers(tuple(area.exterior.coords[:-1]), prism) == is_covered, case
    assert CASES / 10 < sum(found) < 9 * CASES / 10
