"""Laws of the fixings, whatever the route: every rule kept, and never fewer when a rule gets stricter."""

from __future__ import annotations

import itertools
import math
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st
from random_vehicles import REAR, random_vehicle, with_panels
from small_vehicle import a_fixing, a_passage, a_route, a_van, practice_with

from router.facts import positions_at
from router.fixings import AvoidedSupport, place_fixings
from router.model.fixing import Fixing, FixingKind
from router.model.plan import PassageKind, Route
from router.model.practice import Practice
from router.model.vehicle import Fix, Profile, Support, SupportKind
from router.reviewing import crossings_of
from router.reviewing import segments_of as reviewed_segments
from router.reviewing.drilling import check_holes

steps = st.tuples(st.integers(-400, 400), st.integers(-400, 400)).filter(lambda step: math.hypot(*step) >= 40)
ways = st.lists(steps, min_size=1, max_size=6)
spacings = st.integers(120, 500)
supports = st.lists(
    st.tuples(st.integers(-500, 500), st.integers(-500, 500), st.sampled_from(Fix)), min_size=0, max_size=4
)


def route_of(way: list[tuple[int, int]], crossing: bool = False) -> Route:
    places = [(0.0, 0.0, 410.0)]
    for dx, dy in way:
        places.append((places[-1][0] + dx, places[-1][1] + dy, 410.0))
    route = a_route(places)
    if not crossing or route.routed_mm < 400:
        return route
    middle_mm = route.routed_mm / 2
    member = a_passage(PassageKind.OVER_MEMBER, "rear crossmember", middle_mm - 40, middle_mm + 40)
    return a_route(places, passages=(member,))


def profile_of(rows: list[tuple[int, int, Fix]]) -> Profile:
    lines = [
        Support(f"line {number}", "underfloor", SupportKind.RAIL, ((-900.0, y0), (900.0, y1)), 410.0, fix)
        for number, (y0, y1, fix) in enumerate(rows)
    ]
    return a_van(supports=tuple(lines))


def rules(spacing_mm: int) -> Practice:
    return practice_with({("spacing", "underfloor"): float(spacing_mm)})


def place(route: Route, spacing_mm: int, rows: list[tuple[int, int, Fix]]) -> tuple[Fixing, ...]:
    return place_fixings(route, profile_of(rows), rules(spacing_mm), 13.1)[0]


@settings(deadline=None, max_examples=60)
@given(ways, spacings, supports, st.booleans())
def test_every_span_is_allowed_or_told(
    way: list[tuple[int, int]], spacing_mm: int, rows: list[tuple[int, int, Fix]], crossing: bool
) -> None:
    route = route_of(way, crossing)
    fixings, findings = place_fixings(route, profile_of(rows), rules(spacing_mm), 13.1)
    held = [0.0, *(fixing.station_mm for fixing in fixings), route.routed_mm]
    told = {round(finding.station_mm or 0.0, 6) for finding in findings if finding.kind == "span"}
    assert fixings or told or route.routed_mm <= spacing_mm
    for before, after in itertools.pairwise(held):
        assert before < after
        assert after - before <= spacing_mm + 1e-6 or round((before + after) / 2, 6) in told


@settings(deadline=None, max_examples=60)
@given(ways, spacings, spacings, supports)
def test_fixings_never_get_fewer_when_the_spacing_shrinks(
    way: list[tuple[int, int]], one_mm: int, other_mm: int, rows: list[tuple[int, int, Fix]]
) -> None:
    route = route_of(way)
    assert len(place(route, min(one_mm, other_mm), rows)) >= len(place(route, max(one_mm, other_mm), rows))


@settings(deadline=None, max_examples=40)
@given(ways, spacings, supports)
def test_no_fixing_is_on_a_line_that_is_left_alone(
    way: list[tuple[int, int]], spacing_mm: int, rows: list[tuple[int, int, Fix]]
) -> None:
    fix_of = {support.name: support.fix for support in profile_of(rows).supports}
    route = route_of(way)
    fixings = place(route, spacing_mm, rows)
    assert fixings or route.routed_mm <= spacing_mm
    for fixing in fixings:
        if fixing.support is None:
            assert fixing.kind is FixingKind.P_CLIP
        else:
            assert fix_of[fixing.support].value == fixing.kind.value


