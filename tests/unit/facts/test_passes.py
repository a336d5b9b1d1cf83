"""How the sheet tells which hole of a member a run takes; places and bores are those measured."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from page_reading import Page
from sample_plan import sample_plan
from small_vehicle import a_passage, a_profile, a_route

from router.drawing import draw_map
from router.facts.passes import passed_name
from router.model.plan import PassageKind, Plan, RunPlan
from router.model.vehicle import Edge, Member, OverPass, ThroughPass
from router.sheet.job_sheet import make_sheet

LEFT = ThroughPass((1500, -700), 35.0, Edge.ROLLED)
RIGHT = ThroughPass((1500, 700), 40.0, Edge.BARE)
MEMBER = Member("seat crossmember", "underfloor", ((1500, -800), (1500, 800)), 80.0, (LEFT, RIGHT))
THROUGH = a_passage(PassageKind.THROUGH_MEMBER, "seat crossmember", 460.0, 540.0, RIGHT)


def test_a_pass_is_told_by_its_place_only_where_there_are_several() -> None:
    route = a_route([(1000, 697, 400), (2000, 697, 400)], passages=(THROUGH,))
    assert passed_name(a_profile(members=(MEMBER,)), route, THROUGH) == (
        "seat crossmember 700 mm right of the middle"
    )
    alone = a_profile(members=(replace(MEMBER, passes=(RIGHT,)),))
    assert passed_name(alone, route, THROUGH) == "seat crossmember"
    top = OverPass((1500, 600), (1500, 790), 50.0)
    over = replace(THROUGH, kind=PassageKind.OVER_MEMBER, taken=top)
    tops = (top, *MEMBER.passes)
    assert passed_name(a_profile(members=(replace(MEMBER, passes=tops),)), route, over) == (
        "seat crossmember 695 mm right of the middle"
    )  # where the loom lies, to the nearest 5 mm


def runs_through(plan: Plan, hole: ThroughPass) -> Iterator[RunPlan]:
    """Yield the runs of a plan with another hole taken wherever they take one."""
    for run in plan.runs:
        passages = tuple(replace(each, taken=hole) if each.hole else each for each in run.route.passages)
        yield replace(run, route=replace(run.route, passages=passages))


@pytest.mark.parametrize(
    ("own", "edge", "other_edge"),
    [
        (Edge.ROLLED, "Its edge is rolled: feel for burrs.", Edge.BARE),
        (Edge.BARE, "Its edge is bare: deburr it and fit the grommet before the loom goes in.", Edge.ROLLED),
    ],
)
def test_the_sheet_tells_the_very_hole_of_the_run(own: Edge, edge: str, other_edge: Edge) -> None:
    """The sample's run goes through the hole at y -520 with a bore of 30 mm; the other one is not its."""
    plan = sample_plan()
    holes = (ThroughPass((1150, 520), 44.0, other_edge), ThroughPass((1150, -520), 30.0, own))
    members = tuple(
        replace(member, passes=holes) if member.name == "seat crossmember" else member
        for member in plan.profile.members
    )
    plan = replace(
        plan, profile=replace(plan.profile, members=members), runs=tuple(runs_through(plan, holes[1]))
    )
    words = Page(make_sheet(plan, draw_map(plan))).text
    start = words.index("Hole already in seat crossmember")
    told = words[start : words.index(edge, start) + len(edge)]
    assert told.startswith("Hole already in seat crossmember 520 mm left of the middle, bore 30 mm (")
    assert told.count("Hole already") == 1
    assert "44 mm" not in told
    assert "through seat crossmember 520 mm left of the middle" in words  # Pull
    assert "through the hole in seat crossmember 520 mm left of the middle" in words  # Fix by number
