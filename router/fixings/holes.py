"""Where a hole for a P-clip may be drilled: into which panel, and what lies round the drill. Lengths in mm.

A panel holds a loom that lies no further off than a fixing reaches, on the side of the panel that the
loom's space is on:

level      where the panel's area is; without one, where its two spaces are both
upright    between the lines through its ends square to it

The hole goes from the panel's face straight on, as far as drill or screw may (practice "hole: reach"). On
that whole way its surface keeps from every body, of whichever space, that body's own clearance; from members,
supports, openings, other holes and the panel's own edge, practice "hole: clear of an edge". It meets no panel
that may not be drilled. The hole is upright or level, so that each distance in space is made of that in plan
and that in height.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from router.facts import Position, clearances_of, core_of, floor_of, own_side
from router.model.fixing import BehindHole, Hole
from router.model.practice import Practice
from router.model.vehicle import Drill, KeepOut, Opening, Panel, Profile
from router.plane import Flags, Floats, Geometries, Ints
from router.tolerances import LENGTH_ROUNDING_MM

LISTED_WITHIN_MM = 150.0
"""What lies further behind a hole than this is not listed."""
MOST_LISTED = 3
"""Bodies that are listed behind one hole."""

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class DrillSpot:
    """A hole that may be drilled, and by how much it clears its tightest body beyond that one's clearance."""

    panel: str
    start: Place
    end: Place
    room_mm: float
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class _Driven:
    """Holes into one panel, each with the place of the loom that it is for."""

    looms: Floats
    starts: Floats
    ends: Floats

    def in_plan(self) -> Geometries:
        """Return each hole as seen in plan: a point where it is upright."""
        if np.array_equal(self.starts[:, :2], self.ends[:, :2]):
            return np.asarray(shapely.points(self.starts[:, :2]))
        return np.asarray(shapely.linestrings(np.stack([self.starts[:, :2], self.ends[:, :2]], axis=1)))

    def height_gaps(self, low_mm: float, high_mm: float) -> Floats:
        """Return how far each hole passes above or below what lies between two heights."""
        low, high = (
            np.minimum(self.starts[:, 2], self.ends[:, 2]),
            np.maximum(self.starts[:, 2], self.ends[:, 2]),
        )
        return np.maximum(0.0, np.maximum(low_mm - high, low - high_mm))

    def gaps(self, core: Any, reach_mm: float, low_mm: float, high_mm: float) -> Floats:
        """Return how far each hole's middle line is from what reaches round a core between two heights."""
        in_plan = np.maximum(0.0, shapely.distance(core, self.in_plan()) - reach_mm)
        return np.asarray(np.hypot(in_plan, self.height_gaps(low_mm, high_mm)))


def drill_spots(
    positions: Sequence[Position],
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float,
    drilled: Sequence[Hole] = (),
) -> tuple[DrillSpot | None, ...]:
    """Return for each place of a loom in one space the roomiest hole that may be drilled, None for none.

    Parameters
    ----------
    positions : sequence of Position
        All in one space.
    profile : Profile
        Its panels, bodies, members, supports and openings.
    practice : Practice
        Groups "hole", "clearance" and "fixing".
    loom_diameter_mm : float
        Outside of the loom. [mm]
    drilled : sequence of Hole, optional
        Holes that are there already.
    """
    best: list[DrillSpot | None] = [None] * len(positions)
    if not positions:
        return ()
    at = np.array([(place.x_mm, place.y_mm, place.z_mm) for place in positions])
    for panel in profile.panels:
        if panel.drill is not Drill.ALLOWED or positions[0].space not in panel.between:
            continue
        there, holes = _driven(panel, positions[0].space, at, profile, practice, loom_diameter_mm / 2)
        rooms_mm = _rooms_mm(holes, panel, profile, practice, drilled) if len(there) else ()
        for index, start, end, room_mm in zip(there, holes.starts, holes.ends, rooms_mm, strict=True):
            known = best[index]
            if room_mm >= 0.0 and (known is None or room_mm > known.room_mm):
                best[index] = DrillSpot(
                    panel.name, _place(start), _place(end), float(room_mm), _diameter_mm(panel, practice)
                )
    return tuple(best)


