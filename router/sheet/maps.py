"""The map's sheets, one inline picture each, for a page that holds them all."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass

from router.sheet.markup import Html, element, joined, raw

SVG = "http://www.w3.org/2000/svg"
_SHEET = re.compile(r"sheet-\d+")


@dataclass(frozen=True, slots=True)
class MapSheets:
    """The pictures, and the size of each in mm of paper."""

    pictures: tuple[Html, ...]
    width_mm: float
    height_mm: float


def sheets_of(map_svg: str, title: str) -> MapSheets:
    """Return the sheets of a map made by `router.drawing`, each as a picture of its own.

    Raises
    ------
    ValueError
        Where the text is no SVG with a view box.
    """
    try:
        root = ET.fromstring(map_svg)
    except ET.ParseError as error:
        raise ValueError(f"the map is no SVG: {error}") from None
    box = [float(number) for number in re.split(r"[ ,]+", root.get("viewBox", "").strip()) if number]
    if root.tag != f"{{{SVG}}}svg" or len(box) != 4:
        raise ValueError("the map is no SVG with a view box")
    ET.register_namespace("", SVG)
    groups = [child for child in root if _SHEET.fullmatch(child.get("id", ""))] or [root]
    height = box[3] / len(groups)
    pictures = []
    for number, group in enumerate(groups):
        label = f"Map of {title}, sheet {number + 1} of {len(groups)}"
        view = f"{box[0]:g} {box[1] + number * height:g} {box[2]:g} {height:g}"
        pictures.append(_picture(group, view, label))
    return MapSheets(tuple(pictures), box[2], height)


def _picture(group: ET.Element, view: str, label: str) -> Html:
    drawing = ET.tostring(group, encoding="unicode").strip()
    return element(
        "figure",
        element("svg", raw(drawing), xmlns=SVG, viewBox=view, role="img", aria_label=label),
        tabindex="0",
        role="group",
        aria_label=label,
    )


def map_section(sheets: MapSheets) -> Html:
    """Return all sheets, with what to do to see or print them in true size."""
    notes = (
        element("p", "Drag the map sideways to see all of it.", class_="hint soft"),
        element(
            "p",
            "True to scale only when printed at 100 %: the check bar must then measure 100 mm.",
            class_="soft screen",
        ),
    )
    return joined([*notes, *sheets.pictures])
