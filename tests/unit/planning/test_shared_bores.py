"""A bore holds all looms that go through it, whichever runs they are of: planned so, and reviewed so.

Two runs cross in one plug, each in a loom of 7.1 mm of its own: two beside each other need 14.2 mm. Nothing
is saved by lying together.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_vehicle import (
    a_conductor,
    a_job,
    a_loom,
    a_profile,
    a_route,
    a_run,
    default_practice,
    practice_with,
    rectangle,
)

from router.fitting import crowded_bores
from router.model.plan import FindingKind, PassageKind, Plan
from router.model.vehicle import (
    Edge,
    Member,
    Opening,
    OverPass,
    Profile,
    Space,
    SpaceKind,
    Terminal,
    ThroughPass,
)
from router.planning import make_plan
from router.reviewing import review_bores

SPACES = (
    Space("front", 500.0, rectangle(-800, -700, 450, 700), SpaceKind.ENGINE_BAY),
    Space("rear", 500.0, rectangle(400, -780, 3000, 780), SpaceKind.UNDERFLOOR),
)
PLACES = {"a0": ("front", (330, -600)), "a1": ("front", (330, 600)), "b0": ("rear", (520, -600)),
          "b1": ("rear", (520, 600))}  # fmt: skip
ALONE = practice_with({("factor", "shared"): 1.0})
ENDS = tuple(Terminal(name, space, at, 500.0, "M6") for name, (space, at) in PLACES.items())


def opening(name: str, y_mm: float, bore_mm: float) -> Opening:
    return Opening(name, ("front", "rear"), (425.0, y_mm), 500.0, bore_mm, Edge.RUBBER)


def a_plan(*openings: Opening) -> Plan:
    wire = {"load_a": 2.0, "size": "2.5 mm2"}
    runs = [
        a_run(f"r{n}", *ends, conductors=(a_conductor(f"s{n}", **wire),))
        for n, ends in enumerate((("a0", "b1"), ("a1", "b0")))
    ]
    profile = a_profile(tolerance_mm=0.0, spaces=SPACES, terminals=ENDS, openings=openings)
    job = a_job(*runs, source_at="a0")
    return make_plan(replace(job, limits=replace(job.limits, drop_fraction=0.1)), profile, ALONE)


def openings_of(plan: Plan) -> list[str]:
    passed = (each for run in plan.runs for each in run.route.passages)
    return [each.name for each in passed if each.kind is PassageKind.OPENING]


def too_narrow(plan: Plan) -> list[str]:
    return [finding.what for finding in plan.findings if finding.kind is FindingKind.OPENING]


def test_two_looms_in_one_plug_need_its_bore_for_both():
    plan = a_plan(opening("plug", 0.0, 14.1))
    assert [loom.outside_mm for loom in plan.looms] == [7.1] * len(plan.looms)
    assert too_narrow(plan) == [
        "plug has a bore of 14.1 mm, and 2 looms go through it, of r0 and r1; together they need 14.2 mm"
    ]
    assert too_narrow(a_plan(opening("plug", 0.0, 14.2))) == []


def test_one_of_them_goes_by_another_plug():
    plan = a_plan(opening("plug", 0.0, 8.0), opening("far plug", 300.0, 8.0))
    assert sorted(openings_of(plan)) == ["far plug", "plug"]
    assert too_narrow(plan) == []


def test_both_take_the_nearer_plug_where_it_holds_both():
    assert openings_of(a_plan(opening("plug", 0.0, 14.2), opening("far plug", 300.0, 8.0))) == ["plug"] * 2


HOLE = ThroughPass((1000.0, 0.0), 19.0, Edge.BARE)
BAR = Member("bar", "underfloor", ((1000.0, -500.0), (1000.0, 500.0)), 60.0, (HOLE,))
FLOOR = Space("underfloor", 410.0, rectangle(0, -500, 2000, 500), SpaceKind.UNDERFLOOR)


def through_the_hole(bore_mm: float, *looms_mm: float) -> tuple[tuple, Profile]:
    """Return the looms of straight routes that cross in a hole, each by itself."""
    hole = replace(HOLE, bore_mm=bore_mm)
    profile = a_profile(tolerance_mm=0.0, spaces=(FLOOR,), members=(replace(BAR, passes=(hole,)),))
    tilts = [100.0 * number for number in range(len(looms_mm))]
    routes = [
        a_route([(500, -tilt, 410), (1500, tilt, 410)], run=f"r{number}") for number, tilt in enumerate(tilts)
    ]
    looms = [
        a_loom((route.run, 0.0, route.routed_mm), outside_mm=mm)
        for route, mm in zip(routes, looms_mm, strict=True)
    ]
    return review_bores(routes, looms, profile, default_practice()), profile


def test_a_bare_hole_holds_two_looms_in_one_grommet():
    """8 and 10 mm beside each other are 18 mm, and a wall to either side is common practice's 1.5 mm."""
    wall_mm = default_practice().value("opening", "grommet wall")
    (broken,) = through_the_hole(18.0 + 2 * wall_mm - 0.001, 8.0, 10.0)[0]
    assert (broken.kind, broken.run) == (FindingKind.HOLE, "r0")
    assert "of r0 and r1" in broken.what
    assert through_the_hole(18.0 + 2 * wall_mm, 8.0, 10.0)[0] == ()


def test_one_loom_in_a_hole_is_judged_elsewhere():
    assert through_the_hole(1.0, 8.0)[0] == ()


def test_three_looms_need_more_than_the_area_of_the_two_thickest():
    """Three of 10 mm: 21.5 mm by Descartes, and never less than 20, the two thickest beside each other."""
    wall_mm = default_practice().value("opening", "grommet wall")
    assert "r0, r1 and r2" in through_the_hole(20.0 + 2 * wall_mm - 0.001, *[10.0] * 3)[0][0].what


