"""Routes side by side on a blank map, for a lesson: which is right, where to fix it, what is wrong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from shapely.geometry import LineString, Point

from router.drawing.labels.labelling import Label, LabelBoard
from router.drawing.layers.run_lines import lines_on_paper
from router.drawing.layers.vehicle_layer import LARGE, SMALL, View
from router.drawing.paper import inks, symbols
from router.drawing.paper.pen import Ink, PaperPoint, Pen
from router.drawing.sheets import legend
from router.facts import positions_at
from router.model.fixing import Fixing
from router.model.plan import Route, SpareLoop

APART_MM = 1.3
"""How far beside each other routes are drawn that lie in one place, mm of paper."""
LOOP_MM = 1.8


@dataclass(frozen=True, slots=True)
class ShownRoute:
    """A route to show, with what it is called there."""

    name: str
    route: Route
    fixings: tuple[Fixing, ...] = ()
    loops: tuple[SpareLoop, ...] = ()


def draw_routes_side_by_side(pen: Pen, routes: Sequence[ShownRoute], view: View, board: LabelBoard) -> None:
    """Draw routes side by side, each with its own dashes and its name, and what holds them."""
    with pen.group("offered", "The routes that the question is about"):
        for number, shown in enumerate(routes):
            aside_mm = APART_MM * (number - (len(routes) - 1) / 2)
            with pen.group(f"offered {shown.name}", shown.name):
                lines = lines_on_paper(shown.route, ((0.0, shown.route.routed_mm),), view)
                shifted = [_beside(line, aside_mm) for line in lines]
                for line in shifted:
                    pen.line(line, Ink("#fff", inks.RUN_WIDTH_MM + 0.5))
                    pen.line(line, inks.run_ink(number))
                    board.add_obstacle(LineString(line).buffer(inks.RUN_WIDTH_MM))
                _name(shown.name, shifted, routes, view, board, number)
                _draw_fixings(pen, shown, view, board)
                draw_loops(pen, shown.route, shown.loops, view, board)


def offered_route_entries(routes: Sequence[ShownRoute]) -> tuple[legend.Entry, ...]:
    """Return what the legend says of the routes, and of what holds them."""
    entries = [legend.Entry(("Routes",))]
    entries += [legend.line_entry(shown.name, inks.run_ink(number)) for number, shown in enumerate(routes)]
    kinds = {fixing.kind for shown in routes for fixing in shown.fixings}
    held = (replace(entry, is_of_route=False) for entry in legend.fixing_entries(kinds))
    return (*entries, *held)  # on a blank map what is of a route is left out


def _beside(line: list[PaperPoint], aside_mm: float) -> list[PaperPoint]:
    """Return a line on paper drawn that much to its side; as it is where that would take it apart."""
    if aside_mm == 0.0:
        return line
    moved = LineString(line).offset_curve(aside_mm, join_style="mitre")
    if moved.geom_type != "LineString" or moved.is_empty:
        return line
    return [(float(x), float(y)) for x, y in moved.coords]


def _name(
    name: str,
    lines: list[list[PaperPoint]],
    routes: Sequence[ShownRoute],
    view: View,
    board: LabelBoard,
    number: int,
) -> None:
    """Ask for a route's name where it is furthest from the other ones."""
    others = [
        LineString(line)
        for other, shown in enumerate(routes)
        if other != number
        for line in lines_on_paper(shown.route, ((0.0, shown.route.routed_mm),), view)
    ]
    places = [LineString(line).interpolate(n / 20, normalized=True) for line in lines for n in range(1, 20)]
    alone = sorted(places, key=lambda place: -min((place.distance(each) for each in others), default=0.0))
    anchors = tuple((place.x, place.y) for place in (alone if others else places[9:] + places[:9])[:5])
    board.add(Label(name, anchors, LARGE, is_bold=True, reach_mm=25.0))


def _draw_fixings(pen: Pen, shown: ShownRoute, view: View, board: LabelBoard) -> None:
    for fixing in shown.fixings:
        if view.shows(fixing.space):
            at = view.frame(fixing.space).at((fixing.x_mm, fixing.y_mm))
            symbols.draw_fixing(pen, at, fixing.kind)
            board.add_obstacle(Point(at).buffer(symbols.FIXING_MM + 0.2))
            board.add(Label(str(fixing.number), (at,), SMALL, reach_mm=14.0))


def draw_loops(pen: Pen, route: Route, loops: Sequence[SpareLoop], view: View, board: LabelBoard) -> None:
    """Draw a ring at each loop of length left loose, with how much it is."""
    for loop in loops:
        place = positions_at(route, (loop.station_mm,))[0]
        if view.shows(place.space):
            at = view.frame(place.space).at((place.x_mm, place.y_mm))
            pen.circle((at[0], at[1] - LOOP_MM), LOOP_MM, Ink(inks.BLACK, 0.5))
            board.add_obstacle(Point(at).buffer(2 * LOOP_MM))
            words = f"loop of {loop.spare_mm:.0f} mm"
            board.add(Label(words, (at,), SMALL, is_bold=True, reach_mm=19.0))
