"""The strip band: one run unrolled, station against height, to work from with a tape measure.

From the top: the run's figures; what it lies along; covers, exposed and warm stretches; loom and heat sleeve;
the heights with members, openings and fixings; stations; what is near and how near; fixings again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import shapely
from shapely.geometry import LineString, Point

from router.drawing.labels.labelling import COST_OF_AWKWARD_PLACE, Label, LabelBoard
from router.drawing.layers.hazards import HAZARD_STYLES
from router.drawing.layers.judged_route import finding_label
from router.drawing.layers.run_lines import fuse_label, near_checks, passage_words, passed_words
from router.drawing.layers.vehicle_layer import LARGE, MIDDLE, SMALL
from router.drawing.paper import inks, symbols
from router.drawing.paper.frame import SCALES, Box
from router.drawing.paper.letters import fit, room_mm
from router.drawing.paper.pen import Ink, PaperPoint, Pen
from router.facts import fixing_prefix, heading_words, keep_out_tags, positions_at, segments_of
from router.model.plan import PassageKind, Plan, RunPlan
from router.model.vehicle import Fix

LANE_MM = 4.4
NAME_MM = 19.0  # at the left: what each lane shows
HEAD_MM = 6.5
PLOT_MM = 25.4
AXIS_MM = 6.0
NEAR_LANES = 3
NARROW_MM = 6.0  # a bar narrower than this goes without its words where there is no room for them
FIXINGS_MM = 15.1
TURN_DEG = 20.0  # a turn in plan smaller than this is not worth a mark
ABOVE_AND_BELOW_MM = 70.0  # of the vehicle, kept free over and under the run

STATION_SCALES = (5.0, 10.0, 20.0, 25.0, 30.0, 40.0, 50.0)
"""Of the stations: close steps, for what counts in the strip is to fill the sheet."""

Bar = tuple[float, float, str, Ink]


@dataclass(frozen=True, slots=True)
class Strip:
    """Where a run's stations and heights lie on the paper."""

    run: RunPlan
    box: Box
    scale: float
    height_scale: float
    lowest_mm: float
    plot: Box

    def x(self, station_mm: float) -> float:
        """Return where a station lies."""
        return self.plot.x + station_mm / self.scale

    def y(self, height_mm: float) -> float:
        """Return where a height lies."""
        return self.plot.bottom - (height_mm - self.lowest_mm) / self.height_scale

    def at(self, station_mm: float, height_mm: float) -> PaperPoint:
        """Return where a station at a height lies."""
        return self.x(station_mm), self.y(height_mm)


def strip_height_mm(run: RunPlan) -> float:
    """Return how much of a sheet a run's strip takes."""
    return HEAD_MM + LANE_MM * (len(_bar_lanes(run)) + NEAR_LANES) + PLOT_MM + AXIS_MM + FIXINGS_MM


def draw_strip(
    pen: Pen, box: Box, plan: Plan, number: int, findings: Sequence[tuple[int, float]] = ()
) -> None:
    """Draw one run's strip into the box, with findings (number, station) where a route is judged."""
    run = plan.runs[number]
    strip = _strip(run, box)
    board = LabelBoard(Box(strip.plot.x, box.y + HEAD_MM, strip.plot.width, _lanes_mm(run) + PLOT_MM))
    board.add_obstacle(shapely.box(strip.plot.x, box.y, strip.plot.right, strip.plot.y))
    with pen.group(f"strip {run.name}", f"{run.name} unrolled: station against height"):
        _draw_head(pen, plan, strip, number)
        y = box.y + HEAD_MM
        for name, bars in _bar_lanes_of(run, plan):
            _draw_lane(pen, strip, y, name, bars, board)
            y += LANE_MM
        _draw_plot(pen, plan, strip, number, board)
        for finding, station_mm in findings:
            place = positions_at(run.route, (station_mm,))[0]
            board.add(finding_label(finding, strip.at(station_mm, place.z_mm)))
        y = strip.plot.bottom + AXIS_MM
        near = _draw_near(pen, plan, strip, y)
        _draw_axis(pen, strip)
        _draw_fixing_lane(pen, strip, y + NEAR_LANES * LANE_MM, fixing_prefix(plan, run))
        board.draw(pen, f"strip labels {run.name}")
        near.draw(pen, f"strip labels {run.name} near")


