"""Other ways for a run that really differ from the one chosen, and what makes them worse.

A way differs really where it takes another opening, another pass of a member or another support, or where
it passes something on the other side. To find such ways the search is asked again on the same ground, each
time with one thing of the chosen way shut: an opening, a pass, a support, a cover, or the gap between the
two things that the way goes through (a wall across it; what passes between those two must cross it, so
the best way left passes one of them on its other side). Each answer is the best of all ways without that
thing; of the answers those are kept that differ from the chosen way and from one another, the least
effort first.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import groupby, pairwise
from typing import Any, TypeAlias

import numpy as np
import shapely

from router.facts import core_of
from router.model.job import Run
from router.model.plan import Alternative, Passage, PassageKind, Route
from router.model.practice import Practice
from router.model.vehicle import OverPass, Profile, ThroughPass
from router.routing import (
    LegCosts,
    LoomOnVehicle,
    job_effort_mm,
    levels_of,
    make_route,
    plan_reach_mm,
    required_in,
)
from router.search import XY, Ask, Layer, Node, Path, SightGraph, find_path, polish, there_and_back

MOST_ALTERNATIVES = 3
"""Ways shown beside the chosen one."""
MOST_OF_BEST_EFFORT = 2.0
"""Of the chosen way's effort: what takes more is no choice for anybody."""
MOST_GAPS = 8
"""Gaps of the chosen way that are tried shut, the narrowest first."""
LOOK_EVERY_MM = 100.0
GAP_REACH_MM = 5000.0
LEAST_RIDE_MM = 200.0
"""A support followed for less than this is not worth a way without it."""
LEAST_APART_MM = 100.0
"""Ways that differ by a support alone lie at least so far apart in places."""
INTO_MM = 1.0
"""How far a wall reaches into what it ends at."""
HARDER_TO_HOLD = "its fixings take more than that, or do not keep the rules"
"""What is wrong with a way of less effort: those of nearly the same are chosen from by what holds them."""
LEAST_TOLD_MM = 50.0
"""Differences of length smaller than this are not told."""
MOST_NAMES = 3

Wall: TypeAlias = tuple[XY, XY]


@dataclass(frozen=True, slots=True)
class _Shut:
    """What is not to be used for one question: keys of the world, and walls by sheet."""

    kind: str
    keys: frozenset[str]
    walls: tuple[tuple[int, Wall], ...]


def _shut_by_walls(
    graph: SightGraph, walls: tuple[tuple[int, Wall], ...]
) -> Callable[[Node, Node], bool] | None:
    """Return what tells whether a move crosses one of the walls; None without walls."""

    def is_shut(origin: Node, node: Node) -> bool:
        on, x, y = graph.position(origin)
        layer, to_x, to_y = graph.position(node)
        if on != layer:
            return False
        return any(_meet((x, y), (to_x, to_y), *wall) for number, wall in walls if number == on)

    return is_shut if walls else None


def _meet(a: XY, b: XY, c: XY, d: XY) -> bool:
    """Return whether two straight pieces have a point in common."""
    if _turn(c, d, a) * _turn(c, d, b) > 0.0 or _turn(a, b, c) * _turn(a, b, d) > 0.0:
        return False
    if max(a[0], b[0]) < min(c[0], d[0]) or max(c[0], d[0]) < min(a[0], b[0]):
        return False
    return max(a[1], b[1]) >= min(c[1], d[1]) and max(c[1], d[1]) >= min(a[1], b[1])


