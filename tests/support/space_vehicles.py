"""Random small vehicles in three dimensions, as files: spaces that lie over each other, and what parts them.

Plain seeded random. Every measure is a multiple of 1/16 in, so that a vehicle can be written in mm and in
inches without a digit lost.

    question = random_question(Random(7))
    profile_text, job_text = question.profile_text(), question.job_text()
"""

from __future__ import annotations

import math
from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass, replace
from random import Random
from typing import Any

import yaml
from prism_distances import Piece, Prism, nearest

SIXTEENTH_MM = 25.4 / 16.0
HALF_WIDTH_MM = 700.0
HAZARDS = ("hot", "moving", "fuel", "brake", "sharp", "lifting", "high-voltage", "airbag", "solid")
PROFILE_FILE, JOB_FILE = "vehicle.yaml", "job.yaml"

Data = dict[str, Any]


class Length(float):
    """A length in mm, written with its unit; a bare float is a coordinate."""


@dataclass(frozen=True)
class SpaceQuestion:
    """A vehicle and a job on it, as data in mm, and the unit that the vehicle's file is written in."""

    profile: Data
    job: Data
    unit: str = "mm"

    def profile_text(self) -> str:
        return yaml.safe_dump(_written(self.profile | {"unit": self.unit}, self.unit), sort_keys=False)

    def job_text(self) -> str:
        return yaml.safe_dump(_written(self.job, "mm"), sort_keys=False)

    def changed(self, change: Callable[[Data], None]) -> SpaceQuestion:
        """Return the same with a change made in a copy of its vehicle."""
        profile = deepcopy(self.profile)
        change(profile)
        return replace(self, profile=profile)

    def moved(
        self, place: Callable[[float, float], tuple[float, float]], up_mm: float = 0.0
    ) -> SpaceQuestion:
        """Return the same with every place in plan put elsewhere, and everything higher by so much."""
        return replace(self, profile=_moved(self.profile, place, up_mm), job=_moved(self.job, place, up_mm))