def draw_blank_strip(pen: Pen, box: Box, plan: Plan, number: int) -> None:
    """Draw the empty lanes of a strip as wide as the sheet: a run's length would give away its route."""
    run = plan.runs[number]
    lanes = _bar_lanes(run)
    with pen.group(f"strip {run.name}", f"{run.name} unrolled, to be filled in"):
        pen.line([(box.x, box.y + 3.4), (box.x + 12, box.y + 3.4)], inks.run_ink(number))
        name = f"RUN {run.name}: {run.start} to {run.end}"
        pen.text((box.x + 14, box.y + 4.5), name, size_mm=LARGE, is_bold=True)
        y = box.y + HEAD_MM
        heights = [LANE_MM] * len(lanes) + [PLOT_MM, AXIS_MM, NEAR_LANES * LANE_MM, FIXINGS_MM / 2]
        names = (*lanes, "height", "station", "near")
        for words, height in zip((*names, "fixing"), heights, strict=True):
            pen.text((box.x, y + 3.2), words, size_mm=MIDDLE, colour=inks.GREY)
            pen.box(box.x + NAME_MM, y, box.width - NAME_MM, height, inks.HAIRLINE)
            y += height


def _strip(run: RunPlan, box: Box) -> Strip:
    width = box.width - NAME_MM - 4
    routed = run.route.routed_mm
    scale = next((scale for scale in STATION_SCALES if routed / scale <= width), routed / width)
    heights = [point.z_mm for point in run.route.points]
    lowest, highest = min(heights) - ABOVE_AND_BELOW_MM, max(heights) + ABOVE_AND_BELOW_MM
    height_scale = next(
        (float(s) for s in SCALES if (highest - lowest) / s <= PLOT_MM), (highest - lowest) / PLOT_MM
    )
    top = box.y + HEAD_MM + _lanes_mm(run)
    plot = Box(box.x + NAME_MM, top, width + 4, PLOT_MM)
    return Strip(run, box, scale, height_scale, lowest, plot)


def _draw_head(pen: Pen, plan: Plan, strip: Strip, number: int) -> None:
    run, box = strip.run, strip.box
    pen.line([(box.x, box.y + 3.4), (box.x + 12, box.y + 3.4)], inks.run_ink(number))
    as_drawn = "" if run.conductors else " as drawn"
    name = f"RUN {run.name}{as_drawn}: {run.start} to {run.end}"
    pen.text((box.x + 14, box.y + 4.5), name, size_mm=LARGE, is_bold=True)
    figures = [f"routed {run.length.routed_mm / 1000:.2f} m"]
    if run.conductors:  # of a plan: what somebody drew is not cut
        figures.append(f"cut {run.length.cut_mm / 1000:.2f} m")
    figures += [f"{choice.size} {choice.colour}" for choice in run.conductors]
    if run.fuse:
        places = " and ".join(f"{station_mm / 1000:.2f} m" for station_mm in run.fuse.stations_mm)
        figures.append(f"fuse {run.fuse.rating_a:g} A at {places}")
    scales = f"stations 1:{strip.scale:.4g}, heights 1:{strip.height_scale:.4g}"
    words = fit(", ".join([*figures, scales]), box.width - 18 - room_mm(name, LARGE, is_bold=True), SMALL)
    pen.text((box.right, box.y + 4.5), words, size_mm=SMALL, anchor="end")


def _bar_lanes(run: RunPlan) -> tuple[str, ...]:
    """Return the names of the lanes that this run's strip has; the first and the last are always there."""
    kinds = {passage.kind for passage in run.route.passages}
    middle = ["shelter"] if kinds & {PassageKind.COVER, PassageKind.EXPOSED, PassageKind.WARM} else []
    return ("space", "lies along", *middle, "loom")


def _lanes_mm(run: RunPlan) -> float:
    return LANE_MM * len(_bar_lanes(run))


def _bar_lanes_of(run: RunPlan, plan: Plan) -> list[tuple[str, list[Bar]]]:
    bars = {
        "space": _space_bars(run),
        "lies along": _support_bars(run, plan),
        "shelter": _shelter_bars(run),
        "loom": _loom_bars(run, plan),
    }
    return [(name, bars[name]) for name in _bar_lanes(run)]


def _space_bars(run: RunPlan) -> list[Bar]:
    stretches = []
    for space, group in groupby(run.route.points, key=lambda point: point.space):
        points = list(group)
        stretches.append((points[0].station_mm, points[-1].station_mm, space, Ink("#777", 0.18, "#efefef")))
    return stretches


