"""Good plans broken on purpose, by an amount that is known from sampled places alone. mm.

Nothing here uses the checker's geometry: a loom and a body are many places, a distance is that of two of
them, and a body counts only where the straight line to it goes through no panel. So what is planted is broken
for certain, by at least the amount that is told; between the samples it may be broken by a little more.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import dataclass
from itertools import pairwise
from random import Random
from typing import Any

import numpy as np
from space_vehicles import Length, SpaceQuestion

Data = dict[str, Any]
Array = Any

LOOM_STEP_MM = 4.0
BODY_STEPS = 24
LEAST_MM = 0.5
"""What is planted breaks its rule by at least this."""
MOST_TRIES = 400


@dataclass(frozen=True)
class Planted:
    """A question and a plan that breaks a rule on it: where, what, and by at least how much."""

    profile_text: str
    plan: Data
    run: str
    kinds: tuple[str, ...]
    what: str
    by_mm: float


Planter = Callable[[Random, SpaceQuestion, Data], Planted | None]


def plant(rng: Random, question: SpaceQuestion, plan: Data) -> Planted:
    """Return a plan broken in one of many ways, by chance."""
    for _ in range(MOST_TRIES):
        planted = rng.choice(PLANTERS)(rng, question, deepcopy(plan))
        if planted is not None:
            return planted
    raise ValueError("nothing could be planted")


# Too near a body


def _move_body(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Carry a body near to a place of a run."""
    run = rng.choice(plan["runs"])
    x, y, z = rng.choice(_loom_places(run))[0]
    number = rng.randrange(len(question.profile["keep-outs"]))

    def carry(profile: Data) -> None:
        body = profile["keep-outs"][number]
        from_x, from_y = _points(body)[0]
        away_mm, turn = rng.uniform(0.0, 250.0), rng.uniform(0.0, 2.0 * math.pi)
        dx, dy = x + away_mm * math.cos(turn) - from_x, y + away_mm * math.sin(turn) - from_y
        _carried(body, dx, dy)
        if "heights" in body:
            low_mm = z + rng.uniform(-150.0, 100.0)
            body["heights"] = [Length(low_mm), Length(low_mm + rng.uniform(5.0, 200.0))]

    moved = question.changed(carry)
    return _too_near(moved, plan, run, moved.profile["keep-outs"][number])


