"""How much less sure a length is where what the run lies at was not measured yet. By hand, by the GUM.

A coordinate to 10 mm is rectangular, so is one that is assumed to 60 mm: U = 2 sqrt(sum (c a)^2 / 3).
"""

from __future__ import annotations

import math
import random
from dataclasses import replace
from statistics import stdev

import pytest
from small_vehicle import a_passage, a_profile, a_route, a_run, default_practice, rectangle

from router.lengths import measure_run
from router.model.plan import PassageKind
from router.model.vehicle import (
    Drill,
    Edge,
    Fix,
    Hazard,
    KeepOut,
    Member,
    Opening,
    OverPass,
    Panel,
    Shape,
    ShapeKind,
    Space,
    SpaceKind,
    Step,
    Support,
    SupportKind,
    Terminal,
)

UNDERFLOOR = Space("underfloor", 410.0, rectangle(-100, -900, 3000, 900), SpaceKind.UNDERFLOOR)
DECK = Space("deck", 700.0, rectangle(-100, -900, 3000, 900), SpaceKind.LOAD_AREA)
POST = Terminal("battery positive", "underfloor", (0.0, 0.0), 410.0, "M8")
UNIT = Terminal("unit", "underfloor", (2000.0, 0.0), 410.0, "M6")
RAIL = Support("rail", "underfloor", SupportKind.RAIL, ((500.0, 0.0), (1500.0, 0.0)), 330.0, Fix.TIE)
STRAIGHT = a_route([(0, 0, 410), (2000, 0, 410)])
ALONG_RAIL = a_route(
    [(0, 0, 410), (500, 0, 410), (500, 0, 330), (1500, 0, 330), (1500, 0, 410), (2000, 0, 410)],
    along={2: "rail"},
)


def measured(route, **parts):
    vehicle = {"spaces": (UNDERFLOOR, DECK), "terminals": (POST, UNIT), **parts}
    return measure_run(a_run(), route, a_profile(**vehicle), default_practice())


def expanded_mm(*contributions_mm):
    return 2.0 * math.sqrt(sum(each**2 for each in contributions_mm) / 3.0)


def test_an_end_that_is_assumed():
    """x of the start 1 x 60 mm, of the end 1 x 10 mm."""
    length = measured(STRAIGHT, terminals=(replace(POST, assumed_mm=60.0), UNIT))
    assert length.uncertainty_mm == pytest.approx(expanded_mm(60, 10))
    assert length.worst_case_mm == pytest.approx(70)
    assert length.cut_mm > measured(STRAIGHT).cut_mm


def test_an_end_that_is_assumed_to_less_than_the_tolerance():
    assert measured(STRAIGHT, terminals=(replace(POST, assumed_mm=3.0), UNIT)) == measured(STRAIGHT)


def test_the_height_of_a_support_that_is_assumed_counts_on_the_way_down_and_up():
    """x of both ends; the height of the space twice, that of the rail twice."""
    length = measured(ALONG_RAIL, supports=(replace(RAIL, assumed_mm=40.0),))
    assert length.uncertainty_mm == pytest.approx(expanded_mm(10, 10, 2 * 10, 2 * 40))
    assert length.worst_case_mm == pytest.approx(10 + 10 + 20 + 80)


def test_the_height_of_a_space_that_is_assumed_counts_where_looms_lie_at_it():
    length = measured(ALONG_RAIL, spaces=(replace(UNDERFLOOR, assumed_mm=30.0), DECK), supports=(RAIL,))
    assert length.uncertainty_mm == pytest.approx(expanded_mm(10, 10, 2 * 30, 2 * 10))


def test_a_support_without_a_height_of_its_own_is_as_unsure_as_its_space():
    """The file gives none, so it lies at 410 mm, where the space does."""
    way = a_route([(0, 0, 330), (500, 0, 330), (500, 0, 410), (1500, 0, 410), (1500, 0, 330), (2000, 0, 330)])
    way = replace(way, points=(*way.points[:2], replace(way.points[2], along="rail"), *way.points[3:]))
    level = replace(RAIL, height_mm=410.0)
    lower = tuple(replace(each, height_mm=330.0) for each in (POST, UNIT))
    space = replace(UNDERFLOOR, assumed_mm=30.0)
    length = measured(way, spaces=(space, DECK), supports=(level,), terminals=lower)
    assert length.uncertainty_mm == pytest.approx(expanded_mm(10, 10, 2 * 10, 2 * 30))


