"""A proof of how good a way is: a potential on every border that no way can beat.

The search only lets a way cross a border, or join a rail, at vertices some way apart; the best way may do
so between them. Let psi be, at each vertex, half of the effort to the goal less half of the effort from the
start, both as the search found them and neither more than the whole way's; and between neighbouring vertices
of one line the straight interpolation. Suppose that for every straight leg from x to y inside a region of
factor f, its ends on lines, corners or given points,

    psi(x) - psi(y) <= (1 + slack) f |x - y|.                                               (1)

Then every way costs at least (psi(start) - psi(goal)) / (1 + slack), where that difference is the effort
the search found: add (1) over the way's legs; rides along a rail, joins, gates and tolls keep the
differences of psi below their own costs, because they do so at both ends of every edge and psi is straight
between. This is weak duality for shortest paths (psi is a feasible potential: L. R. Ford and D. R.
Fulkerson, Flows in Networks, 1962) carried over from a graph to the plane. Taking half of each effort leaves
room in (1) everywhere but close to the best ways, where the two pull in the same direction.

Legs from vertex to vertex obey (1) with no slack: the search tried them. For a leg with an end inside an
edge, F(s, t) = psi(x(s)) - psi(y(t)) - (1 + slack) f |x(s) - y(t)| is concave, so that its tangent plane
at any point bounds it from above: (1) holds for a pair of edges where one such plane is nowhere above 0.

Near the places where lines meet, no spacing is ever fine enough for (1): there, small pairs are left to
fail. What lies between two failing legs that begin on one edge can be replaced by the piece of that edge
between their beginnings, at an extra effort of at most (f - least factor) |edge|, for what is replaced is no
shorter. So some way that is worse than the best by no more than that for each such edge begins a failing leg
at most once on each: every edge takes this, and the most that (1) fails by on it, off the bound (twice, where
a failing leg may begin at a point and end on it).

Which pairs of edges can see each other? Slide a leg between two edges until something stops it: an end
of an edge, so that this end sees the other edge; or a corner of free space, which then sees both edges in
opposite directions. So looking from ends and corners finds every pair.

Edges of pairs that fail are split, and the search is done again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from router.plane.sight import lines_from_fan, lines_from_point
from router.routing.ground import Field, refine_field
from router.routing.polish import polish
from router.routing.search import Ask, Efforts, Ground, Way, find_efforts

COARSE_SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)
FINE_SHARES = (0.0, 0.01, 0.04, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.96, 0.99, 1.0)
ROUNDING_MM = 1e-7
"""What (1) may fail by through rounding alone."""
LADDER = (0.001, 0.002, 0.003, 0.005, 0.0075, 0.01, 0.015, 0.02, 0.03, 0.05, 0.1, 0.2, 0.5)
"""Slacks tried, smallest first."""
SHARE_OF_GAP = 0.6
"""How much of the wanted gap the slack may take; the rest is for the pairs that fail all the same."""


@dataclass(slots=True)
class _Lines:
    """The edges of one sheet that a way may touch, with psi at their ends; points are edges of no length."""

    field: Field
    element_of: list[int]
    """By corner of the mesh: its edge's number here, or -1."""
    corners: list[int]
    fans: list[tuple[int, int]]
    at_fan: dict[int, list[int]]


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Pairs of edges (or an edge and a point) of one region each, as arrays."""

    ends: Any
    """(n, 4, 2) both ends of the first, both ends of the second. [mm]"""
    psi: Any
    """(n, 4) [mm of effort]"""
    factor: Any
    edges: Any
    """(n, 3): sheet, and the corners opposite to the two edges; -1 for a point."""

    def pick(self, rows: Any) -> _Pairs:
        """Return some of the pairs."""
        return _Pairs(self.ends[rows], self.psi[rows], self.factor[rows], self.edges[rows])


def prove(ground: Ground, ask: Ask, gap: float, rounds: int) -> tuple[Way, float] | None:
    """Return the best way found and its proven gap; None where there is no way.

    Parameters
    ----------
    ground : Ground
        Its lines get more vertices where the proof needs them.
    ask : Ask
    gap : float
        The gap wanted: the search is refined until it is proven, or until `rounds` are done.

    Returns
    -------
    (Way, float)
        The way, polished, costs at most (1 + float) times the best possible.
    """
    best: Way | None = None
    bound_mm = 0.0
    for number in range(rounds):
        found = find_efforts(ground, ask, 0.0)
        if found is None:
            return None
        way = polish(ground, found[0])
        best = way if best is None or way.effort_mm < best.effort_mm else best
        entry_mm = ground.entry_mm(ask.start)[0]
        cap_mm = found[0].effort_mm - entry_mm
        back = find_efforts(ground, _turned(ask), cap_mm)
        assert back is not None, "a way there is a way back"
        pairs = _gather(ground, ask, (found[1], back[1]), cap_mm)
        failing, loss_mm = _losses(pairs, gap * SHARE_OF_GAP, ground.least_factor)
        bound_mm = max(bound_mm, entry_mm + cap_mm / (1.0 + gap * SHARE_OF_GAP) - loss_mm)
        if best.effort_mm <= (1.0 + gap) * bound_mm or number == rounds - 1:
            bound_mm = max(bound_mm, entry_mm + _bound_mm(pairs, cap_mm, ground.least_factor))
            break
        _refine(ground, pairs.edges[failing])
    assert best is not None, "at least one round"
    if bound_mm <= 0.0:
        return best, math.inf
    return best, max(0.0, best.effort_mm / bound_mm - 1.0)


def _bound_mm(pairs: _Pairs, cap_mm: float, least_factor: float) -> float:
    """Return the greatest lower bound on every way's effort that some slack of the ladder proves."""
    if len(pairs.factor) == 0:
        return cap_mm  # no lines to cross: the search is exact
    best_mm = 0.0
    left = pairs
    for slack in LADDER:
        failing, loss_mm = _losses(left, slack, least_factor)
        best_mm = max(best_mm, cap_mm / (1.0 + slack) - loss_mm)
        if not failing.any():
            break
        left = left.pick(failing)
    return best_mm


