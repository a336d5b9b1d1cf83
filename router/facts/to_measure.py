"""Which parts that nobody measured yet a plan hangs on, and how near its runs come to the others. In mm."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any, TypeAlias

from router.facts.clearance import tolerance_of
from router.facts.footprints import core_of, floor_of
from router.facts.parts_assumed import AT_MM, AssumedPart, PartKind, Record, assumed_parts, line_of
from router.model.fixing import BehindHole
from router.model.plan import ClearanceCheck, PassageKind, Plan, RoutePoint, RunPlan
from router.model.vehicle import (
    Cover,
    KeepOut,
    Member,
    Opening,
    OverPass,
    Panel,
    Profile,
    Shape,
    ShapeKind,
    Space,
    Step,
    Support,
    Terminal,
    ThroughPass,
)

SLOPED_MM = 5.0
"""Pieces of a run that rise by more at a slope are measured in parts that rise by no more."""
KEPT_ROUTES = 64
"""Routes kept in pieces: every part of a vehicle is asked about each."""

_Body: TypeAlias = tuple[Any, float, tuple[float, float]]
"""A core in plan, how far the body reaches round it, and from which height to which it goes."""
_ANY_HEIGHT = (-math.inf, math.inf)


@dataclass(frozen=True, slots=True)
class ToMeasure:
    """A part that nobody measured yet, and the run that comes nearest to it."""

    part: str
    """What it is: "space", "step", "panel", "keep-out", "member", "pass", "support", "cover", "opening",
    "terminal", or the "place" of a job."""
    name: str
    assumed_mm: float
    """How far off it may be."""
    near_mm: float
    """From the outside of the run's loom, in space; 0 where the run lies at it."""
    run: str


def still_to_measure(plan: Plan) -> tuple[ToMeasure, ...]:
    """Return what a plan hangs on and nobody measured yet, nearest to a run first.

    A plan hangs on what a run ends at, follows, goes through, over or under, lies at the height of, or is
    drilled for; on a keep-out that a run or a hole comes so near to that it would be too near if it were off
    by that much again; and on a panel that may be where a run lies.
    """
    parts = {(each.part.value, each.name): each for each in assumed_parts(plan.profile)}
    return tuple(
        each
        for each in assumed_by_nearness(plan.profile, plan.runs)
        if any(_hangs_on(run, parts[each.part, each.name], plan.profile) for run in plan.runs)
    )


def runs_hanging_on(plan: Plan, to_measure: ToMeasure) -> tuple[RunPlan, ...]:
    """Return the runs of a plan that hang on a part which nobody measured yet."""
    told = to_measure.part, to_measure.name
    part = next(each for each in assumed_parts(plan.profile) if (each.part.value, each.name) == told)
    return tuple(run for run in plan.runs if _hangs_on(run, part, plan.profile))


def assumed_by_nearness(profile: Profile, runs: Sequence[RunPlan]) -> tuple[ToMeasure, ...]:
    """Return every part of a vehicle that nobody measured yet, nearest to a run first.

    Of parts as near, the one that is further off comes first.

    Parameters
    ----------
    profile : Profile
        The vehicle: that of the plan, or as it was changed since.
    runs : sequence of RunPlan
        Of a plan; without any there is no distance to tell, and nothing is returned.
    """
    found = []
    for part in assumed_parts(profile) if runs else ():
        apart = [(_near_mm(run, part, profile), number) for number, run in enumerate(runs)]
        near_mm, number = min(apart)
        found.append(ToMeasure(part.part.value, part.name, part.assumed_mm, near_mm, runs[number].name))
    return tuple(sorted(found, key=lambda each: (round(each.near_mm, 3), -each.assumed_mm)))


# What a run hangs on


def _hangs_on(run: RunPlan, part: AssumedPart, profile: Profile) -> bool:
    record = part.record
    if isinstance(record, KeepOut):
        return _comes_near(run, (record.name,), record, profile)
    if _uses(run, part):
        return True
    if isinstance(record, Support):  # one that nothing may be fixed to keeps looms away
        names = [each.name for each in profile.keep_outs if line_of(each) == record.name]
        return _comes_near(run, names, record, profile)
    return isinstance(record, Panel) and _near_mm(run, part, profile) <= part.assumed_mm


