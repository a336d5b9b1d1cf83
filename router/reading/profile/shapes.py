"""Places in a profile file: whole, of some size, and inside their space."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, TypeAlias

import shapely
from shapely import LineString, Polygon
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry.base import BaseGeometry

from router.errors import Fault
from router.model.vehicle import BATTERY_POLES, UNIT_POLES, Fix, Pole, Profile, TerminalKind
from router.reading.profile.on_members import on_member
from router.reading.profile.plausible_sizes import height_faults, reach_fault, width_faults
from router.reading.profile.profile_file import (
    SECTIONS,
    CoverFile,
    ExposedFile,
    KeepOutFile,
    MemberFile,
    OpeningFile,
    PanelFile,
    PassFile,
    SpaceFile,
    SupportFile,
    TerminalFile,
)
from router.reading.profile.vehicles import Vehicle
from router.reading.yaml.documents import Document
from router.reading.yaml.wording import Path
from router.tolerances import ON_LINE_MM
from router.units import parse_quantity

FURTHEST_MM = 30_000.0
"""No point of a road vehicle is further from its datum."""
FAR_OUTSIDE_MM = 300.0
"""A keep-out may lie beside its space and still matter there by its clearance; not further away than this."""
MIDDLE_MM = 1.0
"""A panel nearer to the middle of a space than this has it on no side: no outline is measured closer."""
_TOO_FAR = f"more than {FURTHEST_MM / 1000:g} m from the datum"

Points: TypeAlias = list[tuple[float, float]]
Found: TypeAlias = Iterator[tuple[Path, str]]


@dataclass(frozen=True, slots=True)
class _Ground:
    """The spaces of one vehicle in mm, its panels, and how many mm the file's unit has."""

    outlines: dict[str, Polygon]
    panels: list[PanelFile]
    mm_per_unit: float
    has_panels: bool
    """A file from before panels were measured has none; its openings lie half-way, and `check` says so."""

    def points(self, points: Points) -> Points:
        return [(x * self.mm_per_unit, y * self.mm_per_unit) for x, y in points]

    def line(self, points: Points) -> LineString:
        return LineString(self.points(points))


def shape_faults(
    document: Document, vehicle: Vehicle, mm_per_unit: float, before: Vehicle | None = None
) -> Iterator[Fault]:
    """Yield a fault for each place that is broken, or not where its space is.

    Things with other faults are passed over: those are reported already. So are things of the vehicle
    `before`, which was looked at, where the spaces are still the same.
    """
    outlines: dict[str, Polygon] = {}
    ground = _Ground(outlines, [], mm_per_unit, bool(vehicle["panels"]))
    datum = str(document.data.get("datum"))
    ways = ("spaces", "panels")
    looked_at = before if before and all(before[key] == vehicle[key] for key in ways) else {}
    for section in SECTIONS:
        is_too_far = False
        known = {entry.path for entry in looked_at.get(section, ()) if section not in ways}
        for entry in vehicle[section]:
            item = entry.item
            is_new = item is not None and entry.path not in known
            faults = list(_CHECKS[section](item, ground)) if is_new else []
            faults += [*height_faults(item, datum), *width_faults(item, outlines)] if is_new else []
            for inner, words in faults:
                yield document.fault((*entry.path, *inner), words)
            is_too_far = is_too_far or any(_TOO_FAR in words for _, words in faults)
            if isinstance(item, SpaceFile) and not faults and entry.name is not None:
                outlines[entry.name] = Polygon(ground.points(item.outline))
            if isinstance(item, PanelFile) and not faults:
                ground.panels.append(item)
        if is_too_far and section == "spaces":
            return  # a wrong unit: every other place would be too far as well


def _space(item: SpaceFile, ground: _Ground) -> Found:
    faults = list(_area_faults(("outline",), item.outline, ground))
    yield from faults
    if not faults:
        yield from _steps(item, ground)


def _steps(item: SpaceFile, ground: _Ground) -> Found:
    whole: list[tuple[int, Polygon]] = []
    for index, step in enumerate(item.steps):
        path: Path = ("steps", index, "area")
        faults = list(_area_faults(path, step.area, ground))
        yield from faults
        if faults:
            continue
        area = Polygon(ground.points(step.area))
        for other, before in whole:
            if area.intersection(before).area > ON_LINE_MM:
                yield path, f"area overlaps step {other + 1}; a place has one height, so let them meet only"
        if Polygon(ground.points(item.outline)).intersection(area).area <= ON_LINE_MM:
            yield path, "area lies wholly outside the outline of its space; check its points"
        whole.append((index, area))


