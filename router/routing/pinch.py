"""Why there is no way: the widest way there is, where it is pinched, and what it would need."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import shapely

from router.errors import NoRouteError
from router.model.job import Run
from router.routing.search import Ask, Ground, Way, find_way
from router.routing.sheets import (
    Need,
    blocked_each,
    core_of,
    make_world,
    opening_fits,
    plan_reach_mm,
    required_clearance,
)

STEPS = 7
"""Halvings of the share of clearance: the widest way is known to 1/128."""
NOTHING = 1e-3
"""A share of clearance that is as good as none."""
ACROSS_MM = 3000.0
"""How far to look for what stands across a pinch."""
COARSE_MM = 1000.0
"""Longest piece of a border without a vertex, where only whether there is a way counts."""


def explain_end(need: Need, run: Run) -> str | None:
    """Return why a run cannot even leave one of its terminals, or None where it can."""
    for name in (run.start, run.end):
        terminal = need.profile.terminal(name)
        space = need.profile.space(terminal.space)
        low_mm, high_mm = sorted((space.height_mm, terminal.height_mm))
        point = shapely.Point(terminal.at)
        for keep_out, area in blocked_each(need, space.name, low_mm, high_mm, point):
            if area.intersects(point):
                return _end_text(need, run, name, keep_out.name)
    return None


def _end_text(need: Need, run: Run, terminal: str, keep_out_name: str) -> str:
    keep_out = need.profile.keep_out(keep_out_name)
    required_mm, rule = required_clearance(keep_out, need.practice, need.profile.tolerance_mm)
    at = need.profile.terminal(terminal).at
    plan_mm = core_of(keep_out.shape).distance(shapely.Point(at)) - keep_out.shape.reach_mm - need.radius_mm
    why = f"rule {rule.name}" if rule else "its own clearance"
    return (
        f'run "{run.name}": terminal "{terminal}" lies {max(0.0, plan_mm):.0f} mm in plan from keep-out '
        f'"{keep_out_name}" ({keep_out.hazard.value}), which needs {required_mm:.0f} mm with the measuring '
        f"tolerance ({why}); no cable can end there"
    )


Sites: TypeAlias = tuple[tuple[int, tuple[float, float]], ...]


def no_route(need: Need, run: Run, numbers: tuple[int, int], sites: Sites) -> NoRouteError:
    """Return the error that says why a run has no way: its pinch, or what is not joined at all."""
    end = explain_end(need, run)
    if end is not None:
        return NoRouteError(end)
    ask = Ask(*numbers, run.via, frozenset(run.avoid))
    share = _widest_share(need, sites, ask)
    if share is None:
        return NoRouteError(_not_joined(need, run))
    eased = _least_easing(replace(need, ease=share), sites, ask)
    way = _try(eased, sites, ask)
    return NoRouteError(_pinch_text(eased, run, way) if way else _not_joined(need, run))


def _widest_share(need: Need, sites: Sites, ask: Ask) -> float | None:
    """Return the largest share of every clearance at which there is a way, to 1/128; None: not even at 0."""
    low, high = NOTHING, 1.0
    if _try(replace(need, ease=low), sites, ask) is None:
        return None
    for _ in range(STEPS):
        middle = (low + high) / 2.0
        if _try(replace(need, ease=middle), sites, ask) is None:
            high = middle
        else:
            low = middle
    return low


def _least_easing(need: Need, sites: Sites, ask: Ask) -> Need:
    """Return the question with so few keep-outs eased that none of them can be done without."""
    way = _try(need, sites, ask)
    names = {short.name for short in _shortfalls(need, way)} if way else set()
    start = replace(need, eased=frozenset(names))
    if _try(start, sites, ask) is None:
        return need  # a member or an opening stands in the way as well
    for short in sorted(_shortfalls(need, way), key=lambda s: s.required_mm - s.actual_mm) if way else []:
        fewer = replace(start, eased=(start.eased or frozenset()) - {short.name})
        if _try(fewer, sites, ask) is not None:
            start = fewer
    return start


def _try(need: Need, sites: Sites, ask: Ask) -> Way | None:
    return find_way(Ground(make_world(need), sites, COARSE_MM), ask)


@dataclass(frozen=True, slots=True)
class _Shortfall:
    """Where a way is too near to a keep-out: the place on the way, and the nearest one on the core."""

    name: str
    actual_mm: float
    required_mm: float
    sheet: int
    at: tuple[float, float]
    toward: tuple[float, float]


def _pinch_text(need: Need, run: Run, way: Way) -> str:
    """Say where the widest way falls shortest, between which two things, and how wide it is there."""
    short = sorted(_shortfalls(need, way), key=lambda s: s.actual_mm - s.required_mm)
    if not short:
        return f'run "{run.name}": no way; {need.ease:.0%} of the loom and of every clearance would pass'
    worst = short[0]
    text = (
        f'run "{run.name}": no way from "{run.start}" to "{run.end}"; the widest one is pinched at '
        f"x {worst.at[0]:.0f}, y {worst.at[1]:.0f} in the {need.profile.spaces[worst.sheet].name}"
    )
    name, apart_mm, needs_mm = _across(need, worst)
    return (
        f'{text} between "{worst.name}" and {name}: {apart_mm:.0f} mm wide, where this loom '
        f"({2.0 * need.radius_mm:.0f} mm) needs {needs_mm:.0f} mm "
        f'({worst.required_mm:.0f} mm from "{worst.name}" with the measuring tolerance)'
    )


def _across(need: Need, short: _Shortfall) -> tuple[str, float, float]:
    """Return what stands across a pinch, its width, and the width that this loom needs, in mm."""
    (ax, ay), (bx, by) = short.toward, short.at
    apart = math.hypot(bx - ax, by - ay)
    ux, uy = ((bx - ax) / apart, (by - ay) / apart) if apart > 0.0 else (0.0, 1.0)  # on its very line
    far = (ax + ux * ACROSS_MM, ay + uy * ACROSS_MM)
    sight = shapely.LineString([short.at, far])
    reach_mm = need.profile.keep_out(short.name).shape.reach_mm
    found = [("the edge of the space", _first_mm(sight, _edge(need, short.sheet)), need.radius_mm)]
    found += _keep_outs_across(need, short, sight)
    name, beyond_mm, wants_mm = min(found, key=lambda f: f[1])
    needs_mm = short.required_mm + need.radius_mm + wants_mm
    return name, apart - reach_mm + beyond_mm, needs_mm


def _edge(need: Need, sheet: int) -> Any:
    return shapely.LinearRing(need.profile.spaces[sheet].outline)


def _keep_outs_across(need: Need, short: _Shortfall, sight: Any) -> list[tuple[str, float, float]]:
    space = need.profile.spaces[short.sheet]
    found = []
    for keep_out in need.profile.keep_outs:
        if keep_out.space != space.name or keep_out.name == short.name:
            continue
        required_mm, _ = required_clearance(keep_out, need.practice, need.profile.tolerance_mm)
        reach_mm = plan_reach_mm(keep_out, required_mm, space.height_mm, space.height_mm, need.radius_mm)
        body = core_of(keep_out.shape).buffer(keep_out.shape.reach_mm)
        if reach_mm > 0.0 and body.intersects(sight):
            found.append((f'"{keep_out.name}"', _first_mm(sight, body), reach_mm - keep_out.shape.reach_mm))
    for member in need.profile.members:
        band = shapely.LineString(member.along).buffer(member.width_mm / 2.0)
        if member.space == space.name and band.intersects(sight):
            found.append((f'"{member.name}"', _first_mm(sight, band), need.radius_mm))
    return found


def _first_mm(sight: Any, thing: Any) -> float:
    """Return how far along a line of sight a thing begins."""
    met = shapely.intersection(sight, thing)
    return float(shapely.distance(met, shapely.get_point(sight, 0))) if not met.is_empty else ACROSS_MM


def _shortfalls(need: Need, way: Way) -> list[_Shortfall]:
    found = []
    for keep_out in need.profile.keep_outs:
        sheet = next(n for n, s in enumerate(need.profile.spaces) if s.name == keep_out.space)
        space = need.profile.spaces[sheet]
        line = _line_on(way, sheet)
        if line is None:
            continue
        required_mm, _ = required_clearance(keep_out, need.practice, need.profile.tolerance_mm)
        core = core_of(keep_out.shape)
        reach_mm = plan_reach_mm(keep_out, required_mm, space.height_mm, space.height_mm, need.radius_mm)
        if reach_mm > 0.0 and core.distance(line) < reach_mm:
            at, toward = shapely.shortest_line(line, core).coords
            actual_mm = core.distance(line) - keep_out.shape.reach_mm - need.radius_mm
            found.append(_Shortfall(keep_out.name, max(0.0, actual_mm), required_mm, sheet, at, toward))
    return found


def _line_on(way: Way, sheet: int) -> Any:
    points = [(step.x, step.y) for step in way.steps if step.sheet == sheet]
    return shapely.LineString(points) if len(points) >= 2 else None


def _not_joined(need: Need, run: Run) -> str:
    """Say what keeps the two ends apart although every clearance were let go."""
    start, end = need.profile.terminal(run.start), need.profile.terminal(run.end)
    small = [o.name for o in need.profile.openings if not opening_fits(need, o)]
    text = f'run "{run.name}": no way from "{run.start}" ({start.space}) to "{run.end}" ({end.space})'
    text += " even with every clearance let go: no member's pass and no opening joins them"
    if run.avoid or run.via:
        text += "; it was told to " + " and ".join(
            [f"avoid {', '.join(run.avoid)}"] * bool(run.avoid)
            + [f"use {', '.join(run.via)}"] * bool(run.via)
        )
    if small:
        text += f"; too small for a loom of {2.0 * need.radius_mm:.0f} mm: {', '.join(small)}"
    return text
