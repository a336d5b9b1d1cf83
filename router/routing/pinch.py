"""Why there is no way: the widest way there is, where it is pinched, and what it would need."""

from __future__ import annotations

from dataclasses import dataclass, replace

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


def no_route(
    need: Need, run: Run, numbers: tuple[int, int], sites: tuple[tuple[int, tuple[float, float]], ...]
) -> NoRouteError:
    """Return the error that says why a run has no way: its pinch, or what is not joined at all."""
    end = explain_end(need, run)
    if end is not None:
        return NoRouteError(end)
    ask = Ask(*numbers, run.via, frozenset(run.avoid))
    widest = _widest(need, sites, ask)
    if widest is None:
        return NoRouteError(_not_joined(need, run))
    share, way = widest
    return NoRouteError(_pinch_text(need, run, share, way))


def _widest(
    need: Need, sites: tuple[tuple[int, tuple[float, float]], ...], ask: Ask
) -> tuple[float, Way] | None:
    low, high = 0.0, 1.0
    best = _try(need, sites, ask, low)
    if best is None:
        return None
    for _ in range(STEPS):
        middle = (low + high) / 2.0
        way = _try(need, sites, ask, middle)
        if way is None:
            high = middle
        else:
            low, best = middle, way
    return low, best


def _try(
    need: Need, sites: tuple[tuple[int, tuple[float, float]], ...], ask: Ask, share: float
) -> Way | None:
    eased = replace(need, ease=max(share, 1e-3))
    return find_way(Ground(make_world(eased), sites, 500.0), ask)


@dataclass(frozen=True, slots=True)
class _Shortfall:
    name: str
    actual_mm: float
    required_mm: float
    x: float
    y: float


def _pinch_text(need: Need, run: Run, share: float, way: Way) -> str:
    """Say where the widest way falls shortest, between which two things, and how wide it is there."""
    short = sorted(_shortfalls(need, way), key=lambda s: s.actual_mm - s.required_mm)
    if not short:
        return f'run "{run.name}": no way with the clearances asked for; {share:.0%} of each would pass'
    worst = short[0]
    second = next((s for s in short[1:] if abs(s.x - worst.x) + abs(s.y - worst.y) < 400.0), None)
    text = (
        f'run "{run.name}": no way from "{run.start}" to "{run.end}"; the widest one is pinched at '
        f"x {worst.x:.0f}, y {worst.y:.0f} by {_shortfall_text(worst)}"
    )
    if second is not None:
        wide_mm = worst.actual_mm + second.actual_mm + 2.0 * need.radius_mm
        needs_mm = worst.required_mm + second.required_mm + 2.0 * need.radius_mm
        text += (
            f" and {_shortfall_text(second)}: about {wide_mm:.0f} mm wide there, "
            f"and this loom ({2.0 * need.radius_mm:.0f} mm) needs {needs_mm:.0f} mm"
        )
    return text


def _shortfall_text(short: _Shortfall) -> str:
    return f'"{short.name}" ({short.actual_mm:.0f} mm where {short.required_mm:.0f} mm are required)'


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
            near = shapely.shortest_line(line, core).coords[0]
            actual_mm = core.distance(line) - keep_out.shape.reach_mm - need.radius_mm
            found.append(_Shortfall(keep_out.name, max(0.0, actual_mm), required_mm, *near))
    return found


def _line_on(way: Way, sheet: int) -> object | None:
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
