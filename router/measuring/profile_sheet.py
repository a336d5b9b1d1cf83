"""The measuring sheet of a profile: every part, with boxes where it is only assumed or has no height.

In the order of walking round the vehicle, then lying under it, front to rear; a picture for every few parts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from router.drawing import Ink, Pen
from router.measuring.pictures import BODY, draw_part, inline
from router.measuring.sheet_pages import SheetOptions, before_you_measure, heading, page, write_in
from router.measuring.vehicle_parts import Point, VehiclePart, kinds_of_spaces, parts_of
from router.sheet import Html, element, joined, raw

PARTS_A_PICTURE = 16
_PICTURE_MM = (188.0, 70.0)
_LEAST_SHOWN_MM = 900.0
_AROUND_MM = 150.0
_APART_MM = 4.6
_BESIDE = Ink("#b5b5b5", 0.15, "#ececec")
_MEANT = Ink("#000", 0.35, "#c4c4c4")
_LINE = Ink("#000", 0.8, "#555")
_WIDE = Ink("#000", 0.35, dash=(1.6, 0.8))
_CENTRE_LINE = Ink("#555", 0.18, dash=(4.0, 0.8, 0.6, 0.8))
_UNDER = "Lying under the vehicle, front to rear"
_STATIONS = (
    ("Under the bonnet", ("engine bay",)),
    ("In the cab", ("cabin",)),
    ("In the load area or boot", ("load area", "boot")),
    ("On the outside", ("outside", "")),
    (_UNDER, ("underfloor", "wheel house")),
)
_HEADS = ("No.", "what", "behind the front axle", "from the centre line", "above the ground", "off by")


@dataclass(frozen=True, slots=True)
class _Listed:
    """A part with its number on the sheet."""

    number: int
    part: VehiclePart

    @property
    def is_open(self) -> bool:
        return self.part.assumed_mm is not None or self.part.lacks_height


def profile_sheet(data: Mapping[str, Any], options: SheetOptions) -> str:
    """Return the sheet of a profile's data as one HTML document.

    Parameters
    ----------
    data : mapping
        The profile as it was written, whole or not.
    options : SheetOptions
        How it is printed.
    """
    parts = parts_of(data)
    stations = list(_stations(parts, kinds_of_spaces(data)))
    listed = [each for _, found in stations for each in found]
    unmeasured = sum(each.is_open for each in listed)
    name = str(data.get("profile", "vehicle"))
    words = (
        f"{unmeasured} of {len(listed)} parts are not measured: they have boxes, what is assumed in small. "
        "A heavy box has nothing yet. The rest is filled in. Measure what lies near the cable first. "
        "What is off by 20 may lie 20 off in any direction."
    )
    content = [before_you_measure(), *(_station(title, found, options) for title, found in stations)]
    title = f"Measuring sheet: {name}"
    return page(title, heading(title, words), joined(content), options)


def _stations(
    parts: Sequence[VehiclePart], kinds: Mapping[str, str]
) -> Iterator[tuple[str, tuple[_Listed, ...]]]:
    """Yield where to stand, with the parts that are measured from there, front to rear and numbered."""
    number = 0
    for title, of_kinds in _STATIONS:
        here = [part for part in parts if _kind_of(part, parts, kinds) in of_kinds]
        if here:
            here.sort(key=lambda part: (part.section == "spaces", part.box_mm[0]))
            yield title, tuple(_Listed(number + count, part) for count, part in enumerate(here, start=1))
            number += len(here)


def _kind_of(part: VehiclePart, parts: Sequence[VehiclePart], kinds: Mapping[str, str]) -> str:
    """Return the kind of a part's space; of the one that it lies in where it says none."""
    space = part.space or _space_round(part, parts)
    known = {kind for _, of_kinds in _STATIONS for kind in of_kinds}
    kind = kinds.get(space, "underfloor")
    return kind if kind in known else ""


def _space_round(part: VehiclePart, parts: Sequence[VehiclePart]) -> str:
    """Return the space that lies over a part's middle, the nearest in height of several."""
    x0, y0, x1, y1 = part.box_mm
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    low, high = part.heights_mm or (-math.inf, math.inf)
    away: list[tuple[float, str]] = []
    for space in parts:
        if space.section == "spaces" and space.heights_mm:
            sx0, sy0, sx1, sy1 = space.box_mm
            if sx0 <= x <= sx1 and sy0 <= y <= sy1:
                height = space.heights_mm[0]
                away.append((max(low - height, height - high, 0.0), space.name))
    return min(away)[1] if away else ""


def _station(title: str, listed: Sequence[_Listed], options: SheetOptions) -> Html:
    here = [each.part for each in listed]
    groups = [listed[first : first + PARTS_A_PICTURE] for first in range(0, len(listed), PARTS_A_PICTURE)]
    seen_from_below = title == _UNDER
    seen = f"Seen from {'below' if seen_from_below else 'above'}, front on the left."
    top = joined([element("h2", title), element("p", seen, class_="soft")])
    return joined(
        element(
            "div",
            top if number == 0 else "",
            element("div", raw(_picture(group, here, is_below=seen_from_below)), class_="place"),
            _table(group, options),
            class_="group",
        )
        for number, group in enumerate(groups)
    )


