"""Routes, profiles and jobs made by hand, for tests of single trades. mm, A, V."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

from router.model.job import Conductor, Duty, Job, Limits, Run, Series, Source
from router.model.plan import ConductorChoice, Passage, Route, RoutePoint
from router.model.practice import ANY_SPACE, Practice
from router.model.vehicle import Pole, Profile, Space, SpaceKind, Terminal, TerminalKind
from router.reading import read_practice

SPACES = tuple(Space(kind.value, 410.0, (), kind) for kind in SpaceKind)
SPACES += (Space("zone", 410.0, (), SpaceKind.OUTSIDE),)
"""A space of each kind, named by it, and one whose name says nothing; none has an outline."""
BATTERY = Terminal(
    "battery positive", "underfloor", (0.0, 0.0), 410.0, "M8",
    kind=TerminalKind.BATTERY_POST, pole=Pole.POSITIVE,
)  # fmt: skip


@cache
def default_practice() -> Practice:
    """Return the default practice, read once."""
    return read_practice()


def practice_with(changes: Mapping[tuple[str, str], float]) -> Practice:
    """Return the default practice with some values changed."""
    practice = default_practice()
    rules = dict(practice.rules)
    for name, value in changes.items():
        model = rules.get(name) or rules[name[0], ANY_SPACE]
        rules[name] = replace(model, key=name[1], value=value)
    return replace(practice, rules=rules)


def a_profile(**parts: object) -> Profile:
    """Return a profile that has a space of each kind and what is given; tolerance 10 mm."""
    empty: dict[str, object] = {
        "key": "by-hand", "name": "By hand", "revision": 1, "measured_on": "2026-03-14", "tolerance_mm": 10.0,
        "datum": "front axle", "variant": None, "variants": (), "spaces": SPACES, "keep_outs": (),
        "members": (), "supports": (), "covers": (), "exposed": (), "openings": (), "terminals": (),
    }  # fmt: skip
    return Profile(**{**empty, **parts})  # type: ignore[arg-type]


def a_route(
    points: Sequence[tuple[float, float, float]],
    *,
    run: str = "supply",
    spaces: Sequence[str] | str = "underfloor",
    along: Mapping[int, str] | None = None,
    passages: tuple[Passage, ...] = (),
) -> Route:
    """Return a route through points (x, y, z); stations are worked out, `along` is by point number."""
    names = [spaces] * len(points) if isinstance(spaces, str) else list(spaces)
    station_mm = 0.0
    made = []
    for number, (x, y, z) in enumerate(points):
        if number:
            station_mm += math.dist(points[number - 1], (x, y, z))
        made.append(RoutePoint(names[number], x, y, z, station_mm, (along or {}).get(number)))
    return Route(run, tuple(made), passages, station_mm, 0.0)


def a_conductor(name: str = "supply", **parts: object) -> Conductor:
    """Return a conductor of 9 A unless told otherwise."""
    usual: dict[str, object] = {
        "colour": "red", "load_a": 9.0, "duty": Duty.CONTINUOUS, "size": None, "returns": (), "fed_by": None,
    }  # fmt: skip
    return Conductor(name=name, **{**usual, **parts})  # type: ignore[arg-type]


def a_run(name: str = "supply", start: str = "battery positive", end: str = "unit", **parts: object) -> Run:
    """Return a run with one conductor of its own name and no fuse unless told otherwise."""
    usual: dict[str, object] = {"conductors": (a_conductor(name),), "fuse": None, "via": (), "avoid": ()}
    return Run(name=name, start=start, end=end, **{**usual, **parts})  # type: ignore[arg-type]


def a_job(*runs: Run, series: Series = Series.METRIC) -> Job:
    """Return a 12 V job of these runs."""
    return Job(
        key="by-hand", name="By hand", profile="by-hand", variant=None, practice=None,
        source=Source(12.0, 12.6, "battery positive"), series=series, insulation_c=105.0, runs=runs,
        limits=Limits(0.03, {}),
    )  # fmt: skip


def a_choice(run: str, name: str | None = None, **parts: object) -> ConductorChoice:
    """Return a chosen conductor, 2.5 mm2 red, outside 3.0 mm, unless told otherwise."""
    usual: dict[str, object] = {
        "name": name or run, "colour": "red", "size": "2.5 mm2", "area_mm2": 2.5, "outside_mm": 3.0,
        "length_mm": 5000.0, "load_a": 9.0, "ampacity_a": 30.0, "drop_v": 0.2, "drop_fraction": 0.017,
        "decided_by": "drop", "copper_kg": 0.112, "reasons": (),
    }  # fmt: skip
    return ConductorChoice(run=run, **{**usual, **parts})  # type: ignore[arg-type]


def terminals(**studs: str | None) -> tuple[Terminal, ...]:
    """Return terminals named by the keywords ("_" read as a space), with their studs."""
    return tuple(
        Terminal(name.replace("_", " "), "underfloor", (0.0, 0.0), 410.0, stud)
        for name, stud in studs.items()
    )
