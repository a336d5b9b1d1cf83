"""Random small vehicles and jobs, plain seeded random: two spaces with everything that may lie there. mm."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from random import Random

from random_worlds import random_star
from shapely import LineString
from shapely import Point as SpatialPoint
from small_vehicle import a_job, a_profile, a_run

from router.model.job import Job
from router.model.vehicle import (
    Cover,
    Drill,
    Edge,
    ExposedArea,
    Fix,
    Hazard,
    KeepOut,
    Member,
    Opening,
    OverPass,
    Panel,
    Point,
    Profile,
    Shape,
    ShapeKind,
    Space,
    SpaceKind,
    Support,
    SupportKind,
    Terminal,
    TerminalKind,
    ThroughPass,
)

FRONT, REAR = "engine bay", "underfloor"
FRONT_X, REAR_X = (0.0, 1000.0), (900.0, 3500.0)
WIDTH_MM = 1400.0
HEIGHTS_MM = {FRONT: 700.0, REAR: 400.0}
KINDS = (TerminalKind.BATTERY_POST, TerminalKind.STUD, TerminalKind.LAMP, TerminalKind.UNIT)
"""Of the terminals, in their order."""
LOOMS_MM = (8.0, 10.0, 13.0, 18.0, 25.0)


def random_vehicle(rng: Random, *, kinds_said: float = 1.0) -> Profile:
    """Return a vehicle of two spaces with up to ten keep-outs and a few of everything else.

    `kinds_said` is the chance that the kinds of its spaces and terminals are said.
    """
    profile = _vehicle(rng)
    if kinds_said >= 1.0 or rng.random() < kinds_said:
        return profile
    return replace(
        profile,
        spaces=tuple(replace(each, kind=None) for each in profile.spaces),
        terminals=tuple(replace(each, kind=None) for each in profile.terminals),
    )


def _vehicle(rng: Random) -> Profile:
    return a_profile(
        tolerance_mm=rng.choice([0.0, 5.0, 10.0]),
        spaces=(
            Space(FRONT, HEIGHTS_MM[FRONT], _box(*FRONT_X), SpaceKind.ENGINE_BAY),
            Space(REAR, HEIGHTS_MM[REAR], _box(*REAR_X), SpaceKind.UNDERFLOOR),
        ),
        keep_outs=_some(rng, 10, _keep_out),
        members=_some(rng, 2, _member),
        supports=_some(rng, 3, _support),
        covers=_some(rng, 1, _cover),
        exposed=_some(rng, 1, _exposed_area),
        openings=(_opening(rng, "opening 0"), *_some(rng, 1, _opening)),
        terminals=tuple(_terminal(rng, f"terminal {number}", kind) for number, kind in enumerate(KINDS)),
    )


def with_panels(profile: Profile, rng: Random) -> Profile:
    """Return a vehicle with floors over both its spaces, mostly drilled, and a strap beside each opening.

    So looms are held nearly everywhere: below a floor, and where they go up or down through an opening.
    """
    above = Space("cabin", 1500.0, _box(FRONT_X[0], REAR_X[1]), SpaceKind.CABIN)
    panels = [
        Panel(
            f"{space} floor", (space, above.name), HEIGHTS_MM[space] + 12.0, None, _box(*ends), Drill.ALLOWED
        )
        for space, ends in ((FRONT, FRONT_X), (REAR, REAR_X))
    ]
    if rng.random() < 0.5:
        x = rng.uniform(1500.0, 3000.0)
        there = ((x, -700.0), (x + 400.0, -700.0), (x + 400.0, 700.0), (x, 700.0))
        panels.append(Panel("battery lid", (REAR, above.name), 440.0, None, there, Drill.NEVER))
    straps = [
        Support(
            f"{space} strap at {opening.name}", space, SupportKind.BRACKET_LINE,
            tuple((opening.at[0] + along, opening.at[1] + 8.0) for along in (-8.0, 8.0)),
            HEIGHTS_MM[FRONT], Fix.CLIP, (HEIGHTS_MM[REAR], HEIGHTS_MM[FRONT]),
        )
        for opening in profile.openings
        for space in opening.joins
    ]  # fmt: skip
    return replace(
        profile,
        spaces=(*profile.spaces, above),
        panels=tuple(panels),
        supports=(*profile.supports, *straps),
    )


def random_job(rng: Random, profile: Profile) -> Job:
    """Return a job of one run between two terminals, now and then with a wish."""
    ends = rng.sample(profile.terminals, 2)
    names = [thing.name for thing in (*profile.supports, *profile.members) if _is_away(thing, ends)]
    wishes: dict[str, tuple[str, ...]] = {}
    if names and rng.random() < 0.2:
        wishes[rng.choice(["via", "avoid"])] = (rng.choice(names),)
    job = a_job(a_run("supply", ends[0].name, ends[1].name, **wishes))
    return replace(job, source=replace(job.source, at=ends[0].name))


def _is_away(thing: Support | Member, ends: list[Terminal]) -> bool:
    """Return whether no end lies at a thing: nobody can avoid what he begins at."""
    return all(LineString(thing.along).distance(SpatialPoint(end.at)) > 100.0 for end in ends)


def _some(rng: Random, most: int, make: Callable[[Random, str], object]) -> tuple[object, ...]:
    kind = make.__name__.strip("_<>")
    return tuple(make(rng, f"{kind} {number + 1}") for number in range(rng.randint(0, most)))


def _box(low_x: float, high_x: float) -> tuple[Point, ...]:
    half = WIDTH_MM / 2.0
    return ((low_x, -half), (high_x, -half), (high_x, half), (low_x, half))


def _space_and_place(rng: Random) -> tuple[str, Point]:
    space = rng.choice([FRONT, REAR, REAR, REAR])
    low_x, high_x = FRONT_X if space == FRONT else REAR_X
    half = WIDTH_MM / 2.0
    return space, (rng.uniform(low_x, high_x), rng.uniform(-half, half))


def _cover(rng: Random, name: str) -> Cover:
    return Cover(name, REAR, _rectangle(rng), 4)


def _exposed_area(rng: Random, name: str) -> ExposedArea:
    return ExposedArea(name, REAR, _rectangle(rng))


def _keep_out(rng: Random, name: str) -> KeepOut:
    space, (x, y) = _space_and_place(rng)
    kind = rng.choice(list(ShapeKind))
    if kind is ShapeKind.AREA:
        star = random_star(rng, x, y, rng.uniform(40.0, 250.0))
        shape = Shape(kind, tuple(star.exterior.coords[:-1]), 0.0)
    elif kind is ShapeKind.DISC:
        shape = Shape(kind, ((x, y),), rng.uniform(10.0, 120.0))
    else:
        points = ((x, y), (x + rng.uniform(-600.0, 600.0), y + rng.uniform(-300.0, 300.0)))
        shape = Shape(kind, points, rng.choice([5.0, 30.0]))
    low_mm = HEIGHTS_MM[space] + rng.uniform(-150.0, 100.0)
    heights = None if rng.random() < 0.5 else (low_mm, low_mm + rng.uniform(10.0, 150.0))
    own_mm = rng.uniform(0.0, 60.0) if rng.random() < 0.3 else None
    return KeepOut(name, space, rng.choice(list(Hazard)), shape, heights, rng.random() < 0.5, own_mm)


def _member(rng: Random, name: str) -> Member:
    half = WIDTH_MM / 2.0
    x = rng.uniform(REAR_X[0] + 300.0, REAR_X[1] - 200.0)
    lean = rng.choice([0.0, rng.uniform(-200.0, 200.0)])
    start, end = (x, -half), (x + lean, half)

    def place(share: float) -> Point:
        return (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))

    passes: list[OverPass | ThroughPass] = []
    at = rng.uniform(0.02, 0.3)
    for _ in range(rng.randint(1, 3)):
        if rng.random() < 0.6:
            end_at = at + rng.uniform(0.08, 0.18)
            passes.append(OverPass(place(at), place(end_at), rng.choice([0.0, 30.0, 60.0])))
            at = end_at + rng.choice([0.0, rng.uniform(0.03, 0.1)])
        else:
            at += rng.uniform(0.03, 0.1)
            passes.append(ThroughPass(place(at), rng.uniform(10.0, 50.0), rng.choice(list(Edge))))
            at += rng.uniform(0.03, 0.1)
    return Member(name, REAR, (start, end), rng.uniform(30.0, 120.0), tuple(passes))


def _support(rng: Random, name: str) -> Support:
    _, (x, y) = _space_and_place(rng)
    x = min(max(x, 950.0), 2400.0)
    reach_mm, turn = rng.uniform(400.0, 1000.0), rng.uniform(-0.4, 0.4)
    points = [(x, y)]
    for _ in range(rng.randint(1, 2)):
        x += reach_mm / 2.0 * math.cos(turn)
        y = min(max(y + reach_mm / 2.0 * math.sin(turn), -690.0), 690.0)
        turn += rng.uniform(-0.5, 0.5)
        points.append((x, y))
    height_mm = HEIGHTS_MM[REAR] + rng.choice([0.0, 0.0, -80.0, 60.0])
    return Support(
        name,
        REAR,
        list(SupportKind)[int(x) % len(SupportKind)],
        tuple(points),
        height_mm,
        rng.choice(list(Fix)),
    )


def _rectangle(rng: Random) -> tuple[Point, ...]:
    x, y = rng.uniform(1000.0, 2500.0), rng.uniform(-700.0, 200.0)
    far_x, far_y = x + rng.uniform(200.0, 900.0), y + rng.uniform(200.0, 490.0)
    return ((x, y), (far_x, y), (far_x, far_y), (x, far_y))


def _opening(rng: Random, name: str) -> Opening:
    at = (rng.uniform(910.0, 990.0), rng.uniform(-650.0, 650.0))
    height_mm = rng.uniform(HEIGHTS_MM[REAR], HEIGHTS_MM[FRONT])
    return Opening(name, (FRONT, REAR), at, height_mm, rng.uniform(20.0, 60.0), rng.choice(list(Edge)))


def _terminal(rng: Random, name: str, kind: TerminalKind) -> Terminal:
    space, at = _space_and_place(rng)
    return Terminal(name, space, at, HEIGHTS_MM[space] + rng.choice([0.0, 80.0, -80.0]), None, kind=kind)
