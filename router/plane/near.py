"""How far many places are from one core, all at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely


def core_of(points: Sequence[tuple[float, float]], *, is_area: bool) -> Any:
    """Return one place, a line or (where `is_area`) the polygon inside `points`, as a shapely geometry."""
    if is_area:
        return shapely.Polygon(points)
    return shapely.Point(points[0]) if len(points) == 1 else shapely.LineString(points)


def distances_to(core: Any, x: Any, y: Any) -> Any:
    """Return the distance from each place (x, y) to `core`, 0 inside an area.

    Parameters
    ----------
    core : shapely.Geometry
        A point, line or area.
    x, y : arrays
        The places. [mm]
    """
    return np.asarray(shapely.distance(core, shapely.points(x, y)))