def _panel(item: PanelFile, ground: _Ground) -> Found:
    if item.between[0] == item.between[1]:
        yield ("between", 1), f'between names "{item.between[0]}" twice; write another space'
    if (item.height is None) == (item.along is None):
        yield (), "is neither or both of level and upright; write height for a floor, or along for a bulkhead"
        return
    if item.along is not None:
        faults = list(_line_faults(("along",), item.along, ground))
        yield from faults
        if not faults:
            yield from _without_sides(item, ground)
        if item.area is not None:
            yield ("area",), "area goes with height; take it out of an upright panel"
    elif item.area is not None:
        yield from _area_faults(("area",), item.area, ground)


def _without_sides(item: PanelFile, ground: _Ground) -> Found:
    """Yield a fault where an upright panel's line, carried on, runs through the middle of its space."""
    (ax, ay), (bx, by) = ground.points(item.along or [])
    for space in item.between:
        if space in ground.outlines:
            middle = ground.outlines[space].centroid
            aside_mm = ((bx - ax) * (middle.y - ay) - (by - ay) * (middle.x - ax)) / math.dist(
                (ax, ay), (bx, by)
            )
            if abs(aside_mm) < MIDDLE_MM:
                words = f'along runs through the middle of space "{space}", so that nobody can tell on which'
                yield ("along",), f"{words} side of the panel that lies; check its points and the outline"


def _keep_out(item: KeepOutFile, ground: _Ground) -> Found:
    given = [key for key in ("along", "area", "disc") if getattr(item, key) is not None]
    if len(given) != 1:
        found = " and ".join(given) if given else "no place"
        yield (), f"has {found}; write one of along (with width), area or disc"
        return
    if (item.along is None) != (item.width is None):
        words = (
            "along needs a width; write e.g. width: 60 mm"
            if item.along
            else "width goes with along; take it out"
        )
        yield (given[0] if item.along else "width",), words
    if item.heights is not None and not item.heights[0] < item.heights[1]:
        yield ("heights",), "heights do not rise; write the lower one first, e.g. [220 mm, 290 mm]"
    if item.heights is None and item.space is None:
        yield (), "has neither heights nor a space; write heights, e.g. heights: [220 mm, 290 mm]"
    if item.guide and item.along is None:
        yield ("guide",), "guide goes with along: a line is followed; take it out"
    core, reach, faults = _core(item, ground)
    yield from faults
    if not faults:
        yield from _near_vehicle((given[0],), core, reach, item, ground)


def _near_vehicle(
    path: Path, core: BaseGeometry, reach_mm: float, item: KeepOutFile, ground: _Ground
) -> Found:
    """Yield a fault where a keep-out is so far off that it cannot matter.

    Far off its space, where nothing else says where it is; with heights it may matter in any space.
    """
    if item.space is not None and item.heights is None:
        outside = list(_beside(path, core, reach_mm + FAR_OUTSIDE_MM, item.space, ground))
        yield from outside or _reaching(path, item.along or item.area or [], item.space, ground)
    elif ground.outlines and not any(
        outline.distance(core) <= reach_mm + FAR_OUTSIDE_MM for outline in ground.outlines.values()
    ):
        yield path, f"{path[-1]} lies wholly outside every space; check its points"


def _reaching(path: Path, points: Points, space: str, ground: _Ground) -> Found:
    if space in ground.outlines and points:
        told = [_pair(point) for point in points]
        yield from reach_fault(path, ground.points(points), told, ground.outlines[space], space)


def _core(item: KeepOutFile, ground: _Ground) -> tuple[BaseGeometry, float, list[tuple[Path, str]]]:
    if item.along is not None:
        faults = list(_line_faults(("along",), item.along, ground, may_cross=True))
        return ground.line(item.along), (item.width or 0.0) / 2, faults
    if item.area is not None:
        faults = list(_area_faults(("area",), item.area, ground))
        return Polygon(ground.points(item.area)), 0.0, faults
    assert item.disc is not None  # one of the three is given
    faults = list(_too_far(("disc", "centre"), [item.disc.centre], ground))
    return ShapelyPoint(ground.points([item.disc.centre])[0]), item.disc.radius, faults


