"""Whether a run can leave its terminals at all, why not, and where it could."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import shapely

from router.explaining.no_way.relaxations import is_assumed
from router.facts import core_of, tolerance_of
from router.model.job import Run
from router.model.vehicle import KeepOut, Member, Terminal
from router.routing import (
    LoomOnVehicle,
    blocked_each,
    first_shut_end,
    free_between,
    level_at,
    make_world,
)
from router.search import XY, Ask, is_reached

FURTHER_MM = (0.0, 1.0, 2.0, 5.0, 10.0, 20.0)
"""How far beyond the border of free ground a place in whole mm is looked for."""


def explain_end(loom: LoomOnVehicle, run: Run) -> str | None:
    """Return why a run cannot even leave one of its terminals, or None where it can."""
    shut = first_shut_end(loom, run)
    if shut is None:
        return None
    terminal = loom.profile.terminal(shut.terminal)
    if isinstance(shut.by, Member):
        why = f'run "{run.name}": terminal "{terminal.name}" lies on "{shut.by.name}"'
        return f"{why}; no {_loom_words(loom)} can end there"
    full = _full_text(loom, run, terminal)
    return full or _end_text(loom, run, terminal, shut.by, shut.heights_mm)


def _loom_words(loom: LoomOnVehicle) -> str:
    return f"loom of {2.0 * loom.radius_mm:.0f} mm"


def _full_text(loom: LoomOnVehicle, run: Run, terminal: Terminal) -> str | None:
    """Return in words which keep-outs leave nothing of a terminal's space; None where some is left."""
    space = loom.profile.space(terminal.space)
    outline = shapely.Polygon(space.outline)
    if space.steps:  # what is left at one height says nothing of the others
        return None
    taken = list(blocked_each(loom, space.name, space.height_mm, space.height_mm))

    def is_full(some: list[tuple[KeepOut, Any]]) -> bool:
        left = shapely.difference(outline, shapely.union_all([area for _, area in some]))
        return bool(left.is_empty)

    if not is_full(taken):
        return None
    alone = next(([each] for each in taken if is_full([each])), None)
    for each in taken if alone is None else ():
        fewer = [other for other in taken if other is not each]
        taken = fewer if is_full(fewer) else taken
    words = [_keep_out_words(loom, keep_out) for keep_out, _ in alone or taken]
    one = len(words) == 1
    return (
        f'run "{run.name}": no {_loom_words(loom)} can end at terminal "{terminal.name}"; nothing of space '
        f'"{space.name}" is left free for it at {space.height_mm:.0f} mm: keep-out{"s" * (not one)} '
        f"{' and '.join(words)} take{'s' * one} all of it; write only as far in plan and in heights as "
        f"{'it was' if one else 'they were'} measured"
    )


def _keep_out_words(loom: LoomOnVehicle, keep_out: KeepOut) -> str:
    required_mm = loom.clearances[keep_out.name].required_mm
    lies = "at any height"
    if keep_out.heights_mm is not None:
        lies = f"from {keep_out.heights_mm[0]:.0f} to {keep_out.heights_mm[1]:.0f} mm"
    return f'"{keep_out.name}" ({keep_out.hazard.value}, {lies}, with {required_mm:.0f} mm round it)'


def _end_text(
    loom: LoomOnVehicle, run: Run, terminal: Terminal, keep_out: KeepOut, heights_mm: tuple[float, float]
) -> str:
    clearance = loom.clearances[keep_out.name]
    core = core_of(keep_out.shape)
    plan_mm = core.distance(shapely.Point(terminal.at)) - keep_out.shape.reach_mm
    beside_mm = max(0.0, plan_mm - loom.radius_mm)
    why = f"rule {clearance.rule.name}" if clearance.rule else "its own clearance"
    low_mm, high_mm = heights_mm
    lies = f"at {low_mm:.0f} mm" if low_mm == high_mm else f"from {low_mm:.0f} to {high_mm:.0f} mm"
    heights = "at any height"
    if keep_out.heights_mm is not None:
        heights = f"from {keep_out.heights_mm[0]:.0f} to {keep_out.heights_mm[1]:.0f} mm"
    mends = [
        _measure_text(loom, run, terminal, keep_out),
        _place_text(loom, run, terminal, heights_mm, is_on_it=plan_mm <= 0.0),
        _heights_text(loom, terminal, keep_out, clearance.required_mm),
    ]
    mends = [mend for mend in mends if mend]
    return (
        f'run "{run.name}": a {_loom_words(loom)} at terminal "{terminal.name}" would lie '
        f'{beside_mm:.0f} mm in plan from keep-out "{keep_out.name}" ({keep_out.hazard.value}), '
        f"which needs {clearance.required_mm:.0f} mm with the measuring tolerance ({why}); "
        f"no such loom can end there; the loom's middle lies {lies} there, "
        f"the keep-out {heights}. "
        f"What was measured decides: {'; or '.join(mends)}"
    )


