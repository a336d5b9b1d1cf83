"""Runs in the plan band: bold lines with a light casing, stations, fixings, the tightest places."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import groupby, pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Point

from router.drawing.labels.labelling import COST_OF_OVERLAP, Label, LabelBoard, Sign
from router.drawing.layers.hazards import clearance_outline, outline_of, rings_of
from router.drawing.layers.vehicle_layer import MIDDLE, SMALL, View
from router.drawing.paper import inks, symbols
from router.drawing.paper.frame import Box, Frame
from router.drawing.paper.pen import PaperPoint, Pen
from router.facts import Position, fixing_prefix, lying_with_earlier, positions_at
from router.model.conductor_choice import FuseChoice
from router.model.plan import ClearanceCheck, Passage, PassageKind, Plan, Route, RoutePoint, RunPlan
from router.model.vehicle import Point as PlanPoint

TICK_EVERY_MM = 500.0
NUMBER_EVERY_MM = 1000.0
TICK_MM = 1.6  # half a tick's length on paper
COVERED_WITHIN_MM = 2.0  # of the vehicle: a line this near to a bolder one is hidden under it at any scale
LOOK_EVERY_MM = 10.0
WORTH_DRAWING_MM = 120.0
"""A margin smaller than this makes a keep-out worth a clearance line and its full name."""

StationRange = tuple[float, float]
Larger = tuple[str, Box]
"""A window that is shown again at a larger scale: its space, and its box on paper."""


def near_checks(run: RunPlan) -> tuple[ClearanceCheck, ...]:
    """Return the checks of the keep-outs near a run, the tightest first."""
    near = [check for check in run.clearances if check.margin_mm < WORTH_DRAWING_MM]
    return tuple(sorted(near, key=lambda check: check.margin_mm))


def draw_clearance_lines(pen: Pen, plan: Plan, view: View) -> None:
    """Draw how near the middle of the loom may come to every keep-out near a run."""
    with pen.group("clearance lines", "How near the middle of the loom may come"):
        for run in plan.runs:
            for check in near_checks(run):
                keep_out = plan.profile.keep_out(check.keep_out)
                place = positions_at(run.route, (check.station_mm,))[0]
                if not view.shows(place.space):
                    continue
                height, frame = place.z_mm, view.frame(place.space)
                line = clearance_outline(keep_out, check.required_mm, plan.loom_diameter_mm, height, frame)
                for ring in rings_of(line) if line else ():
                    pen.line(ring, inks.CLEARANCE)


def draw_runs(pen: Pen, plan: Plan, view: View, board: LabelBoard) -> None:
    """Draw every run in its true place, the first one last so that it lies on top."""
    shared = {run.name: _shared(plan, run) for run in plan.runs}
    with pen.group("runs", "Runs"):
        for number, run in reversed(list(enumerate(plan.runs))):
            with pen.group(f"run {run.name}", f"{run.name}: {run.start} to {run.end}"):
                for line in lines_on_paper(run.route, own_stretches(run.route, shared[run.name]), view):
                    pen.line(line, inks.CASING)
                    pen.line(line, inks.run_ink(number))
                    board.add_obstacle(LineString(line).buffer(inks.RUN_WIDTH_MM * 0.6))
    with pen.group("shared routes", "Where a run shares the route of an earlier one"):
        for number, run in enumerate(plan.runs):
            for line in lines_on_paper(run.route, shared[run.name], view):
                pen.line(line, inks.inlay_ink(number))


def draw_symbols(pen: Pen, plan: Plan, view: View, board: LabelBoard, larger: Sequence[Larger] = ()) -> None:
    """Draw the symbols and labels of runs: stations, members passed, fixings, names.

    In windows that are shown again larger, fixings have no numbers.
    """
    for run in plan.runs:
        own = own_stretches(run.route, _shared(plan, run))
        _draw_stations(pen, run, own, view, board)
        _label_passages(run, own, view, board)
        for place in positions_at(run.route, run.fuse.stations_mm) if run.fuse else ():
            if run.fuse and view.shows(place.space):
                board.add(fuse_label(run.fuse, view.frame(place.space).at((place.x_mm, place.y_mm))))
        _draw_fixings(pen, plan, run, view, board, larger)
        _name_run(run, own, view, board)


def tightest_places(plan: Plan, view: View) -> list[tuple[str, ClearanceCheck, Position]]:
    """Return those of the five tightest places that a view shows: letter, check, place on the run."""
    runs = {run.name: run for run in plan.runs}
    found = []
    for letter, check in zip("abcde", plan.tightest(), strict=False):
        place = positions_at(runs[check.run].route, (check.station_mm,))[0]
        if view.shows(place.space):
            found.append((letter, check, place))
    return found


def draw_tightest(pen: Pen, plan: Plan, view: View, board: LabelBoard, larger: Sequence[Larger] = ()) -> None:
    """Draw the five tightest places as dimensions from the run to the keep-out.

    In windows that are shown again larger they have their letters only.
    """
    with pen.group("tightest places", "The five tightest places: distance, and least distance allowed"):
        for letter, check, place in tightest_places(plan, view):
            frame = view.frame(place.space)
            start = frame.at((place.x_mm, place.y_mm))
            shape = outline_of(plan.profile.keep_out(check.keep_out).shape, frame)
            end = tuple(shapely.get_coordinates(shapely.shortest_line(Point(start), shape))[-1])
            middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
            _draw_dimension(pen, start, (float(end[0]), float(end[1])))
            board.add_obstacle(LineString([start, end]).buffer(0.3), COST_OF_OVERLAP, check.keep_out)
            words = f"{letter}: {check.actual_mm:.0f} ({check.required_mm:.0f})"
            label = Label(words, (middle,), SMALL, is_bold=True, owner=check.keep_out, rank=0)
            if any(space == place.space and box.holds(start) for space, box in larger):
                label = replace(label, words=letter, is_needed=False, reach_mm=7.0)
            board.add(label)


def _draw_dimension(pen: Pen, start: PaperPoint, end: PaperPoint) -> None:
    length = math.dist(start, end)
    if length < 0.05:  # the run passes above or below it
        return
    across = (-(end[1] - start[1]) / length * 0.8, (end[0] - start[0]) / length * 0.8)
    bars = [((x - across[0], y - across[1]), (x + across[0], y + across[1])) for x, y in (start, end)]
    pen.segments([(start, end), *bars], inks.DIMENSION)


@lru_cache(maxsize=64)
def covered_stretches(route: Route, other: Route) -> tuple[StationRange, ...]:
    """Return the stretches (stations) on which a route would be drawn over another route of the same run."""
    count = max(2, math.ceil(route.routed_mm / LOOK_EVERY_MM) + 1)
    stations = tuple(float(station) for station in np.linspace(0.0, route.routed_mm, count))
    places = positions_at(route, stations)
    shared = np.zeros(count, dtype=bool)
    for space in {place.space for place in places}:
        lines = _lines_in(other, space)
        if lines:
            points = shapely.points([(place.x_mm, place.y_mm) for place in places])
            inside = np.array([place.space == space for place in places])
            shared |= inside & (shapely.distance(points, shapely.union_all(lines)) <= COVERED_WITHIN_MM)
    return tuple(
        stretch for stretch in _true_stretches(stations, shared.tolist()) if stretch[1] - stretch[0] >= 50.0
    )


def own_stretches(route: Route, shared: Sequence[StationRange]) -> tuple[StationRange, ...]:
    """Return what of a route is left when the shared stretches are taken out."""
    cuts = [0.0, *(station for stretch in shared for station in stretch), route.routed_mm]
    pairs = zip(cuts[::2], cuts[1::2], strict=True)
    return tuple((start, end) for start, end in pairs if end > start)


def _true_stretches(stations: Sequence[float], flags: Sequence[bool]) -> list[StationRange]:
    found = []
    for is_flagged, group in groupby(zip(stations, flags, strict=True), key=lambda pair: bool(pair[1])):
        inside = [station for station, _ in group]
        if is_flagged:
            found.append((inside[0], inside[-1]))
    return found


def _shared(plan: Plan, run: RunPlan) -> tuple[StationRange, ...]:
    return lying_with_earlier(plan.bundles, run.name)


def _lines_in(route: Route, space: str) -> list[LineString]:
    lines = []
    for name, group in groupby(route.points, key=lambda point: point.space):
        points = [(point.x_mm, point.y_mm) for point in group]
        if name == space and len(set(points)) > 1:
            lines.append(LineString(points))
    return lines


def lines_on_paper(route: Route, stretches: Sequence[StationRange], view: View) -> list[list[PaperPoint]]:
    """Return stretches of a route as lines on paper, one a space; rises are single places and leave none."""
    lines = []
    for start, end in stretches:
        corners = [p for p in route.points if start < p.station_mm < end]
        places: list[Position | RoutePoint] = [positions_at(route, (start,))[0], *corners]
        places.append(_position_before(route, end))
        for space, group in groupby(places, key=lambda place: place.space):
            plan_places = [(place.x_mm, place.y_mm) for place in group]
            distinct = [plan_places[0], *(b for a, b in pairwise(plan_places) if a != b)]
            if view.shows(space) and len(distinct) > 1:
                lines.append(view.frame(space).all_at(distinct))
    return lines


def _position_before(route: Route, station_mm: float) -> Position:
    if station_mm < route.routed_mm:
        return positions_at(route, (station_mm,))[0]
    last = route.points[-1]
    return Position(last.space, last.x_mm, last.y_mm, last.z_mm, last.along)


def _draw_stations(
    pen: Pen, run: RunPlan, own: Sequence[StationRange], view: View, board: LabelBoard
) -> None:
    with pen.group(f"stations {run.name}", f"{run.name}: a tick every 0.5 m, a number every 1 m"):
        for step in range(1, math.ceil(run.route.routed_mm / TICK_EVERY_MM)):
            station = step * TICK_EVERY_MM
            before, place, after = positions_at(run.route, (station - 5.0, station, station + 5.0))
            if not view.shows(place.space) or not any(start <= station <= end for start, end in own):
                continue
            at = view.frame(place.space).at((place.x_mm, place.y_mm))
            across = _across(before, after, view.frame(place.space))
            tick = [(at[0] + by * across[0], at[1] + by * across[1]) for by in (-TICK_MM, TICK_MM)]
            if across != (0.0, 0.0):
                pen.line(tick, inks.DIMENSION)
                board.add_obstacle(LineString(tick).buffer(0.2))
            if station % NUMBER_EVERY_MM == 0:
                board.add(
                    Label(f"{station / 1000:.0f} m", tuple(tick), MIDDLE, is_bold=True, reach_mm=14.0, rank=0)
                )


def _across(before: Position, after: Position, frame: Frame) -> PaperPoint:
    """Return the unit vector square to the run on paper, or (0, 0) on a rise."""
    a, b = frame.at((before.x_mm, before.y_mm)), frame.at((after.x_mm, after.y_mm))
    length = math.dist(a, b)
    return (-(b[1] - a[1]) / length, (b[0] - a[0]) / length) if length > 1e-6 else (0.0, 0.0)


def fuse_label(fuse: FuseChoice, at: PaperPoint) -> Label:
    """Return the sign of a fuse holder, with the fuse's rating, for its place on paper."""
    return Label(f"{fuse.rating_a:g} A", (at,), SMALL, is_bold=True, sign=Sign.FUSE, reach_mm=25.0, rank=0)