def _comes_near(run: RunPlan, names: Collection[str], part: KeepOut | Support, profile: Profile) -> bool:
    """Return whether a run or a hole would be too near to a body that is off by as much again."""
    behind = (each for hole in run.own_holes for each in hole.behind)
    near: tuple[ClearanceCheck | BehindHole, ...] = (*run.clearances, *behind)
    again_mm = tolerance_of(part, profile)
    return any(each.actual_mm - each.required_mm < again_mm for each in near if each.keep_out in names)


def _uses(run: RunPlan, part: AssumedPart) -> bool:
    """Return whether a run ends at a part, follows it, goes through, over or under it, or is fixed to it."""
    record, passages = part.record, run.route.passages
    if isinstance(record, Terminal):
        return record.name in (run.start, run.end)
    if isinstance(record, Support):
        return record.name in supports_used(run)
    if isinstance(record, Panel):
        return record.name in {fixing.panel for fixing in run.fixings}
    if isinstance(record, Opening | Cover | Member):
        kinds = _PASSED[part.part]
        return any(each.name == record.name and each.kind in kinds for each in passages)
    if isinstance(record, OverPass | ThroughPass):
        return any(each.taken == record for each in passages)
    return isinstance(record, Space | Step) and _lies_at_height(run, record, part)


_PASSED = {
    PartKind.OPENING: (PassageKind.OPENING,),
    PartKind.COVER: (PassageKind.COVER,),
    PartKind.MEMBER: (PassageKind.OVER_MEMBER, PassageKind.THROUGH_MEMBER),
}


def supports_used(run: RunPlan) -> frozenset[str]:
    """Return the supports that a run follows or is fixed to."""
    followed = {point.along for point in run.route.points if point.along}
    return frozenset(followed | {fixing.support for fixing in run.fixings if fixing.support})


def _lies_at_height(run: RunPlan, record: Space | Step, part: AssumedPart) -> bool:
    """Return whether some piece of a run lies in a space or a step at the height that was given for it."""
    from shapely import Point as ShapelyPoint  # noqa: PLC0415  # as below

    space = part.of if isinstance(record, Step) else record
    area = core_of(Shape(ShapeKind.AREA, _area(record), 0.0))
    for a, b in pairwise(run.route.points):
        is_there = a.space == b.space == getattr(space, "name", None) and a.station_mm < b.station_mm
        if is_there and max(abs(z - record.height_mm) for z in (a.z_mm, b.z_mm)) < AT_MM:
            middle = ShapelyPoint((a.x_mm + b.x_mm) / 2.0, (a.y_mm + b.y_mm) / 2.0)
            if isinstance(record, Space) or area.distance(middle) == 0.0:
                return True
    return False


def _area(record: Space | Step | Cover) -> tuple[tuple[float, float], ...]:
    return record.outline if isinstance(record, Space) else record.area


# How near a run comes


def _near_mm(run: RunPlan, part: AssumedPart, profile: Profile) -> float:
    """Return how far the outside of a run's loom is from a part, in space; 0 where it uses that."""
    if _uses(run, part):
        return 0.0
    if checked_mm := [each.actual_mm for each in run.clearances if each.keep_out == part.name]:
        return min(checked_mm)  # as the review measured it, where no panel parts them
    bodies = list(_bodies(part.record, part, profile))
    return max(0.0, min(_apart_mm(run, body) for body in bodies) - run.loom_diameter_mm / 2.0)


