"""Runs as they are laid: each with its path, its route, and the graph that the path was found on."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import TypeAlias

import shapely

from router.model.plan import Route
from router.routing.effort import LegCosts
from router.routing.loom_on_vehicle import LoomOnVehicle
from router.search import Ask, Path, SightGraph, Step
from router.tolerances import OUT_OF_FREE_MM

NO_RAIL = -1


@dataclass(frozen=True, slots=True)
class Laid:
    """A run's path, and the graph that it was found on."""

    number: int
    """Which of all that its job's search has laid it is: the same path is the same thing each time."""
    graph_number: int
    loom: LoomOnVehicle
    graph: SightGraph
    costs: LegCosts
    """Of straight pieces of routes in that graph's world."""
    ask: Ask
    """What the run asks of that sight graph."""
    best: Path
    """The best path that the run has by itself."""
    path: Path
    route: Route
    """Its effort is the run's own, as if nobody shared it; its gap is to the best that the run has alone."""


@dataclass(frozen=True, slots=True)
class Together:
    """The paths of all runs, in the job's order; their effort in mm, together and each laid by itself."""

    laid: tuple[Laid, ...]
    effort_mm: float
    apart_effort_mm: float


LaidRuns: TypeAlias = dict[str, Laid]


def moved(laid: Laid, graph: SightGraph) -> list[Path]:
    """Return what of a path is free on another graph for the same loom, rails by that graph's numbers."""
    if laid.graph is graph:
        return [laid.path]
    steps = []
    for step in laid.path.steps:
        rail = step.rail
        if rail is not None:
            key = laid.graph.world.layers[step.layer].rails[rail].key
            rails = graph.world.layers[step.layer].rails
            rail = next((n for n, own in enumerate(rails) if own.key == key), NO_RAIL)
        steps.append(replace(step, rail=rail))
    blocked = [i + 1 for i, (a, b) in enumerate(itertools.pairwise(steps)) if not _is_free(a, b, graph)]
    paths = []
    for first, end in itertools.pairwise([0, *blocked, len(steps)]):
        part = [*steps[first : end - 1], replace(steps[end - 1], rail=None, link=None, keys=())]
        paths.append(Path(tuple(part), 0.0, laid.path.nodes[first:end]))
    return paths


def _is_free(here: Step, there: Step, graph: SightGraph) -> bool:
    """Return whether what leads from one place of a path to the next is free on a sight graph."""
    layer = graph.world.layers[here.layer]
    if here.link is not None:
        return any(link.key == here.link and (here.x, here.y) in link.ends for link in graph.world.links)
    leg = shapely.LineString([(here.x, here.y), (there.x, there.y)])
    if here.rail is None:
        return bool(shapely.covers(shapely.buffer(layer.free, OUT_OF_FREE_MM), leg))
    if here.rail == NO_RAIL:
        return False
    return bool(shapely.dwithin(layer.rails[here.rail].ride, leg.centroid, OUT_OF_FREE_MM))
