"""Why a way goes as it does: on vehicles made so that the answer is known, and every bend of the examples."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from example_plans import example_plan
from small_vehicle import a_job, a_keep_out, a_profile, a_run, default_practice, disc

from router.explaining import explain_routes, find_routes_or_explain
from router.facts import bundles_of
from router.model.plan import Route, RouteReason
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

LOOM_MM = 10.0
ROOM = Space(
    "underfloor",
    400.0,
    ((0.0, -500.0), (2000.0, -500.0), (2000.0, 500.0), (0.0, 500.0)),
    SpaceKind.UNDERFLOOR,
)


def end(name: str, x: float, y: float, space: str = "underfloor") -> Terminal:
    return Terminal(name, space, (x, y), 400.0, None)


def post(x: float, y: float, radius_mm: float, hazard: Hazard = Hazard.SOLID, **changes: object) -> KeepOut:
    return a_keep_out("post", disc(x, y, radius_mm), hazard, **changes)


def rail(y: float, low_x: float = 200.0, high_x: float = 1800.0, height_mm: float = 400.0) -> Support:
    return Support("rail", "underfloor", SupportKind.RAIL, ((low_x, y), (high_x, y)), height_mm, Fix.TIE)


def reasons(profile: Profile, **run: object) -> tuple[Route, tuple[RouteReason, ...]]:
    job = a_job(a_run(start="start", end="end", **run))
    routing = find_routes_or_explain(job, profile, default_practice(), LOOM_MM)
    return routing.routes[0], explain_routes(job, routing, bundles_of(routing.routes))[0].reasons


def test_a_straight_way_needs_no_reason():
    profile = a_profile(spaces=(ROOM,), terminals=(end("start", 100, 0), end("end", 1900, 0)))
    assert reasons(profile)[1] == ()


@pytest.mark.parametrize(
    ("hazard", "own_mm", "required_mm", "rule"),
    [
        (Hazard.SOLID, None, 20.0, "clearance: solid"),
        (
            Hazard.FUEL,
            None,
            61.0,
            "clearance: fuel",
        ),  # FAA AC 43.13-1B par. 11-126: 2 in, and 10 mm tolerance
        (Hazard.FUEL, 30.0, 40.0, None),
    ],
)
def test_a_bend_round_a_keep_out_names_it_its_clearance_and_its_rule(hazard, own_mm, required_mm, rule):
    profile = a_profile(
        spaces=(ROOM,),
        keep_outs=(post(1000, 30, 100, hazard, clearance_mm=own_mm),),
        terminals=(end("start", 100, 0), end("end", 1900, 0)),
    )
    _, (reason,) = reasons(profile)
    assert reason.keep_out == "post"
    assert reason.rule is None if rule is None else reason.rule is not None and reason.rule.name == rule
    assert f"{required_mm:.0f} mm from it" in reason.why
    reach_mm, apart_mm = 100.0 + required_mm + LOOM_MM / 2.0, math.hypot(900.0, 30.0)
    tangent_mm = math.sqrt(apart_mm**2 - reach_mm**2)  # bends lie on the arc between the two tangents
    step_mm = reach_mm * math.pi / 16.0  # a chord of the offset
    assert reason.station_mm == pytest.approx(tangent_mm, abs=step_mm)
    assert reason.to_station_mm > reason.station_mm


def test_joining_and_leaving_a_support_are_told_with_what_makes_them():
    profile = a_profile(
        spaces=(ROOM,), supports=(rail(-300),), terminals=(end("start", 100, -290), end("end", 1900, -290))
    )
    route, (joined, left) = reasons(profile)
    ridden = [p for p in route.points if p.along == "rail"]
    assert joined.support == left.support == "rail"
    assert joined.station_mm == ridden[0].station_mm
    assert joined.to_station_mm == left.station_mm
    assert joined.rule is not None
    assert joined.rule.name == "factor: along a support"
    assert "a metre along it counts as 0.75 m" in joined.why  # 0.7, and a tie of 15 mm every 300 mm


def test_a_support_is_left_for_what_blocks_it_at_its_own_height():
    # Over a pipe up to 300 mm a loom of 10 mm at 400 mm has 95 mm of room; along a support at 340 mm, 35 mm.
    pipe = post(1300, -300, 30, Hazard.FUEL, heights_mm=(200.0, 300.0))
    ends = (end("start", 100, -300), end("end", 1900, -300))
    level, low = (
        a_profile(spaces=(ROOM,), keep_outs=(pipe,), supports=(rail(-300, height_mm=mm),), terminals=ends)
        for mm in (400.0, 340.0)
    )
    assert all(reason.keep_out is None for reason in reasons(level)[1])
    blocked = [reason for reason in reasons(low)[1] if reason.keep_out == "post"]
    assert [reason.support for reason in blocked] == ["rail"]
    assert blocked[0].rule is not None
    assert blocked[0].rule.name == "clearance: fuel"
    assert "at its height of 340 mm the loom needs 61 mm" in blocked[0].why
    reach_mm = 30.0 + LOOM_MM / 2.0 + math.sqrt(61.0**2 - 35.0**2)
    assert blocked[0].station_mm == pytest.approx(1200.0 + 60.0 - reach_mm, abs=0.012 * reach_mm + 1.0)


def test_a_support_that_ends_is_left_because_it_ends():
    profile = a_profile(
        spaces=(ROOM,),
        supports=(rail(0, high_x=1000.0),),
        terminals=(end("start", 100, 0), end("end", 1900, 0)),
    )
    assert [r.why for r in reasons(profile)[1]][-1] == "leaves rail, which ends here"


def test_a_corner_of_the_space_is_told():
    corner = Space(
        "underfloor",
        400.0,
        ((0, 0), (2000, 0), (2000, 500), (500, 500), (500, 2000), (0, 2000)),
        SpaceKind.UNDERFLOOR,
    )
    profile = a_profile(spaces=(corner,), terminals=(end("start", 100, 1900), end("end", 1900, 100)))
    _, (reason,) = reasons(profile)
    assert reason.why == "goes round a corner of the edge of the underfloor"
    assert reason.station_mm == pytest.approx(math.hypot(400.0, 1400.0), abs=0.01)


def test_passes_of_members_are_told_once_each():
    members = (
        Member(
            "first",
            "underfloor",
            ((600, -500), (600, 500)),
            40.0,
            (OverPass((600, -400), (600, -300), 30.0),),
        ),
        Member(
            "second",
            "underfloor",
            ((1300, -500), (1300, 500)),
            40.0,
            (ThroughPass((1300, 200), 30.0, Edge.RUBBER), ThroughPass((1300, 450), 30.0, Edge.RUBBER)),
        ),
    )
    profile = a_profile(
        spaces=(ROOM,), members=members, terminals=(end("start", 100, 0), end("end", 1900, 0))
    )
    found = reasons(profile)[1]
    crossing = [reason for reason in found if reason.why.startswith("crosses")]
    assert [reason.member for reason in crossing] == ["first", "second"]
    assert [reason.why for reason in crossing] == [
        "crosses over first at its only place to cross",
        "crosses through the hole in second at one of its 2 places to cross, square to it",
    ]
    assert all(reason.member == "first" for reason in found[: found.index(crossing[1])])
    assert all(reason.rule is not None and reason.rule.name == "amount: member" for reason in crossing)


def test_an_opening_says_among_how_many_it_was_chosen():
    spaces = (ROOM, Space("load area", 400.0, ROOM.outline, SpaceKind.BOOT))
    openings = tuple(
        Opening(name, ("underfloor", "load area"), (1000.0, y), 400.0, bore_mm, Edge.RUBBER)
        for name, y, bore_mm in (
            ("near plug", 0.0, 40.0),
            ("far plug", 300.0, 40.0),
            ("small plug", -50.0, 8.0),
        )
    )
    profile = a_profile(
        spaces=spaces, openings=openings, terminals=(end("start", 100, 0), end("end", 1900, 0, "load area"))
    )
    _, (reason,) = reasons(profile)
    assert (reason.opening, reason.station_mm) == ("near plug", 900.0)
    assert "of 2 openings the one of least effort between underfloor and load area" in reason.why


def test_a_bend_at_the_border_of_another_effort_names_what_lies_there():
    cover = Cover("panel", "underfloor", ((0, -500), (2000, -500), (2000, 0), (0, 0)), 4)
    profile = a_profile(
        spaces=(ROOM,), covers=(cover,), terminals=(end("start", 100, -400), end("end", 1900, 400))
    )
    _, (reason,) = reasons(profile)
    # 1, and a bracket of 250 mm every 300 mm: 1.833; sheltered 0.2 less
    assert reason.why == "bends at the border of panel: a metre counts as 1.63 m before it, 1.83 m after"
    assert reason.rule is not None
    assert reason.rule.name == "factor: sheltered"


@pytest.mark.parametrize("name", ["fridge-supply", "trailer-socket", "work-lamp", "work-lamp-rear-battery"])
def test_every_bend_of_the_examples_has_its_reason(name):
    plan = example_plan(name)
    assert plan.runs and all(run.reasons and bends(run.route) for run in plan.runs)
    for run in plan.runs:
        stations = [reason.station_mm for reason in run.reasons]
        assert stations == sorted(stations)
        turned = [reason.station_mm for reason in run.reasons if reason.why.startswith("turns so")]
        assert len(turned) <= 2
        for station_mm in bends(run.route):
            near = [r for r in run.reasons if r.station_mm - 5.0 <= station_mm <= r.to_station_mm + 5.0]
            assert near, (run.name, station_mm)


def bends(route: Route) -> list[float]:
    """Return the stations at which a route turns by more than a degree in plan."""
    legs = [
        (a.station_mm, math.atan2(b.y_mm - a.y_mm, b.x_mm - a.x_mm), a.space)
        for a, b in pairwise(route.points)
        if math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) > 1e-3
    ]
    return [
        after[0]
        for before, after in pairwise(legs)
        if before[2] == after[2] and abs(math.remainder(after[1] - before[1], math.tau)) > math.radians(1.0)
    ]
