"""A path that must go by something crosses nothing twice where another path is there."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise
from random import Random

import pytest
from random_vehicles import random_vehicle
from shapely import LineString
from small_vehicle import a_job, a_profile, a_run, default_practice, rectangle

from router.errors import NoRouteError
from router.explaining import find_routes_or_explain
from router.model.plan import PassageKind, Route
from router.model.vehicle import (
    Edge,
    Fix,
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

PASSED = (PassageKind.OPENING, PassageKind.OVER_MEMBER, PassageKind.THROUGH_MEMBER)
FLOOR = Space("floor", 400.0, rectangle(0, 0, 2000, 1400), SpaceKind.UNDERFLOOR)
HOLES = (ThroughPass((1000, 300), 40.0, Edge.RUBBER), ThroughPass((1000, 1100), 40.0, Edge.RUBBER))
ENDS = tuple(
    Terminal(name, "floor", at, 400.0, None) for name, at in (("start", (400, 300)), ("end", (400, 500)))
)
"""Both on one side of the member."""


def barred(*passes: OverPass | ThroughPass) -> Profile:
    member = Member("bar", "floor", ((1000, -100), (1000, 1500)), 60.0, passes)
    return a_profile(spaces=(FLOOR,), members=(member,), terminals=ENDS)


def route(profile: Profile, via: str, start: str = "start", end: str = "end") -> Route:
    job = a_job(a_run("supply", start, end, via=(via,)), source_at=start)
    return find_routes_or_explain(job, profile, default_practice(), 10.0).routes[0]


def crossed(found: Route) -> list[tuple[str, object]]:
    return [(each.name, each.taken) for each in found.passages if each.kind in PASSED]


def test_it_goes_out_by_one_hole_and_home_by_the_other():
    found = route(barred(*HOLES), "bar")
    assert {taken for _, taken in crossed(found)} == set(HOLES)
    assert len(crossed(found)) == 2


def test_it_goes_over_one_pass_and_home_by_the_other():
    overs = (OverPass((1000, 200), (1000, 400), 0.0), OverPass((1000, 900), (1000, 1100), 30.0))
    found = route(barred(*overs), "bar")
    assert [taken for _, taken in crossed(found)] in ([*overs], [*overs[::-1]])


def test_two_passes_that_touch_are_one():
    """It turns neither at the place where they touch: home it goes by the hole."""
    overs = (OverPass((1000, 200), (1000, 400), 0.0), OverPass((1000, 400), (1000, 600), 30.0))
    found = crossed(route(barred(*overs, HOLES[1]), "bar"))
    assert HOLES[1] in {taken for _, taken in found} and len(found) == 2


def test_there_and_back_where_there_is_no_other():
    found = route(barred(HOLES[0]), "bar")
    assert crossed(found) == [("bar", HOLES[0])] * 2


def test_where_the_member_lies_between_the_ends_it_is_crossed_once():
    profile = barred(*HOLES)
    far = replace(ENDS[1], at=(1600.0, 500.0))
    assert len(crossed(route(replace(profile, terminals=(ENDS[0], far)), "bar"))) == 1


@pytest.mark.parametrize("via", ["plug", "hatch"])
def test_into_another_space_and_home_it_takes_two_openings(via):
    above = Space("above", 700.0, rectangle(0, 0, 2000, 1400), SpaceKind.LOAD_AREA)
    openings = (
        Opening("plug", ("floor", "above"), (500.0, 300.0), 550.0, 40.0, Edge.RUBBER),
        Opening("hatch", ("floor", "above"), (1500.0, 1200.0), 550.0, 40.0, Edge.RUBBER),
    )
    profile = a_profile(spaces=(FLOOR, above), openings=openings, terminals=ENDS)
    assert sorted(name for name, _ in crossed(route(profile, via))) == ["hatch", "plug"]
    one = replace(profile, openings=[each for each in openings if each.name == via])
    assert [name for name, _ in crossed(route(one, via))] == [via, via]


def sill(end_x: float) -> Support:
    """Return a support along y = 300 from x = 500 on, which nearly makes up for going along it."""
    return Support("sill", "floor", SupportKind.FLANGE, ((500, 300), (end_x, 300)), 400.0, Fix.TIE)


def doubled_mm(found: Route) -> float:
    """Return how much of a route lies on another part of it in plan."""
    places = [(point.x_mm, point.y_mm) for point in found.points]
    legs = [LineString(leg) for leg in pairwise(places) if leg[0] != leg[1]]
    return sum(one.intersection(other).length for one, other in combinations(legs, 2))


def test_it_does_not_ride_up_to_a_member_and_back():
    """A support goes over one pass; there is a hole to come home by, as much dearer as it is further off."""
    over = OverPass((1000, 200), (1000, 400), 0.0)
    profile = replace(barred(over, HOLES[1]), supports=(sill(1500),))
    found = route(profile, "bar")
    assert {taken for _, taken in crossed(found)} == {over, HOLES[1]}
    assert doubled_mm(found) == pytest.approx(0.0, abs=1.0)


def test_it_rides_up_to_a_member_and_back_where_there_is_no_other_pass():
    profile = replace(barred(OverPass((1000, 200), (1000, 400), 0.0)), supports=(sill(1500),))
    found = route(profile, "bar")
    assert len(crossed(found)) in (1, 2) and doubled_mm(found) > 100.0


def test_it_does_not_turn_back_on_the_support_that_it_must_go_by():
    """Home from the support's far end or from further in: not on the line that it came by."""
    found = route(a_profile(spaces=(FLOOR,), supports=(sill(900),), terminals=ENDS), "sill")
    places = LineString([(point.x_mm, point.y_mm) for point in found.points])
    assert places.distance(LineString(sill(900).along)) == pytest.approx(0.0, abs=1e-6)
    assert doubled_mm(found) == pytest.approx(0.0, abs=1.0)


def is_doubled(found: Route) -> bool:
    return len(set(crossed(found))) < len(crossed(found))


def without(profile: Profile, thing: tuple[str, object]) -> Profile:
    """Return a vehicle without an opening, or without one pass of a member."""
    name, taken = thing
    if taken is None:
        return replace(profile, openings=tuple(each for each in profile.openings if each.name != name))
    members = (
        replace(each, passes=tuple(own for own in each.passes if own != taken)) if each.name == name else each
        for each in profile.members
    )
    return replace(profile, members=tuple(members))


@pytest.mark.parametrize("count", [30, pytest.param(300, marks=pytest.mark.study)])
def test_nothing_is_crossed_twice_where_it_can_be_done_without(count):
    """What a route crosses twice is taken away: then there is no way, or none that crosses nothing twice."""
    doubled = single = 0
    for seed in range(count):
        rng = Random(seed)
        profile = random_vehicle(rng)
        start, end = (each.name for each in rng.sample(profile.terminals, 2))
        via = rng.choice([each.name for each in (*profile.members, *profile.openings)])
        try:
            found = route(profile, via, start, end)
        except NoRouteError:
            continue
        if not is_doubled(found):
            single += 1
            continue
        doubled += 1
        for thing in {each for each in crossed(found) if crossed(found).count(each) > 1}:
            try:
                assert is_doubled(route(without(profile, thing), via, start, end)), seed
            except (NoRouteError, KeyError, StopIteration):
                continue
    assert doubled and single
