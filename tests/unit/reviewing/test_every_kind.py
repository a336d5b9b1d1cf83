"""Every kind of finding of a review: a route that commits just that fault, and one that just does not.

One case a kind, worked out by hand from the little vehicle of test_review.py, where there are more of some
kinds. What is missing here fails.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from small_vehicle import a_job, a_passage
from test_review import (
    HOLE,
    RUN,
    STRAIGHT,
    TINY,
    UNIT_RUN,
    VEHICLE,
    WIRE_MM,
    a_floor,
    across,
    disc,
    fixed,
    held_at,
    kinds,
    risen,
    route,
    rules,
    through_the_floor,
    under,
    with_keep_out,
)

from router.model.fixing import FixingKind
from router.model.job import Apart
from router.model.plan import PassageKind, Severity, SpareLoop
from router.model.vehicle import Drill, Edge, Hazard, OverPass, Panel, Step, Terminal
from router.reviewing import KINDS, review_apart, review_route
from router.sheet.finding_list import KIND_WORDS

LOOM_MM = 10.0


def loop(beside_mm):
    # fixings 300 mm apart, 200 mm to spare: 3-4-5, it swings out by 200; 25 mm to what moves, 5 mm tolerance,
    # 5 mm of loom, a disc of 50: its middle must be 285 mm away
    profile = with_keep_out(disc(1000, beside_mm), Hazard.MOVING)
    practice = rules(**{})
    moving = replace(practice.rule("clearance", "fuel"), key="moving", value=25.0)
    practice = replace(practice, rules={**practice.rules, ("clearance", "moving"): moving})
    held = held_at(50, *range(350, 1851, 300))
    found = review_route(STRAIGHT, RUN, held, profile, practice, LOOM_MM, widest_wire_mm=WIRE_MM,
                         loops=(SpareLoop(900.0, 200.0),))  # fmt: skip
    return [finding.kind for finding in found[1]]


def apart(distance_mm):
    # two straight looms of 10 mm, side by side: 50 mm from outside to outside are 60 from middle to middle
    there = [
        Terminal("from", "underfloor", (100, distance_mm), 400.0, None),
        Terminal("to", "underfloor", (2000, distance_mm), 400.0, None),
    ]
    profile = replace(VEHICLE, terminals=(*VEHICLE.terminals, *there))
    first = replace(RUN, apart_from=(Apart("other", 50.0),))
    job = a_job(first, replace(RUN, name="other", start="from", end="to"))
    near = replace(rules().rule("clearance", "fuel"), group="apart", key="near a terminal", value=150.0)
    practice = replace(rules(), rules={**rules().rules, ("apart", "near a terminal"): near})
    beside = replace(under((100, distance_mm), (2000, distance_mm)), run="other")
    looms_mm = {"supply": LOOM_MM, "other": LOOM_MM}
    found = review_apart(job, (STRAIGHT, beside), looms_mm, profile, practice)
    return [finding.kind for finding in found]


def one_fixing_on(support, kind=FixingKind.CLIP):
    first, *rest = fixed(STRAIGHT)
    return kinds(fixings=(replace(first, support=support, kind=kind), *rest))


def fixings_on_a_bracket(beside_mm):
    """The bracket lies 20 mm beside the way y = 0, and a fixing reaches 20 mm."""
    (bracket,) = (each for each in VEHICLE.supports if each.name == "bracket")
    moved = replace(bracket, along=tuple((x, y - 20 + beside_mm) for x, y in bracket.along))
    supports = tuple(moved if each is bracket else each for each in VEHICLE.supports)
    held = fixed(STRAIGHT, support="bracket", kind=FixingKind.CLIP)
    return kinds(profile=replace(VEHICLE, supports=supports), fixings=held[:1] + fixed(STRAIGHT)[1:])


def declared(*names):
    passages = tuple(a_passage(PassageKind.OPENING, name, 0.0, math.inf) for name in names)
    found = review_route(
        STRAIGHT, RUN, fixed(STRAIGHT), VEHICLE, rules(), LOOM_MM, widest_wire_mm=WIRE_MM, declared=passages
    )
    return [finding.kind for finding in found[1]]


def stations_to(last_mm):
    first, last = STRAIGHT.points
    return kinds(replace(STRAIGHT, points=(first, replace(last, station_mm=last_mm))))


def following(support):
    places = (("underfloor", 100, 0, 400), ("underfloor", 2000, 0, 400))
    return kinds(route(*places, along=support))


def avoiding(name):
    on_bracket = fixed(STRAIGHT, support="bracket", kind=FixingKind.CLIP)
    return kinds(run=replace(RUN, avoid=(name,)), fixings=on_bracket)


def going_by(name):
    way = route(
        ("underfloor", 100, 0, 400),
        ("underfloor", 1000, 0, 400),
        ("underfloor", 2000, 0, 400),
        along="flange",
    )
    return kinds(way, run=replace(RUN, via=(name,)))


def longest_span(mm):
    even = [50, *range(350, 1851, 300)]
    even[2] = 350 + mm
    return kinds(fixings=held_at(*even))


def first_fixing_at(station_mm):
    return kinds(fixings=held_at(station_mm, *range(200, 1750, 250), 1850))


def bent(across_mm):
    # two square corners against each other need twice their radius of 30 mm (10 x 3 mm of wire) between them
    there = Terminal("there", "underfloor", (2000, across_mm), 400.0, None)
    profile = replace(VEHICLE, terminals=(*VEHICLE.terminals, there))
    way = under((100, 0), (1000, 0), (1000, across_mm), (2000, across_mm))
    return kinds(way, run=replace(RUN, end="there"), profile=profile)


def lying_twice(aside_mm):
    # round a square of 300 mm and on, for 300 mm beside what lies there already; the loom is 10 mm thick
    way = under((100, 0), (1000, 0), (1000, -300), (700, -300), (700, aside_mm), (2000, aside_mm))
    there = Terminal("there", "underfloor", (2000, aside_mm), 400.0, None)
    profile = replace(VEHICLE, terminals=(*VEHICLE.terminals, there))
    return kinds(way, run=replace(RUN, end="there"), profile=profile)


def plug(bore_mm):
    opening = replace(VEHICLE.openings[0], bore_mm=bore_mm, edge=Edge.RUBBER)
    return through_the_floor(profile=replace(VEHICLE, openings=(opening,)))


def hanging(gap_mm):
    """The floor steps up by 350 mm; the flange is there before and behind a gap, and 30 mm reach into that.

    Those are 20 mm that a fixing reaches, 5 mm of tolerance and the loom's 5 mm. What is left of the gap may
    be 300 mm, and 5 mm of tolerance.
    """
    space, *others = VEHICLE.spaces
    space = replace(space, steps=(Step(((400, -600), (1600, -600), (1600, 600), (400, 600)), 750.0),))
    (flange,) = (each for each in VEHICLE.supports if each.name == "flange")
    rear = replace(flange, name="rear flange", along=((500 + gap_mm, 0), (3000, 0)))
    flange = replace(flange, along=((0, 0), (500, 0)))
    profile = replace(VEHICLE, spaces=(space, *others), supports=(flange, rear))
    wide = replace(rules().rule("spacing", "underfloor"), value=457.0)
    practice = replace(rules(), rules={**rules().rules, ("spacing", "underfloor"): wide})
    held = held_at(50, 395, 400 + gap_mm + 5, *range(1000, 1900, 300), 1850)
    return kinds(profile=profile, practice=practice, fixings=held)


def drilled_below_a_tank(above_mm):
    # the floor at 424 mm, the hole of 6 mm goes 20 mm up to 444 mm; fuel asks for 51 mm, tolerance 5: with
    # the hole's own radius, 444 + 51 + 5 + 3 = 503 mm is the lowest that a tank above it may begin
    profile = with_keep_out(disc(150, 0), heights=(above_mm, 900.0))
    first, *rest = fixed(STRAIGHT)
    screwed = replace(first, kind=FixingKind.P_CLIP)
    return kinds(profile=replace(profile, panels=(a_floor(),)), fixings=(screwed, *rest))


OVER = OverPass((1000, -100), (1000, 100), 55.0)
CASES = {
    "clearance": (
        lambda: kinds(profile=with_keep_out(disc(1000, 111 - TINY))),  # 50 + 5 + 51 + 5
        lambda: kinds(profile=with_keep_out(disc(1000, 111))),
    ),
    "loop": (lambda: loop(285 - TINY), lambda: loop(285)),
    "apart": (lambda: apart(60 - TINY), lambda: apart(60)),
    "fixing forbidden": (lambda: one_fixing_on("brake line"), lambda: one_fixing_on("bracket")),
    "drilled hole": (lambda: drilled_below_a_tank(503 - TINY), lambda: drilled_below_a_tank(503)),
    "outline": (
        lambda: kinds(under((100, 0), (1000, 600 + TINY), (2000, 0))),
        lambda: kinds(under((100, 0), (1000, 600), (2000, 0))),
    ),
    "member": (across, lambda: across(HOLE)),
    "rise": (lambda: risen(49.9, OVER), lambda: risen(50.0, OVER)),  # 55, and 5 mm of tolerance
    "height": (lambda: hanging(365.02), lambda: hanging(365.0)),
    "hole": (lambda: across(replace(HOLE, bore_mm=9.999)), lambda: across(replace(HOLE, bore_mm=10.0))),
    "space": (lambda: through_the_floor((2505.01, 0)), lambda: through_the_floor((2505, 0))),
    "opening": (lambda: plug(9.999), lambda: plug(10.0)),
    "pass": (lambda: declared("plug"), declared),
    "continuity": (lambda: stations_to(1900.02), lambda: stations_to(1900.005)),
    "support": (lambda: following("bracket"), lambda: following("flange")),
    "end": (
        lambda: kinds(under((105.01, 0), (2000, 0))),
        lambda: kinds(under((105, 0), (2000, 0))),
    ),
    "avoid": (lambda: avoiding("bracket"), lambda: avoiding("flange")),
    "via": (lambda: going_by("bracket"), lambda: going_by("flange")),
    "span": (lambda: longest_span(300.02), lambda: longest_span(300)),
    "fixing unfit": (
        lambda: one_fixing_on("flange", FixingKind.CLIP),
        lambda: one_fixing_on("flange", FixingKind.TIE),
    ),
    "fixing out of reach": (lambda: fixings_on_a_bracket(20.02), lambda: fixings_on_a_bracket(20.0)),
    "fixing missing": (lambda: first_fixing_at(100.02), lambda: first_fixing_at(100)),
    "doubled": (lambda: lying_twice(10 - TINY), lambda: lying_twice(10)),
    "bend": (lambda: bent(58), lambda: bent(60)),
}


def test_no_kind_is_without_its_two_routes():
    assert tuple(CASES) == KINDS


def test_no_kind_is_without_its_words():
    assert set(KIND_WORDS) == {*KINDS, "length", "conductor"}  # the last two are judging's own


@pytest.mark.parametrize("kind", KINDS)
def test_just_that_fault_and_just_not(kind):
    broken, kept = CASES[kind]
    assert broken() == [kind]
    assert kept() == []


def test_what_is_passed_may_be_said():
    passage = a_passage(PassageKind.OPENING, "plug", 0.0, math.inf)
    assert through_the_floor(declared=(passage,)) == []
    assert (
        through_the_floor(declared=(replace(passage, name="another"),)) == []
    )  # no such thing: nothing to pass


def test_over_and_through_are_not_the_same():
    over = a_passage(PassageKind.OVER_MEMBER, "bar", 0.0, math.inf)
    through = replace(over, kind=PassageKind.THROUGH_MEMBER)
    assert across(HOLE, declared=(through,)) == []
    assert across(HOLE, declared=(over,)) == ["pass"]


def test_a_line_that_crosses_itself_is_a_loop_where_nothing_holds_it():
    # round a square of 100 mm; held at stations 650 and 1250, that is at (750, 0) and (949, 1): 600 mm of
    # loom between places sqrt(199^2 + 1) apart swing out by sqrt(600^2 - 199^2 - 1) / 2 = 283.02, and to what
    # moves 25 mm, 5 mm of tolerance, 5 mm of loom and the disc of 50 come on top: 368.02 from (949, 1)
    way = under((100, 0), (1000, 0), (1000, -100), (900, -100), (900, 0.0), (900, 1), (1100, 1), (2000, 0))
    practice = rules()
    moving = replace(practice.rule("clearance", "fuel"), key="moving", value=25.0)
    practice = replace(practice, rules={**practice.rules, ("clearance", "moving"): moving})

    def found(beside_mm, *stations):
        profile = with_keep_out(disc(949, 1 + beside_mm), Hazard.MOVING)
        held = held_at(*stations, way=way)
        checked = review_route(way, RUN, held, profile, practice, LOOM_MM, widest_wire_mm=WIRE_MM)
        return {finding.kind for finding in checked[1]}

    loose = (50, 350, 650, 1250, 1500, 1750, way.routed_mm - 50)
    assert "loop" in found(368.0, *loose)
    assert "loop" not in found(368.03, *loose)
    assert "loop" not in found(368.0, *sorted((*loose, 950, 1050, 1150)))


@pytest.mark.parametrize(
    "hazard", [Hazard.HOT, Hazard.MOVING, Hazard.FUEL, Hazard.HIGH_VOLTAGE, Hazard.AIRBAG]
)
def test_what_a_loose_loop_may_not_reach(hazard):
    # 200 mm to spare between fixings 300 mm apart swings out by 200, up and down as well: the top of the body
    # lies 400 - 5 - 200 - 25 - 5 = 165 mm high
    practice = rules()
    rule = replace(practice.rule("clearance", "fuel"), key=str(hazard), value=25.0)
    practice = replace(practice, rules={**practice.rules, ("clearance", str(hazard)): rule})

    def found(top_mm, hazard=hazard):
        profile = with_keep_out(disc(1000, 0), hazard, (0.0, top_mm))
        return kinds(profile=profile, fixings=held_at(50, *range(350, 1851, 300)), practice=practice,
                     loops=(SpareLoop(900.0, 200.0),))  # fmt: skip

    assert found(165.0 + TINY) == ["loop"]
    assert found(165.0) == []
    assert found(330.0, Hazard.SOLID) == []  # 60 mm under the loom, where no loop is left: it only lies on it


def test_what_a_floor_parts_from_a_loop_it_does_not_reach():
    # the same loop under a floor: of what lies above that, only what is hot counts, with its lesser clearance
    practice = rules()
    floor = Panel("floor", ("underfloor", "load area"), 650.0, None, None, Drill.NEVER)

    def found(hazard, low_mm):
        profile = replace(with_keep_out(disc(1000, 0), hazard, (low_mm, 900.0)), panels=(floor,))
        return kinds(profile=profile, fixings=held_at(50, *range(350, 1851, 300)), practice=practice,
                     loops=(SpareLoop(900.0, 200.0),))  # fmt: skip

    assert found(Hazard.FUEL, 650.0) == []
    assert found(Hazard.HOT, 660.0 - TINY) == ["loop"]  # 400 + 5 + 200 + 50 + 5
    assert found(Hazard.HOT, 660.0) == []


def test_by_a_hole_and_over_the_top_are_told_apart_by_where_the_line_is():
    beside = OverPass((1000, -400), (1000, -200), 55.0)
    over = a_passage(PassageKind.OVER_MEMBER, "bar", 0.0, math.inf)
    assert across(HOLE, beside, declared=(over,)) == ["pass"]  # it goes through the hole at y 0
    on_top = OverPass((1000, -100), (1000, 100), 5.0)
    assert across(on_top, declared=(over,)) == []
    through = replace(over, kind=PassageKind.THROUGH_MEMBER)
    assert (
        across(HOLE, on_top, declared=(through,)) == [] == across(HOLE, on_top, declared=(over,))
    )  # either will do


def test_what_is_passed_is_passed_where_the_file_says():
    # inside the bar from station 950 to 1050; measured to 5 mm, and a station is read to 10 mm
    def said_at(station_mm):
        through = a_passage(PassageKind.THROUGH_MEMBER, "bar", station_mm, station_mm)
        return across(HOLE, declared=(through,))

    assert said_at(934.99) == said_at(1065.01) == ["pass"]
    assert said_at(935.0) == said_at(1000.0) == said_at(1065.0) == []


def test_where_it_is_said_and_where_it_is_are_both_told():
    # post at x 100, plug at x 2500, and 150 mm up to the plug's height
    way = route(
        ("underfloor", 100, 0, 400), ("underfloor", 2500, 0, 400), ("underfloor", 2500, 0, 550),
        ("load area", 2500, 0, 550), ("load area", 2500, 0, 700), ("load area", 3000, 0, 700),
    )  # fmt: skip
    plug = (a_passage(PassageKind.OPENING, "plug", 1200.0, 1200.0),)
    found = review_route(way, UNIT_RUN, (), VEHICLE, rules(), LOOM_MM, widest_wire_mm=WIRE_MM, declared=plug)
    (elsewhere,) = (each for each in found[1] if each.kind == "pass")
    assert (elsewhere.severity, elsewhere.station_mm) == (Severity.SHOULD, 2550.0)
    assert elsewhere.what == (
        "the file says that the route goes through plug at station 1200 mm, and it does so at station 2550 mm"
    )
