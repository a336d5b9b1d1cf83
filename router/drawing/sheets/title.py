"""What frames a map: cautions, title block, scale bar, check bar, front arrow and the names of the sides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from router.drawing.layers.vehicle_layer import LARGE, MIDDLE, SMALL, sides
from router.drawing.paper import inks, symbols
from router.drawing.paper.frame import Box, SeenFrom
from router.drawing.paper.letters import fit, room_mm
from router.drawing.paper.pen import Ink, Pen
from router.facts import Caution, SignalWord

CAUTION_LINE_MM = 4.1
HEADING_SIZES_MM = (4.5, 4.0, 3.5)
CAUTION_SIZES_MM = (MIDDLE, 2.8, 2.6, SMALL)
WORD_MM = 21.0  # for a signal word
LINE_MM = 3.5  # from one base line to the next
TITLE_MM = 18.5
CHECK_BAR_MM = 100.0
SCALE_BAR_PARTS_MM = (500.0, 100.0, 10.0)  # of the vehicle
LEAST_WIDTH_MM = 281.0  # of a title block
MOST_WIDTH_MM = 420.0
TO_FILL_IN = "_" * 14  # a line to write on
SIGNAL_INKS = {
    SignalWord.DANGER: ("#b00020", "#fff"),
    SignalWord.WARNING: ("#f7a600", "#000"),
    SignalWord.CAUTION: ("#ffe14d", "#000"),
    SignalWord.NOTICE: ("#1f4e79", "#fff"),
}
"""Background and letters of the signal words, near the safety colours of ISO 3864 and ANSI Z535."""


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What the title block says, and the number of its sheet."""

    heading: str
    rows: tuple[tuple[str, str], ...]
    scale: float
    seen_from: SeenFrom
    sheet: int
    name: str
    """At the right of its head: which sheet of how many."""