def _turn(a: XY, b: XY, c: XY) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def find_alternatives(
    loom: LoomOnVehicle, graph: SightGraph, run: Run, ends: tuple[int, int], chosen: Route
) -> tuple[Alternative, ...]:
    """Return up to three other ways, the least effort first; their clearances are left for the review.

    Parameters
    ----------
    loom : LoomOnVehicle
    graph : SightGraph
        The ground that the chosen way was found on.
    run : Run
    ends : pair of int
        The run's two sites on that ground.
    chosen : Route
    """
    made: list[Alternative] = []
    shut_for: list[_Shut] = []
    for base, known in _bases(chosen, made, shut_for):
        for shut, path in _paths_without(loom, graph, run, ends, known, base, chosen.effort_mm):
            if len(made) == MOST_ALTERNATIVES:
                break
            route = make_route(loom, graph.world, run, polish(graph, path), 0.0)
            differs = _really_differs(loom, run, chosen, route, made)
            if differs:
                more_mm = route.effort_mm - chosen.effort_mm
                made.append(Alternative(route, more_mm, differs, tell_worse(loom, chosen, route), ()))
                shut_for.append(shut)
    return tuple(sorted(made, key=lambda alternative: alternative.more_effort_mm))


def _bases(chosen: Route, made: list[Alternative], shut_for: list[_Shut]) -> Iterator[tuple[_Shut, Route]]:
    """Yield the ways to shut something of: the chosen one, and while too few are made, each that was found.

    What is shut for a found path stays shut, so that the path after it is neither of the two.
    """
    yield _Shut("", frozenset(), ()), chosen
    for number in range(MOST_ALTERNATIVES - 1):
        if number < len(made) < MOST_ALTERNATIVES:
            yield shut_for[number], made[number].route


def _really_differs(
    loom: LoomOnVehicle, run: Run, chosen: Route, route: Route, made: list[Alternative]
) -> tuple[str, ...]:
    """Return in words how a way differs from the chosen one; nothing where it is not one to show."""
    if not _names_used(route).isdisjoint(run.avoid):
        return ()
    differs = tell_differences(loom, chosen, route)
    return differs if all(tell_differences(loom, other.route, route) for other in made) else ()


def _paths_without(
    loom: LoomOnVehicle,
    graph: SightGraph,
    run: Run,
    ends: tuple[int, int],
    known: Route,
    base: _Shut,
    best_mm: float,
) -> Iterator[tuple[_Shut, Path]]:
    """Yield the best ways without one thing of a known way each: the best of each kind of thing first.

    So that three ways that only take the next hole in a member do not hide the one by another opening.
    """
    found: dict[tuple[XY, ...], tuple[_Shut, Path]] = {}
    for thing in _things_to_shut(loom, graph, run, known):
        shut = _Shut(thing.kind, base.keys | thing.keys, base.walls + thing.walls)
        ask = Ask(*ends, run.via, frozenset(run.avoid) | shut.keys)
        path = find_path(graph, ask, MOST_OF_BEST_EFFORT * best_mm, _shut_by_walls(graph, shut.walls))
        if path is not None and not there_and_back(graph.world, path, run.via):
            found.setdefault(tuple((step.x, step.y) for step in path.steps), (shut, path))
    ordered = sorted(found.values(), key=lambda each: each[1].effort_mm)
    firsts = {shut.kind: path for shut, path in reversed(ordered)}
    yield from (each for each in ordered if firsts[each[0].kind] is each[1])
    yield from (each for each in ordered if firsts[each[0].kind] is not each[1])


def weigh_together(
    alternatives: tuple[Alternative, ...],
    routes: tuple[Route, ...],
    costs: Mapping[str, LegCosts],
    practice: Practice,
    effort_mm: float,
) -> tuple[Alternative, ...]:
    """Return other ways of one run with what the whole job takes more by each, the least first.

    Parameters
    ----------
    alternatives : tuple of Alternative
        All of one run, weighed by themselves.
    routes, costs, practice, effort_mm
        The chosen routes of all runs, by run what pieces cost in its world, the rules, and the job's effort.
    """
    weighed = []
    for alternative in alternatives:
        run = alternative.route.run
        changed = tuple(alternative.route if route.run == run else route for route in routes)
        more_mm = job_effort_mm(changed, costs, practice) - effort_mm
        lost_mm = more_mm - alternative.more_effort_mm
        worse = alternative.worse
        if lost_mm >= LEAST_TOLD_MM:
            lost = f"{lost_mm:.0f} mm of effort that it shares less with other runs"
            worse = (lost, *worse) if lost_mm > more_mm / 2.0 else (*worse, lost)
        if more_mm < 0.0:
            worse = (HARDER_TO_HOLD, *worse)
        weighed.append(replace(alternative, more_effort_mm=more_mm, worse=worse))
    return tuple(sorted(weighed, key=lambda alternative: alternative.more_effort_mm))