def hole_at(spot: DrillSpot, profile: Profile, practice: Practice) -> Hole:
    """Return the hole of a spot, with what lies behind its panel, the nearest first."""
    screw = profile.panel(spot.panel).screw
    start, end = np.array([spot.start]), np.array([spot.end])
    holes = _Driven(start, start, end)
    clearances = clearances_of(profile, practice)
    behind = [
        BehindHole(each.name, each.hazard, clearances[each.name].required_mm, actual_mm)
        for each in profile.keep_outs
        if _is_behind(each, spot)
        and (actual_mm := float(_gaps_to(each, holes)[0]) - spot.diameter_mm / 2) <= LISTED_WITHIN_MM
    ]
    behind.sort(key=lambda each: each.actual_mm)
    return Hole(spot.panel, spot.diameter_mm, spot.start, spot.end, tuple(behind[:MOST_LISTED]), screw)


def are_too_near(one: DrillSpot | Hole, other: DrillSpot | Hole, practice: Practice) -> bool:
    """Return whether two holes leave less metal between them than an edge asks for."""
    apart_mm = (one.diameter_mm + other.diameter_mm) / 2 + practice.value("hole", "clear of an edge")
    return math.dist(one.start, other.start) < apart_mm


def _diameter_mm(panel: Panel, practice: Practice) -> float:
    return practice.value("hole", panel.screw.hole_key)


# Where the panel is


def _driven(
    panel: Panel, space: str, at: Floats, profile: Profile, practice: Practice, radius_mm: float
) -> tuple[Ints, _Driven]:
    """Return at which places of a loom a panel is, and the hole for each of them."""
    edge_mm = practice.value("hole", "clear of an edge") + _diameter_mm(panel, practice) / 2
    within_mm = practice.value("fixing", "reach") + radius_mm + LENGTH_ROUNDING_MM
    if panel.along is None:
        ahead, gaps_mm = _to_floor(panel, space, at, profile)
        there = shapely.contains_xy(floor_of(panel, profile).buffer(-edge_mm), at[:, :2])
    else:
        ahead, gaps_mm, there = _to_bulkhead(panel.along, space, at, profile, edge_mm)
    numbers = np.flatnonzero(there & (gaps_mm >= 0.0) & (gaps_mm <= within_mm))
    starts = (at + gaps_mm[:, None] * ahead)[numbers]
    return numbers, _Driven(at[numbers], starts, starts + practice.value("hole", "reach") * ahead)


def _to_floor(panel: Panel, space: str, at: Floats, profile: Profile) -> tuple[Floats, Floats]:
    """Return the direction from a space into a level panel, and how far each place is from it."""
    assert panel.height_mm is not None  # level, not upright
    up = 1.0 if profile.space(space).height_mm < panel.height_mm else -1.0
    return np.array([0.0, 0.0, up]), up * (panel.height_mm - at[:, 2])


def _to_bulkhead(
    along: tuple[tuple[float, float], tuple[float, float]],
    space: str,
    at: Floats,
    profile: Profile,
    edge_mm: float,
) -> tuple[Floats, Floats, Flags]:
    """Return the direction into an upright panel, how far off it each place is, and whether abreast."""
    (ax, ay), (bx, by) = along
    length_mm = math.dist(*along)
    ux, uy = (bx - ax) / length_mm, (by - ay) / length_mm
    side = own_side(along, profile.space(space))
    off_mm = side * ((at[:, 1] - ay) * ux - (at[:, 0] - ax) * uy)
    on_mm = (at[:, 0] - ax) * ux + (at[:, 1] - ay) * uy
    is_abreast = (edge_mm <= on_mm) & (on_mm <= length_mm - edge_mm)
    return np.array([side * uy, -side * ux, 0.0]), off_mm, is_abreast


# What lies round the hole