def cautions_height_mm(cautions: Sequence[Caution]) -> float:
    """Return the height of the cautions in two columns."""
    return -(-len(cautions) // 2) * CAUTION_LINE_MM + 1.5


def draw_cautions(pen: Pen, cautions: Sequence[Caution], box: Box) -> None:
    """Write the cautions in two columns, the worst first, each with its signal word in a coloured field."""
    half = -(-len(cautions) // 2)
    columns = cautions[:half], cautions[half:]
    free = min(box.width, MOST_WIDTH_MM) - 2 * WORD_MM - 2.0
    for size in CAUTION_SIZES_MM:  # smaller rather than cut
        widths = [
            max((room_mm(caution.short, size) for caution in column), default=0.0) for column in columns
        ]
        if sum(widths) <= free:
            break
    first = min(widths[0], max(free / 2, free - widths[1]))
    with pen.group("cautions", "Cautions"):
        for number, caution in enumerate(cautions):
            is_second = number >= half
            x = box.x + (WORD_MM + first + 2.0 if is_second else 0.0)
            y = box.y + (number % half) * CAUTION_LINE_MM
            background, letters = SIGNAL_INKS[caution.word]
            pen.box(x, y, WORD_MM - 1.5, CAUTION_LINE_MM - 0.25, Ink("#000", 0.18, background))
            middle = x + (WORD_MM - 1.5) / 2
            pen.text(
                (middle, y + 3.0), caution.word, size_mm=3.0, is_bold=True, anchor="middle", colour=letters
            )
            pen.text((x + WORD_MM, y + 3.0), caution.short, size_mm=size)  # never shortened


def draw_title_block(pen: Pen, block: TitleBlock, box: Box) -> None:
    """Write the title block into a box along the foot of the sheet."""
    with pen.group(f"title block {block.sheet}", "Title block"):
        pen.box(box.x, box.y, box.width, box.height, inks.FRAME)
        bars = CHECK_BAR_MM + 12
        width = box.width - bars
        pen.line([(box.x + width, box.y), (box.x + width, box.bottom)], inks.FRAME)
        free = width - 32
        fitting = (size for size in HEADING_SIZES_MM if room_mm(block.heading, size, is_bold=True) <= free)
        size = next(fitting, HEADING_SIZES_MM[-1])  # smaller rather than cut
        heading = fit(block.heading, free, size, is_bold=True)
        pen.text((box.x + 2, box.y + 5.2), heading, size_mm=size, is_bold=True)
        pen.text((box.x + width - 2, box.y + 5.2), block.name, size_mm=LARGE, anchor="end")
        _draw_rows(pen, block.rows, Box(box.x + 2, box.y + 7.0, width - 3, box.height - 8))
        draw_bars(pen, block.scale, Box(box.x + width + 6, box.y, CHECK_BAR_MM, box.height))


def _draw_rows(pen: Pen, rows: Sequence[tuple[str, str]], box: Box) -> None:
    columns = 3
    down = -(-len(rows) // columns)
    for number, (name, value) in enumerate(rows):
        x = box.x + (number // down) * box.width / columns
        y = box.y + (number % down) * LINE_MM + 2.6
        name_width = 14.0
        pen.text((x, y), name, size_mm=SMALL, colour=inks.GREY)
        pen.text((x + name_width, y), fit(value, box.width / columns - name_width - 2, SMALL), size_mm=SMALL)


def draw_bars(pen: Pen, scale: float, box: Box) -> None:
    """Draw the bar that must measure 100 mm, and the same length divided in metres of the vehicle."""
    with pen.group("check bar", "Check bar: must measure 100 mm"):
        y = box.y + 4.0
        pen.line([(box.x, y), (box.x + CHECK_BAR_MM, y)], Ink(inks.BLACK, 0.35, is_butt=True))
        for step in range(11):
            x = box.x + step * 10
            rise = 1.6 if step % 5 == 0 else 0.9
            pen.line([(x, y - rise), (x, y + rise)], inks.FRAME)
        words = "This bar must measure 100 mm: print at 100 %, not “fit to page”."
        pen.text((box.x, y + 4.4), words, size_mm=SMALL)
    draw_scale_bar(pen, scale, Box(box.x, box.y + 10.8, CHECK_BAR_MM, 6))


def draw_scale_bar(pen: Pen, scale: float, box: Box) -> None:
    """Draw a bar in half metres of the vehicle, in less at a large scale, as long as the box allows."""
    part_mm = next((mm for mm in SCALE_BAR_PARTS_MM if box.width * scale >= 2 * mm), SCALE_BAR_PARTS_MM[-1])
    parts, step = int(box.width * scale / part_mm), part_mm / scale
    with pen.group("scale bar", f"Scale 1:{scale:g}"):
        for number in range(parts):
            fill = inks.BLACK if number % 2 == 0 else "#fff"
            pen.box(box.x + number * step, box.y, step, 1.6, Ink(inks.BLACK, 0.2, fill))
        every = 2 if step * 2 >= 8 else 4
        for number in range(0, parts + 1, every):
            metres = number * part_mm / 1000
            words = f"{metres:g} m" if number == 0 or number + every > parts else f"{metres:g}"
            anchor = "start" if number == 0 else "end" if number == parts else "middle"
            pen.text((box.x + number * step, box.y + 4.6), words, size_mm=SMALL, anchor=anchor)


def draw_sides(pen: Pen, box: Box, seen_from: SeenFrom) -> None:
    """Name the sides of the plan band and point to the front."""
    top, bottom = sides(seen_from)
    middle = box.x + box.width / 2
    with pen.group("sides", f"Seen from {seen_from}, front at the left"):
        pen.text((middle, box.y + 3.6), top, size_mm=LARGE, is_bold=True, anchor="middle")
        pen.text((middle, box.bottom - 1.2), bottom, size_mm=LARGE, is_bold=True, anchor="middle")
        tip = (box.x + 1.0, box.y + 2.6)
        symbols.draw_front_arrow(pen, tip)
        pen.text((tip[0] + 9.5, tip[1] + 1.2), "FRONT", size_mm=LARGE, is_bold=True)
        mirrored = " (mirrored)" if seen_from is SeenFrom.BELOW else ""
        words = f"SEEN FROM {seen_from.upper()}{mirrored}"
        pen.text((box.right - 1, box.y + 3.6), words, size_mm=LARGE, is_bold=True, anchor="end")