def _move_corner(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Carry a corner of a run towards a body, with what stands upright at it; stations follow."""
    run = rng.choice(plan["runs"])
    corners = sorted({(p["x"], p["y"]) for p in run["points"][1:-1]})
    if not corners:
        return None
    corner, dx, dy = rng.choice(corners), rng.uniform(-150.0, 150.0), rng.uniform(-150.0, 150.0)
    for point in run["points"]:
        if (point["x"], point["y"]) == corner:
            point["x"], point["y"] = point["x"] + dx, point["y"] + dy
    _restation(run)
    return _too_near(question, plan, run, rng.choice(question.profile["keep-outs"]))


def _raise_piece(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Lay a stretch of a run higher or lower."""
    run = rng.choice(plan["runs"])
    low, high = sorted(rng.sample(range(len(run["points"])), 2))
    up_mm = rng.uniform(-150.0, 150.0)
    for point in run["points"][low : high + 1]:
        point["z"] += up_mm
    _restation(run)
    return _too_near(question, plan, run, rng.choice(question.profile["keep-outs"]))


def _thicken(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Make a run's loom thicker than it was planned with."""
    run = rng.choice(plan["runs"])
    run["loom_diameter_mm"] += rng.uniform(5.0, 150.0)
    return _too_near(question, plan, run, rng.choice(question.profile["keep-outs"]))


def _too_near(question: SpaceQuestion, plan: Data, run: Data, body: Data) -> Planted | None:
    """Return the plan if a run is too near to a body for certain."""
    places = _loom_places(run)
    pairs = _distances(np.array([place for place, _ in places]), body)
    short_mm = _required_mm(question, plan, body) + run["loom_diameter_mm"] / 2.0 - pairs.min(axis=1)
    footprint = _footprint(body)
    for index in np.argsort(-short_mm)[:60]:
        if short_mm[index] < LEAST_MM:
            return None
        place, space = places[index]
        other = _on_body(place, footprint[int(pairs[index].argmin())], body)
        panels = [panel for panel in question.profile["panels"] if space in panel["between"]]
        if not any(_may_part(panel, space, body) or _is_through(panel, place, other) for panel in panels):
            text = question.profile_text()
            return Planted(text, plan, run["name"], ("clearance",), body["name"], float(short_mm[index]))
    return None


def _loom_places(run: Data) -> list[tuple[Array, str]]:
    """Return many places of a run, each with its space."""
    places = []
    for a, b in _pairs(run):
        if a["space"] == b["space"]:
            ends = np.array([[p["x"], p["y"], p["z"]] for p in (a, b)])
            count = 2 + int(math.dist(*ends) / LOOM_STEP_MM)
            places += [
                (ends[0] + share * (ends[1] - ends[0]), a["space"]) for share in np.linspace(0.0, 1.0, count)
            ]
    return places


def _distances(places: Array, body: Data) -> Array:
    """Return the distance of each place to each sampled upright of a body."""
    footprint = _footprint(body)
    plan_mm = np.hypot(*(places[:, None, axis] - footprint[None, :, axis] for axis in (0, 1)))
    low_mm, high_mm = body.get("heights", (-math.inf, math.inf))
    gaps_mm = np.maximum(np.maximum(low_mm - places[:, 2], places[:, 2] - high_mm), 0.0)
    return np.hypot(plan_mm, gaps_mm[:, None])


def _on_body(place: Array, upright: Array, body: Data) -> Array:
    low_mm, high_mm = body.get("heights", (-math.inf, math.inf))
    return np.array([*upright, min(max(place[2], low_mm), high_mm)])


def _footprint(body: Data) -> Array:
    """Return many places of a body's footprint, its border with them."""
    shares = np.linspace(0.0, 1.0, BODY_STEPS)
    if "disc" in body:
        turns = np.linspace(0.0, 2.0 * math.pi, 4 * BODY_STEPS)
        return np.array(body["disc"]["centre"]) + float(body["disc"]["radius"]) * _circle(turns)
    points = np.array(_points(body), dtype=float)
    if "along" in body:
        line = np.concatenate([a + shares[:, None] * (b - a) for a, b in pairwise(points)])
        around = _circle(np.linspace(0.0, 2.0 * math.pi, BODY_STEPS)) * float(body["width"]) / 2.0
        return (line[:, None, :] + around[None, :, :]).reshape(-1, 2)
    border = np.concatenate(
        [a + shares[:, None] * (b - a) for a, b in zip(points, np.roll(points, -1, 0), strict=True)]
    )
    (low_x, low_y), (high_x, high_y) = points.min(axis=0), points.max(axis=0)
    grid = [(x, y) for x in low_x + shares * (high_x - low_x) for y in low_y + shares * (high_y - low_y)]
    return np.concatenate([border, np.array([at for at in grid if _is_inside(at, points)] or [points[0]])])


def _circle(turns: Array) -> Array:
    return np.stack([np.cos(turns), np.sin(turns)], axis=1)


def _is_inside(at: Any, area: Any) -> bool:
    """Return whether a place is inside a polygon, by the turns that its corners make round it."""
    turned = 0.0
    for a, b in zip(area, [*area[1:], area[0]], strict=True):
        step = math.atan2(b[1] - at[1], b[0] - at[0]) - math.atan2(a[1] - at[1], a[0] - at[0])
        turned += (step + math.pi) % (2.0 * math.pi) - math.pi
    return abs(turned) > math.pi


def _may_part(panel: Data, space: str, body: Data) -> bool:
    """Return whether a floor parts a body for being in the space beyond it, at whatever height."""
    return "heights" not in body and "height" in panel and {space, body["space"]} == set(panel["between"])


def _is_through(panel: Data, place: Array, other: Array) -> bool:
    """Return whether the straight line between two places goes through a panel or touches it."""
    if "along" in panel:
        (ax, ay), (bx, by) = panel["along"]
        sides = [(bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax) for p in (place, other)]
        ends = [(other[0] - place[0]) * (y - place[1]) - (other[1] - place[1]) * (x - place[0])
                for x, y in panel["along"]]  # fmt: skip
        return sides[0] * sides[1] <= 0.0 and ends[0] * ends[1] <= 0.0
    height_mm = float(panel["height"])
    if (place[2] - height_mm) * (other[2] - height_mm) > 0.0:
        return False
    rise_mm = other[2] - place[2]
    met = place + (height_mm - place[2]) / rise_mm * (other - place) if rise_mm else place
    return "area" not in panel or _is_inside(met[:2], panel["area"])


def _required_mm(question: SpaceQuestion, plan: Data, body: Data) -> float:
    rules = {(rule["group"], rule["key"]): rule["value"] for rule in plan["question"]["practice"]["rules"]}
    key = "hot shielded" if body["hazard"] == "hot" and body.get("shielded") else body["hazard"]
    own_mm = float(body["clearance"]) if "clearance" in body else rules["clearance", key]
    return own_mm + float(question.profile["measured"]["tolerance"])


def _points(body: Data) -> list[list[float]]:
    return [body["disc"]["centre"]] if "disc" in body else body.get("along") or body["area"]


def _carried(body: Data, dx: float, dy: float) -> None:
    for point in _points(body):
        point[0], point[1] = point[0] + dx, point[1] + dy


def _restation(run: Data) -> None:
    """Give a run's points the stations that their places have."""
    station_mm, before = 0.0, None
    for point in run["points"]:
        place = (point["x"], point["y"], point["z"])
        station_mm += math.dist(before, place) if before else 0.0
        point["station"], before = station_mm, place


# Not whole


def _part_line(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Take out the point behind a change of space: the line then jumps from one space into the other."""
    run = rng.choice(plan["runs"])
    changes = [
        n for n, (a, b) in enumerate(_pairs(run)) if a["space"] != b["space"] and n + 2 < len(run["points"])
    ]
    if not changes:
        return None
    number = rng.choice(changes)
    gone = run["points"].pop(number + 1)
    after = run["points"][number + 1]
    by_mm = math.dist(*[(p["x"], p["y"], p["z"]) for p in (gone, after)])
    if by_mm < LEAST_MM or after["space"] != gone["space"]:
        return None
    what = f"{run['points'][number]['space']} to {gone['space']}"
    return Planted(question.profile_text(), plan, run["name"], ("gap",), what, by_mm)


def _pairs(run: Data) -> Iterator[tuple[Data, Data]]:
    return pairwise(run["points"])


def _level_pieces(run: Data) -> list[int]:
    """Return the numbers of the level pieces of a run that follow no support, and are of some length."""
    return [
        number
        for number, (a, b) in enumerate(_pairs(run))
        if a["space"] == b["space"]
        and a["along"] is None
        and a["z"] == b["z"]
        and math.hypot(a["x"] - b["x"], a["y"] - b["y"]) > LEAST_MM
    ]


def _lift_piece(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Lay a level piece at a height that its space does not have, or only one end of it."""
    run = rng.choice(plan["runs"])
    numbers, by_mm, is_tilted = _level_pieces(run), rng.uniform(LEAST_MM, 15.0), rng.random() < 0.5
    if not numbers:
        return None
    number = rng.choice(numbers)
    for point in run["points"][number : number + 1 + (not is_tilted)]:
        point["z"] += by_mm
    _restation(run)
    what = "None" if is_tilted else run["points"][number]["space"]
    kind = "slope" if is_tilted else "height"
    return Planted(question.profile_text(), plan, run["name"], (kind,), what, by_mm)


def _shrink_space(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Let a space end before a corner of a run in it."""
    run = rng.choice(plan["runs"])
    corner, by_mm = rng.choice(run["points"]), rng.uniform(LEAST_MM, 50.0)
    outline = question.profile["spaces"][corner["space"]]["outline"]
    if corner["x"] - by_mm < outline[0][0] + 10.0:
        return None

    def shrink(profile: Data) -> None:
        for point in profile["spaces"][corner["space"]]["outline"]:
            point[0] = min(point[0], corner["x"] - by_mm)

    text = question.changed(shrink).profile_text()
    return Planted(text, plan, run["name"], ("outline",), corner["space"], LEAST_MM)


def _shift_station(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    run = rng.choice(plan["runs"])
    number, by_mm = rng.randrange(1, len(run["points"])), rng.uniform(LEAST_MM, 50.0)
    for point in run["points"][number:]:
        point["station"] += by_mm
    return Planted(question.profile_text(), plan, run["name"], ("station",), "stations", by_mm)


def _move_opening(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Carry an opening that a run goes through away from it, and any other between the same spaces."""
    run = rng.choice(plan["runs"])
    changes = [(a["space"], b["space"]) for a, b in _pairs(run) if a["space"] != b["space"]]
    if not changes:
        return None
    spaces = rng.choice(changes)
    by_mm = rng.uniform(LEAST_MM, 300.0)

    def carry(profile: Data) -> None:
        for opening in profile["openings"]:
            if set(opening["joins"]) == set(spaces):
                opening["at"][1] += by_mm + float(profile["measured"]["tolerance"])
                opening.setdefault("height", Length(600.0))

    text = question.changed(carry).profile_text()
    return Planted(text, plan, run["name"], ("opening",), f"{spaces[0]} to {spaces[1]}", by_mm)


def _narrow_bore(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    run = rng.choice(plan["runs"])
    used = [passage["name"] for passage in run["passages"] if passage["kind"] == "opening"]
    if not used:
        return None
    name, by_mm = rng.choice(used), rng.uniform(LEAST_MM, 5.0)

    def narrow(profile: Data) -> None:
        for opening in profile["openings"]:
            if opening["name"] == name:
                opening["bore"] = Length(run["loom_diameter_mm"] - by_mm)

    return Planted(question.changed(narrow).profile_text(), plan, run["name"], ("bore",), name, by_mm)


def _move_terminal(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    run, key = rng.choice(plan["runs"]), rng.choice(["from", "to"])
    by_mm, axis = rng.uniform(LEAST_MM, 100.0), rng.choice([0, 1])

    def carry(profile: Data) -> None:
        for terminal in profile["terminals"]:
            if terminal["name"] == run[key]:
                terminal["at"][axis] += by_mm

    return Planted(question.changed(carry).profile_text(), plan, run["name"], ("end",), run[key], by_mm)


# Not held


def _fixing(rng: Random, run: Data, *, is_drilled: bool) -> Data | None:
    found = [each for each in run["fixings"] if (each["support"] is None) == is_drilled]
    return rng.choice(found) if found else None


def _move_fixing(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Carry a fixing off its loom."""
    run = rng.choice(plan["runs"])
    fixing = rng.choice(run["fixings"] or [None])
    if fixing is None:
        return None
    by_mm = rng.uniform(5.0, 200.0)
    fixing["z"] += by_mm
    return Planted(question.profile_text(), plan, run["name"], ("off the loom",), str(fixing["number"]), 0.0)


def _move_support(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Carry a support up out of a fixing's reach."""
    run = rng.choice(plan["runs"])
    fixing = _fixing(rng, run, is_drilled=False)
    if fixing is None:
        return None
    by_mm = rng.uniform(LEAST_MM, 100.0)

    def carry(profile: Data) -> None:
        support = next(each for each in profile["supports"] if each["name"] == fixing["support"])
        low_mm = fixing["z"] + 20.0 + by_mm  # the shipped reach of a fixing
        support.pop("heights", None)
        support["height"] = Length(low_mm)

    text = question.changed(carry).profile_text()
    return Planted(text, plan, run["name"], ("out of reach",), fixing["support"], by_mm)


def _forbid_support(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    run = rng.choice(plan["runs"])
    fixing = _fixing(rng, run, is_drilled=False)
    if fixing is None:
        return None

    def forbid(profile: Data) -> None:
        next(each for each in profile["supports"] if each["name"] == fixing["support"])["fix"] = "never"

    text = question.changed(forbid).profile_text()
    return Planted(text, plan, run["name"], ("takes none",), fixing["support"], math.inf)


def _let_go(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Let a fixing hold on to nothing."""
    run = rng.choice(plan["runs"])
    fixing = rng.choice(run["fixings"] or [None])
    if fixing is None:
        return None
    fixing["support"], fixing["hole"] = None, None
    return Planted(
        question.profile_text(), plan, run["name"], ("in the air",), str(fixing["number"]), math.inf
    )


def _take_fixing(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Take a fixing out, so that more is left between its neighbours than any space allows, untold."""
    run = rng.choice(plan["runs"])
    if not run["fixings"]:
        return None
    number = rng.randrange(len(run["fixings"]))
    ends_mm = [0.0, *(each["station"] for each in run["fixings"]), run["points"][-1]["station"]]
    from_mm, to_mm = ends_mm[number], ends_mm[number + 2]
    del run["fixings"][number]
    plan["findings"] = [each for each in plan["findings"] if not _is_told_of(each, run, from_mm, to_mm)]
    by_mm = to_mm - from_mm - max(_spacings_mm(plan))
    if by_mm < LEAST_MM:
        return None
    return Planted(question.profile_text(), plan, run["name"], ("span",), "fixings", by_mm)


def _keep_quiet(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Tell nobody of a span that nothing holds."""
    told = [each for each in plan["findings"] if each["kind"] == "span"]
    if not told:
        return None
    finding = rng.choice(told)
    plan["findings"].remove(finding)
    by_mm = float(finding["actual"].removesuffix(" mm")) - finding["rule"]["value"] - LEAST_MM  # whole mm
    return Planted(question.profile_text(), plan, finding["run"], ("span",), "fixings", by_mm)


def _is_told_of(finding: Data, run: Data, from_mm: float, to_mm: float) -> bool:
    return (finding["kind"], finding["run"]) == ("span", run["name"]) and from_mm <= finding[
        "station"
    ] <= to_mm


def _spacings_mm(plan: Data) -> list[float]:
    return [each["value"] for each in plan["question"]["practice"]["rules"] if each["group"] == "spacing"]


# Badly drilled


def _forbid_drilling(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    run = rng.choice(plan["runs"])
    fixing = _fixing(rng, run, is_drilled=True)
    if fixing is None:
        return None
    name = fixing["hole"]["panel"]

    def forbid(profile: Data) -> None:
        next(each for each in profile["panels"] if each["name"] == name)["drill"] = "never"

    return Planted(
        question.changed(forbid).profile_text(), plan, run["name"], ("takes none",), name, math.inf
    )


def _move_hole(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    run = rng.choice(plan["runs"])
    fixing = _fixing(rng, run, is_drilled=True)
    if fixing is None:
        return None
    by_mm, key, axis = rng.uniform(LEAST_MM, 50.0), rng.choice(["start", "end"]), rng.choice([0, 1, 2])
    fixing["hole"][key][axis] += by_mm
    return Planted(
        question.profile_text(), plan, run["name"], ("hole elsewhere",), fixing["hole"]["panel"], by_mm
    )


def _put_behind_hole(rng: Random, question: SpaceQuestion, plan: Data) -> Planted | None:
    """Carry a body near to a drilled hole: no panel parts a drill from it."""
    run = rng.choice(plan["runs"])
    fixing = _fixing(rng, run, is_drilled=True)
    if fixing is None:
        return None
    hole, number = fixing["hole"], rng.randrange(len(question.profile["keep-outs"]))

    def carry(profile: Data) -> None:
        body = profile["keep-outs"][number]
        (x, y, z), (from_x, from_y) = hole["end"], _points(body)[0]
        _carried(body, x - from_x + rng.uniform(-150.0, 150.0), y - from_y + rng.uniform(-150.0, 150.0))
        low_mm = z + rng.uniform(-100.0, 60.0)
        body["heights"] = [Length(low_mm), Length(low_mm + rng.uniform(5.0, 80.0))]

    moved = question.changed(carry)
    body = moved.profile["keep-outs"][number]
    ends = np.array([hole["start"], hole["end"]])
    places = ends[0] + np.linspace(0.0, 1.0, 40)[:, None] * (ends[1] - ends[0])
    nearest_mm = float(_distances(places, body).min()) - hole["diameter_mm"] / 2.0
    by_mm = _required_mm(moved, plan, body) - nearest_mm
    if by_mm < LEAST_MM:
        return None
    return Planted(moved.profile_text(), plan, run["name"], ("hole",), body["name"], by_mm)


PLANTERS: tuple[Planter, ...] = (
    _move_body, _move_body, _move_body, _move_corner, _move_corner, _raise_piece, _raise_piece, _thicken,
    _part_line, _shift_station, _lift_piece, _shrink_space, _move_opening, _narrow_bore, _move_terminal,
    _move_fixing, _move_support, _forbid_support, _let_go, _take_fixing, _keep_quiet,
    _forbid_drilling, _move_hole, _put_behind_hole, _put_behind_hole,
)  # fmt: skip
