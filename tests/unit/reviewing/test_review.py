"""Each kind of finding: a route that commits just that fault, and one that just does not.

Expected distances are worked out by hand beside each case from the drawing of the little vehicle
below; the radius of arcs is that of the circle they were drawn from.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from router.facts.along_route import positions_at
from router.model.fixing import Fixing, FixingKind
from router.model.job import Run
from router.model.plan import Route, RoutePoint, Severity
from router.model.practice import Practice, Rule, Status
from router.model.vehicle import (
    Cover,
    Drill,
    Edge,
    Fix,
    Hazard,
    KeepOut,
    Member,
    Opening,
    OverPass,
    Panel,
    Profile,
    Shape,
    ShapeKind,
    Space,
    SpaceKind,
    Support,
    SupportKind,
    Terminal,
    ThroughPass,
)
from router.reviewing import CLEARANCE_TOLERANCE_MM, KINDS, review_route
from router.reviewing.bends import tight_bends
from router.reviewing.route_segments import segments_of

LOOM_MM = 10.0
WIRE_MM = 3.0  # least bend radius 30 mm: 10 x the largest wire, US Army TM 1-1500-204-23-4
TINY = 1e-3


def rules(**more):
    values = {
        ("clearance", "hot"): 200.0,
        ("clearance", "hot shielded"): 100.0,
        ("clearance", "hot beyond a panel"): 50.0,
        ("clearance", "fuel"): 51.0,
        ("clearance", "solid"): 10.0,
        ("spacing", "any space"): 457.0,
        ("spacing", "underfloor"): 300.0,
        ("fixing", "near an end"): 100.0,
        ("fixing", "near an opening"): 100.0,
        ("fixing", "near a member"): 100.0,
        ("fixing", "reach"): 20.0,
        ("hole", "diameter"): 6.0,
        ("hole", "rivet nut diameter"): 9.0,
        ("hole", "self-cutting diameter"): 4.0,
        ("hole", "reach"): 20.0,
        ("hole", "clear of an edge"): 20.0,
        ("bend", "least radius"): 10.0,
        ("opening", "grommet wall"): 2.0,
    } | more
    return Practice(
        "test",
        None,
        {(g, k): Rule(g, k, v, "mm", "this test", Status.SHOP_RULE) for (g, k), v in values.items()},
    )


def box(x0, y0, x1, y1):
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


VEHICLE = Profile(
    key="test",
    name="Test vehicle",
    revision=1,
    measured_on="2026-01-01",
    tolerance_mm=5.0,
    datum="somewhere",
    unit="mm",
    variant=None,
    variants=(),
    spaces=(
        Space("underfloor", 400.0, box(0, -600, 3000, 600), SpaceKind.UNDERFLOOR),
        Space("load area", 700.0, box(2000, -600, 4000, 600), SpaceKind.LOAD_AREA),
    ),
    panels=(),
    keep_outs=(),
    members=(),
    supports=(
        Support("flange", "underfloor", SupportKind.FLANGE, ((0, 0), (3000, 0)), 400.0, Fix.TIE),
        Support("bracket", "underfloor", SupportKind.BRACKET_LINE, ((0, 20), (3000, 20)), 400.0, Fix.CLIP),
        Support("brake line", "underfloor", SupportKind.LINE, ((0, 40), (3000, 40)), 400.0, Fix.NEVER),
    ),
    covers=(Cover("panel", "underfloor", box(1000, 300, 1500, 500), 4),),
    exposed=(),
    openings=(Opening("plug", ("underfloor", "load area"), (2500, 0), 550.0, 20.0, Edge.RUBBER),),
    terminals=(
        Terminal("post", "underfloor", (100, 0), 400.0, "M6"),
        Terminal("lamp", "underfloor", (2000, 0), 400.0, None),
        Terminal("unit", "load area", (3000, 0), 700.0, None),
        Terminal("joint", "underfloor", (1000, 0), 400.0, None),
    ),
)
RUN = Run("supply", "post", "lamp", (), None, (), ())
UNIT_RUN = replace(RUN, end="unit")


def route(*places, along=None):
    """A route through (space, x, y, z) places with true stations."""
    station, points = 0.0, []
    for index, (space, *place) in enumerate(places):
        if index:
            station += math.dist(place, places[index - 1][1:])
        points.append(RoutePoint(space, *place, station, along if index + 1 < len(places) else None))
    return Route("supply", tuple(points), (), 0.0, 0.0)


def under(*places):
    return route(*(("underfloor", x, y, 400.0) for x, y in places))


STRAIGHT = under((100, 0), (2000, 0))


def a_floor(height_mm=424.0, drill=Drill.ALLOWED, area=None):
    """A floor above looms at 400 mm: its holes clear the lines at 400 mm by 24 mm and more."""
    return Panel(
        "floor", ("underfloor", "load area"), height_mm, None, area or box(0, -600, 3000, 600), drill
    )


def fixed(way, every=250.0, support=None, kind=FixingKind.TIE):
    """Fixings every `every` mm from 50 mm after the start to 50 mm before the end."""
    end = way.routed_mm - 50
    count = max(1, math.ceil((end - 50) / every))
    stations = [50 + share * (end - 50) / count for share in range(count + 1)]
    return placed(way, stations, support, kind)


def placed(way, stations, support=None, kind=FixingKind.TIE):
    """Fixings where the way is at these stations."""
    return tuple(
        Fixing(n, station, kind, support, at.space, at.x_mm, at.y_mm, at.z_mm, "", None)
        for n, (station, at) in enumerate(zip(stations, positions_at(way, tuple(stations)), strict=True), 1)
    )


def judge(
    way=STRAIGHT,
    profile=VEHICLE,
    run=RUN,
    fixings=None,
    practice=None,
    loom_mm=LOOM_MM,
    wire_mm=WIRE_MM,
    declared=(),
    **more,
):
    fixings = fixed(way) if fixings is None else fixings
    rule_file = practice or rules()
    more = {"widest_wire_mm": wire_mm, "declared": declared, **more}
    return review_route(way, run, fixings, profile, rule_file, loom_mm, **more)


def findings(*args, **kwargs):
    return judge(*args, **kwargs)[1]


def kinds(*args, **kwargs):
    return [finding.kind for finding in findings(*args, **kwargs)]


def with_keep_out(shape, hazard=Hazard.FUEL, heights=None, **more):
    keep_out = KeepOut("tank", "underfloor", hazard, shape, heights, *more.values() or (False, None))
    return replace(VEHICLE, keep_outs=(keep_out,))


def disc(x, y, radius=50.0):
    return Shape(ShapeKind.DISC, ((x, y),), radius)


def test_a_good_route_has_no_findings():
    assert findings() == ()


# clearance: loom radius 5, fuel 51 mm (FAA AC 43.13-1B par. 11-126) + tolerance 5 = 56 required


def test_clearance_just_broken_and_just_kept():
    # disc of radius 50 at y = c: distance c - 50 - 5 must be at least 56, so c = 111
    (broken,) = findings(profile=with_keep_out(disc(1000, 111 - TINY)))
    assert (broken.kind, broken.severity, broken.station_mm) == ("clearance", Severity.MUST, 900.0)
    assert broken.rule.name == "clearance: fuel"
    assert kinds(profile=with_keep_out(disc(1000, 111))) == []


def test_clearance_tolerance_is_one_millionth_of_a_millimetre():
    assert CLEARANCE_TOLERANCE_MM == 1e-6
    assert kinds(profile=with_keep_out(disc(1000, 111 - 2e-6))) == ["clearance"]
    assert kinds(profile=with_keep_out(disc(1000, 111 - 5e-7))) == []


@pytest.mark.parametrize(
    "shape",
    [
        Shape(ShapeKind.LINE, ((500, 100), (1500, 100)), 39.0),  # 100 - 39 - 5 = 56
        Shape(ShapeKind.AREA, box(500, 61, 1500, 200), 0.0),  # 61 - 5 = 56
        disc(1000, 111),
    ],
)
def test_every_shape_is_measured_from_its_outside(shape):
    ((check,), found) = judge(profile=with_keep_out(shape))
    assert found == ()
    assert check.actual_mm == pytest.approx(56, abs=1e-9)
    nearer = Shape(shape.kind, tuple((x, y - TINY) for x, y in shape.points), shape.reach_mm)
    assert kinds(profile=with_keep_out(nearer)) == ["clearance"]


def test_inside_an_area_there_is_no_distance_left():
    around = Shape(ShapeKind.AREA, box(-500, -500, 3000, 500), 0.0)
    (check,), (broken,) = judge(profile=with_keep_out(around))
    assert (check.actual_mm, broken.actual) == (0.0, "0 mm")
    # the last edge of an area, from its last point back to the first, counts as well: 61 - 5 = 56
    behind = Shape(ShapeKind.AREA, ((500, 61), (500, 200), (1500, 200), (1500, 61)), 0.0)
    (check,), _ = judge(profile=with_keep_out(behind))
    assert check.actual_mm == pytest.approx(56, abs=1e-9)


def test_shield_halves_hot_but_nothing_else():
    # hot shielded 100 + 5 (UN R107 annex 3, 100 mm): disc at 50 + 5 + 105 = 160
    assert kinds(profile=with_keep_out(disc(1000, 160), Hazard.HOT, None, s=True, c=None)) == []
    assert kinds(profile=with_keep_out(disc(1000, 160 - TINY), Hazard.HOT, None, s=True, c=None)) == [
        "clearance"
    ]
    assert kinds(profile=with_keep_out(disc(1000, 160), Hazard.HOT, None, s=False, c=None)) == ["clearance"]
    # fuel: 51 + 5 asked, 65 there, which would not do for a shielded hot part
    assert kinds(profile=with_keep_out(disc(1000, 120), Hazard.FUEL, None, s=True, c=None)) == []


def test_margin_150_mm_from_a_silencer():
    # 150 mm off, 200 mm asked (common practice, no source): 50 short; 100 mm asked with a shield: 50 to spare
    at_150 = disc(1000, 50 + 5 + 150)
    exact = replace(with_keep_out(at_150, Hazard.HOT), tolerance_mm=0.0)
    (check,), _ = judge(profile=exact)
    assert check.actual_mm - check.required_mm == pytest.approx(-50)
    shielded = replace(exact, keep_outs=(replace(exact.keep_outs[0], is_shielded=True),))
    (check,), none = judge(profile=shielded)
    assert (check.actual_mm - check.required_mm, none) == (pytest.approx(50), ())


def test_own_clearance_stands_in_place_of_the_rule():
    own = with_keep_out(disc(1000, 50 + 5 + 25), Hazard.FUEL, None, s=False, c=20.0)
    (check,), found = judge(profile=own)
    assert (check.required_mm, check.rule, found) == (25.0, None, ())
    (broken,) = findings(profile=with_keep_out(disc(1000, 79.9), Hazard.FUEL, None, s=False, c=20.0))
    assert broken.rule is None


def test_above_a_keep_out_counts_the_distance_in_space():
    # straight above: gap = (400 - 5) - high; beside it as well: from the middle of the loom, 3-4-5 triangle
    assert kinds(profile=with_keep_out(disc(1000, 0), heights=(100.0, 339.0))) == []
    assert kinds(profile=with_keep_out(disc(1000, 0), heights=(100.0, 339.0 + TINY))) == ["clearance"]
    aslant = with_keep_out(disc(1000, 50 + 40), heights=(0.0, 400.0 - 30.0))
    (check,), _ = judge(profile=aslant)
    assert check.actual_mm == pytest.approx(50.0 - 5.0, abs=1e-9)


def test_what_a_floor_parts_does_not_count():
    elsewhere = replace(with_keep_out(disc(1000, 0)).keep_outs[0], space="load area")
    floor = Panel("floor", ("underfloor", "load area"), 650.0, None, None, Drill.NEVER)
    assert judge(profile=replace(VEHICLE, keep_outs=(elsewhere,), panels=(floor,))) == ((), ())
    assert judge(profile=replace(VEHICLE, keep_outs=(elsewhere,)))[1] != ()


def test_clearances_within_300_mm_are_listed_by_margin():
    discs = [(1000, 355.5), (600, 200.0), (1500, 250.0)]
    outs = [
        KeepOut(f"tank {n}", "underfloor", Hazard.FUEL, disc(x, y), None, False, None)
        for n, (x, y) in enumerate(discs)
    ]
    checks, _ = judge(profile=replace(VEHICLE, keep_outs=tuple(outs)))
    assert [check.keep_out for check in checks] == ["tank 1", "tank 2"]  # the first is 300.5 mm away
    assert [check.station_mm for check in checks] == [500.0, 1400.0]


def test_vertical_piece_is_judged_by_its_whole_interval():
    # a drop from 400 to 100 beside a bar that lies between 200 and 210, 40 mm away
    drop = route(
        ("underfloor", 100, 0, 400), ("underfloor", 1000, 0, 400), ("underfloor", 1000, 0, 100),
        ("underfloor", 1000, 300, 100),
    )  # fmt: skip
    bar = Shape(ShapeKind.LINE, ((1050, -100), (1050, 100)), 5.0)
    checks, _ = judge(drop, with_keep_out(bar, heights=(200.0, 210.0)))
    assert checks[0].actual_mm == pytest.approx(40.0, abs=1e-9)
    assert 900 + 190 <= checks[0].station_mm <= 900 + 200


def test_sloped_piece_against_a_dense_count():
    # the reference is plain arithmetic at 200,001 places: it can only be a little too large
    slope = route(("underfloor", 100, 0, 400), ("underfloor", 2000, 0, 100))
    out = with_keep_out(disc(1000, 120, 20), heights=(150.0, 190.0))
    (check,), _ = judge(slope, out)
    dense = math.inf
    for share in (n / 200_000 for n in range(200_001)):
        x, z = 100 + 1900 * share, 400 - 300 * share
        plan = max(0.0, math.dist((x, 0), (1000, 120)) - 20)
        dense = min(dense, math.hypot(plan, max(0.0, 150 - z, z - 190)) - 5)
    assert dense - 1e-6 < check.actual_mm <= dense + 1e-9


@settings(max_examples=60, deadline=None)  # shared machines stall
@given(
    st.floats(-300, 300), st.floats(-250, 250), st.floats(50, 700), st.floats(1, 200), st.floats(0, 200)
)  # fmt: skip
def test_sloped_piece_is_never_taken_for_further_than_it_is(x, y, low, thick, rise):
    slope = route(("underfloor", 700, -200, 300), ("underfloor", 1300, 200, 300 + rise))
    out = with_keep_out(disc(1000 + x, y, 20), heights=(low, low + thick))
    checks, _ = judge(slope, out)
    true = math.inf
    for share in (n / 500 for n in range(501)):
        place, z = (700 + 600 * share, -200 + 400 * share), 300 + rise * share
        plan = max(0.0, math.dist(place, (1000 + x, y)) - 20)
        true = min(true, math.hypot(plan, max(0.0, low - z, z - (low + thick))) - 5)
    if checks:
        assert checks[0].actual_mm <= max(0.0, true) + 1e-9
        assert (
            checks[0].actual_mm >= max(0.0, true) - slope.routed_mm / 500
        )  # distance varies no faster than the way
    else:
        assert true > 300


# where a route may go


def test_outline_left_and_kept():
    out = under((100, 0), (1000, 600 + TINY), (2000, 0))
    assert "outline" in kinds(out, run=RUN)
    (left,) = [f for f in findings(out) if f.kind == "outline"]
    assert left.station_mm == pytest.approx(math.dist((100, 0), (1000, 600)), abs=0.1)
    assert kinds(under((100, 0), (1000, 600), (2000, 0))) == []


def test_outline_with_a_bay_is_left_between_two_points_inside():
    bay = ((0, -600), (3000, -600), (3000, 600), (1200, 600), (1200, -10), (900, -10), (900, 600), (0, 600))
    profile = replace(VEHICLE, spaces=(Space("underfloor", 400.0, bay, SpaceKind.UNDERFLOOR),))
    (left,) = findings(profile=profile)
    assert (left.kind, left.actual) == ("outline", "10 mm outside")


def member(*passes):
    return replace(VEHICLE, members=(Member("bar", "underfloor", ((1000, -500), (1000, 500)), 90.0, passes),))


HOLE = ThroughPass((1000, 0), 30.0, Edge.ROLLED)


def near_member(*places):
    """Fixings that hold a way through the bar as well (band: 45 + 5 to both sides of x = 1000)."""
    way = under(*places)
    at = {s.station_mm for s in fixed(way)} | {way.routed_mm / 2 + side * 60 for side in (-1, 1)}
    return {
        "way": way,
        "fixings": tuple(replace(fixed(way)[0], number=n, station_mm=s) for n, s in enumerate(sorted(at), 1)),
    }


ACROSS = near_member((0, 0), (2000, 0))
ACROSS_RUN = replace(RUN, start="corner")
ACROSS_VEHICLE = Terminal("corner", "underfloor", (0, 0), 400.0, None)


def across(*passes, **more):
    profile = member(*passes)
    profile = replace(profile, terminals=(*profile.terminals, ACROSS_VEHICLE))
    return kinds(profile=profile, run=ACROSS_RUN, **{**ACROSS, **more})


@pytest.mark.parametrize("lean_deg", [0, 45, 90, 150])
@pytest.mark.parametrize(
    ("along_mm", "is_beside"), [(-5.001, True), (-4.999, False), (4.999, False), (5.001, True)]
)
def test_however_a_member_leans_its_hole_is_as_wide_as_its_place_is_uncertain(lean_deg, along_mm, is_beside):
    """It is crossed square, so far along it beside its hole; the vehicle was measured to 5 mm."""
    ahead = (math.cos(math.radians(lean_deg)), math.sin(math.radians(lean_deg)))

    def at(along, aside):
        return (1000 + along * ahead[0] - aside * ahead[1], along * ahead[1] + aside * ahead[0])

    bar = Member("bar", "underfloor", (at(-300, 0), at(300, 0)), 100.0, (HOLE,))
    way = under(at(along_mm, -250), at(along_mm, 250))
    assert ("member" in kinds(way, profile=replace(VEHICLE, members=(bar,)))) == is_beside


def test_member_crossed_beside_and_in_its_passes():
    assert across() == ["member"]
    assert across(HOLE) == []
    assert across(OverPass((1000, -100), (1000, 100), 5.0)) == []
    assert across(OverPass((1000, -100), (1000, 0), 5.0)) == []  # just at its end
    assert across(OverPass((1000, -100), (1000, -TINY), 5.0)) == ["member"]
    assert across(replace(HOLE, at=(1000, 5))) == []  # as closely as the vehicle was measured
    assert across(replace(HOLE, at=(1000, 5.001))) == ["member"]


def risen(rise_mm, *passes, **more):
    """Go over the bar (950 to 1050 mm with the loom's 5) on legs that stand just before and behind it."""
    places = [(0, 400), (940, 400), (940, 400 + rise_mm), (1060, 400 + rise_mm), (1060, 400), (2000, 400)]
    way = route(*(("underfloor", x, 0, z) for x, z in places))
    middle_mm = 1000 + rise_mm
    near = [middle_mm - rise_mm - 70, middle_mm, middle_mm + rise_mm + 70]
    held = placed(
        way, sorted([*range(50, 900, 200), *near, *(way.routed_mm - s for s in range(50, 900, 200))])
    )
    profile = member(*passes)
    profile = replace(profile, terminals=(*profile.terminals, ACROSS_VEHICLE))
    return kinds(way, **{"profile": profile, "run": ACROSS_RUN, "fixings": held, **more})


@pytest.mark.parametrize("is_before", [True, False])
@pytest.mark.parametrize(("away_mm", "is_found"), [(299, False), (356, True)])
def test_a_loom_rises_within_300_mm_before_or_behind_what_it_passes_over(is_before, away_mm, is_found):
    """Its band, with the loom's 5 mm, is 950 to 1050; the 55 mm of the climb itself count too."""
    x = 950 - away_mm + 55 if is_before else 1050 + away_mm - 55
    places = (
        [(0, 400), (x, 400), (x, 455), (2000, 455)]
        if is_before
        else [(0, 455), (x, 455), (x, 400), (2000, 400)]
    )
    way = route(*(("underfloor", x, 0, z) for x, z in places))
    profile = member(OverPass((1000, -100), (1000, 100), 55.0))
    profile = replace(profile, terminals=(*profile.terminals, ACROSS_VEHICLE))
    assert ("rise" in kinds(way, profile=profile, run=ACROSS_RUN)) == is_found


def test_member_passed_over_with_its_rise_and_without():
    over = OverPass((1000, -100), (1000, 100), 55.0)
    assert risen(55.0, over) == []
    assert risen(50.0, over) == []  # as closely as the vehicle was measured
    assert risen(49.9, over) == ["rise"]
    assert across(over) == ["rise"]
    assert across(over, has_no_heights=True) == []  # drawn without heights
    assert across(HOLE, over) == []  # through the hole
    lower = replace(over, rise_mm=20.0)
    assert risen(20.0, over, lower) == []  # the lowest of those that lie together


def test_member_reaches_half_its_width_and_the_loom():
    def beside(x):
        way = under((100, 0), (x, 0), (x, 300), (x - 300, 300))
        return kinds(way, profile=member(), run=replace(RUN, end="joint"))

    assert "member" not in beside(950)
    assert "member" in beside(950 + TINY)


def test_member_crossed_aslant_through_a_hole():
    # 100 mm of band: 0.1 slope moves 5 mm to each side of the hole, the tolerance; 0.11 moves more
    level = near_member((0, -100), (2000, 100))
    assert "member" not in across(HOLE, **level)
    aslant = near_member((0, -110), (2000, 110))
    assert "member" in across(HOLE, **aslant)


def test_hole_too_small_and_just_wide_enough():
    assert across(replace(HOLE, bore_mm=10.0)) == []
    assert across(replace(HOLE, bore_mm=9.999)) == ["hole"]
    assert across(replace(HOLE, bore_mm=14.0, edge=Edge.BARE)) == []  # a grommet's wall of 2 mm to each side
    assert across(replace(HOLE, bore_mm=13.999, edge=Edge.BARE)) == ["hole"]


def through_the_floor(at=(2500, 0), **more):
    x, y = at
    way = route(
        ("underfloor", 100, 0, 400), ("underfloor", x, y, 400), ("underfloor", x, y, 550),
        ("load area", x, y, 550), ("load area", x, y, 700), ("load area", 3000, 0, 700),
    )  # fmt: skip
    stations = [50, *range(300, 2400, 250), way.points[2].station_mm - 60, way.points[2].station_mm + 60]
    stations += [way.routed_mm - 50 - 290, way.routed_mm - 50]
    held = [replace(fixed(way)[0], number=n, station_mm=s) for n, s in enumerate(stations, 1)]
    return kinds(way, **{"fixings": tuple(held), "run": UNIT_RUN, **more})


def test_change_of_space_at_an_opening_only():
    assert through_the_floor() == []
    assert through_the_floor((2505, 0)) == []  # as closely as the vehicle was measured
    assert through_the_floor((2505.01, 0)) == ["space"]


def test_opening_joins_only_its_own_spaces():
    elsewhere = replace(VEHICLE.openings[0], joins=("engine bay", "load area"))
    assert through_the_floor(profile=replace(VEHICLE, openings=(elsewhere,))) == ["space"]


def test_opening_too_small_and_just_wide_enough():
    def through(bore, edge):
        plug = replace(VEHICLE.openings[0], bore_mm=bore, edge=edge)
        return through_the_floor(profile=replace(VEHICLE, openings=(plug,)))

    assert through(10.0, Edge.RUBBER) == through(14.0, Edge.BARE) == []
    assert through(9.999, Edge.RUBBER) == through(13.999, Edge.BARE) == ["opening"]


# what holds it


def held_at(*stations, way=STRAIGHT, **more):
    return placed(way, stations, **more)


def test_span_too_long_and_just_not():
    # 1900 mm; 300 mm is the longest span under the floor
    even = [50, *range(350, 1851, 300)]
    assert kinds(fixings=held_at(*even)) == []
    even[2] += 0.1
    (long,) = findings(fixings=held_at(*even))
    assert (long.kind, long.station_mm, long.rule.name) == (
        "span",
        pytest.approx(500.05),
        "spacing: underfloor",
    )


def test_span_over_two_spaces_keeps_to_the_stricter():
    way = through_the_floor
    loose = rules(**{})
    loose = replace(loose, rules={**loose.rules, ("fixing", "near an opening"): Rule(
        "fixing", "near an opening", 400.0, "mm", "this test", Status.SHOP_RULE)})  # fmt: skip
    # opening at 2550; a span of 301 round it is more than the underfloor's 300, less than 457
    before = [50, *range(300, 2301, 250), 2400]
    after = [2700, 3150]
    assert way(fixings=held_at(*before, *after), practice=loose) == []
    assert way(fixings=held_at(*before, 2701, 3150), practice=loose) == ["span"]


@pytest.mark.parametrize(("first", "last"), [(100.02, 1850), (50, 1799.98)])
def test_fixing_missing_near_an_end(first, last):
    middle = range(200, 1750, 250)
    assert kinds(fixings=held_at(first, *middle, last)) == ["fixing missing"]
    assert kinds(fixings=held_at(100, *middle, 1800)) == []


def test_fixing_missing_near_a_member_and_an_opening():
    way = ACROSS["way"]  # band from 950 to 1050
    even = [50, 300, 550, 700, 850, 1150, 1300, 1550, 1750, 1950]
    assert across(HOLE, fixings=held_at(*even, way=way)) == []
    for index, moved in ((4, 849.9), (5, 1150.1)):
        near = [*even[:index], moved, *even[index + 1 :]]
        assert "fixing missing" in across(HOLE, fixings=held_at(*near, way=way))
    opening = [50, *range(300, 2301, 250), 2450, 2650, 2900, 3150]  # the opening is at 2550
    assert through_the_floor(fixings=held_at(*opening)) == []
    for index, moved in ((-4, 2449.9), (-3, 2650.1)):
        near = list(opening)
        near[index] = moved
        assert through_the_floor(fixings=held_at(*near)) == ["fixing missing"]


def test_climb_onto_a_member_belongs_to_it():
    # band from 950 to 1050: up 60 at 948 (2 mm before it), down 60 at 1052; fixings 100 mm beyond both climbs
    def climbing(before, after):
        way = route(
            ("underfloor", 100, 0, 400), ("underfloor", 948, 0, 400), ("underfloor", 948, 0, 460),
            ("underfloor", 1052, 0, 460), ("underfloor", 1052, 0, 400), ("underfloor", 2000, 0, 400),
        )  # fmt: skip
        held = [50, 300, 550, 848 - before, 960, 1072 + after, 1300, 1550, 1800, way.routed_mm - 50]
        over = member(OverPass((1000, -100), (1000, 100), 60.0))
        return kinds(way, profile=over, fixings=held_at(*held, way=way))

    assert climbing(100, 100) == []
    assert climbing(100.1, 100) == climbing(100, 100.1) == ["fixing missing"]


def test_fixing_on_a_line_that_takes_none():
    def on(support, kind):
        return kinds(fixings=fixed(STRAIGHT, support=support, kind=kind))

    assert set(on("brake line", FixingKind.TIE)) == {"fixing forbidden"}
    assert set(on("brake line", FixingKind.CLIP)) == {"fixing forbidden"}
    assert set(on("nowhere", FixingKind.CLIP)) == {"fixing forbidden"}
    assert on("bracket", FixingKind.CLIP) == on("flange", FixingKind.TIE) == []


@pytest.mark.parametrize(
    ("support", "kind", "why"),
    [
        ("bracket", FixingKind.TIE, "it takes a clip, no tie"),
        ("flange", FixingKind.CLIP, "it takes a tie, no clip"),
        ("flange", FixingKind.P_CLIP, "it takes a tie, no P-clip"),
    ],
)
def test_a_support_takes_the_kinds_of_fixing_that_the_profile_says(support, kind, why):
    first, *rest = fixed(STRAIGHT)
    (found,) = findings(fixings=(replace(first, support=support, kind=kind), *rest))
    assert (found.kind, found.severity) == ("fixing unfit", Severity.MUST)
    assert found.what == f"fixing 1 is a {kind} on {support}: {why}"
    assert kinds(fixings=(replace(first, support="bracket", kind=FixingKind.P_CLIP), *rest)) == []


def test_no_hole_for_a_p_clip_is_made_in_a_member_nor_at_its_edge():
    # the bar is 90 mm wide across x 1000, the loom 10 mm thick: inside it from station 950 on to 1050; a hole
    # of 6 mm with 20 mm of metal to the bar is at 45 + 20 + 3 mm from its middle
    def with_one_at(station, kind=FixingKind.P_CLIP):
        held = held_at(*range(50, 900, 250), 940, 1060, *range(1300, 1951, 130), way=ACROSS["way"])
        (one,) = placed(ACROSS["way"], [station], kind=kind)
        fixings = tuple(sorted((*held, one), key=lambda fixing: fixing.station_mm))
        profile = replace(member(HOLE), panels=(a_floor(),))
        profile = replace(profile, terminals=(*profile.terminals, ACROSS_VEHICLE))
        return kinds(profile=profile, run=ACROSS_RUN, way=ACROSS["way"], fixings=fixings)

    assert with_one_at(951) == with_one_at(1049) == ["fixing unfit"]
    assert with_one_at(949) == with_one_at(1067.99) == ["drilled hole"]
    assert with_one_at(932) == with_one_at(1068) == with_one_at(1000, FixingKind.TIE) == []


# bends: 10 x 3 mm = 30 mm


def test_single_corner_between_long_pieces_is_no_fault():
    assert kinds(under((100, 0), (2000, -590), (2000, 0))) == []


def test_hairpin_is_a_fault():
    way = under((100, 0), (2200, 0), (2000, 0))
    assert "bend" in kinds(way)


def test_two_square_corners_that_turn_against_each_other():
    # both arcs need their radius on the segment between (tan 45 deg = 1): 2 x 30 mm
    def step(across_mm):
        there = Terminal("there", "underfloor", (2000, across_mm), 400.0, None)
        profile = replace(VEHICLE, terminals=(*VEHICLE.terminals, there))
        way = under((100, 0), (1000, 0), (1000, across_mm), (2000, across_mm))
        return kinds(way, run=replace(RUN, end="there"), profile=profile)

    assert step(60) == []
    assert step(58) == ["bend"]


def test_square_corner_near_an_end_may_use_the_whole_piece():
    def corner(before_mm):
        way = under((100, 0), (100, before_mm), (2000, before_mm), (2000, 0))
        return tight_bends(segments_of(way), 30.0, 0.0)

    assert corner(30) == ()
    assert [bend.radius_mm for bend in corner(29)] == [pytest.approx(29), pytest.approx(29)]


def arc(radius, steps, turn=math.pi / 2, leg=200.0):
    """A way along x, round an arc of `radius` drawn by chords at `steps` (shares of the turn), and on."""
    angles = [turn * share for share in steps]
    places = [(1000.0 - leg, 0.0)]
    places += [(1000 + radius * math.sin(a), radius - radius * math.cos(a)) for a in angles]
    x, y = places[-1]
    places.append((x + leg * math.cos(turn), y + leg * math.sin(turn)))
    return under(*places)


@pytest.mark.parametrize("count", [6, 8, 16, 64])
def test_an_arc_drawn_in_steps_is_judged_as_one_bend(count):
    steps = [n / count for n in range(count + 1)]
    assert tight_bends(segments_of(arc(30.0, steps)), 30.0, 0.0) == ()
    uneven = sorted({*steps, 0.5 + 1e-4, 0.03})
    assert tight_bends(segments_of(arc(30.0, uneven)), 30.0, 0.0) == ()


def test_half_a_circle_too_sharp_and_just_not():
    # by half a circle there is no corner to take in its place: the arc's own radius counts
    steps = [n / 32 for n in range(33)]
    assert tight_bends(segments_of(arc(30.0, steps, math.pi)), 30.0, 0.0) == ()
    assert tight_bends(segments_of(arc(25.0, steps, math.pi)), 30.0, 0.0) != ()


def test_jog_within_the_measuring_tolerance_is_no_bend():
    # two turns of 45 degrees against each other, 8 mm apart: R = 8 / (2 tan 22.5 deg) = 9.7 mm as drawn
    way = under(
        (100, 0), (1000, 0), (1000 + 8 * math.sqrt(0.5), 8 * math.sqrt(0.5)), (2000, 8 * math.sqrt(0.5))
    )
    assert tight_bends(segments_of(way), 30.0, 4.001) == ()
    (bend,) = tight_bends(segments_of(way), 30.0, 3.9)
    assert bend.radius_mm == pytest.approx(8 / (2 * math.tan(math.radians(22.5))))


def test_many_jogs_are_not_smoothed_into_one_line():
    # a saw of 8 mm teeth, 60 mm wide: each step is small, all of them are a bend
    saw = [(1000 + 4 * (n % 2) + 4 * n, 8.0 * n) for n in range(8)]
    way = under((100, 0), *saw, (2000, 56.0))
    assert tight_bends(segments_of(way), 30.0, 5.0) != ()


def test_short_rise_is_a_slope_and_a_long_one_a_bend():
    def step(rise):
        return route(
            ("underfloor", 100, 0, 400), ("underfloor", 1000, 0, 400), ("underfloor", 1000, 0, 400 + rise),
            ("underfloor", 2000, 0, 400 + rise),
        )  # fmt: skip

    assert tight_bends(segments_of(step(20)), 30.0, 0.0) == ()
    assert tight_bends(segments_of(step(60)), 30.0, 0.0) == ()
    back = route(
        ("underfloor", 100, 0, 400), ("underfloor", 1000, 0, 400), ("underfloor", 1000, 0, 430),
        ("underfloor", 500, 0, 430),
    )  # fmt: skip
    assert len(tight_bends(segments_of(back), 30.0, 0.0)) == 1


def test_without_a_wire_the_loom_stands_for_it():
    way = under((100, 0), (1000, 0), (1000, 60), (1930, 60), (1930, 0), (2000, 0))
    assert "bend" not in kinds(way, wire_mm=3.0)
    (first, *_) = [f for f in findings(way, wire_mm=None) if f.kind == "bend"]
    assert first.required == "radius of at least 100 mm"  # 10 x 10 mm


# whether it is the route that was asked for


def test_ends_at_the_terminals():
    assert kinds(under((105, 0), (2000, 0))) == []  # as closely as the vehicle was measured
    assert kinds(under((105.01, 0), (2000, 0))) == ["end"]
    assert kinds(under((100, 0), (1994, 0))) == ["end"]
    assert kinds(run=replace(RUN, end="unit")) == ["end"]  # another space
    above = Terminal("twin", "load area", (2000, 0), 400.0, None)
    twin = replace(VEHICLE, terminals=(*VEHICLE.terminals, above))
    assert kinds(profile=twin, run=replace(RUN, end="twin")) == ["end"]  # the same place in another space
    high = replace(
        VEHICLE, terminals=(replace(VEHICLE.terminals[0], height_mm=406.0), *VEHICLE.terminals[1:])
    )
    assert kinds(profile=high) == ["end"]


def test_points_and_stations_make_one_way():
    points = list(STRAIGHT.points)
    longer = replace(STRAIGHT, points=(points[0], replace(points[1], station_mm=1900.02)))
    assert kinds(longer) == ["continuity"]
    assert kinds(replace(STRAIGHT, points=(points[0], replace(points[1], station_mm=1900.005)))) == []
    late = tuple(replace(point, station_mm=point.station_mm + 5) for point in points)
    assert kinds(replace(STRAIGHT, points=late)) == ["continuity"]


def test_gap_between_two_spaces():
    way = route(
        ("underfloor", 100, 0, 400), ("underfloor", 2500, 0, 400), ("load area", 2500, 0, 700),
        ("load area", 3000, 0, 700),
    )  # fmt: skip
    assert "continuity" in kinds(way, run=UNIT_RUN)


def test_support_that_is_said_to_be_followed():
    places = (("underfloor", 100, 0, 400), ("underfloor", 2000, 0, 400))
    assert kinds(route(*places, along="flange")) == []
    assert kinds(route(*places, along="bracket")) == ["support"]
    assert kinds(route(*places, along="nowhere")) == ["support"]


def test_avoid_used_and_not_used():
    followed = route(("underfloor", 100, 0, 400), ("underfloor", 2000, 0, 400), along="flange")
    on_bracket = fixed(followed, support="bracket", kind=FixingKind.CLIP)
    assert kinds(followed, run=replace(RUN, avoid=("flange",)), fixings=on_bracket) == ["avoid"]
    assert kinds(run=replace(RUN, avoid=("flange",)), fixings=on_bracket) == []  # lying by it is no use of it
    assert kinds(run=replace(RUN, avoid=("bracket",)), fixings=on_bracket) == ["avoid"]
    assert through_the_floor(run=replace(UNIT_RUN, avoid=("plug",))) == ["avoid"]
    assert across(HOLE) == []
    run = replace(ACROSS_RUN, avoid=("bar",))
    terminals = (*VEHICLE.terminals, ACROSS_VEHICLE)
    assert kinds(profile=replace(member(HOLE), terminals=terminals), run=run, **ACROSS) == ["avoid"]


def test_avoid_a_cover():
    run = replace(RUN, avoid=("panel",))
    assert kinds(under((100, 0), (1250, 299), (2000, 0)), run=run) == []
    assert kinds(under((100, 0), (1250, 302), (2000, 0)), run=run) == ["avoid"]


def test_via_in_its_order():
    followed = route(
        ("underfloor", 100, 0, 400),
        ("underfloor", 1000, 0, 400),
        ("underfloor", 2000, 0, 400),
        along="flange",
    )
    assert kinds(followed, run=replace(RUN, via=("flange", "joint"))) == []
    assert kinds(run=replace(RUN, via=("joint",))) == ["via"]  # no corner of the route is there
    assert kinds(followed, run=replace(RUN, via=("bracket",))) == ["via"]
    assert through_the_floor(run=replace(UNIT_RUN, via=("flange", "plug", "unit"))) == []
    assert through_the_floor(run=replace(UNIT_RUN, via=("plug", "post"))) == ["via"]  # the wrong way round


# the whole


def test_findings_come_by_weight():
    way = under((105.01, 0), (1000, 0), (1000, 30), (2000, 0))
    outs = with_keep_out(disc(1500, 0))
    found = kinds(way, profile=outs, fixings=held_at(500, 1000, 1300, way=way))
    assert found == sorted(found, key=KINDS.index)
    assert found[0] == "clearance"
    severities = [f.severity for f in findings(way, profile=outs, fixings=())]
    assert severities == sorted(severities, key=list(Severity).index)


def test_the_review_imports_nothing_of_the_planner():
    import ast
    from pathlib import Path

    import router.reviewing

    names = set()
    for file in Path(router.reviewing.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom):
                names.add(node.module)
    own = {name for name in names if name and name.startswith("router.")}
    assert {name for name in own if not name.startswith(("router.model.", "router.reviewing."))} == set()
    assert len(own) > 5
