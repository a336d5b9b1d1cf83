"""How points on paper map back to the vehicle, for programs that read what was drawn on a map.

A map's `<metadata>` holds one JSON object, format `map/1`: the paper, and for every space drawn its view:

    vehicle x = (paper x - origin_mm[0]) * scale
    vehicle y = (paper y - origin_mm[1]) * scale * y_sense

Paper x and y are the SVG's own units, mm from its upper left corner; `y_sense` is 1 where the map is seen
from below and -1 where it is seen from above. `box_mm` is the outline's box on paper (x, y, width, height).
In a map with tiles, `tiles` says the same for each tile and space, and where its window lies. A blank map
has a group for each space, named in `draw_in`, for the lines that are drawn there by hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from router.drawing.layers.vehicle_layer import View
from router.drawing.paper.frame import Box, Frame, SeenFrom
from router.drawing.paper.pen import Pen
from router.drawing.sheets.details import Detail, detail_box, detail_frame
from router.drawing.sheets.layout import Request
from router.drawing.sheets.tiles import Tiling
from router.facts import slug
from router.model.vehicle import Point, Space

FORMAT = "map/1"
DECIMALS = 4  # of a millimetre of paper: at 1:200 still 0.02 mm of the vehicle


def geometry_data(
    request: Request,
    view: View,
    details: Sequence[Detail],
    details_box: Box | None,
    tiling: Tiling | None = None,
    tile_boxes: Sequence[Box] = (),
) -> dict[str, Any]:
    """Return the transforms from paper to vehicle as plain data: of spaces, details and tiles."""
    spaces = [space for space in request.profile.spaces if view.shows(space.name)]
    data = {**_heading(request), "views": _views(spaces, view, is_blank=request.is_blank)}
    if details_box and not request.is_blank:
        data["details"] = _details(details, details_box, view)
    if tiling:
        data["tiles"] = _tiles(spaces, tiling, tile_boxes, is_blank=request.is_blank)
    return data


def _heading(request: Request) -> dict[str, Any]:
    profile, plan, paper = request.profile, request.plan, request.paper
    return {
        "format": FORMAT,
        "unit": "mm",
        "profile": {"name": profile.name, "revision": profile.revision, "variant": profile.variant},
        "job": plan.job.name if plan else None,
        "plan": request.number or None,
        "seen_from": str(request.seen_from),
        "paper": {"name": paper.name, "sheet_mm": [paper.width_mm, paper.height_mm]},
        "is_blank": request.is_blank,
    }


def _views(spaces: Sequence[Space], view: View, *, is_blank: bool) -> list[dict[str, Any]]:
    return [
        {
            "space": space.name,
            **({"draw_in": draw_group_id(space.name)} if is_blank else {}),
            **_transform(view.frame(space.name)),
            "box_mm": _box_mm(view.frame(space.name).all_at(space.outline)),
        }
        for space in spaces
    ]


def _details(details: Sequence[Detail], details_box: Box, view: View) -> list[dict[str, Any]]:
    return [
        {
            "detail": detail.letter,
            "space": detail.space,
            **_transform(detail_frame(detail, detail_box(details_box, number), view)),
            "box_mm": _corners_mm(detail_box(details_box, number)),
        }
        for number, detail in enumerate(details)
    ]


def _tiles(
    spaces: Sequence[Space], tiling: Tiling, tile_boxes: Sequence[Box], *, is_blank: bool
) -> list[dict[str, Any]]:
    return [
        {
            "tile": tile.name,
            "space": space.name,
            **({"draw_in": draw_group_id(space.name, tile.name)} if is_blank else {}),
            **_transform(_shifted(tiling.frames[space.name], tile.window, box)),
            "window_mm": _corners_mm(box),
        }
        for tile, box in zip(tiling.tiles, tile_boxes, strict=True)
        for space in spaces
    ]


def draw_group_id(space: str, tile: str = "") -> str:
    """Return the id of the group in which a route through a space is drawn by hand."""
    return slug(f"draw {space} {tile}")


def draw_empty_groups(pen: Pen, view: View, tile: str = "") -> None:
    """Leave an empty group for every space on top of everything, for lines that are drawn by hand."""
    for space in view.profile.spaces:
        if view.shows(space.name):
            name = f"draw {space.name} {tile}"
            with pen.group(name, f"Draw what runs through {space.name} in this group"):
                pass


def _shifted(frame: Frame, window: Box, box: Box) -> Frame:
    """Return the frame of a tile: what lies in its window on the large sheet lies in its box on paper."""
    x, y = frame.origin
    return replace(frame, origin=(x + box.x - window.x, y + box.y - window.y))


def _transform(frame: Frame) -> dict[str, Any]:
    return {
        "origin_mm": [round(value, DECIMALS) for value in frame.origin],
        "scale": round(frame.scale, DECIMALS),
        "y_sense": 1 if frame.seen_from is SeenFrom.BELOW else -1,
    }


def _box_mm(points: Sequence[Point]) -> list[float]:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return _corners_mm(Box(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)))


def _corners_mm(box: Box) -> list[float]:
    return [round(value, DECIMALS) for value in (box.x, box.y, box.width, box.height)]
