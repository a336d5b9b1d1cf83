"""Whether a run can leave its terminals at all, and what shuts the first that it cannot leave."""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from router.model.job import Run
from router.model.vehicle import KeepOut, Member, OverPass
from router.routing.free_space import band_half_mm, corridor
from router.routing.levels import level_at
from router.routing.loom_on_vehicle import LoomOnVehicle, blocked_each


@dataclass(frozen=True, slots=True)
class ShutEnd:
    """A terminal that no loom as thick as this can leave, and what it lies in."""

    terminal: str
    by: KeepOut | Member
    heights_mm: tuple[float, float]
    """From the lower to the higher of the terminal and the lying height of its space."""


def first_shut_end(loom: LoomOnVehicle, run: Run) -> ShutEnd | None:
    """Return the first of a run's terminals that it cannot leave; None where it can leave both."""
    for name in (run.start, run.end):
        terminal = loom.profile.terminal(name)
        space = loom.profile.space(terminal.space)
        low_mm, high_mm = sorted((level_at(space, terminal.at), terminal.height_mm))
        point = shapely.Point(terminal.at)
        for keep_out, area in blocked_each(loom, space.name, low_mm, high_mm, point):
            if area.intersects(point):
                return ShutEnd(name, keep_out, (low_mm, high_mm))
        for member in loom.profile.members:
            if member.space == space.name and _lies_on(loom, member, point):
                return ShutEnd(name, member, (low_mm, high_mm))
    return None


def _lies_on(loom: LoomOnVehicle, member: Member, point: shapely.Point) -> bool:
    """Return whether a loom that ends at a place would lie on a member, beside its passes."""
    if shapely.LineString(member.along).distance(point) >= band_half_mm(member, loom.radius_mm):
        return False
    return not any(
        corridor(member, over, loom.radius_mm).intersects(point)
        for over in member.passes
        if isinstance(over, OverPass)
    )