def holes_passed(plan: Plan) -> frozenset[PlanPoint]:
    """Return where the holes in members lie that the runs go through."""
    holes = (passage.hole for run in plan.runs for passage in run.route.passages)
    return frozenset(hole.at for hole in holes if hole)


def _label_passages(run: RunPlan, own: Sequence[StationRange], view: View, board: LabelBoard) -> None:
    """Ask for labels where members are passed; on a shared stretch the earlier run has them already."""
    kinds = (PassageKind.OVER_MEMBER, PassageKind.THROUGH_MEMBER)
    for passage in run.route.passages:
        middle = (passage.from_station_mm + passage.to_station_mm) / 2
        place = positions_at(run.route, (middle,))[0]
        is_own = any(start <= middle <= end for start, end in own)
        if passage.kind in kinds and view.shows(place.space) and is_own:
            at = view.frame(place.space).at((place.x_mm, place.y_mm))
            name = passage_words(passage, name=passage.name)
            short = passage_words(passage)
            label = Label(
                name, (at,), SMALL, is_bold=True, owner=passage.name, reach_mm=19.0, rank=0, short=short
            )
            board.add(label)


def passage_words(passage: Passage, *, name: str = "") -> str:
    """Return how a run passes a member: over it, or through which hole.

    Such as "over rear crossmember", or "through seat crossmember, 35 mm"; without the name "through 35 mm".
    """
    word = "over" if passage.kind is PassageKind.OVER_MEMBER else "through"
    return f"{word} {passed_words(passage, name=name)}".rstrip()


