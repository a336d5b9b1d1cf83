"""Fixings: every rule kept, never one too many (brute force), and findings where a rule cannot be kept."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest
from small_vehicle import (
    a_job,
    a_keep_out,
    a_passage,
    a_profile,
    a_route,
    a_run,
    a_van,
    box,
    default_practice,
    practice_with,
)

from router.facts import bundles_of, positions_at
from router.fixings import (
    AvoidedSupport,
    PlacedFixing,
    fixings_beside,
    place_fixings,
    spans_along,
    supports_avoided,
)
from router.fixings.fewest import FixingOption, fewest_stations
from router.fixings.needs import SpanLimits, closed_stretches, sharp_bends
from router.fixings.spots import find_spots
from router.model.fixing import Fixing, FixingKind
from router.model.plan import Finding, PassageKind, Route, Severity
from router.model.vehicle import Fix, Hazard, KeepOut, Profile, Support, SupportKind

LOOM_MM = 13.1


def place(
    route: Route, profile: Profile | None = None, **changes: float
) -> tuple[tuple[Fixing, ...], tuple[Finding, ...]]:
    """Return fixings and findings; without a profile, below a floor that may be drilled everywhere."""
    practice = practice_with({("fixing", key.replace("_", " ")): value for key, value in changes.items()})
    return place_fixings(route, profile or a_van(), practice, LOOM_MM)


def straight(length_mm: float, **parts: object) -> Route:
    return a_route([(0, 0, 410), (length_mm, 0, 410)], **parts)  # type: ignore[arg-type]


def support(
    name: str, fix: Fix, y_mm: float = 0.0, from_x: float = 0.0, to_x: float = 5000.0, z: float = 410.0
) -> Support:
    return Support(name, "underfloor", SupportKind.FLANGE, ((from_x, y_mm), (to_x, y_mm)), z, fix)


def block(from_x: float, to_x: float, heights: tuple[float, float] | None = (450.0, 600.0)) -> KeepOut:
    return a_keep_out("fuel tank", box(from_x, -300, to_x, 300), Hazard.FUEL, heights_mm=heights)


def spans_mm(fixings: Sequence[Fixing], route: Route) -> list[float]:
    held = [0.0, *(fixing.station_mm for fixing in fixings), route.routed_mm]
    return [after - before for before, after in itertools.pairwise(held)]


# Where it can be fixed


def places(
    route: Route, profile: Profile | None = None, placed: tuple[PlacedFixing, ...] = ()
) -> list[float]:
    practice = practice_with({("fixing", "clear of an edge"): 25.0})
    found = find_spots(route, profile or a_van(), practice, LOOM_MM, (), placed, ())
    return [place.station_mm for place in found]


def test_no_place_is_nearer_to_an_end_than_an_edge_asks_for() -> None:
    """Every 5 mm from 25 mm after the start to 25 mm before the end, where a support runs all along."""
    profile = a_profile(supports=(support("flange", Fix.TIE),))
    assert places(straight(200), profile) == [float(station) for station in range(25, 176, 5)]


@pytest.mark.parametrize("kind", [PassageKind.OVER_MEMBER, PassageKind.THROUGH_MEMBER, PassageKind.OPENING])
def test_no_place_is_in_or_beside_what_is_gone_through(kind: PassageKind) -> None:
    profile = a_profile(supports=(support("flange", Fix.TIE),))
    route = straight(600, passages=(a_passage(kind, "it", 300.0, 300.0),))
    assert not [station for station in places(route, profile) if abs(station - 300.0) < 25.0]
    assert {100.0, 200.0, 400.0, 500.0} <= set(places(route, profile))


def test_a_place_that_holds_the_loom_already_is_there_once() -> None:
    profile = a_profile(supports=(support("flange", Fix.TIE),))
    held = PlacedFixing("earlier", 100.0, FixingKind.TIE, "flange")
    found = places(straight(200), profile, (held,))
    assert found.count(100.0) == 1
    assert found == places(straight(200), profile)


def test_a_place_that_an_earlier_run_has_is_that_place_but_for_rounding() -> None:
    """A hole is where its first run has it, and nowhere else: not 0.0003 mm off."""
    profile = a_profile(supports=(support("flange", Fix.TIE),))
    station_mm = 100.0 + 1.0 / 3.0
    found = places(straight(200), profile, (PlacedFixing("earlier", station_mm, FixingKind.TIE, "flange"),))
    assert min(abs(each - station_mm) for each in found) < 1e-6


def test_half_way_up_a_rise_nothing_is_fixed_to_what_ends_below_and_begins_above() -> None:
    """The loom goes 400 mm straight up from the end of a rail to the start of another: 20 mm are in reach."""
    low, high = support("low", Fix.TIE, to_x=600.0), support("high", Fix.CLIP, from_x=600.0, z=810.0)
    route = a_route([(0, 0, 410), (600, 0, 410), (600, 0, 810), (1200, 0, 810)])
    found = places(route, a_profile(supports=(low, high)))
    assert {600.0, 605.0, 615.0, 620.0, 980.0, 985.0, 1000.0} <= set(found)
    assert not [station for station in found if 620.0 < station < 980.0]


def test_a_support_of_another_space_holds_nothing() -> None:
    flange = support("flange", Fix.TIE)
    assert places(straight(200), a_profile(supports=(replace(flange, space="load area"),))) == []


def test_a_support_that_rises_into_a_keep_out_holds_nothing_in_there() -> None:
    """It climbs from 410 to 510 mm in 1000 mm: a tank from 480 mm up is met at x 700."""
    rising = replace(support("flange", Fix.TIE, to_x=1000.0), heights_mm=(410.0, 510.0))
    route = a_route([(0, 0, 410), (1000, 0, 510)], along={0: "flange"})
    tank = block(-100, 2000, (480.0, 600.0))
    found = find_spots(
        route, a_profile(supports=(rising,), keep_outs=(tank,)), default_practice(), LOOM_MM, (), ()
    )
    held = [spot.position.x_mm for spot in found]
    assert 690.0 < max(held) < 700.0
    assert len(held) > 100


def test_an_avoided_support_holds_nothing_between_its_stations() -> None:
    """The flange runs beside the loom all along; a run in the same loom from 300 to 700 mm avoids it."""
    profile = a_profile(supports=(support("flange", Fix.TIE),))
    route, avoided = straight(1000), (AvoidedSupport("flange", 300.0, 700.0),)
    found = find_spots(route, profile, default_practice(), LOOM_MM, (), (), avoided)
    held = [spot.station_mm for spot in found if spot.support == "flange"]
    assert {100.0, 295.0, 705.0, 900.0} <= set(held)
    assert not [station for station in held if 300.0 <= station <= 700.0]


def test_what_one_run_avoids_is_avoided_by_all_in_its_loom() -> None:
    """Both lie together for the first 600 mm; "lamp", which avoids the flange, then goes off by itself."""
    trunk = straight(1000, run="supply")
    lamp = a_route([(0, 0, 410), (600, 0, 410), (600, 500, 410)], run="lamp")
    job = a_job(a_run("supply"), a_run("lamp", avoid=("flange",)))
    bundles = bundles_of((trunk, lamp))
    assert supports_avoided("supply", job, bundles) == (AvoidedSupport("flange", 0.0, 600.0),)
    assert [(each.from_mm, each.to_mm) for each in supports_avoided("lamp", job, bundles)] == [
        (0.0, 600.0),
        (600.0, 1100.0),
    ]


def test_edges_that_overlap_shut_all_between_them() -> None:
    """A member from 300 to 400 mm, another to 350 only; with 10 mm of edge it is one stretch."""
    over = PassageKind.OVER_MEMBER
    passed = (a_passage(over, "long", 300.0, 400.0), a_passage(over, "short", 310.0, 350.0))
    assert closed_stretches(straight(1000, passages=passed), default_practice()) == ((290.0, 410.0),)
    apart = (a_passage(over, "one", 300.0, 400.0), a_passage(over, "other", 500.0, 600.0))
    assert len(closed_stretches(straight(1000, passages=apart), default_practice())) == 2


# The rules


def test_straight_run_is_held_at_its_ends_and_at_every_span() -> None:
    route = straight(2000)
    fixings, findings = place(route)
    assert findings == ()
    assert fixings[0].station_mm <= 100
    assert route.routed_mm - fixings[-1].station_mm <= 100
    assert max(spans_mm(fixings, route)) <= 300
    assert len(fixings) == 7  # from 100 to 1900 mm at most 300 apart: no fewer will do
    assert [fixing.number for fixing in fixings] == [1, 2, 3, 4, 5, 6, 7]
    assert [fixing.why for fixing in fixings] == ["end", "span", "span", "span", "span", "span", "end"]


def test_spans_are_even() -> None:
    """15 spans of 1900 mm from end to end cannot be all equal on a 5 mm grid, but nearly."""
    route = straight(1950)
    spans = spans_mm(place(route)[0], route)
    assert max(spans[1:-1]) - min(spans[1:-1]) <= 5


def test_stricter_space_decides_a_span_across_the_border() -> None:
    points = [(0, 0, 410), (1000, 0, 410), (1000, 0, 410), (2000, 0, 410)]
    names = ["underfloor", "underfloor", "load area", "load area"]
    through = (a_passage(PassageKind.OPENING, "plug", 1000.0, 1000.0),)
    route = a_route(points, spaces=names, passages=through)
    fixings, findings = place(route)
    assert findings == ()
    across = [
        (before.station_mm, after.station_mm)
        for before, after in itertools.pairwise(fixings)
        if before.station_mm < 1000 < after.station_mm
    ]
    assert len(across) == 1
    assert across[0][0] >= 900
    assert across[0][1] <= 1100
    spans = SpanLimits.of(route, a_profile(), default_practice())
    assert (spans.longest_mm(990, 1010), spans.longest_mm(1000, 1010), spans.longest_mm(0, 1000)) == (
        300,
        457,
        300,
    )
    late = [f.station_mm for f in fixings if f.station_mm > 1000]
    assert max(b - a for a, b in itertools.pairwise(late)) > 300  # 457 mm in the load area
    assert {"opening plug"} <= {fixing.why for fixing in fixings}


@pytest.mark.parametrize("kind", [PassageKind.OVER_MEMBER, PassageKind.THROUGH_MEMBER])
def test_member_is_held_on_both_sides_and_never_fixed_in(kind: PassageKind) -> None:
    fixings, _ = place(straight(1200, passages=(a_passage(kind, "rear crossmember", 550.0, 650.0),)))
    stations = [fixing.station_mm for fixing in fixings]
    assert any(450 <= station <= 540 for station in stations)
    assert any(660 <= station <= 750 for station in stations)
    assert not any(540 < station < 660 for station in stations)


def test_sharp_bend_is_held_at_the_bend_or_on_both_sides() -> None:
    sharp = a_route([(0, 0, 410), (330, 0, 410), (330, 300, 410)])
    stations = [fixing.station_mm for fixing in place(sharp)[0]]
    assert any(230 <= station <= 330 for station in stations)
    assert any(330 <= station <= 430 for station in stations)


def test_bend_in_a_members_hole_is_held_on_both_sides_of_the_member() -> None:
    hole = (a_passage(PassageKind.THROUGH_MEMBER, "left side member", 250.0, 450.0),)
    fixings, findings = place(a_route([(0, 0, 410), (350, 0, 410), (350, 500, 410)], passages=hole))
    assert findings == ()
    assert any(150 <= fixing.station_mm <= 240 for fixing in fixings)
    assert any(460 <= fixing.station_mm <= 550 for fixing in fixings)


@pytest.mark.parametrize(
    ("dy_mm", "count"), [(990.0, 0), (1000.0, 0), (1010.0, 1)]
)  # 44.7, 45 and 45.3 degrees
def test_a_bend_is_sharp_above_45_degrees(dy_mm: float, count: int) -> None:
    route = a_route([(0, 0, 410), (1000, 0, 410), (2000, dy_mm, 410)])
    assert len(sharp_bends(route, default_practice())) == count


def test_tight_arc_is_one_bend_and_a_short_rise_is_none() -> None:
    corners = [(1000, 0, 410), (1015, 4, 410), (1026, 15, 410), (1030, 30, 410)]  # radius 30 mm, four corners
    assert len(sharp_bends(a_route([(0, 0, 410), *corners, (1030, 900, 410)]), default_practice())) == 1
    step = a_route([(0, 0, 410), (1000, 0, 410), (1000, 0, 340), (2000, 0, 340)])
    assert sharp_bends(step, default_practice()) == ()
    wall = a_route([(0, 0, 410), (1000, 0, 410), (1000, 0, 810), (2000, 0, 810)])
    assert len(sharp_bends(wall, default_practice())) == 2


def test_a_sharp_corner_keeps_its_place_beside_mild_ones() -> None:
    """Two turns of 20 degrees, 24.8 mm apart, and one of 60 another 24.8 mm on: one bend, there."""
    points, heading, at = [(0.0, 0.0, 410.0)], 0.0, (0.0, 0.0)
    for length_mm, turn in ((500.0, 20.0), (24.8, 20.0), (24.8, 60.0), (500.0, 0.0)):
        at = (at[0] + length_mm * math.cos(heading), at[1] + length_mm * math.sin(heading))
        points.append((*at, 410.0))
        heading += math.radians(turn)
    (bend,) = sharp_bends(a_route(points), default_practice())
    assert bend == pytest.approx((549.6, 549.6))


def test_very_short_run_is_held_by_its_ends() -> None:
    assert place(straight(15)) == ((), ())
    assert len(place(straight(60))[0]) == 1


# What a span rests on


def test_every_span_names_what_it_rests_on() -> None:
    """Along a flange to 600 mm, free to 800, over a member to 900, free to the end; four fixings."""
    passed = (a_passage(PassageKind.OVER_MEMBER, "rear crossmember", 800.0, 900.0),)
    points = [(0, 0, 410), (600, 0, 410), (1200, 0, 410)]
    route = a_route(points, along={0: "left sill flange"}, passages=passed)
    spans = spans_along(route, (100.0, 400.0, 700.0, 1100.0), a_profile(), default_practice())
    assert [(span.from_station_mm, span.to_station_mm) for span in spans] == [
        (0, 100), (100, 400), (400, 700), (700, 1100), (1100, 1200),
    ]  # fmt: skip
    assert [span.rests_on for span in spans] == [
        ("left sill flange",),
        ("left sill flange",),
        ("left sill flange", "nothing"),
        ("nothing", "over rear crossmember"),
        ("nothing",),
    ]
    assert [span.length_mm for span in spans] == [100, 300, 300, 400, 100]
    assert {span.rule.name for span in spans} == {"spacing: underfloor"}


def test_a_span_in_a_members_hole_and_one_without_any_fixing() -> None:
    hole = (a_passage(PassageKind.THROUGH_MEMBER, "left side member", 40.0, 60.0),)
    (only,) = spans_along(straight(100, passages=hole), (), a_profile(), default_practice())
    assert only.rests_on == ("nothing", "hole of left side member")


def test_spans_of_placed_fixings_keep_to_their_rule_and_fill_the_run() -> None:
    route = straight(2000, along={0: "rail"})
    fixings, _ = place(route, a_profile(supports=(support("rail", Fix.TIE),)))
    spans = spans_along(route, [fixing.station_mm for fixing in fixings], a_profile(), default_practice())
    assert len(spans) == len(fixings) + 1
    assert sum(span.length_mm for span in spans) == pytest.approx(route.routed_mm)
    assert all(span.length_mm <= span.rule.value and span.rests_on == ("rail",) for span in spans)


# Kinds


def test_kind_goes_by_the_support() -> None:
    route = straight(600, along={0: "left sill flange"})
    tied, _ = place(route, a_van(supports=(support("left sill flange", Fix.TIE),)))
    assert {(fixing.kind, fixing.support) for fixing in tied} == {(FixingKind.TIE, "left sill flange")}
    clipped, _ = place(route, a_van(supports=(support("left sill flange", Fix.CLIP),)))
    assert {fixing.kind for fixing in clipped} == {FixingKind.CLIP}


def test_support_counts_within_reach_in_space() -> None:
    route = straight(600)
    near = a_van(supports=(support("rail", Fix.TIE, y_mm=12, z=426),))  # 12 across, 16 up: 20 mm
    far = a_van(supports=(support("rail", Fix.TIE, y_mm=12.1, z=426),))
    assert {fixing.kind for fixing in place(route, near)[0]} == {FixingKind.TIE}
    assert place(route, far)[0] == ()  # and where the rail is, no hole is made


def test_followed_support_is_used_before_a_better_one_near_by() -> None:
    both = a_van(supports=(support("stud row", Fix.CLIP), support("rail", Fix.TIE, y_mm=15)))
    fixings, _ = place(straight(600, along={0: "stud row"}), both)
    assert {fixing.support for fixing in fixings} == {"stud row"}
    assert {fixing.support for fixing in place(straight(600), both)[0]} == {"rail"}


def test_brake_line_is_never_a_fixing_and_no_hole_is_made_beside_it() -> None:
    lines = a_van(supports=(support("left brake line", Fix.NEVER, y_mm=10),))
    fixings, findings = place(straight(600), lines)
    assert fixings == ()
    assert {finding.kind for finding in findings} == {"span", "fixing missing"}
    further = a_van(supports=(support("left brake line", Fix.NEVER, y_mm=40),))
    assert {fixing.kind for fixing in place(straight(600), further)[0]} == {FixingKind.P_CLIP}


def test_no_hole_over_a_tank_and_the_missing_support_is_a_finding() -> None:
    route = straight(2000)
    fixings, findings = place(route, a_van(keep_outs=(block(800, 1300),)))
    assert not any(790 < fixing.station_mm < 1310 for fixing in fixings)
    assert [finding.kind for finding in findings] == ["span"]
    assert "near x 1050, y 0 in underfloor" in findings[0].what
    assert findings[0].rule is not None
    assert findings[0].rule.name == "spacing: underfloor"
    held, none = place(route, a_van(keep_outs=(block(800, 1300),), supports=(support("rail", Fix.TIE),)))
    assert none == ()
    assert max(spans_mm(held, route)) <= 300


def test_support_inside_a_keep_out_is_no_fixing() -> None:
    rail = support("rail", Fix.TIE)
    through = a_van(supports=(rail,), keep_outs=(block(800, 1300, (400.0, 420.0)),))
    fixings, findings = place(straight(2000), through)
    assert not any(800 <= fixing.x_mm <= 1300 for fixing in fixings)
    assert len(findings) == 1


def test_ties_are_chosen_before_screws_where_the_count_is_the_same() -> None:
    short_rail = a_van(supports=(support("rail", Fix.TIE, from_x=20, to_x=40),))
    fixings, _ = place(straight(500), short_rail, near_an_end=200, reach=4)
    assert [fixing.kind for fixing in fixings] == [FixingKind.TIE, FixingKind.P_CLIP]


def test_need_that_cannot_be_met_is_a_finding() -> None:
    fixings, findings = place(straight(600), a_van(keep_outs=(block(-50, 250),)))
    assert findings[0].required == "a fixing within 100 mm of the end"
    assert fixings[-1].why == "end"


def test_a_need_that_cannot_be_met_takes_no_fixing_beside_it() -> None:
    """Nothing holds the bend, 457 mm are allowed there: rails end 110 mm before it and begin as far behind.

    A tie in the first 100 mm, one at 520 to 557 mm and one in the last 100 mm keep every span.
    """
    before = Support("before", "load area", SupportKind.RAIL, ((0, 0), (280, 0)), 410.0, Fix.TIE)
    behind = Support("behind", "load area", SupportKind.RAIL, ((410, 130), (410, 600)), 410.0, Fix.TIE)
    route = a_route([(0, 0, 410), (410, 0, 410), (410, 600, 410)], spaces="load area")
    fixings, findings = place(route, a_profile(supports=(before, behind)))
    assert [finding.kind for finding in findings] == ["fixing missing"] * 2
    assert {finding.required for finding in findings} == {"a fixing within 100 mm of the bend"}
    assert len(fixings) == 3


def test_runs_in_one_trunk_share_their_fixings() -> None:
    trunk = straight(1500)
    branch = a_route([(0, 0, 410), (1000, 0, 410), (1000, 700, 410)], run="lamp")
    first, _ = place(trunk)
    alone, _ = place_fixings(branch, a_van(), default_practice(), LOOM_MM)
    beside = fixings_beside("lamp", {"supply": first}, bundles_of((trunk, branch)))
    second, findings = place_fixings(branch, a_van(), default_practice(), LOOM_MM, placed=beside)
    assert findings == ()
    shared = {(f.x_mm, f.y_mm, f.z_mm) for f in first} & {(f.x_mm, f.y_mm, f.z_mm) for f in second}
    assert len(second) - len(shared) < len(alone) - 2
    assert max(spans_mm(second, branch)) <= 300


@pytest.mark.parametrize("slope", [0.0, 0.17, 0.31, 0.443, 0.77, 1.37])
def test_a_fixing_at_the_edge_of_a_need_holds_the_run_that_comes_the_other_way(slope: float) -> None:
    """Shared by three runs, 100 mm from where they end: whatever rounding says, nothing is doubled."""
    there = (811.3, slope * 811.3, 410.0)
    first = a_route([(0, 0, 410), there])
    back = a_route([there, (0, 0, 410)], run="earth")
    placed, _ = place_fixings(first, a_van(), default_practice(), LOOM_MM)
    edge_mm = first.routed_mm - 100.0
    kept = tuple(f for f in placed if f.station_mm < edge_mm - 1.0)
    at = positions_at(first, (edge_mm,))[0]
    last = Fixing(9, edge_mm, FixingKind.P_CLIP, None, at.space, at.x_mm, at.y_mm, at.z_mm, "end", None)
    again = replace(back, run="lamp")
    held, bundles = {"supply": (*kept, last)}, bundles_of((first, back, again))
    held["earth"], _ = place_fixings(
        back, a_van(), default_practice(), LOOM_MM, fixings_beside("earth", held, bundles)
    )
    branch, _ = place_fixings(
        again, a_van(), default_practice(), LOOM_MM, fixings_beside("lamp", held, bundles)
    )
    earth = held["earth"]
    assert len(earth) == len(branch) == len(kept) + 1
    for found in (earth, branch):
        assert found[0].station_mm == pytest.approx(100.0, abs=1e-9)
        assert {(round(f.x_mm), round(f.y_mm)) for f in found} == {
            (round(f.x_mm), round(f.y_mm)) for f in (*kept, last)
        }


# Free air holds nothing


def test_free_air_holds_nothing_and_both_ends_and_the_span_are_told() -> None:
    fixings, findings = place(straight(1200), a_profile())
    assert fixings == ()
    assert [finding.kind for finding in findings] == ["fixing missing", "span", "fixing missing"]
    assert {finding.severity for finding in findings} == {Severity.MUST}
    for finding in findings:
        assert "there is no support within 20 mm and no panel that may be drilled there" in finding.what


def test_a_rail_holds_the_run_as_far_as_it_goes_and_the_rest_is_told_as_a_span() -> None:
    """A rail of 300 mm, in reach to 320 mm, then free air: the span from the last tie to the end is told."""
    fixings, findings = place(straight(1200), a_profile(supports=(support("rail", Fix.TIE, to_x=300),)))
    assert fixings and {fixing.support for fixing in fixings} == {"rail"}
    assert max(fixing.station_mm for fixing in fixings) <= 320
    assert [finding.kind for finding in findings] == ["span", "fixing missing"]


def test_within_the_spacing_free_air_is_crossed_without_a_finding() -> None:
    """Rails to 400 and from 700 mm on, spans of 300 mm: two ties next to the gap, nothing in it."""
    rails = (support("front rail", Fix.TIE, to_x=400), support("rear rail", Fix.TIE, from_x=700))
    fixings, findings = place(straight(1200), a_profile(supports=rails))
    assert findings == ()
    assert not [fixing for fixing in fixings if 420 < fixing.station_mm < 680]
    wider = (support("front rail", Fix.TIE, to_x=400), support("rear rail", Fix.TIE, from_x=741))
    (told,) = place(straight(1200), a_profile(supports=wider))[1]  # 420 to 721 mm: more than 300
    assert told.kind == "span"


def test_a_fixing_says_what_it_is_on() -> None:
    fixings, _ = place(straight(1200), a_van(supports=(support("rail", Fix.TIE, to_x=300),)))
    assert {fixing.on for fixing in fixings} == {"rail", "load floor"}
    for fixing in fixings:
        assert (
            (fixing.panel == "load floor") == (fixing.kind is FixingKind.P_CLIP) == (fixing.support is None)
        )


# The fewest: brute force over every subset


def is_good(
    chosen: Sequence[float],
    needs: Sequence[tuple[float, float]],
    end: float,
    longest: Callable[[float, float], float],
) -> bool:
    held = [0.0, *chosen, end]
    in_span = all(b - a <= longest(a, b) + 1e-6 for a, b in itertools.pairwise(held))
    return in_span and all(any(a <= s <= b for s in chosen) for a, b in needs)


def brute_force(
    options: Sequence[FixingOption],
    needs: Sequence[tuple[float, float]],
    end: float,
    longest: Callable[[float, float], float],
) -> tuple[int, int, float] | None:
    best = None
    for size in range(len(options) + 1):
        for some in itertools.combinations(options, size):
            stations = [option.station_mm for option in some]
            if is_good(stations, needs, end, longest):
                uneven = sum((b - a) ** 2 for a, b in itertools.pairwise([0.0, *stations, end]))
                cost = (sum(w.count for w in some), sum(w.dislike for w in some), uneven)
                best = cost if best is None else min(best, cost)
    return best


def test_no_set_of_fixings_is_better_brute_force() -> None:
    dice = random.Random(20260314)
    solved = 0
    for _ in range(400):
        end = dice.randint(40, 110)
        stations = sorted(dice.sample(range(1, end), dice.randint(3, 9)))
        options = []
        for station in stations:
            count = dice.choice([1, 1, 1, 0])
            options.append(FixingOption(float(station), count, count * dice.randint(0, 2)))
        starts = [dice.randint(0, end) for _ in range(dice.randint(0, 3))]
        needs = [(float(a), float(a + dice.randint(0, 30))) for a in starts]
        needs = [need for need in needs if any(need[0] <= s <= need[1] for s in stations)]
        border, loose, tight = dice.randint(0, end), dice.randint(20, 60), dice.randint(15, 40)

        def longest(
            a: float, b: float, border: float = border, loose: int = loose, tight: int = tight
        ) -> float:
            limits = [loose] * (a < border) + [tight] * (b > border)
            return float(min(limits))

        best = brute_force(options, needs, float(end), longest)
        if best is None:
            continue
        solved += 1
        chosen = [options[i] for i in fewest_stations(options, needs, float(end), longest)]
        found = [option.station_mm for option in chosen]
        assert is_good(found, needs, float(end), longest)
        uneven = sum((b - a) ** 2 for a, b in itertools.pairwise([0.0, *found, float(end)]))
        assert (sum(w.count for w in chosen), sum(w.dislike for w in chosen), uneven) == best
    assert solved > 100
