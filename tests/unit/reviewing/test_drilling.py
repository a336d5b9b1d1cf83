"""The review of holes for P-clips: which panel is there, and planted holes that it must find.

The loom of 10 mm lies at 400 mm below a floor at 424 mm; the hole of 6 mm goes 20 mm up, to 444 mm (the
little vehicle of test_review.py, tolerance 5 mm).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from test_review import (
    LOOM_MM,
    RUN,
    STRAIGHT,
    TINY,
    VEHICLE,
    a_floor,
    box,
    disc,
    fixed,
    placed,
    route,
    rules,
    with_keep_out,
)

from router.model.fixing import FixingKind
from router.model.plan import FindingKind, Severity
from router.model.vehicle import Drill, Edge, Hazard, Opening, Panel, Screw, Space, SpaceKind, Terminal
from router.reviewing import review_route

ALLOWED = a_floor()


def holes(*panels, profile=VEHICLE, way=STRAIGHT, run=RUN, station=150.0, **judged):
    """Return what the review says of one P-clip at a station, beside the usual ties."""
    (screwed,) = placed(way, [station], kind=FixingKind.P_CLIP)
    fixings = (*fixed(way), replace(screwed, number=99))
    there = replace(profile, panels=panels)
    found = review_route(way, run, fixings, there, rules(), LOOM_MM, widest_wire_mm=3.0, **judged)[1]
    return [finding for finding in found if finding.station_mm == station]


def kinds(*panels, **more):
    return [finding.kind for finding in holes(*panels, **more)]


def test_a_p_clip_on_a_floor_that_may_be_drilled_is_no_fault():
    assert kinds(ALLOWED) == []


def test_a_p_clip_in_free_air_holds_nothing():
    (found,) = holes()
    assert (found.kind, found.severity) == (FindingKind.FIXING_OUT_OF_REACH, Severity.MUST)
    assert found.what == (
        "fixing 99 is a P-clip, and no panel of underfloor is in its reach: it holds nothing there"
    )
    assert kinds(a_floor(425.02)) == ["fixing out of reach"]  # 20 mm from the outside of the loom: 425 mm
    assert kinds(a_floor(425.0)) == []
    low = replace(VEHICLE.spaces[0], height_mm=300.0)
    beyond = replace(VEHICLE, spaces=(low, *VEHICLE.spaces[1:]))  # all but this one lie below it
    assert kinds(a_floor(399.0), profile=beyond) == ["fixing out of reach"]
    assert kinds(a_floor(area=box(0, -600, 200, 600))) == ["fixing out of reach"]  # it ends before x 250


def test_a_hole_in_a_panel_that_is_never_drilled():
    (found,) = holes(a_floor(drill=Drill.NEVER))
    assert (found.kind, found.severity) == (FindingKind.DRILLED_HOLE, Severity.MUST)
    assert found.what == "fixing 99 is a P-clip and needs a hole in floor: that may not be drilled"
    beyond = replace(a_floor(444.0, Drill.NEVER), name="battery lid")
    assert kinds(ALLOWED, beyond) == ["drilled hole"]
    assert kinds(ALLOWED, replace(beyond, height_mm=444.1)) == []


def test_what_lies_behind_is_told_with_both_distances():
    """A tank from 480 mm up: 36 mm above the drill's end, 33 mm from its edge; 51 and 5 mm are asked for."""
    (found,) = holes(ALLOWED, profile=with_keep_out(disc(250, 0), heights=(480.0, 900.0)))
    assert found.what == (
        "the hole of fixing 99 in floor comes to 33 mm from tank (fuel); 56 mm is required of drill and screw"
    )
    assert (found.required, found.actual, found.rule.name) == ("at least 56 mm", "33 mm", "clearance: fuel")


def test_what_lies_behind_and_is_assumed_is_asked_for_more():
    """33 mm from the drill's edge, as above: 15 mm of its own and 17 mm are asked for, or 15 and 19."""
    (tank,) = with_keep_out(disc(250, 0), heights=(480.0, 900.0)).keep_outs
    told = [
        [each.actual for each in holes(ALLOWED, profile=replace(VEHICLE, keep_outs=(unsure,)))]
        for unsure in (replace(tank, clearance_mm=15.0, assumed_mm=mm) for mm in (17.0, 19.0))
    ]
    assert told == [[], ["33 mm"]]


@pytest.mark.parametrize("space", ["underfloor", "load area", None])
def test_a_body_counts_whichever_space_it_is_listed_in(space):
    """A battery aside: 56 + 3 mm in plan, as high as the drill; own clearance in place of the rule's."""
    profile = with_keep_out(disc(250, 109), Hazard.FUEL, (430.0, 440.0))
    (tank,) = profile.keep_outs
    assert kinds(ALLOWED, profile=replace(profile, keep_outs=(replace(tank, space=space),))) == []
    nearer = replace(tank, space=space, shape=disc(250, 109 - TINY))
    assert kinds(ALLOWED, profile=replace(profile, keep_outs=(nearer,))) == ["drilled hole"]
    own = replace(nearer, clearance_mm=30.0)
    assert kinds(ALLOWED, profile=replace(profile, keep_outs=(own,))) == []


