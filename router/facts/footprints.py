"""Where bodies and floors are in plan, as shapely geometries; the review measures its own. Lengths in mm."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from router.model.vehicle import Panel, Profile, Shape, ShapeKind

KEPT = 4096
"""Cores kept for the next question: a vehicle is asked about many times, its shapes stay."""


@lru_cache(maxsize=KEPT)
def core_of(shape: Shape) -> Any:
    """Return the core of a place, a point, a line or a polygon: it reaches `shape.reach_mm` round that."""
    from router.plane import core_of as core  # noqa: PLC0415  # who asks for words only never needs shapely

    return core(shape.points, is_area=shape.kind is ShapeKind.AREA)


def floor_of(panel: Panel, profile: Profile) -> Any:
    """Return where a level panel is: its area, or where its two spaces overlap."""
    from shapely import Polygon  # noqa: PLC0415  # as above

    if panel.area is not None:
        return Polygon(panel.area)
    one, other = (Polygon(profile.space(name).outline) for name in panel.between)
    return one.intersection(other)
