"""Flat floors with boxes, and jobs of a few runs from one post; some of them random, plain seeded."""

from random import Random

import shapely
from hand_made import a_job, a_profile, a_run

from router.model.vehicle import Hazard, KeepOut, Shape, ShapeKind, Space, SpaceKind, Terminal


def a_floor(*, ends, keep_outs=(), supports=(), outline=(1000.0, 700.0), **parts):
    """Return a flat vehicle of one space with terminals at its height."""
    x, y = outline
    space = Space("floor", 0.0, ((0.0, 0.0), (x, 0.0), (x, y), (0.0, y)), SpaceKind.UNDERFLOOR)
    terminals = tuple(Terminal(name, "floor", at, 0.0, None) for name, at in ends.items())
    return a_profile(
        tolerance_mm=0.0,
        spaces=(space,),
        terminals=terminals,
        keep_outs=keep_outs,
        supports=supports,
        **parts,
    )


def a_box(name, x, y, width, height):
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    shape = Shape(ShapeKind.AREA, corners, 0.0)
    return KeepOut(name, "floor", Hazard.SOLID, shape, None, False, 0.0)


def star_job(names):
    return a_job(*(a_run(name, "post", name) for name in names))


def a_random_job(seed):
    """Return a small job of two or three runs from one post among boxes."""
    rng = Random(seed)
    count = rng.choice([2, 2, 3])
    boxes = [
        a_box(
            f"box {n}",
            rng.uniform(100, 750),
            rng.uniform(80, 500),
            rng.uniform(60, 250),
            rng.uniform(60, 200),
        )
        for n in range(rng.randint(0, 4))
    ]
    taken = shapely.union_all([shapely.Polygon(box.shape.points).buffer(5) for box in boxes])
    ends = {}
    while len(ends) <= count:
        at = (rng.uniform(20, 980), rng.uniform(20, 680))
        if not taken.intersects(shapely.Point(at)):
            ends[f"end {len(ends)}" if ends else "post"] = at
    return a_floor(ends=ends, keep_outs=tuple(boxes)), star_job([n for n in ends if n != "post"])
