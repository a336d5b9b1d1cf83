"""The bodies that looms of a space must stay away from, ready to be asked which of them are near. mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from router.facts import Parted, core_of
from router.model.vehicle import KeepOut

ROUNDING_MM = 1e-3
"""So much nearer than it is a body is taken to be when it is asked for at first: rounding loses none."""


@dataclass(frozen=True, slots=True)
class Body:
    """A keep-out as one loom meets it, where nothing parts it from the loom and beyond a panel."""

    keep_out: KeepOut
    parted: Parted
    open_mm: float
    """Clearance in the open. [mm]"""
    parted_mm: float | None
    """Clearance beyond a panel, None where the panel is all that it takes. [mm]"""


class NearBodies:
    """Bodies with their cores in one array, so that those near something are found by one call.

    Parameters
    ----------
    bodies : sequence of Body
    radius_mm : float
        Of the loom, or more.
    """

    def __init__(self, bodies: Sequence[Body], radius_mm: float) -> None:
        self._bodies = bodies
        self._cores = np.array([core_of(body.keep_out.shape) for body in bodies], dtype=object)
        most_mm = [max(body.open_mm, body.parted_mm or 0.0) for body in bodies]
        reach_mm = np.array([body.keep_out.shape.reach_mm for body in bodies]) + most_mm + radius_mm
        self._within_mm = looked_within_mm(reach_mm) + ROUNDING_MM

    def near(self, place: Any | None) -> list[tuple[Body, float]]:
        """Return those that may reach a geometry, with how far their cores are from it; all of None, at 0.

        Parameters
        ----------
        place : shapely geometry or None
        """
        if place is None:
            return [(body, 0.0) for body in self._bodies]
        apart_mm = shapely.distance(self._cores, place)
        return [
            (self._bodies[i], float(apart_mm[i]))
            for i in np.flatnonzero(apart_mm <= self._within_mm).tolist()
        ]


def looked_within_mm(reach_mm: Any) -> Any:
    """Return how near to a core a place is that is asked about a body of such a reach: an offset is wider."""
    return reach_mm * 1.02 + 1.0