def _measure_text(loom: LoomOnVehicle, run: Run, terminal: Terminal, keep_out: KeepOut) -> str:
    """Return what to measure where an assumed keep-out shuts the terminal only for being assumed."""
    if not is_assumed(keep_out, loom.profile):
        return ""
    measured = tuple(
        replace(k, assumed_mm=None) if k.name == keep_out.name else k for k in loom.profile.keep_outs
    )
    shut = first_shut_end(replace(loom, profile=replace(loom.profile, keep_outs=measured)), run)
    if shut is not None and shut.terminal == terminal.name:
        return ""
    counted_mm = tolerance_of(keep_out, loom.profile)
    words = f'measure "{keep_out.name}", which nobody did: {counted_mm:.0f} mm of that count for it'
    return f"{words}, and measured {loom.profile.tolerance_mm:.0f} mm will do"


def _place_text(
    loom: LoomOnVehicle, run: Run, terminal: Terminal, heights_mm: tuple[float, float], *, is_on_it: bool
) -> str:
    """Return in words where the terminal would have to be: the nearest place from which the way can go on."""
    places = list(_free_places(loom, terminal, heights_mm))
    if not places:
        return ""
    numbers = {space.name: number for number, space in enumerate(loom.profile.spaces)}
    other = loom.profile.terminal(run.end if terminal.name == run.start else run.start)
    goal = (numbers[other.space], other.at)
    world = make_world(loom)
    here = numbers[terminal.space]
    x, y = next((at for at in places if is_reached(world, ((here, at), goal), Ask(0, 1))), places[0])
    where = " where its cable leaves what it stands on," if is_on_it else ""
    far_mm = math.ceil(math.dist((x, y), terminal.at))
    return f"put the terminal{where} {far_mm} mm further in plan, at x {x:.0f}, y {y:.0f}"


def _free_places(loom: LoomOnVehicle, terminal: Terminal, heights_mm: tuple[float, float]) -> Iterator[XY]:
    """Yield in whole mm the place of each piece of free ground that is nearest to a terminal, in order."""
    point = shapely.Point(terminal.at)
    free = free_between(loom, loom.profile.space(terminal.space), *heights_mm)
    for part in sorted(shapely.get_parts(free), key=point.distance):
        if part.geom_type != "Polygon" or part.is_empty:
            continue
        x, y = shapely.shortest_line(point, part).coords[1]
        off_mm = math.dist((x, y), terminal.at)
        ux, uy = ((x - point.x) / off_mm, (y - point.y) / off_mm) if off_mm > 0.0 else (0.0, 0.0)
        near = ((round(x + ux * by), round(y + uy * by)) for by in FURTHER_MM)
        place = next((at for at in near if part.contains(shapely.Point(at))), None)
        if place is not None:
            yield float(place[0]), float(place[1])


def _heights_text(loom: LoomOnVehicle, terminal: Terminal, keep_out: KeepOut, required_mm: float) -> str:
    """Return in words the least height at which a loom passes above a keep-out, and what must lie there."""
    if keep_out.heights_mm is None:
        return "measure the keep-out's heights too and write heights: [.., ..]"
    least_mm = math.ceil(keep_out.heights_mm[1] + required_mm + loom.radius_mm)
    space = loom.profile.space(terminal.space)
    low = [f'terminal "{terminal.name}"'] * (terminal.height_mm < least_mm)
    lifts = ""
    if level_at(space, terminal.at) < least_mm:
        low.append(f'space "{space.name}"')
        lifts = ", which lifts every loom in that space"
    return f"give {' and '.join(low)} a height of {least_mm} mm or more{lifts}" if low else ""
