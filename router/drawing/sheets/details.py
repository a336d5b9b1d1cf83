"""Details: crowded places at a larger scale, so that each fixing is apart from the next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shapely.geometry import LineString

from router.drawing.labels.labelling import COST_OF_AWKWARD_PLACE, Label, LabelBoard
from router.drawing.layers.run_lines import (
    draw_clearance_lines,
    draw_runs,
    draw_symbols,
    draw_tightest,
    tightest_places,
)
from router.drawing.layers.vehicle_layer import LARGE, MIDDLE, View, draw_ends, draw_vehicle
from router.drawing.paper import inks
from router.drawing.paper.frame import Box, Frame
from router.drawing.paper.pen import PaperPoint, Pen
from router.model.plan import Plan
from router.model.vehicle import Point, Profile, Space

DETAIL_SCALE = 10.0
WIDTH_MM, HEIGHT_MM = 90.0, 76.0  # on paper
BETWEEN_MM = 4.0
HEAD_MM = 6.0
CROWDED_MM = 7.0  # two symbols nearer than this on the plan band's paper are hard to tell apart
FEWEST_CROWDED = 5  # so many such symbols in one window are worth a detail
MOST_DETAILS = 3
MARGIN_MM = 9.0  # of paper, kept round a space for labels
LEAST_GAIN = 1.9  # a detail must be so much larger than the plan band

Spot = tuple[str, Point]


@dataclass(frozen=True, slots=True)
class Detail:
    """One crowded place: its letter, its space, and the middle of its window in the vehicle's mm."""

    letter: str
    space: str
    middle: Point

    def corners(self, frame: Frame) -> Box:
        """Return the window as it lies on paper in a frame."""
        x, y = frame.at(self.middle)
        width, height = (size * DETAIL_SCALE / frame.scale for size in (WIDTH_MM, HEIGHT_MM - HEAD_MM))
        return Box(x - width / 2, y - height / 2, width, height)


def find_details(plan: Plan, view: View) -> tuple[Detail, ...]:
    """Return the most crowded places of a plan band, at most three, none overlapping another."""
    symbols = _symbols(plan, view)
    found: list[Detail] = []
    while len(found) < MOST_DETAILS:
        crowded = [symbol for symbol in symbols if _is_crowded(symbol, symbols, view)]
        best = max(crowded, key=lambda symbol: (len(_within(symbol, crowded)), symbol), default=None)
        if best is None or len(_within(best, crowded)) < FEWEST_CROWDED:
            break
        inside = _within(best, crowded)
        middle = _kept_over(plan.profile.space(best[0]), _middle([point for _, point in inside]))
        found.append(Detail("ABC"[len(found)], best[0], middle))
        taken = set(_within((best[0], middle), symbols))
        symbols = [symbol for symbol in symbols if symbol not in taken]
    return tuple(found)


def mark_details(pen: Pen, view: View, details: Sequence[Detail], board: LabelBoard) -> None:
    """Draw the frame of every detail's window on the plan band, with its letter."""
    for detail in details:
        box = detail.corners(view.frame(detail.space))
        corners = _outline(box)
        with pen.group(f"detail {detail.letter} place", f"Shown larger as detail {detail.letter}"):
            pen.line(corners, inks.DIMENSION)
        board.add_obstacle(LineString(corners), COST_OF_AWKWARD_PLACE)
        board.add(Label(f"detail {detail.letter}", tuple(corners), MIDDLE, is_bold=True))


def draw_details(pen: Pen, box: Box, plan: Plan, view: View, details: Sequence[Detail]) -> None:
    """Draw all details side by side in a box across the sheet."""
    for number, detail in enumerate(details):
        place = detail_box(box, number)
        words = f"Detail {detail.letter}: {detail.space}, 1:{DETAIL_SCALE:g}"
        pen.text((place.x, box.y + 4.0), words, size_mm=LARGE, is_bold=True)
        _draw_detail(pen, place, plan, view, detail)


def detail_box(box: Box, number: int) -> Box:
    """Return where one detail, counted from 0, is drawn in the box for all of them."""
    return Box(box.x + width_mm(number), box.y + HEAD_MM, WIDTH_MM, HEIGHT_MM - HEAD_MM)


def width_mm(count: int) -> float:
    """Return the width of a number of details side by side, with the space beside each."""
    return count * (WIDTH_MM + BETWEEN_MM)


