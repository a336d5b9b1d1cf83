"""Holes for P-clips: where one may be drilled, by distances worked out by hand, and what lies behind it.

The loom of 13.1 mm lies 410 mm high; the floor above it is at 420 mm. A hole of 6.6 mm goes 20 mm up, to
440 mm. Fuel asks for 51 mm, high voltage for 100 mm (default practice), and the tolerance of 10 mm is added.
"""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import pytest
from small_vehicle import (
    LOAD_FLOOR,
    SPACES,
    a_keep_out,
    a_profile,
    a_route,
    a_van,
    box,
    default_practice,
    disc,
    line,
    practice_with,
    rectangle,
)

from router.facts import Position
from router.fixings import place_fixings
from router.fixings.holes import DrillSpot, drill_spots, hole_at
from router.model.fixing import FixingKind
from router.model.vehicle import (
    Drill,
    Edge,
    Fix,
    Hazard,
    Member,
    Opening,
    Panel,
    Profile,
    Screw,
    Space,
    SpaceKind,
    Support,
    SupportKind,
)

LOOM_MM = 13.1
RADIUS_MM = 6.6 / 2
TINY = 1e-6


def spot_at(
    profile: Profile, at: tuple[float, float, float] = (0.0, 0.0, 410.0), space: str = "underfloor"
) -> DrillSpot | None:
    (spot,) = drill_spots((Position(space, *at, None),), profile, default_practice(), LOOM_MM)
    return spot


def is_drilled(**parts: object) -> bool:
    return spot_at(a_van(**parts)) is not None


# Which panel is there


def test_a_hole_goes_from_the_floor_straight_up() -> None:
    spot = spot_at(a_van(), (30.0, -40.0, 410.0))
    assert spot is not None
    assert (spot.panel, spot.start, spot.end) == ("load floor", (30.0, -40.0, 420.0), (30.0, -40.0, 440.0))


def test_from_above_it_goes_down() -> None:
    spaces = (*(each for each in SPACES if each.name != "load area"), Space("load area", 430.0, ()))
    spot = spot_at(replace(a_van(), spaces=spaces), (0.0, 0.0, 430.0), "load area")
    assert spot is not None
    assert (spot.start[2], spot.end[2]) == (420.0, 400.0)


@pytest.mark.parametrize(
    ("z_mm", "is_there"), [(393.45, True), (393.44, False), (420.0, True), (420.1, False)]
)
def test_a_floor_holds_a_loom_in_reach_below_it(z_mm: float, is_there: bool) -> None:
    """20 mm of reach from the outside of the loom: 420 - 20 - 6.55 = 393.45 mm; and never from beyond it."""
    assert (spot_at(a_van(), (0.0, 0.0, z_mm)) is not None) == is_there


def test_only_a_panel_that_may_be_drilled_and_is_of_the_looms_space() -> None:
    never = replace(LOAD_FLOOR, drill=Drill.NEVER)
    assert spot_at(a_profile(panels=(never,))) is None
    assert spot_at(a_van(), space="engine bay") is None


def test_a_floor_with_an_area_is_there_and_nowhere_else() -> None:
    """A hole keeps 20 mm of metal, and its own radius, to the edge: 23.3 mm inside of it."""
    small = replace(LOAD_FLOOR, area=rectangle(-23.3 - TINY, -500.0, 500.0, 500.0))
    assert spot_at(a_profile(panels=(small,))) is not None
    smaller = replace(LOAD_FLOOR, area=rectangle(-23.3 + 1e-3, -500.0, 500.0, 500.0))
    assert spot_at(a_profile(panels=(smaller,))) is None


@pytest.mark.parametrize(
    ("screw", "inside_mm"),
    [(Screw.NUT, 23.3), (Screw.RIVET_NUT, 24.55), (Screw.SELF_CUTTING, 22.0)],
)
def test_what_a_screw_holds_in_says_how_wide_its_hole_is(screw: Screw, inside_mm: float) -> None:
    """Holes of 6.6, 9.1 and 4 mm: 20 mm of metal and half of that from the edge."""
    for more_mm, is_room in ((TINY, True), (-1e-3, False)):
        area = rectangle(-inside_mm - more_mm, -500.0, 500.0, 500.0)
        spot = spot_at(a_profile(panels=(replace(LOAD_FLOOR, area=area, screw=screw),)))
        assert (spot is not None) is is_room
    profile = a_van()
    screwed = replace(profile, panels=(replace(LOAD_FLOOR, screw=screw),))
    spot = spot_at(screwed)
    assert spot is not None
    hole = hole_at(spot, screwed, default_practice())
    assert hole.screw is screw
    assert hole.diameter_mm == pytest.approx(2 * (inside_mm - 20.0))


