"""Lines that nothing may be fixed to, as keep-outs: a brake or fuel line entered once keeps the loom away."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from shapely import LineString, buffer

from router.facts import core_of
from router.model.vehicle import Hazard, KeepOut, Shape, ShapeKind, Support

LINE_MM = 10.0
"""How thick such a line is taken to be, across and in height: no brake or fuel line of a car is thicker
(common practice, no source)."""
SAME_LINE_MM = 25.0
"""A keep-out that a line follows within this is that line, drawn as a body beside its support."""
LINES = (Hazard.BRAKE, Hazard.FUEL)


def keep_outs_of_lines(
    lines: Sequence[tuple[Support, Hazard | None]], drawn: Sequence[KeepOut]
) -> Iterator[KeepOut]:
    """Yield a keep-out for each straight piece of lines that no drawn one stands for already.

    Parameters
    ----------
    lines : sequence of (Support, Hazard or None)
        Supports with `fix: never`, and the hazard that their file says; the more careful one where none.
    drawn : sequence of KeepOut
        Of the same vehicle.
    """
    for support, hazard in lines:
        if not any(_is_same_line(support, keep_out) for keep_out in drawn):
            yield from _bodies(support, hazard or Hazard.FUEL)


def _bodies(support: Support, hazard: Hazard) -> Iterator[KeepOut]:
    """Yield a level line as one body, a rising one as one body for each piece."""
    heights_mm = support.point_heights_mm
    pieces = [(support.along, heights_mm)]
    if len(set(heights_mm)) > 1:
        pieces = list(zip(pairwise(support.along), pairwise(heights_mm), strict=True))
    for number, (points, ends_mm) in enumerate(pieces, start=1):
        name = support.name if len(pieces) == 1 else f"{support.name}, piece {number}"
        low_mm, high_mm = min(ends_mm) - LINE_MM / 2, max(ends_mm) + LINE_MM / 2
        shape = Shape(ShapeKind.LINE, points, LINE_MM / 2)
        heights_mm, assumed_mm = (low_mm, high_mm), support.assumed_mm
        yield KeepOut(
            name, None, hazard, shape, heights_mm, False, None, is_guide=True, assumed_mm=assumed_mm
        )


def _is_same_line(support: Support, keep_out: KeepOut) -> bool:
    if keep_out.hazard not in LINES:
        return False
    if keep_out.heights_mm is not None:
        low_mm, high_mm = keep_out.heights_mm
        off_mm = max(low_mm - min(support.point_heights_mm), max(support.point_heights_mm) - high_mm)
        if off_mm > SAME_LINE_MM:
            return False
    reached = buffer(core_of(keep_out.shape), keep_out.shape.reach_mm + SAME_LINE_MM)
    return bool(reached.covers(LineString(support.along)))