def _written(value: Any, unit: str) -> Any:
    """Return data as a file has it: lengths as text with a unit, coordinates in the file's unit."""
    if isinstance(value, dict):
        return {key: _written(each, unit) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [_written(each, unit) for each in value]
    if isinstance(value, Length):
        return f"{_number(value, unit):.9g} {unit}"
    return _number(value, unit) if isinstance(value, float) else value


def _number(mm: float, unit: str) -> float:
    return round(mm / 25.4, 6) if unit == "in" else round(float(mm), 6)


HEIGHTS = ("height", "heights")


def _moved(
    value: Any, place: Callable[[float, float], tuple[float, float]], up_mm: float, key: str = ""
) -> Any:
    if isinstance(value, dict):
        return {name: _moved(each, place, up_mm, name) for name, each in value.items()}
    if isinstance(value, list) and len(value) == 2 and all(type(each) is float for each in value):
        return [float(each) for each in place(*value)]
    if isinstance(value, list):
        return [_moved(each, place, up_mm, key) for each in value]
    return Length(value + up_mm) if isinstance(value, Length) and key in HEIGHTS else value


def random_question(rng: Random) -> SpaceQuestion:
    """Return a vehicle of three or four spaces that lie over each other, and a job of one or two runs."""
    floor_mm = rng.choice([620.0, 650.0, 680.0])  # of the load area, over the underfloor
    profile: Data = {
        "profile": "Random vehicle",
        "revision": 1,
        "measured": {"on": "2026-03-14", "tolerance": _mm(rng.choice([0.0, 5.0, 10.0]))},
        "unit": "mm",
        "datum": "front axle, centre line, workshop floor",
        "spaces": _spaces(rng, floor_mm),
        "panels": _panels(rng, floor_mm),
    }
    heights = {name: each["height"] for name, each in profile["spaces"].items()}
    profile |= {
        "members": [_member(rng, f"member {number}") for number in range(rng.randint(0, 2))],
        "supports": [
            _support(rng, f"support {number}", heights, floor_mm) for number in range(rng.randint(3, 6))
        ],
        "covers": [{"name": "tray", "space": "underfloor", "area": _box(rng, 700.0, 2600.0), "fasteners": 4}],
        "exposed": [{"name": "spray", "space": "underfloor", "area": _box(rng, 700.0, 2600.0)}],
        "openings": _openings(rng, profile, heights),
        "terminals": _terminals(rng, heights, floor_mm),
    }
    places = _places_of_interest(profile)
    count = rng.randint(3, 9)
    bodies = [_keep_out(rng, f"body {n}", heights, floor_mm, places) for n in range(count)]
    profile["keep-outs"] = [each for each in bodies if not _holds_any(each, profile["terminals"])]
    return SpaceQuestion(profile, _job(rng))


def _mm(value_mm: float) -> Length:
    """Return a length as near to a value as a sixteenth of an inch allows."""
    return Length(_at(value_mm))


def _at(value_mm: float) -> float:
    return round(round(value_mm / SIXTEENTH_MM) * SIXTEENTH_MM, 6)


def _point(x: float, y: float) -> list[float]:
    return [_at(x), _at(y)]


def _rectangle(low_x: float, low_y: float, high_x: float, high_y: float) -> list[list[float]]:
    return [_point(low_x, low_y), _point(high_x, low_y), _point(high_x, high_y), _point(low_x, high_y)]


def _box(rng: Random, low_x: float, high_x: float) -> list[list[float]]:
    x, y = rng.uniform(low_x, high_x - 300.0), rng.uniform(-650.0, 250.0)
    return _rectangle(x, y, x + rng.uniform(150.0, 800.0), y + rng.uniform(150.0, 400.0))


def _spaces(rng: Random, floor_mm: float) -> Data:
    half = HALF_WIDTH_MM
    spaces = {
        "engine bay": {"kind": "engine bay", "height": _mm(rng.uniform(560.0, 760.0)),
                       "outline": _rectangle(0.0, -half, 1000.0, half)},
        "underfloor": {"kind": "underfloor", "height": _mm(floor_mm - rng.uniform(30.0, 200.0)),
                       "outline": _rectangle(600.0, -half, 2800.0, half)},
        "load area": {"kind": "load area", "height": _mm(floor_mm + rng.uniform(15.0, 60.0)),
                      "outline": _rectangle(1000.0, -half, 2800.0, half)},
    }  # fmt: skip
    if rng.random() < 0.5:
        x = rng.uniform(1900.0, 2200.0)
        step = {"area": _rectangle(x, -half, x + rng.uniform(300.0, 600.0), half)}
        level_mm = spaces["underfloor"]["height"]
        step["height"] = _mm(rng.choice([level_mm - 60.0, (level_mm + floor_mm) / 2.0]))
        spaces["underfloor"]["steps"] = [step]
    if rng.random() < 0.4:
        x, y = rng.uniform(1900.0, 2300.0), rng.uniform(-600.0, 0.0)
        spaces["well"] = {"kind": "boot", "height": _mm(rng.uniform(430.0, 560.0)),
                          "outline": _rectangle(x, y, x + 450.0, y + 550.0)}  # fmt: skip
    return spaces


def _panels(rng: Random, floor_mm: float) -> list[Data]:
    load_floor: Data = {"name": "load floor", "between": ["underfloor", "load area"], "height": _mm(floor_mm)}
    kind = rng.choice(["everywhere", "box", "corner"])
    if kind == "box":
        load_floor["area"] = _rectangle(
            1000.0, rng.choice([-700.0, -450.0, -50.0]), rng.uniform(1600.0, 2800.0), 700.0
        )
    if kind == "corner":
        x, y = rng.uniform(1500.0, 2300.0), rng.uniform(-300.0, 300.0)
        load_floor["area"] = [_point(*at) for at in ((1000.0, -700.0), (2800.0, -700.0), (2800.0, y), (x, y),
                                                     (x, 700.0), (1000.0, 700.0))]  # fmt: skip
    bulkhead: Data = {"name": "bulkhead", "between": ["engine bay", "load area"]}
    bulkhead["along"] = [
        _point(1000.0, -700.0),
        _point(1000.0, rng.choice([700.0, rng.uniform(-300.0, 600.0)])),
    ]
    toe_board: Data = {"name": "toe board", "between": ["engine bay", "underfloor"]}
    toe_board["along"] = [_point(rng.uniform(850.0, 990.0), -700.0), _point(rng.uniform(850.0, 990.0), 700.0)]
    panels = [load_floor, bulkhead, *([toe_board] if rng.random() < 0.3 else [])]
    for panel in panels:
        if rng.random() < 0.6:
            panel["drill"] = rng.choice(["allowed", "allowed", "never"])
    return panels


def _anywhere(rng: Random, margin_mm: float = 0.0) -> tuple[float, float]:
    half = HALF_WIDTH_MM - margin_mm
    return rng.uniform(margin_mm, 2800.0 - margin_mm), rng.uniform(-half, half)


def _places_of_interest(profile: Data) -> list[list[float]]:
    """Return where a loom rises, drops or slopes, and the corners of what parts it from a body."""
    things = [*profile["openings"], *profile["terminals"]]
    passes = [each for member in profile["members"] for each in member["passes"]]
    ends = [point for support in profile["supports"] for point in support["along"]]
    corners = [point for panel in profile["panels"] for point in panel.get("along") or panel.get("area", ())]
    return [
        *(each["at"] for each in things),
        *ends,
        *corners,
        *(each.get("through") or each["over"][0] for each in passes),
    ]


def _keep_out(rng: Random, name: str, heights: Data, floor_mm: float, places: list[list[float]]) -> Data:
    """Return a body, two of three beside a place of interest."""
    x, y = _anywhere(rng, 60.0)
    if rng.random() < 0.67:
        near, turn, away_mm = rng.choice(places), rng.uniform(0.0, 2.0 * math.pi), rng.uniform(30.0, 200.0)
        x, y = _inside(near[0] + away_mm * math.cos(turn), near[1] + away_mm * math.sin(turn))
    body: Data = {"name": name, "hazard": rng.choice(HAZARDS)}
    kind = rng.choice(["disc", "line", "area"])
    if kind == "disc":
        body["disc"] = {"centre": _point(x, y), "radius": _mm(rng.uniform(10.0, 90.0))}
    elif kind == "line":
        far = [_point(x, y), _point(*_inside(x + rng.uniform(-500.0, 500.0), y + rng.uniform(-300.0, 300.0)))]
        if far[0] == far[1]:  # both at one corner of the vehicle
            far[1] = _point(x - 100.0 if x > 1400.0 else x + 100.0, y)
        body |= {"along": far, "width": _mm(rng.choice([10.0, 40.0, 60.0]))}
        if body["hazard"] in ("brake", "fuel") and rng.random() < 0.7:
            body["guide"] = True
    else:
        body["area"] = _star(rng, x, y, rng.uniform(40.0, 150.0))
    if rng.random() < 0.8:
        body["heights"] = _heights(rng, heights, floor_mm)
    if "heights" not in body or rng.random() < 0.3:
        body["space"] = _space_near(x, heights)
    if body["hazard"] == "hot" and rng.random() < 0.5:
        body["shielded"] = True
    if rng.random() < 0.2:
        body["clearance"] = _mm(rng.uniform(0.0, 60.0))
    return body


def _holds_any(body: Data, terminals: list[Data]) -> bool:
    """Return whether a terminal is inside a body, where no file may put one, or a millimetre beside it."""
    low_mm, high_mm = body.get("heights", (-math.inf, math.inf))
    is_area, disc = "area" in body, body.get("disc", {})
    points = [disc["centre"]] if disc else body.get("along") or body["area"]
    reach_mm = disc.get("radius", 0.0) + body.get("width", 0.0) / 2.0
    prism = Prism(tuple(map(tuple, points)), is_area, reach_mm, low_mm, high_mm)
    places = [(*each["at"], each["height"]) for each in terminals]
    return any(nearest(Piece(place, place), prism)[0] < 1.0 for place in places)


def _heights(rng: Random, heights: Data, floor_mm: float) -> list[Length]:
    """Return from where to where a body goes: on or under the floor, between two levels, or anywhere."""
    below_mm, above_mm = sorted(rng.sample(sorted(heights.values()), 2))
    size_mm, apart_mm, low_mm = rng.uniform(10.0, 200.0), above_mm - below_mm, rng.uniform(200.0, 900.0)
    low_mm, high_mm = rng.choice(
        [
            (floor_mm, floor_mm + size_mm),
            (floor_mm - size_mm, floor_mm),
            (below_mm + 0.3 * apart_mm, below_mm + 0.7 * apart_mm),
            (below_mm - size_mm, below_mm - 0.3 * size_mm),
            (low_mm, low_mm + size_mm),
        ]
    )
    return [_mm(low_mm), _mm(max(low_mm + 10.0, high_mm))]


def _space_near(x: float, heights: Data) -> str:
    """Return a space that is there at a distance from the front."""
    if x < 800.0:
        return "engine bay"
    return "load area" if x > 1100.0 and len(heights) % 2 else "underfloor"


def _inside(x: float, y: float) -> tuple[float, float]:
    return min(max(x, 20.0), 2780.0), min(max(y, -690.0), 690.0)


def _star(rng: Random, x: float, y: float, size_mm: float) -> list[list[float]]:
    """Return the corners of a polygon round a place, seldom convex."""
    count = rng.randint(4, 7)
    turns = [(number + rng.uniform(0.1, 0.9)) * 2.0 * math.pi / count for number in range(count)]
    far = [size_mm * rng.uniform(0.4, 1.0) for _ in turns]
    return [
        _point(x + away * math.cos(turn), y + away * math.sin(turn))
        for turn, away in zip(turns, far, strict=True)
    ]


def _member(rng: Random, name: str) -> Data:
    x = {"member 0": rng.uniform(1150.0, 1500.0), "member 1": rng.uniform(1700.0, 2500.0)}[name]
    passes: list[Data] = []
    y = -620.0
    for _ in range(rng.randint(1, 3)):
        y += rng.uniform(40.0, 200.0)
        if rng.random() < 0.6:
            end = y + rng.uniform(100.0, 220.0)
            passes.append(
                {"over": [_point(x, y), _point(x, end)], "rise": _mm(rng.choice([20.0, 40.0, 60.0]))}
            )
            y = end
        else:
            passes.append({"through": _point(x, y), "bore": _mm(rng.uniform(20.0, 50.0)), "edge": "rolled"})
    along = [_point(x, -HALF_WIDTH_MM), _point(x, HALF_WIDTH_MM)]
    return {
        "name": name,
        "space": "underfloor",
        "along": along,
        "width": _mm(rng.uniform(40.0, 100.0)),
        "passes": passes,
    }


def _on_side(height_mm: float, space: str, floor_mm: float) -> float:
    """Return a height that is on its space's side of the load floor, as everything measured there is."""
    if space == "load area":
        return max(height_mm, floor_mm + 5.0)
    return min(height_mm, floor_mm - 5.0) if space == "underfloor" else height_mm


def _support(rng: Random, name: str, heights: Data, floor_mm: float) -> Data:
    """Return a support, every other one rising or falling along its points."""
    space = rng.choice(["engine bay", "underfloor", "underfloor", "load area"])
    low_x, high_x = {
        "engine bay": (50.0, 950.0),
        "underfloor": (650.0, 2750.0),
        "load area": (1050.0, 2750.0),
    }[space]
    x, y = rng.uniform(low_x, high_x - 350.0), rng.uniform(-680.0, 680.0)
    points = [(x, y)]
    for _ in range(rng.randint(1, 2)):
        x = min(x + rng.uniform(150.0, 700.0), high_x)
        y = min(max(y + rng.uniform(-120.0, 120.0), -680.0), 680.0)
        points += [(x, y)] if x > points[-1][0] + 50.0 else []
    if len(points) == 1:
        points.append((x - 300.0, y))
    support: Data = {
        "name": name,
        "space": space,
        "kind": rng.choice(["flange", "rail", "stud row", "existing loom"]),
    }
    support |= {
        "along": [_point(*at) for at in points],
        "fix": rng.choice(["tie", "tie", "clip", "clip", "never"]),
    }
    height_mm = heights[space] + rng.choice([0.0, 0.0, -40.0, 30.0])
    if rng.random() < 0.5:
        support["heights"] = [
            _mm(_on_side(height_mm + rng.choice([0.0, -60.0, 40.0]), space, floor_mm)) for _ in points
        ]
    else:
        support["height"] = _mm(_on_side(height_mm, space, floor_mm))
    if support["fix"] == "never":
        support["kind"] = "line"
        support |= {"hazard": "brake"} if rng.random() < 0.5 else {}
    return support


def _openings(rng: Random, profile: Data, heights: Data) -> list[Data]:
    """Return openings from the underfloor to every other space, and one through the bulkhead."""
    bays = {"name": "toe-board grommet", "joins": ["engine bay", "underfloor"], "edge": "rubber"}
    bays["at"] = _point(rng.uniform(620.0, 840.0), rng.uniform(-600.0, 600.0))
    bays["height"] = _mm((heights["engine bay"] + heights["underfloor"]) / 2.0)
    plug: Data = {"name": "load floor plug", "joins": ["underfloor", "load area"], "edge": "rubber"}
    plug["at"] = _point(
        rng.uniform(1050.0, 1450.0), rng.uniform(0.0, 600.0)
    )  # in the panel, whatever its area
    bulkhead = {"name": "bulkhead grommet", "joins": ["engine bay", "load area"], "edge": "rolled"}
    end = next(panel for panel in profile["panels"] if panel["name"] == "bulkhead")["along"][1]
    bulkhead["at"] = _point(1000.0, max(-600.0, end[1] - rng.uniform(30.0, 400.0)))
    bulkhead["height"] = _mm((heights["engine bay"] + heights["load area"]) / 2.0)
    openings = [bays, plug, bulkhead]
    if "well" in heights:
        low, _, high, _ = profile["spaces"]["well"]["outline"]
        at = _point((low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0)
        openings.append({"name": "well plug", "joins": ["underfloor", "well"], "at": at, "edge": "bare"})
        openings[-1]["height"] = _mm((heights["underfloor"] + heights["well"]) / 2.0)
    for opening in openings:
        opening["bore"] = _mm(rng.uniform(35.0, 60.0))
    return rng.sample(openings, len(openings))


def _terminals(rng: Random, heights: Data, floor_mm: float) -> list[Data]:
    battery: Data = {
        "name": "battery",
        "kind": "battery post",
        "pole": "positive",
        "space": "engine bay",
        "stud": "M8",
    }
    battery |= {"at": _point(rng.uniform(50.0, 550.0), rng.uniform(-600.0, 600.0))}
    lamp: Data = {"name": "lamp", "kind": "lamp", "space": "load area"}
    lamp |= {"at": _point(rng.uniform(1600.0, 2750.0), rng.uniform(-650.0, 650.0))}
    unit: Data = {"name": "unit", "kind": "unit", "space": "underfloor", "stud": "M6"}
    unit |= {"at": _point(rng.uniform(1100.0, 2750.0), rng.uniform(-650.0, 650.0))}
    for terminal in (battery, lamp, unit):
        space, off_mm = terminal["space"], rng.choice([0.0, 30.0, -30.0])
        terminal["height"] = _mm(_on_side(heights[space] + off_mm, space, floor_mm))
    return [battery, lamp, unit]


def _job(rng: Random) -> Data:
    ends = rng.sample(["lamp", "unit"], rng.choice([1, 1, 2]))
    runs = [
        {"run": end, "from": "battery", "to": end, "fuse": "auto",
         "conductors": [{"name": end, "colour": "red", "load": f"{rng.choice([2, 9, 20])} A",
                         "duty": "continuous", "size": "auto"}]}
        for end in ends
    ]  # fmt: skip
    job: Data = {"job": "Random job", "profile": PROFILE_FILE, "runs": runs, "limits": {"drop": "5 %"}}
    return job | {"source": {"nominal": "12 V", "resting": "12.6 V", "at": "battery"}}