def test_a_floor_without_an_area_is_where_both_its_spaces_are() -> None:
    spaces = (
        Space("underfloor", 410.0, rectangle(-900, -900, 900, 900), SpaceKind.UNDERFLOOR),
        Space("load area", 450.0, rectangle(-100, -900, 900, 900), SpaceKind.LOAD_AREA),
    )
    profile = a_profile(spaces=spaces, panels=(replace(LOAD_FLOOR, area=None),))
    assert spot_at(profile, (-70.0, 0.0, 410.0)) is not None
    assert spot_at(profile, (-80.0, 0.0, 410.0)) is None  # 20 mm from its edge, less the hole's radius
    assert spot_at(profile, (-200.0, 0.0, 410.0)) is None


BULKHEAD_SPACES = (
    Space("engine bay", 600.0, rectangle(0, -700, 1000, 700), SpaceKind.ENGINE_BAY),
    Space("cabin", 600.0, rectangle(1000, -700, 2000, 700), SpaceKind.CABIN),
)
BULKHEAD = Panel("bulkhead", ("engine bay", "cabin"), None, ((1000, -700), (1000, 700)), None, Drill.ALLOWED)


def bulkhead(**parts: object) -> Profile:
    return a_profile(spaces=BULKHEAD_SPACES, panels=(BULKHEAD,), **parts)


def test_a_bulkhead_is_drilled_level_away_from_the_loom() -> None:
    rearward = spot_at(bulkhead(), (985.0, 100.0, 600.0), "engine bay")
    assert rearward is not None
    assert rearward.start == pytest.approx((1000.0, 100.0, 600.0))
    assert rearward.end == pytest.approx((1020.0, 100.0, 600.0))
    forward = spot_at(bulkhead(), (1015.0, 100.0, 600.0), "cabin")
    assert forward is not None
    assert forward.end == pytest.approx((980.0, 100.0, 600.0))


@pytest.mark.parametrize(("x", "y"), [(973.4, 0.0), (1000.1, 0.0), (990.0, 680.0), (990.0, 701.0)])
def test_a_bulkhead_too_far_off_from_beyond_it_or_beside_its_ends_holds_nothing(x: float, y: float) -> None:
    """26.55 mm are in reach; 23.3 mm from its end is the last hole."""
    assert spot_at(bulkhead(), (x, y, 600.0), "engine bay") is None
    assert spot_at(bulkhead(), (990.0, 676.0, 600.0), "engine bay") is not None


def test_no_drill_goes_on_into_a_panel_that_is_never_drilled() -> None:
    skin = Panel("battery lid", ("load area", "cabin"), 439.9, None, rectangle(-50, -50, 50, 50), Drill.NEVER)
    assert spot_at(a_profile(panels=(LOAD_FLOOR, skin))) is None
    assert spot_at(a_profile(panels=(LOAD_FLOOR, replace(skin, height_mm=440.1)))) is not None
    assert spot_at(a_profile(panels=(LOAD_FLOOR, skin)), (60.0, 0.0, 410.0)) is not None


# What lies behind


@pytest.mark.parametrize(("hazard", "clear_mm"), [(Hazard.FUEL, 61.0), (Hazard.HIGH_VOLTAGE, 110.0)])
@pytest.mark.parametrize("space", ["underfloor", "load area", "cabin"])
def test_a_body_straight_above_keeps_its_own_clearance_from_the_drill(
    hazard: Hazard, clear_mm: float, space: str
) -> None:
    """440 mm, the hole's radius and the clearance above it, wherever the body is listed."""

    def tank(low_mm: float) -> bool:
        body = a_keep_out("tank", box(-200, -200, 200, 200), hazard, heights_mm=(low_mm, 900.0), space=space)
        return is_drilled(keep_outs=(body,))

    least_mm = 440.0 + RADIUS_MM + clear_mm
    assert tank(least_mm + TINY)
    assert not tank(least_mm - TINY)


