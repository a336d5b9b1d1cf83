"""Which runs lie together: stretches by hand, in the stations of every run that lies there."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from small_vehicle import a_route

from router.facts import bundles_along, bundles_of, lying_with_earlier, station_beside
from router.model.plan import Bundle, Route

Z = 400.0
STRAIGHT = a_route([(0, 0, Z), (1000, 0, Z)], run="a")


def told(*routes: Route) -> list[tuple[tuple[str, float, float], ...]]:
    return [
        tuple((p.run, round(p.from_station_mm, 6), round(p.to_station_mm, 6)) for p in bundle.parts)
        for bundle in bundles_of(routes)
    ]


def test_a_run_alone_is_one_bundle() -> None:
    assert told(STRAIGHT) == [(("a", 0, 1000),)]


def test_stations_fall_where_a_run_goes_against_the_first() -> None:
    back = a_route([(800, 500, Z), (800, 0, Z), (200, 0, Z)], run="b")
    assert told(STRAIGHT, back) == [
        (("a", 0, 200),),
        (("a", 200, 800), ("b", 1100, 500)),
        (("a", 800, 1000),),
        (("b", 0, 500),),
    ]
    bundles = bundles_of((STRAIGHT, back))
    assert lying_with_earlier(bundles, "b") == ((500.0, 1100.0),)
    assert lying_with_earlier(bundles, "a") == ()
    assert station_beside(bundles, "b", "a", 300.0) == pytest.approx(1000.0)
    assert station_beside(bundles, "a", "b", 1000.0) == pytest.approx(300.0)
    assert station_beside(bundles, "b", "a", 900.0) is None


def test_three_runs_that_each_share_with_the_next_are_told_once() -> None:
    """The second lies on the first to 600, the third on the second from 300: on the first to 600 too."""
    second = a_route([(0, 0, Z), (600, 0, Z), (600, 400, Z)], run="b")
    third = a_route([(300, 0, Z), (600, 0, Z), (600, 200, Z)], run="c")
    assert told(STRAIGHT, second, third) == [
        (("a", 0, 300), ("b", 0, 300)),
        (("a", 300, 600), ("b", 300, 600), ("c", 0, 300)),
        (("a", 600, 1000),),
        (("b", 600, 800), ("c", 300, 500)),
        (("b", 800, 1000),),
    ]


def test_a_chain_of_near_lines_is_one_loom() -> None:
    """0.4 mm and again 0.4 mm: the third is 0.8 mm from the first, and in its loom by the second."""
    second, third = (a_route([(0, y, Z), (1000, y, Z)], run=run) for run, y in (("b", 0.4), ("c", 0.8)))
    assert told(STRAIGHT, second, third) == [(("a", 0, 1000), ("b", 0, 1000), ("c", 0, 1000))]


def test_a_corner_does_not_part_what_lies_beside_each_other() -> None:
    """Round a corner, 0.4 mm inside: the outer line is 0.8 mm longer there, and no loom is so short."""
    outer = a_route([(0, 0, Z), (1000, 0, Z), (1000, 500, Z)], run="a")
    inner = a_route([(0, 0.4, Z), (999.6, 0.4, Z), (999.6, 500, Z)], run="b")
    assert told(outer, inner) == [(("a", 0, 1500), ("b", 0, 1499.2))]


@pytest.mark.parametrize(
    "points",
    [
        [(500, -300, Z), (500, 300, Z)],  # across
        [(0, -50, Z), (1000, 50, Z)],  # across at 6 degrees
        [(1000, 0, Z), (1500, 0, Z)],  # begins where the other ends
        [(0, 0, Z + 0.6), (1000, 0, Z + 0.6)],  # above
    ],
)
def test_runs_that_only_meet_cross_or_lie_above_are_not_together(points: list[tuple]) -> None:
    bundles = told(STRAIGHT, a_route(points, run="b"))
    assert {len(bundle) for bundle in bundles} == {1}


def test_runs_part_where_their_lines_are_half_a_millimetre_apart() -> None:
    """From 0.2 mm to 1.2 mm over a metre: 0.5 mm at 300 mm."""
    bundles = bundles_of((STRAIGHT, a_route([(0, 0.2, Z), (1000, 1.2, Z)], run="b")))
    assert bundles[0].runs == ("a", "b")
    assert bundles[0].stations_mm("a") == pytest.approx((0.0, 300.0), abs=0.01)


def test_runs_in_two_spaces_are_not_together() -> None:
    above = a_route([(0, 0, Z), (1000, 0, Z)], run="b", spaces="load area")
    assert len(told(STRAIGHT, above)) == 2


def test_a_run_out_and_back_lies_with_another_on_both_ways() -> None:
    """Both go 400 mm into a blind end and back: out with out, back with back."""
    way = [(0, 0, Z), (0, 400, Z), (0, 0, Z), (500, 0, Z)]
    assert told(a_route(way, run="a"), a_route(way, run="b")) == [(("a", 0, 1300), ("b", 0, 1300))]


def test_a_run_that_turns_back_on_the_line_of_another_lies_in_a_loom_all_along() -> None:
    """The second goes past where it leaves, from 500 to 200 on the first's line, and back: there once."""
    past = a_route([(800, 300, Z), (800, 0, Z), (200, 0, Z), (500, 0, Z), (500, 300, Z)], run="b")
    assert told(STRAIGHT, past) == [
        (("a", 0, 200),),
        (("a", 200, 500), ("b", 900, 1200)),
        (("a", 500, 800), ("b", 600, 300)),
        (("a", 800, 1000),),
        (("b", 0, 300),),
        (("b", 600, 900),),
        (("b", 1200, 1500),),
    ]


