"""Slide the places where a found way crosses a border or joins a rail to where they are best.

For a fixed order of borders the effort is convex in the crossing points, so a shrinking grid of positions
with dynamic programming over neighbours finds them. A leg that would leave its region is ruled out; the
found way itself is always among the candidates, so polishing never makes a way worse. Bends that the moved
places need no more are left out, and the rest is slid again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np
import shapely

from router.plane.mesh import Mesh
from router.routing.ground import XY, Field
from router.routing.search import Ground, Node, Step, Way
from router.routing.turning import corners_between, ways_round

SHARES = (0.0, 0.1, 0.3, 0.6, 1.0)
"""Positions tried on each side, as shares of the reach of a round."""
SHRINK = 0.3
ROUNDS = 9
TIMES = 12
"""How often at most places are led on to the next vertex, and bends left out."""


@dataclass(frozen=True, slots=True)
class _Slide:
    """A direction in which a place may move, how far, and the extra effort of each mm."""

    ux: float
    uy: float
    far_mm: float
    rate: float
    fans: tuple[int, int] | None = None
    """Along a border: the fans of the vertex at its far end, before the border and behind it."""


@dataclass(frozen=True, slots=True)
class _Contact:
    """One place of the way: the steps that stand on it, where it may slide, and the leg that leaves it.

    `factor` and `area` belong to the straight leg to the next contact; None where a rail or link leads on.
    """

    first: int
    last: int
    at: XY
    slides: tuple[_Slide, ...]
    factor: float | None
    area: Any
    is_bend: bool
    """Whether it is nothing but a corner of free space that the way bends round."""
    nodes: tuple[Node, ...]
    ride: XY | None
    """Where a rail leads on from here, as (dx, dy); a ride that starts and ends here must not turn round."""


_Offset: TypeAlias = tuple[int, float]
_Position: TypeAlias = tuple[float, float, float]
_Layer: TypeAlias = list[tuple[_Offset, _Position]]
_Leg: TypeAlias = tuple[int, ...]
"""Between contact number k - 1 at its position i and contact k at its position j: (k, i, j)."""


def polish(ground: Ground, way: Way) -> Way:
    """Return the way with its free places where they are best; never with more effort."""
    best = _polished(ground, way)
    for turned in ways_round(ground, way):
        best = min(best, _polished(ground, turned), key=lambda each: each.effort_mm)
    return best


def _polished(ground: Ground, found: Way) -> Way:
    way = _opened(found)
    contacts = _contacts(ground, way)
    before_mm = _effort(contacts, [(*c.at, 0.0) for c in contacts])
    offsets = [(0, 0.0)] * len(contacts)
    tried: set[Node] = set()
    for _ in range(TIMES):
        offsets, spots = _settled(contacts, offsets)
        changed = _led_on(ground, contacts, offsets)
        while (idle := _idle_bend(contacts, spots)) is not None:
            for items in (contacts, offsets, spots):
                del items[idle]
            changed = True
        if not changed and not _bent(ground, contacts, offsets, spots, tried):
            break
    gain_mm = before_mm - _effort(contacts, spots)
    return _moved(way, contacts, spots, gain_mm) if gain_mm > 0.0 else found


def _bent(
    ground: Ground,
    contacts: list[_Contact],
    offsets: list[_Offset],
    spots: list[_Position],
    tried: set[Node],
) -> bool:
    """Bend those legs that keep places from sliding on round what is in their way; tell if any has."""
    _, wanted = _settled(contacts, offsets, is_free=True)
    changed = False
    for number in reversed(range(len(contacts) - 1)):
        contact, ends = contacts[number], [spots[n][:2] for n in (number, number + 1)]
        moved = [wanted[n][:2] for n in (number, number + 1)]
        if contact.area is None or moved == ends or shapely.covers(contact.area, shapely.LineString(moved)):
            continue
        sheet = contact.nodes[0][1] if contact.nodes[0][0] != "site" else ground.sites[contact.nodes[0][2]][0]
        field = ground.fields[sheet]
        nodes = [("fan", sheet, fan, 0) for fan in corners_between(field, ends, moved)]
        places = [field.place(node[2]) for node in nodes]
        line = shapely.LineString([ends[0], *places, ends[1]])
        if not nodes or not tried.isdisjoint(nodes) or not shapely.covers(contact.area, line):
            continue
        tried.update(nodes)
        for node, at in zip(reversed(nodes), reversed(places), strict=True):
            bend = replace(contact, first=contact.last, at=at, slides=(), is_bend=True, nodes=(node,))
            contacts.insert(number + 1, bend)
            offsets.insert(number + 1, (0, 0.0))
            spots.insert(number + 1, (*at, 0.0))
        changed = True
    return changed


def _opened(way: Way) -> Way:
    """Return the way with a place where it crosses several borders at once taken apart, border by border.

    Each border then has its own two steps; the fan between two borders stands twice, one after the other.
    """
    steps: list[Step] = []
    nodes: list[Node] = []
    for number, (step, node) in enumerate(zip(way.steps, way.nodes, strict=True)):
        is_between = 0 < number < len(way.nodes) - 1 and all(
            way.nodes[n][0] == "fan" and _same_place(way.steps[n], step)
            for n in (number - 1, number, number + 1)
        )
        if is_between:
            steps.append(replace(step, keys=()))
            nodes.append(node)
        steps.append(step)
        nodes.append(node)
    return replace(way, steps=tuple(steps), nodes=tuple(nodes))


def _led_on(ground: Ground, contacts: list[_Contact], offsets: list[_Offset]) -> bool:
    """Stand those places on the next vertex of their border that have slid as far as it; tell if any has."""
    changed = False
    for number, (contact, (slide, at_mm)) in enumerate(zip(contacts, offsets, strict=True)):
        fans = contact.slides[slide].fans if contact.slides else None
        if fans is None or at_mm < contact.slides[slide].far_mm:
            continue
        field = ground.fields[contact.nodes[0][1]]
        slides = _border_slides(field, *fans)
        if slides:
            vertex = field.mesh.fan_vertex(fans[0])
            nodes = tuple(("fan", node[1], fan, 0) for node, fan in zip(contact.nodes, fans, strict=True))
            at = (field.mesh.x[vertex], field.mesh.y[vertex])
            contacts[number] = replace(contact, at=at, slides=slides, nodes=nodes)
            offsets[number] = (0, 0.0)
            changed = True
    return changed


def _settled(
    contacts: list[_Contact], offsets: list[_Offset], *, is_free: bool = False
) -> tuple[list[_Offset], list[_Position]]:
    """Return where the places are best, by grids that shrink round by round; `is_free`: over anything."""
    reach = 1.0
    for _ in range(ROUNDS):
        offsets, spots = _improve(contacts, offsets, reach, is_free)
        reach *= SHRINK
    return offsets, spots


def _idle_bend(contacts: list[_Contact], spots: list[_Position]) -> int | None:
    """Return a plain bend that the places beside it, where they are now, need no more, else None."""
    for number in range(1, len(contacts) - 1):
        before, here = contacts[number - 1], contacts[number]
        if here.is_bend and before.area is not None and before.area is here.area:
            leg = shapely.LineString([spots[number - 1][:2], spots[number + 1][:2]])
            if shapely.covers(here.area, leg):
                return number
    return None


def _contacts(ground: Ground, way: Way) -> list[_Contact]:
    groups: list[list[int]] = []
    for number, step in enumerate(way.steps):
        before = way.steps[number - 1]
        is_apart = number > 0 and way.nodes[number] == way.nodes[number - 1]
        if groups and _same_place(before, step) and before.link is None and not is_apart:
            groups[-1].append(number)
        else:
            groups.append([number])
    return [_contact(ground, way, group) for group in groups]


def _same_place(a: Step, b: Step) -> bool:
    return (a.sheet, a.x, a.y) == (b.sheet, b.x, b.y)


def _contact(ground: Ground, way: Way, group: list[int]) -> _Contact:
    first, last = group[0], group[-1]
    step = way.steps[last]
    factor, area = None, None
    if step.rail is None and step.link is None and last + 1 < len(way.steps):
        field = ground.fields[step.sheet]
        region = _leg_region(field, way.nodes[last], way.nodes[last + 1], way.steps[last + 1])
        factor, area = field.factor[region], field.region_area(region)
    slides = _slides(ground, way, group)
    kind, sheet, fan, _ = way.nodes[last]
    is_bend = first == last and kind == "fan" and ground.fields[sheet].bends[fan] is not None
    nodes, ride = way.nodes[first : last + 1], None
    if step.rail is not None:
        ride = (way.steps[last + 1].x - step.x, way.steps[last + 1].y - step.y)
    return _Contact(first, last, (step.x, step.y), slides, factor, area, is_bend, nodes, ride)


def _leg_region(field: Field, node: Node, following: Node, to: Step) -> int:
    for place in (node, following):
        if place[0] == "fan":
            return field.mesh.fan_region(place[2])
    return field.region_at(to.x, to.y)


def _slides(ground: Ground, way: Way, group: list[int]) -> tuple[_Slide, ...]:
    nodes = [way.nodes[i] for i in group]
    fans = [n[2] for n in nodes if n[0] == "fan"]
    stops = [n for n in nodes if n[0] == "stop"]
    field = ground.fields[way.steps[group[0]].sheet]
    if len(stops) == 1 and len(fans) == 1:
        return _rail_slides(field, way, group, stops[0], nodes[0][0] == "fan")
    if len(fans) == 2 and not stops and len(nodes) == 2:
        return _border_slides(field, fans[0], fans[1])
    return ()


def _border_slides(field: Field, fan: int, other: int) -> tuple[_Slide, ...]:
    """Return the directions along the border between two fans of a vertex, in the order of the way."""
    mesh = field.mesh
    vertex = mesh.fan_vertex(fan)
    at = (mesh.x[vertex], mesh.y[vertex])
    slides = []
    for border, end in zip(mesh.fan_sides(fan), mesh.fan_ends(fan), strict=True):
        across = mesh.across[border]
        if across >= 0 and _fan_at(mesh, across, vertex) == other:  # else it ends at a wall
            fans = (_fan_at(mesh, border, end), _fan_at(mesh, across, end))
            slides.append(replace(_slide_to(at, (mesh.x[end], mesh.y[end]), 0.0), fans=fans))
    return tuple(slides)


def _fan_at(mesh: Mesh, corner: int, vertex: int) -> int:
    """Return the fan that the triangle of a corner belongs to at one of its vertices."""
    first = corner - corner % 3
    return next(mesh.fan_of[c] for c in range(first, first + 3) if mesh.corner_vertex[c] == vertex)


def _slide_to(at: XY, end: XY, rate: float) -> _Slide:
    length_mm = math.dist(at, end)
    return _Slide((end[0] - at[0]) / length_mm, (end[1] - at[1]) / length_mm, length_mm, rate)


def _rail_slides(field: Field, way: Way, group: list[int], stop: Node, joins: bool) -> tuple[_Slide, ...]:
    """Return the two directions along a rail at the stop where a way joins or leaves it."""
    _, _, rail, index = stop
    stops = field.stops[rail]
    ridden = group[-1] + 1 if joins else group[0] - 1
    toward = 1 if way.nodes[ridden][3] > index else -1
    slides = []
    for step in (1, -1):
        other = index + step
        here = stops[index]
        effort_mm = here.forward_mm if step > 0 else here.backward_mm
        if not 0 <= other < len(stops) or effort_mm == math.inf or not stops[other].fans:
            continue
        at, end = (here.x, here.y), (stops[other].x, stops[other].y)
        rate = effort_mm / math.dist(at, end)
        slides.append(_slide_to(at, end, -rate if step == toward else rate))
    return tuple(slides)


def _positions(contact: _Contact, offset: _Offset, reach: float) -> _Layer:
    """Return candidate offsets of a contact round its present one, with their places."""
    found = [(offset, _place(contact, offset))]
    for number, slide in enumerate(contact.slides):
        centre_mm = offset[1] if number == offset[0] else 0.0
        for share in SHARES:
            for sign in (1.0, -1.0):
                at_mm = centre_mm + sign * share * reach * slide.far_mm
                if 0.0 <= at_mm <= slide.far_mm:
                    found.append(((number, at_mm), _place(contact, (number, at_mm))))
    return found


def _place(contact: _Contact, offset: _Offset) -> _Position:
    number, at_mm = offset
    if not contact.slides:
        return (*contact.at, 0.0)
    slide = contact.slides[number]
    return contact.at[0] + slide.ux * at_mm, contact.at[1] + slide.uy * at_mm, slide.rate * at_mm


def _improve(
    contacts: list[_Contact], offsets: list[_Offset], reach: float, is_free: bool
) -> tuple[list[_Offset], list[_Position]]:
    """Return the best offsets on this round's grid whose legs all stay in their regions, or may leave them."""
    layers = [_positions(c, o, reach) for c, o in zip(contacts, offsets, strict=True)]
    ruled_out: set[_Leg] = set()
    judged: set[int] = set()
    while True:
        picks = _cheapest(contacts, layers, ruled_out)
        bad = set() if is_free else _strays(contacts, layers, picks, judged)
        if not bad:
            chosen = [layer[pick] for layer, pick in zip(layers, picks, strict=True)]
            return [offset for offset, _ in chosen], [place for _, place in chosen]
        ruled_out |= bad