def test_a_body_behind_that_is_assumed_keeps_its_larger_distance_from_the_drill() -> None:
    """440 mm, the hole's radius, 30 mm of its own and 60 mm for nobody having measured it."""

    def tank(low_mm: float) -> bool:
        body = a_keep_out(
            "tank", box(-200, -200, 200, 200), Hazard.FUEL, heights_mm=(low_mm, 900.0), clearance_mm=30.0,
            assumed_mm=60.0,
        )  # fmt: skip
        return is_drilled(keep_outs=(body,))

    assert tank(440.0 + RADIUS_MM + 90.0 + TINY)
    assert not tank(440.0 + RADIUS_MM + 90.0 - TINY)


def test_a_body_aside_and_above_is_measured_in_space() -> None:
    """A battery 30 mm above the drill's end and 40 mm aside is 50 mm from it: 3-4-5."""

    def with_own(clearance_mm: float) -> bool:
        body = a_keep_out(
            "battery", box(40, -200, 300, 200), Hazard.HIGH_VOLTAGE, heights_mm=(470.0, 600.0),
            clearance_mm=clearance_mm,
        )  # fmt: skip
        return is_drilled(keep_outs=(body,))

    assert with_own(50.0 - RADIUS_MM - 10.0 - TINY)  # 10 mm of tolerance are added
    assert not with_own(50.0 - RADIUS_MM - 10.0 + TINY)


def test_discs_and_lines_reach_round_their_middle() -> None:
    """Solid asks for 10 mm and the tolerance for 10: 20 mm, a radius of 50 and the hole's own of 3.3 mm."""
    for shape in (
        lambda x: disc(x, 0.0, 50.0),
        lambda x: line((x, -200.0), (x, 200.0), width_mm=100.0),
    ):
        assert is_drilled(keep_outs=(a_keep_out("pipe", shape(73.3 + TINY), heights_mm=(425.0, 435.0)),))
        assert not is_drilled(keep_outs=(a_keep_out("pipe", shape(73.3 - TINY), heights_mm=(425.0, 435.0)),))


def test_a_body_on_the_looms_own_side_counts_too() -> None:
    """30 mm below the floor's face, 7 mm from the loom's outside: the drill begins 30 mm above it."""
    body = a_keep_out("pipe", box(-50, -50, 50, 50), heights_mm=(380.0, 397.0))
    assert not is_drilled(keep_outs=(replace(body, heights_mm=(380.0, 397.0), clearance_mm=10.0),))
    assert is_drilled(keep_outs=(replace(body, heights_mm=(380.0, 396.0), clearance_mm=10.0),))


def test_a_body_without_heights_goes_all_the_way() -> None:
    assert not is_drilled(keep_outs=(a_keep_out("post", box(10, -50, 50, 50)),))


def test_what_lies_behind_is_listed_the_nearest_first_and_what_is_before_it_is_not() -> None:
    tank = a_keep_out("tank", box(-200, -200, 200, 200), Hazard.FUEL, heights_mm=(540.0, 900.0))
    cell = a_keep_out("battery", disc(150, 0, 20), Hazard.HIGH_VOLTAGE, heights_mm=(400.0, 900.0))
    pipe = a_keep_out("pipe", disc(0, 0, 20), heights_mm=(300.0, 320.0))
    far = a_keep_out("far off", disc(180, 0, 20), heights_mm=(400.0, 900.0))
    profile = a_van(keep_outs=(cell, pipe, tank, far))
    spot = spot_at(profile)
    assert spot is not None
    hole = hole_at(spot, profile, default_practice())
    assert [(each.keep_out, each.hazard, each.required_mm) for each in hole.behind] == [
        ("tank", Hazard.FUEL, 61.0), ("battery", Hazard.HIGH_VOLTAGE, 110.0),
    ]  # fmt: skip
    assert [each.actual_mm for each in hole.behind] == pytest.approx([96.7, 126.7])  # 100 and 130 less 3.3
    assert (hole.diameter_mm, hole.depth_mm) == (6.6, 20.0)


# Metal, lines and openings round it


