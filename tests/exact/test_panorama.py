"""Looking from many places at once: the same as from each by itself, and as shapely sees it.

Reference: shapely 2 (GEOS), which says whether a straight line between two points stays in free space.
"""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
import shapely
from grounds import one_layer
from random_worlds import free_space, random_free_points, random_keep_outs

from router.plane.panorama import from_edges, from_fans, from_points, look_round
from router.plane.sight import look_from_fan
from router.search.world import Zone


def random_layer(seed):
    rng = Random(seed)
    keep_outs = random_keep_outs(rng, rng.choice([5, 12, 25]))
    free = free_space(keep_outs)
    zones = tuple(
        Zone(f"zone {x}", shapely.Point(x, rng.uniform(0, 1900)).buffer(400, quad_segs=2), -0.2, 0)
        for x in (rng.uniform(0, 2000), rng.uniform(2000, 5000))
    )
    points = random_free_points(rng, free, keep_outs, 4)
    return free, one_layer(free, points, zones=zones).prepared[0], points


def lines(mesh):
    return np.asarray(mesh.opaque) & (np.asarray(mesh.across) >= 0)


@pytest.mark.parametrize("seed", range(6))
def test_fans_seen_are_those_that_each_fan_sees_by_itself(seed):
    _, prepared, _ = random_layer(seed)
    seen = look_round(
        prepared.mesh, prepared.visibility.shown, lines(prepared.mesh), from_fans(prepared.mesh)
    )
    together = {(a, b) for a, b in zip(seen.fan_place.tolist(), seen.fan.tolist(), strict=True)}
    alone = {(a, b) for a in range(len(prepared.bends)) for b in look_from_fan(prepared.visibility, a).fans}
    assert together == alone


@pytest.mark.parametrize("seed", range(6))
def test_the_seen_part_of_an_edge_holds_all_that_shapely_sees(seed):
    """Where a straight line keeps a hair of free space on both sides until it is near, it is told as seen."""
    _, prepared, points = random_layer(seed)
    mesh, rng = prepared.mesh, np.random.default_rng(seed)
    views = from_points(mesh, points, prepared.visibility.triangles_of)
    seen = look_round(mesh, prepared.visibility.shown, lines(mesh), views)
    shares = rng.uniform(0.02, 0.98, 12)
    missed, found = 0, 0
    for place, at in enumerate(points):
        region = prepared.region_at(*at)
        inside = shapely.buffer(prepared.region_area(region), -1e-3)
        for corner in np.flatnonzero(lines(mesh)).tolist():
            if mesh.region[corner // 3] != region:
                continue
            edge = from_edges(mesh, np.full(12, corner), shares)
            near = np.column_stack([edge.x, edge.y]) * 0.9999 + np.array(at) * 0.0001
            rays = shapely.linestrings(np.stack([np.tile(at, (12, 1)), near], axis=1))
            rows = (seen.edge_place == place) & (seen.edge == corner)
            told = ((seen.low[rows][:, None] <= shares) & (shares <= seen.high[rows][:, None])).any(0)
            sees = shapely.covers(inside, rays)
            missed += int((sees & ~told).sum())
            found += int((sees & told).sum())
    assert missed == 0
    assert found > 100