# --- what to shut ------------------------------------------------------------------------------------


def _things_to_shut(loom: LoomOnVehicle, graph: SightGraph, run: Run, chosen: Route) -> Iterator[_Shut]:
    """Yield everything of the chosen way that may be done without, one at a time."""
    for kind, key in dict.fromkeys(_keys_used(chosen)):
        if key not in run.via:
            yield _Shut(kind, frozenset({key}), ())
    numbers = {layer.key: number for number, layer in enumerate(graph.world.layers)}
    for passage in chosen.passages:
        for space, wall in _pass_walls(loom.profile, passage):
            yield _Shut("pass", frozenset(), ((numbers[space], wall),))
    gaps = [
        (math.dist(*wall), number, wall)
        for number, layer in enumerate(graph.world.layers)
        for wall in gaps_along(layer, chosen)
    ]
    for _, number, wall in sorted(gaps)[:MOST_GAPS]:
        yield _Shut("gap", frozenset(), ((number, wall),))


def _keys_used(route: Route) -> Iterator[tuple[str, str]]:
    for passage in route.passages:
        if passage.kind in (PassageKind.OPENING, PassageKind.COVER):
            yield passage.kind.value, passage.name
    yield from (
        ("support", name) for name, ridden_mm in supports_ridden(route).items() if ridden_mm >= LEAST_RIDE_MM
    )


def _names_used(route: Route) -> set[str]:
    """Return all that a route uses: with a pass avoided, a way may still lie on its member for a while."""
    return {passage.name for passage in route.passages} | supports_ridden(route).keys()


def supports_ridden(route: Route) -> dict[str, float]:
    """Return how far a route follows each support [mm], in the order in which it meets them."""
    ridden: dict[str, float] = {}
    for before, after in pairwise(route.points):
        if before.along is not None:
            ridden[before.along] = ridden.get(before.along, 0.0) + after.station_mm - before.station_mm
    return ridden


def _pass_walls(profile: Profile, passage: Passage) -> Iterator[tuple[str, Wall]]:
    """Yield the wall that shuts the pass which a route takes over or through a member."""
    over = passage.taken
    if over is None:
        return
    member = profile.member(passage.name)
    if isinstance(over, OverPass):
        (ax, ay), (bx, by) = over.start, over.end
        reach = 1.0 + INTO_MM / math.dist(over.start, over.end)
        far = (ax + (bx - ax) * reach, ay + (by - ay) * reach)
        yield member.space, ((bx + (ax - bx) * reach, by + (ay - by) * reach), far)
        return
    line = shapely.LineString(member.along)
    at_mm = line.project(shapely.Point(over.at))
    ahead, behind = line.interpolate(at_mm + INTO_MM), line.interpolate(max(0.0, at_mm - INTO_MM))
    yield member.space, ((behind.x, behind.y), (ahead.x, ahead.y))


def gaps_along(layer: Layer, route: Route) -> list[Wall]:
    """Return the gaps that a route goes through on a sheet, each between two things, where it is narrowest.

    Things are the parts of the sheet's border: its outline with all that touches it, and every island of
    keep-outs and members at clearance. One gap is given for each pair of things.
    """
    rings = [ring for part in shapely.get_parts(layer.free) for ring in (part.exterior, *part.interiors)]
    found: dict[tuple[int, int], Wall] = {}
    for line in lines_in(route, layer.key):
        for pair, wall in _gaps_across(layer, rings, line):
            if pair[0] != pair[1] and (pair not in found or math.dist(*wall) < math.dist(*found[pair])):
                found[pair] = wall
    return list(found.values())


