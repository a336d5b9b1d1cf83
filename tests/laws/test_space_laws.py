"""Laws of plans in three dimensions, on random vehicles: where a thing is decides, not how a file says it.

Crossing places slide until they are best to within a share of the effort (NEAR), as in test_planner_laws.py.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from random import Random
from typing import Any

import pytest
from example_plans import example_plan
from space_plans import least_effort_mm, planned
from space_vehicles import HALF_WIDTH_MM, SIXTEENTH_MM, Length, SpaceQuestion, random_question

Data = dict[str, Any]
Place = tuple[float, float, float]

SEEDS = range(6)
MANY_SEEDS = [*SEEDS, *(pytest.param(seed, marks=pytest.mark.study) for seed in range(6, 400))]
NEAR = 1e-3
SAME_PLACE_MM = 1e-5
"""How far off rounding may put a place: coordinates in inches are read back to within 1e-12 of them."""
STRAIGHT_MM = 1e-9
"""How much longer a line may be by way of a place that lies on it."""
ALOFT_MM = (3000.0, 3100.0)


@cache
def plan_of(seed: int) -> Data | None:
    """Return the plan of a random vehicle as it is, to look at and not to change."""
    return planned(random_question(Random(seed)))


def answer_of(plan: Data | None) -> Data | None:
    """Return a plan without the question that it repeats."""
    return plan and {key: plan[key] for key in plan if key not in ("question", "checksum")}


def corners_of(plan: Data) -> list[list[Place]]:
    """Return where the lines of a plan turn: places on a straight piece say nothing of their own."""
    return [_turns([(p["x"], p["y"], p["z"]) for p in run["points"]]) for run in plan["runs"]]


def _turns(places: list[Place]) -> list[Place]:
    kept = [places[0]]
    for place, after in pairwise(places[1:]):
        if math.dist(kept[-1], place) + math.dist(place, after) > math.dist(kept[-1], after) + STRAIGHT_MM:
            kept.append(place)
    return [*kept, places[-1]]


def check_same_plan(
    before: Data | None, after: Data | None, moved: Callable[[Place], Place] = lambda place: place
) -> None:
    """Assert that two plans are one: the same efforts, and the same line, moved along with its vehicle."""
    assert (before is None) == (after is None)
    if before is None or after is None:
        return
    assert after["effort"] == pytest.approx(before["effort"], rel=1e-9)
    for old, new in zip(corners_of(before), corners_of(after), strict=True):
        assert len(old) == len(new)
        assert max(math.dist(moved(a), b) for a, b in zip(old, new, strict=True)) < SAME_PLACE_MM
    for old_run, new_run in zip(before["runs"], after["runs"], strict=True):
        held = [
            [(fixing["kind"], fixing["support"]) for fixing in run["fixings"]] for run in (old_run, new_run)
        ]
        assert held[0] == held[1]


@pytest.mark.parametrize("seed", MANY_SEEDS)
def test_under_which_space_a_body_is_listed_decides_nothing(seed):
    question, rng = random_question(Random(seed)), Random(seed)

    def relist(profile: Data) -> None:
        for body in profile["keep-outs"]:
            if "heights" in body:
                body.pop("space", None)
                there = spaces_at(profile, points_of(body)[0])
                if there and rng.random() < 0.7:
                    body["space"] = rng.choice(there)

    assert answer_of(planned(question.changed(relist))) == answer_of(plan_of(seed))


def points_of(body: Data) -> list[list[float]]:
    return [body["disc"]["centre"]] if "disc" in body else body.get("along") or body["area"]


def spaces_at(profile: Data, at: list[float]) -> list[str]:
    """Return the spaces that are at a place in plan; all are rectangles."""
    boxes = {name: (space["outline"][0], space["outline"][2]) for name, space in profile["spaces"].items()}
    return [
        name for name, (low, high) in boxes.items() if all(map(lambda a, b, c: a <= b <= c, low, at, high))
    ]


@pytest.mark.parametrize("seed", MANY_SEEDS)
def test_a_mirrored_vehicle_gets_the_mirrored_plan(seed):
    question = random_question(Random(seed))
    twin = question.moved(lambda x, y: (x, -y))
    check_same_plan(plan_of(seed), planned(twin), lambda place: (place[0], -place[1], place[2]))


@pytest.mark.parametrize("seed", MANY_SEEDS)
def test_another_datum_moves_the_plan_along(seed):
    question, rng = random_question(Random(seed)), Random(seed)
    dx, dy, dz = (SIXTEENTH_MM * rng.randint(1, 400) for _ in range(3))
    moved = question.moved(lambda x, y: (x + dx, y - dy), dz)
    check_same_plan(plan_of(seed), planned(moved), lambda p: (p[0] + dx, p[1] - dy, p[2] + dz))


@pytest.mark.parametrize("seed", MANY_SEEDS)
def test_the_order_in_a_file_decides_nothing(seed):
    question, rng = random_question(Random(seed)), Random(seed)

    def shuffle(profile: Data) -> None:
        for key, things in profile.items():
            if isinstance(things, list):
                profile[key] = rng.sample(things, len(things))
        names = rng.sample(list(profile["spaces"]), len(profile["spaces"]))
        profile["spaces"] = {name: profile["spaces"][name] for name in names}

    check_same_plan(plan_of(seed), planned(question.changed(shuffle)))


@pytest.mark.parametrize("seed", MANY_SEEDS)
def test_a_vehicle_measured_in_inches_gets_the_same_plan(seed):
    question = random_question(Random(seed))
    in_inches = SpaceQuestion(question.profile, question.job, "in")
    assert " in" in in_inches.profile_text()
    assert " mm" not in in_inches.profile_text()
    check_same_plan(plan_of(seed), planned(in_inches))


@pytest.mark.parametrize("seed", MANY_SEEDS)
def test_a_body_far_above_changes_nothing(seed):
    question = random_question(Random(seed))
    roof = a_body("roof", [Length(height_mm) for height_mm in ALOFT_MM])
    with_roof = question.changed(lambda profile: profile["keep-outs"].append(roof))
    assert answer_of(planned(with_roof)) == answer_of(plan_of(seed))


@pytest.mark.parametrize("seed", MANY_SEEDS)
def test_one_more_body_never_makes_the_way_easier(seed):
    """By the effort that the search minimises: which of the best holds best, fixings and must-rules decide.

    Guides draw a loom along, and what is solid makes an edge on an open load floor: neither is added here.
    """
    question, rng = random_question(Random(seed)), Random(seed)
    low_mm = rng.uniform(300.0, 700.0)
    x, y = rng.uniform(0.0, 2600.0), rng.uniform(-HALF_WIDTH_MM, HALF_WIDTH_MM - 200.0)
    body = a_body("one more", [Length(low_mm), Length(low_mm + rng.uniform(20.0, 200.0))], x, y, 200.0)
    body["hazard"] = "sharp"
    before = least_effort_mm(question)
    after = least_effort_mm(question.changed(lambda profile: profile["keep-outs"].append(body)))
    assert after >= before * (1.0 - NEAR)


@pytest.mark.parametrize("seed", MANY_SEEDS)
def test_a_straight_piece_of_a_support_has_only_its_ends(seed):
    """Noding moves places by 1e-6 mm; none of them stays amid a straight piece, level or sloped."""
    detours_mm = [
        _apart_mm(a, b) + _apart_mm(b, c) - _apart_mm(a, c)
        for run in (plan_of(seed) or {"runs": []})["runs"]
        for a, b, c in zip(run["points"], run["points"][1:], run["points"][2:], strict=False)
        if a["along"] and a["along"] == b["along"] and a["space"] == c["space"]
    ]
    assert min(detours_mm, default=math.inf) > STRAIGHT_MM


def _apart_mm(a: Data, b: Data) -> float:
    return math.dist((a["x"], a["y"], a["z"]), (b["x"], b["y"], b["z"]))


def a_body(name: str, heights: list[Length], x: float = 0.0, y: float = 0.0, size_mm: float = 500.0) -> Data:
    corners = [[x, y], [x + size_mm, y], [x + size_mm, y + size_mm], [x, y + size_mm]]
    return {"name": name, "hazard": "solid", "heights": heights, "area": corners}


@pytest.mark.parametrize("name", ["fridge-supply", "rowing-trailer", "work-lamp"])
def test_no_run_turns_back_within_a_rounding(name):
    """Where to leave a support is found to a rounding: a hairpin of it would be a bend of radius 0."""
    hairpins = [
        b.station_mm
        for run in example_plan(name).runs
        for a, b, c in zip(run.route.points, run.route.points[1:], run.route.points[2:], strict=False)
        if min(b.station_mm - a.station_mm, c.station_mm - b.station_mm) < 0.01
        and (b.x_mm - a.x_mm) * (c.x_mm - b.x_mm) + (b.y_mm - a.y_mm) * (c.y_mm - b.y_mm) < 0.0
    ]
    assert hairpins == []
