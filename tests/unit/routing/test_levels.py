"""Steps of a space and supports that rise: where a loom lies, what that costs, and what is in its way."""

import math
from itertools import pairwise

import pytest
from small_vehicle import a_profile, box, plain_practice, rectangle, star_job

from router.model.vehicle import (
    Drill,
    Fix,
    Hazard,
    KeepOut,
    Member,
    OverPass,
    Panel,
    Space,
    SpaceKind,
    Step,
    Support,
    SupportKind,
    Terminal,
)
from router.routing import NoPathError, find_routes
from router.routing.levels import borders_of, level_pieces

LOOM_MM = 10.0
MOVING_MM = 25.0
"""Clearance of a moving part in the default practice; the vehicles here have no tolerance."""
RAISED = Step(rectangle(1200, -10, 2000, 1010), 650.0)
AXLE = KeepOut("axle", None, Hazard.MOVING, box(1100, 200, 1400, 800), (450.0, 600.0), False, None)
RAMP = Support(
    "rail", "floor", SupportKind.RAIL,
    ((300, 450), (1100, 450), (1300, 450), (1900, 450), (2100, 450), (2700, 450)),
    380.0, Fix.TIE, (380.0, 380.0, 640.0, 640.0, 380.0, 380.0),
)  # fmt: skip


def route(*, steps=(RAISED,), practice=None, **parts):
    floor = Space("floor", 400.0, rectangle(0, 0, 3000, 1000), SpaceKind.UNDERFLOOR, steps)
    ends = [
        Terminal(name, "floor", at, 400.0, None) for name, at in (("post", (100, 500)), ("lamp", (2900, 500)))
    ]
    profile = a_profile(tolerance_mm=0.0, spaces=(floor,), terminals=tuple(ends), **parts)
    return find_routes(star_job(["lamp"]), profile, practice or plain_practice(), LOOM_MM)


def places(routing):
    return [(p.x_mm, p.y_mm, p.z_mm) for p in routing.routes[0].points]


def least_mm(routing, keep_out):
    """Return the least distance from the loom's outside to a box, by places 1 mm apart."""
    (low_x, low_y), (high_x, high_y) = keep_out.shape.points[0], keep_out.shape.points[2]
    found = []
    for a, b in zip(places(routing), places(routing)[1:], strict=False):
        count = max(1, math.ceil(math.dist(a, b)))
        for k in range(count + 1):
            x, y, z = (p + k / count * (q - p) for p, q in zip(a, b, strict=True))
            dx, dy = max(low_x - x, 0.0, x - high_x), max(low_y - y, 0.0, y - high_y)
            dz = max(keep_out.heights_mm[0] - z, 0.0, z - keep_out.heights_mm[1])
            found.append(math.hypot(dx, dy, dz) - LOOM_MM / 2)
    return min(found)


def test_a_loom_rises_at_the_border_of_a_step_and_pays_for_it():
    """2800 mm ahead, 250 mm up and 250 mm down."""
    routing = route()
    assert places(routing) == [
        (100, 500, 400), (1200, 500, 400), (1200, 500, 650),
        (2000, 500, 650), (2000, 500, 400), (2900, 500, 400),
    ]  # fmt: skip
    assert routing.effort_mm / plain_practice().value("factor", "open") == pytest.approx(3300.0)


def test_a_rise_keeps_clear_of_what_level_pieces_pass_above_and_below():
    """The axle lies 45 mm above one level and 45 mm below the other, and right where they meet."""
    routing = route(keep_outs=(AXLE,))
    assert least_mm(routing, AXLE) >= MOVING_MM
    (rise,) = {p[1] for p in places(routing) if p[0] == 1200.0}
    assert min(abs(rise - 200.0), abs(rise - 800.0)) == pytest.approx(MOVING_MM + LOOM_MM / 2, abs=0.5)
    assert routing.effort_mm > route().effort_mm


def test_a_rising_support_is_followed_at_its_true_length():
    """On it 800 + 600 + 600 mm level and twice the hypotenuse of 200 and 260; open ground at both ends."""
    routing = route(supports=(RAMP,))
    route_mm = routing.routes[0].points[-1].station_mm
    rail_mm, ends_mm = 2000.0 + 2.0 * math.hypot(200.0, 260.0), 2.0 * (math.hypot(200.0, 50.0) + 20.0)
    assert route_mm == pytest.approx(rail_mm + ends_mm)
    assert [p[2] for p in places(routing)] == [400, 400, 380, 380, 640, 640, 380, 380, 400, 400]


def test_a_rising_support_is_left_before_what_its_rise_would_come_near():
    routing = route(supports=(RAMP,), keep_outs=(AXLE,))
    assert least_mm(routing, AXLE) >= MOVING_MM
    assert {p.along for p in routing.routes[0].points} == {None, "rail"}


@pytest.mark.parametrize("end_x", [1949.325, 1949.7, 1950.0 + 1.0 / 3.0])
def test_from_the_end_of_a_support_at_the_height_of_the_floor_a_loom_goes_on_level(end_x):
    """Its end lies on no place of the search's fine grid: the height there is the floor's, exactly."""
    slope = Support(
        "rail", "floor", SupportKind.RAIL, ((300.1, 451.3), (end_x, 494.05)), 340.0, Fix.TIE, (340.0, 400.0)
    )
    found = route(steps=(), supports=(slope,)).routes[0].points
    assert "rail" in {p.along for p in found}
    assert [a.z_mm for a in found if a.x_mm > 1900.0 and a.along is None] == [400.0, 400.0]


