"""The vehicle on paper, without any run: spaces, keep-outs, members, supports and all the rest."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from shapely.geometry import LineString, Point, Polygon

from router.drawing.labels.labelling import (
    COST_OF_AWKWARD_PLACE,
    COST_OF_OVERLAP,
    COST_OF_UNTIDY_PLACE,
    Label,
    LabelBoard,
)
from router.drawing.layers.hazards import draw_keep_out, has_room, on_paper, outline_of, rings_of
from router.drawing.layers.member_passes import draw_holes, draw_overs, keep_labels_off_passes
from router.drawing.paper import inks, symbols
from router.drawing.paper.frame import Frame, SeenFrom
from router.drawing.paper.pen import Ink, PaperPoint, Pen
from router.facts import MeasuredPart, spaces_of
from router.model.vehicle import Drill, Fix, Panel, Profile, Space
from router.model.vehicle import Point as PlanPoint

LARGE, MIDDLE, SMALL = 3.5, 3.0, 2.5  # sizes of type, mm
LEAST_NAMED_STEP_MM = 5.0  # on paper; a smaller step is about one ring, whose name needs the room
FAR_APART_MM = 150.0  # rings of an opening further apart on paper are each named
ASSUMED_MARK = "?"
NEAR_OPENING_MM = 10.0  # how far from its ring the name of an opening that is used may stand


@dataclass(frozen=True, slots=True)
class View:
    """What of the vehicle is shown, and where each of its spaces lies on the paper."""

    profile: Profile
    frames: Mapping[str, Frame]
    tags: Mapping[str, str]
    """Tags of the keep-outs by name."""
    used: Collection[str]
    """Names of the things that a run uses; their names are written larger and always."""
    near: Collection[str]
    """Names of the keep-outs near a run; they are written beside them in full."""
    passed: frozenset[PlanPoint] = frozenset()
    """Where the holes in members lie that a run goes through."""
    is_detail: bool = False
    """Whether it is a window on a crowded place, named by its own heading."""

    def frame(self, space: str) -> Frame:
        """Return where a space lies; KeyError where it is not shown."""
        return self.frames[space]

    def shows(self, space: str) -> bool:
        """Return whether a space is shown."""
        return space in self.frames


def draw_vehicle(pen: Pen, view: View, board: LabelBoard) -> None:
    """Draw what was measured, what lies underneath first, and ask for its labels; `draw_ends` ends it."""
    _draw_spaces(pen, view, board)
    _draw_areas(pen, view, board)
    _draw_members(pen, view, board)
    _draw_keep_outs(pen, view, board)
    _draw_supports(pen, view, board)


def draw_ends(pen: Pen, view: View, board: LabelBoard) -> None:
    """Draw holes, openings and terminals, which lie on top of the runs that pass or end there."""
    _draw_holes(pen, view, board)
    _draw_openings(pen, view, board)
    _draw_terminals(pen, view, board)


def _draw_spaces(pen: Pen, view: View, board: LabelBoard) -> None:
    with pen.group("spaces", "Spaces: where the middle of a loom may lie"):
        for space in view.profile.spaces:
            if not view.shows(space.name):
                continue
            corners = view.frame(space.name).all_at(space.outline)
            with pen.group(f"space {space.name}", space.name):
                pen.area(corners, _ink(replace(inks.OUTLINE, fill="#fff"), space))
            board.add_obstacle(LineString([*corners, corners[0]]), COST_OF_AWKWARD_PLACE)
            _draw_steps(pen, view, space, board)
            if not view.is_detail:
                _name_space(space, corners, board)
    with pen.group("panels", "Upright panels between spaces"):
        for panel in view.profile.panels:
            for name in panel.between if panel.along else ():
                if view.shows(name):
                    _draw_upright(pen, view.frame(name), panel, board)


def _draw_steps(pen: Pen, view: View, space: Space, board: LabelBoard) -> None:
    """Draw the borders at which looms of a space step up or down, and say how high they lie inside."""
    for step in space.steps:
        corners = view.frame(space.name).all_at(step.area)
        inside = Polygon(corners).intersection(Polygon(view.frame(space.name).all_at(space.outline)))
        pen.rings(rings_of(inside), _ink(inks.STEP, step))
        low_x, low_y, high_x, high_y = inside.bounds
        if max(high_x - low_x, high_y - low_y) < LEAST_NAMED_STEP_MM:
            continue
        board.add_obstacle(LineString([*corners, corners[0]]), COST_OF_UNTIDY_PLACE)
        words = _marked(f"step: loom at {step.height_mm:.0f} mm", step)
        board.add(Label(words, tuple(corners), SMALL, is_needed=False, colour=inks.GREY, may_lie_on=True))


def _draw_upright(pen: Pen, frame: Frame, panel: Panel, board: LabelBoard) -> None:
    """Draw an upright panel as the bold line that it is in plan."""
    assert panel.along is not None  # upright
    ends = frame.all_at(panel.along)
    pen.line(ends, _ink(inks.PANEL, panel))
    board.add_obstacle(LineString(ends), COST_OF_UNTIDY_PLACE, panel.name)
    words = panel.name if panel.drill is Drill.ALLOWED else f"{panel.name}: no holes"
    board.add(Label(words, tuple(ends), SMALL, is_needed=False, colour=inks.GREY, owner=panel.name))


def _name_space(space: Space, corners: list[PaperPoint], board: LabelBoard) -> None:
    """Ask for a space's name and height along the inside of its outline, wherever there is room."""
    words = _marked(f"{space.name.upper()}: loom at {space.height_mm:.0f} mm", space)
    shape = Polygon(corners).buffer(-2.5)
    ring = shape.exterior if isinstance(shape, Polygon) and not shape.is_empty else Polygon(corners).exterior
    places = [ring.interpolate(number / 24, normalized=True) for number in range(24)]
    anchors = tuple((place.x, place.y) for place in places)
    board.add(Label(words, anchors, SMALL, is_bold=True, colour=inks.GREY, may_lie_on=True))


