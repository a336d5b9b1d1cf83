"""Ends that no loom can leave: what is said, and that the place and the height told do help."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_vehicle import a_job, a_keep_out, a_profile, a_run, area, default_practice, rectangle

from router.errors import NoRouteError
from router.explaining import find_routes_or_explain
from router.model.vehicle import KeepOut, Profile, Space, SpaceKind, Terminal

ROOM = Space("engine bay", 700.0, ((0, 0), (2000, 0), (2000, 1000), (0, 1000)), SpaceKind.ENGINE_BAY)
UNIT = Terminal("unit", "engine bay", (1800.0, 800.0), 700.0, None)
PRACTICE = default_practice()  # solid things ask for 10 mm, the profile's tolerance for 10 mm more


def solid(
    name: str, corners: tuple[tuple[float, float], ...], heights: tuple[float, float] | None
) -> KeepOut:
    return a_keep_out(name, area(*corners), space="engine bay", heights_mm=heights)


def vehicle(*keep_outs: KeepOut, at: tuple[float, float] = (300.0, 300.0)) -> Profile:
    positive = Terminal("battery positive", "engine bay", at, 760.0, None)
    return a_profile(spaces=(ROOM,), keep_outs=keep_outs, terminals=(positive, UNIT))


def words_of(profile: Profile, loom_mm: float = 16.0) -> str:
    with pytest.raises(NoRouteError) as caught:
        find_routes_or_explain(a_job(a_run()), profile, PRACTICE, loom_mm)
    return caught.value.why


def test_a_terminal_on_a_battery_is_told_where_its_cable_leaves_it():
    """Box to x 340: 40 mm on it, 20 mm beside it and half a loom, 8 mm: to x 368; then the next whole mm."""
    words = words_of(vehicle(solid("battery", rectangle(100, 200, 340, 500), (550.0, 750.0))))
    assert words == (
        'run "supply": a loom of 16 mm at terminal "battery positive" would lie 0 mm in plan from keep-out '
        '"battery" (solid), which needs 20 mm with the measuring tolerance (rule clearance: solid); no such '
        "loom can end there; the loom's middle lies from 700 to 760 mm there, the keep-out from 550 to 750 "
        "mm. What was measured decides: put the terminal where its cable leaves what it stands on, 69 mm "
        'further in plan, at x 369, y 300; or give terminal "battery positive" and space "engine bay" a '
        "height of 778 mm or more, which lifts every loom in that space"
    )
    moved = vehicle(solid("battery", rectangle(100, 200, 340, 500), (550.0, 750.0)), at=(369.0, 300.0))
    assert find_routes_or_explain(a_job(a_run()), moved, PRACTICE, 16.0)


def test_the_place_told_is_one_from_which_the_way_goes_on():
    """The nearest place, y 179, is in a pocket that walls shut on three sides; beyond them lies y 79.

    Solid things ask for 20 mm with the tolerance, half the loom is 1 mm: the wall's edge at y 100 less 21 mm.
    """
    around = {
        "wall": rectangle(60, 100, 380, 120),
        "left": rectangle(60, 100, 80, 400),
        "right": rectangle(360, 100, 380, 400),
    }
    keep_outs = [solid("battery", rectangle(100, 200, 340, 500), None)]
    keep_outs += [solid(name, corners, None) for name, corners in around.items()]
    words = words_of(vehicle(*keep_outs, at=(200.0, 230.0)), 2.0)
    assert "152 mm further in plan, at x 200, y 78; or measure the keep-out's heights too" in words
    assert find_routes_or_explain(a_job(a_run()), vehicle(*keep_outs, at=(200.0, 78.0)), PRACTICE, 2.0)


def test_a_keep_out_that_fills_a_space_is_named_with_it():
    full = solid("skid plate", rectangle(0, 0, 2000, 1000), (500.0, 900.0))
    words = words_of(vehicle(full))
    assert words == (
        'run "supply": no loom of 16 mm can end at terminal "battery positive"; nothing of space '
        '"engine bay" is left free for it at 700 mm: keep-out "skid plate" (solid, from 500 to 900 mm, with '
        "20 mm round it) takes all of it; write only as far in plan and in heights as it was measured"
    )


def test_keep_outs_that_fill_a_space_together_are_named_and_no_others():
    halves = [
        solid("left half", rectangle(0, 0, 2000, 500), None),
        solid("right half", rectangle(0, 500, 2000, 1000), None),
    ]
    words = words_of(vehicle(solid("box", rectangle(100, 100, 200, 200), None), *halves))
    assert (
        'keep-outs "left half" (solid, at any height, with 20 mm round it) and "right half" (solid, at any '
        "height, with 20 mm round it) take all of it; write only as far in plan and in heights as they were "
        "measured"
    ) in words
    assert '"box"' not in words


def test_an_end_that_is_shut_for_what_is_assumed_is_told_to_be_measured():
    """From y 300 to the box at y 340: 40 mm, less half a loom of 16 mm. 10 + 10 mm fit, 10 + 60 do not."""
    box = solid("battery", rectangle(100, 340, 340, 500), (550.0, 750.0))
    words = words_of(vehicle(replace(box, assumed_mm=60.0)))
    assert "which needs 70 mm with the measuring tolerance" in words
    told = 'What was measured decides: measure "battery", which nobody did: 60 mm of that count for it, and'
    assert f"{told} measured 10 mm will do; or put the terminal" in words
    assert find_routes_or_explain(a_job(a_run()), vehicle(box), PRACTICE, 16.0)


def test_an_end_that_measuring_leaves_shut_is_not_told_to_be_measured():
    box = solid("battery", rectangle(100, 200, 340, 500), (550.0, 750.0))
    assert "which nobody did" not in words_of(vehicle(replace(box, assumed_mm=60.0)))
