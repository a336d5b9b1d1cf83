"""Runs that must stay apart: one run's loom becomes keep-outs for the other.

Near a terminal that both runs have, nothing is kept out: there the looms must come together.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import shapely

from router.model.job import Job, Run
from router.model.plan import Route
from router.model.practice import Practice
from router.model.vehicle import Hazard, KeepOut, Profile, Shape, ShapeKind

QUARTER_STEPS = 16


def loom_name(run_name: str) -> str:
    """Return what a run's loom is called where it is a keep-out."""
    return f"loom of {run_name}"


def common_terminals(run: Run, other: Run) -> tuple[str, ...]:
    """Return the names of the terminals that two runs both begin or end at."""
    return tuple(name for name in (run.start, run.end) if name in (other.start, other.end))


def looms_kept_out(
    job: Job, run: Run, laid: dict[str, tuple[Route, float]], profile: Profile, practice: Practice
) -> Iterator[KeepOut]:
    """Yield what the looms of runs that stay apart from a run keep out.

    Parameters
    ----------
    laid : dict of str to (Route, float)
        By run: the routes that are laid, and the diameters of their looms. [mm]
    """
    for name, (route, diameter_mm) in laid.items():
        distance_mm = job.apart_mm(run.name, name)
        if distance_mm is not None:
            near = _near_terminals(run, job.run(name), profile, practice)
            yield from _loom(name, route, diameter_mm, distance_mm - profile.tolerance_mm, near)


def _near_terminals(
    run: Run, other: Run, profile: Profile, practice: Practice
) -> dict[str, shapely.Geometry]:
    """Return by space where two runs may be close: discs inside the distance of their common terminals."""
    within_mm = practice.value("apart", "near a terminal")
    discs: dict[str, shapely.Geometry] = {}
    for terminal in (profile.terminal(name) for name in common_terminals(run, other)):
        disc = shapely.buffer(shapely.Point(terminal.at), within_mm, quad_segs=QUARTER_STEPS)
        discs[terminal.space] = shapely.union(disc, discs.get(terminal.space, shapely.Polygon()))
    return discs


def _loom(
    name: str, route: Route, diameter_mm: float, clearance_mm: float, near: dict[str, shapely.Geometry]
) -> Iterator[KeepOut]:
    for number, (here, there) in enumerate(pairwise(route.points)):
        if here.space != there.space:
            continue
        low_mm, high_mm = sorted((here.z_mm, there.z_mm))
        line = shapely.LineString([(here.x_mm, here.y_mm), (there.x_mm, there.y_mm)])
        core = shapely.Point(here.x_mm, here.y_mm) if line.length == 0.0 else line
        for part in shapely.get_parts(shapely.difference(core, near.get(here.space, shapely.Polygon()))):
            points = tuple((float(x), float(y)) for x, y in shapely.get_coordinates(part))
            if not points:
                continue
            kind = ShapeKind.LINE if len(points) > 1 else ShapeKind.DISC
            yield KeepOut(
                name=f"{loom_name(name)}, piece {number + 1}",
                space=here.space,
                hazard=Hazard.SOLID,
                shape=Shape(kind, points, diameter_mm / 2.0),
                heights_mm=(low_mm - diameter_mm / 2.0, high_mm + diameter_mm / 2.0),
                is_shielded=False,
                clearance_mm=clearance_mm,
            )
