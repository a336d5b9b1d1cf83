"""The graph a search stands on: a world made ready for questions, and every move from place to place.

Places are fans (a vertex as seen from one side), stops of rails, and sites (given points). A path goes
straight inside a region and bends only at corners of free space, at vertices of borders, and where it joins
or leaves a rail.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from heapq import heappop, heappush
from itertools import count
from typing import Literal, NamedTuple, Protocol, TypeAlias

from router.memory import remembered
from router.plane import Seen, look_from_fan, look_from_point, triangles_holding
from router.search.prepared_layer import PreparedLayer, prepare_layer
from router.search.world import XY, Key, Layer, World
from router.stopping import stop_if_asked

NodeKind: TypeAlias = Literal["fan", "stop", "site", "laid"]


MOST_SIGHTS = 100_000
"""How many rows of moves are kept of a layer, before a new graph of it begins with none."""


class Node(NamedTuple):
    """A place that a search stands on; made by `fan_node`, `stop_node` and `site_node`.

    `item` is the number of a fan or rail in its layer, of a site in the graph, or of a place of what is laid
    (`beside`); `stop` that of a rail's stop, else 0.
    """

    kind: NodeKind
    layer: int
    item: int
    stop: int


class Move(NamedTuple):
    """A move as told from its far end: where it comes from, its cost, and by which rail or link, if any.

    `keys` are those of what is paid for or used on it.
    """

    origin: Node
    cost_mm: float
    rail: int | None = None
    link: str | None = None
    keys: tuple[Key, ...] = ()


@cache
def fan_node(layer: int, fan: int) -> Node:
    """Return the node of a fan: a vertex as seen from one side."""
    return Node("fan", layer, fan, 0)


@cache
def stop_node(layer: int, rail: int, stop: int) -> Node:
    """Return the node of a stop of a rail.

    Parameters
    ----------
    layer, rail, stop : int
        Numbers: of the layer, of its rail, of that rail's stop.
    """
    return Node("stop", layer, rail, stop)


@cache
def site_node(site: int) -> Node:
    """Return the node of a site; its layer is the site's own, and not told."""
    return Node("site", 0, site, 0)


class LowerBounds(Protocol):
    """Who knows by place what a path to it from a start costs at least, whatever it meets or avoids."""

    def lower_bounds_from(self, start: int) -> Mapping[Node, float]:
        """Return the least efforts from a start."""


