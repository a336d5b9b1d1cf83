"""What in a vehicle can hardly be meant: it is advised of, for a person to look at.

It is not refused: a body may be drawn with its whole travel, and a support may lie where no loom ever goes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from functools import partial
from itertools import pairwise

import shapely
from shapely import LineString, Polygon
from shapely import Point as ShapelyPoint

from router.errors import Fault
from router.model.vehicle import Fix, Hazard, TerminalKind
from router.reading.profile.measured_vehicle import (
    INSIDE_MM,
    STANDS_WITHIN_MM,
    Body,
    Found,
    MeasuredVehicle,
    faults_found,
)
from router.reading.profile.profile_file import (
    SECTIONS,
    KeepOutFile,
    OpeningFile,
    PanelFile,
    ProfileFile,
    SpaceFile,
    SupportFile,
    TerminalFile,
)
from router.reading.profile.vehicles import base_vehicle, variant_vehicle
from router.reading.yaml.documents import Document
from router.reading.yaml.fields import FileModel
from router.reading.yaml.structure import item_or_none
from router.reading.yaml.wording import Path

_SIDE_WORDS = {"left": "right", "right": "left"}


def doubts(document: Document, mm_per_unit: float) -> Iterator[Fault]:
    """Yield what a person should look at in a file without faults, in whichever variant it shows."""
    file = item_or_none(ProfileFile, document.data)
    base = base_vehicle(document.data, file)
    seen: set[Fault] = set()
    questions: list[Callable[[MeasuredVehicle], Found]] = [
        *(_lost_posts, _names, _inside, _pierced, _filled, _unmeasured, _over_panels)
    ]
    if file is not None:
        questions.append(partial(_assumed_well, file.measured.tolerance))
    vehicles = [base]
    for name, raw in document.data.get("variants", {}).items():
        vehicles.append(variant_vehicle(base, name, raw, file))
    for vehicle in vehicles:
        for fault in faults_found(document, vehicle, mm_per_unit, questions):
            if fault not in seen:
                seen.add(fault)
                yield fault


def _lost_posts(read: MeasuredVehicle) -> Found:
    solid = [body for body in read.bodies if body.item.hazard is Hazard.SOLID]
    for entry, item in read.parts("terminals", TerminalFile):
        if item.kind is not TerminalKind.BATTERY_POST:
            continue
        away_mm = min((body.away_mm(read.point(item.at), item.height) for body in solid), default=math.inf)
        if away_mm > STANDS_WITHIN_MM:
            words = f"no solid keep-out is within {STANDS_WITHIN_MM:g} mm of this post; add its battery"
            yield (*entry.path, "at"), words


def _names(read: MeasuredVehicle) -> Found:
    """Yield terminals whose names say the other side; a name is for the person, and decides nothing."""
    for entry, item in read.parts("terminals", TerminalFile):
        y_mm = read.point(item.at)[1]
        said = re.findall(r"\b(left|right)\b", (entry.name or "").casefold())
        if len(set(said)) == 1 and y_mm and (y_mm > 0.0) != (said[0] == "right"):
            words = f"is called {said[0]} and lies on the {_SIDE_WORDS[said[0]]}, y {item.at[1]:g}"
            yield (*entry.path, "at"), f"{words}; y goes to the vehicle's right"


def _inside(read: MeasuredVehicle) -> Found:
    for entry, item in read.parts("terminals", TerminalFile):
        at = read.point(item.at)
        for body in read.bodies:
            if body.holds(at, item.height, item.space, INSIDE_MM):
                words = f'is inside keep-out "{body.name}", so that no loom can end there; put it outside'
                yield (*entry.path, "at"), words


def _pierced(read: MeasuredVehicle) -> Found:
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


def _height(read: MeasuredVehicle, item: SupportFile) -> float:
    if item.height is not None:
        return item.height
    return next(
        (space.height for entry, space in read.parts("spaces", SpaceFile) if entry.name == item.space), 0.0
    )


def _goes_through(
    body: Body, space: str, start: tuple[tuple[float, float], float], end: tuple[tuple[float, float], float]
) -> bool:
    if body.item.heights is None and body.item.space != space:
        return False
    low_mm, high_mm = body.item.heights or (-math.inf, math.inf)
    if max(start[1], end[1]) <= low_mm + INSIDE_MM or min(start[1], end[1]) >= high_mm - INSIDE_MM:
        return False
    line = LineString([start[0], end[0]])
    inside = shapely.intersection(line, body.footprint)
    if inside.length <= INSIDE_MM:
        return False
    shares = [line.project(ShapelyPoint(each), normalized=True) for each in shapely.get_coordinates(inside)]
    heights = [start[1] + share * (end[1] - start[1]) for share in (min(shares), max(shares))]
    return bool(max(heights) > low_mm + INSIDE_MM and min(heights) < high_mm - INSIDE_MM)


def _filled(read: MeasuredVehicle) -> Found:
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


def _unmeasured(read: MeasuredVehicle) -> Found:
    if read.vehicle["panels"]:
        return  # such an opening is refused
    for entry, item in read.parts("openings", OpeningFile):
        if item.height is None:
            words = "has no height, so half-way between those of its spaces stands for it; write height, or"
            yield entry.path, f"{words} the panels that it goes through"


def _over_panels(read: MeasuredVehicle) -> Found:
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


def _assumed_well(tolerance_mm: float, read: MeasuredVehicle) -> Found:
    """Yield what is assumed to less than the profile's tolerance, which then stands all the same."""
    for section, model in SECTIONS.items():
        for entry, item in read.parts(section, model):
            for inner, each in ((), item), *_parts_within(item):
                assumed_mm = getattr(each, "assumed", None)
                if assumed_mm is not None and assumed_mm < tolerance_mm:
                    words = (
                        f"is assumed to {assumed_mm:g} mm, less than the {tolerance_mm:g} mm that what was"
                    )
                    what = f"{words} measured is good for, which stands; leave it out, or write more"
                    yield (*entry.path, *inner, "assumed"), what


def _parts_within(item: FileModel) -> Iterator[tuple[Path, FileModel]]:
    for key in ("steps", "passes"):
        for index, each in enumerate(getattr(item, key, ())):
            yield (key, index), each


def _heights_inside(
    read: MeasuredVehicle, item: SupportFile, area: list[tuple[float, float]] | None
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
