"""Small pictures: a vehicle from its side, from below or from behind, with a tape on it; true to its parts.

Everything is drawn in black and grey: the sheets are printed, and read with dirty hands.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from router.drawing import Ink, Pen
from router.measuring.type_file import Seen
from router.measuring.vehicle_parts import VehiclePart

Spot = tuple[float, float, float]
FlatPoint = tuple[float, float]
GROUND = Ink("#000", 0.35)
BODY = Ink("#555", 0.3, "#f6f6f6")
TYRE = Ink("#333", 0.3, "#d4d4d4")
PART = Ink("#777", 0.15, "#e2e2e2")
HEAVY = Ink("#444", 0.2, "#bdbdbd")
RAIL = Ink("#666", 0.2, "#999")
FLOOR = Ink("#333", 0.4)
TAPE = Ink("#000", 0.75)
WITNESS = Ink("#000", 0.25, dash=(1.2, 0.7))
CENTRE_LINE = Ink("#555", 0.18, dash=(4.0, 0.8, 0.6, 0.8))
ARROW = Ink("#000", 0.1, "#000")
_MARGIN_MM = 3.0
_SLICE_MM = 450.0
_DRAWN = ("supports", "keep-outs", "members")
_ARROW_MM = 2.2


@dataclass(frozen=True, slots=True)
class Body:
    """What of a vehicle is drawn round its parts."""

    side: tuple[FlatPoint, ...]
    """Its outline from the left, as [x, z]."""
    tyre_mm: float
    axles_mm: tuple[float, float]
    parts: tuple[VehiclePart, ...]


@dataclass(frozen=True, slots=True)
class TapeDrawn:
    """From where to where the tape goes."""

    start: Spot
    end: Spot


class _View:
    """Brings places of the vehicle on to the paper: to scale, in the middle."""

    def __init__(self, seen: Seen, points: Iterable[FlatPoint], width_mm: float, height_mm: float) -> None:
        self._seen = seen
        xs, ys = zip(*points, strict=True)
        room = width_mm - 2 * _MARGIN_MM, height_mm - 2 * _MARGIN_MM
        self.scale = min(room[0] / (max(xs) - min(xs)), room[1] / (max(ys) - min(ys)))
        self._left = width_mm / 2 - self.scale * (max(xs) + min(xs)) / 2
        self._top = height_mm / 2 - self.scale * (max(ys) + min(ys)) / 2

    def at(self, spot: Spot) -> FlatPoint:
        """Return where a place of the vehicle lies on the paper."""
        return self.flat(flattened(self._seen, spot))

    def flat(self, point: FlatPoint) -> FlatPoint:
        """Return where a place as seen lies on the paper."""
        return self._left + self.scale * point[0], self._top + self.scale * point[1]


def flattened(seen: Seen, spot: Spot) -> FlatPoint:
    """Return a place as it is seen, in mm of the vehicle: to the right and down.

    From the side the front is on the left. From below, too, with the vehicle's right side down. From behind,
    right is right.
    """
    x, y, z = spot
    return {Seen.SIDE: (x, -z), Seen.BELOW: (x, y), Seen.BEHIND: (y, -z)}[seen]


def draw_tape(
    body: Body, seen: Seen, tape: TapeDrawn | None, title: str, size_mm: tuple[float, float]
) -> str:
    """Return a picture as SVG: a vehicle, and where the tape goes on it.

    Parameters
    ----------
    body : Body
        The vehicle.
    seen : Seen
        From where it is seen.
    tape : TapeDrawn or None
        Where the tape goes; none where only the vehicle is shown.
    title : str
        What the picture shows, for those who cannot see it.
    size_mm : tuple of float
        Width and height of the paper.
    """
    pen = Pen(*size_mm, title, title)
    view = _View(seen, _bounds(body, seen, tape), *size_mm)
    {Seen.SIDE: _side, Seen.BELOW: _below, Seen.BEHIND: _behind}[seen](pen, view, body, tape)
    if tape is not None:
        _draw_tape(pen, view.at(tape.start), view.at(tape.end), size_mm)
    return inline(pen)


def inline(pen: Pen) -> str:
    """Return a finished drawing as an element of a page."""
    return pen.finish().split("\n", 1)[1]


def wheels_of(parts: Iterable[VehiclePart]) -> tuple[VehiclePart, ...]:
    """Return the parts that stand on the ground: the wheels with their travel."""
    return tuple(
        each
        for each in parts
        if each.section == "keep-outs" and each.heights_mm and each.heights_mm[0] == 0.0
    )


def _bounds(body: Body, seen: Seen, tape: TapeDrawn | None) -> list[FlatPoint]:
    ends = [flattened(seen, each) for each in (tape.start, tape.end)] if tape else []
    if seen is Seen.SIDE:
        return [*((x, -z) for x, z in body.side), (body.side[0][0], 0.0), *ends]
    boxes = [part.box_mm for part in body.parts]
    low_y, high_y = min(box[1] for box in boxes), max(box[3] for box in boxes)
    if seen is Seen.BELOW:
        xs = [x for x, _ in body.side]
        return [(min(xs), low_y), (max(xs), high_y), *ends]
    return [(low_y, 0.0), (high_y, -_top(body)), *ends]


def _top(body: Body) -> float:
    """Return how high a picture from behind goes: a little above the highest floor. [mm]"""
    floors = [each.heights_mm[0] for each in body.parts if each.section == "panels" and each.heights_mm]
    return 1.25 * max(floors, default=800.0)


def _side(pen: Pen, view: _View, body: Body, _: TapeDrawn | None) -> None:
    pen.area([view.flat((x, -z)) for x, z in body.side], BODY)
    for part in _heavy_first(body.parts):
        if part.heights_mm and part.section != "supports":
            x0, _y0, x1, _y1 = part.box_mm
            pen.area(_rectangle(view, (x0, -part.heights_mm[1]), (x1, -part.heights_mm[0])), _ink(part))
    for x in body.axles_mm:
        pen.circle(view.flat((x, -body.tyre_mm / 2)), view.scale * body.tyre_mm / 2, TYRE)
        pen.circle(view.flat((x, -body.tyre_mm / 2)), 0.5, ARROW)
    ends = [x for x, _ in body.side]
    pen.line([view.flat((min(ends), 0.0)), view.flat((max(ends), 0.0))], GROUND)


def _below(pen: Pen, view: _View, body: Body, _: TapeDrawn | None) -> None:
    for part in body.parts:
        if part.section == "spaces":
            pen.area([view.flat(point) for point in part.points], BODY)
    for part in _heavy_first(body.parts):
        draw_part(pen, view.flat, view.scale, part, _ink(part))
    for wheel in wheels_of(body.parts):
        pen.area([view.flat(point) for point in wheel.points], TYRE)
    xs = [x for x, _ in body.side]
    pen.line([view.flat((min(xs), 0.0)), view.flat((max(xs), 0.0))], CENTRE_LINE)


def _behind(pen: Pen, view: _View, body: Body, tape: TapeDrawn | None) -> None:
    at_x, top = tape.start[0] if tape else body.axles_mm[1], _top(body)
    for part in _heavy_first(body.parts):
        x0, y0, x1, y1 = part.box_mm
        if part.heights_mm and x0 - _SLICE_MM < at_x < x1 + _SLICE_MM:
            low, high = (min(each, top) for each in part.heights_mm)  # seats go on above the picture
            pen.area(_rectangle(view, (y0, -high), (y1, -low)), _ink(part))
    for wheel in wheels_of(body.parts):
        x0, y0, _x1, y1 = wheel.box_mm
        if x0 > body.axles_mm[1] / 2:  # those in front stand behind them
            pen.area(_rectangle(view, (y0, -body.tyre_mm), (y1, 0.0)), TYRE)
    for part in body.parts:
        x0, y0, x1, y1 = part.box_mm
        is_floor = part.section == "panels" and part.form == "area" and part.heights_mm is not None
        if is_floor and part.heights_mm and x0 <= at_x <= x1:
            pen.line([view.flat((y0, -part.heights_mm[0])), view.flat((y1, -part.heights_mm[0]))], FLOOR)
    ys = [y for part in body.parts for y in (part.box_mm[1], part.box_mm[3])]
    pen.line([view.flat((min(ys), 0.0)), view.flat((max(ys), 0.0))], GROUND)
    pen.line([view.flat((0.0, 0.0)), view.flat((0.0, -top))], CENTRE_LINE)


def draw_part(
    pen: Pen, flat: Callable[[FlatPoint], FlatPoint], scale: float, part: VehiclePart, ink: Ink
) -> None:
    """Draw one part in plan: its area, disc, line or spot."""
    places = [flat(point) for point in part.points]
    if part.form == "disc":
        pen.circle(places[0], scale * part.radius_mm, ink)
    elif part.form in ("area", "outline"):
        pen.area(places, ink)
    elif part.form in ("along", "over"):
        width = max(2 * scale * part.radius_mm, 0.5)
        pen.line(places, Ink(ink.fill if ink.fill != "none" else ink.stroke, width))
    else:
        pen.circle(places[0], 0.6, ink)


def _rectangle(view: _View, one: FlatPoint, other: FlatPoint) -> list[FlatPoint]:
    (x0, y0), (x1, y1) = view.flat(one), view.flat(other)
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def _heavy_first(parts: Sequence[VehiclePart]) -> list[VehiclePart]:
    """Return what is drawn of the parts: bodies that show where one is, the light ones first."""
    wheels = wheels_of(parts)
    drawn = [each for each in parts if each.section in _DRAWN and each not in wheels]
    return sorted(drawn, key=lambda part: (part.section == "supports", _is_heavy(part)))


def _is_heavy(part: VehiclePart) -> bool:
    return part.hazard in ("hot", "fuel", "high-voltage")


def _ink(part: VehiclePart) -> Ink:
    if part.section == "supports":
        return RAIL
    return HEAVY if _is_heavy(part) else PART


def _draw_tape(pen: Pen, start: FlatPoint, end: FlatPoint, size_mm: tuple[float, float]) -> None:
    """Draw the tape with a dashed line across each of its ends, and its arrows."""
    along = math.dist(start, end)
    if along < 0.1:
        pen.circle(start, 1.5, TAPE)
        return
    ux, uy = (end[0] - start[0]) / along, (end[1] - start[1]) / along
    for x, y in (start, end):
        across = [_inside((x - reach * uy, y + reach * ux), size_mm) for reach in (-9.0, 9.0)]
        pen.line(across, WITNESS)
    pen.line([start, end], Ink("#fff", 1.7))
    pen.line([start, end], TAPE)
    length = min(_ARROW_MM, along / 2)
    for (x, y), sign in ((start, 1.0), (end, -1.0)):
        back_x, back_y = x + sign * length * ux, y + sign * length * uy
        half = length * 0.42
        pen.area(
            [(x, y), (back_x - half * uy, back_y + half * ux), (back_x + half * uy, back_y - half * ux)],
            ARROW,
        )


def _inside(point: FlatPoint, size_mm: tuple[float, float]) -> FlatPoint:
    return min(max(point[0], 0.5), size_mm[0] - 0.5), min(max(point[1], 0.5), size_mm[1] - 0.5)
