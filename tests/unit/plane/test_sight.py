"""Lines of sight against shapely on random worlds: seen means that the straight line stays in free space.

Through a vertex at which keep-outs only touch nothing is seen; shapely calls such a line free, so lines
through a vertex that is on the boundary twice are left to the test of meshes.
"""

from __future__ import annotations

import math
from collections import Counter
from random import Random

import pytest
import shapely
from random_worlds import free_space, random_free_points, random_keep_outs

from router.plane.mesh import build_mesh, faces_of, make_fans
from router.plane.sight import VisibilityIndex, look_from_fan, look_from_point, side, triangles_holding


def random_visibility(seed: int):
    """Return a free space, points in it, and a watch over its corners and those points."""
    rng = Random(seed)
    keep_outs = random_keep_outs(rng, rng.randint(2, 14))
    free = free_space(keep_outs)
    points = random_free_points(rng, free, keep_outs, 8)
    faces = faces_of(free, [])
    mesh = build_mesh(faces, [0] * len(faces), [])
    make_fans(mesh)
    return free, points, VisibilityIndex(mesh, [True] * len(mesh.fans), points, frozenset(range(len(points))))


def pinches(free) -> set[tuple[float, float]]:
    """Return the vertices that are on the boundary twice."""
    rings = [ring for part in shapely.get_parts(free) for ring in (part.exterior, *part.interiors)]
    times = Counter(point for ring in rings for point in ring.coords[:-1])
    return {point for point, count in times.items() if count > 1}


def answers(free, a, b) -> set[bool]:
    """Return what is right to say of the line between two places; both where it is off by under 1e-9 mm."""
    line = shapely.LineString([a, b])
    if any(part.covers(line) for part in shapely.get_parts(free)):
        return {True}
    return {True, False} if free.buffer(1e-9).covers(line) else {False}


def slips(line, points) -> bool:
    return any(line.distance(shapely.Point(point)) < 1e-9 for point in points)


@pytest.mark.parametrize(
    "seed", [*range(0, 12), *(pytest.param(seed, marks=pytest.mark.study) for seed in range(12, 25))]
)
def test_a_corner_is_seen_from_a_point_exactly_when_the_line_is_free(seed):
    free, points, visibility = random_visibility(seed)
    mesh, doubled = visibility.mesh, pinches(free)
    assert len(points) > 3 and len(mesh.fans) > 12
    for x, y in points:
        seen = look_from_point(visibility, x, y, triangles_holding(mesh, x, y))
        found = set(seen.fans)
        for fan in range(len(mesh.fans)):
            v = mesh.fan_vertex(fan)
            corner = (mesh.x[v], mesh.y[v])
            if slips(shapely.LineString([(x, y), corner]), doubled):
                continue
            assert (fan in found) in answers(free, (x, y), corner), (seed, (x, y), corner)


@pytest.mark.parametrize(
    "seed", [*range(25, 37), *(pytest.param(seed, marks=pytest.mark.study) for seed in range(37, 50))]
)
def test_corners_and_points_seen_from_a_corner(seed):
    free, points, visibility = random_visibility(seed)
    mesh, doubled = visibility.mesh, pinches(free)
    rng = Random(seed)
    assert len(points) > 3
    for fan in rng.sample(range(len(mesh.fans)), 12):
        at = (mesh.x[mesh.fan_vertex(fan)], mesh.y[mesh.fan_vertex(fan)])
        seen = look_from_fan(visibility, fan)
        for site, point in enumerate(points):
            if not slips(shapely.LineString([at, point]), doubled):
                assert (site in dict(seen.sites)) in answers(free, at, point), (seed, at, point)
        for other in range(len(mesh.fans)):
            corner = (mesh.x[mesh.fan_vertex(other)], mesh.y[mesh.fan_vertex(other)])
            if corner != at and not slips(shapely.LineString([at, corner]), doubled):
                assert (other in seen.fans) in answers(free, at, corner), (seed, at, corner)


@pytest.mark.parametrize("seed", range(50, 60))
def test_points_see_each_other_both_ways(seed):
    free, points, visibility = random_visibility(seed)
    assert len(points) > 3
    for number, (x, y) in enumerate(points):
        seen = dict(look_from_point(visibility, x, y, triangles_holding(visibility.mesh, x, y)).sites)
        for other, point in enumerate(points):
            if other != number:
                assert (other in seen) in answers(free, (x, y), point)
            if other in seen:
                assert seen[other] == pytest.approx(math.dist((x, y), point), rel=1e-12)


def test_side_is_zero_on_the_line_and_never_wrong_off_it():
    """On whole numbers the exact answer is known: Python's integers do not round."""
    rng = Random(0)
    for _ in range(20000):
        ax, ay, bx, by, cx, cy = (rng.randint(-5000, 5000) for _ in range(6))
        if rng.random() < 0.3:  # on the line, exactly
            steps = rng.randint(-3, 3)
            cx, cy = ax + steps * (bx - ax), ay + steps * (by - ay)
        exact = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        found = side(float(ax), float(ay), float(bx), float(by), float(cx), float(cy))
        assert (found > 0) == (exact > 0)
        assert (found < 0) == (exact < 0)