def _table(group: Sequence[_Listed], options: SheetOptions) -> Html:
    head = element("tr", joined((element("th", each, scope="col") for each in _HEADS), ""))
    rows = joined(_row(each, options) for each in group)
    return element("table", element("thead", head), element("tbody", rows), class_="parts")


def _row(each: _Listed, options: SheetOptions) -> Html:
    part = each.part
    x0, y0, x1, y1 = part.box_mm
    off = "" if part.assumed_mm is None else options.says(part.assumed_mm)
    cells = (
        str(each.number),
        element("span", part.name or part.section, class_="named"),
        _range((x0, x1), each.is_open and part.assumed_mm is not None, options.says),
        _range((y0, y1), each.is_open and part.assumed_mm is not None, _sided(options)),
        _heights(part, options),
        off,
    )
    return element("tr", joined((element("td", cell) for cell in cells), ""))


def _heights(part: VehiclePart, options: SheetOptions) -> Html:
    if part.heights_mm is not None:
        return _range(part.heights_mm, part.assumed_mm is not None, options.says)
    if not part.lacks_height:
        return element("span", "as its space")
    empty = [write_in("")] if part.section in ("spaces", "steps", "terminals") else [write_in("")] * 2
    return joined(empty, " to ")


def _range(ends: tuple[float, float], is_open: bool, says: Callable[[float], str]) -> Html:
    """Return one length, or two from the lesser to the greater: as text, or as boxes to write in."""
    words = [says(each) for each in dict.fromkeys(ends)]
    words = list(dict.fromkeys(words))
    return joined([write_in(each) if is_open else element("span", each) for each in words], " to ")


def _sided(options: SheetOptions) -> Callable[[float], str]:
    def says(length_mm: float) -> str:
        words = options.says(abs(length_mm))
        return words if words == "0" else f"{words} {'R' if length_mm > 0 else 'L'}"

    return says


def _picture(group: Sequence[_Listed], parts: Sequence[VehiclePart], *, is_below: bool) -> str:
    """Draw the parts of a group with their numbers, what else is there in light grey."""
    boxes = [each.part.box_mm for each in group]
    left, right = min(box[0] for box in boxes) - _AROUND_MM, max(box[2] for box in boxes) + _AROUND_MM
    if right - left < _LEAST_SHOWN_MM:
        left, right = (left + right - _LEAST_SHOWN_MM) / 2, (left + right + _LEAST_SHOWN_MM) / 2
    wide = max(max(abs(part.box_mm[1]), abs(part.box_mm[3])) for part in parts) + 40
    scale = min(_PICTURE_MM[0] / (right - left), _PICTURE_MM[1] / (2 * wide))
    width, height = (right - left) * scale, 2 * wide * scale
    down = scale if is_below else -scale

    def flat(point: Point) -> Point:
        return (point[0] - left) * scale, height / 2 + down * point[1]

    title = ", ".join(f"{each.number} {each.part.name}" for each in group)
    pen = Pen(width, height, f"Parts {group[0].number} to {group[-1].number}", title)
    with pen.window(f"parts {group[0].number}", (0.0, 0.0), width, height):
        _draw_all(pen, flat, scale, group, parts)
        pen.line([(0.0, height / 2), (width, height / 2)], _CENTRE_LINE)
    _write_numbers(pen, flat, group, (width, height))
    return inline(pen)


def _draw_all(
    pen: Pen,
    flat: Callable[[Point], Point],
    scale: float,
    group: Sequence[_Listed],
    parts: Sequence[VehiclePart],
) -> None:
    for part in parts:
        if part.section == "spaces":
            draw_part(pen, flat, scale, part, BODY)
    for part in parts:
        if part.section == "keep-outs":
            draw_part(pen, flat, scale, part, _BESIDE)
    for each in group:
        draw_part(pen, flat, scale, each.part, _ink(each.part))


def _ink(part: VehiclePart) -> Ink:
    if part.section in ("spaces", "steps", "panels", "covers"):
        return _WIDE
    return _LINE if part.form in ("along", "over") and not part.radius_mm else _MEANT


def _write_numbers(
    pen: Pen, flat: Callable[[Point], Point], group: Sequence[_Listed], size_mm: tuple[float, float]
) -> None:
    """Write each number at its part, one below the other where two would lie on each other."""
    written: list[Point] = []
    for each in group:
        x0, y0, x1, y1 = each.part.box_mm
        x, y = flat(((x0 + x1) / 2, (y0 + y1) / 2))
        while any(math.dist((x, y), other) < _APART_MM for other in written):
            y += _APART_MM / 2
        written.append((x, y))
        x, y = min(max(x, 3.0), size_mm[0] - 3.0), min(max(y + 1.3, 4.0), size_mm[1] - 0.8)
        pen.text((x, y), str(each.number), size_mm=4.2, is_bold=True, anchor="middle", halo_mm=1.1)
