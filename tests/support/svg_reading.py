"""What a drawing says, read back from its text with nothing but an XML parser."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass

SVG = "{http://www.w3.org/2000/svg}"


def parse(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def group(root: ET.Element, name: str) -> ET.Element:
    found = [element for element in root.iter(f"{SVG}g") if element.get("id") == name]
    assert len(found) == 1, f"{len(found)} groups called {name}"
    return found[0]


def has_group(root: ET.Element, name: str) -> bool:
    return any(element.get("id") == name for element in root.iter(f"{SVG}g"))


def points(element: ET.Element) -> list[tuple[float, float]]:
    numbers = [float(number) for number in re.split(r"[ ,]+", element.get("points", "").strip())]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def centre(symbol: ET.Element) -> tuple[float, float]:
    """Return the middle of the first shape in a group: circle, box or triangle."""
    for element in symbol:
        if element.tag == f"{SVG}circle":
            return float(element.get("cx")), float(element.get("cy"))
        if element.tag == f"{SVG}rect":
            x, y, w, h = (float(element.get(name)) for name in ("x", "y", "width", "height"))
            return x + w / 2, y + h / 2
        if element.tag == f"{SVG}polygon":
            corners = points(element)
            if len(corners) == 3:  # a P-clip: 1.3 above and 0.9 below its place
                return corners[0][0], corners[0][1] + 1.3
            return sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners)
    raise AssertionError("no shape in the group")


def scale(root: ET.Element) -> float:
    return float(re.search(r"scale 1:([\d.]+)", root.find(f"{SVG}desc").text).group(1))


@dataclass(frozen=True)
class Word:
    """One text with the box that its letters take in the font's own widths."""

    words: str
    x0: float
    y0: float
    x1: float
    y1: float

    def overlaps(self, other: Word) -> bool:
        return self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1


def words_of(element: ET.Element) -> list[Word]:
    """Return every text in a group, halos left out; boxes go from the top of a capital to the base line."""
    from router.drawing.paper.letters import text_width_mm

    found = []
    for text in element.iter(f"{SVG}text"):
        if text.get("fill") == "#fff":
            continue
        size = float(text.get("font-size"))
        width = text_width_mm(text.text, size, is_bold=text.get("font-weight") == "bold")
        x, y = float(text.get("x")), float(text.get("y"))
        left = x - {"start": 0.0, "middle": width / 2, "end": width}[text.get("text-anchor", "start")]
        found.append(
            Word(text.text, left, y - 0.718 * size, left + width, y)
        )  # 716: CapHeight in Helvetica.afm is 718
    return found
