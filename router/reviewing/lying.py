"""Whether the loom lies on something: at the height where looms lie there, along a support, or on a panel.

A loom that hangs in free air cannot be held there. Going from one height to another takes it a short way;
what is longer is meant to stay where it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely import LineString, Polygon, union_all
from shapely.geometry.base import BaseGeometry

from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Practice
from router.model.vehicle import Profile, Space
from router.reviewing.crossings import Crossing
from router.reviewing.finding import found
from router.reviewing.review_tolerances import LENGTH_TOLERANCE_MM, LYING_WITHIN_MM, RISE_WITHIN_MM
from router.reviewing.route_segments import Segment

SLOPED_PART_MM = 20.0
"""Parts of a sloped segment so long are taken for level, at the height of their middle."""


def check_lying(
    run: str,
    segments: tuple[Segment, ...],
    crossings: tuple[Crossing, ...],
    profile: Profile,
    practice: Practice,
    loom_radius_mm: float,
) -> tuple[Finding, ...]:
    """Return a finding for each stretch in free air that is longer than a rise takes.

    Parameters
    ----------
    run : str
    segments : tuple of Segment
        The straight segments of a route, in its order.
    crossings : tuple of Crossing
        Where it passes members, which are judged by themselves.
    profile : Profile
    practice : Practice
        Group "fixing": how far what holds it reaches.
    loom_radius_mm : float
        Half the outside diameter of the loom. [mm]
    """
    reach_mm = practice.value("fixing", "reach") + profile.tolerance_mm + loom_radius_mm
    findings: list[Finding] = []
    hanging: list[Segment] = []
    for segment in segments:
        if segment.is_vertical:
            continue
        for part in _hanging(segment, profile, reach_mm):
            if hanging and not _goes_on(hanging[-1], part, segments):
                findings += _judged(run, hanging, crossings, profile)
                hanging = []
            hanging.append(part)
    findings += _judged(run, hanging, crossings, profile)
    return tuple(findings)


def _hanging(segment: Segment, profile: Profile, reach_mm: float) -> Iterator[Segment]:
    """Yield the parts of a segment that lie where there is nothing."""
    if segment.along is not None:
        return  # that it is there, and in reach of what it is fixed to, is asked elsewhere
    length_mm = segment.end_station_mm - segment.start_station_mm
    count = 1 if segment.is_level else math.ceil(length_mm / SLOPED_PART_MM)
    space = profile.space(segment.space)
    if _lies_all_along(segment, space):
        return
    for number in range(count):
        part = segment.part(number / count, (number + 1) / count)
        inside = part.in_plan.difference(_ground(part, space, profile, reach_mm))
        for rest in getattr(inside, "geoms", (inside,)):
            if rest.length > LENGTH_TOLERANCE_MM:
                line = part.in_plan
                first, last = sorted(line.project(end, normalized=True) for end in rest.boundary.geoms)
                yield part.part(first, last)


def _lies_all_along(segment: Segment, space: Space) -> bool:
    heights_mm = [space.height_mm, *(step.height_mm for step in space.steps)]
    least_mm, most_mm = segment.high_mm - LYING_WITHIN_MM, segment.low_mm + LYING_WITHIN_MM
    return all(least_mm <= height_mm <= most_mm for height_mm in heights_mm)


def _ground(part: Segment, space: Space, profile: Profile, reach_mm: float) -> BaseGeometry:
    """Return where in plan there is something to lie on at the height of a part."""
    height_mm = (part.low_mm + part.high_mm) / 2
    steps = [Polygon(step.area) for step in space.steps]
    grounds: list[BaseGeometry] = [
        area
        for area, step in zip(steps, space.steps, strict=True)
        if abs(step.height_mm - height_mm) <= LYING_WITHIN_MM
    ]
    whole = part.in_plan.buffer(1.0)
    if abs(space.height_mm - height_mm) <= LYING_WITHIN_MM:
        grounds.append(whole.difference(union_all(steps)))
    for support in profile.supports:
        near = LineString(support.along).buffer(reach_mm)
        if support.space == space.name and near.intersects(part.in_plan):
            place = part.place_at(0.5)
            if abs(support.height_at((place[0], place[1])) - height_mm) <= reach_mm:
                grounds.append(near)
    for panel in profile.panels:
        if space.name not in panel.between:
            continue
        if panel.along is not None:
            grounds.append(LineString(panel.along).buffer(reach_mm, cap_style="flat"))
        elif panel.height_mm is not None and abs(panel.height_mm - height_mm) <= reach_mm:
            grounds.append(whole if panel.area is None else Polygon(panel.area))
    return union_all(grounds)


def _goes_on(before: Segment, after: Segment, segments: tuple[Segment, ...]) -> bool:
    """Return whether nothing but rises and drops lies between two parts of a run."""
    from_mm, to_mm = before.end_station_mm + LENGTH_TOLERANCE_MM, after.start_station_mm - LENGTH_TOLERANCE_MM
    between = [each for each in segments if each.start_station_mm < to_mm and each.end_station_mm > from_mm]
    return before.space == after.space and (from_mm > to_mm or all(each.is_vertical for each in between))


def _judged(
    run: str, hanging: list[Segment], crossings: tuple[Crossing, ...], profile: Profile
) -> Iterator[Finding]:
    """Yield a finding where parts that follow each other are longer together than a rise takes."""
    alone = [
        part
        for part in hanging
        if not any(
            crossing.from_station_mm <= part.start_station_mm + LENGTH_TOLERANCE_MM
            and part.end_station_mm <= crossing.to_station_mm + LENGTH_TOLERANCE_MM
            for crossing in crossings
        )
    ]
    if not alone:
        return
    length_mm = sum(part.end_station_mm - part.start_station_mm for part in alone)
    space = profile.space(alone[0].space)
    if length_mm > RISE_WITHIN_MM + profile.tolerance_mm:
        worst = max(alone, key=lambda part: abs(_above_mm(part, space)))
        yield _in_free_air(run, alone[0], worst, length_mm, space)


def _above_mm(part: Segment, space: Space) -> float:
    """Return how far above where a loom lies the middle of a part is; less than 0 below."""
    x, y, z = part.place_at(0.5)
    return z - space.height_at((x, y))


def _in_free_air(run: str, first: Segment, worst: Segment, length_mm: float, space: Space) -> Finding:
    above_mm = _above_mm(worst, space)
    where = f"{abs(above_mm):.0f} mm {'above' if above_mm > 0 else 'below'}"
    lying_mm = (worst.low_mm + worst.high_mm) / 2 - above_mm
    return found(
        FindingKind.HEIGHT,
        Severity.SHOULD,
        run,
        first.start_station_mm,
        f"the loom hangs {where} where looms lie in {space.name}, for {length_mm:.0f} mm",
        more=": there is neither support nor panel to hold it",
        required=f"at {lying_mm:.0f} mm or on something, but for {RISE_WITHIN_MM:.0f} mm",
        actual=f"{where} that for {length_mm:.0f} mm",
    )
