"""Small vehicles with one way that fitters agree on, and why: what is planned is that way. mm.

Nothing here says how much anything costs: the practice that comes along must choose as a good fitter would.
A vehicle is an underfloor of 3000 by 1400 where a loom lies at 400, its ends amid the short sides.
"""

from __future__ import annotations

import math

import pytest
from small_vehicle import (
    a_job,
    a_keep_out,
    a_profile,
    a_run,
    box,
    default_practice,
    disc,
    line,
    practice_with,
    rectangle,
)

from router.explaining import find_routes_or_explain
from router.model.plan import PassageKind, Route
from router.model.vehicle import (
    Drill,
    Edge,
    ExposedArea,
    Fix,
    Hazard,
    Member,
    OverPass,
    Panel,
    Profile,
    Space,
    SpaceKind,
    Step,
    Support,
    SupportKind,
    Terminal,
    ThroughPass,
)

LEVEL_MM = 400.0
WHOLE = rectangle(0.0, 0.0, 3000.0, 1400.0)
HEIGHTS_MM = (350.0, 450.0)


def vehicle(*, start=(100.0, 700.0), end=(2900.0, 700.0), kind=SpaceKind.UNDERFLOOR, steps=(), **parts):
    """Return a vehicle of one space to lie in, and of another one above it."""
    spaces = (Space("here", LEVEL_MM, WHOLE, kind, steps), Space("above", 900.0, WHOLE, SpaceKind.CABIN))
    ends = (
        Terminal("front", "here", start, LEVEL_MM, None),
        Terminal("rear", "here", end, LEVEL_MM, None),
    )
    return a_profile(tolerance_mm=0.0, spaces=spaces, terminals=ends, **parts)


def routed(profile: Profile, practice=None) -> Route:
    job = a_job(a_run("supply", "front", "rear"))
    return find_routes_or_explain(job, profile, practice or default_practice(), 10.0).routes[0]


def a_support(name, *along, fix=Fix.TIE, kind=SupportKind.FLANGE):
    return Support(name, "here", kind, along, LEVEL_MM, fix)


def a_floor_panel(area=None, drill=Drill.ALLOWED):
    return Panel("floor", ("here", "above"), 410.0, None, area, drill)


def a_body(name, shape, hazard=Hazard.SOLID, **parts):
    return a_keep_out(name, shape, hazard, space=None, heights_mm=HEIGHTS_MM, **parts)


def length_along(route: Route, name: str | None) -> float:
    pairs = zip(route.points, route.points[1:], strict=False)
    return sum(b.station_mm - a.station_mm for a, b in pairs if a.along == name)


def furthest_y(route: Route) -> float:
    """Return the y of the place that is furthest from the middle line."""
    return max((point.y_mm for point in route.points), key=lambda y: abs(y - 700.0))


def lengths_in(route: Route, kind: PassageKind) -> float:
    return sum(p.to_station_mm - p.from_station_mm for p in route.passages if p.kind is kind)


BULGE_MM = 1400.0 * math.sqrt(1.05**2 - 1.0)
"""How far a support of two straight pieces swings aside that is 5 % longer than the straight line."""


@pytest.mark.parametrize(
    "practice", [default_practice(), practice_with({("factor", "along a support"): 1.0})]
)
def test_ties_round_a_flange_come_before_a_row_of_drilled_holes(practice):
    """Ten cuts of a tie cutter take a minute; nine holes to drill, paint and seal an hour."""
    flange = a_support("flange", (100.0, 700.0), (1500.0, 700.0 + BULGE_MM), (2900.0, 700.0))
    route = routed(vehicle(supports=(flange,), panels=(a_floor_panel(),)), practice)
    assert length_along(route, "flange") == pytest.approx(1.05 * 2800.0, abs=1.0)


def test_studs_that_are_there_come_before_a_drilled_floor():
    studs = a_support("studs", (100.0, 900.0), (2900.0, 900.0), fix=Fix.CLIP, kind=SupportKind.STUD_ROW)
    route = routed(vehicle(supports=(studs,), panels=(a_floor_panel(),)))
    assert length_along(route, "studs") > 2400.0


def test_holes_that_are_there_come_before_a_drilled_floor():
    holes = a_support("holes", (100.0, 500.0), (2900.0, 500.0), fix=Fix.CLIP, kind=SupportKind.HOLES)
    route = routed(vehicle(supports=(holes,), panels=(a_floor_panel(),)))
    assert length_along(route, "holes") > 2400.0


