"""The effort of a whole job: what several runs share is not counted for each of them in full.

Every stretch of route counts its length x its factors once, and practice "factor: shared" of that for each
further run that lies in it. Every thing that costs an amount (a cover taken down, an opening fitted, a member
passed) costs it once a job, however many runs use it and however often. Rises and drops are stretches like
others, at factor open. A run alone has the effort of its route, less what it pays twice.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import shapely

from router.model.plan import PassageKind, Route, RoutePoint
from router.model.practice import Practice
from router.routing.ground import Sheet, World
from router.routing.trunk import ON_MM, factor_at

SAME_MM = 1e-6
"""Points nearer than this are one place, as for the looms."""
CELL_MM = 1e-2

AMOUNTS = {
    PassageKind.COVER: "cover",
    PassageKind.OPENING: "opening",
    PassageKind.OVER_MEMBER: "member",
    PassageKind.THROUGH_MEMBER: "member",
}
Spot = tuple[str, float, float, float]


@dataclass(frozen=True, slots=True)
class _Leg:
    """A straight piece of one route between two numbered places."""

    run: str
    ends: tuple[int, int]
    a: Spot
    b: Spot
    along: str | None


def job_effort_mm(
    routes: Sequence[Route],
    worlds: Mapping[str, World],
    practice: Practice,
    known_mm: dict[tuple[object, ...], float] | None = None,
) -> float:
    """Return the effort of several routes together, in mm.

    Parameters
    ----------
    routes : sequence of Route
    worlds : mapping of str to World
        By run: the world that it was planned in, for its zones (a warm zone grows with the loom).
    practice : Practice
        Groups "factor" and "amount".
    known_mm : dict, optional
        What straight pieces were found to cost, kept from call to call by who asks again and again.
    """
    known_mm = {} if known_mm is None else known_mm
    share = practice.value("factor", "shared")
    lying: dict[tuple[int, int], list[_Leg]] = {}
    for leg in _legs(routes):
        lying.setdefault(leg.ends, []).append(leg)
    effort_mm = sum(paid_amounts(routes, practice).values())
    for legs in lying.values():
        runs = {leg.run for leg in legs}
        first = legs[0]
        key = (first.a, first.b, first.along, id(worlds[first.run]))
        if key not in known_mm:
            known_mm[key] = leg_effort_mm(first.a, first.b, first.along, worlds[first.run], practice)
        repeats = max(sum(leg.run == run for leg in legs) for run in runs)
        effort_mm += known_mm[key] * (repeats + share * (len(runs) - 1))
    return effort_mm


def route_effort_mm(route: Route, world: World, practice: Practice) -> float:
    """Return the effort of a route by itself, each passage paid each time, in mm."""
    legs_mm = (leg_effort_mm(leg.a, leg.b, leg.along, world, practice) for leg in _legs([route]))
    passed = [passage.kind for passage in route.passages if passage.kind in AMOUNTS]
    return sum(legs_mm) + sum(practice.value("amount", AMOUNTS[kind]) for kind in passed)


def paid_amounts(routes: Sequence[Route], practice: Practice) -> dict[str, float]:
    """Return by name what is paid once for each cover, opening and member that some route uses, in mm."""
    return {
        passage.name: practice.value("amount", AMOUNTS[passage.kind])
        for route in routes
        for passage in route.passages
        if passage.kind in AMOUNTS
    }


def leg_effort_mm(a: Spot, b: Spot, along: str | None, world: World, practice: Practice) -> float:
    """Return length x factors of a straight piece, cut at borders; a rise or a way through a hole is open."""
    length_mm = math.dist(a[1:], b[1:])
    if a[1:3] == b[1:3]:
        return length_mm * practice.value("factor", "open")
    number, sheet = next((n, sheet) for n, sheet in enumerate(world.sheets) if sheet.key == a[0])
    holes = [shapely.LineString(link.ends) for link in world.links if link.sheets == (number, number)]
    line = shapely.LineString([a[1:3], b[1:3]])
    factor = practice.value("factor", "along a support") if along else 1.0
    cuts = sorted({0.0, 1.0, *_shares(line, sheet, holes)})
    effort_mm = 0.0
    for first, last in itertools.pairwise(cuts):
        if (last - first) * length_mm > ON_MM:
            middle = line.interpolate((first + last) / 2.0, normalized=True)
            is_hole = any(shapely.dwithin(hole, middle, ON_MM) for hole in holes)
            own = 1.0 if is_hole else factor * factor_at(sheet, middle.x, middle.y)
            effort_mm += (last - first) * length_mm * own
    return effort_mm


def _shares(line: Any, sheet: Sheet, holes: Sequence[Any]) -> Iterator[float]:
    met = [shapely.intersection(zone.area.boundary, line) for zone in sheet.zones]
    met += [shapely.points(hole.coords) for hole in holes if shapely.dwithin(hole, line, ON_MM)]
    for x, y in itertools.chain.from_iterable(shapely.get_coordinates(each) for each in met):
        yield float(shapely.line_locate_point(line, shapely.Point(x, y), normalized=True))


def _legs(routes: Sequence[Route]) -> Iterator[_Leg]:
    """Return the pieces of all routes, cut at each other's points."""
    places = _Places()
    points = {places.number(spot): spot for route in routes for spot in map(_spot, route.points)}
    for route in routes:
        for here, there in itertools.pairwise(route.points):
            if here.space != there.space or here.station_mm == there.station_mm:
                continue
            row = _cut(_spot(here), _spot(there), points)
            for (one, a), (other, b) in itertools.pairwise(row):
                if one != other:
                    yield _Leg(route.run, (min(one, other), max(one, other)), a, b, here.along)


