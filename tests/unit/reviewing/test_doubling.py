"""A loom that lies twice on one line, by hand: straight there and back, and at a small angle over itself."""

from __future__ import annotations

import pytest
from small_vehicle import a_route, a_run

from router.reviewing.doubling import check_doubling
from router.reviewing.route_segments import segments_of

LOOM_MM = 10.0


def doubled(*places, spaces="underfloor"):
    """Return from which to which station a loom lies on one line, and how long that is, as it is told."""
    found = check_doubling(a_run(), segments_of(a_route(places, spaces=spaces)), LOOM_MM)
    return [(each.station_mm, each.actual, each.fact) for each in found]


def test_there_and_back_is_one_stretch_however_many_points_are_on_the_way_back():
    ways = (
        ((0, 0, 410), (1000, 0, 410), (0, 0, 410)),
        ((0, 0, 410), (1000, 0, 410), (500, 0, 410), (0, 0, 410)),
        ((0, 0, 410), (300, 0, 410), (1000, 0, 410), (500, 0, 410), (0, 0, 410)),
    )
    told = "the loom lies on one line from station 0 to 1000 mm and again from 1000 to 2000 mm"
    for way in ways:
        assert doubled(*way) == [(0.0, "1000 mm twice", told)]


def test_stretches_apart_are_told_apart():
    """On for 1000 mm; back 100 mm beside it, but for the last 200 mm at both ends."""
    way = (
        (0, 0, 410), (1000, 0, 410), (800, 0, 410), (800, 100, 410), (200, 100, 410), (200, 0, 410),
        (0, 0, 410),
    )  # fmt: skip
    assert [(at, told) for at, told, _ in doubled(*way)] == [(0.0, "200 mm twice"), (800.0, "200 mm twice")]


def test_what_lies_over_each_other_in_two_spaces_is_no_line_twice():
    """Back 8 mm over itself: in the same space, or in the one on the other side of a floor."""
    way = ((0, 0, 410), (1000, 0, 410), (1000, 0, 418), (1000, 0, 418), (0, 0, 418))
    below, above = "underfloor", "load area"
    assert [told for _, told, _ in doubled(*way)] == ["1000 mm twice"]
    assert doubled(*way, spaces=(below, below, below, above, above)) == []


@pytest.mark.parametrize(
    ("slope", "told"),
    [
        (0.2, [(450.0, "100 mm twice")]),  # nearer than 10 mm for 50 mm before and behind the crossing
        (0.39, [(500.0 - 10.0 / 0.39, "51 mm twice")]),
        (0.41, []),  # 49 mm
        (2.0, []),
    ],
)
def test_a_loom_that_crosses_itself_at_a_small_angle_lies_on_itself_so_far(slope, told):
    """It comes back aslant over the middle of its first 1000 mm."""
    way = ((0, 0, 410), (1000, 0, 410), (1000, 500 * slope, 410), (0, -500 * slope, 410))
    assert [(at, actual) for at, actual, _ in doubled(*way)] == [
        (pytest.approx(at, abs=0.001), actual) for at, actual in told
    ]


def test_an_aslant_way_that_stays_clear_is_no_line_twice():
    """It comes back aslant, 11 mm away from the first 1000 mm at its nearest, or 9 mm, where it begins.

    The slope is 0.1: from 9 mm off it is 10 mm off after 10 mm, from 1 mm off after 90 mm.
    """
    for off_mm, told in ((11.0, []), (9.0, []), (1.0, ["90 mm twice"])):
        way = ((0, 0, 410), (1000, 0, 410), (1000, off_mm, 410), (0, off_mm + 100.0, 410))
        assert [actual for _, actual, _ in doubled(*way)] == told
