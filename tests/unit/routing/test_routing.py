"""What routes of small vehicles look like: what was once wrong stays right."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from small_vehicle import a_job, a_keep_out, a_profile, a_run, box, disc, line, plain_practice

from router.errors import NoRouteError
from router.explaining import find_routes_or_explain
from router.model.plan import PassageKind, Route
from router.model.vehicle import (
    Edge,
    Fix,
    Hazard,
    KeepOut,
    Member,
    OverPass,
    Profile,
    Space,
    SpaceKind,
    Support,
    SupportKind,
    Terminal,
    ThroughPass,
)
from router.routing.loom_on_vehicle import LoomOnVehicle

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
        a_job(a_run("supply", "front", "rear", **wishes)), profile, plain_practice(), 10.0
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


@pytest.mark.parametrize("lean_mm", range(-600, 601, 50))
def test_over_a_leaning_member_both_rises_are_on_it(lean_mm):
    """Straight ahead through a band of 60 and 10 mm, aslant by its lean, and 45 mm up and down."""
    ends = (1500.0 - lean_mm, 0.0), (1500.0 + lean_mm, 1400.0)
    along = [(1500.0 + share * lean_mm, 700.0 + share * 700.0) for share in (-0.1, 0.1)]
    member = Member("member", "underfloor", ends, 60.0, (OverPass(*along, 45.0),))
    (over,) = (p for p in plan(vehicle(members=(member,))).passages if p.kind is PassageKind.OVER_MEMBER)
    aslant = math.hypot(lean_mm, 700.0) / 700.0
    assert over.to_station_mm - over.from_station_mm == pytest.approx(70.0 * aslant + 2 * 45.0)


def wall(*passes: OverPass | ThroughPass) -> Member:
    """Return a member straight across the vehicle, 60 mm wide."""
    return Member("wall", "underfloor", ((1500.0, 0.0), (1500.0, 1400.0)), 60.0, passes)


def body(x: float, y: float, radius_mm: float, heights=None) -> KeepOut:
    return a_keep_out("body", disc(x, y, radius_mm), heights_mm=heights, clearance_mm=0.0)


def passed_at_y(route: Route) -> float:
    """Return how far to the right a route is where it meets the middle of the wall."""
    return next(
        a.y_mm + (1500.0 - a.x_mm) / (b.x_mm - a.x_mm) * (b.y_mm - a.y_mm)
        for a, b in pairwise(route.points)
        if a.x_mm < 1500.0 <= b.x_mm
    )


HOLES = (ThroughPass((1500.0, 700.0), 30.0, Edge.RUBBER), ThroughPass((1500.0, 1000.0), 30.0, Edge.RUBBER))
"""The first lies on the straight line between the ends."""


def test_a_hole_is_taken_where_its_straight_way_is_free():
    assert passed_at_y(plan(vehicle(members=(wall(*HOLES),)))) == pytest.approx(700.0)


@pytest.mark.parametrize("x", [1480.0, 1520.0])
def test_a_hole_with_a_body_in_its_straight_way_is_not_taken(x):
    """The body lies inside the wall, so that only the way through the hole meets it."""
    route = plan(vehicle(members=(wall(*HOLES),), keep_outs=(body(x, 700.0, 5.0),)))
    assert passed_at_y(route) == pytest.approx(1000.0)


def test_a_hole_that_another_member_lies_across_is_not_taken():
    across = Member("rib", "underfloor", ((1510.0, 650.0), (1510.0, 750.0)), 10.0, ())
    assert passed_at_y(plan(vehicle(members=(wall(*HOLES), across)))) == pytest.approx(1000.0)


@pytest.mark.parametrize(("edge", "y"), [(Edge.RUBBER, 700.0), (Edge.BARE, 1000.0)])
def test_a_bare_hole_is_taken_only_where_a_grommet_fits_round_the_loom(edge, y):
    """A loom of 10 mm goes through 12 mm, but not with two walls of a grommet, 2 mm each, in it."""
    assert plain_practice().value("opening", "grommet wall") == 2.0
    holes = (ThroughPass((1500.0, 700.0), 12.0, edge), HOLES[1])
    assert passed_at_y(plan(vehicle(members=(wall(*holes),)))) == pytest.approx(y)


def test_over_a_member_the_rise_is_paid_up_and_down():
    """2400 mm ahead, 60 mm up and 60 mm down, and what a member costs: 300 mm."""
    route = plan(vehicle(members=(wall(PASSES[0]),)))
    assert route.routed_mm == pytest.approx(2520.0)
    assert route.effort_mm == pytest.approx(2520.0 + plain_practice().value("amount", "member"))


@pytest.mark.parametrize(("share", "is_warm"), [(0.5, True), (1.1, False)])
def test_beside_heat_a_band_beyond_its_clearance_is_warm(share, is_warm):
    """A hot wall along the whole way, so far beside it that a share of the band lies between."""
    practice = plain_practice()
    band_mm, clearance_mm = practice.value("warm", "band"), practice.value("clearance", "hot")
    away_mm = clearance_mm + share * band_mm + 5.0  # half the loom
    hot = a_keep_out("pipe", box(0.0, 700.0 + away_mm, 3000.0, 1399.0), Hazard.HOT)
    route = plan(vehicle(keep_outs=(hot,), start=(300.0, 700.0)))
    assert any(p.kind is PassageKind.WARM for p in route.passages) == is_warm
    assert (route.effort_mm > route.routed_mm + 1.0) == is_warm


PASSES = (
    OverPass((1500.0, 600.0), (1500.0, 800.0), 60.0),
    OverPass((1500.0, 900.0), (1500.0, 1100.0), 60.0),
)


@pytest.mark.parametrize(
    ("heights", "is_shut"),
    [
        ((440.0, 480.0), True),  # the loom, 10 mm thick, rises from 395..405 mm to 455..465 mm: into it
        ((340.0, 380.0), False),  # below the loom, which goes up and away from it
        ((470.0, 500.0), False),  # above all of it
    ],
)
def test_over_a_member_a_loom_keeps_clear_at_every_height_up_to_its_rise(heights, is_shut):
    """A body over the whole first pass; the second one is a long way round."""
    bodies = (body(1500.0, 700.0, 130.0, heights),)
    route = plan(vehicle(members=(wall(*PASSES),), keep_outs=bodies))
    y = passed_at_y(route)
    assert 900.0 <= y <= 1100.0 if is_shut else y == pytest.approx(700.0)


@pytest.mark.parametrize(("low_mm", "lifted_mm"), [(465.5, 460.0), (467.1, 461.035)])
def test_on_a_support_a_loom_is_lifted_over_a_member_from_where_it_lies_there(low_mm, lifted_mm):
    """The support climbs from 400 to 402 mm: over the member a loom on it reaches up to 401 + 60 + 5 mm.

    A body that this touches sends it off the support, down to 400 + 60 + 5 mm, for so long. One over 467 mm
    is clear of the support wherever it is highest in that part of it.
    """
    along = ((500.0, 700.0), (2500.0, 700.0))
    rail = Support("rail", "underfloor", SupportKind.RAIL, along, 400.0, Fix.TIE, (400.0, 402.0))
    over = body(1500.0, 700.0, 130.0, (low_mm, 600.0))
    route = plan(vehicle(members=(wall(*PASSES),), supports=(rail,), keep_outs=(over,)))
    assert "rail" in {point.along for point in route.points}
    assert passed_at_y(route) == pytest.approx(700.0, abs=1.0)
    assert max(point.z_mm for point in route.points) == pytest.approx(lifted_mm, abs=0.001)


def test_a_loom_that_hugs_the_end_of_a_pass_rises_with_it():
    """Rounding once put the loom a hair beside the pass: it then lay inside the member."""
    wall = a_keep_out("wall", box(900.0, 0.0, 950.0, 900.0), clearance_mm=0.0)
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
    keep_out = a_keep_out("pipe", line((500.0, 900.0), (2500.0, 900.0), width_mm=60.0))
    support = Support(
        "rail", "underfloor", SupportKind.RAIL, ((600.0, 900.0), (2400.0, 900.0)), 400.0, Fix.TIE
    )
    route = plan(vehicle(keep_outs=(keep_out,), supports=(support,)))
    assert route.routed_mm == pytest.approx(2400.0)


def test_no_way_is_told_even_where_the_widest_way_lies_on_a_keep_outs_own_line():
    wall = a_keep_out("wall", line((1500.0, 0.0), (1500.0, 1400.0), width_mm=0.0), clearance_mm=0.0)
    with pytest.raises(NoRouteError, match="wall"):
        plan(vehicle(keep_outs=(wall,)))


def test_a_drop_at_a_hole_belongs_to_passing_it():
    """The rail lies 15 mm above the hole; the band is 60 + 10 mm: 15 + 70 + 15, and a hair to either side."""
    rail = Support("rail", "underfloor", SupportKind.RAIL, ((350.0, 700.0), (2650.0, 700.0)), 415.0, Fix.TIE)
    route = plan(vehicle(members=(wall(HOLES[0]),), supports=(rail,)))
    (through,) = (each for each in route.passages if each.kind is PassageKind.THROUGH_MEMBER)
    assert through.to_station_mm - through.from_station_mm == pytest.approx(100.0, abs=2.0)
    assert [p.along for p in route.points if p.along] == ["rail", "rail"]


def test_where_passes_overlap_the_member_is_passed_once():
    """Aslant over two passes that overlap: once, on the longer part, at the cost of one."""
    tops = OverPass((1500.0, 300.0), (1500.0, 720.0), 0.0), OverPass((1500.0, 690.0), (1500.0, 1300.0), 0.0)
    member = wall(*tops)
    profile = vehicle(start=(1300.0, 600.0), end=(1700.0, 800.0), members=(member,))
    route = plan(profile)
    (over,) = (each for each in route.passages if each.kind is PassageKind.OVER_MEMBER)
    assert over.to_station_mm - over.from_station_mm == pytest.approx(70.0 * math.hypot(2, 1) / 2, abs=0.01)
    assert route.effort_mm == pytest.approx(route.routed_mm + 300.0)


@pytest.mark.parametrize("fix", list(Fix))
def test_a_line_that_takes_no_fixing_is_not_followed(fix):
    """It lies beside the straight way, where following it would be cheaper."""
    line = Support("line", "underfloor", SupportKind.LINE, ((350.0, 690.0), (2650.0, 690.0)), 400.0, fix)
    followed = {point.along for point in plan(vehicle(supports=(line,))).points} - {None}
    assert followed == (set() if fix is Fix.NEVER else {"line"})


def test_a_support_of_another_space_is_not_followed():
    line = Support("line", "above", SupportKind.RAIL, ((350.0, 690.0), (2650.0, 690.0)), 400.0, Fix.TIE)
    profile = vehicle(supports=(line,))
    above = Space("above", 400.0, SPACE.outline, SpaceKind.LOAD_AREA)
    assert {p.along for p in plan(replace(profile, spaces=(SPACE, above))).points} == {None}


def test_a_pinch_scales_the_loom_too_unless_only_some_clearances_are_scaled():
    """Half of a loom of 10 mm goes through 5 mm; where one keep-out is scaled, holes are as they were."""
    whole = LoomOnVehicle(vehicle(), plain_practice(), 5.0)
    assert whole.body_radius_mm == 5.0
    assert replace(whole, clearance_factor=0.5).body_radius_mm == 2.5
    assert replace(whole, clearance_factor=0.5, scaled=frozenset({"tank"})).body_radius_mm == 5.0
