"""At which height a loom lies where: the parts of a space between whose borders it steps up or down. mm."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import shapely

from router.model.vehicle import Point, Space
from router.tolerances import ON_LINE_MM

MEET_WITHIN_MM = 1e-3
"""Borders of two steps nearer than this are one: files give points in whole mm or finer by a little."""
STRETCH_MM = 1.0
"""How far a border goes on outside the outline, so that no rounding opens a gap there."""
KEPT_SPACES = 256


@dataclass(frozen=True, slots=True)
class Level:
    """A part of a space in plan, and the height at which a loom lies there that follows no support."""

    area: Any
    height_mm: float


@dataclass(frozen=True, slots=True)
class Border:
    """A line between two levels, and their heights, the lower one first."""

    line: Any
    heights_mm: tuple[float, float]


@lru_cache(maxsize=KEPT_SPACES)
def levels_of(space: Space) -> tuple[Level, ...]:
    """Return the levels of a space: what is outside of its steps, then the steps in the file's order."""
    outline = shapely.Polygon(space.outline)
    steps = [Level(shapely.Polygon(step.area), step.height_mm) for step in space.steps]
    if not steps:
        return (Level(outline, space.height_mm),)
    rest = shapely.difference(outline, shapely.union_all([step.area for step in steps]))
    levels = (Level(rest, space.height_mm), *steps)
    for level in levels:
        shapely.prepare(level.area)
    return levels


@lru_cache(maxsize=KEPT_SPACES)
def borders_of(space: Space) -> tuple[Border, ...]:
    """Return the borders between levels of different heights, straight on a little beyond the outline."""
    first, *steps = levels_of(space)
    within = shapely.buffer(shapely.Polygon(space.outline), STRETCH_MM, join_style="mitre")
    rims = [shapely.intersection(step.area.exterior, within) for step in steps]
    near = [shapely.buffer(step.area, MEET_WITHIN_MM, join_style="mitre") for step in steps]
    found = []
    for number, (step, rim) in enumerate(zip(steps, rims, strict=True)):
        others = [each for other, each in enumerate(near) if other != number]
        found.append((shapely.difference(rim, shapely.union_all(others)), first, step))
    for (one, step), (other, after) in itertools.combinations(enumerate(steps), 2):
        found.append((shapely.intersection(rims[one], near[other]), step, after))
    return tuple(
        Border(line, (min(a.height_mm, b.height_mm), max(a.height_mm, b.height_mm)))
        for lines, a, b in found
        if a.height_mm != b.height_mm
        for line in shapely.get_parts(shapely.line_merge(lines))
        if line.geom_type == "LineString" and line.length > 2.0 * MEET_WITHIN_MM
    )


def level_at(space: Space, at: Point) -> float:
    """Return at which height a loom lies at a place that follows no support; on a border that of a step."""
    if not space.steps:
        return space.height_mm
    spot = shapely.Point(at)
    steps = levels_of(space)[1:]
    return next((s.height_mm for s in steps if shapely.dwithin(s.area, spot, ON_LINE_MM)), space.height_mm)


def level_pieces(space: Space, start: Point, end: Point) -> Iterator[tuple[Point, Point, float]]:
    """Yield a straight piece in plan as the pieces that lie at one height each, in its order.

    Parameters
    ----------
    space : Space
    start, end : (x, y)
        The piece's ends. [mm]
    """
    length_mm = math.dist(start, end)
    if not space.steps or length_mm <= ON_LINE_MM:
        yield start, end, level_at(space, start)
        return
    line = shapely.LineString([start, end])
    places = [shapely.intersection(border.line, line) for border in borders_of(space)]
    found = shapely.line_locate_point(line, shapely.points(shapely.get_coordinates(places))).tolist()
    cuts = [0.0, *(mm for mm in sorted(found) if ON_LINE_MM < mm < length_mm - ON_LINE_MM), length_mm]
    pieces: list[tuple[float, float, float]] = []
    for low_mm, high_mm in itertools.pairwise(cuts):
        middle = line.interpolate((low_mm + high_mm) / 2.0)
        height_mm = level_at(space, (middle.x, middle.y))
        if pieces and (pieces[-1][2] == height_mm or high_mm - low_mm <= ON_LINE_MM):
            pieces[-1] = (pieces[-1][0], high_mm, pieces[-1][2])
        else:
            pieces.append((low_mm, high_mm, height_mm))
    ux, uy = (end[0] - start[0]) / length_mm, (end[1] - start[1]) / length_mm
    for low_mm, high_mm, height_mm in pieces:
        a = start if low_mm == 0.0 else (start[0] + low_mm * ux, start[1] + low_mm * uy)
        b = end if high_mm == length_mm else (start[0] + high_mm * ux, start[1] + high_mm * uy)
        yield a, b, height_mm
