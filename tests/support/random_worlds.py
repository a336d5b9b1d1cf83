"""Random worlds in the plane, plain seeded random: keep-outs, free space, ends. mm.

Shapes as they occur under a vehicle, and worse: convex and not, touching along an edge or in one point,
one inside another, pockets open to one side.
"""

from __future__ import annotations

import math
from random import Random
from typing import Any

import shapely
from shapely import affinity

LENGTH_MM, WIDTH_MM = 5000.0, 1900.0


def random_keep_outs(rng: Random, count: int) -> list[Any]:
    """Return `count` polygons, smaller where there are more, so that most of the ground stays free."""
    size_mm = 0.42 * math.sqrt(LENGTH_MM * WIDTH_MM / count)
    made: list[Any] = []
    while len(made) < count:
        before = made[-1] if made else None
        made.append(_random_shape(rng, size_mm, before))
    return made


def random_star(rng: Random, x: float, y: float, size_mm: float) -> Any:
    """Return a polygon with up to twelve corners round (x, y), seldom convex."""
    angles = sorted(rng.uniform(0.0, 2.0 * math.pi) for _ in range(rng.randint(5, 12)))
    corners = [
        (x + size_mm * far * math.cos(angle), y + size_mm * far * math.sin(angle))
        for angle in angles
        for far in [rng.uniform(0.25, 1.0)]
    ]
    star = shapely.Polygon(corners)
    return star if star.is_valid else star.convex_hull


def random_pocket(rng: Random, x: float, y: float, size_mm: float) -> Any:
    """Return a U that is open to one side; a place inside it is in a pocket."""
    wall_mm = size_mm * rng.uniform(0.1, 0.25)
    outer = shapely.box(-size_mm, -size_mm * 0.8, size_mm, size_mm * 0.8)
    inner = shapely.box(-size_mm + wall_mm, -size_mm * 0.8 + wall_mm, size_mm + 1.0, size_mm * 0.8 - wall_mm)
    turned = affinity.rotate(outer.difference(inner), rng.choice([0.0, 90.0, 180.0, rng.uniform(0.0, 360.0)]))
    return affinity.translate(turned, x, y)


def _random_shape(rng: Random, size_mm: float, before: Any) -> Any:
    x, y = rng.uniform(0.0, LENGTH_MM), rng.uniform(0.0, WIDTH_MM)
    far_mm = size_mm * rng.uniform(0.3, 1.0)
    free_standing = {
        "disc": lambda: shapely.Point(x, y).buffer(far_mm * 0.6, quad_segs=rng.choice([2, 4, 8])),
        "line": lambda: _random_line(rng, x, y, far_mm),
        "star": lambda: random_star(rng, x, y, far_mm),
        "long star": lambda: affinity.scale(random_star(rng, x, y, far_mm), 2.0, 0.5),
        "pocket": lambda: random_pocket(rng, x, y, far_mm),
        "box": lambda: _whole_box(round(x), round(y), far_mm, far_mm * rng.uniform(0.3, 1.0)),
    }
    if before is None or rng.random() < 0.6:
        return free_standing[rng.choice(sorted(free_standing))]()
    _, low_y, high_x, high_y = before.bounds
    beside = {
        "inside": lambda: random_star(
            rng, before.centroid.x, before.centroid.y, far_mm * rng.uniform(0.2, 1.2)
        ),
        "edge to edge": lambda: _whole_box(high_x, low_y, far_mm, 0.7 * far_mm),
        "corner to corner": lambda: _whole_box(high_x, high_y, far_mm, 0.7 * far_mm),
    }
    return beside[rng.choice(sorted(beside))]()


def _random_line(rng: Random, x: float, y: float, far_mm: float) -> Any:
    end = (x + far_mm * rng.uniform(-2.0, 2.0), y + far_mm * rng.uniform(-1.0, 1.0))
    return shapely.LineString([(x, y), end]).buffer(far_mm * 0.2, quad_segs=4)


def _whole_box(x: float, y: float, length_mm: float, width_mm: float) -> Any:
    """Return a box whose sides are whole numbers: what touches it then touches without rounding."""
    return shapely.box(x, y, x + max(1, round(length_mm)), y + max(1, round(width_mm)))


def free_space(keep_outs: list[Any]) -> Any:
    """Return the ground less the keep-outs."""
    return shapely.difference(shapely.box(0.0, 0.0, LENGTH_MM, WIDTH_MM), shapely.union_all(keep_outs))


def random_free_points(rng: Random, free: Any, keep_outs: list[Any], count: int) -> list[tuple[float, float]]:
    """Return free points; every third try beside the middle of a keep-out, in its pocket if it has one."""
    shapely.prepare(free)
    found: list[tuple[float, float]] = []
    for attempt in range(10000):
        point = (rng.uniform(0.0, LENGTH_MM), rng.uniform(0.0, WIDTH_MM))
        if attempt % 3 == 0:
            middle = rng.choice(keep_outs).convex_hull.centroid
            point = (middle.x + rng.uniform(-9.0, 9.0), middle.y + rng.uniform(-9.0, 9.0))
        if shapely.contains_xy(free, *point):
            found.append(point)
        if len(found) == count:
            return found
    raise ValueError("no free ground left")
