"""Differences drawn over the second of two vehicles: gone dashed and struck, new bold, moved by an arrow."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from router.drawing.labels.labelling import Label, LabelBoard
from router.drawing.layers.hazards import on_paper, outline_of
from router.drawing.layers.vehicle_layer import SMALL, View
from router.drawing.paper import inks
from router.drawing.paper.frame import Frame, SeenFrom
from router.drawing.paper.pen import Ink, PaperPoint, Pen
from router.drawing.sheets import legend
from router.facts import floor_of, spaces_of
from router.model.comparison import Comparison, Difference, Measured
from router.model.vehicle import (
    KeepOut,
    Member,
    Opening,
    Panel,
    Profile,
    Space,
    Support,
    Terminal,
)

CASING = Ink("#fff", 1.8)
GONE = Ink(inks.BLACK, 0.6, dash=(1.6, 1.0))
STRUCK = Ink(inks.BLACK, 0.5)
NEW = Ink(inks.BLACK, 1.0)
CHANGED = Ink(inks.BLACK, 0.6)
ARROW = Ink(inks.BLACK, 0.5)
_VEHICLE = Frame((0.0, 0.0), 1.0, SeenFrom.BELOW)  # the vehicle's own mm
SPOT_MM = 2.6
"""Half the side of the square round an opening or a terminal, on paper."""
HEAD_MM = 1.6
SEEN_MM = 0.6
"""A shorter move on paper gets no arrow; its words say how far."""


def draw_differences(pen: Pen, comparison: Comparison, view: View, board: LabelBoard) -> None:
    """Draw every difference of a thing with its number."""
    with pen.group("differences", "Differences, by number"):
        for number, difference in enumerate(placed(comparison), start=1):
            with pen.group(f"difference {number}", f"{number}: {difference.section} {difference.name}"):
                _draw(pen, difference, number, view, board)


def placed(comparison: Comparison) -> list[Difference]:
    """Return the differences that can be drawn: of things, not of facts."""
    return [each for each in comparison.differences if each.before or each.after]


def difference_entries(comparison: Comparison) -> tuple[legend.Entry, ...]:
    """Return what the legend says: how differences are drawn, then each by its number."""
    entries = [
        legend.Entry(("Differences",)),
        legend.line_entry("gone: dashed and struck through", GONE),
        legend.line_entry("new: bold", NEW),
        legend.line_entry("moved: from dashed to bold", CHANGED),
    ]
    return (*entries, *_listed(comparison))


def _listed(comparison: Comparison) -> Iterator[legend.Entry]:
    for number, each in enumerate(placed(comparison), start=1):
        yield legend.numbered_entry(number, f"{each.section} {each.name}: {each.what}")
    for each in comparison.differences:
        if not (each.before or each.after):
            yield legend.numbered_entry(None, f"{each.name}: {each.what}")


def _draw(pen: Pen, difference: Difference, number: int, view: View, board: LabelBoard) -> None:
    before, after = difference.before, difference.after
    olds, news = _on_paper(before, view), _on_paper(after, view)
    if before and after and olds == news:  # same place, other properties
        _trace(pen, news, CHANGED, board)
        _label(f"{number}", news, board)
    elif before and after:
        _trace(pen, olds, GONE, board)
        _trace(pen, news, NEW, board)
        _draw_arrows(pen, olds, news)
        _label(_moved_words(difference, number, view.profile), news or olds, board)
    elif before:
        _trace(pen, olds, GONE, board)
        _strike(pen, olds)
        _label(f"{number} gone", olds, board)
    else:
        _trace(pen, news, NEW, board)
        _label(f"{number} new", news, board)


def _moved_words(difference: Difference, number: int, profile: Profile) -> str:
    before, after, moved_mm = difference.before, difference.after, difference.moved_mm
    if before and after and _spaces(before, profile) != _spaces(after, profile):
        return f"{number} now in {_spaces(after, profile)[0]}"
    return f"{number} moved {moved_mm:.0f} mm" if moved_mm else f"{number} changed"


def _spaces(thing: Measured, profile: Profile) -> tuple[str, ...]:
    match thing:
        case Space():
            return (thing.name,)
        case Panel():
            return thing.between
        case KeepOut():
            return spaces_of(profile, thing)
        case Opening():
            return thing.joins
        case _:
            return (thing.space,)


def _shape(thing: Measured, profile: Profile) -> BaseGeometry:
    """Return the shape of a thing in plan, in mm of the vehicle."""
    match thing:
        case KeepOut():
            return outline_of(thing.shape, _VEHICLE)
        case Member():
            return LineString(thing.along).buffer(thing.width_mm / 2, cap_style="flat")
        case Panel():
            return LineString(thing.along) if thing.along else floor_of(thing, profile)
        case Support():
            return LineString(thing.along)
        case Opening() | Terminal():
            return Point(thing.at)
    return Polygon(thing.outline if isinstance(thing, Space) else thing.area)


def _on_paper(thing: Measured | None, view: View) -> list[BaseGeometry]:
    """Return a thing as it lies on the paper, once in each of its spaces that are shown."""
    if thing is None:
        return []
    shapes = []
    for space in dict.fromkeys(_spaces(thing, view.profile)):
        if view.shows(space):
            shape = on_paper(_shape(thing, view.profile), view.frame(space))
            is_spot = isinstance(shape, Point)
            shapes.append(shapely.box(*shape.buffer(SPOT_MM).bounds) if is_spot else shape)
    return shapes


def _trace(pen: Pen, shapes: Sequence[BaseGeometry], ink: Ink, board: LabelBoard) -> None:
    for shape in shapes:
        line = _ring(shape)
        pen.line(line, CASING)
        pen.line(line, ink)
        board.add_obstacle(LineString(line).buffer(ink.width_mm))


def _ring(shape: BaseGeometry) -> list[PaperPoint]:
    curve = shape.exterior if isinstance(shape, Polygon) else shape
    return [(float(x), float(y)) for x, y in curve.coords]


def _strike(pen: Pen, shapes: Sequence[BaseGeometry]) -> None:
    """Draw a stroke through a thing, from its lower left to its upper right."""
    for shape in shapes:
        x0, y0, x1, y1 = shape.buffer(1.0).bounds
        pen.segments([((x0, y1), (x1, y0))], STRUCK)


def _draw_arrows(pen: Pen, olds: Sequence[BaseGeometry], news: Sequence[BaseGeometry]) -> None:
    for old, new in zip(olds, news, strict=False):
        start, end = ((each.centroid.x, each.centroid.y) for each in (old, new))
        length = math.dist(start, end)
        if length < SEEN_MM:
            continue
        pen.line([start, end], CASING)
        pen.line([start, end], ARROW)
        turn = math.atan2(end[1] - start[1], end[0] - start[0])
        head = min(HEAD_MM, length)
        barbs = [
            (end[0] - head * math.cos(turn + by), end[1] - head * math.sin(turn + by)) for by in (0.45, -0.45)
        ]
        pen.segments([(end, barb) for barb in barbs], ARROW)


def _label(words: str, shapes: Sequence[BaseGeometry], board: LabelBoard) -> None:
    for shape in shapes:
        ring = LineString(_ring(shape))
        places = [ring.interpolate(n / 8, normalized=True) for n in range(8)]
        anchors = tuple((place.x, place.y) for place in places)
        board.add(Label(words, anchors, SMALL, is_bold=True, reach_mm=24.0))
