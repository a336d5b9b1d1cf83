"""Fleets of small invented vehicles as files: one space, a few things in it, one job; plain seeded random."""

from __future__ import annotations

from pathlib import Path
from random import Random

PROFILE = """\
profile: Wader {number}
revision: 1
measured: {{on: 2026-03-14, tolerance: 5 mm}}
unit: mm
datum: front axle, centre line, workshop floor
spaces:
  underfloor: {{height: 400 mm, outline: [[0, -700], [{long}, -700], [{long}, 700], [0, 700]]}}
  cabin: {{height: 450 mm, outline: [[0, -700], [{long}, -700], [{long}, 700], [0, 700]]}}
panels:
  - {{name: floor, between: [underfloor, cabin], height: 415 mm, drill: allowed}}
keep-outs:
  - {{name: silencer, space: underfloor, hazard: hot, disc: {{centre: [{x}, {y}], radius: {radius} mm}}}}
terminals:
  - {{name: battery positive, space: underfloor, at: [150, 0], height: 400 mm, stud: M6}}
  - {{name: lamp, space: underfloor, at: [{rear}, {lamp_y}], height: 400 mm}}
"""
JOB = """\
job: Lamp
profile: vehicle-0.yaml
source: {nominal: 12 V, resting: 12.6 V, at: battery positive}
runs:
  - run: supply
    from: battery positive
    to: lamp
    conductors: [{name: supply, colour: red, load: 2 A}]
    fuse: auto
limits: {drop: 3 %, ambient: {underfloor: 40 degC}}
"""
STOCK = """\
stock:
  - {item: conductor, reels: [{length: 50 m}, {length: 100 m}]}
"""


def write_fleet(
    folder: Path, count: int, *, seed: int = 1, name: str = "Waders", per_vehicle: int = 2
) -> Path:
    """Write a fleet of so many different profiles, each with `per_vehicle` vehicles; return its file."""
    rng = Random(seed)
    folder.mkdir(parents=True, exist_ok=True)
    for number in range(count):
        long = rng.randrange(1500, 3500, 10)
        (folder / f"vehicle-{number}.yaml").write_text(
            PROFILE.format(
                number=number, long=long, rear=long - 150, lamp_y=rng.randrange(-400, 400, 10),
                x=long // 2 + rng.randrange(-200, 200, 10), y=rng.randrange(-200, 200, 10),
                radius=rng.randrange(40, 120, 5),
            ),
            encoding="utf-8",
        )  # fmt: skip
    (folder / "job.yaml").write_text(JOB, encoding="utf-8")
    lines = [f"  - {{profile: vehicle-{number}.yaml, count: {per_vehicle}}}" for number in range(count)]
    text = "\n".join([f"fleet: {name}", "jobs: {lamp: job.yaml}", "vehicles:", *lines, STOCK])
    path = folder / "fleet.yaml"
    path.write_text(text, encoding="utf-8")
    return path
