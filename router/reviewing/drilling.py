"""Whether a hole for a P-clip may be made where it is: in which panel, and how near to what lies round it.

The review finds the panel for itself, for planned and drawn routes alike: one of the loom's space, in reach
of the loom, on the side where the loom's space is. The hole goes from the panel's face straight on, as deep
as drill or screw may. It is level or upright, so that its distance to a body is made of that in plan and that
in height.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from shapely import LineString, Polygon
from shapely import Point as ShapelyPoint
from shapely.geometry.base import BaseGeometry

from router.model.fixing import Fixing, FixingKind
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Practice, Rule
from router.model.vehicle import Drill, KeepOut, Panel, Point, Profile, ShapeKind
from router.reviewing.clearances import required_clearance
from router.reviewing.crossings import Crossing
from router.reviewing.finding import found, told_apart
from router.reviewing.review_tolerances import CLEARANCE_TOLERANCE_MM, LENGTH_TOLERANCE_MM


@dataclass(frozen=True, slots=True)
class Bore:
    """A straight way from the middle of a loom through a panel, as deep as drill or screw may go."""

    panel: Panel
    loom: Point
    loom_z_mm: float
    face: Point
    face_z_mm: float
    end: Point
    end_z_mm: float

    @property
    def off_mm(self) -> float:
        """Return how far the middle of the loom is from the panel's face."""
        return math.dist((*self.loom, self.loom_z_mm), (*self.face, self.face_z_mm))

    def gap_mm(self, core: BaseGeometry, reach_mm: float, low_mm: float, high_mm: float) -> float:
        """Return how far the way behind the face is from what reaches round a core between two heights."""
        is_upright = self.face == self.end
        way = ShapelyPoint(self.face) if is_upright else LineString((self.face, self.end))
        bottom_mm, top_mm = sorted((self.face_z_mm, self.end_z_mm))
        in_plan_mm = max(0.0, way.distance(core) - reach_mm)
        return math.hypot(in_plan_mm, max(0.0, low_mm - top_mm, bottom_mm - high_mm))


@dataclass(frozen=True, slots=True)
class _Rules:
    """What holes are judged by."""

    profile: Profile
    practice: Practice
    tolerance_mm: float

    def radius_mm(self, panel: Panel) -> float:
        return self.practice.value("hole", panel.screw.hole_key) / 2


def check_holes(
    run: str,
    fixings: tuple[Fixing, ...],
    crossings: tuple[Crossing, ...],
    profile: Profile,
    practice: Practice,
    loom_diameter_mm: float,
    drawing_tolerance_mm: float = 0.0,
) -> tuple[Finding, ...]:
    """Return a finding for each P-clip on no support that has no panel, or whose hole may not be made.

    Parameters
    ----------
    run : str
    fixings : tuple of Fixing
        Those of the run.
    crossings : tuple of Crossing
        Where the loom is in or on a member: what is screwed there is another question.
    profile, practice : records of the model
    loom_diameter_mm : float
        Outside of the loom. [mm]
    drawing_tolerance_mm : float, optional
        Smaller shortfalls are ignored; 0 unless the route was drawn on paper. [mm]
    """
    rules = _Rules(profile, practice, drawing_tolerance_mm)
    within_mm = practice.value("fixing", "reach") + loom_diameter_mm / 2
    within_mm += LENGTH_TOLERANCE_MM + drawing_tolerance_mm
    findings: list[Finding] = []
    for fixing in fixings:
        if fixing.support is not None or fixing.kind is not FixingKind.P_CLIP:
            continue
        if any(c.from_station_mm < fixing.station_mm < c.to_station_mm for c in crossings):
            continue
        bores = [bore for bore in bores_at(fixing, profile, practice) if bore.off_mm <= within_mm]
        judged = [list(_faults(run, fixing, bore, rules)) for bore in bores]
        fewest = sorted(judged, key=len)[:1] or [[_no_panel(run, fixing, practice)]]
        findings += fewest[0]
    return tuple(findings)


# Which panels are there