def test_a_step_that_is_assumed_counts_where_the_loom_climbs_it():
    """It lies at 460 mm from x 800 to 1200: its two borders do not change the length, its height does."""
    step = Step(rectangle(800, -900, 1200, 900), 460.0, 25.0)
    way = [(0, 0, 410), (800, 0, 410), (800, 0, 460), (1200, 0, 460), (1200, 0, 410), (2000, 0, 410)]
    length = measured(a_route(way), spaces=(replace(UNDERFLOOR, steps=(step,)), DECK))
    assert length.uncertainty_mm == pytest.approx(expanded_mm(10, 10, 2 * 10, 2 * 25))


PLUG = Opening("plug", ("underfloor", "deck"), (1000.0, 0.0), 600.0, 38.0, Edge.RUBBER)
FLOOR = Panel("floor", ("underfloor", "deck"), 600.0, None, None, Drill.NEVER)
UP = a_route(
    [(0, 0, 410), (1000, 0, 410), (1000, 0, 600), (1000, 0, 600), (1000, 0, 700), (1000, 800, 700)],
    spaces=["underfloor"] * 3 + ["deck"] * 3,
    passages=(a_passage(PassageKind.OPENING, "plug", 1190.0, 1190.0),),
)
ON_DECK = replace(UNIT, space="deck", at=(1000.0, 800.0), height_mm=700.0)


@pytest.mark.parametrize("assumed_mm", [None, 55.0])
def test_an_opening_that_is_assumed_moves_where_the_way_turns(assumed_mm):
    """x of start and y of end 1; x and y of the opening 1; the heights of both spaces 1, of the opening 0."""
    opening = replace(PLUG, assumed_mm=assumed_mm)
    length = measured(UP, openings=(opening,), terminals=(POST, ON_DECK), panels=(FLOOR,))
    here_mm = assumed_mm or 10.0
    assert length.uncertainty_mm == pytest.approx(expanded_mm(10, 10, here_mm, here_mm, 10, 10))


def test_a_member_and_the_pass_over_it_make_the_rise_less_sure():
    """Up 60 mm and down again over its top: the height there counts twice."""
    top = OverPass((1000.0, -50.0), (1000.0, 50.0), 60.0)
    way = [(0, 0, 410), (900, 0, 410), (900, 0, 470), (1100, 0, 470), (1100, 0, 410), (2000, 0, 410)]
    unsure = replace(top, assumed_mm=35.0)
    beam = Member("beam", "underfloor", ((1000.0, -900.0), (1000.0, 900.0)), 90.0, (top,))
    for member, taken in ((replace(beam, assumed_mm=35.0), top), (replace(beam, passes=(unsure,)), unsure)):
        over = a_passage(PassageKind.OVER_MEMBER, "beam", 960.0, 1160.0, taken)
        length = measured(a_route(way, passages=(over,)), members=(member,))
        assert length.uncertainty_mm == pytest.approx(expanded_mm(10, 10, 2 * 10, 2 * 35))


def test_what_the_run_does_not_use_makes_its_length_no_less_sure():
    far = KeepOut(
        "tank", None, Hazard.FUEL, Shape(ShapeKind.DISC, ((900.0, 0.0),), 90.0), (0, 200), False, None
    )
    unused = {
        "supports": (replace(RAIL, assumed_mm=90.0),),
        "openings": (replace(PLUG, assumed_mm=90.0),),
        "keep_outs": (replace(far, assumed_mm=90.0),),
        "terminals": (POST, UNIT, replace(UNIT, name="lamp", at=(900.0, 0.0), assumed_mm=90.0)),
    }
    assert measured(STRAIGHT, **unused) == measured(STRAIGHT)


def test_the_uncertainty_is_that_of_a_simulated_tape():
    """The start is good to 80 mm, the rest to 10: every coordinate moved by chance, the lengths looked at."""
    corners = [(0, 0, 410), (900, 300, 410), (2000, 0, 410)]
    dice = random.Random(7)
    lengths = []
    for _ in range(20_000):
        off = [80.0, 10.0, 10.0]
        moved = [
            (x + dice.uniform(-mm, mm), y + dice.uniform(-mm, mm), z)
            for (x, y, z), mm in zip(corners, off, strict=True)
        ]
        lengths.append(a_route(moved).routed_mm)
    length = measured(a_route(corners), terminals=(replace(POST, assumed_mm=80.0), UNIT))
    assert length.uncertainty_mm == pytest.approx(2 * stdev(lengths), rel=0.03)