def _draw_areas(pen: Pen, view: View, board: LabelBoard) -> None:
    with pen.group("exposed areas", "Exposed to spray, stones or kerbs"):
        for exposed in view.profile.exposed:
            if view.shows(exposed.space):
                corners = view.frame(exposed.space).all_at(exposed.area)
                pen.area(corners, inks.EXPOSED)
                board.add(
                    Label(
                        f"exposed: {exposed.name}", tuple(corners), SMALL, is_needed=False, colour=inks.GREY
                    )
                )
    with pen.group("covers", "Covers: to be taken down"):
        for cover in view.profile.covers:
            if view.shows(cover.space):
                corners = view.frame(cover.space).all_at(cover.area)
                with pen.group(f"cover {cover.name}", f"{cover.name}, {cover.fasteners} fasteners"):
                    pen.area(corners, _ink(inks.COVER, cover))
                is_used = cover.name in view.used
                words = f"cover: {cover.name}, {cover.fasteners} fasteners"
                board.add(_named(words, tuple(corners), is_used, inks.BLUE, cover.name))
                board.add_obstacle(LineString([*corners, corners[0]]), COST_OF_UNTIDY_PLACE, cover.name)


def _draw_members(pen: Pen, view: View, board: LabelBoard) -> None:
    with pen.group("members", "Crossmembers"):
        for member in view.profile.members:
            if not view.shows(member.space):
                continue
            frame = view.frame(member.space)
            band = on_paper(LineString(member.along).buffer(member.width_mm / 2, cap_style="flat"), frame)
            with pen.group(f"member {member.name}", member.name):
                pen.rings(rings_of(band), _ink(inks.MEMBER, member))
                draw_overs(pen, member, frame)
            ends = (frame.at(member.along[0]), frame.at(member.along[-1]))
            if member.name not in view.used:  # the run says where it passes the others
                board.add(_named(member.name, ends, False, inks.GREY, member.name))
            board.add_obstacle(band, COST_OF_UNTIDY_PLACE, member.name)
            keep_labels_off_passes(member, frame, board)


def _draw_keep_outs(pen: Pen, view: View, board: LabelBoard) -> None:
    with pen.group("keep-outs", "Keep-outs: places to stay away from"):
        shown = (
            (keep_out, frame)
            for keep_out in view.profile.keep_outs
            for frame in dict.fromkeys(map(view.frame, filter(view.shows, spaces_of(view.profile, keep_out))))
        )
        for keep_out, frame in shown:  # spaces side by side lie in one frame: once there
            tag = view.tags[keep_out.name]
            on_sheet = outline_of(keep_out.shape, frame)
            draw_keep_out(pen, keep_out, tag, on_sheet)
            board.add_obstacle(on_sheet, COST_OF_OVERLAP, keep_out.name)
            words = f"{tag} {keep_out.name}" if keep_out.name in view.near else tag
            fits = has_room(on_sheet, 1.0)
            anchors = _middles(keep_out.shape.points, frame, on_sheet)
            board.add(
                Label(words, anchors, SMALL, is_bold=True, owner=keep_out.name, may_lie_on=fits, short=tag)
            )


def _draw_supports(pen: Pen, view: View, board: LabelBoard) -> None:
    with pen.group("supports", "Supports: what may carry a fixing, and what never may"):
        for support in view.profile.supports:
            if not view.shows(support.space):
                continue
            points = view.frame(support.space).all_at(support.along)
            with pen.group(f"support {support.name}", f"{support.name}: {support.fix}"):
                ink = inks.SUPPORTS[support.fix]  # round a line that nothing is fixed to lies a keep-out
                pen.line(points, ink if support.fix is Fix.NEVER else _ink(ink, support))
            board.add_obstacle(LineString(points), COST_OF_UNTIDY_PLACE)
            if support.fix is not Fix.NEVER:
                is_used = support.name in view.used
                board.add(_named(support.name, _middle_first(points), is_used, inks.GREEN))