def detail_frame(detail: Detail, box: Box, view: View) -> Frame:
    """Return how the vehicle lies on the paper in a detail's box."""
    whole = Frame((0.0, 0.0), DETAIL_SCALE, view.frame(detail.space).seen_from)
    x, y = whole.at(detail.middle)
    return replace(whole, origin=(box.x + box.width / 2 - x, box.y + box.height / 2 - y))


def _draw_detail(pen: Pen, box: Box, plan: Plan, view: View, detail: Detail) -> None:
    board = LabelBoard(box)
    frame = detail_frame(detail, box, view)
    profile = _inside(view.profile, frame, box)
    larger = replace(view, frames={detail.space: frame}, profile=profile, is_detail=True)
    with pen.window(f"detail {detail.letter}", (box.x, box.y), box.width, box.height):
        draw_vehicle(pen, larger, board)
        draw_clearance_lines(pen, plan, larger)
        draw_runs(pen, plan, larger, board)
        draw_ends(pen, larger, board)
        draw_symbols(pen, plan, larger, board)
        draw_tightest(pen, plan, larger, board)
        board.draw(pen, "labels")
    pen.line(_outline(box), inks.DIMENSION)


def _inside(profile: Profile, frame: Frame, box: Box) -> Profile:
    """Return a vehicle with only those things that reach into a window; of another space they may stay."""

    def reaches(points: Sequence[Point], by_mm: float = 0.0) -> bool:
        places, by = frame.all_at(points), by_mm / frame.scale
        xs, ys = [x for x, _ in places], [y for _, y in places]
        across = min(xs) - by <= box.right and max(xs) + by >= box.x
        return across and min(ys) - by <= box.bottom and max(ys) + by >= box.y

    return replace(
        profile,
        keep_outs=tuple(k for k in profile.keep_outs if reaches(k.shape.points, k.shape.reach_mm)),
        members=tuple(m for m in profile.members if reaches(m.along, m.width_mm)),
        supports=tuple(s for s in profile.supports if reaches(s.along)),
        covers=tuple(c for c in profile.covers if reaches(c.area)),
        exposed=tuple(e for e in profile.exposed if reaches(e.area)),
        openings=tuple(o for o in profile.openings if reaches((o.at,))),
        terminals=tuple(t for t in profile.terminals if reaches((t.at,))),
    )


def _symbols(plan: Plan, view: View) -> list[Spot]:
    symbols = {
        (fixing.space, (fixing.x_mm, fixing.y_mm))
        for run in plan.runs
        for fixing in run.own_fixings
        if view.shows(fixing.space)
    }
    for terminal in plan.profile.terminals:
        if terminal.name in view.used and view.shows(terminal.space):
            symbols.add((terminal.space, terminal.at))
    symbols |= {(place.space, (place.x_mm, place.y_mm)) for _, _, place in tightest_places(plan, view)}
    return sorted(symbols)


def _is_crowded(symbol: Spot, symbols: Sequence[Spot], view: View) -> bool:
    scale = view.frame(symbol[0]).scale
    if scale < LEAST_GAIN * DETAIL_SCALE:
        return False
    near = CROWDED_MM * scale
    return any(symbol[0] == space and 1.0 < math.dist(symbol[1], point) < near for space, point in symbols)


def _within(symbol: Spot, symbols: Sequence[Spot]) -> list[Spot]:
    """Return the symbols in the window round one of them, a margin kept free for labels."""
    half = (WIDTH_MM * DETAIL_SCALE * 0.42, (HEIGHT_MM - HEAD_MM) * DETAIL_SCALE * 0.42)
    return [
        (space, point)
        for space, point in symbols
        if space == symbol[0]
        and all(abs(a - b) <= reach for a, b, reach in zip(point, symbol[1], half, strict=True))
    ]


def _kept_over(space: Space, middle: Point) -> Point:
    """Return a window's middle moved so that no more of it than a margin lies beside the space."""
    moved = []
    for axis, size_mm in enumerate((WIDTH_MM, HEIGHT_MM - HEAD_MM)):
        values = [point[axis] for point in space.outline]
        half = size_mm * DETAIL_SCALE / 2 - MARGIN_MM * DETAIL_SCALE
        low, high = min(values) + half, max(values) - half
        moved.append(min(max(middle[axis], low), high) if low <= high else (low + high) / 2)
    return moved[0], moved[1]


def _middle(points: Sequence[Point]) -> Point:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _outline(box: Box) -> list[PaperPoint]:
    return [(box.x, box.y), (box.right, box.y), (box.right, box.bottom), (box.x, box.bottom), (box.x, box.y)]
