"""Ways between spaces, through members, by `via` and round `avoid`, with heights: against brute force.

Small vehicles without keep-outs: two spaces, members right across the rear one, so that every bay is a
rectangle. The reference tries every sequence of doors (openings, holes, tops that may be crossed), no door
twice, and measures what lies between two point-like doors in the plain visibility graph of the bays and the
passes gone over. Efforts are counted by the words of the model: lengths, climbs, amounts.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from random import Random

import pytest
import shapely
from small_vehicle import a_job, a_profile, a_run, default_practice, plain_practice
from visibility import VisibilityGraph

from router.errors import NoRouteError
from router.explaining import find_routes_or_explain
from router.model.plan import PassageKind
from router.model.practice import Practice
from router.model.vehicle import (
    Edge,
    Member,
    Opening,
    OverPass,
    Profile,
    Space,
    SpaceKind,
    Terminal,
    ThroughPass,
)

FRONT = Space(
    "front", 700.0, ((0.0, 0.0), (1000.0, 0.0), (1000.0, 1400.0), (0.0, 1400.0)), SpaceKind.ENGINE_BAY
)
REAR = Space(
    "rear", 400.0, ((900.0, 0.0), (4000.0, 0.0), (4000.0, 1400.0), (900.0, 1400.0)), SpaceKind.UNDERFLOOR
)
LOOM_MM = 12.0
OFFSET = 1.0 / math.cos(3.0 * math.pi / 64.0)
"""How much wider than its half width and the loom's radius the band of a member is taken."""
MOST_DOORS = 4
NEAR = 3e-4
"""Relative: how near a way over a top comes to the best crossing of it."""


@dataclass(frozen=True)
class Door:
    """A way from one bay to another; bay -1 is the front space, 0.. those of the rear one."""

    key: str
    bays: tuple[int, int]
    ends: tuple[tuple[float, float], tuple[float, float]] | None
    """Where it is entered and left; None for a top, which is gone over anywhere in `channel`."""
    channel: tuple[float, float, float, float] | None
    cost_mm: float


def random_profile(rng: Random) -> Profile:
    """Return a vehicle with two or three openings, up to two members and four terminals."""
    xs = sorted(rng.sample([1400.0, 1900.0, 2400.0, 2900.0, 3400.0], rng.randint(0, 2)))
    return a_profile(
        tolerance_mm=0.0,
        spaces=(FRONT, REAR),
        openings=tuple(_opening(rng, f"opening {n}") for n in range(rng.randint(1, 3))),
        members=tuple(_member(rng, f"member {n}", x) for n, x in enumerate(xs)),
        terminals=tuple(_terminal(rng, f"terminal {n}", xs) for n in range(4)),
    )


def _opening(rng: Random, name: str) -> Opening:
    at = (rng.uniform(910.0, 990.0), rng.uniform(50.0, 1350.0))
    return Opening(name, ("front", "rear"), at, rng.uniform(400.0, 700.0), 40.0, Edge.RUBBER)


def _member(rng: Random, name: str, x: float) -> Member:
    passes: list[OverPass | ThroughPass] = []
    y = rng.uniform(20.0, 300.0)
    for _ in range(rng.randint(1, 3)):
        if rng.random() < 0.5:
            far_y = y + rng.uniform(40.0, 150.0)
            passes.append(OverPass((x, y), (x, far_y), rng.choice([0.0, 20.0, 70.0])))
            y = far_y + rng.uniform(50.0, 300.0)
        else:
            bore_mm = rng.choice([10.0, 20.0, 30.0])
            passes.append(ThroughPass((x, y), bore_mm, rng.choice([Edge.RUBBER, Edge.BARE])))
            y += rng.uniform(50.0, 300.0)
    return Member(name, "rear", ((x, -50.0), (x, 1450.0)), rng.uniform(30.0, 90.0), tuple(passes))


