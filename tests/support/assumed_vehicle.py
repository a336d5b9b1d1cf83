"""A small invented vehicle of which nearly nothing was measured yet, and a job on it."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

ENDS = {"at": [100, -500], "height": "400 mm"}, {"at": [2600, -500], "height": "720 mm"}
VEHICLE: dict[str, Any] = {
    "profile": "Heron flatbed",
    "revision": 1,
    "measured": {"on": "2026-03-14", "tolerance": "10 mm"},
    "unit": "mm",
    "datum": "front axle, centre line, workshop floor",
    "spaces": {
        "underfloor": {
            "kind": "underfloor",
            "height": "400 mm",
            "outline": [[0, -900], [3000, -900], [3000, 900], [0, 900]],
        },
        "deck": {
            "kind": "load area",
            "height": "700 mm",
            "outline": [[2000, -900], [3000, -900], [3000, 900], [2000, 900]],
        },
    },
    "panels": [{"name": "floor", "between": ["underfloor", "deck"], "height": "600 mm", "drill": "never"}],
    "keep-outs": [
        {
            "name": "near tank",
            "hazard": "fuel",
            "heights": ["300 mm", "500 mm"],
            "assumed": "60 mm",
            "area": [[800, -370], [1400, -370], [1400, 100], [800, 100]],
        },
        {
            "name": "far tank",
            "hazard": "fuel",
            "heights": ["300 mm", "500 mm"],
            "assumed": "60 mm",
            "area": [[800, 300], [1400, 300], [1400, 800], [800, 800]],
        },
    ],
    "supports": [
        {
            "name": "left rail",
            "space": "underfloor",
            "kind": "rail",
            "height": "400 mm",
            "fix": "tie",
            "assumed": "40 mm",
            "along": [[120, -500], [2500, -500]],
        },
        {
            "name": "right rail",
            "space": "underfloor",
            "kind": "rail",
            "height": "400 mm",
            "fix": "tie",
            "assumed": "30 mm",
            "along": [[100, 850], [2500, 850]],
        },
        {
            "name": "post",
            "space": "underfloor",
            "kind": "bracket line",
            "heights": ["400 mm", "590 mm"],
            "fix": "clip",
            "along": [[2520, -500], [2530, -500]],
        },
        {
            "name": "deck edge",
            "space": "deck",
            "kind": "rail",
            "height": "700 mm",
            "fix": "tie",
            "along": [[2500, -505], [2700, -505]],
        },
    ],
    "openings": [
        {
            "name": "plug",
            "joins": ["underfloor", "deck"],
            "at": [2530, -500],
            "bore": "38 mm",
            "edge": "rubber",
            "assumed": "25 mm",
        }
    ],
    "terminals": [
        {"name": "post plus", "space": "underfloor", "kind": "stud", "stud": "M8", **ENDS[0]},
        {"name": "lamp", "space": "deck", "kind": "lamp", "faces": "down", "assumed": "20 mm", **ENDS[1]},
        {
            "name": "other lamp",
            "space": "deck",
            "kind": "lamp",
            "at": [2900, 800],
            "height": "720 mm",
            "assumed": "50 mm",
        },
    ],
}
JOB: dict[str, Any] = {
    "job": "Deck lamp",
    "profile": "heron",
    "source": {"nominal": "12 V", "resting": "12.6 V", "at": "post plus"},
    "runs": [
        {
            "run": "supply",
            "from": "post plus",
            "to": "lamp",
            "conductors": [{"name": "supply", "colour": "red", "load": "2 A"}],
        }
    ],
}


def measured(data: dict[str, Any]) -> dict[str, Any]:
    """Return a vehicle of which everything was measured, and found where it was assumed."""

    def without(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: without(each) for key, each in value.items() if key != "assumed"}
        return [without(each) for each in value] if isinstance(value, list) else value

    made: dict[str, Any] = without(deepcopy(data))
    return made
