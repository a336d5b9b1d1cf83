"""A profile file read as plain text and YAML, for the checker: shares no code with `router`. mm.

Faults of a file are not looked for here; the reading door has found them all before a plan is made.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import yaml
from prism_distances import Piece, Place, Point, Prism, is_in, nearest

MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, '"': 25.4, "'": 304.8}
LINE_MM = 10.0
"""How thick a brake or fuel line is, that is given as a support which nothing may be fixed to."""
SAME_LINE_MM = 25.0
"""A brake or fuel line that lies all along within this of such a support is that line itself."""


@dataclass(frozen=True)
class Space:
    """A space."""

    height_mm: float
    outline: tuple[Point, ...]
    steps: tuple[tuple[tuple[Point, ...], float], ...]
    """Parts of it where a loom lies at another height: area and height."""
    kind: str | None


@dataclass(frozen=True)
class Body:
    """What a loom stays away from. `space` is where one without heights was listed, None for others."""

    name: str
    hazard: str
    space: str | None
    prism: Prism
    is_shielded: bool
    clearance_mm: float | None
    assumed_mm: float
    """How far it may be off by itself; 0 where it was measured."""


@dataclass(frozen=True)
class Panel:
    """A panel: level at a height, or upright along two points."""

    name: str
    between: tuple[str, str]
    height_mm: float | None
    along: tuple[Point, Point] | None
    area: tuple[Point, ...] | None
    may_be_drilled: bool


@dataclass(frozen=True)
class Support:
    """A support as a line in space."""

    name: str
    space: str
    line: tuple[Place, ...]
    fix: str


@dataclass(frozen=True)
class Opening:
    """An opening."""

    name: str
    joins: frozenset[str]
    at: Place
    bore_mm: float
    is_bare: bool


@dataclass(frozen=True)
class Member:
    """A member, as a band in plan, and by how much each of its passes over the top lifts a loom."""

    name: str
    space: str
    along: tuple[Point, ...]
    width_mm: float
    rises_mm: tuple[float, ...]


@dataclass(frozen=True)
class MeasuredVehicle:
    """What a profile file says of one vehicle, one variant applied."""

    tolerance_mm: float
    spaces: dict[str, Space]
    bodies: tuple[Body, ...]
    panels: tuple[Panel, ...]
    supports: tuple[Support, ...]
    openings: tuple[Opening, ...]
    members: tuple[Member, ...]
    terminals: dict[str, tuple[str, Place]]


def read_vehicle(text: str, variant: str | None = None) -> MeasuredVehicle:
    """Return the vehicle that a profile file describes."""
    data = yaml.load(text, yaml.BaseLoader)
    sections = _in_variant(data, variant)
    return _Reader(MM[data["unit"]], sections).vehicle(length_mm(data["measured"]["tolerance"]))


def length_mm(text: str) -> float:
    """Return a length as a person writes it: "40 mm", "1.5 in", "1 1/2 in", "1 ft 6 in"."""
    parts = re.findall(
        r"([+-]?[0-9./ ]*[0-9])\s*(mm|cm|m|in|ft|\"|')", text.replace("″", '"').replace("′", "'")
    )
    if not parts:
        raise ValueError(f"{text!r} is no length")
    return round(sum(_number(number) * MM[unit] for number, unit in parts), 9)


def _number(text: str) -> float:
    """Return a number that may have a fraction: "1 1/2"."""
    total, sign = 0.0, -1.0 if text.startswith("-") else 1.0
    for part in text.lstrip("+-").split():
        above, _, below = part.partition("/")
        total += float(above) / float(below or 1)
    return sign * total


SECTIONS = ("keep-outs", "panels", "members", "supports", "covers", "exposed", "openings", "terminals")


def _in_variant(data: dict[str, Any], variant: str | None) -> dict[str, dict[str, Any]]:
    """Return each section as things by name, what a variant removes, replaces and adds included."""
    sections = {key: {each["name"]: each for each in data.get(key, ())} for key in SECTIONS}
    sections["spaces"] = dict(data["spaces"])
    if variant is None:
        return sections
    changes = data["variants"][variant] or {}
    for name in changes.get("remove", ()):
        for things in sections.values():
            things.pop(name, None)
    for change in ("replace", "add"):
        for key, things in (changes.get(change) or {}).items():
            named = things if key == "spaces" else {each["name"]: each for each in things}
            sections[key].update(named)
    return sections


class _Reader:
    """Turns the things of a file into records in mm."""

    def __init__(self, mm_per_unit: float, sections: dict[str, dict[str, Any]]) -> None:
        self.mm_per_unit = mm_per_unit
        self.sections = sections
        self.spaces = {
            name: Space(
                length_mm(each["height"]),
                self.points(each["outline"]),
                tuple((self.points(s["area"]), length_mm(s["height"])) for s in each.get("steps", ())),
                each.get("kind"),
            )
            for name, each in sections["spaces"].items()
        }
        self.panels = tuple(self.panel(each) for each in sections["panels"].values())

    def vehicle(self, tolerance_mm: float) -> MeasuredVehicle:
        things = {key: list(each.values()) for key, each in self.sections.items()}
        bodies = [self.body(each) for each in things["keep-outs"]]
        supports = tuple(self.support(each) for each in things["supports"])
        bodies += [body for each in things["supports"] for body in self.never_touched(each, bodies)]
        return MeasuredVehicle(
            tolerance_mm,
            self.spaces,
            tuple(bodies),
            self.panels,
            supports,
            tuple(self.opening(each) for each in things["openings"]),
            tuple(self.member(each) for each in things["members"]),
            {each["name"]: (each["space"], self.place(each)) for each in things["terminals"]},
        )

    def point(self, pair: list[str]) -> Point:
        return float(pair[0]) * self.mm_per_unit, float(pair[1]) * self.mm_per_unit

    def points(self, pairs: Iterable[list[str]]) -> tuple[Point, ...]:
        return tuple(self.point(pair) for pair in pairs)

    def place(self, each: dict[str, Any]) -> Place:
        return *self.point(each["at"]), length_mm(each["height"])

    def body(self, each: dict[str, Any]) -> Body:
        heights = each.get("heights")
        low_mm, high_mm = map(length_mm, heights) if heights else (-math.inf, math.inf)
        return Body(
            each["name"],
            each["hazard"],
            None if heights else each["space"],
            self.prism(each, low_mm, high_mm),
            each.get("shielded") == "true",
            length_mm(each["clearance"]) if "clearance" in each else None,
            length_mm(each.get("assumed", "0 mm")),
        )

    def prism(self, each: dict[str, Any], low_mm: float, high_mm: float) -> Prism:
        if "disc" in each:
            disc = each["disc"]
            return Prism((self.point(disc["centre"]),), False, length_mm(disc["radius"]), low_mm, high_mm)
        if "area" in each:
            return Prism(self.points(each["area"]), True, 0.0, low_mm, high_mm)
        return Prism(self.points(each["along"]), False, length_mm(each["width"]) / 2.0, low_mm, high_mm)

    def panel(self, each: dict[str, Any]) -> Panel:
        first, second = each["between"]
        along = self.points(each["along"]) if "along" in each else None
        return Panel(
            each["name"],
            (first, second),
            length_mm(each["height"]) if "height" in each else None,
            (along[0], along[1]) if along else None,
            self.points(each["area"]) if "area" in each else None,
            each.get("drill") == "allowed",
        )

    def member(self, each: dict[str, Any]) -> Member:
        rises_mm = tuple(length_mm(over["rise"]) for over in each.get("passes", ()) if "rise" in over)
        along, width_mm = self.points(each["along"]), length_mm(each["width"])
        return Member(each["name"], each["space"], along, width_mm, rises_mm)

    def support(self, each: dict[str, Any]) -> Support:
        points = self.points(each["along"])
        heights = [length_mm(text) for text in each.get("heights", ())]
        if not heights:
            height_mm = (
                length_mm(each["height"]) if "height" in each else self.spaces[each["space"]].height_mm
            )
            heights = [height_mm] * len(points)
        line = tuple((*point, z) for point, z in zip(points, heights, strict=True))
        return Support(each["name"], each["space"], line, each["fix"])

    def never_touched(self, each: dict[str, Any], bodies: list[Body]) -> Iterable[Body]:
        """Yield the stretches of a support that nothing may be fixed to, unless it is a keep-out already."""
        line = self.support(each).line
        if each["fix"] != "never" or any(_is_same_line(line, body) for body in bodies):
            return
        half_mm = LINE_MM / 2.0
        for a, b in pairwise(line):
            low_mm, high_mm = min(a[2], b[2]) - half_mm, max(a[2], b[2]) + half_mm
            prism = Prism((a[:2], b[:2]), False, half_mm, low_mm, high_mm)
            assumed_mm = length_mm(each.get("assumed", "0 mm"))
            yield Body(each["name"], each.get("hazard", "fuel"), None, prism, False, None, assumed_mm)

    def opening(self, each: dict[str, Any]) -> Opening:
        at = self.point(each["at"])
        height_mm = length_mm(each["height"]) if "height" in each else self.panel_height_mm(each["joins"], at)
        is_bare = each["edge"] == "bare"
        return Opening(
            each["name"], frozenset(each["joins"]), (*at, height_mm), length_mm(each["bore"]), is_bare
        )

    def panel_height_mm(self, joins: list[str], at: Point) -> float:
        """Return the height of the level panel that an opening is in."""
        for panel in self.panels:
            if panel.height_mm is None or set(panel.between) != set(joins):
                continue
            if panel.area is None or is_in(at, panel.area):
                return panel.height_mm
        raise ValueError(f"no panel between {joins} at {at}")


def _is_same_line(line: tuple[Place, ...], body: Body) -> bool:
    """Return whether a brake or fuel line drawn as a body lies where a support does, all along it."""
    prism = body.prism
    grown = replace(prism, reach_mm=prism.reach_mm + SAME_LINE_MM, low_mm=-math.inf, high_mm=math.inf)
    flat = [Piece(a, b).at(share / 100.0) for a, b in pairwise(line) for share in range(101)]
    is_along = all(nearest(Piece(place, place), grown)[0] == 0.0 for place in flat)
    is_as_high = all(prism.gap_mm(z) <= SAME_LINE_MM for _, _, z in line)
    return body.hazard in ("brake", "fuel") and is_as_high and is_along