def test_metal_round_a_hole():
    """20 mm to an opening's rim and to the edge of its panel, and 3 mm of its own radius."""
    plug = Opening("plug", ("underfloor", "load area"), (250.0 + 33.0, 0.0), 424.0, 20.0, Edge.RUBBER)
    assert kinds(ALLOWED, profile=replace(VEHICLE, openings=(plug,))) == []
    near = replace(plug, at=(250.0 + 33.0 - TINY, 0.0))
    assert kinds(ALLOWED, profile=replace(VEHICLE, openings=(near,))) == ["drilled hole"]
    assert kinds(a_floor(area=box(227, -600, 3000, 600))) == []
    (found,) = holes(a_floor(area=box(227.5, -600, 3000, 600)))
    assert found.what.startswith("the hole of fixing 99 in floor comes to 19.5 mm from the edge of floor")


@pytest.mark.parametrize(("screw", "edge_mm"), [(Screw.RIVET_NUT, 24.5), (Screw.SELF_CUTTING, 22.0)])
def test_the_hole_of_another_screw_is_judged_by_its_own_width(screw, edge_mm):
    """20 mm to the edge of its panel, and half of 9 mm or of 4 mm: the clip is at 250 mm."""
    assert kinds(replace(a_floor(425.0, area=box(250 - edge_mm, -600, 3000, 600)), screw=screw)) == []
    near = replace(a_floor(425.0, area=box(250 - edge_mm + 0.5, -600, 3000, 600)), screw=screw)
    (found,) = holes(near)
    assert found.what.startswith("the hole of fixing 99 in floor comes to 19.5 mm from the edge of floor")


def test_a_line_beside_the_hole():
    """The flange lies 24 mm below the hole's mouth; one 22.9 mm below it is too near: 20 and 3 mm."""
    low = a_floor(422.9)
    (found,) = holes(low)
    assert found.what.startswith("the hole of fixing 99 in floor comes to 19.9 mm from flange")


def test_of_two_panels_the_one_that_may_be_drilled_counts():
    bulkhead = Panel("side", ("underfloor", "load area"), None, ((0, -24), (3000, -24)), None, Drill.NEVER)
    assert kinds(bulkhead) == ["drilled hole"]
    assert kinds(ALLOWED, bulkhead) == []


def test_an_upright_panel_is_drilled_level():
    """A bulkhead 20 mm before the loom; the hole ends 20 mm behind it, level with the loom."""
    spaces = (
        Space("underfloor", 400.0, box(0, -600, 3000, 40), SpaceKind.UNDERFLOOR),
        Space("load area", 400.0, box(0, 40, 4000, 600), SpaceKind.LOAD_AREA),
    )
    profile = replace(VEHICLE, spaces=spaces, supports=())
    wall = Panel("wall", ("underfloor", "load area"), None, ((0, 25), (3000, 25)), None, Drill.ALLOWED)
    assert kinds(wall, profile=profile) == []
    assert kinds(replace(wall, along=((0, 25.02), (3000, 25.02))), profile=profile) == ["fixing out of reach"]
    assert kinds(replace(wall, along=((300, 25), (3000, 25))), profile=profile) == ["fixing out of reach"]

    def battery(y_mm):  # 45 mm to the drill's end, 56 mm asked for, 50 mm of disc and 3 mm of hole
        body = with_keep_out(disc(250, y_mm), heights=(390.0, 410.0)).keep_outs
        return kinds(wall, profile=replace(profile, keep_outs=body))

    assert battery(45 + 56 + 50 + 3) == []
    assert battery(45 + 56 + 50 + 3 - TINY) == ["drilled hole"]


def test_a_drawing_is_known_as_well_as_it_was_drawn():
    profile = with_keep_out(disc(250, 0), heights=(502.0, 900.0))  # 55 mm from the hole: 1 mm short
    assert kinds(ALLOWED, profile=profile) == ["drilled hole"]
    assert kinds(ALLOWED, profile=profile, drawing_tolerance_mm=1.1) == []


def test_from_the_space_above_it_is_drilled_down():
    way = route(("load area", 2100, 300, 700), ("load area", 3900, 300, 700))
    ends = (
        Terminal("from", "load area", (2100, 300), 700.0, None),
        Terminal("to", "load area", (3900, 300), 700.0, None),
    )
    profile = replace(VEHICLE, terminals=(*VEHICLE.terminals, *ends))
    floor = a_floor(680.0, area=box(2000, -600, 4000, 600))

    def tank(high_mm):
        body = with_keep_out(disc(2250, 300), heights=(200.0, high_mm)).keep_outs
        run = replace(RUN, start="from", end="to")
        return kinds(floor, profile=replace(profile, keep_outs=body), way=way, run=run)

    assert tank(680.0 - 20 - 3 - 56) == []
    assert tank(680.0 - 20 - 3 - 56 + TINY) == ["drilled hole"]