def test_two_holes_come_before_a_support_all_round_the_vehicle():
    """For 600 mm nobody lays two metres more of cable to save two holes."""
    flange = a_support("flange", (100.0, 700.0), (100.0, 50.0), (700.0, 50.0), (700.0, 700.0))
    profile = vehicle(end=(700.0, 700.0), supports=(flange,), panels=(a_floor_panel(),))
    assert routed(profile).routed_mm == pytest.approx(600.0)


def test_of_two_supports_alike_the_one_that_takes_a_tie_is_followed():
    """A tie goes on anywhere; a clip has to fit the edge and be bought."""
    tied = a_support("tied", (100.0, 900.0), (2900.0, 900.0))
    clipped = a_support("clipped", (100.0, 500.0), (2900.0, 500.0), fix=Fix.CLIP)
    route = routed(vehicle(supports=(clipped, tied)))
    assert length_along(route, "tied") > 2400.0 and not length_along(route, "clipped")


def test_a_panel_that_may_be_drilled_comes_before_free_air():
    """A block in the middle; on one side of it there is sheet to fix to, on the other only brackets hold."""
    block = a_body("block", box(1000.0, 500.0, 2000.0, 930.0))
    beyond = a_floor_panel(rectangle(0.0, 700.0, 3000.0, 1400.0))
    route = routed(vehicle(keep_outs=(block,), panels=(beyond,)))
    assert furthest_y(route) > 930.0
    never = a_floor_panel(rectangle(0.0, 700.0, 3000.0, 1400.0), Drill.NEVER)
    assert furthest_y(routed(vehicle(keep_outs=(block,), panels=(never,)))) == pytest.approx(485.0, abs=1.0)


def test_a_bulkhead_that_may_be_drilled_is_followed():
    """Ends 60 mm off a sheet: along it the P-clips have something to sit on."""
    bulkhead = Panel(
        "bulkhead", ("here", "above"), None, ((0.0, 600.0), (3000.0, 600.0)), None, Drill.ALLOWED
    )
    profile = vehicle(start=(100.0, 660.0), end=(2900.0, 660.0), panels=(bulkhead,))
    on_it = [p for p in routed(profile).points if abs(p.y_mm - 600.0) <= 25.0 + 1e-3]
    assert max(p.x_mm for p in on_it) - min(p.x_mm for p in on_it) > 2400.0


def test_the_side_away_from_the_tyre_is_taken_where_it_is_free():
    """Clear of the tyre is clear of it, and still the side where it throws stones is the second best."""
    block = a_body("block", box(1000.0, 600.0, 2000.0, 790.0))
    tyre = a_body("tyre", box(1000.0, 870.0, 2000.0, 1400.0), Hazard.MOVING)
    assert furthest_y(routed(vehicle(keep_outs=(block,)))) > 790.0
    assert furthest_y(routed(vehicle(keep_outs=(block, tyre)))) < 600.0


def test_of_two_supports_the_one_away_from_the_propshaft_is_followed():
    shaft = a_body("propshaft", line((500.0, 985.0), (2500.0, 985.0), width_mm=80.0), Hazard.MOVING)
    near = a_support("near", (100.0, 900.0), (2900.0, 900.0))
    away = a_support("away", (100.0, 495.0), (2900.0, 495.0))
    assert length_along(routed(vehicle(supports=(near, away))), "near") > 2400.0
    assert length_along(routed(vehicle(supports=(near, away), keep_outs=(shaft,))), "away") > 2400.0


def test_where_there_is_no_other_way_the_loom_goes_beside_moving_parts():
    wall = a_body("wall", box(1000.0, 0.0, 2000.0, 790.0))
    tyre = a_body("tyre", box(1000.0, 870.0, 2000.0, 1400.0), Hazard.MOVING)
    route = routed(vehicle(keep_outs=(wall, tyre)))
    assert lengths_in(route, PassageKind.NEAR_MOVING) > 900.0


def test_the_side_away_from_the_exhaust_is_taken():
    block = a_body("block", box(1000.0, 600.0, 2000.0, 790.0))
    pipe = a_body("exhaust", line((800.0, 1080.0), (2200.0, 1080.0), width_mm=60.0), Hazard.HOT)
    assert furthest_y(routed(vehicle(keep_outs=(block,)))) > 790.0
    assert furthest_y(routed(vehicle(keep_outs=(block, pipe)))) < 600.0


