"""One loom on one vehicle: how far it stays from bodies, and what they take of the plan. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import shapely

from router.facts import Clearance, Parted, bodies_in, clearances_of, core_of, parting_panels, tolerance_of
from router.model.practice import Practice
from router.model.vehicle import Hazard, KeepOut, Profile, Shape
from router.plane import grow_outside
from router.routing.near_bodies import Body, NearBodies, looked_within_mm
from router.tolerances import COUNTS_FOR_NOTHING_MM

KEPT_SHAPES = 4096
"""Cores and offsets kept for the next question: a vehicle is asked about many times, its shapes stay."""


@dataclass(frozen=True, slots=True)
class LoomOnVehicle:
    """One loom on one vehicle: how thick it is, and the clearances that it must keep there."""

    profile: Profile
    practice: Practice
    radius_mm: float
    clearance_factor: float = 1.0
    """Factor of the clearances of `scaled`; below 1 only to find where a route is pinched."""
    scaled: frozenset[str] | None = None
    """Names of the keep-outs whose clearances are scaled; None: all, and the members and openings too."""
    clearances: Mapping[str, Clearance] = field(init=False, compare=False)
    """By keep-out; resolved here, so that a copy with another profile has the clearances of that one."""
    _near_bodies: dict[tuple[object, ...], NearBodies] = field(init=False, repr=False, compare=False)
    """By space and the panels that part there: worked out when first asked for."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "clearances", clearances_of(self.profile, self.practice))
        object.__setattr__(self, "_near_bodies", {})

    def bodies_near(
        self, place: Any | None, space: str, heights_mm: tuple[float, float]
    ) -> list[tuple[Body, float]]:
        """Return the bodies that may reach a place where the loom lies, with how far their cores are. [mm]

        Parameters
        ----------
        place : shapely geometry or None
            None: all of them, at 0.
        space : str
        heights_mm : (float, float)
            Between which heights the centre line lies.
        """
        panels = parting_panels(self.profile, space, heights_mm)
        key = (space, panels)
        if key not in self._near_bodies:
            bodies = [
                Body(keep_out, parted, *self._scaled_from(keep_out))
                for keep_out, parted in bodies_in(self.profile, space, heights_mm)
            ]
            self._near_bodies[key] = NearBodies(bodies, self.radius_mm * max(1.0, self.clearance_factor))
        return self._near_bodies[key].near(place)

    def _scaled_from(self, keep_out: KeepOut) -> tuple[float, float | None]:
        share, (open_mm, parted_mm) = self.clearance_factor_of(keep_out), self.clearances_from(keep_out)
        return open_mm * share, None if parted_mm is None else parted_mm * share

    def clearances_from(self, keep_out: KeepOut) -> tuple[float, float | None]:
        """Return how far the loom must stay from a body in the open, and where a panel parts it. [mm]

        None where a panel is all that it takes.
        """
        open_mm = self.clearances[keep_out.name].required_mm
        if keep_out.hazard is not Hazard.HOT:
            return open_mm, None
        beyond_mm = self.practice.value("clearance", "hot beyond a panel") + tolerance_of(
            keep_out, self.profile
        )
        return open_mm, min(open_mm, beyond_mm)

    def clearance_factor_of(self, keep_out: KeepOut) -> float:
        """Return the factor by which a keep-out's clearance is scaled."""
        return self.clearance_factor if self.scaled is None or keep_out.name in self.scaled else 1.0

    @property
    def body_radius_mm(self) -> float:
        """Return the loom's radius for members, holes and openings."""
        return self.radius_mm * (self.clearance_factor if self.scaled is None else 1.0)


