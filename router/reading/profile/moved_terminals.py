"""A terminal of a vehicle somewhere else in its space, refused where it would lie outside of that."""

from __future__ import annotations

import math
from dataclasses import replace

from shapely import Point as ShapelyPoint
from shapely import Polygon

from router.errors import Fault, UnreadableError
from router.model.vehicle import Point, Profile
from router.reading.profile.names_in_profile import unknown
from router.tolerances import ON_LINE_MM


def moved_terminal(profile: Profile, name: str, at: Point) -> Profile:
    """Return a vehicle with a terminal elsewhere in its space.

    Parameters
    ----------
    profile : Profile
    name : str
        The terminal's.
    at : (x, y)
        Where it is now; its height stays. [mm]

    Raises
    ------
    UnreadableError
        There is no such terminal, or its space does not reach there.
    """
    names = [terminal.name for terminal in profile.terminals]
    if name not in names:
        raise _refusal(name, unknown("terminal", name, names))
    x, y = (float(number) + 0.0 for number in at)  # no -0.0: it equals 0.0, and is written otherwise
    if not (math.isfinite(x) and math.isfinite(y)):
        raise _refusal(name, f"({x}, {y}) is no place; write two numbers, x and y in mm")
    space = profile.space(profile.terminal(name).space)
    off_mm = Polygon(space.outline).distance(ShapelyPoint(x, y))
    if off_mm > ON_LINE_MM:
        words = (
            f'({x:g}, {y:g}) is {off_mm:.0f} mm outside space "{space.name}"; move it or widen the outline'
        )
        raise _refusal(name, words)
    terminals = tuple(
        replace(terminal, at=(x, y)) if terminal.name == name else terminal for terminal in profile.terminals
    )
    return replace(profile, terminals=terminals)


def _refusal(name: str, words: str) -> UnreadableError:
    return UnreadableError((Fault("terminals", 1, 1, "", words, key_path=f'terminal "{name}"'),))