def bores_at(fixing: Fixing, profile: Profile, practice: Practice) -> Iterator[Bore]:
    """Yield the hole into each panel of a fixing's space that is straight before it, however far off."""
    deep_mm = practice.value("hole", "reach")
    for panel in profile.panels:
        if fixing.space in panel.between:
            bore_into = _upright_bore if panel.along is None else _level_bore
            bore = bore_into(panel, fixing, profile, deep_mm)
            if bore is not None:
                yield bore


def _upright_bore(panel: Panel, fixing: Fixing, profile: Profile, deep_mm: float) -> Bore | None:
    """Return the hole up or down into a floor; None where there is none, or the loom is beyond it."""
    assert panel.height_mm is not None
    up = 1.0 if profile.space(fixing.space).height_mm < panel.height_mm else -1.0
    spot, z_mm = (fixing.x_mm, fixing.y_mm), panel.height_mm
    is_there = all(area.covers(ShapelyPoint(spot)) for area in _areas(panel, profile))
    if not is_there or (z_mm - fixing.z_mm) * up < -LENGTH_TOLERANCE_MM:
        return None
    return Bore(panel, spot, fixing.z_mm, spot, z_mm, spot, z_mm + up * deep_mm)


def _areas(panel: Panel, profile: Profile) -> list[Polygon]:
    """Return the areas that a floor lies in, each of them."""
    if panel.area is not None:
        return [Polygon(panel.area)]
    return [Polygon(profile.space(name).outline) for name in panel.between]


def _level_bore(panel: Panel, fixing: Fixing, profile: Profile, deep_mm: float) -> Bore | None:
    """Return the hole across into a bulkhead; None where the loom is not abreast of it, or is beyond it."""
    assert panel.along is not None
    start, end = panel.along
    length_mm = math.dist(start, end)
    ahead = ((end[0] - start[0]) / length_mm, (end[1] - start[1]) / length_mm)
    middle = Polygon(profile.space(fixing.space).outline).centroid
    own = 1.0 if _left_mm(start, ahead, (middle.x, middle.y)) > 0.0 else -1.0
    loom = (fixing.x_mm, fixing.y_mm)
    on_mm = (loom[0] - start[0]) * ahead[0] + (loom[1] - start[1]) * ahead[1]
    if not 0.0 <= on_mm <= length_mm or own * _left_mm(start, ahead, loom) < -LENGTH_TOLERANCE_MM:
        return None
    face = (start[0] + on_mm * ahead[0], start[1] + on_mm * ahead[1])
    tip = (face[0] + own * ahead[1] * deep_mm, face[1] - own * ahead[0] * deep_mm)
    return Bore(panel, loom, fixing.z_mm, face, fixing.z_mm, tip, fixing.z_mm)


def _left_mm(start: Point, ahead: Point, place: Point) -> float:
    """Return how far to one side of a straight line a place lies; below 0 on the other."""
    return (place[1] - start[1]) * ahead[0] - (place[0] - start[0]) * ahead[1]


# What is wrong with a hole


def _faults(run: str, fixing: Fixing, bore: Bore, rules: _Rules) -> Iterator[Finding]:
    """Yield every reason why a hole may not be made."""
    profile, short_mm = rules.profile, CLEARANCE_TOLERANCE_MM + rules.tolerance_mm
    for panel in profile.panels:
        if panel.drill is Drill.NEVER and (panel is bore.panel or _is_met(panel, bore, profile)):
            yield _not_to_drill(run, fixing, panel)
    for keep_out in profile.keep_outs:
        required_mm, rule = required_clearance(keep_out, profile, rules.practice)
        actual_mm = bore.gap_mm(*_body(keep_out)) - rules.radius_mm(bore.panel)
        if actual_mm < required_mm - short_mm:
            name = f"{keep_out.name} ({keep_out.hazard})"
            yield _too_near(run, fixing, bore.panel, name, (required_mm, actual_mm), rule)
    edge = rules.practice.rule("hole", "clear of an edge")
    for name, gap_mm in _edges(bore, profile):
        actual_mm = gap_mm - rules.radius_mm(bore.panel)
        if actual_mm < edge.value - short_mm:
            yield _too_near(run, fixing, bore.panel, name, (edge.value, actual_mm), edge)


