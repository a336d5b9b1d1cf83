"""What both measuring sheets share: the page, the datum explained by a picture, boxes to write in."""

from __future__ import annotations

from dataclasses import dataclass

from router.drawing import Ink, Pen
from router.measuring.pictures import inline
from router.sheet import Html, element, joined, listed, make_document, raw, stylesheet
from router.tape_lengths import TAPE_UNITS, length_says

PAPERS = {"a4": "A4", "letter": "letter"}
_BLACK = Ink("#000", 0.5)
_THIN = Ink("#000", 0.25, dash=(1.5, 1.0))
_BODY = Ink("#555", 0.35, "#f2f2f2")
_TYRE = Ink("#333", 0.35, "#cfcfcf")
_HEAD = Ink("#000", 0.1, "#000")
_BEFORE = (
    "Stand the vehicle on a lift or on stands. Never go under a vehicle that stands on a jack.",
    "Let it cool: exhausts burn. Keep off orange cables and what they lead to: high voltage.",
    "Unladen, tyres at their pressure. Heights are measured with the wheels on the ground or on plates.",
    "Hang the plumb line from the middle of both front hubs; chalk the line between the two marks. "
    "Chalk the centre line half-way between the wheels.",
    "Read the tape twice. Write what you read, with its unit where it is another one.",
)


@dataclass(frozen=True, slots=True)
class SheetOptions:
    """How a sheet is printed."""

    paper: str
    """A key of `PAPERS`."""
    unit: str
    """One of `TAPE_UNITS`: what is filled in, and what bare numbers written into boxes are in."""

    def __post_init__(self) -> None:
        if self.paper not in PAPERS:
            raise ValueError(f'there is no paper "{self.paper}"; use one of {", ".join(PAPERS)}')
        if self.unit not in TAPE_UNITS:
            raise ValueError(f'there is no unit "{self.unit}"; use one of {", ".join(TAPE_UNITS)}')

    def says(self, length_mm: float) -> str:
        """Return a length without its unit, as it stands in a box."""
        return length_says(length_mm, self.unit).removesuffix(f" {self.unit}")


def page(title: str, header: Html, content: Html, options: SheetOptions) -> str:
    """Return a whole measuring sheet as an HTML document that needs nothing else."""
    style = f"{stylesheet('router.measuring', 'measuring.css')}@page{{size:{PAPERS[options.paper]}}}"
    return make_document(title, title, None, header, content, style)


def heading(title: str, words: str) -> Html:
    """Return the top of a sheet: what it is for, and who measured."""
    who = element(
        "div",
        *(element("div", label) for label in ("Vehicle, number plate", "Measured by", "Date")),
        class_="who",
    )
    return joined([element("h1", title), element("p", words), who])


def before_you_measure() -> Html:
    """Return how to stand the vehicle and where all lengths begin, with a picture."""
    pictures = element("div", raw(_datum_side()), raw(_datum_below()), class_="datum")
    words = (
        "All lengths begin at the datum: the line between the middles of the front hubs, the centre line, "
        "and the ground. Behind the front axle counts up, ahead of it write a minus. "
        "Left and right are the driver's, also when you lie under the vehicle."
    )
    return joined(
        [element("h2", "Before you measure"), listed(_BEFORE, class_="steps"), element("p", words), pictures]
    )


def box(options: SheetOptions, *, is_needed: bool) -> Html:
    """Return a large box to write one length in, its unit behind it; a heavier one where it is needed."""
    return element(
        "div",
        element("span", class_="box needed" if is_needed else "box"),
        element("span", options.unit, class_="unit"),
        element("span", "needed", class_="needed") if is_needed else "",
        class_="answer",
    )


def write_in(hint: str) -> Html:
    """Return a box to write in, with what was assumed in small; a heavier one where nothing was."""
    return element("span", hint, class_="write" if hint else "write none")


def _datum_side() -> str:
    pen = Pen(92, 46, "The datum from the left side", "Where x and z are 0: the front axle and the ground")
    pen.area([(10, 31), (12, 22), (24, 18), (34, 9), (72, 9), (82, 18), (83, 31)], _BODY)
    for x in (24.0, 68.0):
        pen.circle((x, 31), 6, _TYRE)
    pen.line([(5, 37), (88, 37)], _BLACK)
    pen.line([(24, 5), (24, 42)], _THIN)
    _arrow(pen, (24, 31), (50, 31))
    _arrow(pen, (24, 37), (24, 20))
    pen.text((37, 29.6), "behind the front axle", size_mm=3, anchor="middle", halo_mm=0.8)
    pen.text((25.5, 16), "above the ground", size_mm=3, halo_mm=0.8)
    pen.text((24, 45), "front axle", size_mm=3, anchor="middle")
    pen.text((76, 41), "the ground", size_mm=3, anchor="middle")
    return inline(pen)


def _datum_below() -> str:
    pen = Pen(92, 46, "The datum from below", "Where x and y are 0: the front axle and the centre line")
    pen.area([(10, 10), (12, 7), (80, 7), (83, 10), (83, 36), (80, 39), (12, 39), (10, 36)], _BODY)
    for x in (24.0, 68.0):
        for y in (7.5, 33.5):
            pen.box(x - 6, y, 12, 5, _TYRE)
    pen.line([(5, 23), (88, 23)], _THIN)
    pen.line([(24, 3), (24, 43)], _THIN)
    _arrow(pen, (24, 23), (50, 23))
    _arrow(pen, (44, 23), (44, 33))
    pen.text((52, 22), "behind the front axle", size_mm=3, halo_mm=0.8)
    pen.text((46, 30), "right", size_mm=3, halo_mm=0.8)
    pen.text((46, 14), "left", size_mm=3, halo_mm=0.8)
    pen.text((2, 44.5), "seen from below, front on the left", size_mm=3)
    return inline(pen)


def _arrow(pen: Pen, start: tuple[float, float], end: tuple[float, float]) -> None:
    (x0, y0), (x1, y1) = start, end
    length = max(abs(x1 - x0), abs(y1 - y0))
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    pen.line([start, end], _BLACK)
    pen.area([end, (x1 - 2.2 * ux - uy, y1 - 2.2 * uy + ux), (x1 - 2.2 * ux + uy, y1 - 2.2 * uy - ux)], _HEAD)
