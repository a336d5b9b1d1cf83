"""The effort of a whole job: what several runs share is not counted for each of them in full.

Every stretch of route counts its length x its factor once, and practice "factor: shared" of that for each
further run that lies in it. Every thing that costs an amount (a cover taken down, an opening fitted, a member
passed) costs it once a job, however many runs use it and however often. Rises and drops are stretches like
others, at factor open. Those on members are counted where the member's line is crossed, as in the search: a
loom that goes slantwise, or over two members in one, lies on more or on less than it crosses. A run alone has
the effort of its route, less what it pays twice.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from router.model.fixing import Fixing, FixingKind
from router.model.plan import PassageKind, Route, RoutePoint
from router.model.practice import Practice
from router.routing.member_crossings import MemberCrossing, member_crossings, shares_not_lifted
from router.search import Key, World, Zone, factor_at, may_meet
from router.tolerances import ON_LINE_MM, SAME_PLACE_MM

CELL_MM = 1e-2

AMOUNTS = {
    PassageKind.COVER: "cover",
    PassageKind.OPENING: "opening",
    PassageKind.OVER_MEMBER: "member",
    PassageKind.THROUGH_MEMBER: "member",
}
HOLDING = {FixingKind.TIE: "tie", FixingKind.CLIP: "clip", FixingKind.P_CLIP: "hole"}
"""The key of each kind of fixing in the practice's group "hold"."""
Spot = tuple[str, float, float, float]


@dataclass(frozen=True, slots=True)
class _Leg:
    """A straight piece of one route between two numbered places."""

    run: str
    ends: tuple[int, int]
    a: Spot
    b: Spot
    along: str | None
    share: float = 1.0
    """Of an upright piece: what of it is left where no member lifts the loom."""


class LegCosts:
    """What straight pieces of routes cost in one world, each worked out once."""

    def __init__(self, world: World, practice: Practice) -> None:
        self._world, self._practice = world, practice
        self._known_mm: dict[tuple[Spot, Spot, str | None], float] = {}
        self._crossings: dict[int, tuple[Route, tuple[MemberCrossing, ...]]] = {}
        """By identity of a route, kept so that no other takes it on: comparing whole routes takes long."""

    def leg_mm(self, a: Spot, b: Spot, along: str | None) -> float:
        """Return the effort of a straight piece off supports or along one, in mm.

        Parameters
        ----------
        a, b : (space, x, y, z)
            Its ends. [mm]
        along : str or None
            The support that it follows.
        """
        key = (a, b, along)
        if key not in self._known_mm:
            self._known_mm[key] = leg_effort_mm(a, b, along, self._world, self._practice)
        return self._known_mm[key]

    def crossings(self, route: Route) -> tuple[MemberCrossing, ...]:
        """Return the crossings over members of a route of that world."""
        known = self._crossings.get(id(route))
        if known is None:
            known = self._crossings[id(route)] = route, tuple(member_crossings(route, self._world))
        return known[1]

    def piece_mm(self, here: RoutePoint, there: RoutePoint) -> float:
        """Return the effort of the straight piece of a route between two of its points, in mm.

        Parameters
        ----------
        here, there : RoutePoint
        """
        return self.leg_mm(_spot(here), _spot(there), here.along)


def job_effort_mm(routes: Sequence[Route], costs: Mapping[str, LegCosts], practice: Practice) -> float:
    """Return the effort of several routes together, in mm.

    Parameters
    ----------
    routes : sequence of Route
    costs : mapping of str to LegCosts
        By run: of the world that it was planned in, for its zones (a warm zone grows with the loom).
    practice : Practice
        Groups "factor" and "amount".
    """
    share = practice.value("factor", "shared")
    lying: dict[tuple[int, int], tuple[_Leg, dict[str, int]]] = {}
    for leg in _legs(routes):
        _, times = lying.setdefault(leg.ends, (leg, {}))
        times[leg.run] = times.get(leg.run, 0) + 1
    effort_mm = sum(paid_amounts(routes, costs, practice).values())
    for first, times in lying.values():
        leg_mm = first.share * costs[first.run].leg_mm(first.a, first.b, first.along)
        effort_mm += leg_mm * (max(times.values()) + share * (len(times) - 1))
    for rise_mm, runs in _rises(routes, costs, practice):
        counts = [runs.count(run) for run in set(runs)]
        effort_mm += rise_mm * (max(counts) + share * (len(counts) - 1))
    return effort_mm