def _cheapest(
    contacts: list[_Contact],
    layers: list[_Layer],
    ruled_out: set[_Leg],
) -> list[int]:
    costs = [place[2] for _, place in layers[0]]
    back: list[list[int]] = []
    for k in range(1, len(layers)):
        factor = contacts[k - 1].factor
        ride = contacts[k - 1].ride if contacts[k - 1].slides and contacts[k].slides else None
        following, pointers = [], []
        for j, (_, (bx, by, extra)) in enumerate(layers[k]):
            best, best_i = math.inf, 0
            for i, (_, (ax, ay, _)) in enumerate(layers[k - 1]):
                leg = factor * math.hypot(bx - ax, by - ay) if factor is not None else 0.0
                if ride is not None and (bx - ax) * ride[0] + (by - ay) * ride[1] < 0.0:
                    continue
                if costs[i] + leg < best and (k, i, j) not in ruled_out:
                    best, best_i = costs[i] + leg, i
            following.append(best + extra)
            pointers.append(best_i)
        costs = following
        back.append(pointers)
    picks = [min(range(len(costs)), key=costs.__getitem__)]
    for pointers in reversed(back):
        picks.append(pointers[picks[-1]])
    return picks[::-1]


def _strays(contacts: list[_Contact], layers: list[_Layer], picks: list[int], judged: set[int]) -> set[_Leg]:
    """Return the legs that leave their region; one between unmoved places is known to stay inside.

    Where a leg does, all others between the same two contacts are judged with it, for they come next.
    """
    bad = set()
    for k in range(1, len(picks)):
        i, j = picks[k - 1], picks[k]
        area = contacts[k - 1].area
        if (i, j) == (0, 0) or area is None or k in judged:
            continue
        ends = [layers[k - 1][i][1][:2], layers[k][j][1][:2]]
        if not shapely.covers(area, shapely.linestrings(ends)):
            judged.add(k)
            bad |= {(k, *pair) for pair in _outside(area, layers[k - 1], layers[k])}
    return bad


