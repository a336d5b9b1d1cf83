"""Lengths: what is added and why, and how sure the sum is. Expected values by hand from the rules named."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from statistics import fmean, stdev

import pytest
from small_vehicle import a_passage, a_profile, a_route, a_run, default_practice, practice_with, terminals

from router.lengths.measuring import (
    chance_too_short,
    combined_uncertainty,
    margin_against_too_short,
    measure_run,
    rectangular,
    round_up,
    sag_excess_mm,
    worst_case,
)
from router.model.plan import PassageKind, Route, RunLength
from router.model.vehicle import Edge, Faces, Member, Opening, OverPass

STUD_TO_CONNECTOR = terminals(battery_positive="M6", unit=None)


def measure(route: Route, tolerance_mm: float = 10.0, **changes: float) -> RunLength:
    practice = practice_with({("length", key.replace("_", " ")): value for key, value in changes.items()})
    profile = a_profile(terminals=STUD_TO_CONNECTOR, tolerance_mm=tolerance_mm)
    return measure_run(a_run(), route, profile, practice)


def straight(length_mm: float) -> Route:
    return a_route([(0, 0, 410), (length_mm, 0, 410)])


def test_each_allowance_once_with_its_rule_and_place() -> None:
    length = measure(straight(3000))
    added = {a.why.split(",")[0].split(":")[0]: a.length_mm for a in length.allowances[:-1]}
    assert added == {
        "end at battery positive": 120,  # 40 mm, and twice more for two re-terminations (AC 43.13-1B 11-118)
        "end at unit": 120,
        "drip loop before the upright connector at unit": 75,  # it has no stud
        "service loop": 100,
        "sag of 12.7 mm at most on 10 spans of 300 mm in underfloor": pytest.approx(10 * 8 * 12.7**2 / 900),
    }
    assert all(allowance.rule is not None for allowance in length.allowances)


def test_no_drip_loop_between_two_studs() -> None:
    profile = a_profile(terminals=terminals(battery_positive="M6", unit="M8"))
    length = measure_run(a_run(), straight(1000), profile, default_practice())
    assert length.allowances
    assert not any("drip" in allowance.why for allowance in length.allowances)


@pytest.mark.parametrize(("faces", "count"), [(Faces.UP, 1), (Faces.SIDE, 0), (Faces.DOWN, 0)])
def test_drip_loop_before_a_connector_that_stands_upright_only(faces: Faces, count: int) -> None:
    post, unit = terminals(battery_positive="M6", unit=None)
    profile = a_profile(terminals=(post, replace(unit, faces=faces)))
    length = measure_run(a_run(), straight(1000), profile, default_practice())
    assert sum("drip loop" in allowance.why for allowance in length.allowances) == count


def test_rise_is_in_the_routed_length_only() -> None:
    level = measure(a_route([(0, 0, 410), (1000, 0, 410)]))
    risen = measure(a_route([(0, 0, 410), (1000, 0, 410), (1000, 0, 560)]))
    assert risen.routed_mm == level.routed_mm + 150
    assert [a.length_mm for a in risen.allowances[:-1]] == [a.length_mm for a in level.allowances[:-1]]


@pytest.mark.parametrize(
    ("rise_mm", "added_mm"),
    [(0.0, 2 * 55.0), (30.0, 2 * 25.0), (50.0, None), (55.0, None)],
    ids=["level", "too low", "as closely as measured", "as it must"],
)
def test_a_rise_that_a_way_leaves_out_is_added_up_and_down(rise_mm: float, added_mm: float | None) -> None:
    """The pass rises 55 mm; a way may be drawn level, which is 2 x 55 mm too short."""
    other = OverPass((1000.0, 200.0), (1000.0, 400.0), 90.0)
    own = OverPass((1000.0, -100.0), (1000.0, 100.0), 55.0)
    member = Member("sill", "underfloor", ((1000.0, -500.0), (1000.0, 500.0)), 60.0, (other, own))
    low, high = 410.0, 410.0 + rise_mm
    route = a_route(
        [(0, 0, low), (960, 0, low), (960, 0, high), (1040, 0, high), (1040, 0, low), (2000, 0, low)],
        passages=(a_passage(PassageKind.OVER_MEMBER, "sill", 960.0, 1040.0 + 2 * rise_mm, own),),
    )
    profile = a_profile(terminals=STUD_TO_CONNECTOR, members=(member,))
    allowances = measure_run(a_run(), route, profile, default_practice()).allowances
    rises = [a.length_mm for a in allowances if a.why == "up over sill and down again, not drawn"]
    assert rises == ([] if added_mm is None else [added_mm])


def test_sag_and_turns_go_by_space() -> None:
    route = a_route(
        [(0, 0, 780), (600, 0, 780), (600, 0, 780), (1500, 0, 780)],
        spaces=["engine bay", "engine bay", "load area", "load area"],
    )
    whys = {allowance.why: allowance.length_mm for allowance in measure(route).allowances}
    assert whys["sag of 12.7 mm at most on 2 spans of 300 mm in engine bay"] == pytest.approx(
        16 * 12.7**2 / 900
    )
    assert whys["sag of 12.7 mm at most on 2 spans of 457 mm in load area"] == pytest.approx(
        16 * 12.7**2 / 1371
    )
    assert whys["turn into the bore from engine bay to load area"] == 20


def test_cut_is_the_sum_rounded_up_to_the_step() -> None:
    length = measure(straight(3000))
    needed_mm = length.routed_mm + sum(allowance.length_mm for allowance in length.allowances)
    assert length.cut_mm % 50 == 0
    assert needed_mm <= length.cut_mm < needed_mm + 50


@pytest.mark.parametrize(
    ("length_mm", "rounded_mm"), [(3000, 3000), (3000.0000000001, 3000), (3000.01, 3050), (0.1 + 0.2, 50)]
)
def test_rounding_up_forgives_rounding_errors_only(length_mm: float, rounded_mm: float) -> None:
    assert round_up(length_mm, 50) == rounded_mm


def test_one_in_a_hundred_is_too_short_before_rounding_up() -> None:
    margin_mm = margin_against_too_short(5.0, 0.01)
    assert margin_mm == pytest.approx(
        5.0 * 2.3263, rel=1e-4
    )  # one-sided 99 % point, any table of the normal law
    assert chance_too_short(margin_mm, 5.0) == pytest.approx(0.01)


def test_the_chance_that_is_printed_is_the_one_after_rounding_up() -> None:
    printed = set()
    for length_mm in range(3000, 3050, 5):
        length = measure(straight(length_mm), tolerance_mm=45.0)
        spare_mm = length.cut_mm - length.routed_mm - sum(a.length_mm for a in length.allowances[:-1])
        chance = 0.5 * math.erfc(spare_mm / (length.uncertainty_mm / 2) / math.sqrt(2))
        assert chance <= 0.01
        words = f"{100 * chance:.1f} %" if chance >= 0.001 else "under 0.1 %"
        assert length.allowances[-1].why.endswith(f"too short: {words}")
        printed.add(words)
    assert len(printed) > 3


# Uncertainty


def test_straight_run_moves_with_its_two_ends_only() -> None:
    length = measure(a_route([(0, 0, 410), (500, 0, 410), (2000, 0, 410)]))
    assert length.uncertainty_mm == pytest.approx(2 * 10 / math.sqrt(3) * math.sqrt(2))
    assert length.worst_case_mm == pytest.approx(20)


def test_right_angle_by_hand() -> None:
    """Start: 1 in x. Corner: 1 in x, 1 in y. End: 1 in y. Four coordinates, each +/- 10 mm."""
    length = measure(a_route([(0, 0, 410), (1000, 0, 410), (1000, 800, 410)]))
    assert length.uncertainty_mm == pytest.approx(2 * 10 / math.sqrt(3) * 2)
    assert length.worst_case_mm == pytest.approx(40)


def test_height_of_a_support_counts_on_the_way_down_and_up() -> None:
    """x of both ends: 1 each. Space height: 1 + 1, support height: 1 + 1, because each is one measurement."""
    points = [(0, 0, 410), (500, 0, 410), (500, 0, 330), (1500, 0, 330), (1500, 0, 410), (2000, 0, 410)]
    length = measure(a_route(points))
    assert length.uncertainty_mm == pytest.approx(2 * 10 / math.sqrt(3) * math.sqrt(1 + 1 + 4 + 4))


def test_uncertainty_is_that_of_a_simulated_tape() -> None:
    """GUM supplement 1 (JCGM 101) idea: move every measured corner at random, and look at the lengths."""
    corners = [(0, 0, 410), (900, 300, 410), (1500, -200, 410), (2600, 100, 410)]
    dice = random.Random(4)
    lengths = []
    for _ in range(20_000):
        moved = [(x + dice.uniform(-10, 10), y + dice.uniform(-10, 10), z) for x, y, z in corners]
        lengths.append(a_route(moved).routed_mm)
    length = measure(a_route(corners))
    assert length.uncertainty_mm == pytest.approx(2 * stdev(lengths), rel=0.03)
    assert fmean(lengths) == pytest.approx(length.routed_mm, abs=0.5)


def test_chords_of_one_bend_move_together() -> None:
    """A quarter circle in short steps is as uncertain as the corner it stands for: 1 in x and 1 in y."""
    arc = [
        (1000 + 100 * math.sin(a), 100 - 100 * math.cos(a), 410) for a in (i * math.pi / 16 for i in range(9))
    ]
    length = measure(a_route([(0, 0, 410), *arc, (1100, 900, 410)]))
    assert length.uncertainty_mm == pytest.approx(2 * 10 / math.sqrt(3) * 2, rel=0.02)


def test_perfect_profile_needs_no_margin() -> None:
    length = measure(straight(3000), tolerance_mm=0.0)
    assert (length.uncertainty_mm, length.worst_case_mm, length.allowances[-1].length_mm) == (0, 0, 0)


def test_worst_case_is_never_below_the_expanded_uncertainty_of_one_coordinate_and_adds_up() -> None:
    assert worst_case(5.0, [1.0] * 6) == 30.0
    assert combined_uncertainty([rectangular(5.0)] * 6) == pytest.approx(5.0 * math.sqrt(2))


@pytest.mark.parametrize(
    ("sag_mm", "span_mm"), [(12.7, 0), (-1, 300), (100, 300), (math.nan, 300), (5, math.nan)]
)
def test_sag_refuses_what_is_no_shallow_parabola(sag_mm: float, span_mm: float) -> None:
    with pytest.raises(ValueError, match="no shallow parabola"):
        sag_excess_mm(sag_mm, span_mm)


def test_play_at_an_opening_whose_two_sides_move() -> None:
    """Common practice, no source: twice what body and frame move, there and nowhere else."""
    plug = Opening("rear plug", ("engine bay", "load area"), (600.0, 0.0), 780.0, 38.0, Edge.RUBBER, 25.0)
    still = replace(plug, name="front plug", moves_mm=0.0)
    profile = a_profile(terminals=STUD_TO_CONNECTOR, openings=(plug, still))
    passed = tuple(a_passage(PassageKind.OPENING, each.name, 600.0, 600.0) for each in (plug, still))
    route = replace(straight(1500), passages=passed)
    length = measure_run(a_run(), route, profile, default_practice())
    play = [allowance for allowance in length.allowances if "play" in allowance.why]
    assert [(each.length_mm, each.rule and each.rule.name) for each in play] == [(50.0, "length: play")]
    assert play[0].why == "play at rear plug, whose two sides move 25 mm: 2 times that"
