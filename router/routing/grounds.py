"""The ground that looms of one radius lie on, and its sight graph, each kept by what it depends on.

A ground does not depend on where terminals are, but on those at the very border of their space. A sight
graph does, and on no question that was asked of it before: so it serves the next plan, too.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeAlias

from router.memory import remembered
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.routing.effort import LegCosts
from router.routing.free_space import make_world, terminals_on_borders
from router.routing.loom_on_vehicle import LoomOnVehicle
from router.search import XY, GraphBounds, GraphCache, SightGraph, World
from router.stopping import stop_if_asked

STEP_MM = 100.0
"""Longest piece of a border or support without a vertex before the found path is polished."""

Sites: TypeAlias = tuple[tuple[int, XY], ...]
"""Layers and places of terminals. [mm]"""


@dataclass(frozen=True, slots=True)
class Ground:
    """The sight graph of a ground, what pieces of routes cost there, and what was worked out on it."""

    graph: SightGraph
    costs: LegCosts
    cache: GraphCache


def world_of(profile: Profile, practice: Practice, radius_mm: float) -> World:
    """Return the world that looms of one radius see on a vehicle.

    Parameters
    ----------
    profile : Profile
    practice : Practice
    radius_mm : float
        Of the loom.
    """
    ground = replace(profile, terminals=terminals_on_borders(profile))
    return _world(ground, practice, radius_mm)


@remembered(most=24)
def _world(ground: Profile, practice: Practice, radius_mm: float) -> World:
    stop_if_asked()
    return make_world(LoomOnVehicle(ground, practice, radius_mm))


def ground_of(profile: Profile, practice: Practice, radius_mm: float, sites: Sites) -> Ground:
    """Return the ground of looms of one radius, with a sight graph for terminals at given places.

    Parameters
    ----------
    profile : Profile
    practice : Practice
    radius_mm : float
        Of the loom.
    sites : tuple of (layer, (x, y))
        Where the terminals are. [mm]
    """
    return _ground(world_of(profile, practice, radius_mm), practice, sites)


@remembered(most=8)
def _ground(world: World, practice: Practice, sites: Sites) -> Ground:
    graph = SightGraph(world, sites, STEP_MM)
    graph.bounds = GraphBounds(graph)
    return Ground(graph, LegCosts(world, practice), GraphCache())
