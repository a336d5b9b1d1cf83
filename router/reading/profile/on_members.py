"""Passes of members: measured a little beside the middle line, put on it."""

from __future__ import annotations

import math

from shapely import LineString
from shapely.geometry import Point as ShapelyPoint

from router.model.vehicle import Point
from router.tolerances import ON_LINE_MM


def on_member(point: Point, along: tuple[Point, ...], width_mm: float) -> Point:
    """Return where a point of a pass lies on its member's middle line.

    A hole is measured where it is, and a leaning member is rounded to whole mm: neither is quite on the line.
    Only where along the member the pass is decides anything, so the point goes square to the line, onto it.

    Parameters
    ----------
    point : Point
        As measured, no further from the line than half the member's width. [mm]
    along : tuple of Point
        The member's middle line. [mm]
    width_mm : float
        The member's width: so far a pass may reach beyond the line's ends. [mm]
    """
    line = LineString(
        (_beyond(along[1], along[0], width_mm), *along, _beyond(along[-2], along[-1], width_mm))
    )
    if line.distance(ShapelyPoint(point)) <= ON_LINE_MM:
        return point
    found = line.interpolate(line.project(ShapelyPoint(point)))
    return found.x, found.y


def _beyond(start: Point, end: Point, by_mm: float) -> Point:
    """Return the point that lies straight beyond an end of a line."""
    share = by_mm / math.dist(start, end)
    return end[0] + share * (end[0] - start[0]), end[1] + share * (end[1] - start[1])