def test_no_hole_in_or_at_a_member_of_either_side() -> None:
    """A band of 90 mm, 20 mm of metal and 3.3 mm of hole: 68.3 mm from its middle line."""
    for space in ("underfloor", "load area"):
        beam = Member("beam", space, ((68.3, -500.0), (68.3, 500.0)), 90.0, ())
        assert is_drilled(members=(replace(beam, along=((68.3 + TINY, -500.0), (68.3 + TINY, 500.0))),))
        assert not is_drilled(members=(replace(beam, along=((68.3 - TINY, -500.0), (68.3 - TINY, 500.0))),))
    other = Member("beam", "engine bay", ((0.0, -500.0), (0.0, 500.0)), 90.0, ())
    assert is_drilled(members=(other,))


@pytest.mark.parametrize("fix", list(Fix))
def test_no_hole_beside_a_line_whatever_may_be_fixed_to_it(fix: Fix) -> None:
    """A loom or a pipe behind the floor, 430 mm high: 23.3 mm from the drill's middle."""

    def beside(y_mm: float, heights: tuple[float, ...] = ()) -> bool:
        along = ((-500.0, y_mm), (500.0, y_mm))
        there = Support("line", "load area", SupportKind.LINE, along, 430.0, fix, heights)
        return is_drilled(supports=(there,))

    assert beside(23.3 + TINY)
    assert not beside(23.3 - TINY)
    assert beside(0.0, (463.4, 900.0))  # its lower end is 23.4 mm above the drill
    assert not beside(0.0, (463.2, 900.0))


def test_no_hole_at_an_opening_of_the_same_panel() -> None:
    """A bore of 40 mm: 20 mm of radius, 20 mm of metal, 3.3 mm of hole."""
    plug = Opening("plug", ("underfloor", "load area"), (43.3, 0.0), 420.0, 40.0, Edge.RUBBER)
    assert is_drilled(openings=(replace(plug, at=(43.3 + TINY, 0.0)),))
    assert not is_drilled(openings=(replace(plug, at=(43.3 - TINY, 0.0)),))
    assert is_drilled(openings=(replace(plug, at=(0.0, 0.0), joins=("engine bay", "underfloor")),))


def test_holes_of_one_run_and_of_several_keep_their_metal() -> None:
    """Bends and ends close together ask for fixings close together; 26.6 mm from middle to middle."""
    practice = practice_with({("fixing", "near an end"): 30.0, ("spacing", "underfloor"): 40.0})
    route = a_route([(0, 0, 410), (200, 0, 410)])
    fixings, _ = place_fixings(route, a_van(), practice, LOOM_MM)
    holes = [fixing.hole for fixing in fixings if fixing.hole]
    assert len(holes) == len(fixings) >= 5
    beside = a_route([(0, 22, 410), (200, 22, 410)], run="lamp")
    others, _ = place_fixings(beside, a_van(), practice, LOOM_MM, drilled=holes)
    every = [*holes, *(fixing.hole for fixing in others if fixing.hole)]
    apart_mm = [math.dist(a.start, b.start) for n, a in enumerate(every) for b in every[:n]]
    assert min(apart_mm) >= 26.6
    assert len(every) > len(holes)


def test_a_spacing_too_short_for_the_metal_between_holes_is_told() -> None:
    """Every 20 mm, the spacing asks for; 26.6 mm the metal."""
    route = a_route([(0, 0, 410), (200, 0, 410)])
    fixings, findings = place_fixings(
        route, a_van(), practice_with({("spacing", "underfloor"): 20.0}), LOOM_MM
    )
    starts = [fixing.hole.start for fixing in fixings if fixing.hole]
    assert min(math.dist(a, b) for n, a in enumerate(starts) for b in starts[:n]) >= 26.6
    assert {finding.kind for finding in findings} == {"span"}


# Which holes are chosen


def test_of_as_many_holes_those_with_more_room_are_drilled() -> None:
    """A tank up to x 120, 100 mm over the hole's end: beside it the hole goes where it has 100 mm to spare.

    3.3 mm of the hole, 61 asked and 100 to spare are 164.3 mm, so hypot(x - 120, 100) is: x is 250.4 at
    least. Of the places, 5 mm apart, the next is the most even.
    """
    tank = a_keep_out("tank", box(-400, -300, 120, 300), Hazard.FUEL, heights_mm=(540.0, 900.0))
    rules = practice_with({("fixing", "near an end"): 390.0})
    route = a_route([(0, 0, 410), (400, 0, 410)])
    (fixing,) = place_fixings(route, a_van(keep_outs=(tank,)), rules, LOOM_MM)[0]
    assert fixing.kind is FixingKind.P_CLIP
    assert fixing.station_mm == 255.0
    (even,) = place_fixings(route, a_van(), rules, LOOM_MM)[0]
    assert even.station_mm == 200.0


