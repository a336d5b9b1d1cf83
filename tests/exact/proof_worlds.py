"""Random worlds for the proof: several sheets, zones that overlap, gates, bent supports, links, questions."""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random
from typing import Any

import shapely
from grounds import proven

from router.plane.offsets import grow_outside
from router.search.path_search import Ask, find_path
from router.search.polish import polish
from router.search.sight_graph import SightGraph
from router.search.world import XY, Gate, Join, Layer, Link, Rail, World, Zone

FLOOR = shapely.box(0, 0, 3000, 1500)
STEP_MM = 100.0
SURCHARGES = [-0.5, -0.2, 0.0, 0.4, 1.5]
FINER = 5.0
ROUNDS = 6


@dataclass(frozen=True, slots=True)
class Question:
    """A world, the two ends of a way through it, and what is asked."""

    world: World
    sites: tuple[tuple[int, XY], ...]
    ask: Ask
    gap: float


def random_question(seed: int) -> Question:
    """Return a world of one to three sheets and a question about it."""
    chance = Random(seed)
    layers = tuple(_layer(chance, number) for number in range(chance.choice([1, 1, 2, 3])))
    links = []
    for number in range(len(layers) - 1):
        for copy in range(chance.choice([1, 2, 3])):
            ends = _free_point(chance, layers[number].free), _free_point(chance, layers[number + 1].free)
            cost_mm = chance.choice([50.0, 400.0]) + math.dist(*ends)
            links.append(Link(f"hole {number} {copy}", (number, number + 1), ends, cost_mm))
    world = World(layers, tuple(links))
    goal_layer = chance.choice([0, len(layers) - 1])
    sites = ((0, _end(chance, layers[0], 100.0)), (goal_layer, _end(chance, layers[goal_layer], 2900.0)))
    keys = [link.key for link in links]
    for layer in layers:
        keys += [thing.key for thing in (*layer.zones, *layer.gates, *layer.rails)]
    via = tuple(chance.sample(keys, min(len(keys), chance.choice([0, 0, 1, 2]))))
    avoid = frozenset(chance.sample(keys, min(len(keys), chance.choice([0, 0, 1])))) - {*via}
    return Question(world, sites, Ask(0, 1, via, avoid), chance.choice([0.02, 0.01, 0.002]))


def _layer(chance: Random, number: int) -> Layer:
    things = [
        grow_outside(shapely.Point(_somewhere(chance)), chance.uniform(40, 200))
        for _ in range(chance.choice([0, 2, 5, 9]))
    ]
    free = FLOOR.difference(shapely.union_all(things))
    zones = tuple(_zone(chance, f"zone {number} {k}") for k in range(chance.choice([0, 1, 2, 4])))
    gates = tuple(_gate(chance, f"gate {number} {k}") for k in range(chance.choice([0, 0, 1])))
    rails = tuple(_rail(chance, f"rail {number} {k}", free) for k in range(chance.choice([0, 1, 2])))
    return Layer(f"sheet {number}", free, zones, gates, rails, chance.choice([1.0, 1.0, 2.5]))


def _somewhere(chance: Random) -> XY:
    return chance.uniform(200, 2800), chance.uniform(0, 1500)


def _zone(chance: Random, key: str) -> Zone:
    x, y = _somewhere(chance)
    if chance.random() < 0.3:
        area = shapely.buffer(shapely.Point(x, y), chance.uniform(150, 500), quad_segs=2)
    else:
        area = shapely.box(x, y, x + chance.uniform(300, 900), y + chance.uniform(300, 600))
    return Zone(key, area, chance.choice(SURCHARGES), chance.choice([0.0, 0.0, 300.0]), chance.random() < 0.7)


def _gate(chance: Random, key: str) -> Gate:
    x = chance.uniform(800, 2200)
    line = shapely.LineString([(x, -10), (x + chance.uniform(-300, 300), 1510)])
    return Gate(key, line, chance.choice([0.0, 100.0, 500.0]))


def _rail(chance: Random, key: str, free: Any) -> Rail:
    """Return a support with a bend or none, level or sloped, joined at one cost or at another behind a step.

    Some may be joined along their first half only.
    """
    y = chance.uniform(100, 1400)
    bend = [(1500, y + chance.uniform(-200, 200))] if chance.random() < 0.5 else []
    line = shapely.LineString([(chance.uniform(150, 900), y), *bend, (2800, y + 40)])
    ride = _lines(line.intersection(free))
    half = shapely.box(-100, -100, 1300, 1600)
    costs_mm = [chance.choice([0.0, 20.0, 150.0]) for _ in range(2)]
    joins = (Join(_lines(ride.intersection(half)), costs_mm[0]),)
    if chance.random() < 0.7:
        joins += (Join(_lines(ride.difference(half)), costs_mm[1]),)
    slopes = tuple(chance.choice([1.0, 1.0, 1.3]) for _ in range(len(bend) + 1))
    return Rail(key, line, ride, joins, chance.choice([0.5, 0.7, 0.9]), slopes)


def _lines(geometry: Any) -> Any:
    parts = [part for part in shapely.get_parts(geometry) if part.geom_type == "LineString"]
    return shapely.multilinestrings(parts)


def _free_point(chance: Random, free: Any) -> XY:
    while True:
        x, y = _somewhere(chance)
        if shapely.contains_xy(free, x, y):
            return x, y


def _end(chance: Random, layer: Layer, x: float) -> XY:
    """Return a place to begin or end at: near a side of the floor, or now and then amid a support."""
    joins = [rail.join for rail in layer.rails if not rail.join.is_empty]
    if joins and chance.random() < 0.2:
        place = joins[0].interpolate(chance.random(), normalized=True)
        return place.x, place.y
    while True:
        y = chance.uniform(50, 1450)
        if shapely.contains_xy(layer.free, x, y):
            return x, y


@dataclass(frozen=True, slots=True)
class Judged:
    """What was proven, beside the best path of a finer search."""

    gap: float
    effort_mm: float
    finer_mm: float

    @property
    def is_sound(self) -> bool:
        """Return whether the finer way costs no less than the bound."""
        return self.effort_mm / (1.0 + self.gap) <= self.finer_mm + 1e-6


def judge(question: Question) -> Judged | None:
    """Prove the answer to a question, and look for a better one with finer steps; None without a way."""
    found = proven(SightGraph(question.world, question.sites, STEP_MM), question.ask, question.gap, ROUNDS)
    fine = SightGraph(question.world, question.sites, STEP_MM / FINER)
    way = find_path(fine, question.ask)
    if found is None or way is None:
        assert found is None and way is None
        return None
    return Judged(found[1], found[0].effort_mm, polish(fine, way).effort_mm)