def _support_bars(run: RunPlan, plan: Plan) -> list[Bar]:
    bars = []
    ties = {support.name for support in plan.profile.supports if support.fix is Fix.TIE}
    for name, group in groupby(segments_of(run.route), key=lambda segment: segment.start.along):
        segments = list(group)
        if name:
            can_tie = name in ties
            ink = Ink(inks.GREEN, 0.25, "#d7ece4" if can_tie else "#fff", dash=() if can_tie else (1.4, 0.7))
            bars.append((segments[0].start.station_mm, segments[-1].end.station_mm, name, ink))
    return bars


def _shelter_bars(run: RunPlan) -> list[Bar]:
    styles = {
        PassageKind.COVER: ("above cover: ", Ink(inks.BLUE, 0.3, "#fff", dash=(2.4, 1.2))),
        PassageKind.EXPOSED: ("exposed: ", Ink("#555", 0.3, "#eee", dash=(0.3, 0.9))),
        PassageKind.WARM: ("warm: ", Ink("#8a3c00", 0.3, "#fbe3d3")),
    }
    bars = []
    for passage in run.route.passages:
        if passage.kind in styles:
            words, ink = styles[passage.kind]
            bars.append((passage.from_station_mm, passage.to_station_mm, words + passage.name, ink))
    return bars


def _loom_bars(run: RunPlan, plan: Plan) -> list[Bar]:
    bars = []
    for loom in plan.looms:
        if loom.runs and loom.runs[0] == run.name:
            words = f"{loom.loom}, {loom.length_mm / 1000:.2f} m"
            bars.append((loom.from_station_mm, loom.to_station_mm, words, Ink("#333", 0.25, "#fff")))
    for sleeve in run.heat_sleeves:
        words = "heat sleeve"
        bars.append((sleeve.from_station_mm, sleeve.to_station_mm, words, Ink("#8a3c00", 0.5, "#fbe3d3")))
    return bars


def _draw_lane(pen: Pen, strip: Strip, y: float, name: str, bars: Sequence[Bar], board: LabelBoard) -> None:
    """Draw a lane's bars; words that do not fit their bar go below, into the plot, with a leader."""
    pen.text((strip.box.x, y + 3.2), name, size_mm=MIDDLE, colour=inks.GREY)
    for start, end, _, ink in bars:
        width = max(strip.x(end) - strip.x(start), 0.3)
        pen.box(strip.x(start), y + 0.3, width, LANE_MM - 0.8, ink)
    for number, (start, end, words, _) in enumerate(bars):
        cuts = [bar[:2] for bar in bars[number + 1 :]]
        x0, x1 = (strip.x(station) for station in widest_left((start, end), cuts))
        size = next((size for size in (MIDDLE, SMALL) if room_mm(words, size) <= x1 - x0 - 1.0), None)
        if size:
            pen.text(((x0 + x1) / 2, y + 3.15), words, size_mm=size, anchor="middle", halo_mm=0.4)
        elif x1 > x0:
            foot = ((x0 + x1) / 2, y + LANE_MM - 0.5)
            board.add(Label(words, (foot,), SMALL, colour=inks.GREY, is_needed=x1 - x0 > NARROW_MM))


