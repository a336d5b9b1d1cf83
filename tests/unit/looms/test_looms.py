"""Looms: bundles against their laws, trunks and sleeves against routes and distances by hand."""

from __future__ import annotations

import math
import random
from collections import Counter

import pytest
from small_vehicle import (
    a_choice,
    a_job,
    a_keep_out,
    a_profile,
    a_route,
    a_run,
    default_practice,
    line,
    practice_with,
)

from router.errors import NoConductorError
from router.facts import bundles_of
from router.looms import (
    dress_looms,
    find_breakouts,
    heat_sleeves,
    least_bore_mm,
    loom_for,
)
from router.model.job import Series
from router.model.plan import Breakout, Loom, Route
from router.model.vehicle import Drill, Hazard, KeepOut, Panel
from router.plane import bundle_diameter_mm
from router.plane.packing import _outermost, _shrunk, _snuggest, _Trial
from router.tables import load_table

# Bundles


@pytest.mark.parametrize("outsides_mm", [(), (0.0,), (2.0, -1.0), (2.0, math.nan), (2.0, math.inf)])
def test_bundle_refuses_what_is_no_conductor(outsides_mm: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="outside above 0 mm"):
        bundle_diameter_mm(outsides_mm)


def test_bundle_never_beats_its_bounds() -> None:
    """It holds the two largest side by side, and the area of all; it is less than all in one row."""
    dice = random.Random(7)
    for _ in range(60):
        outsides = tuple(dice.choice([1.6, 2.1, 2.4, 3.0, 3.7, 6.0]) for _ in range(dice.randint(2, 12)))
        bundle_mm = bundle_diameter_mm(outsides)
        largest = sorted(outsides)[-2:]
        assert bundle_mm >= max(sum(largest), math.sqrt(sum(d * d for d in outsides))) * (1 - 1e-5)
        assert bundle_mm <= sum(outsides) * (1 + 1e-9)
        assert bundle_mm <= max(1.25 * math.sqrt(sum(d * d for d in outsides)), sum(largest)) * 1.05


def test_order_does_not_matter() -> None:
    assert bundle_diameter_mm((3.0, 1.6, 2.4, 2.4, 1.6)) == bundle_diameter_mm((1.6, 2.4, 3.0, 1.6, 2.4))


def test_small_one_lies_beside_two_that_stand_across() -> None:
    """Beside 3 and 3 in a circle of 6 there is room for 2 (Descartes: 1/r = 2/3 + 2/3 - 1/3)."""
    assert bundle_diameter_mm((3.0, 3.0, 2.0)) == pytest.approx(6.0)
    assert bundle_diameter_mm((3.0, 3.0, 2.01)) > 6.0


def test_what_was_packed_lies_apart_and_inside() -> None:
    """Lay the circles again in the radius that was found, and measure them one by one."""
    radii = [2.5, 1.8, 1.8, 1.2, 1.2, 1.2, 0.8, 0.8]
    for prefer in (_outermost, _snuggest):
        wall = _shrunk(radii, prefer)
        lying = _lay(radii, wall, prefer)
        assert len(lying) == len(radii)
        for number, (x, y, r) in enumerate(lying):
            assert math.hypot(x, y) + r <= wall + 1e-8
            assert all(math.hypot(x - a, y - b) >= r + s - 1e-8 for a, b, s in lying[:number])


def _lay(radii: list[float], wall: float, prefer: object) -> list[tuple[float, float, float]]:
    trial = _Trial(wall, Counter(radii))
    trial.put((wall - radii[0], 0.0), radii[0])
    for radius in radii[1:]:
        trial.put(min(trial.open_spots[radius], key=lambda spot: prefer(trial, spot, radius)), radius)
    return trial.lying


# Sizes


def test_smallest_loom_that_both_rules_allow() -> None:
    practice = default_practice()
    for count in range(1, 14):
        outsides = (2.4,) * count
        chosen = loom_for(outsides, practice)
        needed_mm = least_bore_mm(outsides, practice)
        smaller = [
            size["bore_mm"]
            for size in load_table("loom")["metric"]["sizes"]
            if size["bore_mm"] < chosen.bore_mm
        ]
        assert chosen.bore_mm >= needed_mm
        assert all(bore < needed_mm for bore in smaller)
        assert chosen.outside_mm > chosen.bore_mm > chosen.bundle_mm