def lines_in(route: Route, space: str) -> list[Any]:
    """Return the stretches of a route in a space, as lines in plan."""
    lines = []
    for name, group in groupby(route.points, key=lambda point: point.space):
        points = [(point.x_mm, point.y_mm) for point in group]
        if name == space and len(set(points)) > 1:
            lines.append(shapely.LineString(points))
    return lines


def _gaps_across(layer: Layer, rings: list[Any], line: Any) -> Iterator[tuple[tuple[int, int], Wall]]:
    count = max(1, int(line.length / LOOK_EVERY_MM))
    at_mm = (np.arange(count) + 0.5) * line.length / count
    places = shapely.get_coordinates(shapely.line_interpolate_point(line, at_mm))
    inside = shapely.contains_xy(layer.free, places[:, 0], places[:, 1])
    ahead = shapely.get_coordinates(
        shapely.line_interpolate_point(line, np.minimum(at_mm + 1.0, line.length))
    )
    directions = (ahead - places)[inside]
    places = places[inside]
    across = (
        np.column_stack([-directions[:, 1], directions[:, 0]])
        / np.maximum(np.hypot(*directions.T), 1e-9)[:, None]
    )
    left, left_ring = _first_met(places, across, rings)
    right, right_ring = _first_met(places, -across, rings)
    for a, b, ring, other in zip(left, right, left_ring, right_ring, strict=True):
        pair = (min(ring, other), max(ring, other))
        yield (int(pair[0]), int(pair[1])), ((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))


def _first_met(places: Any, directions: Any, rings: list[Any]) -> tuple[Any, Any]:
    """Return where rays from places first meet a ring (a little beyond it), and which ring."""
    rays = shapely.linestrings(np.stack([places, places + GAP_REACH_MM * directions], axis=1))
    met = shapely.distance(
        shapely.points(places)[:, None], shapely.intersection(rays[:, None], np.array(rings)[None, :])
    )
    met = np.where(np.isnan(met), GAP_REACH_MM, met)
    ring = met.argmin(axis=1) if len(met) else np.zeros(0, dtype=int)
    far = met.min(axis=1, initial=GAP_REACH_MM) + INTO_MM
    return places + far[:, None] * directions, ring


# --- whether and how two ways differ -----------------------------------------------------------------


def tell_differences(loom: LoomOnVehicle, chosen: Route, other: Route) -> tuple[str, ...]:
    """Return in words what another way does in place of the chosen one; nothing where they are alike.

    Parameters
    ----------
    loom : LoomOnVehicle
    chosen, other : Route
    """
    words = [
        *_other_openings(chosen, other),
        *_other_passes(chosen, other),
        *_other_sides(loom, chosen, other),
    ]
    words += _other_supports(chosen, other, is_needed=not words)
    return tuple(words)


def _named(route: Route, kind: PassageKind) -> list[str]:
    return [passage.name for passage in route.passages if passage.kind is kind]


def _other_openings(chosen: Route, other: Route) -> Iterator[str]:
    before, after = _named(chosen, PassageKind.OPENING), _named(other, PassageKind.OPENING)
    if before != after:
        yield _in_place(
            "through", [n for n in after if n not in before], [n for n in before if n not in after]
        )


def _in_place(verb: str, new: list[str], old: list[str]) -> str:
    if new and old:
        return f"{verb} {' and '.join(new)} instead of {' and '.join(old)}"
    return f"{verb} {' and '.join(new)}" if new else f"not {verb} {' and '.join(old) or 'the same in order'}"


