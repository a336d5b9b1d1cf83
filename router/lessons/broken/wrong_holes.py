"""Holes where none may be made: into a panel that is never drilled, or towards what lies behind it. mm."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

from shapely import LineString, Point, Polygon

from router.facts import Position, core_of
from router.lessons.broken.editing import a_p_clip, numbered
from router.lessons.broken.good_runs import Broken, GoodRun, is_passed_at, places_along
from router.model.plan import FindingKind
from router.model.vehicle import Drill, KeepOut, Panel

WELL_WITHIN_MM = 0.1
"""How much nearer to a body a hole is than it may be, or a loom to a panel than it need be."""


def drilled_towards_a_body(good: GoodRun, rng: Random) -> Broken | None:
    """Screw the loom to a floor above or below a tank or a battery, or to one that may not be drilled."""
    for station_mm, place in places_along(good.drawn.route, rng):
        if is_passed_at(good.drawn.route, station_mm):
            continue
        panels = [panel for panel in good.profile.panels if _is_in_reach(panel, place, good)]
        if len(panels) == 1 and _is_wrong(panels[0], place, good):
            fixings = numbered((*good.drawn.fixings, a_p_clip(good.drawn.route, station_mm)))
            drawn = replace(good.drawn, fixings=fixings)
            return Broken(FindingKind.DRILLED_HOLE, drawn, station_mm, station_mm)
    return None


def _is_in_reach(panel: Panel, place: Position, good: GoodRun) -> bool:
    """Return whether a panel may hold a loom at a place."""
    if place.space not in panel.between:
        return False
    within_mm = good.practice.value("fixing", "reach") + good.loom_diameter_mm / 2
    spot = Point(place.x_mm, place.y_mm)
    if panel.along is not None:
        return bool(LineString(panel.along).distance(spot) <= within_mm + WELL_WITHIN_MM)
    assert panel.height_mm is not None
    ahead_mm = _ahead(panel, place, good) * (panel.height_mm - place.z_mm)
    areas = [panel.area] if panel.area else [good.profile.space(name).outline for name in panel.between]
    is_there = all(Polygon(area).covers(spot) for area in areas)
    return is_there and 0.0 <= ahead_mm <= within_mm - WELL_WITHIN_MM


def _ahead(panel: Panel, place: Position, good: GoodRun) -> float:
    """Return 1 where a floor is above the looms of a place's space, -1 where it is below them."""
    assert panel.height_mm is not None
    return 1.0 if good.profile.space(place.space).height_mm < panel.height_mm else -1.0


def _is_wrong(panel: Panel, place: Position, good: GoodRun) -> bool:
    if panel.height_mm is None:
        return False
    is_never = panel.drill is Drill.NEVER
    return is_never or any(_is_hit(body, panel, place, good) for body in good.profile.keep_outs)


def _is_hit(body: KeepOut, panel: Panel, place: Position, good: GoodRun) -> bool:
    """Return whether drill or screw come nearer to a body than its clearance."""
    assert panel.height_mm is not None
    tip_mm = panel.height_mm + _ahead(panel, place, good) * good.practice.value("hole", "reach")
    bottom_mm, top_mm = sorted((panel.height_mm, tip_mm))
    low_mm, high_mm = body.heights_mm or (-math.inf, math.inf)
    beside_mm = max(0.0, core_of(body.shape).distance(Point(place.x_mm, place.y_mm)) - body.shape.reach_mm)
    away_mm = math.hypot(beside_mm, max(0.0, low_mm - top_mm, bottom_mm - high_mm))
    away_mm -= good.practice.value("hole", panel.screw.hole_key) / 2
    return away_mm < good.clearance_mm(body) - WELL_WITHIN_MM
