"""The door for SVG: the elements of a drawing with the line of each, and nothing that runs or reaches out.

A drawing comes from any drawing program, so its text is read as a stranger's: no entities, no scripts, no
endless size. What a program writes on its own (styles, pictures, its own names) is let through, unseen.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import XMLParser

from router.errors import Fault, UnreadableError
from router.reading.files import plain_bytes

MOST_BYTES = 20_000_000
MOST_ELEMENTS = 200_000
DEEPEST = 100
"""Groups within groups; drawing programs need a dozen."""
SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True, slots=True)
class SvgFile:
    """The elements of one SVG file, the line and column of each, and what is around each."""

    file: str
    root: Element
    places: Mapping[Element, tuple[int, int]]
    parents: Mapping[Element, Element]

    def fault(self, element: Element | None, what: str, where: str = "") -> Fault:
        """Return a fault at an element; without one, of the whole file."""
        line, column = self.places.get(element, (1, 1)) if element is not None else (1, 1)
        return Fault(self.file, line, column, where, what)

    def around(self, element: Element) -> list[Element]:
        """Return what an element is in, the nearest first."""
        found = []
        while element in self.parents:
            element = self.parents[element]
            found.append(element)
        return found


class _PlacedParser(XMLParser):  # type: ignore[misc]  # comes without types
    """A parser that keeps where each element begins."""

    def __init__(self) -> None:
        super().__init__(forbid_dtd=False, forbid_entities=True, forbid_external=True)
        self.placed: dict[Element, tuple[int, int]] = {}
        self._depth = 0

    def _start(self, tag: str, attributes: Any) -> Element:
        element: Element = super()._start(tag, attributes)
        if len(self.placed) >= MOST_ELEMENTS:
            raise ValueError(f"holds more than {MOST_ELEMENTS} elements; it is no drawing of a route")
        self._depth += 1
        if self._depth > DEEPEST:
            raise ValueError(f"has elements in each other more than {DEEPEST} deep; ungroup them")
        self.placed[element] = (self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1)
        return element

    def _end(self, tag: str) -> Element:
        self._depth -= 1
        ended: Element = super()._end(tag)
        return ended


def read_svg(path: FilePath) -> SvgFile:
    """Return the elements of an SVG file.

    Raises
    ------
    UnreadableError
        No such file, too large, no XML, no SVG, entities, scripts: with the place.
    """
    shown, text = str(path), _content(path)
    parser = _PlacedParser()
    try:
        parser.feed(text)
        root = parser.close()
    except ParseError as error:
        line, column = error.position
        raise _refused(shown, f"is no XML: {error}; save it again as SVG", line, column + 1) from None
    except DefusedXmlException:
        line = parser.parser.CurrentLineNumber
        words = "declares entities, which no drawing needs; save it as plain SVG"
        raise _refused(shown, words, line) from None
    except (ValueError, LookupError) as error:
        raise _refused(shown, str(error)) from None
    if root.tag not in (f"{SVG}svg", "svg"):
        raise _refused(shown, "is no SVG; save the drawing as plain SVG")
    parents = {child: parent for parent in parser.placed for child in parent}
    svg = SvgFile(shown, root, parser.placed, parents)
    if faults := tuple(svg.fault(e, what) for e in parser.placed if (what := _unwanted(e))):
        raise UnreadableError(faults)
    return svg


def local(name: str) -> str:
    """Return a name without its namespace.

    >>> local("{http://www.w3.org/2000/svg}path")
    'path'
    """
    return name.rpartition("}")[2]


def _unwanted(element: Element) -> str | None:
    if local(element.tag).lower() == "script":
        return "is a script; a drawing needs none, take it out"
    for name, value in element.attrib.items():
        if local(name).lower().startswith("on"):
            return f"has {local(name)}, which runs a script; take it out"
        if local(name) == "href" and value.strip().lower().startswith("javascript:"):
            return "links to a script; take it out"
    return None


def _content(path: FilePath) -> bytes:
    shown = str(path)
    try:
        content = plain_bytes(path, MOST_BYTES)
    except FileNotFoundError:
        raise _refused(shown, "there is no such file") from None
    except (OSError, ValueError) as error:
        raise _refused(shown, f"cannot be read: {getattr(error, 'strerror', None) or error}") from None
    if len(content) > MOST_BYTES:
        raise _refused(shown, f"is larger than {MOST_BYTES // 1_000_000} MB; take pictures out of it")
    return content


def _refused(shown: str, what: str, line: int = 1, column: int = 1) -> UnreadableError:
    return UnreadableError((Fault(shown, line, column, "", what),))
