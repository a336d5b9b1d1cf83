"""The parts of a vehicle as they were written and without faults, asked where each lies."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias, TypeVar

import shapely
from shapely import LineString, Polygon
from shapely import Point as ShapelyPoint

from router.errors import Fault
from router.reading.profile.profile_file import KeepOutFile
from router.reading.profile.vehicles import Entry, Vehicle
from router.reading.yaml.documents import Document
from router.reading.yaml.fields import FileModel
from router.reading.yaml.wording import Path

STANDS_WITHIN_MM = 300.0
"""A battery post stands no further than this from its battery, nor any terminal from what it is on: a cable
leaves a post at once (common practice, no source)."""
INSIDE_MM = 1.0
"""What is less deep inside a body than this lies on its skin."""

Found: TypeAlias = Iterator[tuple[Path, str]]
_Item = TypeVar("_Item", bound=FileModel)


@dataclass(frozen=True, slots=True)
class Body:
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
class MeasuredVehicle:
    """One vehicle of a file, one variant chosen or none, its parts without faults."""

    vehicle: Vehicle
    mm_per_unit: float
    bodies: tuple[Body, ...]

    def parts(self, section: str, model: type[_Item]) -> Iterator[tuple[Entry, _Item]]:
        """Yield the things of a section with what was read of them."""
        for entry in self.vehicle[section]:
            if isinstance(entry.item, model):
                yield entry, entry.item

    def point(self, point: Sequence[float]) -> tuple[float, float]:
        """Return a point of the file in mm."""
        return point[0] * self.mm_per_unit, point[1] * self.mm_per_unit

    def points(self, points: Sequence[Sequence[float]]) -> list[tuple[float, float]]:
        """Return points of the file in mm."""
        return [self.point(point) for point in points]


def faults_found(
    document: Document,
    vehicle: Vehicle,
    mm_per_unit: float,
    questions: Sequence[Callable[[MeasuredVehicle], Found]],
) -> Iterator[Fault]:
    """Yield a fault for each thing that one of the questions finds in a vehicle.

    Parameters
    ----------
    document : Document
    vehicle : Vehicle
        Things with faults are passed over.
    mm_per_unit : float
        Of plain numbers in the file.
    questions : sequence of callable
        Each yields paths in the file, and what is wrong there.
    """
    read = MeasuredVehicle(vehicle, mm_per_unit, tuple(_bodies(vehicle, mm_per_unit)))
    for question in questions:
        for path, words in question(read):
            yield document.fault(path, words)


def _bodies(vehicle: Vehicle, mm_per_unit: float) -> Iterator[Body]:
    read = MeasuredVehicle(vehicle, mm_per_unit, ())
    for entry, item in read.parts("keep-outs", KeepOutFile):
        footprint = _footprint(item, read)
        if entry.name is not None and footprint is not None and footprint.is_valid:
            yield Body(entry.name, item, footprint)


def _footprint(item: KeepOutFile, read: MeasuredVehicle) -> Any:
    if item.area is not None:
        return Polygon(read.points(item.area))
    if item.disc is not None:
        return ShapelyPoint(read.point(item.disc.centre)).buffer(item.disc.radius)
    if item.along is not None and item.width is not None:
        return LineString(read.points(item.along)).buffer(item.width / 2)
    return None
