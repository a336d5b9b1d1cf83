"""How far many places are from one core or one line in space, all at once."""

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


def distances_in_space(points: Sequence[tuple[float, float, float]], places: Any) -> Any:
    """Return the distance in space from each place (x, y, z) to a line through points.

    Parameters
    ----------
    points : sequence of (float, float, float)
        At least one. [mm]
    places : array of shape (n, 3)
        [mm]
    """
    line = np.asarray(points, dtype=float)
    starts, ahead = line[:-1], np.diff(line, axis=0)
    if not len(ahead):
        return np.linalg.norm(places - line[0], axis=1)
    off = places[:, None, :] - starts[None]
    square = np.maximum(np.einsum("ij,ij->i", ahead, ahead), np.finfo(float).tiny)
    shares = np.clip(np.einsum("nij,ij->ni", off, ahead) / square, 0.0, 1.0)
    return np.linalg.norm(off - shares[..., None] * ahead, axis=2).min(axis=1)
