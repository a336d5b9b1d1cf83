"""Where a run passes hot things near enough for a heat sleeve."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from router.facts import acting_in, clearances_of, core_of, positions_at
from router.model.plan import HeatSleeve, Route
from router.model.practice import Practice
from router.model.vehicle import Hazard, KeepOut, Profile
from router.plane import distances_to

STEP_MM = 5.0
"""Distance of the stations that are looked at; a sleeve reaches one step beyond the last hot one."""


def heat_sleeves(
    route: Route, profile: Profile, practice: Practice, loom_diameter_mm: float
) -> tuple[HeatSleeve, ...]:
    """Return the stretches of a run that need a heat sleeve, by station, none over another.

    A place is hot where the outside of the loom is nearer in space to a hot keep-out than its clearance
    (with the measuring tolerance) and practice "heat sleeve: within" together. Each stretch is made longer
    by practice "heat sleeve: margin" at both ends. Two stretches at one keep-out with no more than two
    margins between them are one; at another keep-out a sleeve begins where the one before ends.

    Parameters
    ----------
    route : Route
        The route of the run.
    profile : Profile
        The vehicle, for its hot keep-outs and measuring tolerance.
    practice : Practice
        Groups "clearance" and "heat sleeve".
    loom_diameter_mm : float
        Outside of the loom. [mm]
    """
    count = max(1, math.ceil(route.routed_mm / STEP_MM))
    stations = tuple(route.routed_mm * number / count for number in range(count + 1))
    positions = positions_at(route, stations)
    spaces = np.array([position.space for position in positions])
    xyz = np.array([(position.x_mm, position.y_mm, position.z_mm) for position in positions])
    margin_mm = practice.value("heat sleeve", "margin") + route.routed_mm / count
    clearances, found = clearances_of(profile, practice), []
    for keep_out in (keep_out for keep_out in profile.keep_outs if keep_out.hazard is Hazard.HOT):
        required_mm = clearances[keep_out.name].required_mm
        limit_mm = required_mm + practice.value("heat sleeve", "within")
        near = _gaps(keep_out, xyz, loom_diameter_mm / 2) < limit_mm
        open_to = [name for name in dict.fromkeys(spaces) if keep_out in acting_in(profile, name)]
        hot = [s for s, is_hot in zip(stations, near & np.isin(spaces, open_to), strict=True) if is_hot]
        found += [(from_mm, to_mm, keep_out.name) for from_mm, to_mm in _joined(hot, margin_mm)]
    return _side_by_side(route, found)


def _gaps(keep_out: KeepOut, xyz: Any, radius_mm: float) -> Any:
    """Return the distance in space from the outside of the loom to a keep-out, place by place."""
    core = core_of(keep_out.shape)
    in_plan = np.maximum(0.0, distances_to(core, xyz[:, 0], xyz[:, 1]) - keep_out.shape.reach_mm - radius_mm)
    if keep_out.heights_mm is None:
        return in_plan
    low_mm, high_mm = keep_out.heights_mm
    z = xyz[:, 2]
    upright = np.maximum(0.0, np.maximum(low_mm - (z + radius_mm), (z - radius_mm) - high_mm))
    return np.hypot(in_plan, upright)


def _joined(hot_mm: list[float], margin_mm: float) -> list[tuple[float, float]]:
    """Return stretches round hot stations, longer by the margin at both ends, near ones joined."""
    stretches: list[tuple[float, float]] = []
    for station_mm in hot_mm:
        if stretches and station_mm - 3 * margin_mm <= stretches[-1][1]:
            stretches[-1] = (stretches[-1][0], station_mm + margin_mm)
        else:
            stretches.append((station_mm - margin_mm, station_mm + margin_mm))
    return stretches


def _side_by_side(route: Route, found: list[tuple[float, float, str]]) -> tuple[HeatSleeve, ...]:
    """Return the sleeves in order, inside the run, each beginning no earlier than the one before ends."""
    sleeves = []
    covered_mm = 0.0
    for from_mm, to_mm, keep_out in sorted(found, key=lambda each: each[:2]):
        start_mm, end_mm = max(from_mm, covered_mm), min(to_mm, route.routed_mm)
        if start_mm < end_mm:
            sleeves.append(HeatSleeve(route.run, start_mm, end_mm, keep_out))
            covered_mm = end_mm
    return tuple(sleeves)
