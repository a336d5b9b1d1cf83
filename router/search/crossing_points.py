"""The places of a found path that may slide: where it crosses a border, or joins or leaves a rail."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from router.plane import Mesh
from router.search.path_search import Path, PathGraph, Step
from router.search.prepared_layer import PreparedLayer
from router.search.sight_graph import Node
from router.search.world import XY


@dataclass(frozen=True, slots=True)
class Slide:
    """A direction in which a place may move, how far, and the extra effort of each mm."""

    ux: float
    uy: float
    far_mm: float
    rate: float
    fans: tuple[int, int] | None = None
    """Along a border: the fans of the vertex at its far end, before the border and behind it."""


@dataclass(frozen=True, slots=True)
class CrossingPoint:
    """One place of the path: the steps that stand on it, where it may slide, and the leg that leaves it.

    `factor` and `area` belong to the straight leg to the next crossing point; None where a rail or link leads
    on.
    """

    first: int
    last: int
    at: XY
    slides: tuple[Slide, ...]
    factor: float | None
    area: Any
    is_bend: bool
    """Whether it is nothing but a corner of free space that the path bends round."""
    nodes: tuple[Node, ...]
    ride: XY | None
    """Where a rail leads on from here, as (dx, dy); a ride that starts and ends here must not turn round."""


def opened(path: Path) -> Path:
    """Return the path with a place where it crosses several borders at once taken apart, border by border.

    Each border then has its own two steps; the fan between two borders stands twice, one after the other.
    """
    steps: list[Step] = []
    nodes: list[Node] = []
    for number, (step, node) in enumerate(zip(path.steps, path.nodes, strict=True)):
        is_between = 0 < number < len(path.nodes) - 1 and all(
            path.nodes[n].kind == "fan" and _same_place(path.steps[n], step)
            for n in (number - 1, number, number + 1)
        )
        if is_between:
            steps.append(replace(step, keys=()))
            nodes.append(node)
        steps.append(step)
        nodes.append(node)
    return replace(path, steps=tuple(steps), nodes=tuple(nodes))


def crossing_points_of(graph: PathGraph, path: Path) -> list[CrossingPoint]:
    """Return the places of a path whose borders are taken apart (`opened`), in order."""
    groups: list[list[int]] = []
    for number, step in enumerate(path.steps):
        before = path.steps[number - 1]
        is_apart = number > 0 and path.nodes[number] == path.nodes[number - 1]
        if groups and _same_place(before, step) and before.link is None and not is_apart:
            groups[-1].append(number)
        else:
            groups.append([number])
    return [_crossing_point(graph, path, group) for group in groups]


def _same_place(a: Step, b: Step) -> bool:
    return (a.layer, a.x, a.y) == (b.layer, b.x, b.y)


def _crossing_point(graph: PathGraph, path: Path, group: list[int]) -> CrossingPoint:
    first, last = group[0], group[-1]
    step = path.steps[last]
    factor, area = None, None
    if step.rail is None and step.link is None and last + 1 < len(path.steps):
        prepared = graph.prepared[step.layer]
        region = _leg_region(prepared, path.nodes[last], path.nodes[last + 1], path.steps[last + 1])
        factor, area = prepared.factor[region], prepared.region_area(region)
    slides = _slides(graph, path, group)
    kind, layer, fan, _ = path.nodes[last]
    is_bend = first == last and kind == "fan" and graph.prepared[layer].bends[fan] is not None
    nodes, ride = path.nodes[first : last + 1], None
    if step.rail is not None:
        ride = (path.steps[last + 1].x - step.x, path.steps[last + 1].y - step.y)
    return CrossingPoint(first, last, (step.x, step.y), slides, factor, area, is_bend, nodes, ride)


def _leg_region(prepared: PreparedLayer, node: Node, following: Node, to: Step) -> int:
    for place in (node, following):
        if place.kind == "fan":
            return prepared.mesh.fan_region(place[2])
    return prepared.region_at(to.x, to.y)


def _slides(graph: PathGraph, path: Path, group: list[int]) -> tuple[Slide, ...]:
    nodes = [path.nodes[i] for i in group]
    fans = [n.item for n in nodes if n.kind == "fan"]
    stops = [n for n in nodes if n.kind == "stop"]
    prepared = graph.prepared[path.steps[group[0]].layer]
    if len(stops) == 1 and len(fans) == 1:
        return _rail_slides(prepared, path, group, stops[0], nodes[0].kind == "fan")
    if len(fans) == 2 and not stops and len(nodes) == 2:
        return border_slides(prepared, fans[0], fans[1])
    return ()


def border_slides(prepared: PreparedLayer, fan: int, other: int) -> tuple[Slide, ...]:
    """Return the directions along the border between two fans of a vertex, in the order of the path.

    Where the borders to its two sides cost different amounts, because one gate ends and another begins there,
    the path has paid the lesser one, and may slide to that side only.

    Parameters
    ----------
    prepared : PreparedLayer
    fan, other : int
        The fans that the path leaves and enters at the vertex, one on each side of the border.
    """
    mesh = prepared.mesh
    vertex = mesh.fan_vertex(fan)
    at = (mesh.x[vertex], mesh.y[vertex])
    slides: list[tuple[float, Slide]] = []
    for border, end in zip(mesh.fan_sides(fan), mesh.fan_ends(fan), strict=True):
        across = mesh.across[border]
        if across >= 0 and _fan_at(mesh, across, vertex) == other:  # else it ends at a wall
            fans = (_fan_at(mesh, border, end), _fan_at(mesh, across, end))
            slide = replace(_slide_to(at, (mesh.x[end], mesh.y[end]), 0.0), fans=fans)
            slides.append((_gate_mm(prepared, border), slide))
    least_mm = min((amount_mm for amount_mm, _ in slides), default=0.0)
    return tuple(slide for amount_mm, slide in slides if amount_mm <= least_mm)


def _gate_mm(prepared: PreparedLayer, border: int) -> float:
    gate = prepared.mesh.gate[border]
    return prepared.layer.gates[gate].amount_mm if gate >= 0 else 0.0


def _fan_at(mesh: Mesh, corner: int, vertex: int) -> int:
    """Return the fan that the triangle of a corner belongs to at one of its vertices."""
    first = corner - corner % 3
    return next(mesh.fan_of[c] for c in range(first, first + 3) if mesh.corner_vertex[c] == vertex)


def _slide_to(at: XY, end: XY, rate: float) -> Slide:
    length_mm = math.dist(at, end)
    return Slide((end[0] - at[0]) / length_mm, (end[1] - at[1]) / length_mm, length_mm, rate)


def _rail_slides(
    prepared: PreparedLayer, path: Path, group: list[int], stop: Node, joins: bool
) -> tuple[Slide, ...]:
    """Return the two directions along a rail at the stop where a path joins or leaves it."""
    rail, index = stop.item, stop.stop
    stops = prepared.stops[rail]
    ridden = group[-1] + 1 if joins else group[0] - 1
    toward = 1 if path.nodes[ridden].stop > index else -1
    slides = []
    for step in (1, -1):
        other = index + step
        here = stops[index]
        effort_mm = here.forward_mm if step > 0 else here.backward_mm
        if not 0 <= other < len(stops) or effort_mm == math.inf or not stops[other].fans:
            continue
        if stops[min(index, other)].join_onward_mm > here.join_mm:
            continue  # joined at a higher cost there, or not at all
        at, end = (here.x, here.y), (stops[other].x, stops[other].y)
        rate = effort_mm / math.dist(at, end)
        slides.append(_slide_to(at, end, -rate if step == toward else rate))
    return tuple(slides)