def _turned(ask: Ask) -> Ask:
    return Ask(ask.goal, ask.start, ask.via[::-1], ask.avoid)


def _refine(ground: Ground, edges: Any) -> None:
    for sheet in np.unique(edges[:, 0]).tolist():
        corners = set(edges[edges[:, 0] == sheet][:, 1:].reshape(-1).tolist()) - {-1}
        field = ground.fields[sheet]
        across = field.mesh.across
        once = {min(corner, across[corner]) for corner in corners}
        ground.replace_field(sheet, refine_field(field, once))


def _losses(pairs: _Pairs, slack: float, least_factor: float) -> tuple[Any, float]:
    """Return for which pairs (1) is not shown to hold, and what they take off the bound together, in mm."""
    excess = _excess(pairs, slack)
    failing = excess > ROUNDING_MM
    rows = np.flatnonzero(failing)
    with_point = pairs.edges[rows, 2] < 0
    again = np.maximum(pairs.factor[rows] - least_factor, 0.0)
    sizes = np.hypot(*(pairs.ends[rows][:, [1, 3]] - pairs.ends[rows][:, [0, 2]]).transpose(2, 0, 1))
    loss: dict[tuple[int, int], float] = {}
    times: dict[tuple[int, int], int] = {}
    for k, row in enumerate(rows.tolist()):
        sheet, *corners = pairs.edges[row].tolist()
        for which, corner in enumerate(corners):
            if corner < 0:
                continue
            cost_mm = float(excess[row] + again[k] * sizes[k, which])
            loss[sheet, corner] = max(loss.get((sheet, corner), 0.0), cost_mm)
            times[sheet, corner] = max(times.get((sheet, corner), 1), 2 if with_point[k] else 1)
    return failing, sum(cost_mm * times[edge] for edge, cost_mm in loss.items())