def test_a_loom_that_goes_through_twice_counts_twice():
    profile = a_profile(tolerance_mm=0.0, spaces=(FLOOR,), members=(BAR,))
    route = a_route([(500, 0, 410), (1500, 0, 410), (500, 0, 410)])
    looms = (a_loom(("supply", 0.0, 2000.0), outside_mm=9.0),)
    (broken,) = review_bores((route,), looms, profile, default_practice())
    assert "2 looms go through it" in broken.what
    thin = (replace(looms[0], outside_mm=5.0),)
    assert review_bores((route,), thin, profile, default_practice()) == ()


def test_runs_of_one_loom_go_through_as_one():
    profile = a_profile(tolerance_mm=0.0, spaces=(FLOOR,), members=(BAR,))
    routes = [a_route([(500, 0, 410), (1500, 0, 410)], run=name) for name in ("one", "other")]
    looms = (a_loom(("one", 0.0, 1000.0), ("other", 0.0, 1000.0), outside_mm=12.0),)
    assert review_bores(routes, looms, profile, default_practice()) == ()


STRAIGHT = ((500.0, 0.0, 410.0), (1500.0, 0.0, 410.0))


def found_in_the_bar(ways, *looms, member=BAR):
    """Return what is said of routes, by run, through a bare hole of 19 mm: 16 mm of looms go through it."""
    profile = a_profile(tolerance_mm=0.0, spaces=(FLOOR,), members=(member,))
    routes = [a_route(places, run=name) for name, places in ways.items()]
    return [each.fact for each in review_bores(routes, looms, profile, practice_with(WALL))]


WALL = {("opening", "grommet wall"): 1.5}
WHOLE = (0.0, 1000.0)


def test_a_run_goes_through_in_the_largest_loom_that_it_lies_in_there():
    ways = {"one": STRAIGHT, "other": STRAIGHT}
    own, trunk = a_loom(("one", *WHOLE), outside_mm=5.0), a_loom(("one", *WHOLE), ("other", *WHOLE))
    assert found_in_the_bar(ways, own, replace(trunk, outside_mm=12.0)) == []
    apart = a_loom(("other", *WHOLE), outside_mm=12.0)
    assert "2 looms go through it, of one and other" in found_in_the_bar(ways, own, apart)[0]


def test_a_loom_goes_through_as_often_as_the_run_of_it_that_does_most_often():
    ways = {"one": STRAIGHT, "other": (*STRAIGHT, STRAIGHT[0]), "last": STRAIGHT}
    loom = a_loom(("one", *WHOLE), ("other", 0.0, 2000.0), ("last", *WHOLE), outside_mm=9.0)
    assert "2 looms go through it" in found_in_the_bar(ways, loom)[0]


def test_the_loom_at_the_hole_counts_and_not_the_one_before_it():
    ways = {"one": STRAIGHT, "other": STRAIGHT}
    behind, before = (
        a_loom(("one", 400.0, 1000.0), outside_mm=7.0),
        a_loom(("one", 0.0, 400.0), outside_mm=30.0),
    )
    beside = a_loom(("other", *WHOLE), outside_mm=9.0)
    assert found_in_the_bar(ways, behind, before, beside) == []
    assert len(found_in_the_bar(ways, replace(behind, outside_mm=7.1), before, beside)) == 1


def test_a_point_of_the_route_in_the_hole_makes_no_second_loom():
    way = (STRAIGHT[0], (1000.0, 0.0, 410.0), STRAIGHT[1])
    assert found_in_the_bar({"one": way}, a_loom(("one", *WHOLE), outside_mm=9.0)) == []


def test_what_goes_by_beside_a_hole_or_in_another_space_is_not_in_it():
    looms = tuple(a_loom((name, *WHOLE), outside_mm=9.0) for name in ("one", "other"))
    beside = tuple((x, 300.0, z) for x, _, z in STRAIGHT)
    assert len(found_in_the_bar({"one": STRAIGHT, "other": STRAIGHT}, *looms)) == 1
    assert found_in_the_bar({"one": STRAIGHT, "other": beside}, *looms) == []
    above = replace(BAR, space="load area")
    assert found_in_the_bar({"one": STRAIGHT, "other": STRAIGHT}, *looms, member=above) == []


def test_what_goes_over_the_top_is_not_in_the_hole_below_it():
    looms = tuple(a_loom((name, *WHOLE), outside_mm=9.0) for name in ("one", "other"))
    top = OverPass((1000.0, -50.0), (1000.0, 50.0), 20.0)
    over = replace(BAR, passes=(HOLE, top))
    assert found_in_the_bar({"one": STRAIGHT, "other": STRAIGHT}, *looms, member=over) == []


def test_the_two_thickest_looms_lie_beside_each_other():
    """9 and 9 mm beside each other, however thin the third is: 18, where the area alone is that of 12.9."""
    ways = dict.fromkeys(("one", "other", "last"), STRAIGHT)
    looms = [a_loom((name, *WHOLE), outside_mm=mm) for name, mm in zip(ways, (9.0, 2.0, 9.0), strict=True)]
    assert "3 looms go through it" in found_in_the_bar(ways, *looms)[0]


@pytest.mark.parametrize(("bore_mm", "crowds"), [(14.1, 1), (14.2, 0)])
def test_the_planner_counts_by_itself(bore_mm, crowds):
    plan = a_plan(opening("plug", 0.0, 14.2))
    profile = replace(plan.profile, openings=(opening("plug", 0.0, bore_mm),))
    routes = [run.route for run in plan.runs]
    found = list(crowded_bores(routes, plan.looms, profile, plan.practice))
    assert [each.runs for each in found] == [("r0", "r1")] * crowds