def _outside(area: Any, before: _Layer, after: _Layer) -> list[list[int]]:
    """Return the pairs of numbers of places between which the straight leg leaves an area."""
    starts = np.array([place[:2] for _, place in before])
    stops = np.array([place[:2] for _, place in after])
    legs = np.empty((len(starts), len(stops), 2, 2))
    legs[:, :, 0], legs[:, :, 1] = starts[:, None], stops[None]
    outside = ~shapely.covers(area, shapely.linestrings(legs))
    outside[0, 0] = False
    found: list[list[int]] = np.argwhere(outside).tolist()
    return found


def _effort(contacts: list[_Contact], spots: list[_Position]) -> float:
    total_mm = sum(extra for _, _, extra in spots)
    for contact, a, b in zip(contacts, spots, spots[1:], strict=False):
        if contact.factor is not None:
            total_mm += contact.factor * math.dist(a[:2], b[:2])
    return total_mm


def _moved(way: Way, contacts: list[_Contact], spots: list[_Position], gain_mm: float) -> Way:
    steps: list[Step] = []
    nodes: list[Node] = []
    for contact, (x, y, extra_mm) in zip(contacts, spots, strict=True):
        group = range(contact.first, contact.last + 1)
        steps_here = [replace(way.steps[n], x=x, y=y) for n in group]
        own = list(zip(steps_here, contact.nodes, strict=True))
        if extra_mm > 0.0:
            own = _riding_further(own, way.steps[contact.first - 1].rail, contact.at)
        steps += [step for step, _ in own]
        nodes += [node for _, node in own]
    return replace(way, steps=tuple(steps), nodes=tuple(nodes), effort_mm=way.effort_mm - gain_mm)


def _riding_further(own: list[tuple[Step, Node]], ridden: int | None, at: XY) -> list[tuple[Step, Node]]:
    """Keep the stop from which a join was moved outward: a rail may turn there, and is ridden past it."""
    number = next(n for n, (_, node) in enumerate(own) if node[0] == "stop")
    step, node = own[number]
    if number > 0:  # joins: rides from its new place through the old one
        return [*own[:number], (replace(step, keys=()), node), (replace(step, x=at[0], y=at[1]), node)]
    kept = replace(step, x=at[0], y=at[1], rail=ridden, keys=())
    return [(kept, node), *own]