def _apart_mm(run: RunPlan, body: _Body) -> float:
    """Return how far the middle of a run's loom is from a body."""
    from shapely import distance  # noqa: PLC0415  # who asks for words only never needs shapely

    core, reach_mm, (low_mm, high_mm) = body
    lines, heights_mm = _pieces_of(run.route.points)
    best_mm = math.inf
    for away_mm, (lower_mm, upper_mm) in zip(distance(core, lines).tolist(), heights_mm, strict=True):
        gap_mm = max(0.0, low_mm - upper_mm, lower_mm - high_mm)
        best_mm = min(best_mm, math.hypot(max(0.0, away_mm - reach_mm), gap_mm))
    return best_mm


@lru_cache(maxsize=KEPT_ROUTES)
def _pieces_of(points: tuple[RoutePoint, ...]) -> tuple[Any, list[tuple[float, float]]]:
    """Return the pieces of a route in plan, and between which heights each of them lies."""
    from shapely import linestrings  # noqa: PLC0415  # as above

    places = [(each.x_mm, each.y_mm, each.z_mm) for each in points]
    pieces = [part for a, b in pairwise(places) for part in _level_parts(a, b)]
    return linestrings([(a[:2], b[:2]) for a, b in pieces]), [
        (min(a[2], b[2]), max(a[2], b[2])) for a, b in pieces
    ]


_Place: TypeAlias = tuple[float, float, float]


def _level_parts(a: _Place, b: _Place) -> Iterator[tuple[_Place, _Place]]:
    """Yield a piece whole where it is level or upright, else in parts that hardly rise."""
    is_sloped = a[2] != b[2] and a[:2] != b[:2]
    count = math.ceil(abs(b[2] - a[2]) / SLOPED_MM) if is_sloped else 1
    at = [
        (a[0] + (b[0] - a[0]) * n / count, a[1] + (b[1] - a[1]) * n / count, a[2] + (b[2] - a[2]) * n / count)
        for n in range(count + 1)
    ]
    yield from pairwise(at)


def _bodies(record: Record, part: AssumedPart, profile: Profile) -> Iterator[_Body]:
    """Yield what a part takes of the vehicle; a part without heights lies where looms of its space do."""
    if isinstance(record, KeepOut):
        yield core_of(record.shape), record.shape.reach_mm, record.heights_mm or _ANY_HEIGHT
    elif isinstance(record, Space | Step | Cover):
        height_mm = profile.space(record.space).height_mm if isinstance(record, Cover) else record.height_mm
        yield core_of(Shape(ShapeKind.AREA, _area(record), 0.0)), 0.0, (height_mm, height_mm)
    elif isinstance(record, Panel):
        if record.height_mm is not None:
            yield floor_of(record, profile), 0.0, (record.height_mm, record.height_mm)
        elif record.along is not None:
            yield core_of(Shape(ShapeKind.LINE, record.along, 0.0)), 0.0, _ANY_HEIGHT
    elif isinstance(record, Support):
        for ends, heights_mm in zip(pairwise(record.along), pairwise(record.point_heights_mm), strict=True):
            yield core_of(Shape(ShapeKind.LINE, ends, 0.0)), 0.0, (min(heights_mm), max(heights_mm))
    elif isinstance(record, Opening | Terminal):
        height_mm = record.height_mm
        yield core_of(Shape(ShapeKind.DISC, (record.at,), 0.0)), 0.0, (height_mm, height_mm)
    else:
        yield _of_member(record, part, profile)


def _of_member(record: Member | OverPass | ThroughPass, part: AssumedPart, profile: Profile) -> _Body:
    member = record if isinstance(record, Member) else part.of
    assert isinstance(member, Member)  # a pass is of one
    height_mm = profile.space(member.space).height_mm
    if isinstance(record, Member):
        core = core_of(Shape(ShapeKind.LINE, record.along, 0.0))
    elif isinstance(record, OverPass):
        core = core_of(Shape(ShapeKind.LINE, (record.start, record.end), 0.0))
    else:
        core = core_of(Shape(ShapeKind.DISC, (record.at,), 0.0))
    reach_mm = member.width_mm / 2.0
    return core, reach_mm, (height_mm, height_mm + (record.rise_mm if isinstance(record, OverPass) else 0.0))
