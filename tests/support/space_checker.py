"""An independent check of plans in three dimensions: a profile file and a plan.json, read as text. mm.

Imports nothing of `router` and no geometry library, so that it shares no code with planner or review.

    breaches = check_plan(profile_text, json.loads(plan_text))

measures every piece of every run, at the thickness of its thickest loom, and every drilled hole against every
body. A body needs no clearance only where a panel parts it from the loom: where every straight line from that
part of the loom to the whole body goes through the panel.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from measured_vehicle import Body, MeasuredVehicle, Panel, Support, read_vehicle
from prism_distances import (
    NOWHERE,
    ON_BORDER_MM,
    WHOLE,
    Nearest,
    Piece,
    Place,
    Point,
    Share,
    along_and_aside,
    box_distance_mm,
    common,
    covers,
    distance_to_line_mm,
    is_in,
    nearest,
    rest_of,
    share_above,
    shares_inside,
)

TOLERANCE_MM = 1e-6
"""What may be missing: rounding, no more."""
ON_LOOM_MM = 0.5
"""How far from a run's line a fixing may be: one that is shared lies on the other run's line."""


@dataclass(frozen=True)
class Breach:
    """A rule that a plan breaks, where, and by how much."""

    run: str
    kind: str
    station_mm: float
    what: str
    required_mm: float
    actual_mm: float


@dataclass(frozen=True)
class Leg:
    """A straight piece of a run in one space."""

    space: str
    piece: Piece
    station_mm: float
    radius_mm: float
    along: str | None

    def station_at(self, share: float) -> float:
        return self.station_mm + share * math.dist(self.piece.start, self.piece.end)


@dataclass(frozen=True)
class Question:
    """A vehicle and the rules for it."""

    vehicle: MeasuredVehicle
    rules: dict[tuple[str, str], float]

    def required_mm(self, body: Body) -> float:
        return self._clearance_mm(body) + max(self.vehicle.tolerance_mm, body.assumed_mm)

    def beyond_mm(self, body: Body) -> float | None:
        """Return the clearance beyond a panel that parts; None where there needs to be none."""
        if body.hazard != "hot":
            return None
        beyond_mm = self.rules["clearance", "hot beyond a panel"]
        return min(beyond_mm, self._clearance_mm(body)) + max(self.vehicle.tolerance_mm, body.assumed_mm)

    def _clearance_mm(self, body: Body) -> float:
        if body.clearance_mm is not None:
            return body.clearance_mm
        is_shielded = body.hazard == "hot" and body.is_shielded
        return self.rules["clearance", "hot shielded" if is_shielded else body.hazard]

    def longest_span_mm(self, space: str) -> float:
        """Return how far apart fixings in a space may be; the least of all where nobody said its kind."""
        allowed = {key: value for (group, key), value in self.rules.items() if group == "spacing"}
        kind = self.vehicle.spaces[space].kind
        return min(allowed.values()) if kind is None else allowed.get(kind, allowed["any space"])


def check_plan(profile_text: str, plan: dict[str, Any]) -> list[Breach]:
    """Return everything that a plan breaks, the worst first."""
    question = question_of(profile_text, plan)
    breaches = []
    for run in plan["runs"]:
        breaches += [*_off_clearance(question, plan, run), *_broken_line(question, run)]
        breaches += [*_badly_changed(question, run), *_off_height(question, plan, run)]
        breaches += _badly_ended(question, plan, run)
        breaches += _badly_fixed(question, plan, run)
        breaches += _long_spans(question, plan, run)
    return sorted(breaches, key=lambda each: each.actual_mm - each.required_mm)


def question_of(profile_text: str, plan: dict[str, Any]) -> Question:
    """Return the vehicle that the profile file describes, in the plan's variant, and the plan's rules."""
    asked = plan["question"]
    vehicle = read_vehicle(profile_text, asked["profile"]["variant"])
    rules = {(rule["group"], rule["key"]): rule["value"] for rule in asked["practice"]["rules"]}
    return Question(vehicle, rules)


# How near a run comes to each body


def legs_of(plan: dict[str, Any], run: dict[str, Any]) -> list[Leg]:
    """Return the pieces of a run, cut where its loom changes, each as thick as the thickest loom there."""
    planned_mm = run["loom_diameter_mm"]
    stretches = [
        (*sorted((part["from_station"], part["to_station"])), loom["outside_mm"])
        for loom in plan["looms"]
        for part in loom["bundle"]["parts"]
        if part["run"] == run["name"] and loom["outside_mm"] > planned_mm
    ]
    ends = sorted({end for low, high, _ in stretches for end in (low, high)})
    legs = []
    for a, b in pairwise(run["points"]):
        if a["space"] == b["space"]:
            leg = Leg(a["space"], Piece(_place(a), _place(b)), a["station"], planned_mm / 2.0, a["along"])
            legs += _cut(leg, ends)
    return [_thickened(leg, stretches) for leg in legs]


def _place(point: dict[str, Any]) -> Place:
    return point["x"], point["y"], point["z"]


def _cut(leg: Leg, stations_mm: list[float]) -> list[Leg]:
    long_mm = math.dist(leg.piece.start, leg.piece.end)
    inside = [at for at in stations_mm if TOLERANCE_MM < at - leg.station_mm < long_mm - TOLERANCE_MM]
    cuts = [leg.station_mm, *inside, leg.station_mm + long_mm]
    if not inside:
        return [leg]
    shares = [(at - leg.station_mm) / long_mm for at in cuts]
    places = [leg.piece.start, *map(leg.piece.at, shares[1:-1]), leg.piece.end]
    return [
        replace(leg, piece=Piece(a, b), station_mm=at)
        for (a, b), at in zip(pairwise(places), cuts, strict=False)
    ]


def _thickened(leg: Leg, stretches: list[tuple[float, float, float]]) -> Leg:
    middle_mm = leg.station_at(0.5)
    over = [outside_mm / 2.0 for low, high, outside_mm in stretches if low <= middle_mm <= high]
    return replace(leg, radius_mm=max([leg.radius_mm, *over]))


def _off_clearance(question: Question, plan: dict[str, Any], run: dict[str, Any]) -> Iterator[Breach]:
    legs = legs_of(plan, run)
    for body in question.vehicle.bodies:
        for name, required_mm, (distance_mm, station_mm) in _measured(question, legs, body):
            if distance_mm < required_mm - TOLERANCE_MM:
                yield Breach(run["name"], "clearance", station_mm, name, required_mm, distance_mm)


def _measured(
    question: Question, legs: list[Leg], body: Body, within_mm: float = 0.0
) -> Iterator[tuple[str, float, Nearest]]:
    """Yield how near the loom comes to a body, once where nothing parts them and once where a panel does."""
    required_mm, beyond_mm = (
        question.required_mm(body),
        question.beyond_mm(body) if question.vehicle.panels else None,
    )
    least = {required_mm: NOWHERE}
    for leg in legs:
        if box_distance_mm(leg.piece, body.prism) - leg.radius_mm > max(required_mm, within_mm):
            continue
        parted = parted_shares(question.vehicle, leg, body)
        shares = [(required_mm, share) for share in rest_of(parted)]
        shares += [(beyond_mm, share) for share in parted] if beyond_mm is not None else []
        for need_mm, share in shares:
            distance_mm, at = nearest(leg.piece, body.prism, share)
            found = (distance_mm - leg.radius_mm, leg.station_at(at))
            least[need_mm] = min(least.get(need_mm, NOWHERE), found)
    for need_mm, found in least.items():
        yield body.name, need_mm, found


def nearest_bodies(
    profile_text: str, plan: dict[str, Any], run: dict[str, Any], within_mm: float
) -> dict[str, float]:
    """Return how near a run comes to each body that no panel parts from it, by its name."""
    question = question_of(profile_text, plan)
    found: dict[str, float] = {}
    for body in question.vehicle.bodies:
        for name, required_mm, (distance_mm, _) in _measured(question, legs_of(plan, run), body, within_mm):
            if required_mm == question.required_mm(body):
                found[name] = min(found.get(name, math.inf), distance_mm)
    return found


# What a panel parts


def parted_shares(vehicle: MeasuredVehicle, leg: Leg, body: Body) -> list[Share]:
    """Return the parts of a leg that some panel parts from a body."""
    found: list[Share] = []
    for panel in vehicle.panels:
        if leg.space in panel.between:
            part = _parted_by_level if panel.along is None else _parted_by_upright
            found += part(vehicle, panel, leg, body)
    return rest_of(rest_of(found)) if found else []


def _parted_by_level(vehicle: MeasuredVehicle, panel: Panel, leg: Leg, body: Body) -> list[Share]:
    height_mm = panel.height_mm
    assert height_mm is not None
    up = -1.0 if vehicle.spaces[leg.space].height_mm < height_mm else 1.0
    if body.space is not None:
        is_beyond = {leg.space, body.space} == set(panel.between)
    elif up < 0.0:
        is_beyond = body.prism.low_mm >= height_mm
    else:
        is_beyond = body.prism.high_mm <= height_mm
    if not is_beyond or (panel.area is not None and not covers(panel.area, body.prism)):
        return []
    over = [up * (z - height_mm) for z in (leg.piece.start[2], leg.piece.end[2])]
    there = shares_inside(leg.piece, panel.area) if panel.area is not None else [WHOLE]
    return common(share_above(*over), there)


def _parted_by_upright(vehicle: MeasuredVehicle, panel: Panel, leg: Leg, body: Body) -> list[Share]:
    assert panel.along is not None
    start, end = panel.along
    long_mm = math.dist(start, end)
    side = _side(vehicle, panel, leg.space)
    reach_mm = body.prism.reach_mm - ON_BORDER_MM
    for point in body.prism.points:
        along_mm, aside_mm = along_and_aside(point, start, end)
        if side * aside_mm > -reach_mm or not reach_mm <= along_mm <= long_mm - reach_mm:
            return []
    ends = [along_and_aside(place[:2], start, end) for place in (leg.piece.start, leg.piece.end)]
    (a_mm, a_aside_mm), (b_mm, b_aside_mm) = ends
    on_side = share_above(side * a_aside_mm, side * b_aside_mm)
    return common(common(on_side, share_above(a_mm, b_mm)), share_above(long_mm - a_mm, long_mm - b_mm))


def _side(vehicle: MeasuredVehicle, panel: Panel, space: str) -> float:
    """Return on which side of an upright panel a space lies: 1 or -1."""
    assert panel.along is not None
    middle = _centroid(vehicle.spaces[space].outline)
    return 1.0 if along_and_aside(middle, *panel.along)[1] >= 0.0 else -1.0


def _centroid(area: tuple[Point, ...]) -> Point:
    twice = x = y = 0.0
    for (ax, ay), (bx, by) in pairwise((*area, area[0])):
        turn = ax * by - bx * ay
        twice, x, y = twice + turn, x + (ax + bx) * turn, y + (ay + by) * turn
    return x / (3.0 * twice), y / (3.0 * twice)


# Whether the line is whole, in its spaces and between its terminals


def _broken_line(question: Question, run: dict[str, Any]) -> Iterator[Breach]:
    """Yield where stations do not follow the line, where it slopes in the air, where it leaves its space."""
    supports = {support.name: support for support in question.vehicle.supports}
    for a, b in pairwise(run["points"]):
        piece = Piece(_place(a), _place(b))
        long_mm, step_mm = math.dist(piece.start, piece.end), b["station"] - a["station"]
        if abs(long_mm - step_mm) > TOLERANCE_MM:
            yield Breach(run["name"], "station", a["station"], "stations", 0.0, -abs(long_mm - step_mm))
        if a["space"] != b["space"]:
            continue
        rises = {0.0, *_rises_at(question, run["loom_diameter_mm"] / 2.0, a["space"], piece.at(0.5))}
        is_on_support = any(_lies_on(piece, supports.get(a["along"]), rise_mm) for rise_mm in rises)
        if not (piece.is_level or piece.is_upright or is_on_support):
            yield Breach(run["name"], "slope", a["station"], str(a["along"]), 0.0, -long_mm)
        outline = question.vehicle.spaces[a["space"]].outline
        if outside := rest_of(shares_inside(piece, outline)):
            off_mm = -long_mm * (outside[0][1] - outside[0][0])
            yield Breach(
                run["name"], "outline", a["station"] + outside[0][0] * long_mm, a["space"], 0.0, off_mm
            )


def _off_height(question: Question, plan: dict[str, Any], run: dict[str, Any]) -> Iterator[Breach]:
    """Yield each level piece on no support that lies at no height of its space, its steps and passes."""
    for leg in legs_of(plan, run):
        if leg.along is not None or not leg.piece.is_level:
            continue
        space = question.vehicle.spaces[leg.space]
        stepped = [(shares_inside(leg.piece, area), height_mm) for area, height_mm in space.steps]
        beside = rest_of([share for shares, _ in stepped for share in shares])
        for shares, height_mm in [*stepped, (beside, space.height_mm)]:
            for share in shares:
                middle, long_mm = leg.piece.at(sum(share) / 2.0), math.dist(leg.piece.start, leg.piece.end)
                rises = (0.0, *_rises_at(question, leg.radius_mm, leg.space, middle))
                heights = [height_mm + rise_mm for rise_mm in rises]
                off_mm = min(abs(middle[2] - each) for each in heights)
                if off_mm > TOLERANCE_MM and (share[1] - share[0]) * long_mm > TOLERANCE_MM:
                    yield Breach(run["name"], "height", leg.station_at(share[0]), leg.space, 0.0, -off_mm)


def _rises_at(question: Question, radius_mm: float, space: str, place: Place) -> Iterator[float]:
    """Yield by how much the members that a loom is over may lift it."""
    for member in question.vehicle.members:
        line = tuple((*point, 0.0) for point in member.along)
        band_mm = member.width_mm / 2.0 + radius_mm + TOLERANCE_MM
        if member.space == space and distance_to_line_mm((*place[:2], 0.0), line) <= band_mm:
            yield from member.rises_mm


def _lies_on(piece: Piece, support: Support | None, rise_mm: float) -> bool:
    """Return whether a piece lies on a support, or so far straight above it on a member."""
    return support is not None and all(
        distance_to_line_mm((x, y, z - rise_mm), support.line) <= TOLERANCE_MM
        for x, y, z in map(piece.at, (0.0, 0.5, 1.0))
    )


def _badly_changed(question: Question, run: dict[str, Any]) -> Iterator[Breach]:
    """Yield each change of space that is at no opening between the two, apart, or in too small a bore."""
    vehicle = question.vehicle
    reach_mm = vehicle.tolerance_mm + TOLERANCE_MM
    for a, b in pairwise(run["points"]):
        if a["space"] == b["space"]:
            continue
        here, station_mm, what = _place(a), a["station"], f"{a['space']} to {b['space']}"
        if (apart_mm := math.dist(here, _place(b))) > TOLERANCE_MM:
            yield Breach(run["name"], "gap", station_mm, what, 0.0, -apart_mm)
        between = [each for each in vehicle.openings if each.joins == {a["space"], b["space"]}]
        near = min(between, key=lambda each: math.dist(each.at, here), default=None)
        if near is None or math.dist(near.at, here) > reach_mm:
            away_mm = math.dist(near.at, here) if near else math.inf
            yield Breach(run["name"], "opening", station_mm, what, -vehicle.tolerance_mm, -away_mm)
            continue
        needed_mm = run["loom_diameter_mm"] + 2.0 * near.is_bare * question.rules["opening", "grommet wall"]
        if near.bore_mm < needed_mm - TOLERANCE_MM:
            yield Breach(run["name"], "bore", station_mm, near.name, needed_mm, near.bore_mm)


def _badly_ended(question: Question, plan: dict[str, Any], run: dict[str, Any]) -> Iterator[Breach]:
    """Yield each end that is not at its terminal, of the vehicle or brought by the job."""
    places = plan["question"]["job"].get("places") or ()
    terminals = dict(question.vehicle.terminals)
    terminals |= {each["name"]: (each["space"], (*each["at"], each["height_mm"])) for each in places}
    for name, point in ((run["from"], run["points"][0]), (run["to"], run["points"][-1])):
        space, at = terminals[name]
        away_mm = math.dist(at, _place(point)) if space == point["space"] else math.inf
        if away_mm > TOLERANCE_MM:
            yield Breach(run["name"], "end", point["station"], name, 0.0, -away_mm)


# What holds it, and what is drilled for that


def _badly_fixed(question: Question, plan: dict[str, Any], run: dict[str, Any]) -> Iterator[Breach]:
    """Yield each fixing off the loom, on nothing or on what takes none, and each hole too near a body."""
    for fixing in run["fixings"]:
        off_mm = math.dist(_place(fixing), _place_at(run, fixing["station"]))
        if off_mm > ON_LOOM_MM + TOLERANCE_MM:
            yield Breach(run["name"], "off the loom", fixing["station"], str(fixing["number"]), 0.0, -off_mm)
        if fixing["support"] is not None:
            yield from _off_support(question, run, fixing)
        elif not fixing.get("hole"):
            yield Breach(run["name"], "in the air", fixing["station"], str(fixing["number"]), 0.0, -math.inf)
        else:
            yield from _badly_drilled(question, plan, run, fixing)


def _long_spans(question: Question, plan: dict[str, Any], run: dict[str, Any]) -> Iterator[Breach]:
    """Yield each span between fixings too long for some space it lies in, that no finding tells of."""
    told = [
        finding["station"]
        for finding in plan["findings"]
        if (finding["kind"], finding["severity"], finding["run"]) == ("span", "must", run["name"])
    ]
    held = sorted([0.0, *(fixing["station"] for fixing in run["fixings"]), run["points"][-1]["station"]])
    for from_mm, to_mm in pairwise(held):
        allowed_mm = min(
            (
                question.longest_span_mm(a["space"])
                for a, b in pairwise(run["points"])
                if a["space"] == b["space"] and a["station"] < to_mm and from_mm < b["station"]
            ),
            default=math.inf,
        )
        is_told = any(from_mm <= at_mm <= to_mm for at_mm in told)
        if to_mm - from_mm > allowed_mm + TOLERANCE_MM and not is_told:
            yield Breach(run["name"], "span", from_mm, "fixings", -allowed_mm, from_mm - to_mm)


def _place_at(run: dict[str, Any], station_mm: float) -> Place:
    """Return where a station of a run is."""
    for a, b in pairwise(run["points"]):
        long_mm = b["station"] - a["station"]
        if long_mm > 0.0 and station_mm <= b["station"] + TOLERANCE_MM:
            return Piece(_place(a), _place(b)).at((station_mm - a["station"]) / long_mm)
    return _place(run["points"][-1])


def _off_support(question: Question, run: dict[str, Any], fixing: dict[str, Any]) -> Iterator[Breach]:
    supports = [support for support in question.vehicle.supports if support.name == fixing["support"]]
    support = supports[0] if supports and supports[0].space == fixing["space"] else None
    if support is None or support.fix == "never" or (fixing["kind"] == "tie" and support.fix != "tie"):
        yield Breach(run["name"], "takes none", fixing["station"], fixing["support"], 0.0, -math.inf)
        return
    away_mm, reach_mm = distance_to_line_mm(_place(fixing), support.line), question.rules["fixing", "reach"]
    if away_mm > reach_mm + TOLERANCE_MM:
        yield Breach(run["name"], "out of reach", fixing["station"], support.name, -reach_mm, -away_mm)


def _radius_mm(plan: dict[str, Any], run: dict[str, Any], station_mm: float) -> float:
    """Return half the thickness of the thickest loom that a run lies in at a station."""
    there = [leg for leg in legs_of(plan, run) if leg.station_mm - TOLERANCE_MM <= station_mm]
    radii_mm = [leg.radius_mm for leg in there if station_mm <= leg.station_at(1.0) + TOLERANCE_MM]
    return max(radii_mm, default=run["loom_diameter_mm"] / 2.0)  # none where stations do not follow the line


def _badly_drilled(
    question: Question, plan: dict[str, Any], run: dict[str, Any], fixing: dict[str, Any]
) -> Iterator[Breach]:
    vehicle, hole, station_mm = question.vehicle, fixing["hole"], fixing["station"]
    panels = [each for each in vehicle.panels if each.name == hole["panel"]]
    panel = panels[0] if panels else None
    if panel is None or not panel.may_be_drilled or fixing["space"] not in panel.between:
        yield Breach(run["name"], "takes none", station_mm, hole["panel"], 0.0, -math.inf)
        return
    face, beyond = _drilled(question, panel, fixing)
    away_mm = math.dist(face, _place(fixing)) - _radius_mm(plan, run, station_mm)
    reach_mm = question.rules["fixing", "reach"]
    if away_mm > reach_mm + TOLERANCE_MM or not _is_there(vehicle, panel, face[:2]):
        yield Breach(run["name"], "out of reach", station_mm, panel.name, -reach_mm, -away_mm)
    off_mm = max(math.dist(face, hole["start"]), math.dist(beyond, hole["end"]))
    if off_mm > TOLERANCE_MM:
        yield Breach(run["name"], "hole elsewhere", station_mm, panel.name, 0.0, -off_mm)
    for member in vehicle.members:
        band_mm = distance_to_line_mm((*face[:2], 0.0), tuple((*point, 0.0) for point in member.along))
        if member.space == fixing["space"] and band_mm < member.width_mm / 2.0 - TOLERANCE_MM:
            yield Breach(run["name"], "drilled", station_mm, member.name, member.width_mm / 2.0, band_mm)
    for body in vehicle.bodies:
        distance_mm = nearest(Piece(face, beyond), body.prism)[0] - hole["diameter_mm"] / 2.0
        if distance_mm < question.required_mm(body) - TOLERANCE_MM:
            yield Breach(run["name"], "hole", station_mm, body.name, question.required_mm(body), distance_mm)


def _drilled(question: Question, panel: Panel, fixing: dict[str, Any]) -> tuple[Place, Place]:
    """Return where a fixing's hole begins, on the panel, and where the drill ends, away from the loom."""
    x, y, z = _place(fixing)
    reach_mm = question.rules["hole", "reach"]
    if panel.along is None:
        assert panel.height_mm is not None
        is_below = question.vehicle.spaces[fixing["space"]].height_mm < panel.height_mm
        return (x, y, panel.height_mm), (x, y, panel.height_mm + (reach_mm if is_below else -reach_mm))
    (ax, ay), (bx, by) = panel.along
    long_mm = math.dist(*panel.along)
    ux, uy = (bx - ax) / long_mm, (by - ay) / long_mm
    along_mm, _ = along_and_aside((x, y), *panel.along)
    away_mm = -reach_mm * _side(question.vehicle, panel, fixing["space"])
    face = (ax + along_mm * ux, ay + along_mm * uy)
    return (*face, z), (face[0] - uy * away_mm, face[1] + ux * away_mm, z)


def _is_there(vehicle: MeasuredVehicle, panel: Panel, at: Point) -> bool:
    """Return whether a panel is there: in its area, where both its spaces are, or in its strip."""
    if panel.along is not None:
        along_mm, _ = along_and_aside(at, *panel.along)
        return -TOLERANCE_MM <= along_mm <= math.dist(*panel.along) + TOLERANCE_MM
    if panel.area is not None:
        return is_in(at, panel.area)
    return all(is_in(at, vehicle.spaces[space].outline) for space in panel.between)
