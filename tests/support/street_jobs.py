"""Jobs of a few runs in streets between blocks, and the least effort of each by trying every set of streets.

The streets are so narrow that only their order matters: a vehicle as near to a graph as can be. For each set
of streets that some run lies in, every run takes its shortest path within the set (R. W. Floyd, Comm. ACM 5
(1962) 345); a street counts once, a share of it for each further run, and its cover once. The least over all
sets is the best that there is, but for what is saved by cutting corners: no more than the width of a street
each. Shares no code with the planner.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from random import Random
from typing import Any

import numpy as np
from small_vehicle import a_floor, a_job, a_keep_out, a_run, box

from router.model.job import Job
from router.model.vehicle import Cover, Profile

WIDTH_MM = 1.1
"""Of a street between two blocks; a loom's centre line has what its diameter leaves of that."""
COVER_MM = 80.0
"""What a cover counts in these jobs, of practice "amount"."""


@dataclass(frozen=True, slots=True)
class Street:
    """A street between two crossings, numbered row by row."""

    ends: tuple[int, int]
    length_mm: float
    is_covered: bool


@dataclass(frozen=True, slots=True)
class StreetJob:
    """A job, its vehicle, and its streets; `runs` are the crossings that each run lies between."""

    profile: Profile
    job: Job
    streets: tuple[Street, ...]
    runs: tuple[tuple[int, int], ...]


def a_street_job(seed: int) -> StreetJob:
    """Return a job of two to five runs in three by three or four streets, some shut, some covered."""
    rng = Random(seed)
    columns, rows = rng.choice([3, 4]), 3
    xs = list(itertools.accumulate(rng.uniform(80.0, 300.0) for _ in range(columns)))
    ys = list(itertools.accumulate(rng.uniform(80.0, 300.0) for _ in range(rows)))
    streets, boxes, covers = [], [], []
    for row, column in itertools.product(range(rows), range(columns)):
        here = row * columns + column
        for there, is_level in ((here + 1, True), (here + columns, False)):
            if (is_level and column == columns - 1) or (not is_level and row == rows - 1):
                continue
            a, b = (xs[column], ys[row]), (xs[there % columns], ys[there // columns])
            if rng.random() < 0.12:
                boxes.append(_across(a, b, WIDTH_MM))
                continue
            is_covered = rng.random() < 0.2
            if is_covered:
                covers.append(_across(a, b, 4.0 * WIDTH_MM))
            streets.append(Street((here, there), abs(b[0] - a[0]) + abs(b[1] - a[1]), is_covered))
    boxes += _blocks(xs, ys)
    runs = _runs(rng, streets, columns * rows)
    ends = {f"at {n}": (xs[n % columns], ys[n // columns]) for n in range(columns * rows)}
    profile = a_floor(
        ends=ends,
        outline=(xs[-1] + xs[0], ys[-1] + ys[0]),
        keep_outs=tuple(
            a_keep_out(f"block {n}", box(*each), space="floor", clearance_mm=0.0)
            for n, each in enumerate(boxes)
        ),
        covers=tuple(Cover(f"cover {n}", "floor", box(*each).points, 4) for n, each in enumerate(covers)),
    )
    job = a_job(*(a_run(f"run {n}", f"at {a}", f"at {b}") for n, (a, b) in enumerate(runs)))
    return StreetJob(profile, job, tuple(streets), runs)


def _across(a: tuple[float, float], b: tuple[float, float], reach_mm: float) -> tuple[float, ...]:
    """Return a box over the middle third of a street, from side to side."""
    (ax, ay), (bx, by) = a, b
    x, y, dx, dy = (ax + bx) / 2.0, (ay + by) / 2.0, (bx - ax) / 6.0, (by - ay) / 6.0
    dx, dy = max(dx, reach_mm if dx == 0.0 else 0.0), max(dy, reach_mm if dy == 0.0 else 0.0)
    return (x - dx, y - dy, x + dx, y + dy)


def _blocks(xs: list[float], ys: list[float]) -> list[tuple[float, ...]]:
    half = WIDTH_MM / 2.0
    across = list(itertools.pairwise([-half, *xs, xs[-1] + xs[0] + half]))
    along = list(itertools.pairwise([-half, *ys, ys[-1] + ys[0] + half]))
    return [(a + half, c + half, b - half, d - half) for (a, b), (c, d) in itertools.product(across, along)]


def _runs(rng: Random, streets: list[Street], crossings: int) -> tuple[tuple[int, int], ...]:
    """Return runs between crossings that streets join: half the jobs from one post, half from anywhere."""
    joined = np.isfinite(_shortest(streets, crossings, np.ones((1, len(streets)), dtype=bool))[0])
    count, post = rng.choice([2, 3, 3, 4, 5]), rng.randrange(crossings) if rng.random() < 0.5 else None
    pairs = [
        (a, b)
        for a, b in itertools.permutations(range(crossings), 2)
        if joined[a, b] and (a == post if post is not None and joined[post].sum() > count else a < b)
    ]
    return tuple(rng.sample(pairs, count))


def _shortest(streets: list[Street] | tuple[Street, ...], crossings: int, chosen: Any) -> Any:
    """Return by set of streets the lengths of all shortest paths within it."""
    lengths = np.full((len(chosen), crossings, crossings), np.inf)
    lengths[:, range(crossings), range(crossings)] = 0.0
    for number, street in enumerate(streets):
        a, b = street.ends
        lengths[:, a, b] = lengths[:, b, a] = np.where(chosen[:, number], _cost_mm(street), np.inf)
    for by in range(crossings):
        np.minimum(lengths, lengths[:, :, by, None] + lengths[:, by, None, :], out=lengths)
    return lengths


SHELTERED = 0.8
"""Practice "factor: sheltered" of these jobs: what a metre under a cover counts."""


def _cost_mm(street: Street) -> float:
    """Return what a street counts by its length; a cover lies over its middle third."""
    return street.length_mm * (2.0 + SHELTERED) / 3.0 if street.is_covered else street.length_mm


def best_effort_mm(each: StreetJob, share: float) -> float:
    """Return the least effort of all sets of streets."""
    streets, crossings = each.streets, 1 + max(max(street.ends) for street in each.streets)
    crossings = max(crossings, 1 + max(max(run) for run in each.runs))
    numbers = np.arange(1 << len(streets))
    least_mm = np.inf
    for part in np.array_split(numbers, max(1, len(numbers) >> 12)):
        chosen = (part[:, None] >> np.arange(len(streets)) & 1).astype(bool)
        once_mm = np.array([(1.0 - share) * _cost_mm(s) + COVER_MM * s.is_covered for s in streets])
        lengths = _shortest(streets, crossings, chosen)
        runs_mm = sum(lengths[:, a, b] for a, b in each.runs)
        least_mm = min(least_mm, float((chosen @ once_mm + share * runs_mm).min()))
    return least_mm