def _rooms_mm(
    holes: _Driven, panel: Panel, profile: Profile, practice: Practice, drilled: Sequence[Hole]
) -> Floats:
    """Return by how much each hole clears its tightest body; below 0 where it may not be made."""
    radius_mm = _diameter_mm(panel, practice) / 2
    edge_mm = radius_mm + practice.value("hole", "clear of an edge")
    rooms_mm = np.full(len(holes.starts), math.inf)
    clearances = clearances_of(profile, practice)
    for keep_out in profile.keep_outs:
        required_mm = clearances[keep_out.name].required_mm
        rooms_mm = np.minimum(rooms_mm, _gaps_to(keep_out, holes) - radius_mm - required_mm)
    for gaps_mm in _edges(holes, panel, profile):
        rooms_mm[gaps_mm < edge_mm] = -1.0
    for other in drilled:
        apart_mm = np.linalg.norm(holes.starts - np.array(other.start), axis=1)
        rooms_mm[apart_mm < other.diameter_mm / 2 + edge_mm] = -1.0
    for other_panel in profile.panels:
        if other_panel.drill is Drill.NEVER:
            rooms_mm[_meets(other_panel, holes, profile)] = -1.0
    return rooms_mm


def _gaps_to(keep_out: KeepOut, holes: _Driven) -> Floats:
    return holes.gaps(
        core_of(keep_out.shape), keep_out.shape.reach_mm, *(keep_out.heights_mm or (-math.inf, math.inf))
    )


def _edges(holes: _Driven, panel: Panel, profile: Profile) -> Iterator[Floats]:
    """Yield how far the holes are from each member of the panel's two spaces, each support, each opening.

    A support that rises is taken for as high as it is anywhere between two of its points: never further off.
    """
    for member in profile.members:
        if member.space in panel.between:
            yield holes.gaps(shapely.LineString(member.along), member.width_mm / 2, -math.inf, math.inf)
    for support in profile.supports:
        for (a, low), (b, high) in pairwise(zip(support.along, support.point_heights_mm, strict=True)):
            yield holes.gaps(shapely.LineString((a, b)), 0.0, min(low, high), max(low, high))
    for opening in profile.openings:
        if set(opening.joins) == set(panel.between):
            yield holes.gaps(shapely.Point(opening.at), opening.bore_mm / 2, *_heights(opening, panel))


def _heights(opening: Opening, panel: Panel) -> tuple[float, float]:
    """Return between which heights an opening is: one in a floor is wherever the floor is."""
    if panel.along is None:
        return -math.inf, math.inf
    return opening.height_mm - opening.bore_mm / 2, opening.height_mm + opening.bore_mm / 2


def _meets(panel: Panel, holes: _Driven, profile: Profile) -> Flags:
    """Return whether the straight way from each place of a loom to its hole's end meets a panel."""
    at, ends = holes.looms, holes.ends
    if panel.along is None:
        assert panel.height_mm is not None  # level
        low, high = np.minimum(at[:, 2], ends[:, 2]), np.maximum(at[:, 2], ends[:, 2])
        is_there = shapely.intersects_xy(floor_of(panel, profile), ends[:, :2])
        return np.asarray((low <= panel.height_mm) & (panel.height_mm <= high) & is_there)
    ways = shapely.linestrings(np.stack([at[:, :2], ends[:, :2]], axis=1))
    return np.asarray(shapely.intersects(shapely.LineString(panel.along), ways))


def _place(at: Floats) -> Place:
    return float(at[0]), float(at[1]), float(at[2])


def _is_behind(keep_out: KeepOut, spot: DrillSpot) -> bool:
    """Return whether some of a body lies beyond the panel's face."""
    (sx, sy, sz), (ex, ey, ez) = spot.start, spot.end
    if (sx, sy) == (ex, ey):
        low_mm, high_mm = keep_out.heights_mm or (-math.inf, math.inf)
        return high_mm > sz if ez > sz else low_mm < sz
    length_mm = math.dist(spot.start, spot.end)
    nx, ny = (ex - sx) / length_mm, (ey - sy) / length_mm
    reach_mm = keep_out.shape.reach_mm
    return any((x - sx) * nx + (y - sy) * ny + reach_mm > 0.0 for x, y in keep_out.shape.points)
