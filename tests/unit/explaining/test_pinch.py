"""No way: where it is pinched and what opens it, on vehicles where both are known by construction."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

import pytest
from random_vehicles import random_job, random_vehicle
from small_vehicle import a_job, a_keep_out, a_profile, a_run, box, default_practice, disc

from router.cli import main
from router.errors import NoRouteError, Pinch, Relaxation
from router.explaining import find_routes_or_explain
from router.model.job import Job
from router.model.vehicle import (
    Edge,
    Fix,
    Hazard,
    KeepOut,
    Member,
    Opening,
    OverPass,
    Profile,
    Shape,
    ShapeKind,
    Space,
    SpaceKind,
    Support,
    SupportKind,
    Terminal,
    ThroughPass,
)
from router.routing.free_space import make_world
from router.routing.loom_on_vehicle import LoomOnVehicle
from router.search.path_search import Ask, find_path
from router.search.reach import is_reached
from router.search.sight_graph import SightGraph
from router.search.world import World

EXAMPLES = Path(__file__).parents[3] / "examples"
HALF_MM = 500.0
ROOM = Space(
    "underfloor",
    400.0,
    ((0, -HALF_MM), (2000, -HALF_MM), (2000, HALF_MM), (0, HALF_MM)),
    SpaceKind.UNDERFLOOR,
)
OFFSET_SLACK = 0.012
"""Offsets lie at most 1.1 % outside the true ones: 8 chords a quarter circle, 1 / cos(3 pi / 64) = 1.0109."""


def end(name: str, x: float, y: float = 0.0, space: str = "underfloor") -> Terminal:
    return Terminal(name, space, (x, y), 400.0, None)


ENDS = (end("start", 100.0), end("end", 1900.0))


def block(name: str, low_y: float, high_y: float, hazard: Hazard = Hazard.SOLID) -> KeepOut:
    return a_keep_out(name, box(900.0, low_y, 1100.0, high_y), hazard)


def pipe(radius_mm: float, y: float = 0.0, **changes: object) -> KeepOut:
    return a_keep_out("pipe", disc(1000.0, y, radius_mm), Hazard.HOT, **changes)


def refusal(profile: Profile, loom_mm: float, **run: object) -> NoRouteError:
    job = a_job(a_run(start="start", end="end", **run))
    with pytest.raises(NoRouteError) as caught:
        find_routes_or_explain(job, profile, default_practice(), loom_mm)
    return caught.value


def pinch(profile: Profile, loom_mm: float, **run: object) -> Pinch:
    found = refusal(profile, loom_mm, **run).pinch
    assert found is not None
    return found


def opens(found: Pinch, kind: str, name: str = "") -> Relaxation | None:
    return next((r for r in found.relaxations if (r.kind, r.name) == (kind, name)), None)


def is_open(profile: Profile, loom_mm: float, **run: object) -> bool:
    try:
        find_routes_or_explain(
            a_job(a_run(start="start", end="end", **run)), profile, default_practice(), loom_mm
        )
    except NoRouteError:
        return False
    return True


def test_a_gap_between_two_blocks_is_measured_and_a_smaller_loom_fits():
    profile = a_profile(
        spaces=(ROOM,),
        keep_outs=(block("left block", -HALF_MM, -50), block("right block", 50, HALF_MM)),
        terminals=ENDS,
    )
    error = refusal(profile, 65.0)
    found = error.pinch
    assert found is not None
    assert (found.run, found.space, found.between) == ("supply", "underfloor", ("left block", "right block"))
    assert found.at_mm is not None
    assert 890.0 <= found.at_mm[0] <= 1110.0
    assert abs(found.at_mm[1]) <= 1.0
    assert found.width_mm == pytest.approx(100.0, abs=0.5)
    assert found.needed_mm == pytest.approx(65.0 + 2 * (10.0 + 10.0))  # both clearances with the tolerance
    loom = opens(found, "loom")
    assert loom is not None
    assert loom.to_mm == pytest.approx(60.0, abs=1.0 + 2 * OFFSET_SLACK * 50.0)
    left = opens(found, "clearance", "left block")
    assert left is not None
    assert left.to_mm == pytest.approx(5.0, abs=1.0 + 2 * OFFSET_SLACK * 50.0)
    assert "100 mm wide, where this loom (65 mm) needs 105 mm" in error.why.replace(
        "99 mm wide", "100 mm wide"
    )


def test_a_shield_opens_what_a_hot_pipe_shuts():
    # 400 mm to either edge; hot needs 200 mm, shielded 100 mm, each with 10 mm tolerance; the middle of the
    # loom may lie on the edge.
    room = replace(ROOM, outline=((0, -300), (2000, -300), (2000, 300), (0, 300)))
    profile = a_profile(spaces=(room,), keep_outs=(pipe(100.0),), terminals=ENDS)
    found = pinch(profile, 20.0)
    assert found.between == ("pipe", "the edge of the underfloor")
    assert found.width_mm == pytest.approx(200.0, abs=0.5)
    assert found.needed_mm == pytest.approx(220.0)
    shield = opens(found, "shield", "pipe")
    assert shield == Relaxation("shield", "pipe", 200.0, 100.0, "a shield on pipe")
    lower = opens(found, "clearance", "pipe")
    assert lower is not None
    assert lower.to_mm == pytest.approx(180.0, abs=1.0 + OFFSET_SLACK * 300.0)
    assert is_open(replace(profile, keep_outs=(pipe(100.0, is_shielded=True),)), 20.0)


def test_less_room_near_heat_is_a_warning_with_its_figures_and_comes_last():
    room = replace(ROOM, outline=((0, -300), (2000, -300), (2000, 300), (0, 300)))
    profile = a_profile(spaces=(room,), keep_outs=(pipe(100.0),), terminals=ENDS)
    found = refusal(profile, 20.0)
    assert found.pinch is not None
    assert [each.kind for each in found.pinch.relaxations][-1] == "clearance"
    lower = opens(found.pinch, "clearance", "pipe")
    assert lower is not None
    assert f"{lower.to_mm:.0f} mm in place of 200 mm from pipe" in lower.what
    assert "near heat: WARNING" in lower.what
    assert lower.what in found.why


def test_several_that_must_give_are_no_advice_and_shields_are_named_first():
    """Two pipes one after the other, each 200 mm from the edges, on which the middle of the loom may lie.

    Each asks for 200 mm, 100 mm with a shield, and a tolerance of 10 mm; half the loom is 10 mm: 180 mm are
    left to each, nine tenths of what it asks.
    """
    two = tuple(
        replace(pipe(300.0), name=name, shape=Shape(ShapeKind.DISC, ((x, 0.0),), 300.0))
        for name, x in (("front pipe", 650.0), ("rear pipe", 1350.0))
    )
    profile = a_profile(spaces=(ROOM,), keep_outs=two, terminals=ENDS)
    found = refusal(profile, 20.0)
    first, warned = found.why.split("No advice, only what it would take: ")
    assert "shields on all of these do: " in first
    assert "front pipe" in first
    assert "rear pipe" in first
    assert "WARNING, a loom there can burn" in warned
    lefts = [int(words.split(" mm in place of 200 mm")[0].split()[-1]) for words in warned.split(";")[:2]]
    assert lefts[0] == lefts[1]
    assert 180.0 - 2.0 - OFFSET_SLACK * 500.0 <= lefts[0] <= 180.0  # whole percent, offsets lie outside
    both = tuple(replace(each, is_shielded=True) for each in two)
    assert is_open(replace(profile, keep_outs=both), 20.0)


def test_a_shield_is_not_offered_where_it_does_not_help():
    room = replace(ROOM, outline=((0, -200), (2000, -200), (2000, 200), (0, 200)))
    profile = a_profile(spaces=(room,), keep_outs=(pipe(100.0),), terminals=ENDS)
    found = pinch(profile, 20.0)
    assert opens(found, "shield", "pipe") is None
    assert opens(found, "clearance", "pipe") is not None


def test_a_clearance_of_its_own_may_give_way_to_the_practice():
    room = replace(ROOM, outline=((0, -350), (2000, -350), (2000, 350), (0, 350)))
    profile = a_profile(spaces=(room,), keep_outs=(pipe(100.0, clearance_mm=400.0),), terminals=ENDS)
    found = pinch(profile, 20.0)
    usual = opens(found, "practice clearance", "pipe")
    assert usual is not None
    assert (usual.from_mm, usual.to_mm) == (400.0, 200.0)


@pytest.mark.parametrize(("edge", "wall_mm"), [(Edge.RUBBER, 0.0), (Edge.BARE, 2.0)])
def test_an_opening_too_small_for_the_loom_is_the_pinch(edge, wall_mm):
    plug = Opening("plug", ("underfloor", "load area"), (1000.0, 0.0), 400.0, 20.0, edge)
    profile = a_profile(
        spaces=(ROOM, Space("load area", 400.0, ROOM.outline, SpaceKind.LOAD_AREA)),
        openings=(plug,),
        terminals=(ENDS[0], end("end", 1900.0, space="load area")),
    )
    found = pinch(profile, 30.0)
    assert (found.at_mm, found.between) == ((1000.0, 0.0), ("plug",))
    assert (found.width_mm, found.needed_mm) == (20.0 - 2.0 * wall_mm, 30.0)
    bore = opens(found, "bore", "plug")
    assert bore is not None
    assert (bore.from_mm, bore.to_mm) == (20.0, 30.0 + 2.0 * wall_mm)
    loom = opens(found, "loom")
    assert loom is not None
    assert loom.to_mm == 20.0 - 2.0 * wall_mm


def test_a_hole_in_a_member_too_small_for_the_loom_is_the_pinch():
    member = Member(
        "wall",
        "underfloor",
        ((1000, -HALF_MM), (1000, HALF_MM)),
        40.0,
        (ThroughPass((1000, 100), 20.0, Edge.RUBBER),),
    )
    found = pinch(a_profile(spaces=(ROOM,), members=(member,), terminals=ENDS), 24.0)
    assert found.between == ("the hole in wall",)
    assert (found.width_mm, found.needed_mm) == (20.0, 24.0)
    assert opens(found, "bore", "wall") is not None


def test_a_keep_out_too_near_to_an_opening_is_the_pinch():
    # Only the upright at the opening meets it: the spaces lie 200 mm below and above, clear of it.
    spaces = (replace(ROOM, height_mm=400.0), Space("load area", 800.0, ROOM.outline, SpaceKind.LOAD_AREA))
    plug = Opening("plug", ("underfloor", "load area"), (1000.0, 0.0), 600.0, 60.0, Edge.RUBBER)
    line = replace(pipe(20.0, 60.0), hazard=Hazard.FUEL, heights_mm=(560.0, 580.0))
    profile = a_profile(
        spaces=spaces,
        openings=(plug,),
        keep_outs=(line,),
        terminals=(ENDS[0], Terminal("end", "load area", (1900.0, 0.0), 800.0, None)),
    )
    found = pinch(profile, 10.0)
    assert found.between == ("pipe", "plug")
    assert found.width_mm == pytest.approx(40.0)
    assert found.needed_mm == pytest.approx(
        51.0 + 10.0 + 5.0
    )  # FAA AC 43.13-1B par. 11-126: 2 in, tolerance, radius
    lower = opens(found, "clearance", "pipe")
    assert lower is not None
    assert lower.to_mm == pytest.approx(40.0 - 10.0 - 5.0, abs=1.0 + OFFSET_SLACK * 60.0)


def test_a_keep_out_on_a_pass_leaves_too_little_to_its_end():
    member = Member(
        "wall",
        "underfloor",
        ((1000, -HALF_MM), (1000, HALF_MM)),
        40.0,
        (OverPass((1000, -50), (1000, 50), 0.0),),
    )
    post = replace(pipe(20.0, 0.0), hazard=Hazard.SOLID)
    found = pinch(a_profile(spaces=(ROOM,), members=(member,), keep_outs=(post,), terminals=ENDS), 30.0)
    assert found.between == ("pipe", "an end of the place to cross wall")
    assert found.width_mm == pytest.approx(30.0, abs=0.5)
    assert found.needed_mm == pytest.approx(20.0 + 15.0)
    longer = opens(found, "pass", "wall")
    assert longer is not None
    assert longer.from_mm == 100.0
    assert longer.to_mm == pytest.approx(110.0, abs=2.0 + 2 * OFFSET_SLACK * 55.0)


def test_a_support_that_runs_too_near_to_a_keep_out_is_the_pinch():
    # At 400 mm the wall-high block shuts everything; the support passes above it, if not by enough.
    line = replace(block("block", -HALF_MM, HALF_MM, Hazard.SHARP), heights_mm=(300.0, 450.0))
    support = Support("rail", "underfloor", SupportKind.RAIL, ((300.0, 0.0), (1700.0, 0.0)), 470.0, Fix.TIE)
    found = pinch(a_profile(spaces=(ROOM,), keep_outs=(line,), supports=(support,), terminals=ENDS), 10.0)
    assert found.between == ("block", "the line of rail")
    assert found.width_mm is not None
    assert found.needed_mm is not None
    assert found.width_mm < found.needed_mm


def test_what_the_job_forbids_may_be_allowed():
    plug = Opening("plug", ("underfloor", "load area"), (1000.0, 0.0), 400.0, 40.0, Edge.RUBBER)
    profile = a_profile(
        spaces=(ROOM, Space("load area", 400.0, ROOM.outline, SpaceKind.LOAD_AREA)),
        openings=(plug,),
        terminals=(ENDS[0], end("end", 1900.0, space="load area")),
    )
    error = refusal(profile, 10.0, avoid=("plug",))
    assert error.pinch is not None
    assert error.pinch.width_mm is None
    assert opens(error.pinch, "allow", "plug") is not None
    assert "told to avoid plug" in error.why


def test_what_stands_in_the_way_altogether_is_named():
    profile = a_profile(
        spaces=(ROOM,),
        keep_outs=(block("bulkhead", -HALF_MM - 1, HALF_MM + 1), pipe(20.0, 300.0)),
        terminals=ENDS,
    )
    error = refusal(profile, 10.0)
    assert error.pinch is not None
    assert error.pinch.between == ("bulkhead",)
    x, y = error.pinch.at_mm
    assert 900.0 <= x <= 1100.0 and abs(y) <= 100.0  # straight on, but for the warm pipe
    assert f'in the way stands "bulkhead" near x {x:.0f}, y {y:.0f} in the underfloor' in error.why


def test_where_no_pinch_is_found_what_stands_across_is_named_with_its_place(monkeypatch):
    """Whatever the search for a narrow place misses: one of two blocks at x 900 to 1100."""
    monkeypatch.setattr("router.explaining.no_way.no_route.find_pinch", lambda *_: None)
    profile = a_profile(
        spaces=(ROOM,),
        keep_outs=(block("left block", -HALF_MM, -50), block("right block", 50, HALF_MM)),
        terminals=ENDS,
    )
    error = refusal(profile, 65.0)
    assert error.pinch is not None and len(error.pinch.between) == 1
    assert error.pinch.between[0] in ("left block", "right block")
    x, y = error.pinch.at_mm
    assert 890.0 <= x <= 1110.0 and abs(y) <= HALF_MM
    assert (
        f'in the way stands "{error.pinch.between[0]}" near x {x:.0f}, y {y:.0f} in the underfloor;'
        in error.why
    )
    assert opens(error.pinch, "clearance", error.pinch.between[0]) or opens(error.pinch, "loom")
    # a gap of 100 mm less the loom's 65 mm leaves 17.5 mm on each side of the 20 mm that solid things ask
    kept = '17 mm of 20 mm from "left block", 17 mm of 20 mm from "right block"'
    assert f"; on the widest way the loom would keep {kept}. " in error.why
    assert f'; without "{"left block"}" alone there would be one too; ' in error.why


def test_the_one_thing_that_shuts_the_way_is_named_before_two_others_that_would_do():
    """Two lanes beside a long wall: two blocks shut the left one, the tank, measured last, the right one."""
    wall = a_keep_out("wall", box(500, -50, 1500, 50))
    profile = a_profile(
        spaces=(ROOM,),
        keep_outs=(
            replace(wall, name="front block", shape=box(600, 40, 700, 501)),
            replace(wall, name="rear block", shape=box(1300, 40, 1400, 501)),
            wall,
            replace(wall, name="tank", shape=box(600, -501, 700, -40)),
        ),
        terminals=ENDS,
    )
    error = refusal(profile, 10.0)
    assert error.pinch is not None
    assert error.pinch.between == ("tank",)
    assert 'in the way stands "tank" near x ' in error.why
    assert "block" not in error.why
    left = tuple(k for k in profile.keep_outs if k.name != "tank")
    assert is_open(replace(profile, keep_outs=left), 10.0)


def test_spaces_that_no_opening_joins_ask_for_one_and_not_for_a_thinner_loom():
    profile = a_profile(
        spaces=(ROOM, Space("load area", 400.0, ROOM.outline, SpaceKind.LOAD_AREA)),
        terminals=(ENDS[0], end("end", 1900.0, space="load area")),
    )
    error = refusal(profile, 10.0)
    assert error.why == (
        'run "supply": no way from "start" (underfloor) to "end" (load area) even with every clearance let '
        "go: no member's pass and no opening joins them; measure an opening that joins the two spaces and "
        "add it to the profile, e.g. {name: grommet, joins: [underfloor, load area], at: [.., ..], bore: 30 "
        "mm, edge: rubber}"
    )
    assert error.is_for_any_loom


UP = Space("load area", 700.0, ROOM.outline, SpaceKind.LOAD_AREA)


def plug(name: str, x_mm: float) -> Opening:
    return Opening(name, (ROOM.name, UP.name), (x_mm, 0.0), 550.0, 40.0, Edge.RUBBER)


def two_plugs(*keep_outs: KeepOut) -> Profile:
    return a_profile(
        spaces=(ROOM, UP),
        openings=(plug("near plug", 500.0), plug("far plug", 1500.0)),
        keep_outs=keep_outs,
        terminals=(ENDS[0], end("end", 300.0, space=UP.name)),
    )


def avoiding(profile: Profile, *names: str) -> str:
    with pytest.raises(NoRouteError) as caught:
        job = a_job(a_run("supply", "start", "end", avoid=names), source_at="start")
        find_routes_or_explain(job, profile, default_practice(), 10.0)
    return caught.value.why


@pytest.mark.parametrize(
    "tank", [box(1300, -100, 1700, 100), box(1000, -900, 1100, 900)], ids=["on", "before"]
)
def test_where_one_opening_is_avoided_the_other_is_named_with_what_shuts_it(tank):
    """The tank lies on the other plug, or right across the way to it."""
    why = avoiding(two_plugs(a_keep_out("tank", tank, space=ROOM.name)), "near plug")
    assert "no opening joins" not in why and "no other opening joins" not in why
    assert 'in the way stands "tank" near x ' in why
    assert "on the way by far plug; it was told to avoid near plug" in why
    assert "One of these opens a way: not to avoid near plug" in why


def test_where_all_openings_are_avoided_no_other_joins_the_spaces():
    why = avoiding(two_plugs(), "near plug", "far plug")
    assert (
        "no other member's pass and no other opening joins them; it was told to avoid near plug, far" in why
    )
    assert "measure an opening" not in why


def test_a_thinner_loom_is_said_after_a_shield_and_before_less_room_near_heat():
    room = replace(ROOM, outline=((0, -309), (2000, -309), (2000, 309), (0, 309)))
    profile = a_profile(spaces=(room,), keep_outs=(pipe(89.0),), terminals=ENDS)
    found = pinch(profile, 30.0)  # 220 mm are left, where 200 mm, 10 mm tolerance and half the loom are asked
    assert [each.kind for each in found.relaxations] == ["shield", "loom", "clearance"]
    assert not refusal(profile, 30.0).is_for_any_loom


def test_an_end_on_a_member_is_told():
    member = Member(
        "wall",
        "underfloor",
        ((1000, -HALF_MM), (1000, HALF_MM)),
        40.0,
        (OverPass((1000, -50), (1000, 50), 0.0),),
    )
    profile = a_profile(spaces=(ROOM,), members=(member,), terminals=(end("start", 1000, 300), ENDS[1]))
    assert (
        refusal(profile, 10.0).why
        == 'run "supply": terminal "start" lies on "wall"; no loom of 10 mm can end there'
    )


def asked(profile: Profile, job: Job, loom_mm: float) -> tuple[World, Any, Ask]:
    """Return what a job of one run asks of the search."""
    (run,) = job.runs
    numbers = {space.name: number for number, space in enumerate(profile.spaces)}
    ends = [profile.terminal(name) for name in (run.start, run.end)]
    sites = tuple((numbers[each.space], each.at) for each in ends)
    world = make_world(LoomOnVehicle(profile, default_practice(), loom_mm / 2.0))
    return world, sites, Ask(0, 1, run.via, frozenset(run.avoid))


def test_there_is_a_way_where_parts_hang_together_and_only_there():
    """The search itself is the reference: both are asked about random vehicles, with wishes."""
    outcomes = set()
    for seed in range(60):
        rng = Random(seed)
        profile = random_vehicle(rng)
        world, sites, ask = asked(profile, random_job(rng, profile), 16.0)
        found = find_path(SightGraph(world, sites, 1000.0), ask) is not None
        assert is_reached(world, sites, ask) == found, seed
        outcomes.add(found)
    assert outcomes == {True, False}


@pytest.mark.parametrize("count", [200, pytest.param(300, marks=pytest.mark.study)])
def test_pinches_of_random_vehicles_are_too_narrow_and_what_opens_them_does(count):
    widths = opened = 0
    for seed in range(count):
        rng = Random(seed)
        profile = random_vehicle(rng)
        job = random_job(rng, profile)
        if is_reached(*asked(profile, job, 16.0)):  # a way is found in a moment, but not polished and proven
            continue
        with pytest.raises(NoRouteError) as refused:
            find_routes_or_explain(job, profile, default_practice(), 16.0)
        error = refused.value
        if error.pinch is None:
            continue
        if error.pinch.width_mm is not None and error.pinch.needed_mm is not None:
            assert 0.0 <= error.pinch.width_mm < error.pinch.needed_mm, (seed, error.why)
            widths += 1
        for relaxation in error.pinch.relaxations:
            changed, loom_mm = relaxed(profile, relaxation, 16.0)
            if changed is not None:
                find_routes_or_explain(job, changed, default_practice(), loom_mm)
                opened += 1
    assert widths > 3
    assert opened > 3


def relaxed(profile: Profile, relaxation: Relaxation, loom_mm: float) -> tuple[Profile | None, float]:
    """Return the vehicle and the loom after a change; None for changes of another kind."""
    changes: dict[str, object]
    match relaxation.kind:
        case "loom":
            assert relaxation.to_mm is not None
            return profile, relaxation.to_mm
        case "shield":
            changes = {"is_shielded": True}
        case "clearance" | "practice clearance":
            changes = {"clearance_mm": relaxation.to_mm}
        case _:
            return None, loom_mm
    keep_outs = tuple(
        replace(k, **changes) if k.name == relaxation.name else k  # type: ignore[arg-type]
        for k in profile.keep_outs
    )
    return replace(profile, keep_outs=keep_outs), loom_mm


def test_no_way_is_data_too(capsys):
    with pytest.raises(SystemExit) as left:
        main(["plan", str(EXAMPLES / "no-way"), "--json"])
    assert left.value.code == 1
    out, err = capsys.readouterr()
    data = json.loads(out)
    assert data["format"] == "plan/1"
    found = data["no_route"]["pinch"]
    assert found["run"] == "supply"
    assert len(found["between"]) == 2
    assert found["width_mm"] < found["needed_mm"]
    assert err == f"no answer: {data['no_route']['why']}\n"


# What nobody measured yet


def gate(left_mm: float | None, right_mm: float | None) -> Profile:
    """Return a gap of 100 mm between two blocks that are assumed to be so far off, or measured."""
    blocks = block("left block", -HALF_MM, -50), block("right block", 50, HALF_MM)
    both = (replace(each, assumed_mm=mm) for each, mm in zip(blocks, (left_mm, right_mm), strict=True))
    return a_profile(spaces=(ROOM,), keep_outs=tuple(both), terminals=ENDS)


def test_a_gap_that_is_shut_for_what_is_assumed_is_opened_by_measuring():
    """A loom of 40 mm needs 40 + 2 x (10 + 10) = 80 mm of 100; with 60 mm for one block 130 mm."""
    found = pinch(gate(60.0, None), 40.0)
    first = found.relaxations[0]
    assert (first.kind, first.name, first.from_mm, first.to_mm) == ("measure", "left block", 60.0, 10.0)
    assert found.needed_mm == pytest.approx(130.0)
    why = refusal(gate(60.0, None), 40.0).why
    told = "left block measured, and found where it is drawn: 10 mm in place of the 60 mm that it is assumed"
    assert f"One of these opens a way: {told} to be off;" in why
    assert '70 mm from "left block", which is assumed to 60 mm,' in why
    assert is_open(gate(None, None), 40.0)


def test_what_measuring_does_not_open_is_not_said_to_be_opened_by_it():
    """A loom of 70 mm needs 110 mm even where both are measured."""
    assert opens(pinch(gate(60.0, None), 70.0), "measure", "left block") is None
    assert "measured, and found" not in refusal(gate(60.0, None), 70.0).why


def test_what_only_measuring_two_things_opens_names_both():
    """40 + (10 + 35) + (10 + 35) = 130 mm with both assumed, 105 mm with one: 100 mm are there."""
    error = refusal(gate(35.0, 35.0), 40.0)
    assert "all of these measured, and found where they are drawn, open one: left block (35 mm), right" in (
        error.why
    )
    assert opens(error.pinch, "measure", "left block") is None
    assert not is_open(gate(35.0, None), 40.0)


def test_what_is_assumed_to_less_than_the_tolerance_needs_no_measuring():
    assert opens(pinch(gate(9.0, None), 65.0), "measure", "left block") is None