def _excess(pairs: _Pairs, slack: float) -> Any:
    """Return by how much (1) may fail for each pair with this slack, either way along the leg, in mm."""
    excess = np.full(len(pairs.factor), np.inf)
    for shares in (COARSE_SHARES, FINE_SHARES):
        rows = np.flatnonzero(excess > ROUNDING_MM)
        if len(rows) == 0:
            break
        ends, psi, rate = pairs.ends[rows], pairs.psi[rows], pairs.factor[rows] * (1.0 + slack)
        excess[rows] = np.maximum(_bound(ends, psi, rate, shares), _bound(ends, -psi, rate, shares))
    return excess


def _bound(ends: Any, psi: Any, rate: Any, shares: tuple[float, ...]) -> Any:
    """Return the least of F's tangent planes' largest values, over a grid of points of tangency."""
    ax, ay, cx, cy = ends[:, 0, 0], ends[:, 0, 1], ends[:, 2, 0], ends[:, 2, 1]
    ux, uy = ends[:, 1, 0] - ax, ends[:, 1, 1] - ay
    vx, vy = ends[:, 3, 0] - cx, ends[:, 3, 1] - cy
    rise, fall = psi[:, 1] - psi[:, 0], psi[:, 3] - psi[:, 2]
    best = np.full(len(rate), np.inf)
    for s in shares:
        for t in shares:
            dx, dy = ax + s * ux - cx - t * vx, ay + s * uy - cy - t * vy
            length = np.hypot(dx, dy)
            pull = rate / np.where(length > 0.0, length, np.inf)
            by_s = rise - pull * (dx * ux + dy * uy)
            by_t = pull * (dx * vx + dy * vy) - fall
            top = psi[:, 0] + s * rise - psi[:, 2] - t * fall - rate * length
            top += np.maximum(by_s * (1.0 - s), -by_s * s) + np.maximum(by_t * (1.0 - t), -by_t * t)
            best = np.where((top < best) & (length > 0.0), top, best)
    return best


