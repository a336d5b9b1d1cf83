"""What panels of each kind part, by stations worked out by hand, and looms planned along their borders.

The underfloor goes from x 0 to 3000 with looms at 400, the load area above its rear part with looms at 700;
the run goes along y = 0 from x 100, so that its station at x is x - 100. Loom radius 5, tolerance 5; fuel 51,
hot 200, hot beyond a panel 50.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_vehicle import a_job, plain_practice
from test_review import RUN, STRAIGHT, TINY, VEHICLE, box, findings, judge, route

from router.facts import bodies_in
from router.model.job import Apart
from router.model.vehicle import Drill, Hazard, KeepOut, Panel, Shape, ShapeKind
from router.reviewing import review_apart
from router.reviewing.beyond_panels import split_by_panels
from router.reviewing.route_segments import segments_of

BETWEEN = ("underfloor", "load area")


def level(height_mm, area=None, between=BETWEEN):
    return Panel("floor", between, height_mm, None, area, Drill.NEVER)


def upright(start, end, between=BETWEEN):
    return Panel("bulkhead", between, None, (start, end), None, Drill.NEVER)


def body(shape, hazard=Hazard.FUEL, heights=None, space="load area"):
    return KeepOut("tank", space, hazard, shape, heights, False, None)


def disc(x, y, radius_mm=50.0):
    return Shape(ShapeKind.DISC, ((x, y),), radius_mm)


def area(x0, y0, x1, y1):
    return Shape(ShapeKind.AREA, box(x0, y0, x1, y1), 0.0)


def with_panels(keep_out, *panels):
    return replace(VEHICLE, keep_outs=(keep_out,), panels=panels)


def parted_stations(keep_out, *panels, way=STRAIGHT):
    """The stations between which a way is parted from a body."""
    _, beyond = split_by_panels(segments_of(way), keep_out, with_panels(keep_out, *panels))
    return [(part.start_station_mm, part.end_station_mm) for part in beyond]


WHOLE = [(0.0, 1900.0)]


@pytest.mark.parametrize(
    ("heights", "panel_mm", "is_parted"),
    [
        ((690.0, 800.0), 690.0, True),  # on the floor
        ((689.0, 800.0), 690.0, False),  # through it
        (
            (690.0, 800.0),
            400.0,
            False,
        ),  # a floor at the loom's own height: it lies above, and so does the body
        ((100.0, 300.0), 300.0, True),  # a tray under the loom, and the body under that
        ((100.0, 301.0), 300.0, False),
        (None, 690.0, True),  # listed for the load area, the floor's other space
    ],
)
def test_level_panels_by_height(heights, panel_mm, is_parted):
    assert parted_stations(body(disc(1000, 0), heights=heights), level(panel_mm)) == WHOLE * is_parted


def test_a_floor_of_other_spaces_parts_nothing():
    keep_out = body(disc(1000, 0), heights=(700.0, 800.0))
    assert parted_stations(keep_out, level(690.0, between=("cabin", "load area"))) == []


def test_a_body_without_heights_in_ones_own_space_is_not_parted():
    assert parted_stations(body(disc(1000, 0), space="underfloor"), level(690.0)) == []


def test_a_floor_with_an_area_parts_what_lies_under_it():
    keep_out = body(disc(1000, 0), heights=(700.0, 800.0))
    ((start_mm, end_mm),) = parted_stations(keep_out, level(690.0, box(900, -100, 1300, 100)))
    assert (start_mm, end_mm) == (pytest.approx(800.0, abs=1e-9), pytest.approx(1200.0, abs=1e-9))
    # aslant: 3-4-5, into the area at x 900 and out at y 100 or, behind the corner, x 1300
    aslant = route(("underfloor", 100, -500, 400), ("underfloor", 1700, 700, 400))
    ((start_mm, end_mm),) = parted_stations(keep_out, level(690.0, box(800, -100, 1300, 100)), way=aslant)
    assert (start_mm, end_mm) == (pytest.approx(875.0, abs=1e-9), pytest.approx(1000.0, abs=1e-9))


def test_a_footprint_lies_in_an_area_with_all_its_reach():
    whole = box(950, -50, 1300, 100)
    assert parted_stations(body(disc(1000, 0), heights=(700.0, 800.0)), level(690.0, whole)) != []
    over = body(disc(1000 - TINY, 0), heights=(700.0, 800.0))
    assert parted_stations(over, level(690.0, whole)) == []
    assert parted_stations(body(area(950, -50, 1000, 100), heights=(700.0, 800.0)), level(690.0, whole)) != []


def test_a_loom_along_the_border_of_an_area_lies_in_it():
    keep_out = body(disc(1000, 50), heights=(700.0, 800.0))
    assert parted_stations(keep_out, level(690.0, box(0, 0, 3000, 500))) == WHOLE
    assert parted_stations(keep_out, level(690.0, box(0, 5e-7, 3000, 500))) == WHOLE  # rounding of a plan
    assert parted_stations(keep_out, level(690.0, box(0, TINY, 3000, 500))) == []


def test_two_floors_part_together():
    keep_out = body(disc(1000, 0), heights=(700.0, 800.0))
    floors = (level(690.0, box(900, -100, 1300, 100)), level(690.0, box(940, -60, 1500, 100)))
    ((start_mm, end_mm),) = parted_stations(keep_out, *floors)
    assert (start_mm, end_mm) == (pytest.approx(800.0, abs=1e-9), pytest.approx(1400.0, abs=1e-9))


def test_an_upright_panel_parts_in_its_strip():
    # beside the run, y 30 all along from x 600 to x 1400; the middle of the underfloor is at y 0, on this
    # side
    side = upright((600.0, 30.0), (1400.0, 30.0))
    for panel in (side, upright((1400.0, 30.0), (600.0, 30.0))):
        ((start_mm, end_mm),) = parted_stations(body(disc(1000, 80)), panel)
        assert (start_mm, end_mm) == (pytest.approx(500.0, abs=1e-9), pytest.approx(1300.0, abs=1e-9))
    assert parted_stations(body(disc(1000, 80 - TINY)), side) == []  # it comes through the panel
    assert parted_stations(body(disc(650, 80)), side) != []
    assert parted_stations(body(disc(650 - TINY, 80)), side) == []  # it comes round its end
    assert parted_stations(body(disc(1350 + TINY, 80)), side) == []
    assert parted_stations(body(disc(1000, -80)), side) == []  # on the loom's own side


def test_an_upright_panel_parts_whatever_space_a_body_is_listed_for():
    side = upright((600.0, 30.0), (1400.0, 30.0))
    assert parted_stations(body(disc(1000, 80), space="underfloor"), side) != []
    assert parted_stations(body(disc(1000, 80), heights=(0.0, 900.0)), side) != []


def test_a_loom_on_the_wrong_side_of_an_upright_panel_is_not_parted():
    # a panel across the run at x 1000, its own side (the middle of the underfloor, x 1500) behind it
    across = upright((1000.0, -200.0), (1000.0, 200.0))
    ((start_mm, end_mm),) = parted_stations(body(disc(900, 0)), across)
    assert (start_mm, end_mm) == (pytest.approx(900.0, abs=1e-9), 1900.0)


def test_an_upright_panel_aslant():
    # a panel from (600, -400) to (1400, 200): 3-4-5; the middle of the underfloor (1500, 0) lies below it,
    # and the run's part on that side begins where they cross, x 1133.33, in the strip up to the line through
    # (1400, 200) square to it, 4 x + 3 y = 6200, that is x 1550
    aslant = upright((600.0, -400.0), (1400.0, 200.0))
    ((start_mm, end_mm),) = parted_stations(body(disc(900, 0)), aslant)
    assert start_mm == pytest.approx(600 + 1600 / 3 - 100, abs=1e-6)
    assert end_mm == pytest.approx(1450.0, abs=1e-6)


def test_an_upright_piece_is_parted_or_not_as_a_whole():
    rise = route(("underfloor", 100, 0, 400), ("underfloor", 1000, 0, 400), ("underfloor", 1000, 0, 600))
    keep_out = body(disc(1000, 0), heights=(700.0, 800.0))
    parted = parted_stations(keep_out, level(690.0, box(900, -100, 1300, 100)), way=rise)
    assert parted == [(pytest.approx(800.0), 900.0), (900.0, 1100.0)]


def test_what_is_parted_is_neither_found_nor_listed_and_what_is_not_is_found_where_it_begins():
    # 10 mm above the run, with a sheet between that ends at x 900: there the disc of 50 about (1000, 0) lies
    # 50 mm further on and 10 mm higher; where the sheet ends at x 880, 70 mm further on, it is far enough
    keep_out = body(disc(1000, 0), heights=(410.0, 800.0))
    tray = level(408.0, box(900, -100, 1300, 100))
    ((check,), (broken,)) = judge(profile=with_panels(keep_out, tray))
    assert broken.kind == "clearance"
    assert check.actual_mm == pytest.approx((50.0**2 + 10.0**2) ** 0.5 - 5.0, abs=1e-9)
    assert check.station_mm == pytest.approx(800.0, abs=1e-6)
    assert judge(profile=with_panels(keep_out, level(408.0, box(880, -100, 1300, 100))))[1] == ()
    assert judge(profile=with_panels(keep_out, level(408.0))) == ((), ())


def test_hot_beyond_a_panel_keeps_its_lesser_clearance():
    # 50 + 5 asked beyond, with a radius of 5: its underside may be 460 mm high; in the open 200 + 5
    hot = body(disc(1000, 0), Hazard.HOT, (460.0, 800.0))
    tray = level(450.0)
    ((check,), found) = judge(profile=with_panels(hot, tray))
    assert (check.required_mm, check.actual_mm, found) == (55.0, pytest.approx(55.0), ())
    assert check.rule is not None
    assert check.rule.name == "clearance: hot beyond a panel"
    lower = replace(hot, heights_mm=(460.0 - TINY, 800.0))
    (broken,) = findings(profile=with_panels(lower, tray))
    assert (broken.kind, broken.rule) == ("clearance", check.rule)
    assert [each.kind for each in findings(profile=with_panels(hot))] == ["clearance"]


def test_hot_beyond_a_panel_and_assumed_keeps_so_much_more():
    # 50 + 60 asked beyond, with a radius of 5: its underside may be 515 mm high
    hot = replace(body(disc(1000, 0), Hazard.HOT, (515.0, 800.0)), assumed_mm=60.0)
    ((check,), found) = judge(profile=with_panels(hot, level(450.0)))
    assert (check.required_mm, check.actual_mm, found) == (110.0, pytest.approx(110.0), ())
    lower = replace(hot, heights_mm=(515.0 - TINY, 800.0))
    assert [each.kind for each in findings(profile=with_panels(lower, level(450.0)))] == ["clearance"]


def test_hot_beyond_a_panel_is_asked_for_no_more_than_in_the_open():
    hot = replace(body(disc(1000, 0), Hazard.HOT, (460.0, 800.0)), clearance_mm=20.0)
    ((check,), _) = judge(profile=with_panels(hot, level(450.0)))
    assert (check.required_mm, check.rule) == (25.0, None)


def test_of_a_hot_body_half_beyond_a_panel_the_place_with_least_to_spare_is_listed():
    # in the open from x 1300 on, 250 mm beyond the disc: 300 - 50 - 5 = 245 and more, 205 asked: 40 to spare;
    # beyond the tray 95 - 55 = 40 less a hair
    hot = body(disc(1000, 0), Hazard.HOT, (500.0 - TINY, 800.0))
    tray = level(450.0, box(0, -100, 1300, 100))
    ((check,), found) = judge(profile=with_panels(hot, tray))
    assert (check.required_mm, found) == (55.0, ())
    assert check.actual_mm == pytest.approx(95.0 - TINY)


def test_a_loom_inside_a_body_that_asks_for_no_clearance_is_found_all_the_same():
    solid = replace(body(disc(1000, 0), Hazard.SOLID, (300.0, 500.0)), clearance_mm=0.0)
    profile = replace(with_panels(solid), tolerance_mm=0.0)
    ((check,), (broken,)) = judge(profile=profile)
    assert (check.actual_mm, broken.kind) == (0.0, "clearance")
    touching = replace(solid, heights_mm=(300.0, 395.0))
    assert judge(profile=replace(profile, keep_outs=(touching,)))[1] == ()


def test_a_floor_parts_only_what_lies_on_its_own_side_of_it():
    """The loom rises at x 1000 from 400 to 800, through the floor at 690: 290 mm of the rise are under it."""
    rise = route(("underfloor", 100, 0, 400), ("underfloor", 1000, 0, 400), ("underfloor", 1000, 0, 800))
    keep_out = body(disc(2500, 0), heights=(700.0, 800.0))
    assert parted_stations(keep_out, level(690.0), way=rise) == [(0.0, 900.0), (900.0, 1190.0)]


@pytest.mark.parametrize(("high_mm", "is_parted"), [(690.0, True), (691.0, False)])
def test_the_planner_parts_only_what_lies_on_its_own_side(high_mm, is_parted):
    profile = with_panels(body(disc(2500, 0), heights=(700.0, 800.0)), level(690.0))
    ((_, parted),) = bodies_in(profile, "underfloor", (400.0, high_mm))
    assert parted.is_everywhere == is_parted


@pytest.mark.parametrize(("panels", "is_found"), [((), True), ((level(550.0),), False)])
def test_runs_of_different_spaces_stay_apart_unless_a_panel_parts_them(panels, is_found):
    """Looms of 10 mm at heights 400 and 700, over each other: 290 mm from outside to outside."""
    one, other = replace(RUN, name="one"), replace(RUN, name="other", apart_from=(Apart("one", 300.0),))
    ways = (
        replace(route(("underfloor", 100, 0, 400), ("underfloor", 2900, 0, 400)), run="one"),
        replace(route(("load area", 2100, 0, 700), ("load area", 2900, 0, 700)), run="other"),
    )
    job, far_off = a_job(one, other), body(disc(2500, 500), heights=(2000.0, 2100.0))
    profile = with_panels(far_off, *panels)
    found = review_apart(job, ways, {"one": 10.0, "other": 10.0}, profile, plain_practice())
    assert [finding.actual for finding in found] == ["290 mm"] * is_found
