"""Seeded worlds like an underbody: 5.0 m x 1.9 m, keep-outs already grown by their clearance."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from typing import Any

import shapely

from router.search.world import Join, Layer, Rail, World, Zone

WIDE_MM, DEEP_MM = 5000.0, 1900.0
SHARE_TAKEN = 0.30
"""Keep-outs' own area as a share of the sheet, whatever their number."""
ARC_STEPS = 4
"""Chords a quarter circle, which gives about 15 vertices a keep-out."""


@dataclass(frozen=True, slots=True)
class Case:
    """One world: its free space, and pairs of ends in it."""

    keep_outs: int
    free: Any
    """shapely Polygon."""
    pairs: tuple[tuple[tuple[float, float], tuple[float, float]], ...]

    @property
    def vertices(self) -> int:
        """Return the number of vertices of the free space."""
        return sum(len(ring.coords) - 1 for ring in (self.free.exterior, *self.free.interiors))


def make_case(keep_outs: int, pairs: int = 60, seed: int = 1) -> Case:
    """Return the world of a number of keep-outs: discs, pipes and boxes, some of them overlapping."""
    chance = random.Random(f"{seed} {keep_outs}")
    across_mm = math.sqrt(SHARE_TAKEN * WIDE_MM * DEEP_MM / keep_outs)
    taken = shapely.union_all([_keep_out(chance, across_mm) for _ in range(keep_outs)])
    free = shapely.difference(shapely.box(0.0, 0.0, WIDE_MM, DEEP_MM), taken)
    free = max(shapely.get_parts(free), key=lambda part: part.area)
    shapely.prepare(free)
    ends = tuple((_free_point(chance, free), _free_point(chance, free)) for _ in range(pairs))
    return Case(keep_outs, free, ends)


def _keep_out(chance: random.Random, across_mm: float) -> Any:
    x, y = chance.uniform(0.0, WIDE_MM), chance.uniform(0.0, DEEP_MM)
    size_mm = across_mm * chance.uniform(0.4, 1.4)
    turn = chance.uniform(0.0, math.pi)
    kind = chance.choice(("disc", "pipe", "box"))
    if kind == "disc":
        return shapely.buffer(shapely.Point(x, y), size_mm / 2.0, quad_segs=ARC_STEPS)
    dx, dy = math.cos(turn) * size_mm, math.sin(turn) * size_mm
    pipe = shapely.LineString([(x - dx, y - dy), (x + dx, y + dy)])
    if kind == "pipe":
        return shapely.buffer(pipe, size_mm / 6.0, quad_segs=ARC_STEPS)
    half = shapely.LineString([(x - dx / 3, y - dy / 3), (x + dx / 3, y + dy / 3)])
    body = shapely.buffer(half, size_mm / 4.0, cap_style="flat")
    return shapely.buffer(body, size_mm / 10.0, quad_segs=ARC_STEPS)


def _free_point(chance: random.Random, free: Any) -> tuple[float, float]:
    while True:
        x, y = chance.uniform(0.0, WIDE_MM), chance.uniform(0.0, DEEP_MM)
        if shapely.contains_xy(free, x, y):
            return x, y


def plain_world(case: Case) -> World:
    """Return the world with one factor everywhere."""
    return World((Layer("plain", case.free, (), (), (), 1.0),), ())


def varied_world(case: Case) -> World:
    """Return the world with sheltered, exposed and warm zones and two supports to ride on."""
    warm = shapely.buffer(shapely.LineString([(900, 1200), (2300, 1000), (4700, 900)]), 150, quad_segs=2)
    zones = (
        Zone("left cover", shapely.box(500.0, 150.0, 1900.0, 700.0), -0.2, 100.0),
        Zone("right cover", shapely.box(2700.0, 1100.0, 4300.0, 1700.0), -0.2, 100.0),
        Zone("spray", shapely.box(2300.0, -10.0, 3100.0, 650.0), 0.5, 0.0),
        Zone("warm", warm, 0.4, 0.0),
    )
    lines = (
        shapely.LineString([(200.0, 1500.0), (2500.0, 1450.0), (4800.0, 1750.0)]),
        shapely.LineString([(300.0, 330.0), (4700.0, 280.0)]),
    )
    rails = tuple(_rail(case, number, line) for number, line in enumerate(lines))
    return World((Layer("varied", case.free, zones, (), rails, 1.0),), ())


def _rail(case: Case, number: int, line: Any) -> Rail:
    ride = shapely.intersection(line, case.free)
    parts = [part for part in shapely.get_parts(ride) if part.geom_type == "LineString"]
    where = shapely.multilinestrings(parts)
    return Rail(f"rail {number}", line, where, (Join(where, 40.0),), 0.7, (1.0,) * (len(line.coords) - 1))
