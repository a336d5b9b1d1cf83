"""Seeded questions that grow: an underfloor with so many keep-outs, a job with so many runs."""

from __future__ import annotations

import math
import random
from typing import Any

LONG_MM, WIDE_MM = 5000.0, 1900.0
SHARE_TAKEN = 0.15
"""Of the floor, by the keep-outs themselves, whatever their number."""
CLEARANCE_MM = 5
ENDS_MM = 150.0
"""A keep-out stays so far from where a run may end."""
OUTLINE = [[0, 0], [LONG_MM, 0], [LONG_MM, WIDE_MM], [0, WIDE_MM]]
POST = (200.0, 950.0)

Question = tuple[dict[str, Any], dict[str, Any]]


def grown_question(keep_outs: int, runs: int, seed: int = 1) -> Question:
    """Return a job from one battery to so many lamps, and its vehicle; more of either adds to the same ones.

    Parameters
    ----------
    keep_outs, runs : int
        How many.
    seed : int
        Another one, another vehicle.
    """
    lamps = _lamps(seed, runs)
    return _job(lamps), _profile(keep_outs, lamps, seed)


def _lamps(seed: int, runs: int) -> list[tuple[float, float]]:
    chance = random.Random(f"lamps {seed}")
    places: list[tuple[float, float]] = []
    while len(places) < runs:
        place = chance.uniform(1200.0, LONG_MM - 150.0), chance.uniform(150.0, WIDE_MM - 150.0)
        if all(math.dist(place, other) > 2.0 * ENDS_MM for other in places):
            places.append(place)
    return [(round(x), round(y)) for x, y in places]


def _profile(keep_outs: int, lamps: list[tuple[float, float]], seed: int) -> dict[str, Any]:
    chance = random.Random(f"keep-outs {seed} {keep_outs}")
    across_mm = math.sqrt(SHARE_TAKEN * LONG_MM * WIDE_MM / keep_outs)
    bodies: list[dict[str, Any]] = []
    ends = [POST, *_lamps(seed, 16), *lamps]
    while len(bodies) < keep_outs:
        x, y = chance.uniform(0.0, LONG_MM), chance.uniform(0.0, WIDE_MM)
        if all(math.dist((x, y), end) > ENDS_MM + across_mm for end in ends):
            bodies.append(_body(chance, f"body {len(bodies)}", (x, y), across_mm))
    return {
        "profile": f"Curlew with {keep_outs} keep-outs",
        "revision": 1,
        "measured": {"on": "2026-03-14", "tolerance": "2 mm"},
        "unit": "mm",
        "datum": "front axle, centre line, workshop floor",
        "spaces": {
            "underfloor": {"kind": "underfloor", "height": "400 mm", "outline": OUTLINE},
            "cabin": {"kind": "cabin", "height": "450 mm", "outline": OUTLINE},
        },
        "panels": [
            {"name": "floor", "between": ["underfloor", "cabin"], "height": "415 mm", "drill": "allowed"}
        ],
        "keep-outs": bodies,
        "terminals": [
            _terminal("battery positive", POST, kind="battery post", pole="positive", stud="M6"),
            *(_terminal(f"lamp {number}", at, kind="lamp") for number, at in enumerate(lamps)),
        ],
    }


def _terminal(name: str, at: tuple[float, float], **words: str) -> dict[str, Any]:
    return {"name": name, "space": "underfloor", "at": list(at), "height": "400 mm", **words}


def _body(chance: random.Random, name: str, at: tuple[float, float], across_mm: float) -> dict[str, Any]:
    size_mm, turn, (x, y) = across_mm * chance.uniform(0.5, 1.1), chance.uniform(0.0, math.pi), at
    dx, dy = math.cos(turn) * size_mm / 2.0, math.sin(turn) * size_mm / 2.0
    shape: dict[str, Any] = {"disc": {"centre": [round(x), round(y)], "radius": f"{size_mm / 2.0:.0f} mm"}}
    if chance.random() < 0.5:
        along = [[round(x - dx), round(y - dy)], [round(x + dx), round(y + dy)]]
        shape = {"along": along, "width": f"{size_mm / 3.0:.0f} mm"}
    return {
        "name": name,
        "hazard": "solid",
        "clearance": f"{CLEARANCE_MM} mm",
        **shape,
        "space": "underfloor",
    }


def _job(lamps: list[tuple[float, float]]) -> dict[str, Any]:
    return {
        "job": f"{len(lamps)} lamps",
        "source": {"nominal": "12 V", "resting": "12.6 V", "at": "battery positive"},
        "runs": [
            {
                "run": f"run {number}",
                "from": "battery positive",
                "to": f"lamp {number}",
                "conductors": [{"name": f"feed {number}", "colour": "red", "load": "2 A"}],
                "fuse": "auto",
            }
            for number in range(len(lamps))
        ],
        "limits": {"drop": "5 %", "ambient": {"underfloor": "40 degC"}},
    }
