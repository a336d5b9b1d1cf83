"""What in a vehicle cannot be, though every part by itself can; and what can hardly be meant.

What cannot be is refused. What can hardly be meant is advised of, for a person to look at: a body may be
drawn with its whole travel, and a support may lie where no loom ever goes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Any, TypeAlias, TypeVar

import shapely
from shapely import LineString, Polygon
from shapely import Point as ShapelyPoint

from router.errors import Fault
from router.model.vehicle import Fix, Hazard, TerminalKind
from router.reading.profile.profile_file import (
    KeepOutFile,
    OpeningFile,
    PanelFile,
    ProfileFile,
    SpaceFile,
    SupportFile,
    TerminalFile,
)
from router.reading.profile.vehicles import Entry, Vehicle, base_vehicle, variant_vehicle
from router.reading.yaml.documents import Document
from router.reading.yaml.fields import FileModel
from router.reading.yaml.structure import item_or_none
from router.reading.yaml.wording import Path

SAME_POST_MM = 5.0
"""No two posts of a battery stand nearer than this: a post is thicker."""
STANDS_WITHIN_MM = 300.0
"""A battery post stands no further than this from its battery, nor any terminal from what it is on: a cable
leaves a post at once (common practice, no source)."""
INSIDE_MM = 1.0
"""What is less deep inside a body than this lies on its skin."""

Found: TypeAlias = Iterator[tuple[Path, str]]
_Item = TypeVar("_Item", bound=FileModel)
_SIDE_WORDS = {"left": "right", "right": "left"}


@dataclass(frozen=True, slots=True)
class _Body:
    """A keep-out as it was drawn, in mm."""

    name: str
    item: KeepOutFile
    footprint: Any

    def holds(self, at: tuple[float, float], height_mm: float, space: str, by_mm: float = 0.0) -> bool:
        """Return whether a place lies inside, by at least so much."""
        low_mm, high_mm = self.item.heights or (-math.inf, math.inf)
        if self.item.heights is None and self.item.space != space:
            return False
        deep_mm = min(height_mm - low_mm, high_mm - height_mm)
        spot = ShapelyPoint(at)
        return bool(
            deep_mm > by_mm
            and shapely.contains(self.footprint, spot)
            and shapely.distance(self.footprint.boundary, spot) > by_mm
        )

    def away_mm(self, at: tuple[float, float], height_mm: float) -> float:
        """Return how far a place is from it."""
        low_mm, high_mm = self.item.heights or (height_mm, height_mm)
        aside_mm = float(shapely.distance(self.footprint, ShapelyPoint(at)))
        return math.hypot(aside_mm, max(low_mm - height_mm, height_mm - high_mm, 0.0))


@dataclass(frozen=True, slots=True)
class _Read:
    """One vehicle of a file, one variant chosen or none, its parts without faults."""

    vehicle: Vehicle
    mm_per_unit: float
    bodies: tuple[_Body, ...]

    def parts(self, section: str, model: type[_Item]) -> Iterator[tuple[Entry, _Item]]:
        """Yield the things of a section with what was read of them."""
        for entry in self.vehicle[section]:
            if isinstance(entry.item, model):
                yield entry, entry.item

    def point(self, point: Sequence[float]) -> tuple[float, float]:
        return point[0] * self.mm_per_unit, point[1] * self.mm_per_unit

    def points(self, points: Sequence[Sequence[float]]) -> list[tuple[float, float]]:
        return [self.point(point) for point in points]


def contradictions(document: Document, vehicle: Vehicle, mm_per_unit: float) -> Iterator[Fault]:
    """Yield a fault for each thing that cannot be beside the others; those with faults are passed over."""
    yield from _told(document, vehicle, mm_per_unit, (_posts, _ends_in_batteries, _stands, _panels))


def doubts(document: Document, mm_per_unit: float) -> Iterator[Fault]:
    """Yield what a person should look at in a file without faults, in whichever variant it shows."""
    file = item_or_none(ProfileFile, document.data)
    base = base_vehicle(document.data, file)
    seen: set[Fault] = set()
    vehicles = [base]
    for name, raw in document.data.get("variants", {}).items():
        vehicles.append(variant_vehicle(base, name, raw, file))
    for vehicle in vehicles:
        for fault in _told(
            document,
            vehicle,
            mm_per_unit,
            (_lost_posts, _names, _inside, _pierced, _filled, _unmeasured, _over_panels),
        ):
            if fault not in seen:
                seen.add(fault)
                yield fault


def _told(
    document: Document, vehicle: Vehicle, mm_per_unit: float, questions: Sequence[Callable[[_Read], Found]]
) -> Iterator[Fault]:
    read = _Read(vehicle, mm_per_unit, tuple(_bodies(vehicle, mm_per_unit)))
    for question in questions:
        for path, words in question(read):
            yield document.fault(path, words)


def _bodies(vehicle: Vehicle, mm_per_unit: float) -> Iterator[_Body]:
    read = _Read(vehicle, mm_per_unit, ())
    for entry, item in read.parts("keep-outs", KeepOutFile):
        footprint = _footprint(item, read)
        if entry.name is not None and footprint is not None and footprint.is_valid:
            yield _Body(entry.name, item, footprint)


def _footprint(item: KeepOutFile, read: _Read) -> Any:
    if item.area is not None:
        return Polygon(read.points(item.area))
    if item.disc is not None:
        return ShapelyPoint(read.point(item.disc.centre)).buffer(item.disc.radius)
    if item.along is not None and item.width is not None:
        return LineString(read.points(item.along)).buffer(item.width / 2)
    return None


# What cannot be


def _posts(read: _Read) -> Found:
    posts = [
        (entry, item)
        for entry, item in read.parts("terminals", TerminalFile)
        if item.kind is TerminalKind.BATTERY_POST and item.pole is not None
    ]
    for (one, first), (other, second) in combinations(posts, 2):
        apart_mm = math.dist((*read.point(first.at), first.height), (*read.point(second.at), second.height))
        if first.pole is not second.pole and apart_mm < SAME_POST_MM:
            words = f'is where the post of the other pole is, "{one.name}"; write where this one is'
            yield (*other.path, "at"), words


def _ends_in_batteries(read: _Read) -> Found:
    for entry, item in read.parts("terminals", TerminalFile):
        if item.kind is not TerminalKind.BATTERY_POST:
            continue
        at = read.point(item.at)
        for body in read.bodies:
            if body.item.hazard is Hazard.SOLID and body.holds(at, item.height, item.space, INSIDE_MM):
                words = f'is inside keep-out "{body.name}"; write where the cable leaves it, and how high'
                yield (*entry.path, "at"), words


def _stands(read: _Read) -> Found:
    bodies = {body.name: body for body in read.bodies}
    for entry, item in read.parts("terminals", TerminalFile):
        if item.stands_on is None:
            continue
        body = bodies.get(item.stands_on)
        if body is None:
            yield (
                (*entry.path, "stands-on"),
                f'unknown keep-out "{item.stands_on}"; write one of this file',
            )
        elif (away_mm := body.away_mm(read.point(item.at), item.height)) > STANDS_WITHIN_MM:
            words = f'"{body.name}" is {away_mm:.0f} mm away; check the place, or what it stands on'
            yield (*entry.path, "stands-on"), words


def _panels(read: _Read) -> Found:
    """Yield panels whose two spaces lie on the same side of them."""
    spaces = {entry.name: item for entry, item in read.parts("spaces", SpaceFile)}
    for entry, item in read.parts("panels", PanelFile):
        one, other = (spaces.get(name) for name in item.between)
        if one is None or other is None:
            continue
        if item.height is not None and (one.height < item.height) == (other.height < item.height):
            lies = "below" if one.height < item.height else "above"
            yield (*entry.path, "height"), f"looms of both its spaces lie {lies} it; check the heights"
        if item.along is not None:
            sides = {_side(read, item, Polygon(read.points(each.outline)).centroid) for each in (one, other)}
            if len(sides) == 1:
                yield (*entry.path, "along"), "both its spaces lie on one side of it; check its ends"


def _side(read: _Read, panel: PanelFile, spot: Any) -> bool:
    assert panel.along is not None
    (ax, ay), (bx, by) = read.points(panel.along)
    return bool((spot.y - ay) * (bx - ax) - (spot.x - ax) * (by - ay) > 0.0)


# What can hardly be meant


def _lost_posts(read: _Read) -> Found:
    solid = [body for body in read.bodies if body.item.hazard is Hazard.SOLID]
    for entry, item in read.parts("terminals", TerminalFile):
        if item.kind is not TerminalKind.BATTERY_POST:
            continue
        away_mm = min((body.away_mm(read.point(item.at), item.height) for body in solid), default=math.inf)
        if away_mm > STANDS_WITHIN_MM:
            words = f"no solid keep-out is within {STANDS_WITHIN_MM:g} mm of this post; add its battery"
            yield (*entry.path, "at"), words


def _names(read: _Read) -> Found:
    """Yield terminals whose names say the other side; a name is for the person, and decides nothing."""
    for entry, item in read.parts("terminals", TerminalFile):
        y_mm = read.point(item.at)[1]
        said = re.findall(r"\b(left|right)\b", (entry.name or "").casefold())
        if len(set(said)) == 1 and y_mm and (y_mm > 0.0) != (said[0] == "right"):
            words = f"is called {said[0]} and lies on the {_SIDE_WORDS[said[0]]}, y {item.at[1]:g}"
            yield (*entry.path, "at"), f"{words}; y goes to the vehicle's right"


def _inside(read: _Read) -> Found:
    for entry, item in read.parts("terminals", TerminalFile):
        at = read.point(item.at)
        for body in read.bodies:
            if body.holds(at, item.height, item.space, INSIDE_MM):
                words = f'is inside keep-out "{body.name}", so that no loom can end there; put it outside'
                yield (*entry.path, "at"), words


def _pierced(read: _Read) -> Found:
    for entry, item in read.parts("supports", SupportFile):
        if item.fix is Fix.NEVER:
            continue
        heights = item.heights or [_height(read, item)] * len(item.along)
        ends = zip(read.points(item.along), heights, strict=True)
        for (start, from_mm), (end, to_mm) in pairwise(ends):
            for body in read.bodies:
                if _goes_through(body, item.space, (start, from_mm), (end, to_mm)):
                    words = f'goes through keep-out "{body.name}"; nothing is fixed there. Check both places'
                    yield (*entry.path, "along"), words


def _height(read: _Read, item: SupportFile) -> float:
    if item.height is not None:
        return item.height
    return next(
        (space.height for entry, space in read.parts("spaces", SpaceFile) if entry.name == item.space), 0.0
    )


def _goes_through(
    body: _Body, space: str, start: tuple[tuple[float, float], float], end: tuple[tuple[float, float], float]
) -> bool:
    if body.item.heights is None and body.item.space != space:
        return False
    line = LineString([start[0], end[0]])
    inside = shapely.intersection(line, body.footprint)
    if inside.length <= INSIDE_MM:
        return False
    low_mm, high_mm = body.item.heights or (-math.inf, math.inf)
    shares = [line.project(ShapelyPoint(each), normalized=True) for each in shapely.get_coordinates(inside)]
    heights = [start[1] + share * (end[1] - start[1]) for share in (min(shares), max(shares))]
    return bool(max(heights) > low_mm + INSIDE_MM and min(heights) < high_mm - INSIDE_MM)


def _filled(read: _Read) -> Found:
    """Yield keep-outs that by themselves leave nothing of a space at the height at which looms lie."""
    for _, space in (found := list(read.parts("spaces", SpaceFile))):
        outline = Polygon(read.points(space.outline))
        name = next(entry.name for entry, item in found if item is space)
        for body in read.bodies:
            low_mm, high_mm = body.item.heights or (-math.inf, math.inf)
            is_here = body.item.heights is not None or body.item.space == name
            if is_here and low_mm < space.height < high_mm and body.footprint.covers(outline):
                entry = next(e for e, item in read.parts("keep-outs", KeepOutFile) if item is body.item)
                words = f'leaves nothing of space "{name}" at {space.height:g} mm, where its looms lie'
                yield entry.path, f"{words}; write only as far as it was measured"


def _unmeasured(read: _Read) -> Found:
    if read.vehicle["panels"]:
        return  # such an opening is refused
    for entry, item in read.parts("openings", OpeningFile):
        if item.height is None:
            words = "has no height, so half-way between those of its spaces stands for it; write height, or"
            yield entry.path, f"{words} the panels that it goes through"


def _over_panels(read: _Read) -> Found:
    """Yield supports that lie beyond a level panel of their space, where it is."""
    spaces = {entry.name: item for entry, item in read.parts("spaces", SpaceFile)}
    for entry, item in read.parts("supports", SupportFile):
        space = spaces.get(item.space)
        for other, panel in read.parts("panels", PanelFile):
            if space is None or panel.height is None or item.space not in panel.between:
                continue
            is_below = space.height < panel.height
            heights = _heights_inside(read, item, panel.area)
            if any((height > panel.height) == is_below and height != panel.height for height in heights):
                words = f'lies beyond panel "{other.name}" of its space, at {panel.height:g} mm'
                yield entry.path, f"{words}; check its space and its height"


def _heights_inside(
    read: _Read, item: SupportFile, area: list[tuple[float, float]] | None
) -> Iterator[float]:
    """Yield the heights that a support reaches inside an area, or anywhere: where its pieces end there."""
    heights = item.heights or [_height(read, item)] * len(item.along)
    if area is None:
        yield from heights
        return
    ends = zip(read.points(item.along), heights, strict=True)
    for (start, from_mm), (end, to_mm) in pairwise(ends):
        line = LineString([start, end])
        for place in shapely.get_coordinates(shapely.intersection(line, Polygon(read.points(area)))):
            share = line.project(ShapelyPoint(place), normalized=True)
            yield from_mm + share * (to_mm - from_mm)


_DOUBTS = (_lost_posts, _names, _inside, _pierced, _filled, _unmeasured, _over_panels)
