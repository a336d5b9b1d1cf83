"""A sight graph on which other ways are laid, for one more run. Pure geometry, no vehicle words.

What is laid off the rails is a row of places ("laid" nodes) that may be joined and left anywhere and ridden
for `share` of its effort; what is laid on a rail cuts the rail's pieces, and those inside cost their share.
A fixed amount (of a gate, zone or link) that another run already pays is free for this run.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
import shapely

from router.search.path_search import Path, Step
from router.search.rail_stops import RailStop, joining_mm
from router.search.sight_graph import Move, Node, SightGraph, stop_node
from router.search.world import XY, Key, Rail, Zone, factor_of, may_meet
from router.tolerances import ON_LINE_MM

STEP_MM = 50.0
"""How far apart on a straight leg the places lie where another run may join it."""


@dataclass(frozen=True, slots=True)
class Place:
    """One place of what is laid, off the rails; `side` tells the sides of a border apart at one place."""

    layer: int
    x: float
    y: float
    side: int


@dataclass(frozen=True, slots=True)
class _Cut:
    """A place on a rail where its pieces are cut: at one of its stops, or where a path joins between two."""

    at_mm: float
    node: Node
    x: float
    y: float


def factor_at(zones: Sequence[Zone], base: float, x: float, y: float) -> float:
    """Return what a mm of a leg at a place costs; on a border the less of both sides, nothing entered.

    Parameters
    ----------
    zones : sequence of Zone
        Those that count there.
    base : float
        What a mm costs outside of all of them: the factor of the layer or of the rail.
    x, y : float
        The place. [mm]
    """
    spot, surcharges = shapely.Point(x, y), []
    for zone in zones:
        if not may_meet((x, y), (x, y), zone.area.bounds, ON_LINE_MM):
            continue
        if shapely.dwithin(zone.area.boundary, spot, ON_LINE_MM):
            surcharges.append(0.0 if zone.amount_mm else min(0.0, zone.surcharge))
        elif shapely.contains(zone.area, spot):
            surcharges.append(zone.surcharge)
    return factor_of(base, surcharges)


@dataclass(slots=True)
class GraphCache:
    """What was found out about one sight graph by itself, for the next time that something is laid on it."""

    sights: dict[tuple[int, XY], tuple[Move, ...]] = field(default_factory=dict)
    """By place: the legs from it."""
    factors: dict[tuple[int, XY], float] = field(default_factory=dict)
    """By place: what a mm costs there."""
    stops_mm: dict[tuple[int, int], list[float]] = field(default_factory=dict)
    """By layer and rail: where its stops lie along it."""
    along_mm: dict[tuple[int, int, XY], float] = field(default_factory=dict)
    """By layer, rail and place: how far along the rail that is."""
    amounts_mm: dict[int, dict[Key, float]] = field(default_factory=dict)
    """By layer: the amounts of its zones and gates."""


class _Covered:
    """Parts of a rail that something is laid on, told by how far along it they lie."""

    def __init__(self, stretches: Sequence[tuple[float, float]]) -> None:
        self._first: list[float] = []
        self._last: list[float] = []
        for first, last in sorted((first - ON_LINE_MM, last + ON_LINE_MM) for first, last in stretches):
            if self._last and first <= self._last[-1]:
                self._last[-1] = max(self._last[-1], last)
            else:
                self._first.append(first)
                self._last.append(last)

    def covers(self, at_mm: float) -> bool:
        """Return whether something is laid at a place."""
        part = bisect_right(self._first, at_mm) - 1
        return part >= 0 and at_mm <= self._last[part]


class GraphWithLaid:
    """A sight graph on which other ways are laid, for one more run.

    Parameters
    ----------
    graph : SightGraph
        The sight graph by itself.
    laid : sequence of Path
        The other ways, over the same world.
    share : float
        What a further run costs along them, as a share of the effort there.
    paid : mapping of str to float
        By key: what others have paid of the amount of a gate, zone or link. [mm]
    avoid : frozenset of str
        Keys whose pieces are of no use to this run.
    points : sequence of (layer, (x, y))
        Free places that a path may be asked to go by.
    cache : GraphCache, optional
        What was found out about this sight graph before, kept by the caller.
    """

    def __init__(
        self,
        graph: SightGraph,
        laid: Sequence[Path],
        share: float,
        paid: Mapping[Key, float],
        avoid: frozenset[str] = frozenset(),
        points: Sequence[tuple[int, XY]] = (),
        cache: GraphCache | None = None,
    ) -> None:
        self.graph, self.world, self.share, self.paid, self.avoid = graph, graph.world, share, paid, avoid
        self._cache = cache or GraphCache()
        self.places: list[Place] = []
        self._numbers: dict[Place, int] = {}
        self._extra: defaultdict[Node, list[Move]] = defaultdict(list)
        self._stretches: dict[tuple[int, int], list[tuple[float, float]]] = {}
        self._joints: dict[tuple[int, int], list[tuple[XY, Node]]] = {}
        self._blind: set[Node] = set()
        for path in laid:
            self._lay(path)
        for layer, at in points:
            self._node(layer, *at)
        self._cut_stops: dict[Node, XY] = {}
        self._between: dict[Node, int] = {}
        stops = [list(own.stops) for own in graph.prepared]
        for layer, rail in sorted(self._stretches):
            stops[layer][rail] = self._cut_rail(layer, rail)
        self.prepared = [
            replace(f, stops=laid_stops) for f, laid_stops in zip(graph.prepared, stops, strict=True)
        ]
        for number in range(len(self.places)):
            self._look(Node("laid", self.places[number].layer, number, 0))

    def point(self, layer: int, at: XY) -> Node:
        """Return the node of a laid place or of one of the points."""
        return self._node(layer, *at)

    def as_if_paid(self, key: Key) -> GraphWithLaid:
        """Return this graph for a run that finds the amount of one thing paid."""
        changed = copy(self)
        changed.paid = {**self.paid, key: math.inf}
        return changed

    def position(self, node: Node) -> tuple[int, float, float]:
        """Return the layer and the coordinates of a node."""
        if node.kind == "laid":
            place = self.places[node.item]
            return place.layer, place.x, place.y
        if node in self._cut_stops:
            return (node.layer, *self._cut_stops[node])
        return self.graph.position(node)

    def moves_into(self, node: Node, goes_to: XY | None) -> Sequence[Move]:
        """Return every move that ends at a node, laid ones among them."""
        known, extra = self.moves_in_two(node, goes_to)
        return [*[self._with_paid(move) if move.keys else move for move in known], *extra]

    def moves_in_two(self, node: Node, goes_to: XY | None) -> tuple[Sequence[Move], Sequence[Move]]:
        """Return the moves of `moves_into` in two parts: those of the first cost less by `saved_mm`.

        To make all those moves anew would take longer than to look at them.
        """
        extra = self._extra.get(node, ())
        if node.kind == "laid" or node in self._cut_stops:
            return (), extra
        known = self.graph.moves_into(node, goes_to)
        if node.kind == "stop" and (node.layer, node.item) in self._stretches:
            return (), [*extra, *(move for move in known if move.origin.kind == "fan")]
        return known, extra

    def steps_into(self, node: Node) -> list[Move]:
        """Return every move that ends at a node and is no straight leg, at what this run pays for it."""
        return [self._with_paid(move) if move.keys else move for move in self.graph.steps_into(node)]

    def _with_paid(self, move: Move) -> Move:
        origin, cost_mm, rail, link, keys = move
        return Move(origin, cost_mm - self.saved_mm(keys, cost_mm), rail, link, keys)

    def saved_mm(self, keys: tuple[Key, ...], cost_mm: float) -> float:
        """Return what of an amount others have paid, in mm."""
        if self.paid.keys().isdisjoint(keys):
            return 0.0
        return min(cost_mm, sum(self.paid.get(key, 0.0) for key in keys))

    def _tie(self, a: Node, b: Node, cost_mm: float, link: str | None, keys: tuple[Key, ...]) -> None:
        self._extra[b].append(Move(a, cost_mm, None, link, keys))
        self._extra[a].append(Move(b, cost_mm, None, link, keys))

    def _node(self, layer: int, x: float, y: float, side: int = -1) -> Node:
        place = Place(layer, x, y, side)
        if place not in self._numbers:
            self._numbers[place] = len(self.places)
            self.places.append(place)
        return Node("laid", layer, self._numbers[place], 0)

    def _lay(self, path: Path) -> None:
        """Lay a path: on rails as stretches, elsewhere as places tied together."""
        rails = [step.rail for step in path.steps]
        for i, (here, there) in enumerate(pairwise(path.steps)):
            before = rails[i - 1] if i else None
            if here.rail is not None:
                self._lay_on_rail(here, there, here.rail)
                if before is None:
                    self._join(here, here.rail, _side(path.nodes[i]))
            elif before is not None:
                self._join(here, before, _side(path.nodes[i + 1]))
            elif rails[i + 1] is None or not is_one_place(here, there):
                self._lay_leg(here, there, _side(path.nodes[i]), _side(path.nodes[i + 1]))

    def _lay_on_rail(self, here: Step, there: Step, rail: int) -> None:
        first, last = sorted(self._along_mm(here.layer, rail, (step.x, step.y)) for step in (here, there))
        self._stretches.setdefault((here.layer, rail), []).append((first, last))

    def _join(self, at: Step, rail: int, side: int) -> None:
        node = self._node(at.layer, at.x, at.y, side)
        self._joints.setdefault((at.layer, rail), []).append(((at.x, at.y), node))

    def _lay_leg(self, here: Step, there: Step, side: int, other_side: int) -> None:
        """Lay a straight leg, a crossing at one place, or a link."""
        a = self._node(here.layer, here.x, here.y, side)
        b = self._node(there.layer, there.x, there.y, other_side)
        if here.link is not None or is_one_place(here, there):
            if here.keys and here.link is None:
                self._blind.update((a, b))
            if a != b and self.avoid.isdisjoint(here.keys):
                self._tie(a, b, self.share * self._rest_mm(here), here.link, here.keys)
            return
        layer = self.graph.prepared[here.layer].layer
        middle = ((here.x + there.x) / 2.0, (here.y + there.y) / 2.0)
        if any(z.key in self.avoid and z.area.intersects(shapely.Point(middle)) for z in layer.zones):
            return
        length_mm = math.dist((here.x, here.y), (there.x, there.y))
        cost_mm = self.share * self._factor_at(here.layer, middle) * length_mm
        pieces = math.ceil(length_mm / STEP_MM)
        between = [(here.x + k / pieces * (there.x - here.x), here.y + k / pieces * (there.y - here.y))
                for k in range(1, pieces)]  # fmt: skip
        row = [a, *(self._node(here.layer, *at) for at in between), b]
        for one, other in pairwise(row):
            self._tie(one, other, cost_mm / pieces, None, ())

    def _factor_at(self, layer: int, at: XY) -> float:
        factors = self._cache.factors
        if (layer, at) not in factors:
            own = self.graph.prepared[layer].layer
            factors[layer, at] = factor_at(own.zones, own.factor, *at)
        return factors[layer, at]

    def _stops_mm(self, layer: int, rail: int) -> list[float]:
        known = self._cache.stops_mm
        if (layer, rail) not in known:
            own = self.graph.prepared[layer]
            spots = shapely.points([(stop.x, stop.y) for stop in own.stops[rail]])
            known[layer, rail] = shapely.line_locate_point(own.layer.rails[rail].line, spots).tolist()
        return known[layer, rail]

    def _along_mm(self, layer: int, rail: int, at: XY) -> float:
        """Return how far along a rail the place is that lies nearest."""
        known = self._cache.along_mm
        if (layer, rail, at) not in known:
            line = self.graph.prepared[layer].layer.rails[rail].line
            known[layer, rail, at] = float(shapely.line_locate_point(line, shapely.Point(at)))
        return known[layer, rail, at]

    def _rest_mm(self, step: Step) -> float:
        """Return what each run pays of a crossing's or link's amounts by itself: its rise, its climb."""
        layer = self.graph.prepared[step.layer].layer
        amounts: dict[Key, float] = {gate.key: gate.amount_mm for gate in layer.gates}
        amounts |= {link.key: link.cost_mm for link in self.graph.world.links if link.key == step.link}
        return sum(max(0.0, amounts.get(key, 0.0) - self.paid.get(key, 0.0)) for key in step.keys)

    def _cut_rail(self, layer: int, rail: int) -> tuple[RailStop, ...]:
        """Tie a rail's pieces, cut at its joints; return its stops with what whole pieces now cost."""
        here = self.graph.prepared[layer]
        stops = here.stops[rail]
        cuts = [
            _Cut(at_mm, stop_node(layer, rail, i), stop.x, stop.y)
            for i, (at_mm, stop) in enumerate(zip(self._stops_mm(layer, rail), stops, strict=True))
        ]
        for xy, node in self._joints.get((layer, rail), []):
            cut = self._cut_at(cuts, xy, (layer, rail))
            self._tie(node, cut.node, self.share * _joined_mm(here.layer.rails[rail], xy), None, ())
        cuts.sort(key=lambda cut: cut.at_mm)
        ends_mm = [cut.at_mm for cut in cuts if cut.node not in self._cut_stops]
        laid = _Covered(self._stretches[layer, rail])
        costs = [[0.0, 0.0] for _ in stops]
        base = -1
        for one, other in pairwise(cuts):
            base += one.node not in self._cut_stops
            own = (other.at_mm - one.at_mm) / max(ends_mm[base + 1] - ends_mm[base], ON_LINE_MM)
            share = self.share if laid.covers((one.at_mm + other.at_mm) / 2.0) else 1.0
            onward, back = stops[base], stops[base + 1]
            for direction, (a, b, stop, whole_mm, keys) in enumerate((
                (one.node, other.node, base, onward.forward_mm, onward.forward_keys),
                (other.node, one.node, base + 1, back.backward_mm, back.backward_keys),
            )):  # fmt: skip
                if whole_mm == math.inf:
                    continue
                cost_mm = own * self._unpaid_mm(layer, whole_mm, keys) * share
                costs[stop][direction] += cost_mm
                if self.avoid.isdisjoint(keys):
                    self._extra[b].append(Move(a, cost_mm, rail, None, keys))
        return tuple(_at_cost(stop, *own) for stop, own in zip(stops, costs, strict=True))

    def _cut_at(self, cuts: list[_Cut], xy: XY, rail: tuple[int, int]) -> _Cut:
        at_mm = self._along_mm(*rail, xy)
        for cut in cuts:
            if abs(cut.at_mm - at_mm) <= ON_LINE_MM:
                return cut
        stops = self.graph.prepared[rail[0]].stops[rail[1]]
        node = stop_node(*rail, len(stops) + len(cuts))
        self._cut_stops[node] = xy
        self._between[node] = sum(c.at_mm < at_mm for c in cuts if c.node not in self._cut_stops)
        cuts.append(_Cut(at_mm, node, *xy))
        return cuts[-1]

    def _unpaid_mm(self, layer: int, whole_mm: float, keys: tuple[Key, ...]) -> float:
        """Return what a rail's piece costs of which others may have paid amounts."""
        if not keys:
            return whole_mm
        amounts_mm = self._amounts_mm(layer, keys)
        return whole_mm - amounts_mm + max(0.0, amounts_mm - self.saved_mm(keys, amounts_mm))

    def _amounts_mm(self, layer: int, keys: tuple[Key, ...]) -> float:
        """Return what a rail's piece costs for the zones and gates that it meets."""
        known = self._cache.amounts_mm
        if layer not in known:
            on = self.graph.prepared[layer].layer
            known[layer] = {zone.key: zone.amount_mm for zone in on.zones}
            known[layer] |= {gate.key: gate.amount_mm for gate in on.gates}
        return sum(known[layer].get(key, 0.0) for key in keys)

    def _look(self, node: Node) -> None:
        """Tie what is seen from a laid place to it, but for places on a gate, which both sides would see."""
        if node in self._blind:
            return
        layer, x, y = self.position(node)
        key = (layer, (x, y))
        sights, extra = self._cache.sights, self._extra
        if key not in sights:
            sights[key] = tuple(self.graph.legs_from_point(layer, (x, y)))
        extra[node] += sights[key]
        for move in sights[key]:
            extra[move.origin].append(Move(node, move.cost_mm))

    def public_node(self, nodes: tuple[Node, ...], i: int) -> Node:
        """Return a node's name outside of here.

        A laid place goes by its side. A cut between two stops goes by the stop beyond it, as seen from the
        stop beside it on the way, so that whoever slides the joint there knows in which direction the rail is
        ridden.
        """
        node = nodes[i]
        if node.kind == "laid":
            return Node("laid", node.layer, self.places[node.item].side, 0)
        if node not in self._between:
            return node
        after = self._between[node]
        beside = [other for other in (nodes[i - 1], nodes[i + 1]) if other[:3] == node[:3]]
        return stop_node(node.layer, node.item, after - 1 if any(o.stop == after for o in beside) else after)


def _joined_mm(rail: Rail, at: XY) -> float:
    """Return what joining a rail costs where a laid path does, or may nearest to there."""
    spot = shapely.Point(at)
    cost_mm = float(joining_mm(rail, np.array([spot]))[0])
    if cost_mm < math.inf:
        return cost_mm
    return min(rail.joins, key=lambda join: (shapely.distance(join.line, spot), join.cost_mm)).cost_mm


def _at_cost(stop: RailStop, forward_mm: float, backward_mm: float) -> RailStop:
    """Return a stop with what its pieces cost now; a piece that could not be ridden cannot be."""
    forward_mm = forward_mm if stop.forward_mm < math.inf else math.inf
    backward_mm = backward_mm if stop.backward_mm < math.inf else math.inf
    if (forward_mm, backward_mm) == (stop.forward_mm, stop.backward_mm):
        return stop
    return replace(stop, forward_mm=forward_mm, backward_mm=backward_mm)


def _side(node: Node) -> int:
    return node.item if node.kind in ("fan", "laid") else -1


def is_one_place(here: Step, there: Step) -> bool:
    """Return whether two steps are at one place."""
    return (here.layer, here.x, here.y) == (there.layer, there.x, there.y)
