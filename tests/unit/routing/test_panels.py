"""What a panel parts, as the planner goes by it: a floor as far as it reaches, a bulkhead between its ends.

A loom of 10 mm, 100 mm or so off a body that wants 200 mm: it goes straight on where the panel parts the two
and keeps its 200 mm from the body where it does not.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from prism_distances import Piece, Prism, nearest
from small_vehicle import a_profile, box, disc, plain_practice, rectangle, star_job

from router.model.vehicle import Drill, Hazard, KeepOut, Panel, Space, SpaceKind, Terminal
from router.routing import find_routes

LOOM_MM = 10.0
CLEARANCE_MM = 200.0
KEPT = pytest.approx(202.0, abs=2.0)
"""Never less; a corner is gone round in chords, up to 2 % outside the arc."""
FLOOR = Space("floor", 400.0, rectangle(0, 0, 2000, 2000), SpaceKind.UNDERFLOOR)
ABOVE = Space("load area", 700.0, rectangle(0, 0, 2000, 2000), SpaceKind.LOAD_AREA)
CABIN = Space("cabin", 400.0, rectangle(2000, 0, 4000, 2000), SpaceKind.CABIN)


def a_body(shape, heights):
    return KeepOut("body", None, Hazard.SOLID, shape, heights, False, CLEARANCE_MM)


def pieces(body, panel, start, end, *, spaces=(FLOOR, ABOVE)):
    """Return the straight pieces of the one run on a vehicle with one body and one panel."""
    ends = tuple(Terminal(name, "floor", at, 400.0, None) for name, at in (("post", start), ("lamp", end)))
    parts = {"keep_outs": (body,), "panels": (panel,), "terminals": ends}
    profile = a_profile(tolerance_mm=0.0, spaces=spaces, **parts)
    (found,) = find_routes(star_job(["lamp"]), profile, plain_practice(), LOOM_MM).routes
    places = [(p.x_mm, p.y_mm, p.z_mm) for p in found.points]
    return [Piece(a, b) for a, b in pairwise(places)]


def least_mm(found, body):
    """Return the least distance of the loom's outside from a body, exactly."""
    shape = body.shape
    prism = Prism(shape.points, len(shape.points) > 1, shape.reach_mm, *body.heights_mm)
    return min(nearest(piece, prism)[0] for piece in found) - LOOM_MM / 2


BATTERY = a_body(box(950, 900, 1050, 1100), (505.0, 600.0))
"""On the floor, 100 mm over the outside of a loom under it, on the straight line from end to end."""


def under(area, body=BATTERY):
    deck = Panel("deck", ("floor", "load area"), 500.0, None, area, Drill.NEVER)
    return pieces(body, deck, (100.0, 1000.0), (1900.0, 1000.0))


@pytest.mark.parametrize("area", [None, rectangle(0, 0, 2000, 2000), rectangle(0, 900, 2000, 1100)])
def test_under_a_floor_with_the_whole_body_on_it_a_loom_goes_straight_on(area):
    """In the last one the footprint lies in the floor to the edge, and so does the loom all along."""
    (straight,) = under(area)
    assert straight == Piece((100.0, 1000.0, 400.0), (1900.0, 1000.0, 400.0))
    assert least_mm([straight], BATTERY) == pytest.approx(100.0)


@pytest.mark.parametrize(
    "area",
    [
        rectangle(0, 0, 2000, 1099),  # a millimetre of the body stands out over its edge
        rectangle(0, 0, 990, 2000),
        rectangle(0, 1200, 2000, 2000),
    ],
)
def test_a_body_that_stands_out_over_the_edge_of_a_floor_keeps_its_clearance(area):
    assert least_mm(under(area), BATTERY) == KEPT


def test_a_disc_stands_out_over_the_edge_of_a_floor_with_its_rim():
    """Its middle is 90 mm inside the floor's edge at y 1100, its rim 10 mm outside, or right at it."""
    outside, inside = (a_body(disc(1000, 1010, radius), (505.0, 600.0)) for radius in (100.0, 90.0))
    area = rectangle(0, 0, 2000, 1100)
    assert least_mm(under(area, outside), outside) == KEPT
    assert least_mm(under(area, inside), inside) == pytest.approx(100.0)


def test_a_loom_beside_a_floor_sees_the_body_on_it():
    """The floor is the body's footprint and 50 mm round it: a loom comes near from outside all round."""
    small = rectangle(900, 850, 1100, 1150)
    assert least_mm(under(small), BATTERY) == KEPT


def beside(body, ends_y=(0.0, 1000.0)):
    """Return the way along a bulkhead 100 mm off it, from end to end of the space."""
    along = ((2000.0, ends_y[0]), (2000.0, ends_y[1]))
    bulkhead = Panel("bulkhead", ("floor", "cabin"), None, along, None, Drill.NEVER)
    return pieces(body, bulkhead, (1900.0, 100.0), (1900.0, 1800.0), spaces=(FLOOR, CABIN))


HEATER = a_body(box(2005, 300, 2100, 600), (300.0, 500.0))
"""Behind the bulkhead, at the loom's height, 100 mm off the loom's outside."""


def test_along_a_bulkhead_with_the_whole_body_behind_it_a_loom_goes_straight_on():
    """Past the bulkhead's end at y 1000 it is 400 mm and more from the body."""
    (straight,) = beside(HEATER)
    assert straight == Piece((1900.0, 100.0, 400.0), (1900.0, 1800.0, 400.0))
    assert least_mm([straight], HEATER) == pytest.approx(100.0)


@pytest.mark.parametrize("ends_y", [(0.0, 599.0), (301.0, 1000.0), (700.0, 1000.0), (0.0, 250.0)])
def test_a_body_that_stands_out_beyond_a_bulkheads_end_keeps_its_clearance(ends_y):
    assert least_mm(beside(HEATER, ends_y), HEATER) == KEPT


def test_a_body_through_a_bulkhead_keeps_its_clearance():
    """It stands out 1 mm on the loom's side."""
    through = a_body(box(1999, 300, 2100, 600), (300.0, 500.0))
    assert least_mm(beside(through), through) == KEPT


def test_past_a_bulkheads_end_a_loom_sees_the_body_behind_it():
    """The bulkhead ends 20 mm past the body: from y 620 on, and there alone, the loom keeps its 200 mm."""
    found = beside(HEATER, (0.0, 620.0))
    past = [_from_y(piece, 620.0) for piece in found if piece.end[1] > 620.0]
    assert least_mm(past, HEATER) == KEPT
    assert least_mm(found, HEATER) < CLEARANCE_MM - 50.0


def _from_y(piece, y):
    """Return the part of a piece that goes rightward from y on."""
    share = (y - piece.start[1]) / (piece.end[1] - piece.start[1])
    return Piece(piece.at(max(0.0, share)), piece.end)