def _terminal(rng: Random, name: str, xs: list[float]) -> Terminal:
    if rng.random() < 0.4:
        return Terminal(
            name,
            "front",
            (rng.uniform(10.0, 890.0), rng.uniform(10.0, 1390.0)),
            rng.choice([700.0, 760.0]),
            None,
        )
    x = next(x for x in iter(lambda: rng.uniform(1010.0, 3990.0), None) if all(abs(x - m) > 70.0 for m in xs))
    return Terminal(name, "rear", (x, rng.uniform(10.0, 1390.0)), rng.choice([400.0, 330.0]), None)


def doors_of(profile: Profile) -> list[Door]:
    """Return every door that the loom fits."""
    practice = default_practice()
    doors = []
    for opening in profile.openings:
        climbs_mm = abs(700.0 - opening.height_mm) + abs(opening.height_mm - 400.0)
        cost_mm = practice.value("amount", "opening") + climbs_mm
        doors.append(Door(opening.name, (-1, 0), (opening.at, opening.at), None, cost_mm))
    for bay, member in enumerate(profile.members):
        half_mm = member.width_mm / 2.0 + LOOM_MM / 2.0
        x, amount_mm = member.along[0][0], practice.value("amount", "member")
        for way in member.passes:
            if isinstance(way, OverPass):
                reach_mm = half_mm * OFFSET + 1e-6
                channel = (x - reach_mm, way.start[1], x + reach_mm, way.end[1])
                doors.append(Door(member.name, (bay, bay + 1), None, channel, amount_mm + 2.0 * way.rise_mm))
                continue
            wall_mm = practice.value("opening", "grommet wall") if way.edge is Edge.BARE else 0.0
            if way.bore_mm - 2.0 * wall_mm >= LOOM_MM:
                reach_mm = (
                    half_mm * 1.02 + 0.01
                )  # the straight way through a hole ends just clear of the band
                ends = ((x - reach_mm, way.at[1]), (x + reach_mm, way.at[1]))
                doors.append(Door(member.name, (bay, bay + 1), ends, None, amount_mm + 2.0 * reach_mm))
    return doors


def bays_of(profile: Profile) -> list[tuple[float, float, float, float]]:
    """Return the rectangles of the rear space's bays, then the front space's (so that it is number -1)."""
    edges = [900.0]
    for member in profile.members:
        reach_mm = (member.width_mm / 2.0 + LOOM_MM / 2.0) * OFFSET + 1e-6
        edges += [member.along[0][0] - reach_mm, member.along[0][0] + reach_mm]
    edges.append(4000.0)
    rear = [(edges[k], 0.0, edges[k + 1], 1400.0) for k in range(0, len(edges), 2)]
    return [*rear, (0.0, 0.0, 1000.0, 1400.0)]


@cache
def between_mm(start, goal, boxes) -> float:
    """Return the shortest way between two points in the union of boxes."""
    if len(boxes) == 1:
        return math.dist(start, goal)
    length_mm = VisibilityGraph(shapely.union_all([shapely.box(*box) for box in boxes])).shortest_mm(
        start, goal
    )
    assert length_mm is not None
    return length_mm


def sequences(doors: list[Door], bay: int, goal_bay: int) -> Iterator[list[tuple[Door, bool]]]:
    """Yield every sequence of doors from bay to bay, no door twice, each with whether it is gone forward."""
    stack: list[tuple[int, list[tuple[Door, bool]]]] = [(bay, [])]
    while stack:
        here, taken = stack.pop()
        if here == goal_bay:
            yield taken
        if len(taken) == MOST_DOORS:
            continue
        for door in doors:
            if here in door.bays and all(door is not other for other, _ in taken):
                forward = door.bays[0] == here
                stack.append((door.bays[1] if forward else door.bays[0], [*taken, (door, forward)]))


def sequence_mm(start, goal, bay: int, taken, bays) -> float:
    """Return the effort of the best way through doors in order."""
    total_mm, here, boxes = 0.0, start, [bays[bay]]
    for door, forward in taken:
        total_mm += door.cost_mm
        bay = door.bays[1] if forward else door.bays[0]
        if door.channel:
            if bays[bay] in boxes:
                return math.inf  # there and back over tops: nothing would pull the string over them
            boxes += [door.channel, bays[bay]]
            continue
        enter, leave = door.ends if forward else door.ends[::-1]
        total_mm += between_mm(here, enter, tuple(boxes))
        here, boxes = leave, [bays[bay]]
    return total_mm + between_mm(here, goal, tuple(boxes))


