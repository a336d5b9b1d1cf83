"""Refusals for looms that are too thick say what made them so; a thin run is not refused for a thick one."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from small_vehicle import a_conductor, a_job, a_keep_out, a_profile, a_run, box, default_practice

from router.errors import NoRouteError
from router.model.job import Duty, Fuse, Job
from router.model.vehicle import KeepOut, Profile, Space, SpaceKind, Terminal
from router.planning import make_plan

ROOM = Space("underfloor", 400.0, ((0, -500), (2000, -500), (2000, 500), (0, 500)), SpaceKind.UNDERFLOOR)


def terminal(name: str, x: float, y: float) -> Terminal:
    return Terminal(name, "underfloor", (x, y), 400.0, "M8")


def wall(name: str, low_y: float, high_y: float) -> KeepOut:
    return a_keep_out(name, box(900.0, low_y, 1100.0, high_y))


def vehicle(*keep_outs: KeepOut) -> Profile:
    ends = (terminal("battery positive", 100, 0), terminal("unit", 1900, 0), terminal("switch", 300, 400))
    return a_profile(spaces=(ROOM,), keep_outs=keep_outs, terminals=(*ends, terminal("lamp", 700, 400)))


def supply(load_a: float, **parts: object) -> object:
    return a_run("supply", conductors=(a_conductor("supply", load_a=load_a, **parts),), fuse=Fuse(None))


def a_tight_job() -> Job:
    """Of 0.336 V a fuse takes 0.1 V, body and contacts 29 A x (5 + 4 x 0.1) mohm, 0.157 V.

    0.079 V at 29 A are left, 2.7 mohm on about 2.5 m and four crimps of 0.12 m: 0.9 mohm/m, 25 mm2.
    """
    job = a_job(supply(29.0))
    return replace(job, limits=replace(job.limits, drop_fraction=0.028))


# 56 mm between the walls: 16 mm are left beside 20 mm to both (10 mm clearance, 10 mm tolerance). A loom for
# a thin conductor is 7 to 10 mm wide, one for a thick conductor more than 16.
GAP = (wall("left wall", -600, -28), wall("right wall", 28, 600))


def test_a_refusal_names_the_loom_and_the_drop_limit_that_made_it() -> None:
    profile = vehicle(*GAP)
    assert make_plan(a_job(supply(1.0)), profile, default_practice()).runs[0].loom_diameter_mm <= 16
    with pytest.raises(NoRouteError) as caught:
        make_plan(a_tight_job(), profile, default_practice())
    words = caught.value.why
    assert re.search(r"The loom of \d+ mm is for supply (16|25|35|50) mm2", words)
    assert "because of the drop limit, 2.8 % of 12 V or 0.336 V" in words
    assert caught.value.run == "supply"


def test_an_end_too_near_for_a_thick_loom_says_how_thick_it_is() -> None:
    """Solid, 10 mm with 10 mm tolerance; 30 mm to the wall leave 10 mm for half a loom."""
    near = a_keep_out("near wall", box(1700, 30, 2000, 200))
    assert make_plan(a_job(supply(1.0)), vehicle(near), default_practice())
    with pytest.raises(NoRouteError) as caught:
        make_plan(a_tight_job(), vehicle(near), default_practice())
    assert 'a loom of 21 mm at terminal "unit" would lie 19 mm in plan' in caught.value.why
    assert "no such loom can end there" in caught.value.why
    assert "drop limit" in caught.value.why


def test_an_end_on_a_keep_out_names_the_heights_and_the_least_that_passes() -> None:
    """Battery top 385, 10 mm and 10 mm tolerance: a loom of d mm passes with its middle at 405 + d / 2."""
    low = a_keep_out("battery", box(50, -50, 150, 50), heights_mm=(200.0, 385.0))
    with pytest.raises(NoRouteError) as caught:
        make_plan(a_job(supply(1.0)), vehicle(low), default_practice())
    words = caught.value.why
    assert "the loom's middle lies at 400 mm there, the keep-out from 200 to 385 mm" in words
    loom = re.search(r"a loom of (\d+) mm", words)
    advice = re.search(
        r'give terminal "battery positive" and space "underfloor" a height of (\d+) mm or more', words
    )
    assert loom and advice
    least_mm = int(advice[1])
    assert abs(least_mm - (405 + int(loom[1]) / 2)) <= 1.5  # the loom is told in whole mm
    assert "drop" not in words and "The loom of" not in words  # the thinnest cannot end there either
    profile = vehicle(low)
    raised = replace(
        profile,
        spaces=(replace(ROOM, height_mm=float(least_mm)),),
        terminals=tuple(replace(t, height_mm=float(least_mm)) for t in profile.terminals),
    )
    assert make_plan(a_job(supply(1.0)), raised, default_practice())


def test_an_end_in_a_keep_out_without_heights_asks_for_them() -> None:
    tall = a_keep_out("battery", box(50, -50, 150, 50))
    with pytest.raises(
        NoRouteError, match=r"measure the keep-out's heights too and write heights: \[\.\., \.\.\]$"
    ):
        make_plan(a_job(supply(1.0)), vehicle(tall), default_practice())


def test_a_named_size_is_not_blamed_on_the_drop() -> None:
    with pytest.raises(NoRouteError, match="supply is that thick for its job"):
        make_plan(a_job(supply(1.0, size="35 mm2")), vehicle(*GAP), default_practice())


def test_a_thin_run_is_not_refused_because_another_one_is_thick() -> None:
    """Only the thin one goes through the gap; the thick one stays before it."""
    thick = a_run(
        "winch", "switch", "lamp",
        conductors=(a_conductor("winch", load_a=1.0, size="35 mm2", duty=Duty.INTERMITTENT),),
    )  # fmt: skip
    plan = make_plan(a_job(supply(1.0), thick), vehicle(*GAP), default_practice())
    thin, other = plan.runs
    assert thin.loom_diameter_mm <= 16 < other.loom_diameter_mm
    assert not [finding for finding in plan.findings if finding.kind == "clearance"]
