"""Heights by hand: what a loom lies on, rises over members where the floor steps, openings high and low."""

from __future__ import annotations

from dataclasses import replace

import pytest
from test_review import LOOM_MM, RUN, VEHICLE, WIRE_MM, box, fixed, route, rules, through_the_floor

from router.model.vehicle import (
    Drill,
    Fix,
    Member,
    Opening,
    OverPass,
    Panel,
    Step,
    Support,
    SupportKind,
    Terminal,
)
from router.reviewing import review_route

FLOOR, LOAD_AREA = VEHICLE.spaces
STEPPED = replace(FLOOR, steps=(Step(box(1000, -600, 3000, 600), 750.0),))
"""The underfloor, whose looms lie at 400 up to x 1000, and at 750 behind."""
RAMP = Support(
    "ramp", "underfloor", SupportKind.RAIL, ((900, 0), (1500, 0)), 400.0, Fix.TIE, (400.0, 700.0)
)  # fmt: skip


def found(way, *, spaces=(STEPPED, LOAD_AREA), supports=(), panels=(), members=(), end_mm=400.0, **more):
    """The kinds that have to do with heights: those of spans and fixings are another test's."""
    lamp = Terminal("lamp", "underfloor", (2000, 0), end_mm, None)
    terminals = (VEHICLE.terminals[0], lamp, *VEHICLE.terminals[2:])
    profile = replace(VEHICLE, spaces=spaces, supports=supports, panels=panels, members=members)
    profile = replace(profile, terminals=terminals)
    judged = review_route(way, RUN, fixed(way), profile, rules(), LOOM_MM, widest_wire_mm=WIRE_MM, **more)
    return [each for each in judged[1] if each.kind in ("height", "rise", "space", "support")]


def through(*places, along=None):
    return route(*(("underfloor", x, 0, z) for x, z in places), along=along)


GOOD = through((100, 400), (1000, 400), (1000, 750), (2000, 750))


def test_a_loom_lies_at_the_height_of_each_step():
    assert found(GOOD, end_mm=750.0) == []


def test_a_loom_hung_in_free_air_under_a_floor_that_steps_up():
    (hangs,) = found(through((100, 400), (2000, 400)))
    assert (hangs.kind, hangs.severity, hangs.station_mm) == ("height", "should", 900.0)
    assert hangs.what == (
        "the loom hangs 350 mm below where looms lie in underfloor, for 1000 mm: there is neither "
        "support nor panel to hold it"
    )


def test_a_rise_may_begin_a_little_late():
    late = through((100, 400), (1304, 400), (1304, 750), (2000, 750))
    assert found(late, end_mm=750.0) == []  # 300 mm, and the tolerance of 5
    later = through((100, 400), (1306, 400), (1306, 750), (2000, 750))
    assert [each.kind for each in found(later, end_mm=750.0)] == ["height"]


def test_pieces_in_free_air_that_follow_each_other_count_together():
    # 200 mm at 400 and 200 mm at 550, both in free air under 750
    stairs = through((100, 400), (1200, 400), (1200, 550), (1400, 550), (1400, 750), (2000, 750))
    (hangs,) = found(stairs, end_mm=750.0)
    assert (hangs.kind, hangs.station_mm) == ("height", 900.0)
    assert "for 400 mm" in hangs.what


@pytest.mark.parametrize(
    ("z_mm", "is_carried"),
    [(650.0, True), (649.9, False), (850.0, True), (850.1, False), (400.0, False)],
)
def test_what_is_within_100_mm_of_where_looms_lie_lies_there(z_mm, is_carried):
    way = through((100, 400), (1000, 400), (1000, z_mm), (2000, z_mm))
    assert (found(way, end_mm=z_mm) == []) is is_carried