def _member(item: MemberFile, ground: _Ground) -> Found:
    faults = list(_line_faults(("along",), item.along, ground))
    yield from faults
    if faults:
        return
    yield from _beside(("along",), ground.line(item.along), item.width / 2, item.space, ground)
    for index, each in enumerate(item.passes):
        for inner, words in _pass(each, item, ground):
            yield ("passes", index, *inner), words


_PASS_KEYS = {"rise": ("over", "55 mm"), "bore": ("through", "30 mm"), "edge": ("through", "bare")}


def _pass(item: PassFile, member: MemberFile, ground: _Ground) -> Found:
    if (item.over is None) == (item.through is None):
        yield (
            (),
            "is neither or both of over and through; write over with rise, or through with bore and edge",
        )
        return
    kind = "over" if item.over is not None else "through"
    for key, (goes_with, example) in _PASS_KEYS.items():
        if getattr(item, key) is None and kind == goes_with:
            yield (), f'key "{key}" is missing; a pass {kind} needs it, e.g. {key}: {example}'
        elif getattr(item, key) is not None and kind != goes_with:
            yield (key,), f"{key} goes with {goes_with}; take it out of a pass {kind}"
    if item.over is not None:
        yield from _line_faults(("over",), item.over, ground)
        for index, point in enumerate(item.over):
            yield from _on_member(("over", index), f"point {index + 1}", point, member, ground)
        yield from _along_member(item.over, member, ground)
    elif item.through is not None:
        yield from _on_member(("through",), "through", item.through, member, ground)


def _on_member(
    path: Path, what: str, point: tuple[float, float], member: MemberFile, ground: _Ground
) -> Found:
    off_mm = ground.line(member.along).distance(ShapelyPoint(ground.points([point])[0]))
    if off_mm > member.width / 2:
        yield path, f"{what} {_pair(point)} is {off_mm:.0f} mm off its member; put it on the member's line"


def _along_member(over: Points, member: MemberFile, ground: _Ground) -> Found:
    along = tuple(ground.points(member.along))
    start, end = (on_member(point, along, member.width) for point in ground.points(over))
    if math.dist(start, end) <= ON_LINE_MM < math.dist(*ground.points(over)):
        yield ("over",), "its two points are across the member; write two places along it"


def _support(item: SupportFile, ground: _Ground) -> Found:
    if item.hazard is not None and item.fix is not Fix.NEVER:
        yield ("hazard",), "hazard goes with fix: never, a line that is kept away from; take it out"
    if item.heights is not None and item.height is not None:
        yield ("heights",), "heights goes in place of height; keep one of the two"
    elif item.heights is not None and len(item.heights) != len(item.along):
        found = f"has {len(item.heights)} for {len(item.along)} points"
        yield ("heights",), f"heights {found}; write one for each point of along"
    faults = list(_line_faults(("along",), item.along, ground))
    yield from faults
    if faults:
        return
    if item.fix is Fix.NEVER:  # nothing is fixed to it, so it may go where no loom can
        yield from _beside(("along",), ground.line(item.along), FAR_OUTSIDE_MM, item.space, ground)
        return
    yield from _within(("along",), item.along, item.space, ground)


def _area(item: CoverFile | ExposedFile, ground: _Ground) -> Found:
    faults = list(_area_faults(("area",), item.area, ground))
    yield from faults
    if not faults:
        yield from _beside(("area",), Polygon(ground.points(item.area)), 0.0, item.space, ground)


def _opening(item: OpeningFile, ground: _Ground) -> Found:
    yield from _too_far(("at",), [item.at], ground)
    if item.joins[0] == item.joins[1]:
        yield ("joins", 1), f'joins "{item.joins[0]}" with itself; write another space'
    for space in dict.fromkeys(item.joins):
        yield from _point_within(("at",), item.at, space, ground)
    is_measured = item.height is not None or level_panel_at(ground.panels, item.joins, item.at)
    if ground.has_panels and not is_measured:
        yield (), "has no height, and no level panel of its two spaces is there; write e.g. height: 600 mm"


def level_panel_at(
    panels: Iterable[PanelFile], spaces: Sequence[str], at: tuple[float, float]
) -> PanelFile | None:
    """Return the level panel between two spaces that is at a place, in the file's unit; None if none is."""
    for panel in panels:
        is_level = panel.height is not None and set(panel.between) == set(spaces)
        if is_level and (panel.area is None or Polygon(panel.area).intersects(ShapelyPoint(at))):
            return panel
    return None


