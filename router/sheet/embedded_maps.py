"""The map's sheets, one inline picture each, for a page that holds them all."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from router.sheet.markup import Html, element, joined, raw

SVG = "http://www.w3.org/2000/svg"
_BOX = re.compile(rf'<svg [^>]*viewBox="([\d., ]+)"[^>]* xmlns="{SVG}"')
_SHEET = re.compile(r'^ <g (id="(?:circuit-)?sheet-\d+">)', re.MULTILINE)
_END = "\n </g>"
"""Of a sheet: nothing else is set in by one."""


@dataclass(frozen=True, slots=True)
class MapSheets:
    """The pictures, and the size of each in mm of paper."""

    pictures: tuple[Html, ...]
    width_mm: float
    height_mm: float


def sheets_of(map_svg: str, title: str, what: str = "Map", *, is_true_size: bool = False) -> MapSheets:
    """Return the sheets of a map made by `router.drawing`, each as a picture of its own.

    Parameters
    ----------
    map_svg, title : str
        The map, and what it shows.
    what : str
        What it is called.
    is_true_size : bool
        Whether each picture says its own size in mm.

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
    size = {"width": f"{width:g}mm", "height": f"{height:g}mm"} if is_true_size else {}
    pictures = []
    for number, start in enumerate(starts):
        label = f"{what} of {title}, sheet {number + 1} of {len(starts)}"
        view = f"{x:g} {y + number * height:g} {width:g} {height:g}"
        content = map_svg[start.end() : map_svg.index(_END, start.end())]
        pictures.append(_picture(f'<g xmlns="{SVG}" {start[1]}{content}{_END}', view, label, size))
    return MapSheets(tuple(pictures), width, height)


def _picture(drawing: str, view: str, label: str, size: Mapping[str, str]) -> Html:
    return element(
        "figure",
        element("svg", raw(drawing), xmlns=SVG, viewBox=view, role="img", aria_label=label, **size),
        tabindex="0",
        role="group",
        aria_label=label,
    )


def circuit_section(circuit_svg: str, title: str) -> Html:
    """Return the sheets of a circuit diagram made by `router.drawing`, as large as a page or a screen allows.

    Raises
    ------
    ValueError
        As `sheets_of`.
    """
    return joined(sheets_of(circuit_svg, title, "Circuit", is_true_size=True).pictures)


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