def test_a_support_or_a_panel_at_its_height_carries_a_loom():
    way = through((100, 400), (2000, 400))
    bar = Support("bar", "underfloor", SupportKind.RAIL, ((900, 25), (2100, 25)), 390.0, RAMP.fix)
    assert found(way, supports=(bar,)) == []
    assert found(way, supports=(replace(bar, along=((900, 35), (2100, 35))),)) != []  # 20 + 5 + 5 mm reach
    assert found(way, supports=(replace(bar, height_mm=360.0),)) != []
    tray = Panel("tray", ("underfloor", "load area"), 425.0, None, None, Drill.ALLOWED)
    assert found(way, panels=(tray,)) == []
    assert found(way, panels=(replace(tray, height_mm=435.0),)) != []
    assert found(way, panels=(replace(tray, area=box(900, -100, 2100, 100)),)) == []
    assert found(way, panels=(replace(tray, area=box(1500, -100, 2100, 100)),)) != []
    assert found(way, panels=(replace(tray, between=("cabin", "load area")),)) != []
    wall = Panel("wall", ("underfloor", "load area"), None, ((900, 25), (2100, 25)), None, Drill.ALLOWED)
    assert found(way, panels=(wall,)) == []


def test_a_run_along_a_support_that_rises_is_carried_by_it():
    ramp = route(
        ("underfloor", 100, 0, 400), ("underfloor", 900, 0, 400), ("underfloor", 1500, 0, 700),
        ("underfloor", 1500, 0, 750), ("underfloor", 2000, 0, 750),
    )  # fmt: skip
    points = list(ramp.points)
    points[1] = replace(points[1], along="ramp")
    assert found(replace(ramp, points=tuple(points)), supports=(RAMP,), end_mm=750.0) == []
    assert found(ramp, supports=(RAMP,), end_mm=750.0) == []  # it lies on it, said or not
    assert [each.kind for each in found(ramp, supports=(), end_mm=750.0)] == ["height"]


def bar(x):
    over = OverPass((x, -100), (x, 100), 55.0)
    return Member("bar", "underfloor", ((x, -500), (x, 500)), 90.0, (over,))


def test_a_step_of_the_floor_is_no_rise_over_a_member():
    # the member lies 150 mm behind the step, 750 high; it is passed over at 750, without its 55 mm
    (flat,) = found(GOOD, members=(bar(1150),), end_mm=750.0)
    assert (flat.kind, flat.actual) == ("rise", "0 mm")
    risen = through((100, 400), (1000, 400), (1000, 750), (1100, 750), (1100, 805), (1200, 805), (1200, 750),
                    (2000, 750))  # fmt: skip
    assert found(risen, members=(bar(1150),), end_mm=750.0) == []


def test_a_support_that_slopes_is_no_rise_over_a_member():
    # along the ramp the loom climbs 50 mm in 100, through the band of the member
    way = route(("underfloor", 900, 0, 400), ("underfloor", 1500, 0, 700), along="ramp")
    (flat,) = found(way, supports=(RAMP,), members=(bar(1200),))
    assert (flat.kind, flat.actual) == ("rise", "0 mm")


def test_what_a_loom_does_in_another_space_is_no_rise_over_a_member():
    """It hangs 60 mm low in the load area, comes down by the plug and goes flat over the bar behind it."""
    behind = (("underfloor", 2500, 0, 550), ("underfloor", 2500, 0, 400), ("underfloor", 2000, 0, 400))
    low = (("load area", 3000, 0, 640), ("load area", 2500, 0, 640), ("load area", 2500, 0, 550))
    flat = found(route(*low, *behind), spaces=(FLOOR, LOAD_AREA), members=(bar(2400),))
    assert [(each.kind, each.actual) for each in flat if each.kind == "rise"] == [("rise", "0 mm")]


def test_a_change_of_space_is_at_the_height_of_its_opening():
    plug = VEHICLE.openings[0]  # 550 mm high; through_the_floor goes through it at 550
    for height_mm, kinds in ((545.0, []), (544.9, ["space"]), (555.0, []), (555.1, ["space"])):
        assert (
            through_the_floor(profile=replace(VEHICLE, openings=(replace(plug, height_mm=height_mm),)))
            == kinds
        )


def test_of_two_openings_over_each_other_the_one_nearest_in_height_is_taken():
    low = Opening("low plug", ("underfloor", "load area"), (2500, 0), 500.0, 1.0, VEHICLE.openings[0].edge)
    both = replace(VEHICLE, openings=(low, *VEHICLE.openings))
    assert through_the_floor(profile=both) == []  # a loom of 10 mm does not go through the low one