def place_faults(item: TerminalFile, profile: Profile) -> Found:
    """Yield a fault for each value of a place, brought along by a job, that does not fit the vehicle.

    Parameters
    ----------
    item : TerminalFile
        Its points in the unit of the vehicle's file.
    profile : Profile
        The vehicle, without faults.
    """
    outlines = {space.name: Polygon(space.outline) for space in profile.spaces}
    ground = _Ground(outlines, [], parse_quantity(f"1 {profile.unit}", "length"), has_panels=True)
    yield from _terminal(item, ground)
    yield from height_faults(item, profile.datum)
    if item.stands_on is not None and item.stands_on not in {each.name for each in profile.keep_outs}:
        words = f'unknown keep-out "{item.stands_on}"; write one of the profile, or leave it out'
        yield ("stands-on",), words


def _terminal(item: TerminalFile, ground: _Ground) -> Found:
    yield from _too_far(("at",), [item.at], ground)
    yield from _point_within(("at",), item.at, item.space, ground)
    y = item.at[1]
    if item.side is not None and y != 0.0 and (y > 0.0) != (item.side == "right"):
        lies = "right" if y > 0.0 else "left"
        words = f"{item.side}, but y {y:g} is on the {lies}; y goes to the vehicle's right"
        yield ("side",), words
    yield from terminal_faults(item)


def terminal_faults(item: TerminalFile) -> Found:
    """Yield a fault for each value of a terminal that does not go with another one of it."""
    has_stud, is_post = item.stud or item.studs, item.kind is TerminalKind.BATTERY_POST
    for key in ("faces", "contact"):
        if has_stud and getattr(item, key) is not None:
            yield (key,), f"{key} is of a connector, and this terminal has a stud; leave it out"
    if item.stud is not None and item.studs is not None:
        yield ("studs",), "studs stand beside stud; keep stud for one, or studs for one of each pole"
    if item.studs is not None and is_post:
        yield ("studs",), "studs are of a unit, and a battery post is one pole; write stud"
    if is_post and item.pole is None:
        yield ("kind",), "a battery post has a pole; write pole: positive or pole: negative beside it"
    if item.pole in UNIT_POLES and is_post:
        yield ("pole",), "a battery post is positive or negative; write pole: positive or pole: negative"
    yield from _pole_faults(item)
    if item.source and (item.kind is TerminalKind.EARTH_POINT or (item.pole and item.pole.is_minus)):
        yield ("source",), "source is of a plus, which feeds what is joined to it; leave it out here"
    if item.short_circuit is not None and not item.source:
        words = "short-circuit is of a source that limits its current; write source: true, or leave it out"
        yield ("short-circuit",), words


def unit_faults(terminals: Sequence[tuple[Path, TerminalFile]]) -> Found:
    """Yield a fault for each unit or battery whose terminals in one file are not a plus and a minus.

    Parameters
    ----------
    terminals : sequence of (path, terminal)
        All of one vehicle, or all places of one job.
    """
    for path, item in terminals:
        poles = [other.pole for _, other in terminals if other.unit == item.unit and other.pole]
        if item.unit is None or item.pole is None:
            continue
        if len({pole.is_minus for pole in poles}) == 1:
            other = Pole.PLUS if item.pole.is_minus else Pole.MINUS
            words = f'"{item.unit}" has no terminal that is its {other}; write it too, or leave unit out'
            yield (*path, "unit"), words


def _pole_faults(item: TerminalFile) -> Found:
    """Yield a fault for each key that says which pole of what a terminal is, and does not fit the others."""
    if item.kind is TerminalKind.BATTERY_POST:
        return
    if item.pole in BATTERY_POLES:
        yield ("pole",), "pole is of a battery post; write kind: battery post, or leave it out"
    elif item.pole is not None and item.unit is None:
        yield ("pole",), f"pole: {item.pole} is of a terminal with unit; name its unit, or leave pole out"
    if item.unit is not None and item.pole is None:
        yield ("unit",), "a terminal of a unit is one of its poles; write pole: plus or pole: minus beside it"
    if item.unit is not None and item.studs is not None:
        yield ("unit",), "studs are both poles of the unit; leave unit out, or measure two terminals"
    if item.unit is not None and item.kind in (TerminalKind.EARTH_POINT, TerminalKind.FUSE_BOX):
        yield ("unit",), f"kind: {item.kind} is no pole of a unit; leave unit out"


