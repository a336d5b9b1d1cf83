"""Lines and dots that somebody drew over a blank map, back on the vehicle. Lengths in mm of the vehicle.

The map's own outline of each space is the ruler: wherever a drawing program moved or scaled the sheet to,
the outline went with it. Where a program took the outline away, the map's metadata stand in.
"""

from __future__ import annotations

import copy
import io
import json
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from xml.etree.ElementTree import Element, tostring

import numpy as np
from shapely import LineString, Polygon
from svgelements import SVG, Close, Line, Matrix, Move, Path, Shape

from router.errors import UnreadableError
from router.facts import slug
from router.model.vehicle import Point, Profile, Space
from router.reading.svg.svg_text import SvgFile, local

NUMBER = "data-number"
"""The attribute that tells which element of the file a shape is."""
_SHARES = np.linspace(0.0, 1.0, 25)[1:]
"""Where a curve is looked at, as shares of it."""
DOT_MM = 8.0
"""A closed shape of paper no larger than this is a dot: a place where the loom is fixed."""
SAME_MM = 0.1
"""Two places of paper nearer than this are one."""
MOST_POINTS = 100_000
MOST_STRETCH = 0.01
"""Share by which the two scales of a map may differ: rounding, no more."""
BESIDE_MM = 3.0
"""How far beside a space somebody draws a line that belongs to it, mm of paper."""
BENT_MM = 1.0
"""How far a corner of the outline may lie from where the map had it, mm of paper."""

_OF_THE_PARSER = (ValueError, TypeError, LookupError, ArithmeticError, AttributeError, RecursionError)
"""What the library raises on numbers and letters that it did not expect."""
_DRAWN = frozenset({"path", "polyline", "line", "polygon", "rect", "circle", "ellipse"})


@dataclass(frozen=True, slots=True)
class PaperPlacement:
    """How one space is placed on the paper; an entry of `views` in the data of a map."""

    space: str
    origin: Point
    scale: float
    y_sense: float
    outline: tuple[Point, ...]

    def at(self, place: Point) -> Point:
        """Return the point on the vehicle of a point on paper."""
        x, y = ((place[0] - self.origin[0]) * self.scale, (place[1] - self.origin[1]) * self.scale)
        return x, y * self.y_sense


@dataclass(frozen=True, slots=True)
class Stroke:
    """One open line in one space, as it was drawn."""

    element: Element
    words: tuple[str, ...]
    """What it and what it is in are called, the nearest first."""
    space: str
    points: tuple[Point, ...]
    scale: float


@dataclass(frozen=True, slots=True)
class Dot:
    """A place where the loom is fixed."""

    element: Element
    words: tuple[str, ...]
    space: str
    at: Point
    scale: float


def strokes_of(svg: SvgFile, profile: Profile) -> tuple[tuple[Stroke, ...], tuple[Dot, ...]]:
    """Return what was drawn over a blank map of a vehicle.

    Raises
    ------
    UnreadableError
        It is no map of this vehicle, or a line is closed, in pieces, off the page or in no one space.
    """
    elements = list(svg.places)
    parsed = _parsed(svg, elements)
    shapes = [(elements[int(shape.values[NUMBER])], shape) for shape in parsed.elements(_is_shape)]
    views = _views(svg, profile, shapes)
    strokes: list[Stroke] = []
    dots: list[Dot] = []
    faults = []
    for element, shape in shapes:
        if _group_of(svg, element, "space-"):
            continue
        try:
            lines = _lines(shape)
            made = _on_the_vehicle(svg, element, lines, views, (float(parsed.width), float(parsed.height)))
        except ValueError as error:
            faults.append(svg.fault(element, str(error), _called(element)))
            continue
        if isinstance(made, Stroke):
            strokes.append(made)
        else:
            dots.append(made)
    if faults:
        raise UnreadableError(tuple(faults))
    if not strokes:
        groups = ", ".join(slug(f"draw {space}") for space in views)
        words = f"no line is drawn on it; draw open lines in the groups {groups}, or on a layer of your own"
        raise UnreadableError((svg.fault(None, words),))
    return tuple(strokes), tuple(dots)