def _spot(point: RoutePoint) -> Spot:
    return point.space, point.x_mm, point.y_mm, point.z_mm


def _cut(a: Spot, b: Spot, points: Mapping[int, Spot]) -> list[tuple[int, Spot]]:
    """Return the places on a straight piece, its ends among them, in order."""
    low = [min(p, q) - SAME_MM for p, q in zip(a[1:], b[1:], strict=True)]
    high = [max(p, q) + SAME_MM for p, q in zip(a[1:], b[1:], strict=True)]
    length_mm = math.dist(a[1:], b[1:])
    way = [(q - p) / length_mm for p, q in zip(a[1:], b[1:], strict=True)]
    found = []
    for number, spot in points.items():
        x, y, z = spot[1:]
        if spot[0] != a[0] or not (
            low[0] <= x <= high[0] and low[1] <= y <= high[1] and low[2] <= z <= high[2]
        ):
            continue
        at_mm = (x - a[1]) * way[0] + (y - a[2]) * way[1] + (z - a[3]) * way[2]
        if math.dist((x, y, z), [p + at_mm * w for p, w in zip(a[1:], way, strict=True)]) <= SAME_MM:
            found.append((at_mm, number, spot))
    return [(number, spot) for _, number, spot in sorted(found)]


class _Places:
    """Numbers for places: points of one space nearer than SAME_MM have the same."""

    def __init__(self) -> None:
        self._cells: dict[tuple[str, int, int, int], list[tuple[int, Spot]]] = {}
        self._count = 0

    def number(self, spot: Spot) -> int:
        """Return the number of a place; a new one where none is near."""
        x, y, z = (_near_cells(value_mm) for value_mm in spot[1:])
        cells = [(spot[0], *cell) for cell in itertools.product(x, y, z)]
        for number, known in itertools.chain.from_iterable(self._cells.get(cell, ()) for cell in cells):
            if math.dist(known[1:], spot[1:]) <= SAME_MM:
                return number
        for cell in cells:
            self._cells.setdefault(cell, []).append((self._count, spot))
        self._count += 1
        return self._count - 1


def _near_cells(value_mm: float) -> set[int]:
    return {math.floor((value_mm + shift) / CELL_MM) for shift in (-SAME_MM, SAME_MM)}
