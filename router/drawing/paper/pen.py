"""The only door to svgwrite: nothing reaches a file that is not finite, plain and on the list below.

svgwrite's own validator lets through event attributes, script addresses, nan and control characters, and
refuses harmless ones, so it is off (`debug=False`) and this gate stands in its place.
"""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import svgwrite
from svgwrite.base import BaseElement

from router.drawing.paper.letters import room_mm
from router.facts import slug

PaperPoint = tuple[float, float]
PaperSegment = tuple[PaperPoint, PaperPoint]

FONTS = "Arial, Helvetica, Liberation Sans, sans-serif"
DECIMALS = 3  # a thousandth of a millimetre of paper: finer than any printer, coarse enough to be stable
LARGEST_MM = 20_000.0  # no sheet or roll is longer

_ALLOWED = (
    frozenset({"cx", "cy", "d", "height", "id", "points", "r", "width", "x", "y"})
    | frozenset({"fill", "fill-opacity", "font-family", "font-size", "font-weight", "text-anchor"})
    | frozenset({"stroke", "stroke-dasharray", "stroke-linecap", "stroke-linejoin", "stroke-width"})
)
_PLAIN = re.compile(r"[A-Za-z0-9 #.,()-]*")
_NOT_XML = re.compile(  # in parts, because one large set of characters takes long to compile
    r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]|[\ud800-\udfff]|[\ufffe\uffff]"
)


@dataclass(frozen=True, slots=True)
class Ink:
    """How a line or a surface is drawn; widths and dashes in mm of paper."""

    stroke: str = "none"
    width_mm: float = 0.25
    fill: str = "none"
    dash: tuple[float, ...] = ()
    fill_opacity: float = 1.0
    is_butt: bool = False
    """Ends square at the last point, as dashes need; otherwise round."""


def plain_text(words: str) -> str:
    r"""Return words as one line that XML may hold: every other character becomes U+FFFD.

    >>> plain_text("left\x00 sill")
    'left\ufffd sill'
    """
    return _NOT_XML.sub("\ufffd", re.sub(r"[\t\n\r]", " ", words))