def _draw_holes(pen: Pen, view: View, board: LabelBoard) -> None:
    with pen.group("holes", "Holes in members"):
        for member in view.profile.members:
            if view.shows(member.space):
                draw_holes(pen, member, view.frame(member.space), board, view.passed)


def _draw_openings(pen: Pen, view: View, board: LabelBoard) -> None:
    with pen.group("openings", "Openings between spaces"):
        for opening in view.profile.openings:
            places = [view.frame(space).at(opening.at) for space in opening.joins if view.shows(space)]
            if len(places) == 2 and places[0] != places[1]:
                is_used = opening.name in view.used or not view.used
                pen.line(places, inks.LEADER_BETWEEN_SPACES if is_used else inks.HAIRLINE)
                board.add_obstacle(LineString(places), COST_OF_AWKWARD_PLACE)
            for place in dict.fromkeys(places):
                with pen.group(f"opening {opening.name}", f"{opening.name}, bore {opening.bore_mm:.0f} mm"):
                    symbols.draw_opening(pen, place)
                board.add_obstacle(Point(place).buffer(symbols.OPENING_MM))
            words = _marked(f"{opening.name}, {opening.bore_mm:.0f} mm", opening)
            is_used = opening.name in view.used  # the bore of those is always told
            for rings in _seen_together(tuple(dict.fromkeys(places))):  # named once for these, at either
                label = _named(words, rings, is_used, inks.BLUE)
                near = replace(label, rank=0, reach_mm=NEAR_OPENING_MM)
                board.add(near if is_used else replace(label, short=_marked(opening.name, opening)))


def _seen_together(rings: tuple[PaperPoint, ...]) -> tuple[tuple[PaperPoint, ...], ...]:
    """Return the rings of an opening as one, or each by itself where they may come on different tiles."""
    is_far = len(rings) == 2 and math.dist(*rings) > FAR_APART_MM
    return tuple((ring,) for ring in rings) if is_far else (rings,)


def _draw_terminals(pen: Pen, view: View, board: LabelBoard) -> None:
    with pen.group("terminals", "Terminals"):
        for terminal in view.profile.terminals:
            if not view.shows(terminal.space):
                continue
            place = view.frame(terminal.space).at(terminal.at)
            is_end = terminal.name in view.used
            with pen.group(f"terminal {terminal.name}", terminal.name):
                symbols.draw_terminal(pen, place, is_end=is_end, is_place=terminal.is_place)
            radius_mm = symbols.PLACE_MM if terminal.is_place else symbols.TERMINAL_MM
            board.add_obstacle(Point(place).buffer(radius_mm), COST_OF_OVERLAP)
            words = f"{terminal.name} (new)" if terminal.is_place else terminal.name
            board.add(_named(_marked(words, terminal), (place,), is_end, inks.BLACK))


def _ink(ink: Ink, part: MeasuredPart) -> Ink:
    """Return the ink of a part, that of one which nobody measured yet with two dots in its line."""
    return ink if part.assumed_mm is None else inks.as_assumed(ink)


def _marked(words: str, part: MeasuredPart) -> str:
    """Return a part's words, with the mark of what nobody measured yet behind them."""
    return words if part.assumed_mm is None else f"{words} {ASSUMED_MARK}"


def sides(seen_from: SeenFrom) -> tuple[str, str]:
    """Return what lies towards the top and the bottom of the paper, with the front at the left.

    >>> sides(SeenFrom.BELOW)
    ("vehicle's left", "vehicle's right")
    """
    words = ("vehicle's left", "vehicle's right")
    return words if seen_from is SeenFrom.BELOW else (words[1], words[0])


def _named(words: str, anchors: tuple[PaperPoint, ...], is_used: bool, colour: str, owner: str = "") -> Label:
    size = MIDDLE if is_used else SMALL
    reach = 32.0 if is_used else 9.0
    return Label(
        words, anchors, size, is_bold=is_used, is_needed=is_used, colour=colour, owner=owner, reach_mm=reach
    )


def _middle_first(points: list[PaperPoint]) -> tuple[PaperPoint, ...]:
    line = LineString(points)
    places = [line.interpolate(share, normalized=True) for share in (0.5, 0.25, 0.75, 0.1, 0.9)]
    return tuple((place.x, place.y) for place in places)


def _middles(points: tuple[PlanPoint, ...], frame: Frame, on_sheet: Polygon) -> tuple[PaperPoint, ...]:
    inner = on_sheet.representative_point()
    line = frame.all_at(points)
    return ((inner.x, inner.y), *_middle_first(line)) if len(points) > 1 else ((inner.x, inner.y),)