def test_both_rules_are_the_shops() -> None:
    wide = practice_with({("loom", "bore over bundle"): 2.0})
    empty = practice_with({("loom", "fill"): 0.1})
    assert least_bore_mm((2.4,) * 7, wide) == pytest.approx(2 * 7.2, abs=1e-3)
    assert least_bore_mm((2.4,) * 7, empty) == pytest.approx(math.sqrt(7 * 2.4**2 / 0.1))


def test_series_decides_which_loom_is_bought() -> None:
    names = {series: loom_for((2.4,), default_practice(), series).loom for series in Series}
    assert names == {Series.METRIC: "NW4.5", Series.IEC: "NW4.5", Series.AWG: "1/4 in", Series.SAE: "1/4 in"}


def test_no_loom_is_large_enough() -> None:
    with pytest.raises(NoConductorError, match=r"the largest there is, NW36, has 36\.3 mm"):
        loom_for((13.5,) * 8, default_practice())


def test_loom_table_grows_from_line_to_line() -> None:
    assert len(load_table("loom")) == 2  # metric and inch
    for series in load_table("loom").values():
        sizes = [(size["bore_mm"], size["outside_mm"]) for size in series["sizes"]]
        assert len(sizes) > 5
        assert sizes == sorted(sizes)
        assert all(outside > bore for bore, outside in sizes)


# Trunks

SUPPLY = a_route([(0, 0, 410), (1000, 0, 410), (3000, 0, 410)])
RUNS = (a_run("supply"), a_run("lamp"), a_run("earth"))


def dress(*routes: Route) -> tuple[Loom, ...]:
    choices = tuple(a_choice(route.run) for route in routes)
    return dress_looms(a_job(*RUNS[: len(routes)]), bundles_of(routes), choices, default_practice())


def told(looms: tuple[Loom, ...]) -> list[tuple[tuple[str, ...], float, float]]:
    return [(loom.runs, round(loom.from_station_mm, 6), round(loom.to_station_mm, 6)) for loom in looms]


def test_run_alone_is_one_loom() -> None:
    looms = dress(SUPPLY)
    assert told(looms) == [(("supply",), 0, 3000)]
    assert looms[0].length_mm == 3000
    assert looms[0].bundle_mm == 3.0


def test_trunk_and_branches() -> None:
    lamp = a_route([(0, 0, 410), (1000, 0, 410), (1000, 500, 410)], run="lamp")
    looms = dress(SUPPLY, lamp)
    assert told(looms) == [(("supply", "lamp"), 0, 1000), (("supply",), 1000, 3000), (("lamp",), 1000, 1500)]
    assert looms[0].bundle_mm == 6.0
    assert looms[0].conductors == ("supply", "lamp")
    assert looms[0].bore_mm > looms[1].bore_mm


def test_branch_may_leave_where_the_trunk_has_no_corner() -> None:
    straight = a_route([(0, 0, 410), (3000, 0, 410)])
    lamp = a_route([(400, 0, 410), (1700, 0, 410), (1700, 500, 410)], run="lamp")
    assert told(dress(straight, lamp)) == [
        (("supply",), 0, 400),
        (("supply", "lamp"), 400, 1700),
        (("supply",), 1700, 3000),
        (("lamp",), 1300, 1800),
    ]


def test_runs_may_go_against_each_other_in_a_trunk() -> None:
    back = a_route([(3000, 0, 410), (1000, 0, 410), (1000, -300, 410)], run="lamp")
    assert told(dress(SUPPLY, back)) == [
        (("supply",), 0, 1000),
        (("supply", "lamp"), 1000, 3000),
        (("lamp",), 2000, 2300),
    ]


