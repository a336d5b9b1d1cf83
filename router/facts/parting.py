"""What a panel parts: where in plan a loom of a space needs no clearance from a body. Lengths in mm.

A panel parts a loom from a body where every straight line from the one to the other crosses it:

level      the loom's space is one of its two, the loom lies on that space's side of its height, the body
           wholly on the other; where the panel has an area, the body's footprint lies inside it, the loom too
upright    the body's footprint lies wholly on the other side of its line, and inside the strip between the
           lines through its ends square to it; the loom inside that strip on its own side

A body without heights lies wholly beyond a level panel where its space is the panel's other one. Planner,
reasons, drawing and lessons read it here; the review works it out for itself.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from router.facts.clearance import Clearance
from router.facts.footprints import core_of
from router.model.vehicle import KeepOut, Panel, Point, Profile, Shape, Space
from router.tolerances import LENGTH_ROUNDING_MM

DEEP_MM = 100_000.0
"""How far an upright panel's strip goes: beyond any vehicle."""
SEEN_WITHIN_MM = 100.0
"""A body whose clearance nobody gave is drawn in a space whose looms lie no further above or below it."""


@dataclass(frozen=True, slots=True)
class Parted:
    """Where looms of a space are parted from a body: everywhere, or inside some areas of the plan."""

    is_everywhere: bool
    areas: tuple[tuple[Point, ...], ...]


ACTS = Parted(False, ())
"""Of a body that nothing parts."""


def bodies_in(
    profile: Profile, space: str, heights_mm: tuple[float, float] | None = None
) -> tuple[tuple[KeepOut, Parted], ...]:
    """Return every body of a vehicle with where a loom in a space is parted from it, in the file's order.

    Parameters
    ----------
    profile : Profile
    space : str
        A name.
    heights_mm : (float, float), optional
        Between which heights the loom lies: a level panel parts only what is wholly on its space's own side.
        Without them, the loom lies where looms of that space do.
    """
    return _bodies(profile.space(space), parting_panels(profile, space, heights_mm), profile.keep_outs)


def parting_panels(
    profile: Profile, space: str, heights_mm: tuple[float, float] | None = None
) -> tuple[Panel, ...]:
    """Return the panels that may part looms of a space from something: `bodies_in` depends on no more.

    Parameters
    ----------
    profile, space, heights_mm
        As for `bodies_in`.
    """
    own = tuple(panel for panel in profile.panels if space in panel.between)
    if heights_mm is None or not own:
        return own
    where = profile.space(space)
    return tuple(panel for panel in own if _is_on_own_side(panel, where, *heights_mm))


def _is_on_own_side(panel: Panel, space: Space, low_mm: float, high_mm: float) -> bool:
    if panel.height_mm is None:
        return True  # an upright panel says so by the plan
    if space.height_mm < panel.height_mm:
        return high_mm <= panel.height_mm + LENGTH_ROUNDING_MM
    return low_mm >= panel.height_mm - LENGTH_ROUNDING_MM


@lru_cache(maxsize=256)
def _bodies(
    space: Space, own: tuple[Panel, ...], keep_outs: tuple[KeepOut, ...]
) -> tuple[tuple[KeepOut, Parted], ...]:
    return tuple((keep_out, _parted(space, own, keep_out)) for keep_out in keep_outs)


def acting_in(profile: Profile, space: str) -> Iterator[KeepOut]:
    """Yield the bodies that act on looms of a space, all or a part of them."""
    return (keep_out for keep_out, parted in bodies_in(profile, space) if not parted.is_everywhere)


def spaces_of(
    profile: Profile, keep_out: KeepOut, clearances: Mapping[str, Clearance] | None = None
) -> tuple[str, ...]:
    """Return the spaces on whose sheets a body is drawn: those where a loom may come near it, at least one.

    Parameters
    ----------
    profile : Profile
    keep_out : KeepOut
        One of the vehicle's.
    clearances : mapping of str to Clearance, optional
        By keep-out; without them a body matters within `SEEN_WITHIN_MM`.
    """
    if keep_out.space is not None:
        return (keep_out.space,)
    within_mm = clearances[keep_out.name].required_mm if clearances else SEEN_WITHIN_MM
    low_x, low_y, high_x, high_y = _box(keep_out.shape)
    near: list[tuple[float, str]] = []
    for space in profile.spaces:
        xs, ys = zip(*(space.outline or ((0.0, 0.0),)), strict=True)
        off_mm = max(low_x - max(xs), min(xs) - high_x, low_y - max(ys), min(ys) - high_y, 0.0)
        own = tuple(panel for panel in profile.panels if space.name in panel.between)
        is_parted = _bodies(space, own, (keep_out,))[0][1].is_everywhere
        near.append((off_mm + _gap_mm(profile, space, keep_out) + is_parted * DEEP_MM, space.name))
    return tuple(name for mm, name in near if mm < within_mm) or (min(near)[1],)


