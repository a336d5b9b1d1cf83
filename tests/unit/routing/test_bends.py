"""Room for bends: judged by the review's own measure, which shares no code with it, and by shapely."""

from __future__ import annotations

import math
from itertools import pairwise
from random import Random

import pytest
import shapely
from random_vehicles import LOOMS_MM, random_job, random_vehicle
from small_vehicle import a_job, a_keep_out, a_profile, a_route, a_run, area, plain_practice

from router.errors import NoRouteError
from router.explaining import find_routes_or_explain
from router.model.vehicle import (
    Fix,
    KeepOut,
    Profile,
    Space,
    SpaceKind,
    Support,
    SupportKind,
    Terminal,
)
from router.reviewing import review_route
from router.reviewing.bends import tight_bends
from router.reviewing.route_segments import segments_of
from router.routing import with_wide_bends
from router.routing.easing import tight_legs

SPACE = Space(
    "underfloor", 400.0, ((0.0, 0.0), (3000.0, 0.0), (3000.0, 1000.0), (0.0, 1000.0)), SpaceKind.UNDERFLOOR
)


def beside_a_support(height_mm: float = 400.0, keep_outs: tuple[KeepOut, ...] = ()) -> Profile:
    """Return a vehicle in which a run begins 12 mm beside a support and ends far along it."""
    return a_profile(
        tolerance_mm=0.0,
        spaces=(SPACE,),
        keep_outs=keep_outs,
        supports=(
            Support(
                "rail", "underfloor", SupportKind.RAIL, ((400.0, 512.0), (2900.0, 512.0)), height_mm, Fix.TIE
            ),
        ),
        terminals=(
            Terminal("front", "underfloor", (500.0, 500.0), 470.0, None),
            Terminal("rear", "underfloor", (2500.0, 560.0), 400.0, None),
        ),
    )


def tight(route, least_mm: float, tolerance_mm: float = 0.0):
    return tight_bends(segments_of(route), least_mm, tolerance_mm)


def scaled(profile: Profile, least_mm: float):
    job = a_job(a_run("supply", "front", "rear"))
    routing = find_routes_or_explain(job, profile, plain_practice(), 10.0)
    return routing.routes[0], with_wide_bends(job, routing, plain_practice(), least_mm).routes[0], job


@pytest.mark.parametrize("least_mm", [20.0, 30.0])
def test_a_support_close_to_the_start_is_joined_further_on(least_mm):
    before, after, job = scaled(beside_a_support(), least_mm)
    assert tight(before, least_mm)
    assert not tight(after, least_mm)
    _, findings = review_route(after, job.runs[0], (), beside_a_support(), plain_practice(), 10.0)
    assert {finding.kind for finding in findings} <= {"span", "fixing missing", "bend"}
    assert any(point.along == "rail" for point in after.points)
    lengths = [
        math.dist((a.x_mm, a.y_mm, a.z_mm), (b.x_mm, b.y_mm, b.z_mm)) for a, b in pairwise(after.points)
    ]
    stations = [b.station_mm - a.station_mm for a, b in pairwise(after.points)]
    assert stations == pytest.approx(lengths)
    assert before.effort_mm < after.effort_mm < before.effort_mm + 5.0
    assert after.gap > before.gap or after.gap == pytest.approx(after.effort_mm / before.effort_mm - 1.0)


def test_the_step_between_two_heights_slides_with_the_join():
    before, after, _ = scaled(beside_a_support(height_mm=395.0), 30.0)
    assert tight(before, 30.0)
    assert not tight(after, 30.0)
    assert {point.z_mm for point in after.points if point.along == "rail"} == {395.0}


def test_where_there_is_no_room_the_corner_stays():
    """A wall of keep-outs close to the start leaves only the sharp way."""
    wall = tuple(
        a_keep_out(name, area(*corners), clearance_mm=0.0)
        for name, corners in (
            ("below", ((505.5, 0.0), (2400.0, 0.0), (2400.0, 506.9), (505.5, 506.9))),
            ("above", ((0.0, 517.1), (2400.0, 517.1), (2400.0, 1000.0), (0.0, 1000.0))),
        )
    )
    before, after, _ = scaled(beside_a_support(keep_outs=wall), 200.0)
    assert after.points[:3] == before.points[:3]
    assert min(bend.station_mm for bend in tight(after, 200.0)) < 200.0


def test_routes_with_room_are_left_alone():
    job = a_job(a_run("supply", "front", "rear"))
    routing = find_routes_or_explain(job, beside_a_support(), plain_practice(), 10.0)
    assert with_wide_bends(job, routing, plain_practice(), 1.0) is routing


@pytest.mark.parametrize("seed", range(60))
def test_both_measures_agree_on_random_ways(seed):
    """Without anything smoothed, the review finds a tight bend exactly where there is a tight piece."""
    rng = Random(seed)
    points = [(0.0, 0.0, 400.0)]
    for _ in range(rng.randint(2, 8)):
        x, y, z = points[-1]
        if rng.random() < 0.2:
            points.append((x, y, z + rng.choice([-90.0, -30.0, 30.0, 90.0])))
        else:
            points.append((x + rng.uniform(5.0, 200.0), y + rng.uniform(-150.0, 150.0), z))
    route = a_route(points)
    least_mm = rng.choice([20.0, 40.0, 80.0])
    by_review = tight(route, least_mm)
    by_planner = tight_legs(route.points, least_mm * 0.99)
    assert bool(by_review) == bool(by_planner)


@pytest.mark.parametrize("count", [50, pytest.param(1000, marks=pytest.mark.study)])
def test_random_vehicles_gain_room_and_lose_nothing(count):
    fewer = more = 0
    for seed in range(3000, 3000 + count):
        rng = Random(seed)
        profile = random_vehicle(rng)
        job, loom_mm = random_job(rng, profile), rng.choice(LOOMS_MM)
        try:
            routing = find_routes_or_explain(job, profile, plain_practice(), loom_mm)
        except NoRouteError:
            continue
        least_mm = 4.0 * loom_mm
        wide = with_wide_bends(job, routing, plain_practice(), least_mm)
        before = tight(routing.routes[0], least_mm, profile.tolerance_mm)
        after = tight(wide.routes[0], least_mm, profile.tolerance_mm)
        fewer += len(after) < len(before)
        more += len(after) > len(before)
        ends = [
            (r.points[0], r.points[-1].x_mm, r.points[-1].y_mm) for r in (routing.routes[0], wide.routes[0])
        ]
        assert ends[0] == ends[1]
        for support in profile.supports:
            line = shapely.LineString(support.along)
            for a, b in pairwise(wide.routes[0].points):
                if a.along == support.name:
                    piece = shapely.LineString([(a.x_mm, a.y_mm), (b.x_mm, b.y_mm)])
                    assert shapely.hausdorff_distance(piece, line.intersection(piece.buffer(1e-3))) < 0.01
    assert fewer >= 2
    assert more == 0
