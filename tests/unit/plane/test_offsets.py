"""Offsets: never short of the true distance, and never wrongly empty.

The cases are published or drawn at random; the judge is shapely's `distance()`, which knows no buffer.
"""

from __future__ import annotations

import math
from random import Random

import pytest
import shapely
from random_worlds import random_pocket, random_star

from router.plane.offsets import QUARTER_STEPS, grow_outside

HARD_OUTLINE = shapely.Polygon(
    [
        (4645.725185516265, 374.68422483657), (4230.59067604794, 412.62082747994435),
        (532.2151171912309, 959.6957181876862), (603.7783169368471, 1176.0039477081134),
        (1329.1275071437792, 1592.9581779600421), (1436.6961216733464, 1612.1425105963085),
        (3919.549820768091, 729.0688971896104),
    ]
)  # fmt: skip
HARD_MM = 361.8076405762166
"""A negative buffer of this outline by this much comes out empty in GEOS; its inscribed radius is 380 mm."""


def random_core(rng: Random):
    """Return a place, a line or an area, convex or not, up to a metre across."""
    kind = rng.choice(["point", "line", "star", "pocket"])
    x, y, size_mm = rng.uniform(-3000, 3000), rng.uniform(-3000, 3000), rng.uniform(1.0, 500.0)
    if kind == "point":
        return shapely.Point(x, y)
    if kind == "line":
        steps = [
            (rng.uniform(-1, 1) * size_mm, rng.uniform(-1, 1) * size_mm) for _ in range(rng.randint(1, 6))
        ]
        return shapely.LineString([(x, y), *((x + dx, y + dy) for dx, dy in steps)])
    return random_star(rng, x, y, size_mm) if kind == "star" else random_pocket(rng, x, y, size_mm)


def shortest_mm(core, grown) -> float:
    """Return how near the border of an offset comes to its core: no border is nearer than the distance."""
    return shapely.distance(core, shapely.boundary(grown))


@pytest.mark.parametrize("quarter_steps", [8, 16, 32])
def test_offsets_of_thousands_of_random_shapes_are_never_short(quarter_steps):
    rng = Random(quarter_steps)
    for _ in range(2500):
        core, distance_mm = random_core(rng), 10.0 ** rng.uniform(-2.0, 2.7)
        grown = grow_outside(core, distance_mm, quarter_steps=quarter_steps)
        assert shortest_mm(core, grown) >= distance_mm, (core.wkt, distance_mm)
        assert grown.contains(core)


def test_an_offset_is_at_most_the_stated_share_too_large():
    """The circumscribed arc reaches d / cos(3 pi / 8 q) at its corners: 1.09 % more at 8 steps."""
    rng = Random(1)
    for _ in range(500):
        core, distance_mm = random_core(rng), rng.uniform(5.0, 300.0)
        border = shapely.points(shapely.get_coordinates(shapely.boundary(grow_outside(core, distance_mm))))
        assert shapely.distance(border, core).max() <= distance_mm * 1.011 + 1e-5
    assert 1.0 / math.cos(3.0 * math.pi / (8.0 * QUARTER_STEPS)) < 1.011


def test_the_usual_correction_would_be_short():
    """The measure can fail: d / cos(pi / 4q) is short for most random polygons."""
    rng = Random(2)
    short = 0
    for _ in range(300):
        core, distance_mm = random_core(rng), rng.uniform(5.0, 300.0)
        usual = shapely.buffer(core, distance_mm / math.cos(math.pi / 32.0), quad_segs=8)
        short += shortest_mm(core, usual) < distance_mm
    assert short > 100


def test_room_inside_an_outline_is_found_where_a_negative_buffer_says_there_is_none():
    """Free room keeps clear of the walls by growing the walls, never by shrinking the outline."""
    outside = shapely.box(-1000, -1000, 6000, 3000).difference(HARD_OUTLINE)
    for walls in (outside, HARD_OUTLINE.exterior, shapely.LineString(HARD_OUTLINE.exterior)):
        room = HARD_OUTLINE.difference(grow_outside(walls, HARD_MM))
        assert room.area > 100.0
        assert room.distance(walls) >= HARD_MM
    inscribed_mm = shapely.maximum_inscribed_circle(HARD_OUTLINE, 0.01).length
    assert inscribed_mm == pytest.approx(380.24, abs=0.02)  # GEOS's own, another algorithm


def test_nothing_grows_by_nothing():
    area = shapely.box(0, 0, 1, 1)
    assert grow_outside(area, 0.0) is area
    assert grow_outside(shapely.Point(0, 0), 0.0).is_empty