def _other_passes(chosen: Route, other: Route) -> Iterator[str]:
    before = {passage.name: passage.taken for passage in chosen.passages if passage.taken}
    after = {passage.name: passage.taken for passage in other.passages if passage.taken}
    for name, taken in after.items():
        if name not in before:
            yield f"{_pass_words(name, taken)}, which the chosen way does not meet"
        elif taken != before[name]:
            yield f"{_pass_words(name, taken)} instead of {_pass_words('it', before[name])}"
    for name in before:
        if name not in after:
            yield f"not past {name}"


def _pass_words(name: str, taken: OverPass | ThroughPass) -> str:
    if isinstance(taken, OverPass):
        return f"over {name} {_side((taken.start[1] + taken.end[1]) / 2.0)}"
    return f"through the hole in {name} {_side(taken.at[1])}"


def _side(y_mm: float) -> str:
    if abs(y_mm) < 1.0:
        return "in the middle"
    return f"{abs(y_mm):.0f} mm {'right' if y_mm > 0.0 else 'left'} of the middle"


def _other_sides(loom: LoomOnVehicle, chosen: Route, other: Route) -> Iterator[str]:
    """Yield words for the keep-outs that the two ways pass on different sides."""
    sides: dict[str, list[str]] = {}
    for space in loom.profile.spaces:
        line, other_line = lines_in(chosen, space.name), lines_in(other, space.name)
        if len(line) != 1 or len(other_line) != 1 or not _same_ends(line[0], other_line[0]):
            continue
        loop = [*line[0].coords, *reversed(other_line[0].coords)]
        outline = shapely.Polygon(space.outline)
        for keep_out, required_mm in required_in(loom, space.name):
            if not any(_blocks(loom, keep_out, required_mm, each.height_mm) for each in levels_of(space)):
                continue
            inner = shapely.intersection(core_of(keep_out.shape), outline)
            place = shapely.point_on_surface(inner)
            if not place.is_empty and _windings(loop, (place.x, place.y)) != 0:
                sides.setdefault(_side_taken(place, line[0], other_line[0]), []).append(keep_out.name)
    for side, names in sides.items():
        listed = ", ".join(names[:MOST_NAMES])
        more = f" and {len(names) - MOST_NAMES} more" if len(names) > MOST_NAMES else ""
        yield f"{side} {listed}{more}"


def _same_ends(line: Any, other: Any) -> bool:
    return bool(
        math.dist(line.coords[0], other.coords[0]) < 1.0
        and math.dist(line.coords[-1], other.coords[-1]) < 1.0
    )


def _blocks(loom: LoomOnVehicle, keep_out: Any, required_mm: float, height_mm: float) -> bool:
    return plan_reach_mm(keep_out, required_mm, height_mm, height_mm, loom.radius_mm) > 0.0


def _windings(loop: list[XY], place: XY) -> int:
    """Return how often a closed loop goes round a place."""
    turns = 0
    for (ax, ay), (bx, by) in zip(loop, [*loop[1:], loop[0]], strict=True):
        if (ay > place[1]) != (by > place[1]):
            x = ax + (place[1] - ay) / (by - ay) * (bx - ax)
            turns += (1 if by > ay else -1) if x > place[0] else 0
    return turns


def _side_taken(place: Any, line: Any, other: Any) -> str:
    """Return on which side of a place the other way passes, as the vehicle's sides."""
    near, far = (shapely.get_coordinates(shapely.shortest_line(place, each))[1] for each in (line, other))
    dx, dy = far[0] - near[0], far[1] - near[1]
    if abs(dy) >= abs(dx):
        return "right of" if dy > 0.0 else "left of"
    return "behind" if dx > 0.0 else "in front of"


