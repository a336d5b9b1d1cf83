"""Other ways: on vehicles whose ways can be counted, with lengths by plain geometry; safe on the examples."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from random import Random

import pytest
import shapely
from example_plans import example_plan
from small_vehicle import a_job, a_keep_out, a_profile, a_run, disc, plain_practice

from router.drawing import draw_map
from router.explaining import explain_routes, find_routes_or_explain
from router.explaining.alternatives import _meet, _windings, tell_differences
from router.facts import bundles_of
from router.model.plan import Alternative, PassageKind
from router.model.vehicle import (
    Cover,
    Edge,
    Fix,
    Hazard,
    KeepOut,
    Member,
    Opening,
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
from router.sheet.job_sheet import make_sheet
from router.writing import plan_data

LOOM_MM = 10.0
WALL_X, WALL_WIDTH_MM = 1000.0, 40.0
HALF_BAND_MM = WALL_WIDTH_MM / 2.0 + LOOM_MM / 2.0
OFFSET_SLACK = 0.012
"""Offsets lie at most 1.1 % outside the true ones: 8 chords a quarter circle, 1 / cos(3 pi / 64) = 1.0109."""


def room(name: str = "underfloor", low_x: float = 0.0, high_x: float = 2000.0) -> Space:
    return Space(name, 400.0, ((low_x, -500.0), (high_x, -500.0), (high_x, 500.0), (low_x, 500.0)))


def end(name: str, x: float, y: float, space: str = "underfloor") -> Terminal:
    return Terminal(name, space, (x, y), 400.0, None)


def post(name: str, x: float, y: float, radius_mm: float, hazard: Hazard = Hazard.SOLID) -> KeepOut:
    return a_keep_out(name, disc(x, y, radius_mm), hazard)


def wall(*passes: OverPass | ThroughPass) -> Member:
    return Member("wall", "underfloor", ((WALL_X, -500.0), (WALL_X, 500.0)), WALL_WIDTH_MM, passes)


def door(low_y: float, high_y: float, rise_mm: float = 0.0) -> OverPass:
    return OverPass((WALL_X, low_y), (WALL_X, high_y), rise_mm)


def others(profile: Profile, **run: object) -> tuple[float, tuple[Alternative, ...]]:
    """Return the effort of the chosen way from "start" to "end", and the other ways."""
    job = a_job(a_run(start="start", end="end", **run))
    routing = find_routes_or_explain(job, profile, plain_practice(), LOOM_MM)
    return routing.routes[0].effort_mm, explain_routes(job, routing, bundles_of(routing.routes))[
        0
    ].alternatives


def two_ends(y: float) -> tuple[Terminal, ...]:
    return end("start", 200.0, y), end("end", 1800.0, y)


def test_of_two_doors_in_a_wall_the_other_one_is_the_only_other_way():
    profile = a_profile(
        spaces=(room(),), members=(wall(door(-400, -300), door(200, 300)),), terminals=two_ends(200.0)
    )
    effort_mm, found = others(profile)
    (other,) = found
    amount_mm = plain_practice().value("amount", "member")
    assert effort_mm == pytest.approx(1600.0 + amount_mm, abs=0.5)
    by_the_corners_mm = 2.0 * math.hypot(800.0 - HALF_BAND_MM, 500.0) + 2.0 * HALF_BAND_MM
    assert other.route.routed_mm == pytest.approx(by_the_corners_mm, abs=1.0)
    assert other.route.effort_mm == pytest.approx(by_the_corners_mm + amount_mm, abs=1.0)
    assert other.more_effort_mm == pytest.approx(other.route.effort_mm - effort_mm)
    assert other.differs == (
        "over wall 350 mm left of the middle instead of over it 250 mm right of the middle",
    )
    assert other.worse == (f"{other.route.routed_mm - 1600.0:.0f} mm longer",)


def test_through_a_wall_with_one_door_there_is_no_other_way():
    profile = a_profile(spaces=(room(),), members=(wall(door(-100, 100)),), terminals=two_ends(0.0))
    assert others(profile)[1] == ()


def test_a_keep_out_is_passed_on_its_other_side():
    radius_mm, off_mm = 100.0, 20.0
    profile = a_profile(
        spaces=(room(),), keep_outs=(post("post", 1000, off_mm, radius_mm),), terminals=two_ends(0.0)
    )
    _, (other,) = others(profile)
    assert other.differs == ("right of post",)
    reach_mm = (
        radius_mm + 10.0 + profile.tolerance_mm + LOOM_MM / 2.0
    )  # FAA AC 43.13-1B has no solid: 10 mm, practice
    assert other.route.routed_mm == pytest.approx(
        round_a_disc_mm(800.0, off_mm, reach_mm), rel=OFFSET_SLACK / 10
    )
    lengths = [point.y_mm for point in other.route.points]
    assert max(lengths) >= off_mm + reach_mm


def round_a_disc_mm(half_mm: float, off_mm: float, reach_mm: float) -> float:
    """Return the length from (-half, 0) to (half, 0) over the far side of a disc round (0, off)."""
    apart_mm = math.hypot(half_mm, off_mm)
    turned = math.pi + 2.0 * math.atan2(off_mm, half_mm)  # from one end to the other, seen from the middle
    arc = turned - 2.0 * math.acos(reach_mm / apart_mm)
    return 2.0 * math.sqrt(apart_mm**2 - reach_mm**2) + reach_mm * arc


def test_a_keep_out_that_touches_the_edge_has_no_other_side():
    profile = a_profile(spaces=(room(),), keep_outs=(post("post", 1000, 400, 350),), terminals=two_ends(0.0))
    assert others(profile)[1] == ()


def test_a_way_past_a_keep_out_that_it_does_not_touch_has_another_side_too():
    profile = a_profile(
        spaces=(room(),),
        keep_outs=(post("left post", 1000, -200, 60), post("right post", 1000, 200, 60)),
        terminals=two_ends(0.0),
    )
    found = others(profile)[1]
    assert {other.differs for other in found} == {("left of left post",), ("right of right post",)}


def test_another_opening_is_told_with_the_one_it_stands_for():
    openings = tuple(
        Opening(name, ("underfloor", "load area"), (1000.0, y), 400.0, 40.0, Edge.RUBBER)
        for name, y in (("middle plug", 0.0), ("side plug", 400.0))
    )
    profile = a_profile(
        spaces=(room(), room("load area")),
        openings=openings,
        terminals=(end("start", 200, 0), end("end", 1800, 0, "load area")),
    )
    _, (other,) = others(profile)
    assert other.differs == ("through side plug instead of middle plug",)
    more_mm = 2.0 * math.hypot(800.0, 400.0) - 1600.0
    assert other.more_effort_mm == pytest.approx(more_mm, abs=0.5)
    assert other.worse == (f"{more_mm:.0f} mm longer",)


def test_another_support_counts_where_it_leads_elsewhere():
    lines = {"near rail": -50.0, "far rail": -250.0}
    supports = tuple(
        Support(name, "underfloor", SupportKind.RAIL, ((100.0, y), (1900.0, y)), 400.0, Fix.TIE)
        for name, y in lines.items()
    )
    profile = a_profile(spaces=(room(),), supports=supports, terminals=two_ends(0.0))
    _, (other,) = others(profile)
    assert other.differs == ("along far rail instead of near rail",)


def test_what_a_cover_shelters_is_told():
    shut = plain_practice({("amount", "cover"): 0.0})
    cover = Cover("panel", "underfloor", ((300.0, 0.0), (1700.0, 0.0), (1700.0, 499.0), (300.0, 499.0)), 4)
    profile = a_profile(
        spaces=(room(),),
        covers=(cover,),
        keep_outs=(post("post", 1000, -20, 60),),
        terminals=two_ends(100.0),
    )
    job = a_job(a_run(start="start", end="end"))
    routing = find_routes_or_explain(job, profile, shut, LOOM_MM)
    (other,) = explain_routes(job, routing, bundles_of(routing.routes))[0].alternatives
    chosen = routing.routes[0]
    sheltered = {
        route: sum(p.to_station_mm - p.from_station_mm for p in route.passages if p.kind is PassageKind.COVER)
        for route in (chosen, other.route)
    }
    assert other.differs == ("left of post",)
    assert f"{sheltered[chosen] - sheltered[other.route]:.0f} mm less sheltered by covers" in other.worse


def test_what_the_job_asks_for_stands():
    profile = a_profile(
        spaces=(room(),), members=(wall(door(-400, -300), door(200, 300)),), terminals=two_ends(200.0)
    )
    far = a_profile(
        spaces=profile.spaces,
        supports=(
            Support(
                "rail", "underfloor", SupportKind.RAIL, ((100.0, -60.0), (1900.0, -60.0)), 400.0, Fix.TIE
            ),
        ),
        terminals=two_ends(0.0),
    )
    for other in others(far, via=("rail",))[1]:
        assert any(point.along == "rail" for point in other.route.points)
    assert others(profile, avoid=())[1] != ()


def test_more_than_twice_the_effort_is_no_choice():
    spaces = (
        Space(
            "underfloor", 400.0, ((0, -3000), (2000, -3000), (2000, 3000), (0, 3000)), SpaceKind.UNDERFLOOR
        ),
    )
    member = Member(
        "wall", "underfloor", ((1000.0, -3000.0), (1000.0, 3000.0)), 40.0, (door(-100, 100), door(2800, 2900))
    )
    profile = a_profile(spaces=spaces, members=(member,), terminals=two_ends(0.0))
    assert others(profile)[1] == ()


@pytest.mark.parametrize("name", ["fridge-supply", "trailer-socket", "work-lamp"])
def test_on_the_examples_they_are_few_different_in_order_and_safe(name):
    plan = example_plan(name)
    assert any(run.alternatives for run in plan.runs)
    loom = LoomOnVehicle(plan.profile, plan.practice, plan.loom_diameter_mm / 2.0)
    for run in plan.runs:
        efforts = [other.more_effort_mm for other in run.alternatives]
        assert len(efforts) <= 3
        assert efforts == sorted(efforts)
        ways = [run.route, *(other.route for other in run.alternatives)]
        assert all(tell_differences(loom, one, two) for one, two in combinations(ways, 2))
        for other in run.alternatives:
            assert other.worse
            assert other.clearances == tuple(sorted(other.clearances, key=lambda check: check.margin_mm))
            assert 0 < len(other.clearances) <= 3
            assert all(check.margin_mm >= -1e-6 for check in other.clearances)


def test_the_tightest_places_are_the_least_margins_of_all_runs():
    plan = example_plan("fridge-supply")
    least: dict[str, float] = {}
    for run in plan.runs:
        for check in run.clearances:
            spare_mm = check.actual_mm - check.required_mm
            least[check.keep_out] = min(spare_mm, least.get(check.keep_out, math.inf))
    assert [check.margin_mm for check in plan.tightest()] == sorted(least.values())[:5]


def test_they_stand_in_the_data_the_sheet_and_on_the_map():
    plan = example_plan("work-lamp")
    run, data = plan.runs[0], plan_data(plan)
    told = data["runs"][0]["alternatives"]
    assert [other["more_effort"] for other in told] == [o.more_effort_mm for o in run.alternatives]
    assert all(other["way"] and other["differs"] and other["worse"] and other["clearances"] for other in told)
    assert all(other["points"][0] == data["runs"][0]["points"][0] for other in told)
    assert [check["keep_out"] for check in data["tightest"]] == [check.keep_out for check in plan.tightest()]
    assert [reason["why"] for reason in data["runs"][0]["reasons"]] == [reason.why for reason in run.reasons]
    drawn = draw_map(plan)
    sheet = make_sheet(plan, drawn)
    for words in ("Why this route", "Other routes, and why not", "The tightest places", told[0]["worse"][0]):
        assert words in sheet
    for number in range(1, len(told) + 1):
        assert f'id="other-route-supply-{number}"' in drawn
    assert "other route 1" in drawn


def test_a_plan_without_other_ways_says_so():
    plan = example_plan("work-lamp")
    alone = replace(plan, runs=tuple(replace(run, alternatives=()) for run in plan.runs))
    drawn = draw_map(alone)
    assert "other route" not in drawn.replace("Other routes that the runs could take", "")
    assert "No other route that really differs takes less than twice the effort." in make_sheet(alone, drawn)


def test_pieces_meet_as_shapely_says():
    # General-purpose reference: shapely's intersects on the same pieces; whole numbers, so both are exact.
    rng = Random(7)
    met = 0
    for _ in range(2000):
        a, b, c, d = ((rng.randint(0, 8), rng.randint(0, 8)) for _ in range(4))
        if a == b or c == d:
            continue
        expected = shapely.LineString([a, b]).intersects(shapely.LineString([c, d]))
        assert _meet(a, b, c, d) == expected, (a, b, c, d)
        met += expected
    assert 200 < met < 1800


def test_windings_are_those_of_a_ring_round_a_place():
    # General-purpose reference: shapely's contains on simple rings, either way round.
    rng = Random(11)
    inside = 0
    for _ in range(300):
        ring = shapely.convex_hull(shapely.MultiPoint([(rng.random(), rng.random()) for _ in range(6)]))
        place = (rng.random(), rng.random())
        loop = list(ring.exterior.coords)[:-1]
        is_in = ring.contains(shapely.Point(place))
        assert abs(_windings(loop, place)) == int(is_in)
        assert _windings(loop[::-1], place) == -_windings(loop, place)
        inside += is_in
    assert 20 < inside < 280
