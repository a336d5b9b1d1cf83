"""Where members may be crossed: a gap between two ticks for a stretch to pass over, a ring for a hole."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely.geometry import LineString, Point

from router.drawing.labels.labelling import COST_OF_AWKWARD_PLACE, COST_OF_OVERLAP, Label, LabelBoard
from router.drawing.layers.hazards import on_paper, rings_of
from router.drawing.paper import inks, symbols
from router.drawing.paper.frame import Frame
from router.drawing.paper.pen import PaperPoint, PaperSegment, Pen
from router.model.vehicle import Member, OverPass, ThroughPass
from router.model.vehicle import Point as PlanPoint

TICK_MM = 0.9  # how far the ticks at the ends of a stretch stand out beyond the member, on paper


def draw_overs(pen: Pen, member: Member, frame: Frame) -> None:
    """Draw where a member may be passed over: its band left white, open to both sides, with end ticks."""
    for number, pass_ in enumerate(_overs(member), start=1):
        gap = LineString([pass_.start, pass_.end]).buffer(
            member.width_mm / 2 + 0.3 * frame.scale, cap_style="flat"
        )
        with pen.group(f"over {member.name} {number}", f"{member.name} may be passed over here"):
            pen.rings(rings_of(on_paper(gap, frame)), inks.PASSABLE)
            ink = inks.PASS_END if pass_.assumed_mm is None else inks.as_assumed(inks.PASS_END)
            pen.segments(_end_ticks(member, pass_, frame), ink)


def draw_holes(
    pen: Pen, member: Member, frame: Frame, board: LabelBoard, passed: frozenset[PlanPoint]
) -> None:
    """Draw the holes of a member; the bore beside each where there is room.

    Of those in `passed`, which a run goes through, the run's own label gives the bore.
    """
    for number, hole in enumerate(_holes(member), start=1):
        at = frame.at(hole.at)
        words = f"hole in {member.name}, bore {hole.bore_mm:.0f} mm"
        with pen.group(f"hole {member.name} {number}", words):
            symbols.draw_hole(pen, at)
        board.add_obstacle(Point(at).buffer(symbols.HOLE_MM + 0.3), COST_OF_OVERLAP)
        if hole.at not in passed:
            words = f"{hole.bore_mm:.0f} mm" + " ?" * (hole.assumed_mm is not None)
            label = Label(
                words, (at,), 2.5, colour=inks.GREY, owner=member.name, is_needed=False, reach_mm=4.8
            )
            board.add(label)


def keep_labels_off_passes(member: Member, frame: Frame, board: LabelBoard) -> None:
    """Add the ticks of stretches that may be passed over as obstacles to labels."""
    for pass_ in _overs(member):
        for tick in _end_ticks(member, pass_, frame):
            board.add_obstacle(LineString(tick).buffer(0.2), COST_OF_AWKWARD_PLACE)


def _overs(member: Member) -> Iterator[OverPass]:
    return (pass_ for pass_ in member.passes if isinstance(pass_, OverPass))


def _holes(member: Member) -> Iterator[ThroughPass]:
    return (pass_ for pass_ in member.passes if isinstance(pass_, ThroughPass))


def _end_ticks(member: Member, pass_: OverPass, frame: Frame) -> list[PaperSegment]:
    """Return a tick across the member at each end of a stretch, on paper."""
    start, end = frame.at(pass_.start), frame.at(pass_.end)
    length = math.dist(start, end)
    if length == 0.0:
        return []
    half = member.width_mm / frame.scale / 2 + TICK_MM
    x, y = -(end[1] - start[1]) / length * half, (end[0] - start[0]) / length * half
    return [((at[0] - x, at[1] - y), (at[0] + x, at[1] + y)) for at in (start, end)]


def draw_over_sample(pen: Pen, corner: PaperPoint, width_mm: float, height_mm: float) -> None:
    """Draw, for the legend, a short member with a stretch that may be passed over."""
    x, y = corner
    pen.box(x, y, width_mm, height_mm, inks.MEMBER)
    pen.box(x + 0.3 * width_mm, y - 0.3, 0.4 * width_mm, height_mm + 0.6, inks.PASSABLE)
    places = (x + 0.3 * width_mm, x + 0.7 * width_mm)
    pen.segments([((at, y - 0.6), (at, y + height_mm + 0.6)) for at in places], inks.PASS_END)