def _gap_mm(profile: Profile, space: Space, keep_out: KeepOut) -> float:
    """Return how far above or below a body looms of a space lie, at least."""
    assert keep_out.heights_mm is not None  # it has no space, so it has heights
    low_mm, high_mm = keep_out.heights_mm
    levels = [space.height_mm, *(step.height_mm for step in space.steps)]
    levels += [mm for each in profile.supports if each.space == space.name for mm in each.point_heights_mm]
    return min(max(low_mm - level, level - high_mm, 0.0) for level in levels)


def _parted(space: Space, panels: tuple[Panel, ...], keep_out: KeepOut) -> Parted:
    areas: list[tuple[Point, ...]] = []
    for panel in panels:
        if panel.along is not None:
            areas += _beyond_upright(panel.along, space, keep_out)
        elif _is_beyond_level(panel, space, keep_out):
            if panel.area is None:
                return Parted(True, ())
            areas.append(panel.area)
    return Parted(False, tuple(areas)) if areas else ACTS


def _is_beyond_level(panel: Panel, space: Space, keep_out: KeepOut) -> bool:
    assert panel.height_mm is not None  # level or upright
    if panel.area is not None and not _is_within(keep_out.shape, panel.area):
        return False
    if keep_out.heights_mm is None:
        return keep_out.space != space.name and keep_out.space in panel.between
    low_mm, high_mm = keep_out.heights_mm
    return low_mm >= panel.height_mm if space.height_mm < panel.height_mm else high_mm <= panel.height_mm


def _beyond_upright(along: tuple[Point, Point], space: Space, keep_out: KeepOut) -> list[tuple[Point, ...]]:
    """Return the part of a panel's strip on a space's own side, if a body lies inside it on the other."""
    (ax, ay), (bx, by) = along
    length_mm = math.dist(*along)
    ux, uy = (bx - ax) / length_mm, (by - ay) / length_mm
    side = own_side(along, space)
    reach_mm = keep_out.shape.reach_mm
    for x, y in keep_out.shape.points:
        beyond_mm = -side * ((y - ay) * ux - (x - ax) * uy)
        along_mm = (x - ax) * ux + (y - ay) * uy
        if beyond_mm < reach_mm or not reach_mm <= along_mm <= length_mm - reach_mm:
            return []
    nx, ny = -uy * side * DEEP_MM, ux * side * DEEP_MM
    return [((ax, ay), (bx, by), (bx + nx, by + ny), (ax + nx, ay + ny))]


def own_side(along: tuple[Point, Point], space: Space) -> float:
    """Return on which side of an upright panel a space lies by its middle: 1 to the left of it, -1 right."""
    (ax, ay), (bx, by) = along
    x, y = _centroid(space.outline)
    return math.copysign(1.0, (y - ay) * (bx - ax) - (x - ax) * (by - ay))


def _centroid(area: tuple[Point, ...]) -> Point:
    """Return the middle of an area, by its corners in order.

    >>> _centroid(((0.0, 0.0), (2.0, 0.0), (2.0, 4.0), (0.0, 4.0)))
    (1.0, 2.0)
    """
    (x0, y0), double, sum_x, sum_y = area[0], 0.0, 0.0, 0.0
    for (ax, ay), (bx, by) in zip(area, (*area[1:], area[0]), strict=True):
        cross = (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
        double += cross
        sum_x += cross * (ax + bx - 2.0 * x0)
        sum_y += cross * (ay + by - 2.0 * y0)
    return x0 + sum_x / (3.0 * double), y0 + sum_y / (3.0 * double)


def _box(shape: Shape) -> tuple[float, float, float, float]:
    xs, ys = zip(*shape.points, strict=True)
    by_mm = shape.reach_mm
    return min(xs) - by_mm, min(ys) - by_mm, max(xs) + by_mm, max(ys) + by_mm


def _is_within(shape: Shape, area: tuple[Point, ...]) -> bool:
    """Return whether a whole footprint lies inside an area."""
    from shapely import Polygon  # noqa: PLC0415  # only where a panel has an area

    whole, core = Polygon(area), core_of(shape)
    return bool(whole.covers(core) and whole.exterior.distance(core) >= shape.reach_mm)