def _is_shape(thing: object) -> bool:
    return isinstance(thing, Shape)


def _parsed(svg: SvgFile, elements: Sequence[Element]) -> SVG:
    """Return the shapes that matter, every transform applied: outlines, and what is no part of the map."""
    numbers = {element: number for number, element in enumerate(elements)}
    faults = [
        svg.fault(e, "has a transform that cannot be read", _called(e))
        for e in elements
        if _has_odd_transform(e)
    ]
    kept = None if faults else _kept(svg.root, numbers, is_map=False)
    if kept is None:
        raise UnreadableError(tuple(faults))
    try:
        return SVG.parse(io.StringIO(tostring(kept, encoding="unicode")), ppi=25.4, reify=True)
    except _OF_THE_PARSER as error:
        what = f"cannot be taken apart: {error}; save it again as plain SVG"
        raise UnreadableError((svg.fault(None, what),)) from None


def _has_odd_transform(element: Element) -> bool:
    """Return whether an element's transform is none that SVG knows."""
    try:
        Matrix(element.get("transform", ""))
    except (ValueError, TypeError, LookupError):
        return True
    return False


def _kept(element: Element, numbers: Mapping[Element, int], *, is_map: bool) -> Element | None:
    """Return a copy of an element with just what matters in it; None for what does not."""
    name = local(element.tag)
    own = _ids(element)
    if any(each.startswith(("draw-", "space-")) for each in own):
        is_map = False
    elif any(re.fullmatch(r"sheet-\d+", each) for each in own):
        is_map = True
    if name in _DRAWN:
        if is_map:
            return None
    elif name not in ("svg", "g", "a"):
        return None
    made = copy.copy(element)
    made[:] = []
    made.text = made.tail = None
    made.set(NUMBER, str(numbers[element]))
    for child in element:
        kept = _kept(child, numbers, is_map=is_map)
        if kept is not None:
            made.append(kept)
    return made


def _ids(element: Element) -> list[str]:
    """Return the names of an element as programs write them: id, label, layer name."""
    names = [value for key, value in element.attrib.items() if local(key) in ("id", "label", "data-name")]
    return [re.sub(r"_x([0-9A-Fa-f]{2})_", lambda code: chr(int(code[1], 16)), name) for name in names]


def _called(element: Element) -> str:
    return f'{local(element.tag)} "{_ids(element)[0]}"' if _ids(element) else local(element.tag)


def _group_of(svg: SvgFile, element: Element, prefix: str) -> str | None:
    """Return the name, after the prefix, of the group of the map that an element is in."""
    for group in svg.around(element):
        for name in _ids(group):
            if name.startswith(prefix):
                return name.removeprefix(prefix)
    return None


def _views(
    svg: SvgFile, profile: Profile, shapes: Sequence[tuple[Element, Shape]]
) -> dict[str, PaperPlacement]:
    by_metadata = _metadata(svg, profile)
    views, faults = {}, []
    outlines = {
        name: (element, shape) for element, shape in shapes if (name := _group_of(svg, element, "space-"))
    }
    for space in profile.spaces:
        if slug(space.name) in outlines:
            element, shape = outlines[slug(space.name)]
            view = _view_by_outline(shape, space, by_metadata.get(space.name))
            if view:
                views[space.name] = view
            else:
                words = f"outline of {space.name} was bent or stretched; draw over a fresh blank map"
                faults.append(svg.fault(element, words))
        elif space.name in by_metadata:
            views[space.name] = by_metadata[space.name]
    if faults:
        raise UnreadableError(tuple(faults))
    if not views:
        words = (
            f'is no blank map of {profile.name}; make one with "underbody plan JOB --blank" and draw on that'
        )
        raise UnreadableError((svg.fault(None, words),))
    return views