def test_three_runs_split_where_the_bundle_changes() -> None:
    lamp = a_route([(0, 0, 410), (2000, 0, 410), (2000, 500, 410)], run="lamp")
    earth = a_route([(500, 0, 410), (3000, 0, 410)], run="earth")
    assert told(dress(SUPPLY, lamp, earth)) == [
        (("supply", "lamp"), 0, 500),
        (("supply", "lamp", "earth"), 500, 2000),
        (("supply", "earth"), 2000, 3000),
        (("lamp",), 2000, 2500),
    ]


@pytest.mark.parametrize("off_mm", [(0.0, 0.501, 0.0), (0.0, 0.0, 5.0)])
def test_runs_side_by_side_or_above_each_other_are_no_trunk(off_mm: tuple[float, float, float]) -> None:
    beside = a_route([(x + off_mm[0], off_mm[1], 410 + off_mm[2]) for x in (0, 3000)], run="lamp")
    assert sorted(loom.runs for loom in dress(SUPPLY, beside)) == [("lamp",), ("supply",)]


def test_runs_in_two_spaces_at_one_place_are_no_trunk() -> None:
    above = a_route([(0, 0, 410), (1000, 0, 410), (3000, 0, 410)], run="lamp", spaces="load area")
    assert sorted(loom.runs for loom in dress(SUPPLY, above)) == [("lamp",), ("supply",)]


def test_rounding_does_not_split_a_trunk() -> None:
    same = a_route([(1e-9, -1e-9, 410), (3000, 3e-9, 410)], run="lamp")
    assert told(dress(SUPPLY, same)) == [(("supply", "lamp"), 0, 3000)]


def test_breakouts_are_where_the_bundle_changes_in_each_runs_own_stations() -> None:
    lamp = a_route([(0, 0, 410), (2000, 0, 410), (2000, 500, 410)], run="lamp")
    earth = a_route([(3000, 0, 410), (500, 0, 410)], run="earth")
    bundles = bundles_of((SUPPLY, lamp, earth))
    of_supply, of_lamp, of_earth = (find_breakouts(run.name, bundles) for run in RUNS)
    assert of_supply == (
        Breakout("supply", 500.0, (), ("earth",)),
        Breakout("supply", 2000.0, ("lamp",), ()),
    )
    assert [(each.station_mm, each.leave, each.join) for each in of_lamp] == [
        (500.0, (), ("earth",)),
        (2000.0, ("supply", "earth"), ()),
    ]
    assert [(each.station_mm, each.leave, each.join) for each in of_earth] == [(1000.0, (), ("lamp",))]
    assert find_breakouts("supply", bundles_of((SUPPLY,))) == ()


def test_a_loom_says_why_rule_by_rule() -> None:
    """Seven of 2.4 mm: bundle 7.2, by it 9.0, by fill 2.4 x sqrt(7 / 0.4) = 10.04 mm, which decides."""
    bundle, over, fill, size = loom_for((2.4,) * 7, default_practice()).reasons
    assert bundle.what.startswith("bundle 7.2 mm: 7 conductors")
    assert over.what == "bore at least 9.0 mm: 1.25 times the bundle; the fill decides"
    assert "11-249" in over.source
    assert fill.what == "bore at least 10.0 mm: no more than 40 % of it filled"
    assert "NEC" in fill.source
    assert size.what == "NW10 is the smallest that is no smaller"
    assert size.status == "from memory"
    one = loom_for((6.0,), practice_with({("loom", "fill one"): 1.0})).reasons
    assert one[1].what == "bore at least 7.5 mm: 1.25 times the bundle; this decides"


# Heat sleeves


def pipe(y_mm: float, from_x: float, to_x: float, **parts: object) -> KeepOut:
    shape = line((from_x, y_mm), (to_x, y_mm), width_mm=60.0)
    return a_keep_out("mid pipe", shape, Hazard.HOT, **{"heights_mm": (380.0, 440.0), **parts})


def sleeves(*hot: KeepOut, loom_mm: float = 20.0, **parts: object) -> list[tuple[float, float]]:
    profile = a_profile(keep_outs=hot, tolerance_mm=10.0, **parts)
    return [
        (s.from_station_mm, s.to_station_mm)
        for s in heat_sleeves(SUPPLY, profile, default_practice(), loom_mm)
    ]


