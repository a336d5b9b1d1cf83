"""Sweeps round what a corner hugs: clearance by the review, curvature by three points on a circle."""

from __future__ import annotations

import math
from itertools import pairwise
from random import Random

import pytest
import shapely
from small_vehicle import a_job, a_keep_out, a_profile, a_run, box, line, plain_practice

from router.explaining import find_routes_or_explain
from router.model.vehicle import Profile, Space, SpaceKind, Terminal
from router.reviewing import review_route
from router.routing import with_wide_bends
from router.routing.rounding import sweep

SPACE = Space(
    "underfloor", 400.0, ((0.0, 0.0), (3000.0, 0.0), (3000.0, 1400.0), (0.0, 1400.0)), SpaceKind.UNDERFLOOR
)


def round_a_post(end_y_mm: float) -> Profile:
    """Return a vehicle in which a run turns sharply round the end of a thin wall."""
    wall = line((1500.0, 0.0), (1500.0, 900.0), width_mm=2.0)
    return a_profile(
        tolerance_mm=0.0,
        spaces=(SPACE,),
        keep_outs=(a_keep_out("wall", wall),),
        terminals=(
            Terminal("front", "underfloor", (900.0, 300.0), 400.0, None),
            Terminal("rear", "underfloor", (2100.0, end_y_mm), 400.0, None),
        ),
    )


def turns(route) -> list[float]:
    plan = [(p.x_mm, p.y_mm) for p in route.points]
    headings = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in pairwise(plan)]
    return [abs(math.remainder(b - a, 2.0 * math.pi)) for a, b in pairwise(headings)]


@pytest.mark.parametrize("end_y_mm", [200.0, 300.0, 600.0])
@pytest.mark.parametrize("least_mm", [60.0, 120.0])
def test_a_sharp_turn_round_a_post_becomes_an_arc_that_keeps_clear(end_y_mm, least_mm):
    profile, job = round_a_post(end_y_mm), a_job(a_run("supply", "front", "rear"))
    routing = find_routes_or_explain(job, profile, plain_practice(), 10.0)
    wide = with_wide_bends(job, routing, plain_practice(), least_mm)
    before, after = routing.routes[0], wide.routes[0]
    assert len(after.points) > 5
    assert max(turns(after)) <= math.radians(10.0) + 1e-9
    pieces_mm = [b.station_mm - a.station_mm for a, b in pairwise(after.points)]
    for number, (one, other) in enumerate(pairwise(turns(after)), start=1):  # tangents of one circle
        assert pieces_mm[number] >= least_mm * (math.tan(one / 2.0) + math.tan(other / 2.0))
    _, findings = review_route(after, job.runs[0], (), profile, plain_practice(), 10.0, widest_wire_mm=6.0)
    assert {finding.kind for finding in findings} <= {"span", "fixing missing"}
    assert before.routed_mm < after.routed_mm < before.routed_mm * 1.05
    assert after.effort_mm == pytest.approx(after.routed_mm)
    assert after.gap >= after.effort_mm / before.effort_mm - 1.0 - 1e-12


def test_a_corner_in_the_open_is_left_as_it_is():
    """Its arc lies inside it, and is free: a corner stands for it."""
    profile, job = round_a_post(300.0), a_job(a_run("supply", "front", "rear"))
    routing = find_routes_or_explain(job, profile, plain_practice(), 10.0)
    assert with_wide_bends(job, routing, plain_practice(), 5.0) is routing


def test_where_a_sweep_is_not_free_the_corner_stays():
    """A block beside the way leaves room for the loom, and none for the sweep."""
    profile = round_a_post(300.0)
    narrow = a_keep_out("block", box(1180.0, 690.0, 1260.0, 1399.0))
    profile = a_profile(
        tolerance_mm=0.0, spaces=(SPACE,), keep_outs=(*profile.keep_outs, narrow), terminals=profile.terminals
    )
    job = a_job(a_run("supply", "front", "rear"))
    routing = find_routes_or_explain(job, profile, plain_practice(), 10.0)
    assert with_wide_bends(job, routing, plain_practice(), 400.0).routes == routing.routes


def test_a_sweep_holds_its_corner_and_is_nowhere_sharper_than_its_circle():
    rng = Random(3)
    for _ in range(500):
        start, goal = (0.0, 0.0), (rng.uniform(300.0, 900.0), rng.uniform(-100.0, 100.0))
        corner = (rng.uniform(100.0, 200.0), rng.choice([-1, 1]) * rng.uniform(120.0, 400.0))
        radius_mm, outward_mm = rng.uniform(10.0, 60.0), rng.choice([0.0, 2.0, 8.0])
        points = sweep(start, [corner], goal, radius_mm, outward_mm)
        assert points is not None
        inside = shapely.Polygon([start, *points, goal])
        assert inside.buffer(1e-6).covers(shapely.Point(corner))
        assert inside.exterior.distance(shapely.Point(corner)) >= outward_mm * 0.99 - 1e-6
        lengths = [math.dist(a, b) for a, b in pairwise(points)]
        steps = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in pairwise([start, *points, goal])]
        turned = [abs(math.remainder(b - a, 2.0 * math.pi)) for a, b in pairwise(steps)]
        assert max(turned) <= math.radians(10.0) + 1e-9
        for length_mm, one, other in zip(lengths, turned, turned[1:], strict=False):
            assert length_mm / (math.tan(one / 2.0) + math.tan(other / 2.0)) == pytest.approx(radius_mm)


def test_there_is_no_sweep_where_an_end_lies_in_the_circle():
    assert sweep((0.0, 0.0), [(10.0, 30.0)], (300.0, 0.0), 200.0, 0.0) is None
