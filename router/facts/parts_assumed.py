"""What of a vehicle nobody measured yet, and how far off that may put each corner of a route. In mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import TypeAlias

from router.facts.clearance import tolerance_of
from router.model.plan import Passage, PassageKind, Route, RoutePoint
from router.model.vehicle import (
    Cover,
    KeepOut,
    Member,
    Opening,
    OverPass,
    Panel,
    Point,
    Profile,
    Space,
    Step,
    Support,
    Terminal,
    ThroughPass,
)

AT_MM = 0.01
"""A corner that is nearer than this to a place, a border or a height is there."""

Record: TypeAlias = (
    Space | Step | Panel | KeepOut | Member | OverPass | ThroughPass | Support | Cover | Opening | Terminal
)


class PartKind(StrEnum):
    """What a part of a vehicle is called."""

    SPACE = "space"
    STEP = "step"
    PANEL = "panel"
    KEEP_OUT = "keep-out"
    MEMBER = "member"
    PASS = "pass"
    SUPPORT = "support"
    COVER = "cover"
    OPENING = "opening"
    TERMINAL = "terminal"
    PLACE = "place"


@dataclass(frozen=True, slots=True)
class AssumedPart:
    """A part of a vehicle that nobody measured yet."""

    part: PartKind
    name: str
    """A step and a pass are named after their space or member, and numbered: "underfloor, step 1"."""
    assumed_mm: float
    record: Record
    of: Space | Member | None = None
    """The space of a step, the member of a pass."""


def assumed_parts(profile: Profile) -> tuple[AssumedPart, ...]:
    """Return every part of a vehicle that is assumed, in the order of its file."""
    return tuple(
        AssumedPart(part, name, record.assumed_mm, record, of)
        for part, name, record, of in _parts(profile)
        if record.assumed_mm is not None
    )


def measured_words(profile: Profile) -> str:
    """Return how many of a vehicle's values nobody measured, and when and how well the others were."""
    words = f"{profile.measured_on}, to {profile.tolerance_mm:g} mm"
    count = len(assumed_parts(profile))
    return f"{count} only assumed; {words}" if count else words


def _parts(profile: Profile) -> Iterator[tuple[PartKind, str, Record, Space | Member | None]]:
    """Yield all parts; a line that nothing is fixed to once, though it keeps looms away as a body too."""
    for space in profile.spaces:
        yield PartKind.SPACE, space.name, space, None
        for number, step in enumerate(space.steps, start=1):
            yield PartKind.STEP, f"{space.name}, step {number}", step, space
    for panel in profile.panels:
        yield PartKind.PANEL, panel.name, panel, None
    lines = {support.name for support in profile.supports}
    for keep_out in profile.keep_outs:
        if line_of(keep_out) not in lines:
            yield PartKind.KEEP_OUT, keep_out.name, keep_out, None
    for member in profile.members:
        yield PartKind.MEMBER, member.name, member, None
        for number, each in enumerate(member.passes, start=1):
            yield PartKind.PASS, f"{member.name}, pass {number}", each, member
    for support in profile.supports:
        yield PartKind.SUPPORT, support.name, support, None
    for cover in profile.covers:
        yield PartKind.COVER, cover.name, cover, None
    for opening in profile.openings:
        yield PartKind.OPENING, opening.name, opening, None
    for terminal in profile.terminals:
        yield PartKind.PLACE if terminal.is_place else PartKind.TERMINAL, terminal.name, terminal, None


def line_of(keep_out: KeepOut) -> str:
    """Return the name that a support has where a keep-out is that line, or one straight piece of it."""
    return keep_out.name.partition(", piece ")[0]


# How far off the corners of a route may be


