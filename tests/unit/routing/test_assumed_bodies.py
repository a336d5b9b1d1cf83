"""A body that nobody measured keeps looms further off, by what it is assumed to; measured with shapely."""

from dataclasses import replace

import pytest
import shapely
from small_vehicle import a_job, a_keep_out, a_profile, a_run, area, plain_practice, rectangle

from router.explaining import find_routes_or_explain
from router.model.vehicle import Drill, Hazard, Panel, Space, SpaceKind, Terminal
from router.routing import LoomOnVehicle

TOLERANCE_MM, ASSUMED_MM, LOOM_MM = 10.0, 60.0, 12.0
ROOM = Space("underfloor", 400.0, rectangle(0, -900, 3000, 900), SpaceKind.UNDERFLOOR)
ENDS = tuple(
    Terminal(name, "underfloor", at, 400.0, None) for name, at in (("a", (100, -300)), ("b", (2900, -300)))
)
TANK = a_keep_out("tank", area(*rectangle(800, -900, 2200, 0)), Hazard.FUEL)
OFFSET = 1.0109
"""So far outside true arcs corners of offsets lie: 8 chords a quarter circle, 1 / cos(3 pi / 64)."""
RULE_MM = plain_practice().value("clearance", "fuel")


def away_mm(body):
    """Return how far the middle of a loom that must go round a body stays from its footprint."""
    profile = a_profile(spaces=(ROOM,), keep_outs=(body,), terminals=ENDS, tolerance_mm=TOLERANCE_MM)
    job = a_job(a_run(start="a", end="b"))
    points = find_routes_or_explain(job, profile, plain_practice(), LOOM_MM).routes[0].points
    line = shapely.LineString([(point.x_mm, point.y_mm) for point in points])
    return line.distance(shapely.Polygon(body.shape.points))


def test_a_body_that_is_assumed_keeps_the_way_further_off_by_what_it_may_be_off_more():
    measured_mm, assumed_mm = away_mm(TANK), away_mm(replace(TANK, assumed_mm=ASSUMED_MM))
    for found_mm, tolerance_mm in ((measured_mm, TOLERANCE_MM), (assumed_mm, ASSUMED_MM)):
        least_mm = RULE_MM + tolerance_mm + LOOM_MM / 2.0
        assert least_mm - 1e-6 <= found_mm <= OFFSET * least_mm
    assert assumed_mm - measured_mm == pytest.approx(ASSUMED_MM - TOLERANCE_MM, rel=0.02)


def test_a_body_that_is_assumed_to_less_than_the_tolerance_is_known_as_well_as_the_others():
    assert away_mm(replace(TANK, assumed_mm=4.0)) == pytest.approx(away_mm(TANK), abs=1e-9)


def test_beyond_a_panel_what_is_hot_and_assumed_keeps_its_larger_tolerance_too():
    """The lesser clearance beyond a panel and 60 mm, where that is less than in the open."""
    pipe = a_keep_out("pipe", area(*rectangle(800, -900, 2200, 0)), Hazard.HOT, assumed_mm=ASSUMED_MM)
    floor = Panel("floor", ("underfloor", "deck"), 500.0, None, None, Drill.NEVER)
    practice = plain_practice()
    loom = LoomOnVehicle(a_profile(keep_outs=(pipe,), panels=(floor,), tolerance_mm=5.0), practice, 6.0)
    beyond_mm, hot_mm = practice.value("clearance", "hot beyond a panel"), practice.value("clearance", "hot")
    assert loom.clearances_from(pipe) == (hot_mm + ASSUMED_MM, beyond_mm + ASSUMED_MM)