def brute_force_mm(profile: Profile, run) -> float | None:
    """Return the least effort over all sequences of doors, None where there is none."""
    start, goal = profile.terminal(run.start), profile.terminal(run.end)
    bays = bays_of(profile)
    numbers = [
        -1 if t.space == "front" else next(n for n, b in enumerate(bays[:-1]) if b[0] <= t.at[0] <= b[2])
        for t in (start, goal)
    ]
    climbs_mm = sum(abs(t.height_mm - profile.space(t.space).height_mm) for t in (start, goal))
    doors = [door for door in doors_of(profile) if door.key not in run.avoid]
    efforts = [
        sequence_mm(start.at, goal.at, numbers[0], taken, bays)
        for taken in sequences(doors, *numbers)
        if _meets(run.via, [door.key for door, _ in taken])
    ]
    least_mm = min(efforts, default=math.inf)
    return None if least_mm == math.inf else least_mm + climbs_mm


def _meets(via, keys) -> bool:
    rest = iter(keys)
    return all(name in rest for name in via)


def _goes_back(route) -> bool:
    """Return whether a route passes something twice: only a `via` can be a reason for that."""
    passed = [passage.name for passage in route.passages]
    return len(passed) > len(set(passed))


QUICK_AND_STUDY = [0, *(pytest.param(n, marks=pytest.mark.study) for n in range(20, 400, 20))]
"""Twenty vehicles every time, six pairs of ends each, with wishes of every kind; hundreds with `-m study`."""


def practice_where_all_costs(times: float) -> Practice:
    """Return the default practice, a mm of open ground and every amount so many times as dear."""
    amounts = {
        ("amount", key): default_practice().value("amount", key) * times for key in ("opening", "member")
    }
    return plain_practice({("factor", "open"): times, **amounts})


@pytest.mark.parametrize("times", [1.0, 2.5])
@pytest.mark.parametrize("first", QUICK_AND_STUDY)
def test_no_combination_of_doors_is_better(first, times):
    """Equal where every door is a point; at a top, which is crossed anywhere, the best place is near enough.

    A way that must go by a door that leads nowhere goes through it and comes back; sequences that use no
    door twice are then an upper bound. Where all is so many times as dear, so is the way.
    """
    ways = none = 0
    practice = practice_where_all_costs(times)
    for seed in range(first, first + 20):
        rng = Random(seed)
        profile = random_profile(rng)
        names = [thing.name for thing in (*profile.openings, *profile.members)]
        for start, end in itertools.combinations([t.name for t in profile.terminals], 2):
            wish = rng.choice(["via", "avoid", "none", "none"])
            run = a_run("supply", start, end, **({wish: (rng.choice(names),)} if wish != "none" else {}))
            where = (seed, start, end, run.via, run.avoid)
            expected_mm = brute_force_mm(profile, run)
            try:
                (route,) = find_routes_or_explain(a_job(run), profile, practice, LOOM_MM).routes
            except NoRouteError:
                assert expected_mm is None, where
                none += 1
                continue
            ways += 1
            effort_mm = route.effort_mm / times
            if run.via and (expected_mm is None or effort_mm < expected_mm * (1.0 - 1e-9)):
                assert _turns_back(profile, route, run), where
                continue
            assert expected_mm is not None, where
            near = 1e-9 if not any(p.kind is PassageKind.OVER_MEMBER for p in route.passages) else NEAR
            assert expected_mm * (1.0 - 1e-9) <= effort_mm <= expected_mm * (1.0 + near), where
    assert ways > 60


def _turns_back(profile: Profile, route, run) -> bool:
    """Return whether a route passes a door twice, or only touches the top that it must go by."""
    tops = {door.key for door in doors_of(profile) if door.channel}
    return _goes_back(route) or run.via[0] in tops
