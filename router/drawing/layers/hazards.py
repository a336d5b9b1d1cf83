"""Keep-outs on paper: a hatch, a letter and a colour for each hazard, so that a grey copy says as much.

Colours are the colour-blind-safe ones of Okabe and Ito, with dark outlines. Hatches are drawn line by line,
since many programs drop SVG patterns.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from router.drawing.paper import inks
from router.drawing.paper.frame import Frame
from router.drawing.paper.pen import Ink, PaperPoint, PaperSegment, Pen
from router.facts import core_of
from router.model.vehicle import Hazard, KeepOut, Shape

ARC_STEPS = 8  # of a quarter circle: 0.5 % of the radius, below the width of the line
LEAST_HATCHED_MM = 1.0  # a thinner shape is only filled
FILL_SHARE = 0.30


@dataclass(frozen=True, slots=True)
class HazardStyle:
    """How a hazard is drawn: colour, outline, and hatch lines by angle from the horizontal and gap."""

    colour: str
    outline: str
    hatches: tuple[tuple[float, float], ...]
    dash: tuple[float, ...] = ()


HAZARD_STYLES: Mapping[Hazard, HazardStyle] = MappingProxyType(
    {
        Hazard.HOT: HazardStyle("#D55E00", "#8a3c00", ((45, 1.5),)),
        Hazard.MOVING: HazardStyle("#0072B2", "#00466e", ((45, 2.2), (135, 2.2))),
        Hazard.FUEL: HazardStyle("#E69F00", "#6b4a00", ((0, 1.3),)),
        Hazard.BRAKE: HazardStyle("#CC79A7", "#7a2f58", ((90, 1.3),)),
        Hazard.SHARP: HazardStyle("#999999", "#333333", ((135, 0.8),)),
        Hazard.LIFTING: HazardStyle("#F0E442", "#5c5600", ((0, 1.6), (90, 1.6))),
        Hazard.HIGH_VOLTAGE: HazardStyle("#E69F00", "#8a3c00", ((60, 1.1),), (1.6, 0.6)),
        Hazard.AIRBAG: HazardStyle("#009E73", "#00563f", ((135, 1.7),), (1.0, 0.6)),
        Hazard.SOLID: HazardStyle("#bbbbbb", "#444444", ((150, 2.0),)),
    }
)


def outline_of(shape: Shape, frame: Frame, grown_mm: float = 0.0) -> BaseGeometry:
    """Return a place on paper, grown by a distance on the vehicle. [mm]"""
    by = shape.reach_mm + grown_mm
    core = core_of(shape)
    grown = core.buffer(by, quad_segs=ARC_STEPS) if by > 0 else core
    return on_paper(grown, frame)


def on_paper(geometry: BaseGeometry, frame: Frame) -> BaseGeometry:
    """Return a geometry of the vehicle's mm as it lies on the paper."""
    return shapely.transform(geometry, frame.array_at)


def rings_of(geometry: BaseGeometry) -> list[list[PaperPoint]]:
    """Return every ring of one polygon or several."""
    polygons = [part for part in getattr(geometry, "geoms", [geometry]) if isinstance(part, Polygon)]
    return [list(ring.coords) for part in polygons for ring in (part.exterior, *part.interiors)]


def has_room(geometry: BaseGeometry, radius_mm: float) -> bool:
    """Return whether a circle finds room inside a geometry."""
    if geometry.area > radius_mm * geometry.length:  # whatever its form; saves most of the next question
        return True
    return not geometry.buffer(-radius_mm).is_empty


def hatch(geometry: BaseGeometry, angle_deg: float, gap_mm: float) -> list[PaperSegment]:
    """Return the pieces of parallel lines inside a geometry.

    The lines of one angle and gap belong to the paper, not to the shape, so that neighbours' hatches agree.
    """
    turn = math.radians(angle_deg)
    along, across = (math.cos(turn), -math.sin(turn)), (math.sin(turn), math.cos(turn))
    corners = list(shapely.get_coordinates(shapely.envelope(geometry)))
    far = [x * along[0] + y * along[1] for x, y in corners]
    side = [x * across[0] + y * across[1] for x, y in corners]
    lines = []
    for step in range(math.ceil(min(side) / gap_mm), math.floor(max(side) / gap_mm) + 1):
        base = (across[0] * step * gap_mm, across[1] * step * gap_mm)
        lines.append([(base[0] + along[0] * end, base[1] + along[1] * end) for end in (min(far), max(far))])
    return _pieces(shapely.intersection(shapely.multilinestrings(lines), geometry)) if lines else []


def draw_hazard(pen: Pen, geometry: BaseGeometry, hazard: Hazard, *, is_assumed: bool = False) -> None:
    """Draw one place on paper in the manner of its hazard, and of what nobody measured yet."""
    style, rings = HAZARD_STYLES[hazard], rings_of(geometry)
    pen.rings(rings, Ink(fill=style.colour, fill_opacity=FILL_SHARE))
    if has_room(geometry, LEAST_HATCHED_MM / 2):
        for angle, gap in style.hatches:
            pen.segments(hatch(geometry, angle, gap), Ink(style.outline, 0.18, dash=style.dash))
    outline = Ink(style.outline, 0.3)
    pen.rings(rings, inks.as_assumed(outline) if is_assumed else outline)


def draw_keep_out(pen: Pen, keep_out: KeepOut, tag: str, outline: BaseGeometry) -> None:
    """Draw a keep-out by its outline on paper, in a group with its tag, name and hazard."""
    shield = ", shielded" if keep_out.is_shielded else ""
    assumed = f", {assumed_words(keep_out)}" if keep_out.assumed_mm is not None else ""
    title = f"{tag} {keep_out.name}: {keep_out.hazard}{shield}{assumed}"
    with pen.group(f"keep-out {tag} {keep_out.name}", title):
        draw_hazard(pen, outline, keep_out.hazard, is_assumed=keep_out.assumed_mm is not None)


def assumed_words(keep_out: KeepOut) -> str:
    """Return how far off a keep-out may be that nobody measured yet."""
    return f"assumed to {keep_out.assumed_mm:.0f} mm"


def clearance_outline(
    keep_out: KeepOut, required_mm: float, loom_diameter_mm: float, height_mm: float, frame: Frame
) -> BaseGeometry | None:
    """Return the line that the middle of a loom at this height may not cross, or None where it passes free.

    With a vertical gap g between loom and keep-out, a distance c in space leaves sqrt(c^2 - g^2) in plan.
    """
    radius = loom_diameter_mm / 2
    gap = 0.0
    if keep_out.heights_mm:
        low, high = keep_out.heights_mm
        gap = max(0.0, low - (height_mm + radius), (height_mm - radius) - high)
    if gap >= required_mm:
        return None
    return outline_of(keep_out.shape, frame, radius + math.sqrt(required_mm**2 - gap**2))


def _pieces(geometry: BaseGeometry) -> list[PaperSegment]:
    parts = shapely.get_parts(geometry)
    lines = parts[(shapely.get_type_id(parts) == shapely.GeometryType.LINESTRING) & ~shapely.is_empty(parts)]
    ends = (shapely.get_coordinates(shapely.get_point(lines, index)).tolist() for index in (0, -1))
    return [((ax, ay), (bx, by)) for (ax, ay), (bx, by) in zip(*ends, strict=True)]