def corner_tolerances(route: Route, profile: Profile) -> Mapping[RoutePoint, tuple[float, float]]:
    """Return by corner how far off what it lies at may be, in plan and in height.

    A corner lies at the terminal where its run ends, at an opening, a pass or a support that it takes, on the
    border of a step or at that of its space. One round a keep-out lies where it was planned to: that keep-out
    has its own tolerance in its clearance.

    Parameters
    ----------
    route : Route
    profile : Profile
        Its measuring tolerance, and what is assumed in it.
    """
    if not assumed_parts(profile):
        return dict.fromkeys(route.points, (profile.tolerance_mm, profile.tolerance_mm))
    found = {}
    ends = route.points[0], route.points[-1]
    for before, here in zip((None, *route.points), route.points, strict=False):
        at_end = [each for each in profile.terminals if here in ends and _is_at(each, here)]
        taken = [*at_end, *_passed(route, profile, here), *_followed(profile, before, here)]
        in_plan = [*taken, *_bordering(profile.space(here.space), here)]
        in_height = [*(each for each in taken if _has_height(each, here)), *_lying(profile, here)]
        found[here] = _widest(in_plan, profile), _widest(in_height, profile)
    return found


def _widest(parts: list[Record], profile: Profile) -> float:
    return max((tolerance_of(part, profile) for part in parts), default=profile.tolerance_mm)


def _is_at(terminal: Terminal, here: RoutePoint) -> bool:
    return terminal.space == here.space and math.dist(terminal.at, (here.x_mm, here.y_mm)) < AT_MM


def _passed(route: Route, profile: Profile, here: RoutePoint) -> Iterator[Record]:
    """Yield the openings, members and passes that a route takes at a corner."""
    for passage in route.passages:
        low_mm, high_mm = passage.from_station_mm - AT_MM, passage.to_station_mm + AT_MM
        if low_mm <= here.station_mm <= high_mm:
            yield from _passed_parts(passage, profile)


def _passed_parts(passage: Passage, profile: Profile) -> Iterator[Record]:
    """Yield the opening that a passage goes through, or the member with the pass that it takes."""
    if passage.kind is PassageKind.OPENING:
        yield profile.opening(passage.name)
    elif passage.kind in (PassageKind.OVER_MEMBER, PassageKind.THROUGH_MEMBER):
        yield profile.member(passage.name)
        if passage.taken is not None:
            yield passage.taken


def _followed(profile: Profile, before: RoutePoint | None, here: RoutePoint) -> Iterator[Support]:
    names = (before.along if before else None, here.along)
    for name in dict.fromkeys(name for name in names if name):
        yield profile.support(name)


def _bordering(space: Space, here: RoutePoint) -> Iterator[Space | Step]:
    """Yield the space, and those of its steps, on whose border a corner lies."""
    at = here.x_mm, here.y_mm
    if _is_on_border(space.outline, at):
        yield space
    for step in space.steps:
        if _is_on_border(step.area, at):
            yield step


def _has_height(part: Record, here: RoutePoint) -> bool:
    """Return whether a part that a route takes at a corner makes its height there."""
    if isinstance(part, Terminal | Opening):
        return abs(part.height_mm - here.z_mm) < AT_MM
    if isinstance(part, Support):
        return abs(part.height_at((here.x_mm, here.y_mm)) - here.z_mm) < AT_MM
    return True  # a member and its pass lift it by what was measured of them


def _lying(profile: Profile, here: RoutePoint) -> Iterator[Space | Step | Panel]:
    """Yield what gives a corner its height where nothing that it takes has one of its own.

    A support without a height lies at that of its space, an opening without one at that of its panel.
    """
    space = profile.space(here.space)
    lying: tuple[Space | Step, ...] = (space, *space.steps)
    yield from (each for each in lying if abs(each.height_mm - here.z_mm) < AT_MM)
    for panel in profile.panels:
        if panel.height_mm is not None and abs(panel.height_mm - here.z_mm) < AT_MM:
            yield panel


def _is_on_border(corners: tuple[Point, ...], at: Point) -> bool:
    return any(_away_mm(at, a, b) < AT_MM for a, b in pairwise((*corners, *corners[:1])))


def _away_mm(at: Point, start: Point, end: Point) -> float:
    """Return how far a place is from a straight line between two others."""
    along = end[0] - start[0], end[1] - start[1]
    square = along[0] ** 2 + along[1] ** 2
    share = ((at[0] - start[0]) * along[0] + (at[1] - start[1]) * along[1]) / square if square else 0.0
    share = min(1.0, max(0.0, share))
    return math.dist(at, (start[0] + share * along[0], start[1] + share * along[1]))
