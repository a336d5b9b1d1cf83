"""Jobs of a few runs from one post on flat floors with boxes: plain seeded random."""

from __future__ import annotations

from random import Random

import shapely
from small_vehicle import CEILING, a_floor, a_keep_out, box, star_job

from router.model.job import Job
from router.model.vehicle import KeepOut, Profile


def a_box(name: str, x: float, y: float, width: float, height: float) -> KeepOut:
    """Return a box on the floor that only its own sides are clear of."""
    return a_keep_out(name, box(x, y, x + width, y + height), space="floor", clearance_mm=0.0)


def a_random_job(seed: int) -> tuple[Profile, Job]:
    """Return a small job of two or three runs from one post among boxes, below what may be drilled."""
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
    taken = shapely.union_all([shapely.Polygon(each.shape.points).buffer(5) for each in boxes])
    ends: dict[str, tuple[float, float]] = {}
    while len(ends) <= count:
        at = (rng.uniform(20, 980), rng.uniform(20, 680))
        if not taken.intersects(shapely.Point(at)):
            ends[f"end {len(ends)}" if ends else "post"] = at
    floor = a_floor(ends=ends, keep_outs=tuple(boxes), panels=(CEILING,))
    return floor, star_job([n for n in ends if n != "post"])