def _other_supports(chosen: Route, other: Route, *, is_needed: bool) -> Iterator[str]:
    """Yield words for other supports; `is_needed` asks that the ways lie apart, as nothing else differs."""
    before = [name for name, mm in supports_ridden(chosen).items() if mm >= LEAST_RIDE_MM]
    after = [name for name, mm in supports_ridden(other).items() if mm >= LEAST_RIDE_MM]
    new, old = [n for n in after if n not in before], [n for n in before if n not in after]
    if not (new or old) or (is_needed and _apart_mm(chosen, other) < LEAST_APART_MM):
        return
    yield _in_place("along", new, old)


def _apart_mm(chosen: Route, other: Route) -> float:
    """Return how far the other way gets away from the chosen one, in plan."""
    furthest_mm = 0.0
    for space in {point.space for point in other.points}:
        here, there = lines_in(chosen, space), lines_in(other, space)
        if not here:
            return math.inf
        near = shapely.union_all(here)
        for line in there:
            dense = shapely.points(shapely.get_coordinates(shapely.segmentize(line, LOOK_EVERY_MM)))
            furthest_mm = max(furthest_mm, float(shapely.distance(dense, near).max()))
    return furthest_mm


# --- what makes a way worse --------------------------------------------------------------------------


def tell_worse(loom: LoomOnVehicle, chosen: Route, other: Route) -> tuple[str, ...]:
    """Return in words what another way costs more, the weightiest first: "900 mm less under covers".

    Parameters
    ----------
    loom : LoomOnVehicle
    chosen, other : Route
    """
    value = loom.practice.value
    lengths = [
        ("{} mm longer", other.routed_mm - chosen.routed_mm, value("factor", "open")),
        (
            "{} mm less along supports",
            sum(supports_ridden(chosen).values()) - sum(supports_ridden(other).values()),
            value("factor", "open") - value("factor", "along a support"),
        ),
        (
            "{} mm less sheltered by covers",
            -_more(PassageKind.COVER, chosen, other),
            1.0 - value("factor", "sheltered"),
        ),
        (
            "{} mm more exposed to spray and stones",
            _more(PassageKind.EXPOSED, chosen, other),
            value("factor", "exposed") - 1.0,
        ),
        (
            "{} mm more beside hot parts",
            _more(PassageKind.WARM, chosen, other),
            value("factor", "warm") - 1.0,
        ),
        (
            "{} mm more beside moving parts",
            _more(PassageKind.NEAR_MOVING, chosen, other),
            value("factor", "near moving") - 1.0,
        ),
        (
            "{} mm more on open load floor",
            _more(PassageKind.OPEN_LOAD_FLOOR, chosen, other),
            value("factor", "open load floor") - 1.0,
        ),
    ]
    words = [
        (more_mm * rate, text.format(f"{more_mm:.0f}"))
        for text, more_mm, rate in lengths
        if more_mm >= LEAST_TOLD_MM and rate > 0.0
    ]
    words += _counted(loom, chosen, other)
    return tuple(text for _, text in sorted(words, key=lambda word: -word[0]))


def _more(kind: PassageKind, chosen: Route, other: Route) -> float:
    first, second = (
        sum(p.to_station_mm - p.from_station_mm for p in route.passages if p.kind is kind)
        for route in (chosen, other)
    )
    return second - first


def _counted(loom: LoomOnVehicle, chosen: Route, other: Route) -> Iterator[tuple[float, str]]:
    members = (PassageKind.OVER_MEMBER, PassageKind.THROUGH_MEMBER)
    for kinds, key, one, many in (
        ((PassageKind.OPENING,), "opening", "one more opening", "{} more openings"),
        (members, "member", "one more member to pass", "{} more members to pass"),
        ((PassageKind.COVER,), "cover", "one more cover to take down", "{} more covers to take down"),
    ):
        more = _count(kinds, other) - _count(kinds, chosen)
        if more > 0:
            yield more * loom.practice.value("amount", key), one if more == 1 else many.format(more)


def _count(kinds: Iterable[PassageKind], route: Route) -> int:
    return sum(passage.kind in kinds for passage in route.passages)