def widest_left(stretch: tuple[float, float], cuts: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Return the widest part of a stretch that no cut covers, or its start where none is left.

    >>> widest_left((0.0, 10.0), [(2.0, 4.0), (9.0, 12.0)])
    (4.0, 9.0)
    """
    free = [stretch]
    for low, high in cuts:
        free = [
            segment for start, end in free for segment in ((start, min(end, low)), (max(start, high), end))
        ]
        free = [(start, end) for start, end in free if end > start]
    return max(free, key=lambda segment: segment[1] - segment[0], default=(stretch[0], stretch[0]))


def _draw_plot(pen: Pen, plan: Plan, strip: Strip, number: int, board: LabelBoard) -> None:
    plot, run = strip.plot, strip.run
    end = strip.x(run.route.routed_mm)
    pen.area([(plot.x, plot.y), (end, plot.y), (end, plot.bottom), (plot.x, plot.bottom)], inks.FRAME)
    _draw_height_lines(pen, strip, end)
    _draw_passages(pen, plan, strip, board)
    line = [strip.at(point.station_mm, point.z_mm) for point in run.route.points]
    pen.line(line, inks.CASING)
    pen.line(line, inks.run_ink(number))
    board.add_obstacle(LineString(line).buffer(0.8))
    for fixing in run.fixings:
        at = strip.at(fixing.station_mm, fixing.z_mm)
        symbols.draw_fixing(pen, at, fixing.kind)
        board.add_obstacle(Point(at).buffer(symbols.FIXING_MM + 0.2))
    if run.fuse:
        for station_mm, place in zip(
            run.fuse.stations_mm, positions_at(run.route, run.fuse.stations_mm), strict=True
        ):
            board.add(fuse_label(run.fuse, strip.at(station_mm, place.z_mm)))
    _label_turns(strip, board)


def _draw_height_lines(pen: Pen, strip: Strip, end: float) -> None:
    first = math.ceil(strip.lowest_mm / 100) * 100
    highest = strip.lowest_mm + PLOT_MM * strip.height_scale
    every = 100 if 100 / strip.height_scale >= 3.8 else 200
    for height in range(first, int(highest) + 1, 100):
        if height % every:
            continue
        y = strip.y(height)
        pen.line([(strip.plot.x, y), (end, y)], inks.HAIRLINE)
        pen.text((strip.plot.x - 1, y + 1.1), f"{height} mm", size_mm=MIDDLE, anchor="end", colour=inks.GREY)


def _draw_passages(pen: Pen, plan: Plan, strip: Strip, board: LabelBoard) -> None:
    plot = strip.plot
    for number, passage in enumerate(strip.run.route.passages):
        x0, x1 = strip.x(passage.from_station_mm), strip.x(passage.to_station_mm)
        middle = (x0 + x1) / 2
        if passage.kind is PassageKind.OPENING:
            pen.line(
                [(middle, plot.y), (middle, plot.bottom)], Ink(inks.BLUE, 0.4, dash=(3.0, 0.8, 0.6, 0.8))
            )
            symbols.draw_opening(pen, (middle, plot.bottom - 3.0))
            board.add_obstacle(
                LineString([(middle, plot.y), (middle, plot.bottom)]), COST_OF_AWKWARD_PLACE, passage.name
            )
            board.add_obstacle(Point(middle, plot.bottom - 3.0).buffer(symbols.OPENING_MM))
            words = f"{passage.name}, {plan.profile.opening(passage.name).bore_mm:.0f} mm"
            board.add(
                Label(
                    words,
                    _places_up(middle, plot),
                    SMALL,
                    is_bold=True,
                    colour=inks.BLUE,
                    owner=passage.name,
                    rank=0,
                )
            )
        elif passage.kind in (PassageKind.OVER_MEMBER, PassageKind.THROUGH_MEMBER):
            pen.box(x0, plot.y, max(x1 - x0, 0.4), plot.height, inks.MEMBER)
            owner = f"{passage.name} {number}"
            board.add_obstacle(
                shapely.box(x0, plot.y, max(x1, x0 + 0.4), plot.bottom), COST_OF_AWKWARD_PLACE, owner
            )
            words = passage_words(passage, name=passage.name)
            short = passed_words(passage, name=passage.name)
            anchors = tuple(at for x in (middle, x1, x0) for at in _places_up(x, plot))
            board.add(
                Label(words, anchors, SMALL, is_bold=True, owner=owner, may_lie_on=True, rank=0, short=short)
            )


def _places_up(x: float, plot: Box) -> tuple[PaperPoint, ...]:
    return tuple((x, plot.y + share * plot.height) for share in (0.08, 0.25, 0.45, 0.65, 0.85))


def _label_turns(strip: Strip, board: LabelBoard) -> None:
    """Ask for the angle of every turn in plan, and for the height of every rise and drop."""
    segments = segments_of(strip.run.route)
    for segment in segments:
        if segment.is_rise:
            rise = segment.end.z_mm - segment.start.z_mm
            at = strip.at(segment.end.station_mm, (segment.start.z_mm + segment.end.z_mm) / 2)
            words = f"{'up' if rise > 0 else 'down'} {abs(rise):.0f}"
            board.add(Label(words, (at,), SMALL, colour=inks.BLACK, reach_mm=10.0, is_needed=False))
    level = [segment for segment in segments if not segment.is_rise]
    for before, after in pairwise(level):
        turn = _turn_deg(before.direction(), after.direction())
        if turn >= TURN_DEG:
            at = strip.at(after.start.station_mm, after.start.z_mm)
            words = f"bend {turn:.0f}°, then {heading_words(after.direction())}"
            board.add(Label(words, (at,), SMALL, colour=inks.BLACK, reach_mm=14.0, is_needed=False))


def _turn_deg(before: tuple[float, float, float], after: tuple[float, float, float]) -> float:
    """Return the turn in plan."""
    cross = before[0] * after[1] - before[1] * after[0]
    dot = before[0] * after[0] + before[1] * after[1]
    return abs(math.degrees(math.atan2(cross, dot)))


def _draw_axis(pen: Pen, strip: Strip) -> None:
    y = strip.plot.bottom
    routed = strip.run.route.routed_mm
    numbered_every = 1 if strip.scale <= 10.0 else 5  # tenths of a metre
    pen.text((strip.box.x, y + 4.2), "station", size_mm=MIDDLE, colour=inks.GREY)
    for step in range(int(routed / 100) + 1):
        x, is_half, is_whole = strip.x(step * 100), step % numbered_every == 0, step % 10 == 0
        pen.line([(x, y), (x, y + (1.8 if is_whole else 1.3 if is_half else 0.7))], inks.FRAME)
        if is_half:
            words = f"{step / 10:.0f} m" if is_whole else f"{step / 10:.1f}"
            pen.text((x, y + 4.8), words, size_mm=MIDDLE, is_bold=is_whole, anchor="middle", halo_mm=0.8)


def _draw_near(pen: Pen, plan: Plan, strip: Strip, top: float) -> LabelBoard:
    """Draw the stations of keep-outs near the run; return their labels: tag, distance, least distance."""
    pen.text((strip.box.x, top + 3.0), "near, mm", size_mm=MIDDLE, colour=inks.GREY)
    pen.text((strip.box.x, top + 6.6), "(least)", size_mm=MIDDLE, colour=inks.GREY)
    for check in near_checks(strip.run):
        x, colour = strip.x(check.station_mm), HAZARD_STYLES[check.hazard].outline
        pen.line([(x, strip.plot.bottom), (x, top + 0.6)], Ink(colour, 0.25))
        pen.circle((x, top + 0.9), 0.6, Ink(fill=colour))
    for size_mm in (MIDDLE, SMALL):  # smaller rather than without one
        board = _near_board(plan, strip, top, size_mm)
        board.placed = board.place()
        if len(board.placed) == len(board.labels):
            break
    return board


def _near_board(plan: Plan, strip: Strip, top: float, size_mm: float) -> LabelBoard:
    tags = keep_out_tags(plan.profile)
    board = LabelBoard(Box(strip.plot.x, top, strip.plot.width, NEAR_LANES * LANE_MM))
    for check in near_checks(strip.run):
        at = (strip.x(check.station_mm), top + 0.9)
        board.add_obstacle(Point(at).buffer(0.6))
        words = f"{tags[check.keep_out]} {check.actual_mm:.0f} ({check.required_mm:.0f})"
        board.add(Label(words, (at,), size_mm, is_bold=True))
    return board


def _draw_fixing_lane(pen: Pen, strip: Strip, top: float, prefix: str) -> None:
    """Draw every fixing with its number and its station, in two rows by turns where they are close."""
    for row, words in enumerate(("fixing", "at m")):
        pen.text((strip.box.x, top + 3.5 + row * 3.6), words, size_mm=MIDDLE, colour=inks.GREY)
    rows_end = [-1e6, -1e6]
    for fixing in strip.run.fixings:
        x = strip.x(fixing.station_mm)
        at = f"{fixing.station_mm / 1000:.2f}"
        words = f"{prefix}{fixing.number}"
        width = max(room_mm(at, MIDDLE), room_mm(words, MIDDLE, is_bold=True)) + 0.6
        row = 0 if x - width / 2 >= rows_end[0] else 1
        middle = max(x, rows_end[row] + width / 2)
        rows_end[row] = middle + width / 2
        y = top + row * 7.4
        pen.line([(x, top), (middle, y + 0.9)], inks.HAIRLINE)
        pen.text((middle, y + 3.5), words, size_mm=MIDDLE, is_bold=True, anchor="middle", halo_mm=0.4)
        pen.text((middle, y + 7.1), at, size_mm=MIDDLE, anchor="middle", halo_mm=0.4)