_CHECKS: Mapping[str, Callable[[Any, _Ground], Found]] = {
    "spaces": _space,
    "panels": _panel,
    "keep-outs": _keep_out,
    "members": _member,
    "supports": _support,
    "covers": _area,
    "exposed": _area,
    "openings": _opening,
    "terminals": _terminal,
}


def _line_faults(path: Path, points: Points, ground: _Ground, *, may_cross: bool = False) -> Found:
    repeated = list(_repeated(path, points))
    yield from repeated
    yield from _too_far(path, points, ground)
    if not repeated and not may_cross and not ground.line(points).is_simple:
        yield path, f"{path[-1]} crosses itself; write its points in order"


def _area_faults(path: Path, points: Points, ground: _Ground) -> Found:
    repeated = list(_repeated(path, points))
    if points[0] == points[-1]:
        repeated.append(((*path, len(points) - 1), f"point {len(points)} repeats the first; leave it out"))
    yield from repeated
    yield from _too_far(path, points, ground)
    if repeated:
        return
    area = Polygon(points)
    if not area.convex_hull.area > 0:
        yield path, f"{path[-1]} has no area; write its corners in order round it"
    elif not area.is_valid:
        yield (
            path,
            f"{path[-1]} crosses or touches itself near {_where_broken(area)}; write its corners in order",
        )


def _where_broken(area: Polygon) -> str:
    """Return the place that shapely names at the end of its words, as the file writes points."""
    numbers = shapely.is_valid_reason(area).partition("[")[2].rstrip("]").split()
    return f"[{', '.join(f'{float(number):g}' for number in numbers[:2])}]"


def _repeated(path: Path, points: Points) -> Found:
    for index, (before, point) in enumerate(pairwise(points), start=1):
        if before == point:
            yield (*path, index), f"point {index + 1} repeats the one before it; leave it out"


def _too_far(path: Path, points: Points, ground: _Ground) -> Found:
    for index, point in enumerate(points):
        if not max(abs(number) * ground.mm_per_unit for number in point) <= FURTHEST_MM:
            inner = path if path[-1] in ("at", "centre") else (*path, index)
            yield inner, f"{_pair(point)} is {_TOO_FAR}; check the unit"
            return  # one is enough to see it by


def _point_within(path: Path, point: tuple[float, float], space: str, ground: _Ground) -> Found:
    outline = ground.outlines.get(space)
    if outline is None:
        return
    off_mm = outline.distance(ShapelyPoint(ground.points([point])[0]))
    if off_mm > ON_LINE_MM:
        yield path, f'{_pair(point)} is {_mm(off_mm)} outside space "{space}"; move it or widen the outline'


def _within(path: Path, points: Points, space: str, ground: _Ground) -> Found:
    outline = ground.outlines.get(space)
    if outline is None:
        return
    outside = [
        (index, off_mm)
        for index, point in enumerate(ground.points(points))
        if (off_mm := outline.distance(ShapelyPoint(point))) > ON_LINE_MM
    ]
    advice = "move it or widen the outline"
    for index, off_mm in outside:
        words = f'point {index + 1} {_pair(points[index])} is {_mm(off_mm)} outside space "{space}"; {advice}'
        yield (*path, index), words
    if not outside and ground.line(points).difference(outline.buffer(ON_LINE_MM)).length > ON_LINE_MM:
        yield path, f'{path[-1]} leaves space "{space}" between its points; follow the outline'


def _beside(path: Path, core: BaseGeometry, reach_mm: float, space: str, ground: _Ground) -> Found:
    outline = ground.outlines.get(space)
    if outline is None:
        return
    off_mm = outline.distance(core) - reach_mm
    if off_mm > 0 or not math.isfinite(off_mm):
        yield path, f'{path[-1]} lies wholly outside space "{space}"; check its points and its space'


def _pair(point: tuple[float, float]) -> str:
    return f"[{point[0]:g}, {point[1]:g}]"


def _mm(length_mm: float) -> str:
    return f"{length_mm:.0f} mm" if length_mm >= 1 else f"{length_mm:.2g} mm"