class SightGraph:
    """A world made ready for questions between given sites.

    Parameters
    ----------
    world : World
    sites : sequence of (layer, (x, y))
        The points that questions run between; the ends of links are added to them. They may be moved.
    step_mm : float
        Longest piece of a border or rail without a vertex.
    """

    def __init__(self, world: World, sites: tuple[tuple[int, XY], ...], step_mm: float) -> None:
        self.world = world
        self.sites = list(sites)
        self._movable = len(sites)
        self._links: dict[int, list[tuple[int, str, float]]] = {}
        for link in world.links:
            self._add_link(link.key, link.layers, link.ends, link.cost_mm)
        self._local: list[dict[int, int]] = []
        self._local_of: list[dict[int, int]] = []
        self.prepared = [self._prepare_layer(number, step_mm) for number in range(len(world.layers))]
        self.least_factor = min(own.least_factor for own in self.prepared)
        self._fan_nodes = [_FanNodes(layer) for layer in range(len(world.layers))]
        self._seen: dict[tuple[Node, XY | None], list[Move]] = {}
        """By fixed site: the moves into it."""
        self._sights = [self._sights_of(number, step_mm) for number in range(len(world.layers))]
        """By layer: the moves into its fans and stops."""
        self._begun: dict[int, dict[Node, Move]] = {}
        """By site that may be moved and that paths began at: its legs to fans and fixed sites."""
        self._open: dict[Node, Move] = {}
        """The legs of the one site that paths begin at now."""
        self._looked_from: dict[int, list[Move]] = {}
        """By site that may be moved: the legs to it."""
        self._bounds_from: dict[int, Mapping[Node, float] | None] = {}
        """By site that paths began at: what is known about the efforts from there."""
        self.bounds: LowerBounds | None = None
        """Who knows beforehand what paths cost at least; may be set where sites are not moved."""

    def _sights_of(self, layer: int, step_mm: float) -> Sights:
        fixed = tuple(
            (number, at)
            for number, (on, at) in enumerate(self.sites)
            if on == layer and number >= self._movable
        )
        sights = _layer_sights(self.world.layers[layer], layer, step_mm, fixed)
        if len(sights) > MOST_SIGHTS:
            sights.clear()
        return sights

    def _add_link(self, key: str, layers: tuple[int, int], ends: tuple[XY, XY], cost_mm: float) -> None:
        first, second = len(self.sites), len(self.sites) + 1
        self.sites += [(layers[0], ends[0]), (layers[1], ends[1])]
        self._links.setdefault(first, []).append((second, key, cost_mm))
        self._links.setdefault(second, []).append((first, key, cost_mm))

    def _prepare_layer(self, layer: int, step_mm: float) -> PreparedLayer:
        here = [number for number, (on, _) in enumerate(self.sites) if on == layer]
        self._local.append(dict(enumerate(here)))
        self._local_of.append({site: local for local, site in enumerate(here)})
        fixed = frozenset(local for local, number in enumerate(here) if number >= self._movable)
        return prepare_layer(self.world.layers[layer], [self.sites[n][1] for n in here], step_mm, fixed)

    def move_site(self, site: int, x: float, y: float) -> None:
        """Put one of the given sites somewhere else on its layer; nothing but what it sees is made again.

        Parameters
        ----------
        site : int
        x, y : float
            Where to. [mm]
        """
        layer = self.sites[site][0]
        self.sites[site] = (layer, (x, y))
        self.prepared[layer].visibility.move_site(self._local_of[layer][site], x, y)
        self._begun.pop(site, None)
        self._open = {}
        self._looked_from.clear()
        self._bounds_from.pop(site, None)

    def is_movable(self, site: int) -> bool:
        """Return whether a site was given, and is no end of a link."""
        return site < self._movable

    def local_sites(self, layer: int) -> dict[int, int]:
        """Return the sites of one layer, each with its number in that layer."""
        return self._local_of[layer]

    def position(self, node: Node) -> tuple[int, float, float]:
        """Return the layer and the coordinates of a node."""
        kind, layer, first, second = node
        if kind == "fan":
            mesh = self.prepared[layer].mesh
            corner = mesh.fans[first]
            return layer, mesh.corner_x[corner], mesh.corner_y[corner]
        if kind == "stop":
            stop = self.prepared[layer].stops[first][second]
            return layer, stop.x, stop.y
        on, (x, y) = self.sites[first]
        return on, x, y

    def moves_into(self, node: Node, goes_to: XY | None) -> Sequence[Move]:
        """Yield every move that ends at a node; at a bend only those of a taut path on to `goes_to`.

        Legs from the site that `open_site` was called for last are among them.
        """
        if node.kind == "site" and node.item < self._movable:
            return self._legs_to(node.item)
        if goes_to is not None and not self.is_bend(node):
            goes_to = None  # only there does it matter
        seen = self._seen if node.kind == "site" else self._sights[node.layer]
        known = seen.get((node, goes_to))
        if known is None:
            stop_if_asked()
            known = seen[node, goes_to] = list(self._make_moves(node, goes_to))
        begun = self._open.get(node)
        return [*known, begun] if begun else known

    def is_bend(self, node: Node) -> bool:
        """Return whether a node is a corner of free space that a path may bend round."""
        return node.kind == "fan" and self.prepared[node.layer].bends[node.item] is not None

    def close_sites(self) -> None:
        """Let paths begin at no site: only at places of what is laid."""
        self._open = {}

    def open_site(self, site: int) -> None:
        """Let paths begin at a site, and at no other one: what is found depends on no earlier question."""
        if site not in self._begun:
            here = site_node(site)
            self._begun[site] = {
                leg.origin: Move(here, leg.cost_mm)
                for leg in (self._legs_to(site) if site < self._movable else ())
                if leg.origin.kind == "fan" or leg.origin.item >= self._movable
            }
        self._open = self._begun[site]

    def lower_bounds_from(self, start: int, goal: int) -> Mapping[Node, float]:
        """Return by place what a path to it from the start costs at least.

        The first time a bound by the straight line; when paths begin there again, the efforts from there.
        """
        if self.bounds is not None:
            known = self._bounds_from.get(start)
            if known is None:
                known = self._bounds_from[start] = self.bounds.lower_bounds_from(start)
            return known
        if start not in self._bounds_from:
            self._bounds_from[start] = None
            return StraightLineBound(self, site_node(start), self.least_factor)
        reach = self._bounds_from[start] or SearchedBound(self, start)
        assert isinstance(reach, SearchedBound)
        self._bounds_from[start] = reach
        reach.extend_to(goal)
        return reach

    def without_zones(self, move: Move, layer: int) -> float:
        """Return what a move costs less the amounts of zones, which one of its two directions pays."""
        amounts = sum(zone.amount_mm for zone in self.world.layers[layer].zones if zone.key in move.keys)
        return move.cost_mm - amounts

    def _legs_to(self, site: int) -> list[Move]:
        if site not in self._looked_from:
            self._looked_from[site] = list(self._moves_to_site(site))
        return self._looked_from[site]

    def _make_moves(self, node: Node, goes_to: XY | None) -> Iterable[Move]:
        kind, layer, first, second = node
        if kind == "stop":
            return self._moves_on_rail(layer, first, second)
        if kind == "site":
            return self._moves_to_site(first)
        return self._moves_to_fan(layer, first, goes_to)

    def _moves_on_rail(self, layer: int, rail: int, index: int) -> Iterator[Move]:
        prepared = self.prepared[layer]
        stops = prepared.stops[rail]
        if index > 0 and stops[index - 1].forward_mm < math.inf:
            before = stops[index - 1]
            yield Move(stop_node(layer, rail, index - 1), before.forward_mm, rail, None, before.forward_keys)
        if index + 1 < len(stops) and stops[index + 1].backward_mm < math.inf:
            after = stops[index + 1]
            yield Move(stop_node(layer, rail, index + 1), after.backward_mm, rail, None, after.backward_keys)
        for fan in stops[index].fans:
            yield Move(fan_node(layer, fan), stops[index].join_mm)

    def _links_to(self, site: int) -> Iterator[Move]:
        for other, key, cost_mm in self._links.get(site, ()):
            amount_mm, keys = self._landing(other, site)
            yield Move(site_node(other), cost_mm + amount_mm, None, key, (key, *keys))

    def _moves_to_site(self, site: int) -> Iterator[Move]:
        yield from self._links_to(site)
        for leg in self.legs_from_point(*self.sites[site], site):
            if site < self._movable or leg.origin.kind == "fan" or leg.origin.item >= self._movable:
                yield leg

    def legs_from_point(self, layer: int, at: XY, site: int = -1) -> Iterator[Move]:
        """Yield the straight moves to (or from) any point of a layer; none where it is not free.

        Parameters
        ----------
        layer : int
        at : (x, y)
            The point. [mm]
        site : int
            The number of the site that is there; -1 where there is none.
        """
        x, y = at
        prepared = self.prepared[layer]
        triangles = self._triangles_at(site) if site >= 0 else triangles_holding(prepared.mesh, x, y)
        for region in sorted({prepared.mesh.region[t] for t in triangles}):
            own = [t for t in triangles if prepared.mesh.region[t] == region]
            yield from self._legs(layer, look_from_point(prepared.visibility, x, y, own), at, region, site)

    def _moves_to_fan(self, layer: int, fan: int, goes_to: XY | None) -> list[Move]:
        prepared = self.prepared[layer]
        mesh = prepared.mesh
        corner = mesh.fans[fan]
        at = (mesh.corner_x[corner], mesh.corner_y[corner])
        seen = look_from_fan(prepared.visibility, fan, None if goes_to == at else goes_to)
        legs = self._legs(layer, seen, at, mesh.fan_region(fan), -1)
        return legs if prepared.bends[fan] is not None else [*self._steps_to_fan(layer, fan), *legs]

    def steps_into(self, node: Node) -> Iterator[Move]:
        """Yield every move that ends at a node and is no straight leg: by rails, over borders, by links."""
        kind, layer, first, second = node
        if kind == "fan":
            return self._steps_to_fan(layer, first)
        return self._moves_on_rail(layer, first, second) if kind == "stop" else self._links_to(first)

    def _steps_to_fan(self, layer: int, fan: int) -> Iterator[Move]:
        prepared = self.prepared[layer]
        for rail, stop in prepared.stops_at.get(fan, ()):
            yield Move(stop_node(layer, rail, stop), prepared.stops[rail][stop].join_mm)
        if prepared.bends[fan] is None and not prepared.mesh.fan_round[fan]:
            yield from self._moves_across(layer, fan)

    def _moves_across(self, layer: int, fan: int) -> Iterator[Move]:
        """Yield moves over the border edges that bound a fan, from the fans on their other sides."""
        mesh = self.prepared[layer].mesh
        for turn, edge in zip((2, 1), mesh.fan_sides(fan), strict=True):
            across = mesh.across[edge]
            if across < 0:
                continue
            other = mesh.fan_of[across - across % 3 + (across + turn) % 3]
            cost_mm, keys = self.crossing(layer, edge)
            yield Move(fan_node(layer, other), cost_mm, keys=keys)

    def crossing(self, layer: int, edge: int) -> tuple[float, tuple[Key, ...]]:
        """Return cost and keys of stepping over the edge opposite to a corner, into the corner's triangle."""
        prepared = self.prepared[layer]
        mesh = prepared.mesh
        cost_mm, keys = 0.0, []
        if mesh.gate[edge] >= 0:
            gate = prepared.layer.gates[mesh.gate[edge]]
            cost_mm, keys = gate.amount_mm, [gate.key]
        into, out_of = (mesh.region[corner // 3] for corner in (edge, mesh.across[edge]))
        amount_mm, entered = self._amounts(prepared, prepared.zones_of[into] - prepared.zones_of[out_of])
        return cost_mm + amount_mm, (*keys, *entered)

    def _legs(self, layer: int, seen: Seen, at: XY, region: int, site: int) -> list[Move]:
        """Return the legs to what is seen; to a bend only where a path can go on bending round it.

        Rounding counts in favour of a leg.
        """
        prepared = self.prepared[layer]
        mesh, factor, bends, sure, hypot = (
            prepared.mesh,
            prepared.factor[region],
            prepared.bends,
            prepared.mesh.sure,
            math.hypot,
        )
        (x, y), nodes = at, self._fan_nodes[layer]
        legs: list[Move] = []
        for fan in seen.fans:
            bend = bends[fan]
            if bend is None:
                corner = mesh.fans[fan]
                ux, uy = mesh.corner_x[corner] - x, mesh.corner_y[corner] - y
            else:
                ux, uy, ax, ay, bx, by = bend
                ux -= x
                uy -= y
                one, two = ux * ay - uy * ax, ux * by - uy * bx
                if (one >= sure and two <= -sure) or (one <= -sure and two >= sure):
                    continue
            legs.append(Move(nodes[fan], hypot(ux, uy) * factor))
        for local, length_mm in seen.sites:
            other = self._local[layer][local]
            if other != site:
                legs.append(Move(site_node(other), length_mm * factor))
        return legs

    def entry_mm(self, site: int) -> tuple[float, tuple[Key, ...]]:
        """Return what it costs to begin at a site: the amounts of the zones that it lies in."""
        prepared = self.prepared[self.sites[site][0]]
        return self._amounts(prepared, self._zones_at(site))

    def _zones_at(self, site: int) -> frozenset[int]:
        prepared = self.prepared[self.sites[site][0]]
        triangles = self._triangles_at(site)
        return prepared.zones_of[prepared.mesh.region[triangles[0]]] if triangles else frozenset()

    def _landing(self, site: int, other: int) -> tuple[float, tuple[Key, ...]]:
        """Return the amounts of the zones that a link leads into."""
        zones = self._zones_at(other)
        if self.sites[site][0] == self.sites[other][0]:
            zones -= self._zones_at(site)
        return self._amounts(self.prepared[self.sites[other][0]], zones)

    @staticmethod
    def _amounts(prepared: PreparedLayer, zones: frozenset[int]) -> tuple[float, tuple[Key, ...]]:
        entered = [prepared.layer.zones[z] for z in sorted(zones)]
        return sum((z.amount_mm for z in entered), 0.0), tuple(z.key for z in entered)

    def is_free(self, site: int) -> bool:
        """Return whether a site lies in free space."""
        return bool(self._triangles_at(site))

    def _triangles_at(self, site: int) -> tuple[int, ...]:
        layer = self.sites[site][0]
        return self.prepared[layer].visibility.triangles_of[self._local_of[layer][site]]


Sights: TypeAlias = dict[tuple[Node, XY | None], list[Move]]
"""By fan or stop, and where the path goes on to (None: no matter where): the moves into it."""


@remembered(most=48)
def _layer_sights(layer: Layer, number: int, step_mm: float, fixed: tuple[tuple[int, XY], ...]) -> Sights:
    """Return what was seen so far from places of a layer; more is added to it as it is asked for.

    Whatever is added depends on these arguments only, not on the sites that may be moved.

    Parameters
    ----------
    layer : Layer
    number : int
        Its number in its world, which nodes carry.
    step_mm : float
        Longest piece of a border or rail without a vertex.
    fixed : tuple of (int, (x, y))
        The numbers and the places of the ends of links in it.
    """
    return {}


class _FanNodes(dict[int, Node]):
    """The nodes of one layer's fans, each made once: a leg's end is looked up and compared very often."""

    def __init__(self, layer: int) -> None:
        super().__init__()
        self._layer = layer

    def __missing__(self, fan: int) -> Node:
        node = self[fan] = fan_node(self._layer, fan)
        return node


class StraightLineBound(dict[Node, float]):
    """By place: what a path to it from the start costs at least, worked out when first asked for."""

    def __init__(self, graph: SightGraph, start_node: Node, rate: float) -> None:
        super().__init__()
        self._position, self._rate = graph.position, rate
        _, self._x, self._y = graph.position(start_node)

    def __missing__(self, node: Node) -> float:
        _, x, y = self._position(node)
        bound_mm = self[node] = self._rate * math.hypot(self._x - x, self._y - y)
        return bound_mm


class SearchedBound(dict[Node, float]):
    """By place: the least effort to it from a site, amounts of zones left out; all others lie further off.

    Found by the same search from the start onward. It is no more than any path's effort, whatever is to be
    met or avoided, and serves every question from this start.
    """

    def __init__(self, graph: SightGraph, start: int) -> None:
        super().__init__()
        self._graph = graph
        self._ticket = count()
        self._best: dict[Node, float] = {site_node(start): 0.0}
        self._before: dict[Node, XY | None] = {}
        self._queue = [(0.0, next(self._ticket), site_node(start))]
        self._least_mm = 0.0
        """What every place that is not closed costs at least."""

    def __missing__(self, node: Node) -> float:
        return self._least_mm

    def extend_to(self, goal: int) -> None:
        """Go on until everything nearer than a goal is closed."""
        to_goal = {node: cost_mm for node, cost_mm, *_ in self._graph.moves_into(site_node(goal), None)}
        goal_mm = min((self[n] + c for n, c in to_goal.items() if n in self), default=math.inf)
        while self._queue and self._least_mm < goal_mm:
            self._least_mm, _, node = heappop(self._queue)
            if node not in self:
                self[node] = self._least_mm
                goal_mm = min(goal_mm, self._least_mm + to_goal.get(node, math.inf))
                self._extend_from(node)
        if not self._queue:
            self._least_mm = math.inf

    def _extend_from(self, node: Node) -> None:
        graph, best = self._graph, self._best
        here_mm, at = self[node], graph.position(node)
        for move in graph.moves_into(node, self._before.get(node)):
            onward, cost_mm, rail, link, keys = move
            effort_mm = here_mm + (graph.without_zones(move, at[0]) if keys else cost_mm)
            if effort_mm < best.get(onward, math.inf) and onward not in self:
                best[onward] = effort_mm
                is_leg = rail is None and link is None and graph.position(onward)[1:] != at[1:]
                self._before[onward] = at[1:] if is_leg else None
                heappush(self._queue, (effort_mm, next(self._ticket), onward))