def _is_met(panel: Panel, bore: Bore, profile: Profile) -> bool:
    """Return whether the way from the loom to the end of its hole meets a panel."""
    if panel.along is not None:
        ends = (bore.loom, bore.end)
        way = ShapelyPoint(bore.loom) if ends[0] == ends[1] else LineString(ends)
        return bool(LineString(panel.along).intersects(way))
    assert panel.height_mm is not None
    low_mm, high_mm = sorted((bore.loom_z_mm, bore.end_z_mm))
    is_there = all(area.intersects(ShapelyPoint(bore.end)) for area in _areas(panel, profile))
    return is_there and low_mm <= panel.height_mm <= high_mm


def _body(keep_out: KeepOut) -> tuple[BaseGeometry, float, float, float]:
    """Return a body as measured: its core, how far it reaches round that, its lower and upper height."""
    points = keep_out.shape.points
    core: BaseGeometry = LineString(points) if len(points) > 1 else ShapelyPoint(points[0])
    if keep_out.shape.kind is ShapeKind.AREA:
        core = Polygon(points)
    low_mm, high_mm = keep_out.heights_mm or (-math.inf, math.inf)
    return core, keep_out.shape.reach_mm, low_mm, high_mm


def _edges(bore: Bore, profile: Profile) -> Iterator[tuple[str, float]]:
    """Yield members, supports, openings and the panel's edge, each with its distance to a hole's middle.

    A support that rises counts as high as it is anywhere between two of its points.
    """
    for member in profile.members:
        if member.space in bore.panel.between:
            gap_mm = bore.gap_mm(LineString(member.along), member.width_mm / 2, -math.inf, math.inf)
            yield member.name, gap_mm
    for support in profile.supports:
        heights = support.point_heights_mm
        pieces = zip(pairwise(support.along), pairwise(heights), strict=True)
        gaps = [bore.gap_mm(LineString(ends), 0.0, min(zs), max(zs)) for ends, zs in pieces]
        yield support.name, min(gaps)
    for opening in profile.openings:
        if set(opening.joins) == set(bore.panel.between):
            rim_mm = opening.bore_mm / 2
            heights = (opening.height_mm - rim_mm, opening.height_mm + rim_mm)
            low_mm, high_mm = heights if bore.panel.along else (-math.inf, math.inf)
            yield opening.name, bore.gap_mm(ShapelyPoint(opening.at), rim_mm, low_mm, high_mm)
    yield f"the edge of {bore.panel.name}", _to_border_mm(bore, profile)


def _to_border_mm(bore: Bore, profile: Profile) -> float:
    """Return how far inside its panel a hole is."""
    if bore.panel.along is not None:
        return min(math.dist(bore.face, end) for end in bore.panel.along)
    spot = ShapelyPoint(bore.face)
    return float(min(area.exterior.distance(spot) for area in _areas(bore.panel, profile)))


# In words


def _no_panel(run: str, fixing: Fixing, practice: Practice) -> Finding:
    rule = practice.rule("fixing", "reach")
    return found(
        FindingKind.FIXING_OUT_OF_REACH,
        Severity.MUST,
        run,
        fixing.station_mm,
        f"fixing {fixing.number} is a {fixing.kind}, and no panel of {fixing.space} is in its reach",
        more=": it holds nothing there",
        required=f"a panel within {rule.value:g} mm of the loom",
        actual="none",
        rule=rule,
    )


def _not_to_drill(run: str, fixing: Fixing, panel: Panel) -> Finding:
    return found(
        FindingKind.DRILLED_HOLE,
        Severity.MUST,
        run,
        fixing.station_mm,
        f"fixing {fixing.number} is a {fixing.kind} and needs a hole in {panel.name}",
        more=": that may not be drilled",
        required="a panel that may be drilled",
        actual=f"{panel.name}, drill: {panel.drill}",
    )


def _too_near(
    run: str, fixing: Fixing, panel: Panel, name: str, lengths_mm: tuple[float, float], rule: Rule | None
) -> Finding:
    required, actual = told_apart(*lengths_mm)
    return found(
        FindingKind.DRILLED_HOLE,
        Severity.MUST,
        run,
        fixing.station_mm,
        f"the hole of fixing {fixing.number} in {panel.name} comes to {actual} from {name}",
        more=f"; {required} is required of drill and screw",
        required=f"at least {required}",
        actual=actual,
        rule=rule,
    )