def _gather(ground: Ground, ask: Ask, both: tuple[Efforts, Efforts], cap_mm: float) -> _Pairs:
    """Return every pair that may see each other and on which psi is not everywhere the same."""
    parts = []
    for sheet, field in enumerate(ground.fields):
        lines = _lines_of(field)
        settled = _settled_fans(ask, sheet, both)
        if not lines.corners or not settled:
            continue
        sights = _look_round(ground, ask, sheet, lines, settled)
        for met in range(len(ask.via) + 1):
            psi = _potentials(ground, ask, sheet, both, met, cap_mm, sights.legs)
            parts.append(_as_arrays(ground, sheet, lines, sights, psi))
    if not parts:
        return _Pairs(np.zeros((0, 4, 2)), np.zeros((0, 4)), np.zeros(0), np.zeros((0, 3), dtype=np.int64))
    return _Pairs(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def _settled_fans(ask: Ask, sheet: int, both: tuple[Efforts, Efforts]) -> set[int]:
    """Return the fans of a sheet that either search settled: elsewhere psi is the same."""
    return {
        node[2] for efforts in both for node, _ in efforts.to_goal if node[0] == "fan" and node[1] == sheet
    }


def _lines_of(field: Field) -> _Lines:
    mesh = field.mesh
    element_of = [-1] * len(mesh.corner_vertex)
    lines = _Lines(field, element_of, [], [], {})
    for corner, other in enumerate(mesh.across):
        if other < 0 or not (mesh.opaque[corner] or mesh.marked[corner]):
            continue
        if not mesh.opaque[corner] and other < corner:
            element_of[corner] = element_of[other]
            continue
        first = corner - corner % 3
        ends = mesh.fan_of[first + (corner + 1) % 3], mesh.fan_of[first + (corner + 2) % 3]
        element_of[corner] = len(lines.corners)
        for fan in ends:
            lines.at_fan.setdefault(fan, []).append(len(lines.corners))
        lines.corners.append(corner)
        lines.fans.append((int(ends[0]), int(ends[1])))
    return lines


@dataclass(frozen=True, slots=True)
class _Sights:
    """What may see what on one sheet: edges by number, points as ("fan" or "site", number)."""

    pairs: set[tuple[int, int]]
    points: list[tuple[int, str, int]]
    legs: tuple[Any, Any, Any]
    """From which corner, to which fan, how far in mm: three arrays."""


def _look_round(ground: Ground, ask: Ask, sheet: int, lines: _Lines, settled: set[int]) -> _Sights:
    """Look from corners, given points, and those ends of edges that a search settled.

    A pair with psi not the same everywhere has such an end; and a pair seen from its other edge's end only
    is seen from such an end too, or else by a corner.
    """
    field = lines.field
    pairs: set[tuple[int, int]] = set()
    points: list[tuple[int, str, int]] = []
    legs: list[tuple[int, int, float]] = []
    is_line = [element >= 0 for element in lines.element_of]
    for fan, ends in enumerate(field.ends):
        own = lines.at_fan.get(fan, []) if fan in settled else []
        if not own and ends is None and not (fan in lines.at_fan and _open_by(lines, fan) > math.pi):
            continue
        sight = lines_from_fan(field.watch, fan, is_line)
        seen = {lines.element_of[corner] for corner in sight.edges}
        for edge in own:
            pairs.update((edge, other) if edge < other else (other, edge) for other in seen)
        pairs.update(_side_by_side(lines, fan, sorted(own)))
        pairs.update(_opposite(lines, fan, sorted(seen)))
        if ends is not None:
            points += [(edge, "fan", fan) for edge in seen]
            legs += [(fan, other, length_mm) for other, length_mm in sight.fans]
    for site, local in ground.local_sites(sheet).items():
        if site in (ask.start, ask.goal) or not ground.is_movable(site):
            x, y = field.watch.sites[local]
            sight = lines_from_point(field.watch, x, y, field.watch.triangles_of[local], is_line)
            points += [(edge, "site", site) for edge in {lines.element_of[c] for c in sight.edges}]
    at, to, length = zip(*legs, strict=True) if legs else ((), (), ())
    arrays = np.array(at, dtype=np.int64), np.array(to, dtype=np.int64), np.array(length)
    return _Sights({(a, b) for a, b in pairs if a != b}, points, arrays)


def _side_by_side(lines: _Lines, fan: int, own: list[int]) -> Iterable[tuple[int, int]]:
    """Return the pairs of a fan's own edges that see each other: those less than half a turn apart in it."""
    if len(own) < 2:
        return
    mesh = lines.field.mesh
    vertex = mesh.fan_vertex(fan)
    start = 0.0
    if not mesh.fan_round[fan]:
        right = mesh.fan_ends(fan)[0]
        start = math.atan2(mesh.y[right] - mesh.y[vertex], mesh.x[right] - mesh.x[vertex])
    angles = []
    for edge in own:
        a, b = (mesh.fan_vertex(end) for end in lines.fans[edge])
        far = b if a == vertex else a
        angle = math.atan2(mesh.y[far] - mesh.y[vertex], mesh.x[far] - mesh.x[vertex])
        angles.append((angle - start + 1e-9) % math.tau)
    for i, j in combinations(range(len(own)), 2):
        apart = abs(angles[i] - angles[j])
        if mesh.fan_round[fan]:
            apart = min(apart, math.tau - apart)
        if apart < math.pi:
            yield own[i], own[j]


def _opposite(lines: _Lines, fan: int, seen: list[int]) -> Iterable[tuple[int, int]]:
    """Return the pairs of seen edges that one straight line through a fan's vertex may meet on two sides.

    Only a fan that is open by more than half a turn lets a line through: its directions within the fan
    whose opposites lie within it too form two wedges, one at each wall.
    """
    mesh = lines.field.mesh
    if len(seen) < 2 or mesh.fan_round[fan]:
        return
    slack = _open_by(lines, fan) - math.pi
    if slack <= 0.0:
        return
    vertex, right = mesh.fan_vertex(fan), mesh.fan_ends(fan)[0]
    at = np.array([mesh.x[vertex], mesh.y[vertex]])
    to_right = math.atan2(mesh.y[right] - at[1], mesh.x[right] - at[0])
    edges, low, high = _angles(lines, seen, at, to_right)
    hair = 1e-9
    at_right = np.flatnonzero(low <= slack + hair)
    at_left = np.flatnonzero(high >= math.pi - hair)
    for i in at_right.tolist():
        meet = (low[at_left] - math.pi <= high[i] + hair) & (high[at_left] - math.pi >= low[i] - hair)
        for j in at_left[meet].tolist():
            if edges[i] != edges[j]:
                yield (edges[i], edges[j]) if edges[i] < edges[j] else (edges[j], edges[i])


def _open_by(lines: _Lines, fan: int) -> float:
    """Return the angle that a fan is open by, in radians."""
    mesh = lines.field.mesh
    if mesh.fan_round[fan]:
        return math.tau
    vertex = mesh.fan_vertex(fan)
    to_right, to_left = (
        math.atan2(mesh.y[end] - mesh.y[vertex], mesh.x[end] - mesh.x[vertex]) for end in mesh.fan_ends(fan)
    )
    return (to_left - to_right) % math.tau


def _angles(lines: _Lines, seen: list[int], at: Any, start: float) -> tuple[list[int], Any, Any]:
    """Return edges and their least and greatest direction from a point, from a start on, counter-clockwise.

    An edge that reaches over the start comes twice: once from it on, once up to it.
    """
    ends = np.array([_ends_of(lines, edge) for edge in seen]) - at
    angles = (np.arctan2(ends[:, :, 1], ends[:, :, 0]) - start + 1e-9) % math.tau
    low, high = angles.min(1), angles.max(1)
    over = np.flatnonzero(high - low > math.pi)
    edges = [*seen, *(seen[k] for k in over.tolist())]
    after, before = low[over], high[over]
    low[over], high[over] = 0.0, after
    return edges, np.concatenate([low, before]), np.concatenate([high, np.full(len(over), math.tau)])


def _ends_of(lines: _Lines, edge: int) -> tuple[tuple[float, float], tuple[float, float]]:
    mesh = lines.field.mesh
    a, b = (mesh.fan_vertex(fan) for fan in lines.fans[edge])
    return (mesh.x[a], mesh.y[a]), (mesh.x[b], mesh.y[b])


def _potentials(
    ground: Ground,
    ask: Ask,
    sheet: int,
    both: tuple[Efforts, Efforts],
    met: int,
    cap_mm: float,
    legs: tuple[Any, Any, Any],
) -> tuple[list[float], dict[int, float]]:
    """Return psi by fan and by site of one sheet."""
    to_goal, to_start = both
    field = ground.fields[sheet]
    begin_mm = ground.entry_mm(ask.start)[0]
    ahead, ahead_at = _efforts_on(ground, ask, sheet, to_goal, met, legs)
    spent, spent_at = _efforts_on(ground, ask, sheet, to_start, len(ask.via) - met, legs)
    tolls = [field.entry_mm(region) - begin_mm for region in range(len(field.zones_of))]
    fans = [
        (min(to_come, cap_mm) - min(so_far + tolls[field.mesh.fan_region(fan)], cap_mm)) / 2.0
        for fan, (to_come, so_far) in enumerate(zip(ahead, spent, strict=True))
    ]
    sites = {}
    for site, to_come in ahead_at.items():
        so_far = spent_at[site] + ground.entry_mm(site)[0] - begin_mm
        sites[site] = (min(to_come, cap_mm) - min(so_far, cap_mm)) / 2.0
    return fans, sites


def _efforts_on(
    ground: Ground, ask: Ask, sheet: int, efforts: Efforts, met: int, legs: tuple[Any, Any, Any]
) -> tuple[list[float], dict[int, float]]:
    """Return the efforts of a search by fan and by site of one sheet, infinite where it settled none."""
    known, field = efforts.to_goal, ground.fields[sheet]
    fans = [known.get((("fan", sheet, fan, 0), met), math.inf) for fan in range(len(field.ends))]
    sites = {
        site: known.get((("site", 0, site, 0), met), math.inf)
        for site in ground.local_sites(sheet)
        if site in (ask.start, ask.goal) or not ground.is_movable(site)
    }
    return _with_bends(field, fans, legs), sites


def _with_bends(field: Field, fans: list[float], legs: tuple[Any, Any, Any]) -> list[float]:
    """Lower the efforts of corners to what they are without tautness: the search asks only for taut bends."""
    at, to, length_mm = legs
    if len(at) == 0:
        return fans
    rate = np.array([field.factor[field.mesh.fan_region(fan)] for fan in at.tolist()])
    effort = np.array(fans)
    while True:
        lower = effort.copy()
        np.minimum.at(lower, at, effort[to] + rate * length_mm)
        if (lower == effort).all():
            return [float(value) for value in effort]
        effort = lower


def _as_arrays(
    ground: Ground,
    sheet: int,
    lines: _Lines,
    sights: _Sights,
    psi_of: tuple[list[float], dict[int, float]],
) -> tuple[Any, Any, Any, Any]:
    field, fan_psi = lines.field, psi_of[0]
    ends = np.array([_ends_of(lines, edge) for edge in range(len(lines.corners))])
    psi = np.array([(fan_psi[a], fan_psi[b]) for a, b in lines.fans])
    factor = np.array([field.factor[field.mesh.region[corner // 3]] for corner in lines.corners])
    corners = np.array(lines.corners)
    one, two = np.array(sorted(sights.pairs), dtype=np.int64).reshape(-1, 2).T
    edge = np.array([point[0] for point in sights.points], dtype=np.int64)
    spots = np.array([_spot(ground, sheet, kind, number, psi_of) for _, kind, number in sights.points])
    spots = spots.reshape(-1, 3)
    all_ends = np.concatenate(
        [
            np.concatenate([ends[one], ends[two]], axis=1),
            np.concatenate([ends[edge], np.repeat(spots[:, None, :2], 2, axis=1)], axis=1),
        ]
    )
    all_psi = np.concatenate(
        [
            np.concatenate([psi[one], psi[two]], axis=1),
            np.concatenate([psi[edge], np.repeat(spots[:, 2:], 2, axis=1)], axis=1),
        ]
    )
    all_edges = np.concatenate(
        [
            np.column_stack([np.full(len(one), sheet), corners[one], corners[two]]),
            np.column_stack([np.full(len(edge), sheet), corners[edge], np.full(len(edge), -1)]),
        ]
    )
    varies = np.ptp(all_psi, axis=1) > 0.0
    all_factor = np.concatenate([factor[one], factor[edge]])
    return all_ends[varies], all_psi[varies], all_factor[varies], all_edges[varies]


def _spot(
    ground: Ground, sheet: int, kind: str, number: int, psi_of: tuple[list[float], dict[int, float]]
) -> tuple[float, float, float]:
    fan_psi, site_psi = psi_of
    if kind == "site":
        return *ground.sites[number][1], site_psi[number]
    mesh = ground.fields[sheet].mesh
    vertex = mesh.fan_vertex(number)
    return mesh.x[vertex], mesh.y[vertex], fan_psi[number]
