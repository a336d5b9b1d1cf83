"""Bends that hug something, drawn as arcs outside it.

An arc lies inside its corner. Where the corner itself hugs what the loom must stay away from, the arc would
come too near; the loom then has to go round in a wider sweep. Its way is the string that is pulled from the
corner before to the corner behind round a circle of the least radius, and the circle lies as close to the
old corner as it may. Points stand at most 10 degrees apart, outside the arc, so that the way is nowhere
bent sharper. Where no such sweep is free, the corner stays.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TypeAlias

import shapely

from router.model.plan import RoutePoint
from router.routing.easing import XY, Bend, Room, bends_of, stationed, tight_legs

STEP_RAD = math.radians(10.0)
FINE_RAD = math.radians(2.0)
OFF_MM = 1.0
"""An arc that lies nearer than this to its corner is as good as the corner."""
OUTWARD_MM = (0.0, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0)
RADIUS_FACTOR = 1.001

Points: TypeAlias = list[RoutePoint]


def round_bends(
    routes: Sequence[tuple[RoutePoint, ...]], room: Room, least_radius_mm: float
) -> tuple[tuple[RoutePoint, ...], ...]:
    """Return the points of a job's routes with arcs where a bend of the least radius does not fit its corner.

    Parameters
    ----------
    routes : sequence of tuple of RoutePoint
        Every run's points; runs that lie together in a whole bend change together, others not at all.
    room : Room
        Where a loom may lie.
    least_radius_mm : float
        Of the loom's centre line. [mm]
    """
    drawn = [list(points) for points in routes]
    for number in range(len(drawn)):
        done: set[XY] = set()
        while True:
            bends = bends_of(drawn[number], least_radius_mm)
            bend = next((b for b in bends if _at(drawn[number][b.first]) not in done), None)
            if bend is None:
                break
            done.add(_at(drawn[number][bend.first]))
            if not _fits_inside(drawn[number], bend, room, least_radius_mm):
                drawn = _swept(drawn, number, bend, room, least_radius_mm, done) or drawn
    return tuple(tuple(stationed(points)) for points in drawn)


def _at(point: RoutePoint) -> XY:
    return point.x_mm, point.y_mm


def _fits_inside(points: Points, bend: Bend, room: Room, radius_mm: float) -> bool:
    """Return whether an arc inside the corner is free, or lies as good as on the corner."""
    turn_rad = bend.turn_rad
    if radius_mm * (1.0 / math.cos(turn_rad / 2.0) - 1.0) < OFF_MM:
        return True
    (ux, uy), (x, y) = bend.before, bend.corner
    reach_mm = radius_mm * math.tan(abs(turn_rad) / 2.0)
    side = math.copysign(1.0, turn_rad)
    start = (x - ux * reach_mm, y - uy * reach_mm)
    centre = (start[0] - uy * side * radius_mm, start[1] + ux * side * radius_mm)
    count = math.ceil(abs(turn_rad) / FINE_RAD)
    first_rad = math.atan2(start[1] - centre[1], start[0] - centre[0])
    angles = [first_rad + turn_rad * k / count for k in range(count + 1)]
    arc = [(centre[0] + radius_mm * math.cos(a), centre[1] + radius_mm * math.sin(a)) for a in angles]
    point = points[bend.first]
    free = room.free(point.space, point.z_mm, point.z_mm, is_over=True)
    return bool(shapely.covers(free, shapely.LineString(arc)))


def _swept(
    routes: list[Points], number: int, bend: Bend, room: Room, radius_mm: float, done: set[XY]
) -> list[Points] | None:
    """Return all routes with one bend drawn in a sweep outside its corner; None where none is free."""
    points = routes[number]
    if bend.first - 1 <= 0 and bend.last + 1 >= len(points):
        return None
    old = [_at(point) for point in points[bend.first - 1 : bend.last + 2]]
    before = len(tight_legs(points, radius_mm))
    model = points[bend.first]
    free = room.free(model.space, model.z_mm, model.z_mm, is_over=True)
    for outward_mm in OUTWARD_MM:
        arc = sweep(old[0], old[1:-1], old[-1], radius_mm * RADIUS_FACTOR, outward_mm)
        if arc is None or not shapely.covers(free, shapely.LineString([old[0], *arc, old[-1]])):
            continue
        changed = [_replaced(own, old, arc) for own in routes]
        if any(own is None for own in changed):
            return None
        swept = [own for own in changed if own is not None]
        if len(tight_legs(swept[number], radius_mm)) <= before:
            done.update(arc)
            return swept
    return None


def sweep(start: XY, corners: list[XY], goal: XY, radius_mm: float, outward_mm: float) -> list[XY] | None:
    """Return the points of the string from start to goal round a circle that holds the outermost corner.

    Points stand outside the arc, where its tangents meet. The outermost corner lies `outward_mm` inside the
    circle. None where an end lies in the circle, or the string does not touch it.

    Parameters
    ----------
    start, goal : (x, y)
        The ends of the string. [mm]
    corners : sequence of (x, y)
        Of the bend, from the first to the last. [mm]
    radius_mm : float
        Of the circle.
    outward_mm : float
        How far inside the circle the outermost corner lies.

    Examples
    --------
    >>> points = sweep((0.0, 0.0), [(100.0, 50.0)], (200.0, 0.0), 40.0, 0.0)
    >>> round(max(y for _, y in points), 1) >= 50.0
    True
    """
    dx, dy = goal[0] - start[0], goal[1] - start[1]
    apart_mm = math.hypot(dx, dy)
    if apart_mm < OFF_MM:
        return None
    nx, ny = -dy / apart_mm, dx / apart_mm
    heights = [(x - start[0]) * nx + (y - start[1]) * ny for x, y in corners]
    top = max(range(len(corners)), key=lambda n: abs(heights[n]))
    side = math.copysign(1.0, heights[top])  # +1: the corners lie on the left, and the string turns right
    inward_mm = radius_mm - outward_mm
    centre = (corners[top][0] - side * nx * inward_mm, corners[top][1] - side * ny * inward_mm)
    leaving = _tangent_rad(centre, start, radius_mm, side)
    arriving = _tangent_rad(centre, goal, radius_mm, -side)
    if leaving is None or arriving is None:
        return None
    turn_rad = (leaving - arriving) * side % (2.0 * math.pi)
    if not 1e-6 < turn_rad < math.pi:
        return None
    count = math.ceil(turn_rad / STEP_RAD)
    half_rad = turn_rad / count / 2.0
    out_mm = radius_mm / math.cos(half_rad)
    angles = [leaving - side * (2 * k + 1) * half_rad for k in range(count)]
    return [(centre[0] + out_mm * math.cos(a), centre[1] + out_mm * math.sin(a)) for a in angles]


def _tangent_rad(centre: XY, end: XY, radius_mm: float, side: float) -> float | None:
    """Return at which angle of a circle the tangent from a place touches it, on the given side."""
    apart_mm = math.dist(centre, end)
    if apart_mm <= radius_mm:
        return None
    angle = math.atan2(end[1] - centre[1], end[0] - centre[0])
    return angle - side * math.acos(radius_mm / apart_mm)


def _replaced(points: Points, old: list[XY], arc: list[XY]) -> Points | None:
    """Return a route with a whole bend drawn anew; None where it shares only a part of it."""
    places = [_at(point) for point in points]
    for pattern, new in ((old, arc), (old[::-1], arc[::-1])):
        for first in range(len(places) - len(pattern) + 1):
            if places[first : first + len(pattern)] == pattern:
                model = points[first + 1]
                middle = [replace(model, x_mm=x, y_mm=y, along=None) for x, y in new]
                return [*points[: first + 1], *middle, *points[first + len(pattern) - 1 :]]
    pieces = {frozenset(pair) for pair in itertools.pairwise(old)}
    shares = any(frozenset(pair) in pieces for pair in itertools.pairwise(places))
    return None if shares else points