@settings(deadline=None, max_examples=40)
@given(ways, spacings, supports, st.tuples(st.integers(0, 1000), st.integers(0, 1000)))
def test_no_fixing_is_on_a_support_where_it_is_avoided(
    way: list[tuple[int, int]], spacing_mm: int, rows: list[tuple[int, int, Fix]], ends: tuple[int, int]
) -> None:
    route, (from_mm, to_mm) = route_of(way), sorted(ends)
    avoided = [AvoidedSupport(f"line {number}", from_mm, to_mm) for number in range(len(rows))]
    fixings, _ = place_fixings(route, profile_of(rows), rules(spacing_mm), 13.1, (), avoided)
    held = [fixing for fixing in fixings if fixing.support and from_mm <= fixing.station_mm <= to_mm]
    assert held == []


@settings(deadline=None, max_examples=30)
@given(ways, spacings, supports)
def test_taking_one_fixing_away_breaks_a_rule(
    way: list[tuple[int, int]], spacing_mm: int, rows: list[tuple[int, int, Fix]]
) -> None:
    """Fewest means at least that none can go: the span over it is too long, or its reason is a need."""
    route = route_of(way)
    fixings = place(route, spacing_mm, rows)
    held = [0.0, *(fixing.station_mm for fixing in fixings), route.routed_mm]
    assert fixings or route.routed_mm <= spacing_mm
    for number, fixing in enumerate(fixings):
        assert fixing.why != "span" or held[number + 2] - held[number] > spacing_mm


@settings(deadline=None, max_examples=20)
@given(ways, spacings, supports)
def test_same_question_same_fixings(
    way: list[tuple[int, int]], spacing_mm: int, rows: list[tuple[int, int, Fix]]
) -> None:
    route = route_of(way)
    assert place(route, spacing_mm, rows) == place(route, spacing_mm, rows)


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 10_000))
def test_the_review_has_nothing_against_a_planned_hole(seed: int) -> None:
    """On random vehicles below two floors and before a bulkhead, with bodies on every side of them."""
    rng = Random(seed)
    profile = with_panels(random_vehicle(rng), rng)
    places = [(rng.uniform(950.0, 3400.0), rng.uniform(-650.0, 650.0), 400.0) for _ in range(4)]
    route = a_route(places, spaces=REAR)
    fixings, _ = place_fixings(route, profile, practice_with({}), 13.0)
    for fixing in fixings:
        assert (fixing.support is None) == (fixing.kind is FixingKind.P_CLIP) == (fixing.hole is not None)
    crossings = crossings_of(reviewed_segments(route), profile, 6.5)
    assert check_holes("supply", fixings, crossings, profile, practice_with({}), 13.0) == ()


def test_the_law_above_is_about_something() -> None:
    """Some seeds drill, some of these near to a body; of holes every 25 mm the review finds wrong ones."""
    drilled, near, wrong = 0, 0, 0
    for seed in range(40):
        rng = Random(seed)
        profile = with_panels(random_vehicle(rng), rng)
        places = [(rng.uniform(950.0, 3400.0), rng.uniform(-650.0, 650.0), 400.0) for _ in range(4)]
        route = a_route(places, spaces=REAR)
        fixings, _ = place_fixings(route, profile, practice_with({}), 13.0)
        holes = [fixing.hole for fixing in fixings if fixing.hole]
        drilled += len(holes)
        near += sum(bool(hole.behind) for hole in holes)
        stations = tuple(range(5, int(route.routed_mm), 25))
        everywhere = tuple(
            a_fixing(0, mm, (at.x_mm, at.y_mm, at.z_mm), kind=FixingKind.P_CLIP, support=None, space=REAR)
            for mm, at in zip(stations, positions_at(route, stations), strict=True)
        )
        found = check_holes("supply", everywhere, (), profile, practice_with({}), 13.0)
        wrong += sum(finding.kind == "drilled hole" for finding in found)
    assert drilled > 50 and near > 20 and wrong > 5