def route_effort_mm(route: Route, costs: LegCosts, practice: Practice) -> float:
    """Return the effort of a route by itself, each passage paid each time, in mm.

    Parameters
    ----------
    route : Route
    costs : LegCosts
        Of the world that it was planned in.
    practice : Practice
        Group "amount".
    """
    effort_mm = sum(leg.share * costs.leg_mm(leg.a, leg.b, leg.along) for leg in _legs([route]))
    for passage in route.passages:
        if passage.kind in AMOUNTS and passage.kind is not PassageKind.OVER_MEMBER:
            effort_mm += practice.value("amount", AMOUNTS[passage.kind])
    return effort_mm + sum(crossing.effort_mm for crossing in costs.crossings(route))


def held_effort_mm(
    routes: Sequence[Route], costs: Mapping[str, LegCosts], fixings: Iterable[Fixing], practice: Practice
) -> float:
    """Return the effort of several routes together with what holds them counted one by one, in mm.

    Parameters
    ----------
    routes : sequence of Route
    costs : mapping of str to LegCosts
        By run: of a world in which nothing needs to be held.
    fixings : iterable of Fixing
        All of them; one that a run shares with an earlier one is there once.
    practice : Practice
        Groups "factor", "amount" and "hold".
    """
    own = (fixing for fixing in fixings if fixing.shared_with is None)
    holding_mm = sum(practice.value("hold", HOLDING[fixing.kind]) for fixing in own)
    return job_effort_mm(routes, costs, practice) + holding_mm


def paid_amounts(
    routes: Sequence[Route], costs: Mapping[str, LegCosts], practice: Practice
) -> dict[Key, float]:
    """Return by name what is paid once for each cover, opening and member that some route uses, in mm.

    Parameters
    ----------
    routes : sequence of Route
    costs : mapping of str to LegCosts
        By run: of the world that it was planned in.
    practice : Practice
        Group "amount".
    """
    over = {crossing.member for route in routes for crossing in costs[route.run].crossings(route)}
    return {
        passage.name: practice.value("amount", AMOUNTS[passage.kind])
        for route in routes
        for passage in route.passages
        if passage.kind in AMOUNTS and (passage.kind is not PassageKind.OVER_MEMBER or passage.name in over)
    }


def _rises(
    routes: Sequence[Route], costs: Mapping[str, LegCosts], practice: Practice
) -> Iterator[tuple[float, list[str]]]:
    """Yield by place where a member is crossed what rise and drop take, and who crosses it, each time."""
    places = _Places()
    found: dict[tuple[str, int], tuple[float, list[str]]] = {}
    for route in routes:
        for crossing in costs[route.run].crossings(route):
            key = crossing.member, places.number((crossing.space, *crossing.at, 0.0))
            rise_mm = crossing.effort_mm - practice.value("amount", "member")
            found.setdefault(key, (rise_mm, []))[1].append(route.run)
    yield from found.values()


def leg_effort_mm(a: Spot, b: Spot, along: str | None, world: World, practice: Practice) -> float:
    """Return length x factor of a straight piece, cut at borders; a rise or a way through a hole is open.

    Parameters
    ----------
    a, b : (space, x, y, z)
        Its ends. [mm]
    along : str or None
        The support that it follows.
    world : World
    practice : Practice
        Group "factor".
    """
    length_mm, open_factor = math.dist(a[1:], b[1:]), practice.value("factor", "open")
    if a[1:3] == b[1:3]:
        return length_mm * open_factor
    number, layer = next((n, layer) for n, layer in enumerate(world.layers) if layer.key == a[0])
    line = shapely.LineString([a[1:3], b[1:3]])
    ends = [link.ends for link in world.links if link.layers == (number, number)]
    holes = shapely.linestrings(np.reshape(ends, (-1, 2, 2)))
    holes = holes[shapely.dwithin(holes, line, ON_LINE_MM)].tolist()
    zones = [
        zone
        for zone in layer.zones
        if (zone.is_on_rails or not along) and may_meet(a[1:3], b[1:3], zone.area.bounds, ON_LINE_MM)
    ]
    factor = next((rail.factor for rail in layer.rails if rail.key == along), layer.factor)
    if not zones and not holes:
        return length_mm * factor
    cuts = sorted({0.0, 1.0, *_shares(line, zones, holes)})
    effort_mm = 0.0
    for first, last in itertools.pairwise(cuts):
        if (last - first) * length_mm > ON_LINE_MM:
            middle = line.interpolate((first + last) / 2.0, normalized=True)
            is_hole = any(shapely.dwithin(hole, middle, ON_LINE_MM) for hole in holes)
            own = open_factor if is_hole else factor_at(zones, factor, middle.x, middle.y)
            effort_mm += (last - first) * length_mm * own
    return effort_mm


