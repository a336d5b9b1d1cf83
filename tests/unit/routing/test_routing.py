"""What routes of small vehicles look like: what was once wrong stays right."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hand_made import a_job, a_profile, a_run, default_practice

from router.errors import NoRouteError
from router.explaining import find_routes_or_explain
from router.model.plan import PassageKind, Route
from router.model.vehicle import (
    Fix,
    Hazard,
    KeepOut,
    Member,
    OverPass,
    Profile,
    Shape,
    ShapeKind,
    Space,
    SpaceKind,
    Support,
    SupportKind,
    Terminal,
)

SPACE = Space(
    "underfloor", 400.0, ((0.0, 0.0), (3000.0, 0.0), (3000.0, 1400.0), (0.0, 1400.0)), SpaceKind.UNDERFLOOR
)


def vehicle(start=(300.0, 700.0), end=(2700.0, 700.0), **parts) -> Profile:
    ends = (
        Terminal("front", "underfloor", start, 400.0, None),
        Terminal("rear", "underfloor", end, 400.0, None),
    )
    return a_profile(tolerance_mm=0.0, spaces=(SPACE,), terminals=ends, **parts)


def plan(profile: Profile, **wishes) -> Route:
    return find_routes_or_explain(
        a_job(a_run("supply", "front", "rear", **wishes)), profile, default_practice(), 10.0
    ).routes[0]


def leaning_member(*passes: tuple[float, float, float]) -> Member:
    """Return a member that leans, with passes from share to share of its line, each with its rise."""
    (ax, ay), (bx, by) = (1500.0, -50.0), (1300.0, 1450.0)

    def place(share: float) -> tuple[float, float]:
        return ax + share * (bx - ax), ay + share * (by - ay)

    tops = tuple(OverPass(place(a), place(b), rise_mm) for a, b, rise_mm in passes)
    return Member("member", "underfloor", ((ax, ay), (bx, by)), 60.0, tops)


def test_passes_that_touch_are_each_paid_for():
    """Lines that only nearly met left a gap between two passes of a leaning member, free of charge."""
    profile = vehicle(members=(leaning_member((0.3, 0.5, 0.0), (0.5, 0.7, 0.0)),))
    route = plan(profile)
    assert route.effort_mm == pytest.approx(route.routed_mm + 300.0)
    with pytest.raises(NoRouteError):
        plan(profile, avoid=("member",))


def test_over_two_touching_passes_the_loom_steps_from_rise_to_rise():
    """Not down through the member and up again where two passes meet."""
    member = leaning_member((0.3, 0.5, 60.0), (0.5, 0.7, 30.0))
    profile = vehicle(start=(1360.0, 1000.0), end=(1490.0, 400.0), members=(member,))
    route = plan(profile)
    over = [p for p in route.passages if p.kind is PassageKind.OVER_MEMBER]
    on_member = [
        point.z_mm
        for point in route.points
        if over and over[0].from_station_mm + 1.0 < point.station_mm < over[-1].to_station_mm - 61.0
    ]
    assert all(z_mm > 400.0 for z_mm in on_member)
    assert len({(a.x_mm, a.y_mm) for a in route.points}) > 3


def test_a_loom_that_hugs_the_end_of_a_pass_rises_with_it():
    """Rounding once put the loom a hair beside the pass: it then lay inside the member."""
    wall = KeepOut(
        "wall", "underfloor", Hazard.SOLID,
        Shape(ShapeKind.AREA, ((900.0, 0.0), (950.0, 0.0), (950.0, 900.0), (900.0, 900.0)), 0.0),
        None, False, 0.0,
    )  # fmt: skip
    for share in (0.311, 0.3333, 0.37, 0.41):
        member = leaning_member((0.1, share, 45.0))
        route = plan(vehicle(members=(member,), keep_outs=(wall,), end=(2700.0, 1300.0)))
        assert [p.name for p in route.passages if p.kind is PassageKind.OVER_MEMBER] == ["member"]
        assert max(point.z_mm for point in route.points) == 445.0
        rises = [abs(b.z_mm - a.z_mm) for a, b in pairwise(route.points)]
        assert sum(rises) == pytest.approx(90.0)


def test_a_ride_past_a_corner_of_a_support_keeps_the_corner():
    """The place of leaving slides along the support; a corner of the support on the way stays a corner."""
    along = ((300.0, 600.0), (1400.0, 600.0), (2000.0, 640.0), (2900.0, 900.0))
    support = Support("rail", "underfloor", SupportKind.RAIL, along, 400.0, Fix.TIE)
    left_at = set()
    for end_x in range(1500, 2700, 60):
        route = plan(vehicle(start=(310.0, 605.0), end=(float(end_x), 560.0), supports=(support,)))
        ridden = [(a, b) for a, b in pairwise(route.points) if a.along == "rail"]
        for a, b in ridden:
            for point in (a, b):
                nearest = min(
                    _distance((point.x_mm, point.y_mm), one, other) for one, other in pairwise(along)
                )
                assert nearest < 1e-6
            assert any(
                _distance((a.x_mm, a.y_mm), one, other) < 1e-6
                and _distance((b.x_mm, b.y_mm), one, other) < 1e-6
                for one, other in pairwise(along)
            ), "a ridden piece cuts the corner"
        left_at.add(round(ridden[-1][1].x_mm))
    assert len(left_at) > 10


def _distance(p, a, b) -> float:
    ux, uy = b[0] - a[0], b[1] - a[1]
    share = min(1.0, max(0.0, ((p[0] - a[0]) * ux + (p[1] - a[1]) * uy) / (ux * ux + uy * uy)))
    return math.dist(p, (a[0] + share * ux, a[1] + share * uy))


def test_a_support_that_is_shut_all_along_is_no_support():
    keep_out = KeepOut(
        "pipe", "underfloor", Hazard.SOLID, Shape(ShapeKind.LINE, ((500.0, 900.0), (2500.0, 900.0)), 30.0),
        None, False, None,
    )  # fmt: skip
    support = Support(
        "rail", "underfloor", SupportKind.RAIL, ((600.0, 900.0), (2400.0, 900.0)), 400.0, Fix.TIE
    )
    route = plan(vehicle(keep_outs=(keep_out,), supports=(support,)))
    assert route.routed_mm == pytest.approx(2400.0)


def test_no_way_is_told_even_where_the_widest_way_lies_on_a_keep_outs_own_line():
    wall = KeepOut(
        "wall", "underfloor", Hazard.SOLID, Shape(ShapeKind.LINE, ((1500.0, 0.0), (1500.0, 1400.0)), 0.0),
        None, False, 0.0,
    )  # fmt: skip
    with pytest.raises(NoRouteError, match="wall"):
        plan(vehicle(keep_outs=(wall,)))
