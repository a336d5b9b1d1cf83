"""Heights, widths and reaches in a profile file that cannot be, mostly by a slip in sign, digits or unit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from shapely import Polygon
from shapely.geometry import Point as ShapelyPoint

from router.reading.profile.profile_file import KeepOutFile, MemberFile, OpeningFile
from router.reading.yaml.wording import Path

HIGHEST_MM = 6_000.0
"""No road vehicle is higher: most countries allow 4 m, hardly a bridge lets 5 m pass (common practice)."""
FAR_REACH_MM = 1_000.0
"""No clearance reaches so far: what of a keep-out lies further outside its space is none of it."""
GROUND_WORDS = ("floor", "ground")
"""A datum that names one of these has its 0 on the ground: nothing is below."""


def height_faults(item: Any, datum: str) -> Iterator[tuple[Path, str]]:
    """Yield heights below the ground, where the datum is on it, and heights above any vehicle. [mm]"""
    is_on_ground = any(word in datum.lower() for word in GROUND_WORDS)
    for path, height_mm in _heights(item):
        if height_mm < 0.0 and is_on_ground:
            below = f"{height_mm:g} mm lies below the ground, where the datum is"
            yield path, f"{below}; write {-height_mm:g} mm if that is meant"
        elif height_mm > HIGHEST_MM:
            yield path, f"{height_mm / 1000:g} m is higher than any road vehicle; check the unit"


def _heights(item: Any) -> Iterator[tuple[Path, float]]:
    height_mm = getattr(item, "height", None)
    if height_mm is not None:
        yield ("height",), height_mm
    for index, height_mm in enumerate(getattr(item, "heights", None) or ()):
        yield ("heights", index), height_mm
    for index, step in enumerate(getattr(item, "steps", ())):
        yield ("steps", index, "height"), step.height


def width_faults(item: Any, outlines: dict[str, Polygon]) -> Iterator[tuple[Path, str]]:
    """Yield widths, discs and bores that are wider than the spaces they lie in are long."""
    for path, what, width_mm, names in _widths(item):
        for name in names:
            if name not in outlines:
                continue
            low_x, low_y, high_x, high_y = outlines[name].bounds
            long_mm = max(high_x - low_x, high_y - low_y)
            if width_mm > long_mm:
                words = f'{what} of {width_mm:.0f} mm is more than space "{name}" is long, {long_mm:.0f} mm'
                yield path, f"{words}; check the unit"
                break


def _widths(item: Any) -> Iterator[tuple[Path, str, float, list[str]]]:
    if isinstance(item, KeepOutFile | MemberFile) and item.width is not None:
        yield ("width",), "width", item.width, [item.space] if item.space else []
    if isinstance(item, KeepOutFile) and item.disc is not None:
        yield ("disc", "radius"), "a disc", 2.0 * item.disc.radius, [item.space] if item.space else []
    if isinstance(item, OpeningFile):
        yield ("bore",), "bore", item.bore, item.joins
    for index, each in enumerate(item.passes if isinstance(item, MemberFile) else ()):
        if each.bore is not None:
            yield ("passes", index, "bore"), "bore", each.bore, [item.space]


def reach_fault(
    path: Path, points_mm: list[tuple[float, float]], told: list[str], outline: Polygon, space: str
) -> Iterator[tuple[Path, str]]:
    """Yield the point of a keep-out that lies furthest outside its space, where that is too far."""
    far_mm, index = max((outline.distance(ShapelyPoint(point)), -n) for n, point in enumerate(points_mm))
    if far_mm > FAR_REACH_MM:
        words = f'point {1 - index} {told[-index]} is {far_mm:.0f} mm outside space "{space}"'
        yield (
            (*path, -index),
            f"{words}; check it, a keep-out matters to {FAR_REACH_MM:.0f} mm beside its space",
        )