def test_over_a_member_a_loom_is_lifted_off_a_sloping_support_by_the_rise_alone():
    """The support climbs 120 mm in 2400; the member's band of 60 and 10 mm begins 1165 mm along it."""
    slope = Support(
        "rail", "floor", SupportKind.RAIL, ((300, 450), (2700, 450)), 380.0, Fix.TIE, (380.0, 500.0)
    )
    over = OverPass((1500, 400), (1500, 600), 40.0)
    member = Member("beam", "floor", ((1500, -10), (1500, 1010)), 60.0, (over,))
    routing = route(steps=(), supports=(slope,), members=(member,))
    found = [p for p in places(routing) if 1400.0 < p[0] < 1600.0]
    low_mm, high_mm = 380.0 + 1165.0 * 0.05, 380.0 + 1235.0 * 0.05
    expected = [
        (1465, 450, low_mm), (1465, 450, low_mm + 40.0), (1535, 450, high_mm + 40.0), (1535, 450, high_mm),
    ]  # fmt: skip
    assert len(found) == len(expected)
    for at, wanted in zip(found, expected, strict=True):
        assert at == pytest.approx(wanted, abs=0.01)


def is_followed(routing):
    return "rail" in {point.along for point in routing.routes[0].points}


@pytest.mark.parametrize(("climb_mm", "is_worth_it"), [(100.0, True), (300.0, False)])
def test_a_support_that_goes_up_and_down_costs_its_true_length(climb_mm, is_worth_it):
    """Every 200 mm it climbs or falls by that: 0.7 x hypot(1, 0.5) = 0.78 a mm ahead, 0.7 x 1.80 = 1.26."""
    xs = range(300, 2701, 200)
    heights = tuple(400.0 + climb_mm * (number % 2) for number in range(len(xs)))
    along = tuple((float(x), 500.0) for x in xs)
    rail = Support("rail", "floor", SupportKind.RAIL, along, 400.0, Fix.TIE, heights)
    assert is_followed(route(steps=(), supports=(rail,))) == is_worth_it


@pytest.mark.parametrize(("up_mm", "is_worth_it"), [(400.0, True), (440.0, False)])
def test_going_up_to_a_support_and_down_again_is_paid(up_mm, is_worth_it):
    """Of 2800 mm it saves 0.3 x 2800 = 840 mm, for the climb twice."""
    rail = Support("rail", "floor", SupportKind.RAIL, ((100, 500), (2900, 500)), 400.0 + up_mm, Fix.TIE)
    assert is_followed(route(steps=(), supports=(rail,))) == is_worth_it


@pytest.mark.parametrize(("heights", "joined_x"), [((440.0, 480.0), 905.0), ((340.0, 380.0), 300.0)])
def test_a_support_is_joined_where_nothing_is_in_the_way_of_the_rise(heights, joined_x):
    """Looms of 10 mm lie at 400 mm, on the support at 520: clear of the body between, but not the rise."""
    rail = Support("rail", "floor", SupportKind.RAIL, ((300, 500), (2700, 500)), 520.0, Fix.TIE)
    between = KeepOut("box", None, Hazard.SOLID, box(250, 300, 900, 700), heights, False, 0.0)
    found = places(route(steps=(), supports=(rail,), keep_outs=(between,)))
    first_up = next(a for a, b in pairwise(found) if a[2] == 400.0 and b[2] == 520.0)
    assert first_up[0] == pytest.approx(joined_x, abs=0.5)


@pytest.mark.parametrize("low_mm", [406.5, 407.5])
def test_a_support_that_climbs_a_little_is_left_where_its_higher_end_would_touch(low_mm):
    """From 400 to 402 mm, so that the loom's top is at 405 to 407 mm: under the body at 406.67 to 406.83."""
    rail = Support(
        "rail", "floor", SupportKind.RAIL, ((300, 500), (2700, 500)), 400.0, Fix.TIE, (400.0, 402.0)
    )
    over = KeepOut("box", None, Hazard.SOLID, box(2300, 0, 2500, 1000), (low_mm, 600.0), False, 0.0)
    found = route(steps=(), supports=(rail,), keep_outs=(over,))
    assert is_followed(found)
    if low_mm > 407.0:
        assert least_mm(found, over) == pytest.approx(low_mm - 406.833, abs=0.01)
    else:
        assert least_mm(found, over) >= 0.0


def test_a_body_over_a_panel_is_no_matter_below_it_but_without_the_panel_it_is():
    box_above = KeepOut("box", None, Hazard.SOLID, box(1000, -50, 1100, 1050), (405.0, 600.0), False, None)
    floor = Panel("deck", ("floor", "load area"), 405.0, None, None, Drill.NEVER)
    with pytest.raises(NoPathError, match="lamp"):
        route(steps=(), keep_outs=(box_above,))
    assert places(route(steps=(), keep_outs=(box_above,), panels=(floor,))) == [
        (100, 500, 400),
        (2900, 500, 400),
    ]


def test_steps_that_meet_have_one_border_between_them():
    steps = (Step(rectangle(0, 0, 100, 100), 500.0), Step(rectangle(100, 0, 200, 100), 600.0))
    space = Space("floor", 400.0, rectangle(-100, -100, 300, 200), None, steps)
    found = {(border.heights_mm, round(border.line.length)) for border in borders_of(space)}
    assert found == {((400.0, 500.0), 300), ((400.0, 600.0), 300), ((500.0, 600.0), 100)}
    pieces = list(level_pieces(space, (-50.0, 50.0), (250.0, 50.0)))
    assert [(a[0], b[0], mm) for a, b, mm in pieces] == [
        (-50.0, 0.0, 400.0), (0.0, 100.0, 500.0), (100.0, 200.0, 600.0), (200.0, 250.0, 400.0),
    ]  # fmt: skip
