"""What is still to be measured: heights that nobody wrote, values that somebody assumed; nearest first."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import shapely

NEEDED = "needed"
_WHY_NEEDED = (
    "without it no way can be told from a wrong one; make the vehicle anew with it, or measure what hangs on "
    "it and take its name out of `needed`"
)
_WITHOUT_HEIGHTS = {
    "keep-out": (
        "heights",
        "has no heights",
        'it takes the whole height of "{space}" until then, so that nothing passes above or below it',
    ),
    "support": ("height", "has no height", 'the height of "{space}" stands for its own until then'),
}
"""By part: the key that is wanted, what to say where it is not there, and what stands until it is."""


def tasks_of(
    shapes: Sequence[Mapping[str, Any]], ways: Sequence[Any], needed: Any = ()
) -> list[dict[str, Any]]:
    """Return what is still to be measured, in the order in which it matters.

    Parameters
    ----------
    shapes : sequence of mappings
        As `router.page.shapes_drawn` makes them.
    ways : sequence of sequences of points
        The planned routes, x and y first in each point; none where nothing is planned. [mm]
    needed : sequence of str, or anything that somebody wrote in its place
        The lengths that are needed and that nobody measured: they come first.
    """
    routes = [shapely.LineString([each[:2] for each in way]) for way in ways if len(way) >= 2]
    ground = shapely.union_all(routes) if routes else None
    tasks = [
        {"file": shape["file"], "path": path, "what": what, "why": why, "near_mm": _near_mm(shape, ground)}
        for shape in shapes
        for path, what, why in _wanted(shape)
    ]
    tasks.sort(key=lambda task: math.inf if task["near_mm"] is None else task["near_mm"])
    return [*_needed(needed), *tasks]


def _needed(names: Any) -> Iterator[dict[str, Any]]:
    """Yield what to do for each needed length; nothing of what is no list of names."""
    for number, name in enumerate(names if isinstance(names, list | tuple) else ()):
        if isinstance(name, str):
            what = f'length "{name}" is needed, and nobody measured it'
            yield {
                "file": "profile",
                "path": [NEEDED, number],
                "what": what,
                "why": _WHY_NEEDED,
                "near_mm": None,
            }


def _wanted(shape: Mapping[str, Any]) -> Iterator[tuple[list[str | int], str, str]]:
    called = f'{shape["part"]} "{shape["name"]}"' if shape["name"] else shape["part"]
    if shape["part"] in _WITHOUT_HEIGHTS and shape["heights_mm"] is None and shape["height_mm"] is None:
        key, what, why = _WITHOUT_HEIGHTS[shape["part"]]
        space = shape["space"] or "its space"
        yield [*shape["path"], key], f"{called} {what}", why.format(space=space).replace('"its space"', space)
    if shape["assumed_mm"] is not None:
        why = "nobody measured it yet; the plan keeps so much further off until then"
        yield (
            [*shape["path"], "assumed"],
            f"{called} is assumed, and may be off by {shape['assumed_mm']:g} mm",
            why,
        )


def _near_mm(shape: Mapping[str, Any], ground: Any) -> float | None:
    points = shape["points"]
    if ground is None or not points:
        return None
    if shape["form"] == "area" and len(points) >= 3:
        drawn: Any = shapely.make_valid(shapely.Polygon(points))
    elif len(points) >= 2:
        drawn = shapely.LineString(points)
    else:
        drawn = shapely.Point(points[0])
    beside_mm = shape["radius_mm"] or (shape["width_mm"] or 0.0) / 2
    return max(0.0, round(float(shapely.distance(drawn, ground)) - beside_mm, 1))
