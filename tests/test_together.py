"""Runs of a job laid together: known best trees, every tree tried, and the laws that hold for any job."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from random import Random

import pytest
from exhaustive_trees import best_tree_mm
from hand_made import a_job, a_profile, a_run, default_practice, practice_with

from router.model.vehicle import (
    Fix,
    Hazard,
    KeepOut,
    Opening,
    Edge,
    Shape,
    ShapeKind,
    Space,
    Support,
    Terminal,
)
from router.routing import find_routes
from router.routing.branches import best_meeting
from router.routing.sheets import Need, make_world

SHARE = 0.3
"""Practice "factor: shared", common practice, no source: what these checks were worked out with."""
LOOM_MM = 1.0
GRID_MM = 50.0


def a_floor(*, ends, keep_outs=(), supports=(), outline=(1000.0, 700.0), **parts):
    """Return a flat vehicle of one space with terminals at its height."""
    x, y = outline
    space = Space("floor", 0.0, ((0.0, 0.0), (x, 0.0), (x, y), (0.0, y)))
    terminals = tuple(Terminal(name, "floor", at, 0.0, None) for name, at in ends.items())
    return a_profile(
        tolerance_mm=0.0, spaces=(space,), terminals=terminals, keep_outs=keep_outs, supports=supports, **parts
    )


def a_box(name, x, y, width, height):
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    shape = Shape(ShapeKind.AREA, corners, 0.0)
    return KeepOut(name, "floor", Hazard.SOLID, shape, None, False, 0.0)


def star_job(names):
    return a_job(*(a_run(name, "post", name) for name in names))


def effort_mm(profile, job, practice=None):
    return find_routes(job, profile, practice or default_practice(), LOOM_MM).effort_mm


# known best trees


def test_the_practice_says_what_a_further_run_costs():
    assert default_practice().value("factor", "shared") == SHARE


@pytest.mark.parametrize("half_angle_deg", [10.0, 20.0, 30.0, 40.0, 45.0])
def test_two_runs_part_where_three_pulls_balance(half_angle_deg):
    """V. Fermat's problem with weights: at the best place unit pulls of 1, 1 and 1 + share balance, so each
    branch leaves the trunk's line at the angle whose cosine is (1 + share) / 2.
    """
    far_mm = 500.0
    dx, dy = far_mm * math.cos(math.radians(half_angle_deg)), far_mm * math.sin(math.radians(half_angle_deg))
    ends = {"post": (50.0, 400.0), "left": (50.0 + dx, 400.0 + dy), "right": (50.0 + dx, 400.0 - dy)}
    leaves = math.acos((1.0 + SHARE) / 2.0)
    trunk_mm = dx - dy / math.tan(leaves)
    best_mm = (1.0 + SHARE) * trunk_mm + 2.0 * dy / math.sin(leaves)
    assert trunk_mm > 0.0
    found_mm = effort_mm(a_floor(ends=ends, outline=(1000.0, 800.0)), star_job(["left", "right"]))
    assert found_mm == pytest.approx(best_mm, rel=1e-6)


def test_beyond_the_balance_runs_do_not_share():
    """Half the angle above acos((1 + share) / 2) = 49.5 degrees: no trunk is worth its weight."""
    dx, dy = 500.0 * math.cos(math.radians(52.0)), 500.0 * math.sin(math.radians(52.0))
    ends = {"post": (50.0, 400.0), "left": (50.0 + dx, 400.0 + dy), "right": (50.0 + dx, 400.0 - dy)}
    found_mm = effort_mm(a_floor(ends=ends, outline=(1000.0, 800.0)), star_job(["left", "right"]))
    assert found_mm == pytest.approx(1000.0, rel=1e-9)


def test_the_best_meeting_place_of_three_is_the_closed_form():
    x, y = best_meeting([(0.0, 0.0), (600.0, 300.0), (600.0, -300.0)], [1.3, 1.0, 1.0])
    assert y == pytest.approx(0.0, abs=1e-6)
    assert x == pytest.approx(600.0 - 300.0 / math.tan(math.acos(0.65)), abs=1e-5)
    assert best_meeting([(0.0, 0.0), (0.0, 100.0), (0.0, -100.0)], [1.3, 1.0, 1.0]) == (0.0, 0.0)
