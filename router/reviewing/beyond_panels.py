"""Which parts of a run a panel parts from a body: they need no clearance, from hot ones a lesser one.

A panel parts a loom from a body where every straight line from the one to the other crosses it. Level: the
loom lies on the side of its height that its space is on, the body wholly on the other; where the panel has an
area, the body's footprint and the loom lie in it. Upright: the body's footprint lies wholly on the other side
of its line than the middle of the loom's space, and in the strip between the lines square to its ends; the
loom in that strip on its own side.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import pairwise

from shapely import Polygon, union_all
from shapely.geometry.base import BaseGeometry

from router.model.practice import Practice, Rule
from router.model.vehicle import Hazard, KeepOut, Panel, Point, Profile, Space
from router.reviewing.in_space import core_of
from router.reviewing.review_tolerances import CLEARANCE_TOLERANCE_MM
from router.reviewing.route_segments import Segment

STRIP_DEEP_MM = 1e5
"""How far to its side an upright panel parts: further than any vehicle goes."""
KEPT_AREAS = 1024


def split_by_panels(
    segments: Iterable[Segment], keep_out: KeepOut, profile: Profile
) -> tuple[list[Segment], list[Segment]]:
    """Return the parts of a run in the open to a body, and those that a panel parts from it."""
    in_the_open: list[Segment] = []
    beyond: list[Segment] = []
    for segment in (part for whole in segments for part in _cut_at_floors(whole, profile)):
        areas = _parted_areas(profile, segment, keep_out)
        if areas is None:
            beyond.append(segment)
        elif not areas:
            in_the_open.append(segment)
        else:
            _split(segment, areas, in_the_open, beyond)
    return in_the_open, beyond


def required_beyond(
    required_mm: float, rule: Rule | None, keep_out: KeepOut, profile: Profile, practice: Practice
) -> tuple[float, Rule | None]:
    """Return how far a loom must stay from a body beyond a panel [mm], and the rule that says so.

    Parameters
    ----------
    required_mm : float
        What it would have to be in the open.
    rule : Rule or None
        By which rule.
    keep_out : KeepOut
    profile : Profile
        Its measuring tolerance; the keep-out's own, where that is assumed to be more.
    practice : Practice
        Group "clearance".
    """
    if keep_out.hazard is not Hazard.HOT:
        return 0.0, None
    lesser = practice.rule("clearance", "hot beyond a panel")
    lesser_mm = lesser.value + max(profile.tolerance_mm, keep_out.assumed_mm or 0.0)
    return (lesser_mm, lesser) if lesser_mm < required_mm else (required_mm, rule)


def _cut_at_floors(segment: Segment, profile: Profile) -> Iterator[Segment]:
    """Yield the parts of a segment between the heights of those floors of its space that it goes through."""
    low_mm, high_mm = segment.low_mm + CLEARANCE_TOLERANCE_MM, segment.high_mm - CLEARANCE_TOLERANCE_MM
    floors_mm = [panel.height_mm for panel in profile.panels if segment.space in panel.between]
    shares = {0.0, 1.0}
    shares |= {segment.share_at_height(mm) for mm in floors_mm if mm is not None and low_mm < mm < high_mm}
    for first, last in pairwise(sorted(shares)):
        yield segment.part(first, last)


def _parted_areas(
    profile: Profile, segment: Segment, keep_out: KeepOut
) -> tuple[tuple[Point, ...], ...] | None:
    """Return where in plan panels part a piece of a loom from a body; None where they do so anywhere."""
    space = segment.space
    areas: list[tuple[Point, ...]] = []
    for panel in profile.panels:
        if space not in panel.between or not _is_on_own_side(segment, panel, profile):
            continue
        if panel.along is not None:
            strip = _own_strip(panel.along, profile.space(space))
            beyond = (*panel.along, *(_mirrored(place, panel.along) for place in strip[2:]))
            if _is_in(keep_out, beyond):
                areas.append(strip)
        elif _is_beyond_level(panel, profile.space(space), keep_out):
            if panel.area is None:
                return None
            areas.append(panel.area)
    return tuple(areas)


def _is_on_own_side(segment: Segment, panel: Panel, profile: Profile) -> bool:
    """Return whether a piece lies on its space's side of a floor; of a bulkhead its strip tells."""
    if panel.height_mm is None:
        return True
    if profile.space(segment.space).height_mm < panel.height_mm:
        return segment.high_mm <= panel.height_mm + CLEARANCE_TOLERANCE_MM
    return segment.low_mm >= panel.height_mm - CLEARANCE_TOLERANCE_MM