# The bench van: seven holes through a load floor above a tank and a battery


def bench_van(*, panels: tuple[Panel, ...]) -> Profile:
    outline = rectangle(0, -700, 3000, 700)
    spaces = (
        Space("load area", 620.0, outline, SpaceKind.LOAD_AREA),
        Space("underfloor", 450.0, outline, SpaceKind.UNDERFLOOR),
    )
    tank = a_keep_out("fuel tank", box(800, -300, 2200, 300), Hazard.FUEL, heights_mm=(300.0, 590.0))
    battery = a_keep_out(
        "traction battery", box(2300, -400, 2900, 400), Hazard.HIGH_VOLTAGE, heights_mm=(300.0, 600.0)
    )
    return a_profile(spaces=spaces, keep_outs=(tank, battery), panels=panels, tolerance_mm=5.0)


def test_nothing_is_drilled_towards_the_tank_or_the_battery() -> None:
    """Floor at 610 mm, holes down to 590 mm. Ahead of the tank: 800 - 51 - 5 - 3.3 = 740.7 mm."""
    floor = Panel("load floor", ("underfloor", "load area"), 610.0, None, None, Drill.ALLOWED)
    route = a_route([(300, 0, 620), (2800, 0, 620)], spaces="load area")
    fixings, findings = place_fixings(route, bench_van(panels=(floor,)), default_practice(), LOOM_MM)
    assert fixings and {fixing.panel for fixing in fixings} == {"load floor"}
    assert max(fixing.x_mm for fixing in fixings) <= 740.7
    assert [finding.kind for finding in findings] == ["span", "fixing missing"]
    none, told = place_fixings(route, bench_van(panels=()), default_practice(), LOOM_MM)
    assert none == ()
    assert [finding.kind for finding in told] == ["fixing missing", "span", "fixing missing"]


def test_no_hole_comes_nearer_to_a_body_than_it_asks_for_whatever_lies_behind() -> None:
    """Random tanks and batteries behind a floor; distances from points along each drill, by arithmetic."""
    rng, drilled, near = Random(3), 0, 0
    for _ in range(60):
        bodies = [_random_body(rng, f"body {number}") for number in range(rng.randint(1, 5))]
        profile = a_van(keep_outs=tuple(body for body, _ in bodies))
        route = a_route([(0, 0, 410), (rng.uniform(500, 1500), rng.uniform(-500, 500), 410)])
        for fixing in place_fixings(route, profile, default_practice(), LOOM_MM)[0]:
            assert fixing.hole is not None
            drilled += 1
            for body, required_mm in bodies:
                away_mm = min(
                    _away_mm((fixing.x_mm, fixing.y_mm, 420.0 + up), body.shape.points, body.heights_mm)
                    for up in range(21)
                )
                assert away_mm - RADIUS_MM >= required_mm - TINY
                near += away_mm < required_mm + 100.0
    assert drilled > 100 and near > 20


def _random_body(rng: Random, name: str) -> tuple[object, float]:
    x, y = rng.uniform(-200, 1500), rng.uniform(-600, 600)
    shape = box(x, y, x + rng.uniform(50, 600), y + rng.uniform(50, 600))
    low_mm = rng.uniform(430, 560)
    hazard, asked_mm = rng.choice([(Hazard.FUEL, 51.0), (Hazard.HIGH_VOLTAGE, 100.0), (Hazard.BRAKE, 51.0)])
    return a_keep_out(name, shape, hazard, heights_mm=(low_mm, low_mm + 200.0)), asked_mm + 10.0


def _away_mm(at, corners, heights) -> float:  # type: ignore[no-untyped-def]
    """Return the distance in space from a place to an upright box."""
    (low_x, low_y), _, (high_x, high_y), _ = corners
    x, y, z = at
    return math.hypot(
        max(low_x - x, 0.0, x - high_x),
        max(low_y - y, 0.0, y - high_y),
        max(heights[0] - z, 0.0, z - heights[1]),
    )