def _metadata(svg: SvgFile, profile: Profile) -> dict[str, PaperPlacement]:
    """Return how the map itself says that its spaces lie; nothing where a program took that away."""
    outlines = {space.name: space.outline for space in profile.spaces}
    for element in svg.places:
        if local(element.tag) != "metadata":
            continue
        try:
            data: dict[str, Any] = json.loads(element.text or "")
            name = data["profile"]["name"]
            views = {
                str(view["space"]): _view_by_metadata(view, outlines[str(view["space"])])
                for view in data["views"]
                if str(view["space"]) in outlines
            }
        except (ValueError, LookupError, TypeError, OverflowError, RecursionError):
            continue  # another program's own
        if name != profile.name:
            words = f'is a map of "{name}", and the job is for "{profile.name}"; draw on a map of that'
            raise UnreadableError((svg.fault(element, words),))
        return views
    return {}


def _view_by_metadata(by_metadata: Mapping[str, Any], outline: tuple[Point, ...]) -> PaperPlacement:
    """Return how a space lies by the map's own words; ValueError and its like where they are not that."""
    origin = (float(by_metadata["origin_mm"][0]), float(by_metadata["origin_mm"][1]))
    scale, y_sense = float(by_metadata["scale"]), float(by_metadata["y_sense"])
    if not (0 < scale < math.inf and y_sense in (-1.0, 1.0) and all(map(math.isfinite, origin))):
        raise ValueError("no view")
    return PaperPlacement(str(by_metadata["space"]), origin, scale, y_sense, outline)


def _view_by_outline(
    outline: Shape, space: Space, by_metadata: PaperPlacement | None
) -> PaperPlacement | None:
    """Return how a space lies on the paper by its outline there; None where that is broken or bent."""
    try:
        points = [point for line in _lines(outline) for point in line]
    except ValueError:
        return None
    is_whole = points and all(map(math.isfinite, (value for point in points for value in point)))
    return _view(space, points, by_metadata) if is_whole else None


def _view(space: Space, points: Sequence[Point], by_metadata: PaperPlacement | None) -> PaperPlacement | None:
    """Return how a space lies on the paper by its outline there; None if the outline does not show it."""
    corners = [p for n, p in enumerate(points) if not n or math.dist(p, points[n - 1]) > 1e-6]
    if len(corners) > 1 and math.dist(corners[0], corners[-1]) < 1e-6:
        corners = corners[:-1]
    (low_x, high_x), (low_y, high_y) = _span(corners, 0), _span(corners, 1)
    (first_x, last_x), (first_y, last_y) = _span(space.outline, 0), _span(space.outline, 1)
    if not (0 < high_x - low_x < math.inf and 0 < high_y - low_y < math.inf):
        return None
    scale = (last_x - first_x) / (high_x - low_x)
    if abs((last_y - first_y) / (high_y - low_y) / scale - 1) > MOST_STRETCH:
        return None
    left = low_x - first_x / scale
    candidates = [
        PaperPlacement(space.name, (left, low_y - first_y / scale), scale, 1.0, space.outline),
        PaperPlacement(space.name, (left, low_y + last_y / scale), scale, -1.0, space.outline),
    ]
    if len(corners) != len(space.outline):  # a program put corners in; its orientation comes from the map
        return next(
            (each for each in candidates if by_metadata and each.y_sense == by_metadata.y_sense), None
        )
    off = [
        max(math.dist(view.at(a), b) for a, b in zip(corners, space.outline, strict=True)) / scale
        for view in candidates
    ]
    best = min(range(2), key=lambda number: off[number])
    return candidates[best] if off[best] <= BENT_MM else None


def _span(points: Sequence[Point], axis: int) -> tuple[float, float]:
    values = [point[axis] for point in points]
    return min(values), max(values)


def _lines(shape: Shape) -> list[list[Point]]:
    """Return a shape as lines of points on paper, one for each piece of it; curves in short steps.

    Raises
    ------
    ValueError
        Says in words that its numbers cannot be read, or that there are too many of them.
    """
    try:
        with np.errstate(all="ignore"):  # what is not finite is refused where it is looked at
            lines = _read_lines(shape)
    except _OF_THE_PARSER:
        raise ValueError("has numbers that cannot be read; draw it again") from None
    if sum(map(len, lines)) > MOST_POINTS:
        raise ValueError(f"has more than {MOST_POINTS} points; simplify it")
    return [line for line in lines if len(line) > 1]


