"""The map's sheets, one inline picture each, for a page that holds them all."""

from __future__ import annotations

import re
from dataclasses import dataclass

from router.sheet.markup import Html, element, joined, raw

SVG = "http://www.w3.org/2000/svg"
_BOX = re.compile(rf'<svg [^>]*viewBox="([\d., ]+)"[^>]* xmlns="{SVG}"')
_SHEET = re.compile(r'^ <g (id="sheet-\d+">)', re.MULTILINE)
_END = "\n </g>"
"""Of a sheet: nothing else is set in by one."""


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
        Where the text is no SVG with a view box and sheets.
    """
    box = _BOX.search(map_svg)
    starts = list(_SHEET.finditer(map_svg))
    if box is None or not starts:
        raise ValueError("the map is no SVG with a view box and sheets")
    x, y, width, whole = (float(number) for number in re.split(r"[ ,]+", box[1]))
    height = whole / len(starts)
    pictures = []
    for number, start in enumerate(starts):
        label = f"Map of {title}, sheet {number + 1} of {len(starts)}"
        view = f"{x:g} {y + number * height:g} {width:g} {height:g}"
        content = map_svg[start.end() : map_svg.index(_END, start.end())]
        pictures.append(_picture(f'<g xmlns="{SVG}" {start[1]}{content}{_END}', view, label))
    return MapSheets(tuple(pictures), width, height)


def _picture(drawing: str, view: str, label: str) -> Html:
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