@pytest.mark.parametrize("times", [1.0, 2.5])
def test_dearer_open_ground_moves_no_run_onto_exposed_ground(times):
    """What a shop says of open ground it says of all of it; spray and stones come on top."""
    spray = ExposedArea("spray", "here", rectangle(0.0, 750.0, 3000.0, 1400.0))
    route = routed(vehicle(exposed=(spray,)), practice_with({("factor", "open"): times}))
    assert route.routed_mm == pytest.approx(2800.0)
    assert not lengths_in(route, PassageKind.EXPOSED)


def test_on_a_load_floor_a_loom_goes_round_by_the_edge():
    """Loads are pushed over the middle; the edges are under trim."""
    ends = {"start": (100.0, 350.0), "end": (2900.0, 350.0)}
    route = routed(vehicle(**ends, kind=SpaceKind.LOAD_AREA))
    at_edge = [p.x_mm for p in route.points if p.y_mm <= 150.0 + 1e-6]
    assert max(at_edge) - min(at_edge) > 2000.0
    assert routed(vehicle(**ends)).routed_mm == pytest.approx(2800.0)


def test_a_channel_in_a_load_floor_is_followed():
    """What the maker has laid in the floor lies safe there."""
    channel = a_support("channel", (100.0, 700.0), (2900.0, 700.0), fix=Fix.CLIP)
    route = routed(vehicle(kind=SpaceKind.LOAD_AREA, supports=(channel,)))
    assert length_along(route, "channel") == pytest.approx(2800.0)


def test_a_makers_line_is_followed_at_its_clearance():
    """Where the maker has laid the brake pipe nothing strikes or burns: as good a side as any, and known."""
    block = a_body("block", box(1000.0, 605.0, 2000.0, 790.0))
    pipe = line((500.0, 480.0), (2500.0, 480.0), width_mm=10.0)
    plain = a_body("pipe", pipe, Hazard.BRAKE)
    guide = a_body("pipe", pipe, Hazard.BRAKE, is_guide=True)
    assert furthest_y(routed(vehicle(keep_outs=(block, plain)))) > 790.0
    assert furthest_y(routed(vehicle(keep_outs=(block, guide)))) < 605.0


def test_a_clip_rail_leads_over_the_crossmember_rather_than_a_bare_hole_through_it():
    """The hole lies on the straight line, and wants a grommet; the rail holds the loom on both sides."""
    passes = (
        OverPass((1500.0, 350.0), (1500.0, 550.0), 40.0),
        ThroughPass((1500.0, 700.0), 30.0, Edge.BARE),
    )
    member = Member("crossmember", "here", ((1500.0, 0.0), (1500.0, 1400.0)), 80.0, passes)
    rail = a_support("rail", (100.0, 450.0), (2900.0, 450.0), fix=Fix.CLIP, kind=SupportKind.RAIL)
    kinds = [p.kind for p in routed(vehicle(members=(member,))).passages]
    assert kinds == [PassageKind.THROUGH_MEMBER]
    kinds = [p.kind for p in routed(vehicle(members=(member,), supports=(rail,))).passages]
    assert kinds == [PassageKind.OVER_MEMBER]


def test_a_loom_keeps_to_the_part_of_a_step_where_a_panel_is_in_reach():
    """Where the floor rises out of reach only brackets hold: round by the low floor, if it is not far."""
    high = Step(rectangle(800.0, 600.0, 2200.0, 1400.0), 650.0)
    panel = Panel(
        "low floor", ("here", "above"), 410.0, None, rectangle(0.0, 0.0, 3000.0, 1400.0), Drill.ALLOWED
    )
    low_only = routed(vehicle(steps=(high,), panels=(panel,)))
    inside = [p for p in low_only.points if 800.0 < p.x_mm < 2200.0 and p.y_mm > 600.0 + 1e-3]
    assert not inside


def test_a_disc_that_turns_is_passed_on_its_quiet_side():
    """Between a pulley and a wall there is room, and it is no place for a loom."""
    pulley = a_body("pulley", disc(1500.0, 780.0, 100.0), Hazard.MOVING)
    wall = a_body("wall", box(1300.0, 1000.0, 1700.0, 1400.0))
    assert furthest_y(routed(vehicle(keep_outs=(pulley, wall)))) < 700.0