def _shares(
    line: shapely.LineString, zones: Sequence[Zone], holes: Sequence[shapely.LineString]
) -> Iterator[float]:
    met = [shapely.intersection(zone.area.boundary, line) for zone in zones]
    places = shapely.get_coordinates([*met, *(shapely.MultiPoint(hole.coords) for hole in holes)])
    yield from shapely.line_locate_point(line, shapely.points(places), normalized=True).tolist()


def _legs(routes: Sequence[Route]) -> Iterator[_Leg]:
    """Yield the pieces of all routes, cut at each other's points."""
    places = _Places()
    points = {places.number(spot): spot for route in routes for spot in map(_spot, route.points)}
    pieces = [
        (route.run, _spot(here), _spot(there), here.along, share)
        for route in routes
        for (here, there), share in zip(
            itertools.pairwise(route.points), shares_not_lifted(route), strict=True
        )
        if here.space == there.space and here.station_mm != there.station_mm
    ]
    rows = _points_on([(a, b) for _, a, b, _, _ in pieces], list(points.items()))
    for (run, _, _, along, share), row in zip(pieces, rows, strict=True):
        for (one, a), (other, b) in itertools.pairwise(row):
            if one != other:
                yield _Leg(run, (min(one, other), max(one, other)), a, b, along, share)


def _spot(point: RoutePoint) -> Spot:
    return point.space, point.x_mm, point.y_mm, point.z_mm


def _points_on(
    pieces: Sequence[tuple[Spot, Spot]], points: Sequence[tuple[int, Spot]]
) -> Iterator[list[tuple[int, Spot]]]:
    """Yield for each straight piece the numbered places on it, its ends among them, in order."""
    if not pieces:
        return
    spaces, at = np.array([spot[0] for _, spot in points]), np.array([spot[1:] for _, spot in points]).T
    start, vector = (np.array([spot[1:] for spot in ends]).T[..., None] for ends in zip(*pieces, strict=True))
    vector -= start
    length_mm = np.sqrt((vector**2).sum(0))
    vector /= length_mm
    apart = at[:, None] - start
    along_mm = (apart * vector).sum(0)
    aside_mm = np.sqrt(((apart - along_mm * vector) ** 2).sum(0))
    is_on = np.array([a[0] for a, _ in pieces])[:, None] == spaces
    is_on &= (
        (aside_mm <= SAME_PLACE_MM) & (along_mm >= -SAME_PLACE_MM) & (along_mm <= length_mm + SAME_PLACE_MM)
    )
    piece, number = np.nonzero(is_on)
    found = [points[n] for n in number[np.lexsort((along_mm[is_on], piece))].tolist()]
    cuts = np.cumsum(is_on.sum(1)).tolist()
    yield from (found[first:end] for first, end in itertools.pairwise([0, *cuts]))


class _Places:
    """Numbers for places: points of one space nearer than SAME_PLACE_MM have the same."""

    def __init__(self) -> None:
        self._cells: dict[tuple[str, int, int, int], list[tuple[int, Spot]]] = {}
        self._known: dict[Spot, int] = {}
        self._count = 0

    def number(self, spot: Spot) -> int:
        """Return the number of a place; a new one where none is near."""
        if spot not in self._known:
            self._known[spot] = self._find(spot)
        return self._known[spot]

    def _find(self, spot: Spot) -> int:
        x, y, z = (_near_cells(value_mm) for value_mm in spot[1:])
        cells = [(spot[0], *cell) for cell in itertools.product(x, y, z)]
        for number, known in itertools.chain.from_iterable(self._cells.get(cell, ()) for cell in cells):
            if math.dist(known[1:], spot[1:]) <= SAME_PLACE_MM:
                return number
        for cell in cells:
            self._cells.setdefault(cell, []).append((self._count, spot))
        self._count += 1
        return self._count - 1


def _near_cells(value_mm: float) -> set[int]:
    return {
        math.floor((value_mm - SAME_PLACE_MM) / CELL_MM),
        math.floor((value_mm + SAME_PLACE_MM) / CELL_MM),
    }
