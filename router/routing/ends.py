"""Whether a run can leave its terminals at all, and why not."""

from __future__ import annotations

import math
from typing import Any

import shapely

from router.model.job import Run
from router.model.vehicle import KeepOut, Member, OverPass
from router.routing.sheets import Need, band_half_mm, blocked_each, core_of, corridor, required_clearance


def explain_end(need: Need, run: Run) -> str | None:
    """Return why a run cannot even leave one of its terminals, or None where it can."""
    for name in (run.start, run.end):
        terminal = need.profile.terminal(name)
        space = need.profile.space(terminal.space)
        low_mm, high_mm = sorted((space.height_mm, terminal.height_mm))
        point = shapely.Point(terminal.at)
        for keep_out, area in blocked_each(need, space.name, low_mm, high_mm, point):
            if area.intersects(point):
                return _end_text(need, run, name, keep_out.name, (low_mm, high_mm))
        for member in need.profile.members:
            if member.space == space.name and _lies_on(need, member, point):
                why = f'run "{run.name}": terminal "{name}" lies on "{member.name}"'
                return f"{why}; no {_loom_words(need)} can end there"
    return None


def _loom_words(need: Need) -> str:
    return f"loom of {2.0 * need.radius_mm:.0f} mm"


def _lies_on(need: Need, member: Member, point: Any) -> bool:
    """Return whether a loom that ends at a place would lie on a member, beside its passes."""
    if shapely.LineString(member.along).distance(point) >= band_half_mm(member, need.radius_mm):
        return False
    return not any(
        corridor(member, over, need.radius_mm).intersects(point)
        for over in member.passes
        if isinstance(over, OverPass)
    )


def _end_text(
    need: Need, run: Run, terminal: str, keep_out_name: str, heights_mm: tuple[float, float]
) -> str:
    keep_out = need.profile.keep_out(keep_out_name)
    required_mm, rule = required_clearance(keep_out, need.practice, need.profile.tolerance_mm)
    at = need.profile.terminal(terminal).at
    plan_mm = core_of(keep_out.shape).distance(shapely.Point(at)) - keep_out.shape.reach_mm - need.radius_mm
    why = f"rule {rule.name}" if rule else "its own clearance"
    return (
        f'run "{run.name}": a {_loom_words(need)} at terminal "{terminal}" would lie '
        f'{max(0.0, plan_mm):.0f} mm in plan from keep-out "{keep_out_name}" ({keep_out.hazard.value}), '
        f"which needs {required_mm:.0f} mm with the measuring tolerance ({why}); no such loom can end there"
        f"{_heights_text(need, terminal, keep_out, required_mm, heights_mm)}"
    )


def _heights_text(
    need: Need, name: str, keep_out: KeepOut, required_mm: float, heights_mm: tuple[float, float]
) -> str:
    """Say which heights meet at an end, and the least height at which a loom passes above the keep-out."""
    low_mm, high_mm = heights_mm
    lies = f"at {low_mm:.0f} mm" if low_mm == high_mm else f"from {low_mm:.0f} to {high_mm:.0f} mm"
    if keep_out.heights_mm is None:
        return (
            f"; the loom lies {lies} there, the keep-out at any height: measure it, write heights: [.., ..]"
        )
    bottom_mm, top_mm = keep_out.heights_mm
    least_mm = math.ceil(top_mm + required_mm + need.radius_mm)
    terminal = need.profile.terminal(name)
    space = need.profile.space(terminal.space)
    ends = [(f'terminal "{name}"', terminal.height_mm), (f'space "{space.name}"', space.height_mm)]
    low = " and ".join(words for words, height_mm in ends if height_mm < least_mm)
    text = f"; the loom's middle lies {lies} there, the keep-out from {bottom_mm:.0f} to {top_mm:.0f} mm"
    return (
        f"{text}: give {low} a height of {least_mm} mm or more if measured so, "
        "or the terminal a place further away"
    )