def _is_beyond_level(panel: Panel, space: Space, keep_out: KeepOut) -> bool:
    assert panel.height_mm is not None  # level or upright
    if keep_out.heights_mm is None:
        is_beyond = keep_out.space != space.name and keep_out.space in panel.between
    elif space.height_mm < panel.height_mm:
        is_beyond = keep_out.heights_mm[0] >= panel.height_mm - CLEARANCE_TOLERANCE_MM
    else:
        is_beyond = keep_out.heights_mm[1] <= panel.height_mm + CLEARANCE_TOLERANCE_MM
    return is_beyond and (panel.area is None or _is_in(keep_out, panel.area))


def _own_strip(along: tuple[Point, Point], space: Space) -> tuple[Point, Point, Point, Point]:
    """Return the strip of an upright panel on the side where the middle of a space lies."""
    start, end = along
    ahead = ((end[0] - start[0]) / math.dist(*along), (end[1] - start[1]) / math.dist(*along))
    middle = Polygon(space.outline).centroid
    side = ahead[0] * (middle.y - start[1]) - ahead[1] * (middle.x - start[0])
    deep_mm = math.copysign(STRIP_DEEP_MM, side)
    aside = (-ahead[1] * deep_mm, ahead[0] * deep_mm)
    return start, end, (end[0] + aside[0], end[1] + aside[1]), (start[0] + aside[0], start[1] + aside[1])


def _mirrored(place: Point, along: tuple[Point, Point]) -> Point:
    """Return a far corner of a strip on the other side: as far behind the nearer end of the panel."""
    end = min(along, key=lambda each: math.dist(each, place))
    return 2 * end[0] - place[0], 2 * end[1] - place[1]


def _is_in(keep_out: KeepOut, area: tuple[Point, ...]) -> bool:
    """Return whether the whole footprint of a body lies in an area, its border included."""
    core, reach_mm = core_of(keep_out.shape), keep_out.shape.reach_mm
    border_mm = _area(area).exterior.distance(core)
    return bool(_grown(area).covers(core)) and border_mm >= reach_mm - CLEARANCE_TOLERANCE_MM


def _split(
    segment: Segment, areas: tuple[tuple[Point, ...], ...], in_the_open: list[Segment], beyond: list[Segment]
) -> None:
    """Add the parts of a segment outside some areas to one list, those inside to another."""
    ground, grown = _grounds(areas)
    if grown.covers(segment.in_plan):  # along a border it lies inside, whatever rounding says
        beyond.append(segment)
        return
    at = 0.0
    for first, last in sorted(_shares_inside(segment, ground)):
        if last > first:
            beyond.append(segment.part(first, last))
        _add_unless_beside(segment, (at, first), grown, in_the_open)
        at = last
    _add_unless_beside(segment, (at, 1.0), grown, in_the_open)


def _add_unless_beside(
    segment: Segment, shares: tuple[float, float], grown: BaseGeometry, in_the_open: list[Segment]
) -> None:
    if shares[1] > shares[0]:
        part = segment.part(*shares)
        if not grown.covers(part.in_plan):
            in_the_open.append(part)


def _shares_inside(segment: Segment, ground: BaseGeometry) -> Iterator[tuple[float, float]]:
    line = segment.in_plan
    if not segment.is_vertical:
        inside = line.intersection(ground)
        for part in getattr(inside, "geoms", (inside,)):
            if part.length > 0.0:
                shares = sorted(line.project(end, normalized=True) for end in part.boundary.geoms)
                yield shares[0], shares[-1]


@lru_cache(maxsize=KEPT_AREAS)
def _grounds(areas: tuple[tuple[Point, ...], ...]) -> tuple[BaseGeometry, BaseGeometry]:
    """Return areas as one, and as one with its border."""
    return union_all([*map(_area, areas)]), union_all([*map(_grown, areas)])


@lru_cache(maxsize=KEPT_AREAS)
def _area(corners: tuple[Point, ...]) -> Polygon:
    return Polygon(corners)


@lru_cache(maxsize=KEPT_AREAS)
def _grown(corners: tuple[Point, ...]) -> BaseGeometry:
    """Return an area with its border, in spite of rounding."""
    return _area(corners).buffer(CLEARANCE_TOLERANCE_MM, join_style="mitre")
