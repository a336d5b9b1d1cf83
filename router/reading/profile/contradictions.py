"""What in a vehicle cannot be, though every part by itself can; it is refused."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations
from typing import Any

from shapely import Polygon

from router.errors import Fault
from router.model.vehicle import Hazard, TerminalKind
from router.reading.profile.measured_vehicle import (
    INSIDE_MM,
    STANDS_WITHIN_MM,
    Found,
    MeasuredVehicle,
    faults_found,
)
from router.reading.profile.profile_file import PanelFile, SpaceFile, TerminalFile
from router.reading.profile.shapes import unit_faults
from router.reading.profile.vehicles import Vehicle
from router.reading.yaml.documents import Document

SAME_POST_MM = 5.0
"""No two posts of a battery stand nearer than this: a post is thicker."""


def contradictions(document: Document, vehicle: Vehicle, mm_per_unit: float) -> Iterator[Fault]:
    """Yield a fault for each thing that cannot be beside the others; those with faults are passed over."""
    yield from faults_found(
        document, vehicle, mm_per_unit, (_posts, _units, _ends_in_batteries, _stands, _panels)
    )


def _posts(read: MeasuredVehicle) -> Found:
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


def _units(read: MeasuredVehicle) -> Found:
    terminals = [(entry.path, item) for entry, item in read.parts("terminals", TerminalFile)]
    yield from unit_faults(terminals)


def _ends_in_batteries(read: MeasuredVehicle) -> Found:
    for entry, item in read.parts("terminals", TerminalFile):
        if item.kind is not TerminalKind.BATTERY_POST:
            continue
        at = read.point(item.at)
        for body in read.bodies:
            if body.item.hazard is Hazard.SOLID and body.holds(at, item.height, item.space, INSIDE_MM):
                words = f'is inside keep-out "{body.name}"; write where the cable leaves it, and how high'
                yield (*entry.path, "at"), words


def _stands(read: MeasuredVehicle) -> Found:
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


def _panels(read: MeasuredVehicle) -> Found:
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


def _side(read: MeasuredVehicle, panel: PanelFile, spot: Any) -> bool:
    assert panel.along is not None
    (ax, ay), (bx, by) = read.points(panel.along)
    return bool((spot.y - ay) * (bx - ax) - (spot.x - ax) * (by - ay) > 0.0)
