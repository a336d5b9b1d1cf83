"""Places along a route by their stations, and stations by their places: by hand, on slopes and rises."""

from __future__ import annotations

import pytest
from small_vehicle import a_route

from router.facts.along_route import Position, positions_at, segments_of, station_on

SLOPE = a_route([(0, 0, 400), (300, 0, 800), (300, 600, 800)])
"""500 mm up a slope (300, 400, 500), then 600 mm to the right."""


@pytest.mark.parametrize(
    ("station_mm", "x_mm", "y_mm", "z_mm"),
    [
        (0.0, 0.0, 0.0, 400.0),
        (125.0, 75.0, 0.0, 500.0),
        (250.0, 150.0, 0.0, 600.0),
        (500.0, 300.0, 0.0, 800.0),
        (700.0, 300.0, 200.0, 800.0),
        (1100.0, 300.0, 600.0, 800.0),
    ],
)
def test_a_station_is_a_place_in_space_and_back(station_mm, x_mm, y_mm, z_mm):
    (place,) = positions_at(SLOPE, (station_mm,))
    assert (place.x_mm, place.y_mm, place.z_mm) == pytest.approx((x_mm, y_mm, z_mm))
    assert station_on(SLOPE, place, 0.1) == pytest.approx(station_mm)


def test_a_place_beside_the_route_has_its_station_only_within_reach():
    beside = Position("underfloor", 304.0, 200.0, 803.0, None)  # 5 mm away: 3, 4, 5
    assert station_on(SLOPE, beside, 5.1) == pytest.approx(700.0)
    assert station_on(SLOPE, beside, 4.9) is None
    assert station_on(SLOPE, Position("cabin", 300.0, 200.0, 800.0, None), 5.0) is None


def test_pieces_have_their_true_lengths_and_directions():
    slope, level = segments_of(SLOPE)
    assert (slope.length_mm, level.length_mm) == (500.0, 600.0)
    assert slope.direction() == pytest.approx((0.6, 0.0, 0.8))
    assert level.direction() == pytest.approx((0.0, 1.0, 0.0))
