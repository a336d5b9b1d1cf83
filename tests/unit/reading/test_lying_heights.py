"""Routes drawn without heights lie where looms lie: in the steps of a space, along supports that slope."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_vehicle import a_job, a_profile, a_run, rectangle

from router.model.vehicle import Fix, Space, SpaceKind, Step, Support, SupportKind, Terminal
from router.reading.route.lying_heights import lying_pieces
from router.reading.route.route_file import RouteRunFile
from router.reading.route.route_reader import route_of

STEPS = (Step(rectangle(1000, -500, 1500, 500), 700.0), Step(rectangle(1500, -500, 2000, 500), 550.0))
FLOOR = Space("floor", 400.0, rectangle(0, -500, 3000, 500), SpaceKind.UNDERFLOOR, STEPS)
"""Looms lie at 400, from x 1000 at 700, from x 1500 at 550, and from x 2000 at 400 again."""
RAMP = Support("ramp", "floor", SupportKind.RAIL, ((500, 0), (900, 0), (1700, 0)), 400.0, Fix.TIE,
               (400.0, 400.0, 600.0))  # fmt: skip


def along_x(pieces):
    return [(a[0], low, b[0], high) for a, low, b, high in pieces]


def test_a_line_lies_at_the_height_of_each_step():
    pieces = along_x(lying_pieces((100.0, 0.0), (2500.0, 0.0), FLOOR, None))
    expected = [(100, 400, 1000, 400), (1000, 700, 1500, 700), (1500, 550, 2000, 550), (2000, 400, 2500, 400)]
    assert pieces == [pytest.approx(each, abs=1e-9) for each in expected]


def test_a_line_back_over_them_is_the_same_the_other_way_round():
    there = along_x(lying_pieces((100.0, 0.0), (2500.0, 0.0), FLOOR, None))
    back = along_x(lying_pieces((2500.0, 0.0), (100.0, 0.0), FLOOR, None))
    assert [pytest.approx((c, d, a, b), abs=1e-9) for a, b, c, d in back[::-1]] == there


def test_a_line_from_border_to_border_has_one_height():
    assert along_x(lying_pieces((1000.0, 0.0), (1500.0, 0.0), FLOOR, None)) == [(1000, 700, 1500, 700)]


def test_a_line_past_the_steps_has_one_height():
    assert along_x(lying_pieces((100.0, 0.0), (900.0, 400.0), FLOOR, None)) == [(100, 400, 900, 400)]


def test_steps_of_one_height_are_not_told_apart():
    level = replace(FLOOR, steps=tuple(replace(step, height_mm=700.0) for step in FLOOR.steps))
    pieces = along_x(lying_pieces((100.0, 0.0), (2500.0, 0.0), level, None))
    assert [(low, high) for _, low, _, high in pieces] == [(400, 400), (700, 700), (400, 400)]


def test_a_line_along_a_support_slopes_as_that_does():
    # level up to x 900, then 200 mm up in 800
    pieces = along_x(lying_pieces((600.0, 0.0), (1300.0, 0.0), FLOOR, RAMP))
    assert pieces == [(600, 400, 900, 400), pytest.approx((900, 400, 1300, 500))]


def drawn(*stretches):
    ends = (
        Terminal("post", "floor", (100.0, 0.0), 450.0, "M6"),
        Terminal("lamp", "floor", (2500.0, 0.0), 400.0, None),
    )
    profile = a_profile(spaces=(FLOOR,), supports=(RAMP,), terminals=ends)
    file = RouteRunFile.model_validate({"run": "supply", "way": list(stretches)})
    run = a_run("supply", start="post", end="lamp")
    assert a_job(run).runs == (run,)
    return [(p.x_mm, p.z_mm, p.along) for p in route_of(file, run, profile, 1.0).points]


def test_a_drawn_route_rises_at_the_border_of_a_step():
    points = drawn({"space": "floor", "points": [[100, 0], [2500, 0]]})
    assert points == [
        (100, 450, None), (100, 400, None), (1000, 400, None), (1000, 700, None), (1500, 700, None),
        (1500, 550, None), (2000, 550, None), (2000, 400, None), (2500, 400, None),
    ]  # fmt: skip


def test_a_drawn_route_follows_a_support_that_rises():
    points = drawn(
        {"space": "floor", "points": [[100, 0], [600, 0]]},
        {"space": "floor", "along": "ramp", "points": [[600, 0], [1700, 0]]},
        {"space": "floor", "points": [[1700, 0], [2500, 0]]},
    )
    assert points == [
        (100, 450, None), (100, 400, None), (600, 400, "ramp"), (900, 400, "ramp"), (1700, 600, None),
        (1700, 550, None), (2000, 550, None), (2000, 400, None), (2500, 400, None),
    ]  # fmt: skip


def test_heights_that_are_given_stay():
    points = drawn(
        {"space": "floor", "points": [[100, 0, 450], [1200, 0, 450], [1200, 0, 400], [2500, 0, 400]]}
    )
    assert points == [(100, 450, None), (1200, 450, None), (1200, 400, None), (2500, 400, None)]
    level = drawn({"space": "floor", "height": "420 mm", "points": [[100, 0], [2500, 0]]})
    assert level == [(100, 450, None), (100, 420, None), (2500, 420, None), (2500, 400, None)]
