"""What answers while a finger drags an end about: the way alone, polished, and its route in space."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from clocks import timed

from router.reading import Question
from router.routing.free_space import make_world
from router.routing.grounds import STEP_MM
from router.routing.loom_on_vehicle import LoomOnVehicle
from router.routing.routes import make_route
from router.search.path_search import Ask, find_path
from router.search.polish import polish
from router.search.sight_graph import SightGraph


def drags_ms(question: Question, loom_mm: float, count: int) -> list[float | None]:
    """Return by place on a spiral round an end what the way to it takes; None where it is not free. [ms].

    Parameters
    ----------
    question : Question
        The run whose ends lie farthest apart is looked at.
    loom_mm : float
        Outside of its loom. [mm]
    count : int
        Of places.
    """
    run = max(question.job.runs, key=lambda each: _apart_mm(question.profile, each))
    loom = LoomOnVehicle(question.profile, question.practice, loom_mm / 2.0)
    graph = _graph(loom, run)
    places = _path(question.profile.terminal(run.end).at, count)
    drawn = [timed(lambda at=at: _drag_to(loom, run, graph, at)) for at in places]
    return [None if route is None else ms for ms, route in drawn]


def _apart_mm(profile: Any, run: Any) -> float:
    return math.dist(profile.terminal(run.start).at, profile.terminal(run.end).at)


def _graph(loom: LoomOnVehicle, run: Any) -> SightGraph:
    spaces = [space.name for space in loom.profile.spaces]
    terminals = [loom.profile.terminal(name) for name in (run.start, run.end)]
    return SightGraph(make_world(loom), tuple((spaces.index(t.space), t.at) for t in terminals), STEP_MM)


def _path(end: tuple[float, float], count: int) -> list[tuple[float, float]]:
    """Return places on a spiral round a run's end, as a finger drags it."""
    turns = [(i, 2.0 * math.pi * i / 15) for i in range(count)]
    return [(end[0] + 5.0 * i * math.cos(turn), end[1] + 5.0 * i * math.sin(turn)) for i, turn in turns]


def _drag_to(loom: LoomOnVehicle, run: Any, graph: SightGraph, at: tuple[float, float]) -> Any:
    graph.move_site(1, *at)
    way = find_path(graph, Ask(0, 1, run.via, frozenset(run.avoid)))
    if way is None:
        return None
    terminals = tuple(replace(t, at=at) if t.name == run.end else t for t in loom.profile.terminals)
    moved = replace(loom, profile=replace(loom.profile, terminals=terminals))
    return make_route(moved, graph.world, run, polish(graph, way), 0.0)