def _read_lines(shape: Shape) -> list[list[Point]]:
    """Return the pieces of a shape; what comes after too many points is left out."""
    lines: list[list[Point]] = []
    for segment in Path(shape):
        if isinstance(segment, Move):
            lines.append([(float(segment.end.x), float(segment.end.y))])
        elif isinstance(segment, Line | Close):
            if segment.end is not None:
                lines[-1].append((float(segment.end.x), float(segment.end.y)))
        else:
            lines[-1] += [(float(x), float(y)) for x, y in segment.npoint(_SHARES)]
        if sum(map(len, lines[-1:])) > MOST_POINTS:
            break
    return lines


def _on_the_vehicle(
    svg: SvgFile,
    element: Element,
    lines: list[list[Point]],
    views: Mapping[str, PaperPlacement],
    page: tuple[float, float],
) -> Stroke | Dot:
    """Return what one element draws, in its space; ValueError says in words why it is not to be read."""
    points = [point for line in lines for point in line]
    if not points or not all(map(math.isfinite, (value for point in points for value in point))):
        raise ValueError("draws nothing; take it out")
    (low_x, high_x), (low_y, high_y) = _span(points, 0), _span(points, 1)
    if low_x < 0 or low_y < 0 or high_x > page[0] or high_y > page[1]:
        raise ValueError("goes off the page; draw on the vehicle")
    words = tuple(
        name for thing in (element, *svg.around(element)) for name in (*_ids(thing), *_titles(thing))
    )
    is_closed = any(len(line) > 2 and math.dist(line[0], line[-1]) < SAME_MM for line in lines)
    size_mm = max(high_x - low_x, high_y - low_y)
    view = _view_for(svg, element, points, words, views)
    if is_closed and size_mm <= DOT_MM:
        middle = ((low_x + high_x) / 2, (low_y + high_y) / 2)
        return Dot(element, words, view.space, view.at(middle), view.scale)
    if is_closed:
        raise ValueError("is closed; draw a run as an open line, and a fixing as a small dot")
    if len(lines) > 1:
        raise ValueError(f"is in {len(lines)} pieces; break it apart, or draw one open line")
    if size_mm < SAME_MM:
        raise ValueError("is no longer than a spot; draw a line, or take it out")
    return Stroke(element, words, view.space, tuple(view.at(point) for point in points), view.scale)


def _titles(element: Element) -> Iterator[str]:
    yield from (child.text for child in element if local(child.tag) == "title" and child.text)


def _view_for(
    svg: SvgFile,
    element: Element,
    points: Sequence[Point],
    words: Sequence[str],
    views: Mapping[str, PaperPlacement],
) -> PaperPlacement:
    """Return the space that a line is drawn in: by the group that it is in, by its name, by where it lies."""
    by_slug = {slug(space): view for space, view in views.items()}
    group = _group_of(svg, element, "draw-")
    if group in by_slug:
        return by_slug[group]
    for name in map(slug, words):
        for space, view in by_slug.items():
            if space in name:
                return view
    return _view_around(points, views)


def _view_around(points: Sequence[Point], views: Mapping[str, PaperPlacement]) -> PaperPlacement:
    """Return the one space in whose outline a line lies, as closely as somebody draws."""
    around = [
        view
        for view in views.values()
        if Polygon(view.outline).buffer(BESIDE_MM * view.scale).covers(LineString(map(view.at, points)))
    ]
    if len(around) == 1:
        return around[0]
    found = f"lies in {' and '.join(view.space for view in around)}" if around else "lies in no one space"
    groups = ", ".join(slug(f"draw {space}") for space in views)
    raise ValueError(f"{found}; draw one line for each space, in its group: {groups}")