def passed_words(passage: Passage, *, name: str = "") -> str:
    """Return the member that a run passes, and the bore of its hole: "seat crossmember, 35 mm"."""
    is_through = passage.kind is PassageKind.THROUGH_MEMBER
    bore = f"{passage.hole.bore_mm:.0f} mm" if is_through and passage.hole else ""
    return ", ".join(part for part in (name, bore) if part)


def _draw_fixings(
    pen: Pen,
    plan: Plan,
    run: RunPlan,
    view: View,
    board: LabelBoard,
    larger: Sequence[Larger],
) -> None:
    """Draw a run's own fixings; where it shares an earlier run's loom, that one's hold both."""
    prefix = fixing_prefix(plan, run)
    with pen.group(f"fixings {run.name}", f"{run.name}: fixings, numbered from its start"):
        for fixing in run.own_fixings:
            if not view.shows(fixing.space):
                continue
            at = view.frame(fixing.space).at((fixing.x_mm, fixing.y_mm))
            with pen.group(f"fixing {run.name} {fixing.number}", f"{prefix}{fixing.number}: {fixing.kind}"):
                symbols.draw_fixing(pen, at, fixing.kind)
            board.add_obstacle(Point(at).buffer(symbols.FIXING_MM + 0.2))
            if not any(space == fixing.space and box.holds(at) for space, box in larger):
                board.add(Label(f"{prefix}{fixing.number}", (at,), SMALL, reach_mm=14.0, rank=0))


def _name_run(run: RunPlan, own: Sequence[StationRange], view: View, board: LabelBoard) -> None:
    for line in _longest_first(lines_on_paper(run.route, own, view))[:1]:
        shape = LineString(line)
        places = [shape.interpolate(share, normalized=True) for share in (0.5, 0.35, 0.65, 0.2, 0.8)]
        anchors = tuple((place.x, place.y) for place in places)
        board.add(Label(f"RUN {run.name}", anchors, MIDDLE, is_bold=True, short=run.name))


def _longest_first(lines: list[list[PaperPoint]]) -> list[list[PaperPoint]]:
    return sorted(lines, key=lambda line: -LineString(line).length)