def test_sleeve_reaches_as_far_as_the_heat_and_a_margin() -> None:
    """Hot within 200 + 10 + 100 of the pipe: centre line within 310 + 30 + 10 = 350 of its line at y = 250.

    Beyond the ends at x = 1000 and 1500: sqrt(350^2 - 250^2) = 244.9 mm; margin 50 mm, to the next 5 mm.
    """
    ((from_mm, to_mm),) = sleeves(pipe(250, 1000, 1500))
    assert 1000 - 244.9 - 50 - 10 <= from_mm <= 1000 - 244.9 - 50
    assert 1500 + 244.9 + 50 <= to_mm <= 1500 + 244.9 + 50 + 10


@pytest.mark.parametrize(("y_mm", "count"), [(349.9, 1), (350.1, 0)])
def test_sleeve_ends_where_the_heat_does(y_mm: float, count: int) -> None:
    assert len(sleeves(pipe(y_mm, 1000, 1500))) == count


@pytest.mark.parametrize(
    ("parts", "limit_mm"),
    [({"is_shielded": True}, 250.0), ({"clearance_mm": 60.0}, 210.0), ({"heights_mm": None}, 350.0)],
)
def test_shield_and_own_clearance_count(parts: dict[str, object], limit_mm: float) -> None:
    assert len(sleeves(pipe(limit_mm - 0.1, 1000, 1500, **parts))) == 1
    assert len(sleeves(pipe(limit_mm + 0.1, 1000, 1500, **parts))) == 0


@pytest.mark.parametrize(("top_mm", "count"), [(91.0, 1), (89.0, 0)])
def test_height_counts(top_mm: float, count: int) -> None:
    """Straight above the pipe, underside of the loom at 400: 400 - 310 = 90 mm."""
    assert len(sleeves(pipe(0, 1000, 1500, heights_mm=(0.0, top_mm)))) == count


def test_near_sleeves_are_joined_and_never_over_each_other() -> None:
    near = sleeves(pipe(250, 1000, 1200), pipe(250, 1400, 1600))
    assert near[0][1] == near[1][0]
    one = sleeves(pipe(250, 1000, 1100, heights_mm=None), pipe(250, 1020, 1080, heights_mm=None))
    assert len(one) == 1
    assert len(sleeves(pipe(250, 500, 600), pipe(250, 2400, 2500))) == 2


@pytest.mark.parametrize(("between_mm", "count"), [(190.0, 1), (230.0, 2)])
def test_one_sleeve_where_no_more_than_two_margins_lie_between(between_mm: float, count: int) -> None:
    """Two tongues of one hot area, hot to 310 + 10 mm of each: 2 x 320 + 2 x 50 of margin + 100 between."""
    start_mm, end_mm = 1000.0, 1000.0 + 640 + between_mm
    tongues = (
        (start_mm, -5000),
        (start_mm, 5),
        (start_mm, -5000),
        (end_mm, -5000),
        (end_mm, 5),
        (end_mm, -5000),
    )
    hot = a_keep_out("two pipes", line(*tongues, width_mm=0.0), Hazard.HOT)
    assert len(sleeves(hot)) == count


def test_sleeve_stays_on_the_run() -> None:
    ((from_mm, to_mm),) = sleeves(pipe(0, -500, 4000))
    assert (from_mm, to_mm) == (0, 3000)


def test_only_hot_things_count_that_no_panel_parts() -> None:
    shape = line((0, 100), (3000, 100), width_mm=60.0)
    fuel = a_keep_out("fuel line", shape, Hazard.FUEL)
    upstairs = a_keep_out("heater", shape, Hazard.HOT, space="load area")
    floor = Panel("floor", ("underfloor", "load area"), 600.0, None, None, Drill.NEVER)
    assert sleeves(fuel, upstairs, panels=(floor,)) == []
    assert sleeves(fuel, upstairs) == [(0.0, 3000.0)]