def plan_reach_mm(
    keep_out: KeepOut, clearance_mm: float, low_mm: float, high_mm: float, radius_mm: float
) -> float:
    """Return how near to a keep-out's core a centre line that lies between two heights may come in plan.

    0 where the vertical gap alone is clearance enough, so that the loom may pass above or below.

    Parameters
    ----------
    keep_out : KeepOut
    clearance_mm : float
        What it needs from the loom's outside.
    low_mm, high_mm : float
        Between which heights the centre line lies.
    radius_mm : float
        Of the loom.
    """
    gap_mm = 0.0
    if keep_out.heights_mm is not None:
        bottom, top = keep_out.heights_mm
        gap_mm = max(0.0, bottom - (high_mm + radius_mm), (low_mm - radius_mm) - top)
    if gap_mm >= clearance_mm and gap_mm > 0.0:
        return 0.0
    return keep_out.shape.reach_mm + radius_mm + math.sqrt(max(0.0, clearance_mm**2 - gap_mm**2))


@lru_cache(maxsize=KEPT_SHAPES)
def _grown(shape: Shape, reach_mm: float) -> Any:
    return grow_outside(core_of(shape), reach_mm)


def blocked(loom: LoomOnVehicle, space: str, low_mm: float, high_mm: float, near: Any = None) -> Any:
    """Return what those keep-outs that reach `near` (None: all) take from a loom between two heights."""
    return shapely.union_all([area for _, area in blocked_each(loom, space, low_mm, high_mm, near)])


def blocked_each(
    loom: LoomOnVehicle, space: str, low_mm: float, high_mm: float, near: Any = None
) -> Iterable[tuple[KeepOut, Any]]:
    """Yield each keep-out of a space with the area that it takes from a loom between two heights.

    Parameters
    ----------
    loom : LoomOnVehicle
    space : str
    low_mm, high_mm : float
        Between which heights the centre line lies.
    near : shapely.Geometry or None
        Only keep-outs that reach this; None: all.
    """
    for body, apart_mm in loom.bodies_near(near, space, (low_mm, high_mm)):
        keep_out, radius_mm = body.keep_out, loom.radius_mm * loom.clearance_factor_of(body.keep_out)
        open_mm, parted_mm = (
            0.0 if clearance_mm is None else plan_reach_mm(keep_out, clearance_mm, low_mm, high_mm, radius_mm)
            for clearance_mm in (body.open_mm, body.parted_mm)
        )
        reach_mm = parted_mm if body.parted.is_everywhere else max(open_mm, parted_mm)
        if reach_mm > 0.0 and apart_mm <= looked_within_mm(reach_mm):
            yield keep_out, _taken(keep_out.shape, body.parted, open_mm, parted_mm)


@lru_cache(maxsize=KEPT_SHAPES)
def _taken(shape: Shape, parted: Parted, open_mm: float, parted_mm: float) -> Any:
    """Return what a body takes: in the open, and (0: nothing) where a panel parts it from the loom."""
    beyond = _grown(shape, parted_mm) if parted_mm > 0.0 else shapely.Polygon()
    if parted.is_everywhere:
        return beyond
    area = _grown(shape, open_mm) if open_mm > 0.0 else shapely.Polygon()
    if not parted.areas:
        return area
    where = shapely.union_all([shapely.Polygon(points) for points in parted.areas])
    where = shapely.buffer(where, -COUNTS_FOR_NOTHING_MM, join_style="mitre")  # rounding opens nothing
    return shapely.union(shapely.difference(area, where), beyond)


def required_in(
    loom: LoomOnVehicle, space: str, heights_mm: tuple[float, float] | None = None
) -> Iterator[tuple[KeepOut, float]]:
    """Yield each body that a loom in a space must stay away from, with how far it must. [mm]

    Parameters
    ----------
    loom : LoomOnVehicle
    space : str
        A name. What a panel parts there only in places is given as if nothing parted it.
    heights_mm : (float, float), optional
        Between which heights it lies; without them, where looms of that space do.
    """
    for keep_out, parted in bodies_in(loom.profile, space, heights_mm):
        open_mm, parted_mm = loom.clearances_from(keep_out)
        if not parted.is_everywhere:
            yield keep_out, open_mm
        elif parted_mm is not None:
            yield keep_out, parted_mm
