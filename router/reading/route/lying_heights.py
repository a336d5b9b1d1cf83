"""At which heights a stretch lies that was drawn without any: its support's, else those of its space. mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from router.model.vehicle import Point, Space, Support
from router.tolerances import ONLY_TOUCHES_MM

Piece = tuple[Point, float, Point, float]
"""A straight piece: its start and how high that lies, its end and how high that lies."""


def lying_pieces(start: Point, end: Point, space: Space, support: Support | None) -> Iterator[Piece]:
    """Yield the straight pieces in space of one drawn straight in plan, in its order.

    Parameters
    ----------
    start, end : (x, y)
        The drawn piece's ends. [mm]
    space : Space
        Where it lies.
    support : Support or None
        What it follows: its heights hold, and the places where it begins to slope otherwise part the piece.
        Where it follows none, the borders of the space's steps part it.
    """
    bends = _places_on(support.along, start, end) if support else _borders_crossed(space, start, end)
    for first, last in pairwise([0.0, *bends, 1.0]):
        here, there = _at(start, end, first), _at(start, end, last)
        if support:
            yield here, support.height_at(here), there, support.height_at(there)
        else:
            height_mm = space.height_at(_at(start, end, (first + last) / 2))  # its ends may lie on a border
            yield here, height_mm, there, height_mm


def _at(start: Point, end: Point, share: float) -> Point:
    if share in (0.0, 1.0):
        return end if share else start
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def _places_on(along: tuple[Point, ...], start: Point, end: Point) -> list[float]:
    """Return the shares of a piece at which it passes points of a line that it follows."""
    ux, uy = end[0] - start[0], end[1] - start[1]
    length_mm = math.hypot(ux, uy)
    shares = []
    for x, y in along:
        ahead_mm = ((x - start[0]) * ux + (y - start[1]) * uy) / length_mm
        aside_mm = abs((x - start[0]) * uy - (y - start[1]) * ux) / length_mm
        if aside_mm <= ONLY_TOUCHES_MM < ahead_mm < length_mm - ONLY_TOUCHES_MM:
            shares.append(ahead_mm / length_mm)
    return sorted(shares)


def _borders_crossed(space: Space, start: Point, end: Point) -> list[float]:
    """Return the shares of a piece at which it goes from one height of a space to another."""
    ux, uy = end[0] - start[0], end[1] - start[1]
    least = ONLY_TOUCHES_MM / math.hypot(ux, uy)
    met = set()
    for step in space.steps:
        for (ax, ay), (bx, by) in pairwise((*step.area, step.area[0])):
            vx, vy = bx - ax, by - ay
            turn = ux * vy - uy * vx
            if turn:
                share = ((ax - start[0]) * vy - (ay - start[1]) * vx) / turn
                on_edge = ((ax - start[0]) * uy - (ay - start[1]) * ux) / turn
                if least < share < 1.0 - least and 0.0 <= on_edge <= 1.0:
                    met.add(share)
    kept: list[float] = []
    for share in sorted(met):
        if share - (kept[-1] if kept else 0.0) > least:
            kept.append(share)
    cuts = [0.0, *kept, 1.0]
    heights = [space.height_at(_at(start, end, (low + high) / 2)) for low, high in pairwise(cuts)]
    return [share for share, (low, high) in zip(kept, pairwise(heights), strict=True) if low != high]
