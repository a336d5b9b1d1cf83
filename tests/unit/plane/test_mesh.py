"""Meshes: what must hold of every one, over random worlds; the judge is shapely."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
import shapely
from random_worlds import LENGTH_MM, WIDTH_MM, free_space, random_keep_outs

from router.plane.mesh import Mesh, build_mesh, faces_of, make_fans, mark_edge, split_edge


def random_mesh(seed: int, *, with_lines: bool = True):
    """Return a free space, lines across it, the last of which is a gate, and their mesh."""
    rng = Random(seed)
    free = free_space(random_keep_outs(rng, rng.randint(3, 25)))
    lines = []
    for _ in range(3 if with_lines else 0):
        start, end = (-50.0, rng.uniform(0, WIDTH_MM)), (LENGTH_MM + 50.0, rng.uniform(0, WIDTH_MM))
        lines.append(shapely.LineString([start, end]))
    faces = faces_of(free, lines)
    mesh = build_mesh(faces, [number % 2 for number in range(len(faces))], lines[-1:])
    make_fans(mesh)
    return free, lines, mesh


def triangle_points(mesh: Mesh):
    vertices = np.column_stack([mesh.x, mesh.y])
    return vertices[np.asarray(mesh.corner_vertex).reshape(-1, 3)]


def edge(mesh: Mesh, corner: int) -> tuple[int, int]:
    first = corner - corner % 3
    return mesh.corner_vertex[first + (corner + 1) % 3], mesh.corner_vertex[first + (corner + 2) % 3]


def check(free, mesh: Mesh) -> None:
    """Assert what holds of every mesh of a free space."""
    points = triangle_points(mesh)
    a, b, c = points[:, 0], points[:, 1], points[:, 2]
    doubled = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    assert (doubled >= 0.0).all(), "a triangle is turned inside out"
    assert doubled.sum() / 2.0 == pytest.approx(free.area, rel=1e-9)
    walls, lengths = [], 0.0
    for corner, other in enumerate(mesh.across):
        start, end = edge(mesh, corner)
        if other >= 0:
            assert mesh.across[other] == corner
            assert edge(mesh, other) == (end, start)
            assert mesh.opaque[corner] == mesh.opaque[other]
            assert mesh.gate[corner] == mesh.gate[other]
            if mesh.region[corner // 3] != mesh.region[other // 3]:
                assert mesh.opaque[corner]
        else:
            assert mesh.opaque[corner]
            walls.append([(mesh.x[start], mesh.y[start]), (mesh.x[end], mesh.y[end])])
            lengths += math.dist(*walls[-1])
    off_mm = shapely.hausdorff_distance(shapely.multilinestrings(shapely.linestrings(walls)), free.boundary)
    assert off_mm < 1e-6, "a wall off the free boundary"
    assert lengths == pytest.approx(free.boundary.length, rel=1e-9)


def check_fans(mesh: Mesh) -> None:
    """Assert that fans part the corners round each vertex, in order, and end where sight ends."""
    seen: list[int] = []
    for fan in range(len(mesh.fans)):
        corners = mesh.fan_corners(fan)
        seen += corners
        assert {mesh.corner_vertex[corner] for corner in corners} == {mesh.fan_vertex(fan)}
        assert {mesh.fan_of[corner] for corner in corners} == {fan}
        assert len({mesh.region[corner // 3] for corner in corners}) == 1
        right, left = mesh.fan_sides(fan)
        assert mesh.fan_round[fan] or (mesh.opaque[right] and mesh.opaque[left])
        assert fan in mesh.fans_at[mesh.fan_vertex(fan)]
    assert sorted(seen) == list(range(len(mesh.corner_vertex)))


@pytest.mark.parametrize("seed", range(30))
def test_a_mesh_covers_the_free_space_and_nothing_else(seed):
    free, _, mesh = random_mesh(seed, with_lines=seed % 3 > 0)
    check(free, mesh)
    check_fans(mesh)


@pytest.mark.parametrize("seed", range(30, 45))
def test_split_edges_keep_the_mesh_whole(seed):
    free, _, mesh = random_mesh(seed)
    rng = Random(seed)
    mark_edge(mesh, 0)
    marked_mm = math.dist(*[(mesh.x[v], mesh.y[v]) for v in edge(mesh, 0)])
    for corner in [0, *(rng.randrange(len(mesh.corner_vertex)) for _ in range(60))]:
        start, end = edge(mesh, corner)
        vertex = split_edge(mesh, corner, rng.uniform(0.2, 0.8))
        place = shapely.Point(mesh.x[vertex], mesh.y[vertex])
        line = shapely.LineString([(mesh.x[start], mesh.y[start]), (mesh.x[end], mesh.y[end])])
        assert place.distance(line) < 1e-9
    make_fans(mesh)
    check(free, mesh)
    check_fans(mesh)
    still = {frozenset(edge(mesh, c)) for c, is_marked in enumerate(mesh.marked) if is_marked}
    lengths = [math.dist(*[(mesh.x[v], mesh.y[v]) for v in pair]) for pair in still]
    assert sum(lengths) == pytest.approx(marked_mm, rel=1e-9)


@pytest.mark.parametrize("seed", range(45, 55))
def test_gates_lie_on_their_line_and_shut_it(seed):
    free, lines, mesh = random_mesh(seed)
    on_gate = {frozenset(edge(mesh, c)) for c, gate in enumerate(mesh.gate) if gate == 0}
    laid = [shapely.LineString([(mesh.x[v], mesh.y[v]) for v in pair]) for pair in on_gate]
    assert all(line.distance(lines[-1]) < 1e-6 for line in laid)
    assert sum(line.length for line in laid) == pytest.approx(lines[-1].intersection(free).length, rel=1e-6)


def test_keep_outs_that_touch_in_a_point_leave_two_fans_there():
    boxes = [shapely.box(2000, 500, 2500, 900), shapely.box(2500, 900, 3000, 1300)]
    mesh = build_mesh(faces_of(free_space(boxes), []), [0], [])
    make_fans(mesh)
    pinch = next(v for v in range(len(mesh.x)) if (mesh.x[v], mesh.y[v]) == (2500.0, 900.0))
    assert len(mesh.fans_at[pinch]) == 2
    others = [v for v in range(len(mesh.x)) if v != pinch]
    assert {len(mesh.fans_at[v]) for v in others} == {1}


def test_lines_that_nearly_lie_on_each_other_do_not_turn_triangles():
    """Pieces of one leaning line, each drawn on far beyond both ends, meet nowhere and everywhere."""
    for seed in range(60):
        rng = Random(seed)
        x, y = rng.uniform(0.0, 2000.0), rng.uniform(300.0, 1500.0)
        step = (rng.uniform(500.0, 2000.0), rng.uniform(-200.0, 200.0))
        lines = []
        for share, far_share in ((0.0, 0.6), (0.4, 1.0), (0.2, 0.9)):
            start = (x + share * step[0], y + share * step[1])
            end = (x + far_share * step[0], y + far_share * step[1])
            reach = 20000.0 / math.dist(start, end)
            beyond = (reach * (end[0] - start[0]), reach * (end[1] - start[1]))
            before = (start[0] - beyond[0], start[1] - beyond[1])
            after = (end[0] + beyond[0], end[1] + beyond[1])
            lines.append(shapely.LineString([before, start, end, after]))
        free = free_space(random_keep_outs(rng, 5))
        faces = faces_of(free, lines)
        mesh = build_mesh(faces, list(range(len(faces))), lines)
        make_fans(mesh)
        check(free, mesh)