class Pen:
    """Draws on one SVG document; all coordinates in mm of paper.

    Raises
    ------
    ValueError
        From every method, where a number is not finite or an attribute is not allowed.
    """

    def __init__(self, width_mm: float, height_mm: float, title: str, description: str) -> None:
        size = tuple(f"{self._number(value)}mm" for value in (width_mm, height_mm))
        self._drawing = svgwrite.Drawing(size=size, debug=False)
        self._drawing.viewbox(0, 0, self._number(width_mm), self._number(height_mm))
        self._drawing.set_desc(plain_text(title), plain_text(description))
        self._open: list[BaseElement] = [self._drawing]
        self._ids: set[str] = set()
        self._prefix = ""
        self._data = ""
        self._shift: PaperPoint = (0.0, 0.0)
        self._window: tuple[float, float, float, float] | None = None

    def note(self, data: object) -> None:
        """Put data for programs into the document, as JSON in its metadata; at most once."""
        self._data = plain_text(json.dumps(data, ensure_ascii=False, allow_nan=False))

    @contextmanager
    def group(self, name: str, title: str = "") -> Iterator[None]:
        """Put what is drawn inside into one group, with an id made from `name` and a title for a person."""
        element = self._drawing.g(id=self._unique(name))
        if title:
            element.set_desc(plain_text(title))
        self._open[-1].add(element)
        self._open.append(element)
        yield
        self._open.pop()
        if self._window and len(element.elements) <= bool(title):  # nothing of it is seen here
            self._open[-1].elements.remove(element)

    @contextmanager
    def window(
        self, name: str, corner: PaperPoint, width_mm: float, height_mm: float, shift: PaperPoint = (0.0, 0.0)
    ) -> Iterator[None]:
        """Show what is drawn inside only within a rectangle; its ids begin with the window's name.

        What lies outside of it altogether is left out. `shift` moves all that is drawn inside.
        """
        x, y = corner
        frame = self._drawing.rect(self._xy(corner), (self._number(width_mm), self._number(height_mm)))
        clip = self._drawing.clipPath(id=self._unique(f"{name} window"))
        clip.add(frame)
        element = self._drawing.g(id=self._unique(name), clip_path=f"url(#{clip['id']})")
        definitions = self._drawing.g()
        definitions.elementname = "defs"
        definitions.add(clip)
        element.add(definitions)  # inside the group, so that a sheet taken out alone keeps it
        self._open[-1].add(element)
        self._open.append(element)
        before = self._prefix, self._window, self._shift
        self._prefix, self._window, self._shift = f"{name} ", (x, y, x + width_mm, y + height_mm), shift
        yield
        self._prefix, self._window, self._shift = before
        self._open.pop()

    def line(self, points: Sequence[PaperPoint], ink: Ink) -> None:
        """Draw an open line through two points or more."""
        places = self._points(points)
        if self._is_seen(places):
            self._add(self._drawing.polyline(places), ink)

    def area(self, points: Sequence[PaperPoint], ink: Ink) -> None:
        """Draw a closed surface."""
        places = self._points(points)
        if self._is_seen(places):
            self._add(self._drawing.polygon(places), ink)

    def rings(self, rings: Iterable[Sequence[PaperPoint]], ink: Ink) -> None:
        """Draw closed rings as one path; rings of the other orientation are holes."""
        closed = [self._points(ring[:-1]) for ring in rings]
        if self._is_seen([place for ring in closed for place in ring]):
            pieces = ["M" + " L".join(f"{x} {y}" for x, y in ring) + " Z" for ring in closed]
            self._add(self._drawing.path(" ".join(pieces)), ink)

    def segments(self, segments: Iterable[PaperSegment], ink: Ink) -> None:
        """Draw separate straight pieces as one path."""
        pieces = [piece for piece in map(self._points, segments) if self._is_seen(piece)]
        if pieces:
            words = (f"M{x0} {y0} L{x1} {y1}" for (x0, y0), (x1, y1) in pieces)
            self._add(self._drawing.path(" ".join(words)), ink)

    def circle(self, centre: PaperPoint, radius_mm: float, ink: Ink) -> None:
        """Draw a circle."""
        (place,), radius = self._points((centre,)), self._number(radius_mm)
        if self._is_seen((place,), radius, radius):
            self._add(self._drawing.circle(place, radius), ink)

    def box(self, x: float, y: float, width: float, height: float, ink: Ink) -> None:
        """Draw an upright rectangle from its upper left corner."""
        size = self._number(width), self._number(height)
        corner = self._xy((x, y))
        if self._is_seen((corner, (corner[0] + size[0], corner[1] + size[1]))):
            self._add(self._drawing.rect(corner, size), ink)

    def text(
        self,
        at: PaperPoint,
        words: str,
        *,
        size_mm: float,
        is_bold: bool = False,
        anchor: str = "start",
        colour: str = "#000",
        halo_mm: float = 0.0,
    ) -> None:
        """Write one line of text on its base line; a halo lets it be read on top of a drawing."""
        if not self._is_seen((self._xy(at),), room_mm(words, size_mm, is_bold=is_bold), size_mm):
            return
        if halo_mm:
            self._write(at, words, size_mm, is_bold, anchor, Ink("#fff", halo_mm, "#fff"))
        self._write(at, words, size_mm, is_bold, anchor, Ink(fill=colour))

    def finish(self) -> str:
        """Return the whole document, the same text for the same drawing."""
        root = self._drawing.get_xml()
        for name in ("xmlns:ev", "xmlns:xlink"):  # nothing here has events or links
            del root.attrib[name]
        if self._data:
            data = ET.Element("metadata")
            data.text = self._data
            root.insert(len(root.findall("title") + root.findall("desc")), data)
        ET.indent(root, space=" ")
        return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"

    def _write(
        self, at: PaperPoint, words: str, size_mm: float, is_bold: bool, anchor: str, ink: Ink
    ) -> None:
        element = self._drawing.text(plain_text(words), insert=self._xy(at))
        element.attribs["font-size"] = self._number(size_mm)
        element.attribs["font-family"] = FONTS
        if is_bold:
            element.attribs["font-weight"] = "bold"
        if anchor != "start":
            element.attribs["text-anchor"] = anchor
        self._add(element, ink)

    def _add(self, element: BaseElement, ink: Ink) -> None:
        element.attribs["fill"] = ink.fill
        if ink.fill_opacity != 1.0:
            element.attribs["fill-opacity"] = self._number(ink.fill_opacity)
        if ink.stroke != "none":
            self._set_stroke(element, ink)
        for name, value in element.attribs.items():
            _check_attribute(name, value)
        self._open[-1].add(element)

    def _set_stroke(self, element: BaseElement, ink: Ink) -> None:
        element.attribs["stroke"] = ink.stroke
        element.attribs["stroke-width"] = self._number(ink.width_mm)
        element.attribs["stroke-linejoin"] = "round"
        element.attribs["stroke-linecap"] = "butt" if ink.dash or ink.is_butt else "round"
        if ink.dash:
            element.attribs["stroke-dasharray"] = " ".join(str(self._number(part)) for part in ink.dash)

    def _unique(self, name: str) -> str:
        stem = slug(self._prefix + name)
        candidate, count = stem, 1
        while candidate in self._ids:
            count += 1
            candidate = f"{stem}-{count}"
        self._ids.add(candidate)
        return candidate

    def _points(self, points: Iterable[PaperPoint]) -> list[PaperPoint]:
        return [self._xy(point) for point in points]

    def _xy(self, point: PaperPoint) -> PaperPoint:
        return self._number(point[0] + self._shift[0]), self._number(point[1] + self._shift[1])

    def _is_seen(self, places: Sequence[PaperPoint], by_x: float = 0.0, by_y: float = 0.0) -> bool:
        """Return whether something with these places, grown by so much, reaches into the window."""
        if not places or self._window is None:
            return bool(places)
        x0, y0, x1, y1 = self._window
        xs, ys = [x for x, _ in places], [y for _, y in places]
        margin = 2.0  # for the width of lines
        across = min(xs) - by_x - margin <= x1 and max(xs) + by_x + margin >= x0
        return across and min(ys) - by_y - margin <= y1 and max(ys) + by_y + margin >= y0

    @staticmethod
    def _number(value: float) -> float:
        if not -LARGEST_MM <= value <= LARGEST_MM:  # so that nan is refused too
            raise ValueError(f"{value!r} cannot be drawn; every number must be finite and on the paper")
        rounded = round(float(value), DECIMALS)
        return int(rounded) if rounded.is_integer() else rounded


def _check_attribute(name: str, value: object) -> None:
    if name not in _ALLOWED:
        raise ValueError(f"attribute {name!r} is not on the list of what may be drawn")
    if isinstance(value, str) and name not in ("d", "points") and not _PLAIN.fullmatch(value):
        raise ValueError(f"attribute {name}={value!r} holds characters that a drawing does not need")