@pytest.mark.parametrize("seed", range(40))
def test_the_bundles_of_a_run_make_up_the_whole_run(seed: int) -> None:
    """Whatever lies together on a grid, each run is in one bundle at a time, and in some all along."""
    dice = random.Random(seed)
    routes = [_walk(dice, run) for run in "abcd"]
    bundles = bundles_of(routes)
    assert {run for bundle in bundles for run in bundle.runs} == set("abcd")
    for route in routes:
        ends = [bundle.stations_mm(route.run) for bundle in bundles_along(bundles, route.run)]
        assert ends[0][0] == 0.0
        assert ends[-1][1] == pytest.approx(route.routed_mm)
        assert all(after[0] == pytest.approx(before[1], abs=0.01) for before, after in pairwise(ends))
        for bundle in bundles:
            _is_one_line(bundle, {each.run: each for each in routes})


def _walk(dice: random.Random, run: str) -> Route:
    """Return a run along the lines of a grid of 100 mm that never comes by a place twice."""
    x, y = dice.choice([0, 1]), dice.choice([0, 1])
    places = [(x, y)]
    for _ in range(dice.randint(3, 9)):
        steps = [(x + 1, y), (x, y + 1), (x, y - 1)]
        x, y = dice.choice([step for step in steps if step not in places])
        places.append((x, y))
    if dice.random() < 0.5:
        places.reverse()
    return a_route([(100.0 * x, 100.0 * y, Z) for x, y in places], run=run)


def _is_one_line(bundle: Bundle, routes: dict[str, Route]) -> None:
    """See that all parts of a bundle are as long as each other, and have their ends at the same places."""
    lengths = [abs(part.to_station_mm - part.from_station_mm) for part in bundle.parts]
    assert lengths == pytest.approx([lengths[0]] * len(lengths))
    for end in ("from_station_mm", "to_station_mm"):
        places = {_place(routes[part.run], getattr(part, end)) for part in bundle.parts}
        assert len(places) == 1


def _place(route: Route, station_mm: float) -> tuple[int, int]:
    before, after = next(
        (a, b) for a, b in pairwise(route.points) if a.station_mm - 0.01 <= station_mm <= b.station_mm + 0.01
    )
    share = (station_mm - before.station_mm) / (after.station_mm - before.station_mm)
    x, y = (
        before.x_mm + share * (after.x_mm - before.x_mm),
        before.y_mm + share * (after.y_mm - before.y_mm),
    )
    return round(x), round(y)
