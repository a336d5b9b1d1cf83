"""What a millimetre of a space costs: what it takes to hold a loom there, and where it is unwise to lie. mm.

Ground costs the factor of open ground and a bracket each spacing, for that is what holds a loom in free
air; where a panel that may be drilled is in reach, a hole in place of the bracket (a zone below 0). A support
costs its own factor and its ties or clips. Beside moving and hot parts, on open load floor and beside guides
zones add or take what the practice says.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from enum import Enum
from typing import Any, TypeAlias

import shapely

from router.facts import floor_of
from router.model.practice import Practice
from router.model.vehicle import Drill, Fix, Hazard, KeepOut, Panel, Profile, Space, SpaceKind, Support
from router.routing.levels import levels_of
from router.search import World, Zone
from router.tolerances import LEAST_SPACING_MM


class GroundZone(Enum):
    """A zone of our own making; as a key it equals nothing that somebody may call a thing of a vehicle.

    Its value is the key of its rule in the practice's group "factor", that of DRILLABLE no rule's.
    """

    WARM = "warm"
    NEAR_MOVING = "near moving"
    OPEN_LOAD_FLOOR = "open load floor"
    BESIDE_GUIDE = "beside a guide"
    DRILLABLE = "drillable"


IN_WORDS = {
    GroundZone.WARM: "the warm surroundings of hot parts",
    GroundZone.NEAR_MOVING: "the surroundings of moving parts",
    GroundZone.OPEN_LOAD_FLOOR: "the open load floor",
    GroundZone.BESIDE_GUIDE: "the ground beside a line that a loom may follow",
    GroundZone.DRILLABLE: "the ground where a panel may be drilled",
}

_FIXED_BY = {Fix.TIE: "tie", Fix.CLIP: "clip"}
_SIMPLER_MM = 5.0
"""Borders of zones are drawn this much simpler than they are: what they cost is a matter of taste."""
_LEAST_MM2 = 100.0
"""A piece of a zone smaller than this weighs nothing."""

Surroundings: TypeAlias = Callable[[Callable[[KeepOut], bool], float, float], Any]
"""What lies nearer to the bodies that a test picks than their clearance and a band (mm), at a height (mm)."""


def ground_factor(practice: Practice, space: Space) -> float:
    """Return what a mm of open ground costs, held by brackets.

    Parameters
    ----------
    practice : Practice
    space : Space
    """
    return practice.value("factor", "open") + _hold_rate(practice, space, "bracket")


def rail_factor(practice: Practice, space: Space, support: Support) -> float:
    """Return what a mm along a support costs, held by what it takes.

    Parameters
    ----------
    practice : Practice
    space : Space
        That the support is in.
    support : Support
        One that may carry something.
    """
    return practice.value("factor", "along a support") + _hold_rate(practice, space, _FIXED_BY[support.fix])


def without_holding(world: World, profile: Profile, practice: Practice) -> World:
    """Return a world in which nothing needs to be held, for who counts the fixings one by one.

    Parameters
    ----------
    world : World
    profile : Profile
    practice : Practice
    """
    supports = {support.name: support for support in profile.supports}
    layers = []
    for layer in world.layers:
        space = profile.space(layer.key)
        rails = tuple(
            replace(r, factor=r.factor - _hold_rate(practice, space, _FIXED_BY[supports[r.key].fix]))
            for r in layer.rails
        )
        zones = tuple(zone for zone in layer.zones if zone.key is not GroundZone.DRILLABLE)
        factor = layer.factor - _hold_rate(practice, space, "bracket")
        layers.append(replace(layer, zones=zones, rails=rails, factor=factor))
    return replace(world, layers=tuple(layers))


def _hold_rate(practice: Practice, space: Space, key: str) -> float:
    spacing_mm = practice.by_space("spacing", space.kind).value
    return practice.value("hold", key) / max(spacing_mm, LEAST_SPACING_MM)


def ground_zones(
    profile: Profile, practice: Practice, space: Space, radius_mm: float, surroundings: Surroundings
) -> Iterator[Zone]:
    """Yield the zones of a space that nobody measured: they follow from its bodies, panels and edges.

    Parameters
    ----------
    profile : Profile
    practice : Practice
    space : Space
    radius_mm : float
        Of the loom.
    surroundings : callable
        What lies round bodies of the space.
    """
    value = practice.value
    drilled = _hold_rate(practice, space, "hole") - _hold_rate(practice, space, "bracket")
    for level in levels_of(space):
        height_mm = level.height_mm
        near: dict[GroundZone, Any] = {
            GroundZone.WARM: surroundings(_is_hot, value("warm", "band"), height_mm),
            GroundZone.NEAR_MOVING: surroundings(_is_moving, value("near moving", "band"), height_mm),
            GroundZone.BESIDE_GUIDE: surroundings(_is_guide, value("guide", "band"), height_mm),
            GroundZone.DRILLABLE: _drillable(profile, space, height_mm, radius_mm + value("fixing", "reach")),
        }
        if space.kind is SpaceKind.LOAD_AREA:
            edge_mm = value("load floor", "edge")
            near[GroundZone.OPEN_LOAD_FLOOR] = _open_floor(
                profile, space, surroundings(_is_solid, 0.0, height_mm), edge_mm
            )
        for key, reached in near.items():
            surcharge = drilled if key is GroundZone.DRILLABLE else value("factor", key.value) - 1.0
            if surcharge:
                is_on_rails = key in (GroundZone.WARM, GroundZone.NEAR_MOVING)
                for part in _parts(reached, level.area if space.steps else None):
                    yield Zone(key, part, surcharge, 0.0, is_on_rails)


def _is_hot(keep_out: KeepOut) -> bool:
    return keep_out.hazard is Hazard.HOT


def _is_moving(keep_out: KeepOut) -> bool:
    return keep_out.hazard is Hazard.MOVING


def _is_solid(keep_out: KeepOut) -> bool:
    return keep_out.hazard is Hazard.SOLID


def _is_guide(keep_out: KeepOut) -> bool:
    return keep_out.is_guide


def _parts(reached: Any, level: Any | None) -> Iterable[Any]:
    """Return the pieces of a zone, those on one level."""
    if level is not None:
        reached = shapely.intersection(reached, level)
    return [part for part in shapely.get_parts(reached) if part.area > _LEAST_MM2]


def _open_floor(profile: Profile, space: Space, standing: Any, edge_mm: float) -> Any:
    """Return the floor away from its edges, from what stands on it and from covers."""
    free = shapely.difference(shapely.Polygon(space.outline), standing)
    inner = shapely.buffer(free, -edge_mm, join_style="mitre")
    covers = [shapely.Polygon(cover.area) for cover in profile.covers if cover.space == space.name]
    return shapely.simplify(shapely.difference(inner, shapely.union_all(covers)), _SIMPLER_MM)


def _drillable(profile: Profile, space: Space, height_mm: float, reach_mm: float) -> Any:
    """Return where a loom lies in reach of a panel that may be drilled."""
    areas = [
        _in_reach(profile, panel, height_mm, reach_mm)
        for panel in profile.panels
        if panel.drill is Drill.ALLOWED and space.name in panel.between
    ]
    return shapely.intersection(shapely.union_all(areas), shapely.Polygon(space.outline))


def _in_reach(profile: Profile, panel: Panel, height_mm: float, reach_mm: float) -> Any:
    if panel.along is not None:
        return shapely.buffer(shapely.LineString(panel.along), reach_mm, cap_style="flat")
    assert panel.height_mm is not None  # level or upright
    if abs(height_mm - panel.height_mm) > reach_mm:
        return shapely.Polygon()
    return floor_of(panel, profile)
