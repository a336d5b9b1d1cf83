"""Room for bends: corners that stand too close for the loom's least radius are spread apart.

A corner that turns by t is laid as an arc of radius R that touches both pieces, R tan(t/2) from it. Where a
piece is too short for the arcs at its two ends, one of its corners (or both) slides outward along the piece
beyond: a support is joined or left a little further on, and the turns get gentler. Of the places that give
room, and that a loom may lie in, those are taken that add least effort. Where none does, the corner
stays, and the review tells of it.

Rises and drops are laid as slopes: one too short for two square bends (2 R) counts as none.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol, TypeAlias

import shapely

from router.model.plan import RoutePoint
from router.tolerances import SAME_PLACE_MM, STRAIGHT_RAD

XY: TypeAlias = tuple[float, float]
Vector: TypeAlias = tuple[float, float, float]
PieceEffort: TypeAlias = Callable[[RoutePoint, RoutePoint], float]

ARC_ROOM_FACTOR = 1.0 + 1e-6
"""Arcs get this much more room than they need, for rounding."""
SLIDES_MM = tuple(2.0 ** (k / 2.0) for k in range(-2, 20))
"""Distances by which a corner is slid, from 0.5 mm to 0.7 m."""
MOST_OF_A_PIECE = 0.9
MOST_ROUNDS = 30


class Room(Protocol):
    """Where a loom may lie."""

    def level_mm(self, space: str, at: XY) -> float:
        """Return the height at which a loom lies at a place of a space."""
        ...

    def free(self, space: str, low_mm: float, high_mm: float, *, is_over: bool = False) -> Any:
        """Return where a centre line may lie between two heights, in plan, clear of members.

        With `is_over`, also on members that it passes without rising.
        """
        ...

    def is_on_member(self, space: str, line: shapely.LineString) -> bool:
        """Return whether a line in plan lies on a member: such a piece stays as it is."""
        ...


@dataclass(frozen=True, slots=True)
class _Leg:
    """A straight piece between two points of a route, by their numbers, as a vector."""

    first: int
    last: int
    move: Vector

    @property
    def length_mm(self) -> float:
        return math.hypot(*self.move)


@dataclass(frozen=True, slots=True)
class _Corner:
    """All points that stand at one place in plan, first to last."""

    first: int
    last: int


@dataclass(frozen=True, slots=True)
class _Change:
    """New positions for one or both end corners of a leg; a moved leg no longer follows its support."""

    old: tuple[XY, XY]
    new: tuple[XY, XY]


def ease_bends(
    routes: Sequence[tuple[RoutePoint, ...]], room: Room, least_radius_mm: float, piece_mm: PieceEffort
) -> tuple[tuple[RoutePoint, ...], ...]:
    """Return the points of a job's routes with room for bends of the least radius, where there is any.

    Parameters
    ----------
    routes : sequence of tuple of RoutePoint
        Every run's points; runs that lie together on a changed piece change together.
    room : Room
        Where a loom may lie.
    least_radius_mm : float
        Of the loom's centre line. [mm]
    piece_mm : callable
        What a straight piece between two points takes, along the first one's support or off supports.
    """
    eased = [list(points) for points in routes]
    for number in range(len(eased)):
        left: set[tuple[XY, XY]] = set()
        for _ in range(MOST_ROUNDS):
            tight = tight_legs(eased[number], least_radius_mm)
            leg = next((leg for leg in tight if _ends(eased[number], leg) not in left), None)
            if leg is None:
                break
            changed = _best(eased, number, leg, room, least_radius_mm, piece_mm)
            if changed is None:
                left.add(_ends(eased[number], leg))
            else:
                eased = changed
    return tuple(tuple(stationed(points)) for points in eased)


def _ends(points: list[RoutePoint], leg: _Leg) -> tuple[XY, XY]:
    return _at(points[leg.first]), _at(points[leg.last])


def _at(point: RoutePoint) -> XY:
    return point.x_mm, point.y_mm


def tight_legs(points: Sequence[RoutePoint], least_radius_mm: float) -> list[_Leg]:
    """Return the pieces that are too short for arcs of the least radius at their ends, the worst first.

    Pieces between turns the same way, in one plane, are one bend: its outer corner is judged in their place.
    """
    waiting = [_without_short_rises(_straightened(list(_legs(points))), 2.0 * least_radius_mm)]
    tight: list[tuple[float, _Leg]] = []
    while waiting:
        legs = waiting.pop()
        worst = min(range(len(legs)), key=lambda n: _radius_mm(legs, n), default=None)
        if worst is None or _radius_mm(legs, worst) >= least_radius_mm:
            continue
        joined = _joined_without(legs, worst)
        if joined is not None:
            waiting.append(joined)
            continue
        tight.append((_radius_mm(legs, worst), legs[worst]))
        waiting += [legs[:worst], legs[worst + 1 :]]
    return [leg for _, leg in sorted(tight, key=lambda item: item[0])]


@dataclass(frozen=True, slots=True)
class Bend:
    """A level turn between two straight pieces: the points it takes up, and the corner where these meet."""

    first: int
    last: int
    corner: XY
    before: XY
    """Direction in which the loom comes."""
    after: XY
    turn_rad: float
    """Positive to the left."""


def bends_of(points: Sequence[RoutePoint], least_radius_mm: float) -> list[Bend]:
    """Return the level bends off supports, those drawn in pieces too short for the least radius as one."""
    legs = _without_short_rises(_straightened(list(_legs(points))), 2.0 * least_radius_mm)
    while True:
        short = [n for n in range(len(legs)) if _radius_mm(legs, n) < least_radius_mm]
        joined = next((j for j in (_joined_without(legs, n) for n in short) if j is not None), None)
        if joined is None:
            break
        legs = joined
    found = [_bend(points, after.first, before.last) for before, after in itertools.pairwise(legs)]
    return [bend for bend in found if bend is not None]


def _bend(points: Sequence[RoutePoint], first: int, last: int) -> Bend | None:
    if not 0 < first <= last < len(points) - 1:
        return None
    own = points[first - 1 : last + 2]
    if len({(point.space, point.z_mm) for point in own}) > 1 or any(point.along for point in own[:-1]):
        return None
    before, after = _direction(own[0], own[1]), _direction(own[-2], own[-1])
    if before is None or after is None:
        return None
    sine = before[0] * after[1] - before[1] * after[0]
    turn_rad = math.atan2(sine, before[0] * after[0] + before[1] * after[1])
    if abs(sine) < STRAIGHT_RAD:
        return None
    (ax, ay), (bx, by) = _at(own[1]), _at(own[-2])
    ahead_mm = ((bx - ax) * after[1] - (by - ay) * after[0]) / sine
    return Bend(first, last, (ax + before[0] * ahead_mm, ay + before[1] * ahead_mm), before, after, turn_rad)


def _direction(a: RoutePoint, b: RoutePoint) -> XY | None:
    length_mm = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
    return (
        ((b.x_mm - a.x_mm) / length_mm, (b.y_mm - a.y_mm) / length_mm) if length_mm > SAME_PLACE_MM else None
    )


def _legs(points: Sequence[RoutePoint]) -> Iterator[_Leg]:
    for number, (a, b) in enumerate(itertools.pairwise(points)):
        move = (b.x_mm - a.x_mm, b.y_mm - a.y_mm, b.z_mm - a.z_mm)
        if math.hypot(*move) > SAME_PLACE_MM:
            yield _Leg(number, number + 1, move)


def _straightened(legs: list[_Leg]) -> list[_Leg]:
    merged: list[_Leg] = []
    for leg in legs:
        if merged and _turn_rad(merged[-1], leg) < STRAIGHT_RAD:
            last = merged.pop()
            merged.append(_Leg(last.first, leg.last, _plus(last.move, leg.move)))
        else:
            merged.append(leg)
    return merged


def _without_short_rises(legs: list[_Leg], shortest_mm: float) -> list[_Leg]:
    kept = [leg for leg in legs if math.hypot(*leg.move[:2]) > SAME_PLACE_MM or leg.length_mm >= shortest_mm]
    return _straightened(kept)


def _plus(a: Vector, b: Vector, share: float = 1.0) -> Vector:
    return a[0] + share * b[0], a[1] + share * b[1], a[2] + share * b[2]


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _turn_rad(before: _Leg, after: _Leg) -> float:
    ends = [tuple(part / leg.length_mm for part in leg.move) for leg in (before, after)]
    return 2.0 * math.asin(min(1.0, math.dist(*ends) / 2.0))


def _share(legs: list[_Leg], corner: int) -> float:
    """Return tan(t/2) at the corner before leg number `corner`; 0 at the ends of the route."""
    if not 0 < corner < len(legs):
        return 0.0
    turn_rad = _turn_rad(legs[corner - 1], legs[corner])
    return math.inf if math.pi - turn_rad < STRAIGHT_RAD else math.tan(turn_rad / 2.0)


def _radius_mm(legs: list[_Leg], number: int) -> float:
    shares = _share(legs, number) + _share(legs, number + 1)
    return legs[number].length_mm / (shares * ARC_ROOM_FACTOR) if shares else math.inf


def _joined_without(legs: list[_Leg], number: int) -> list[_Leg] | None:
    """Remove one leg and extend its neighbours to their intersection; None if they do not meet ahead."""
    if not 0 < number < len(legs) - 1:
        return None
    before, leg, after = legs[number - 1 : number + 2]
    b = tuple(part / before.length_mm for part in before.move)
    a = tuple(part / after.length_mm for part in after.move)
    cosine = _dot(b, a)  # type: ignore[arg-type]  # mypy loses the length of the tuple
    if 1.0 - abs(cosine) < STRAIGHT_RAD:
        return None
    to_b, to_a = _dot(leg.move, b), _dot(leg.move, a)  # type: ignore[arg-type]
    more_b = (to_b - cosine * to_a) / (1.0 - cosine**2)
    more_a = (to_a - cosine * to_b) / (1.0 - cosine**2)
    met = [more_b * p + more_a * q for p, q in zip(b, a, strict=True)]
    if min(more_b, more_a) <= 0.0 or math.dist(met, leg.move) > 0.01:
        return None
    longer = [
        _Leg(before.first, leg.last, _plus(before.move, b, more_b)),  # type: ignore[arg-type]
        _Leg(leg.first, after.last, _plus(after.move, a, more_a)),  # type: ignore[arg-type]
    ]
    return legs[: number - 1] + longer + legs[number + 2 :]


def _best(
    routes: list[list[RoutePoint]],
    number: int,
    leg: _Leg,
    room: Room,
    radius_mm: float,
    piece_mm: PieceEffort,
) -> list[list[RoutePoint]] | None:
    """Return all routes with a tight piece given room at the least effort; None where there is none."""
    before = len(tight_legs(routes[number], radius_mm))
    best, best_mm = None, math.inf
    for change in _changes(routes[number], leg):
        changed = _applied(routes, change)
        if changed is None:
            continue
        effort_mm = sum(piece_mm(a, b) for points in changed for a, b in itertools.pairwise(points))
        if effort_mm >= best_mm or len(tight_legs(changed[number], radius_mm)) >= before:
            continue
        if all(_is_laid_free(old, new, room) for old, new in zip(routes, changed, strict=True)):
            best, best_mm = changed, effort_mm
    return best


def _place(point: RoutePoint) -> Vector:
    return point.x_mm, point.y_mm, point.z_mm


def _changes(points: list[RoutePoint], leg: _Leg) -> Iterator[_Change]:
    """Yield the places that the two corners of a piece may be slid to, outward along the pieces beyond."""
    here, there = _corner(points, leg.first), _corner(points, leg.last)
    if here.last + 1 != there.first or points[here.last].z_mm != points[there.first].z_mm:
        return
    old = _at(points[here.last]), _at(points[there.first])
    backward = list(_slides(points, here, here.first - 1))
    forward = list(_slides(points, there, there.last + 1))
    for a in backward:
        yield _Change(old, (a, old[1]))
    for b in forward:
        yield _Change(old, (old[0], b))
    for a, b in itertools.product(backward[::2], forward[::2]):
        yield _Change(old, (a, b))


def _corner(points: list[RoutePoint], number: int) -> _Corner:
    first = last = number
    while first > 0 and _at(points[first - 1]) == _at(points[number]):
        first -= 1
    while last + 1 < len(points) and _at(points[last + 1]) == _at(points[number]):
        last += 1
    return _Corner(first, last)


def _slides(points: list[RoutePoint], corner: _Corner, toward: int) -> Iterator[XY]:
    """Yield places between a corner and the point beyond it; none where the corner must stay."""
    if not 0 <= toward < len(points) or not _may_move(points, corner):
        return
    (ax, ay), (bx, by) = _at(points[corner.first]), _at(points[toward])
    length_mm = math.hypot(bx - ax, by - ay)
    for slide_mm in SLIDES_MM:
        if slide_mm <= MOST_OF_A_PIECE * length_mm:
            yield ax + (bx - ax) / length_mm * slide_mm, ay + (by - ay) / length_mm * slide_mm


def _may_move(points: list[RoutePoint], corner: _Corner) -> bool:
    """Return whether a corner is free: a turn, or a step between a support's height and the space's."""
    if corner.first == 0 or corner.last == len(points) - 1:
        return False
    if corner.first == corner.last:
        return True
    is_join = (points[corner.first - 1].along is None) != (points[corner.last].along is None)
    return is_join and len({point.space for point in points[corner.first : corner.last + 1]}) == 1


def _applied(routes: list[list[RoutePoint]], change: _Change) -> list[list[RoutePoint]] | None:
    """Return all routes changed; None where a run that shares the piece cannot change with it."""
    changed = []
    for points in routes:
        found = _find_piece(points, change.old)
        if found is None:
            changed.append(points)
            continue
        here, there, is_reversed = found
        new = change.new[::-1] if is_reversed else change.new
        for corner, at, toward in ((here, new[0], here.first - 1), (there, new[1], there.last + 1)):
            if at != _at(points[corner.first]) and not _lies_toward(points, corner, at, toward):
                return None
        moved = _moved(_moved(points, here, new[0]), there, new[1])
        moved[here.last] = replace(moved[here.last], along=None)
        changed.append(moved)
    return changed


def _find_piece(points: list[RoutePoint], ends: tuple[XY, XY]) -> tuple[_Corner, _Corner, bool] | None:
    for number, (a, b) in enumerate(itertools.pairwise(points)):
        if a.space == b.space and (_at(a), _at(b)) in (ends, ends[::-1]):
            return _corner(points, number), _corner(points, number + 1), _at(a) != ends[0]
    return None


def _lies_toward(points: list[RoutePoint], corner: _Corner, at: XY, toward: int) -> bool:
    if not 0 <= toward < len(points) or not _may_move(points, corner):
        return False
    here, there = _at(points[corner.first]), _at(points[toward])
    return math.dist(here, at) + math.dist(at, there) - math.dist(here, there) < SAME_PLACE_MM


def _moved(points: list[RoutePoint], corner: _Corner, to: XY) -> list[RoutePoint]:
    changed = list(points)
    for number in range(corner.first, corner.last + 1):
        changed[number] = replace(points[number], x_mm=to[0], y_mm=to[1])
    return changed


def _is_laid_free(old: list[RoutePoint], new: list[RoutePoint], room: Room) -> bool:
    """Return whether every piece that has changed lies where a loom may lie."""
    for (a, b), (c, d) in zip(itertools.pairwise(old), itertools.pairwise(new), strict=True):
        if (a, b) == (c, d) or c.space != d.space:
            continue
        if _at(a) == _at(c) and _at(b) == _at(d) and c.along == a.along:
            continue
        if c.along is not None and c.z_mm == d.z_mm:
            continue  # a shorter piece of the same support
        if c.along is not None and _at(c) != _at(d):
            return False  # it rises, and its heights are those of its old ends
        if a.along is not None and c.z_mm != room.level_mm(c.space, _at(c)):
            return False  # off the support, it would still lie at the support's height
        if _at(a) != _at(b) and room.is_on_member(a.space, shapely.LineString([_at(a), _at(b)])):
            return False
        ends = [_at(c), _at(d)]
        line = shapely.Point(ends[0]) if ends[0] == ends[1] else shapely.LineString(ends)
        if not shapely.covers(room.free(c.space, *sorted((c.z_mm, d.z_mm))), line):
            return False
    return True


def stationed(points: Sequence[RoutePoint]) -> Iterator[RoutePoint]:
    """Yield the points with their stations counted anew."""
    station_mm = 0.0
    for number, point in enumerate(points):
        if number:
            station_mm += math.dist(_place(points[number - 1]), _place(point))
        yield replace(point, station_mm=station_mm)
