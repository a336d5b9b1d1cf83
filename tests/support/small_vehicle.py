"""Small vehicles made by hand, jobs for them, and parts of their plans. mm, A, V.

A test says only what it is about, all else is usual: a vehicle has nothing but what is given, a keep-out is
solid and goes the whole height, a run carries one conductor of 9 A, a job is of 12 V.

    tank = a_keep_out("tank", box(400, 0, 600, 450), space="floor")
    floor = a_floor(ends={"post": (50, 350), "lamp": (950, 350)}, keep_outs=(tank,))
    job = star_job(["lamp"])
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

from router.model.conductor_choice import ConductorChoice
from router.model.fixing import Fixing, FixingKind
from router.model.job import Conductor, Duty, Job, Limits, Run, Series, Source
from router.model.plan import (
    BillLine,
    Bundle,
    Loom,
    LoomPart,
    Passage,
    PassageKind,
    Route,
    RoutePoint,
    RunLength,
    RunPlan,
)
from router.model.practice import ANY_SPACE, Practice
from router.model.vehicle import (
    Drill,
    Hazard,
    KeepOut,
    OverPass,
    Panel,
    Point,
    Pole,
    Profile,
    Shape,
    ShapeKind,
    Space,
    SpaceKind,
    Terminal,
    TerminalKind,
    ThroughPass,
)
from router.reading import read_practice

SPACES = tuple(Space(kind.value, 410.0, (), kind) for kind in SpaceKind)
SPACES += (Space("zone", 410.0, (), SpaceKind.OUTSIDE),)
"""A space of each kind, named by it, and one whose name says nothing; none has an outline."""
BATTERY = Terminal(
    "battery positive", "underfloor", (0.0, 0.0), 410.0, "M8",
    kind=TerminalKind.BATTERY_POST, pole=Pole.POSITIVE,
)  # fmt: skip


LOAD_FLOOR = Panel(
    "load floor", ("underfloor", "load area"), 420.0, None,
    ((-9000.0, -9000.0), (9000.0, -9000.0), (9000.0, 9000.0), (-9000.0, 9000.0)), Drill.ALLOWED,
)  # fmt: skip
"""A floor 10 mm above where looms lie, everywhere, that may be drilled: a P-clip holds all along."""


CEILING = Panel(
    "ceiling", ("floor", "above"), 10.0, None,
    ((-9000.0, -9000.0), (9000.0, -9000.0), (9000.0, 9000.0), (-9000.0, 9000.0)), Drill.ALLOWED,
)  # fmt: skip
"""The same 10 mm above the looms of `a_floor`."""


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


def plain_practice(changes: Mapping[tuple[str, str], float] | None = None) -> Practice:
    """Return the default practice in which ground costs no more than its length.

    Nothing takes effort to hold, and nowhere beside things is better or worse: for tests that work efforts
    out by hand.
    """
    holding = {("hold", key): 0.0 for key in ("tie", "clip", "hole", "bracket")}
    ground = {("factor", key): 1.0 for key in ("near moving", "open load floor", "beside a guide")}
    return practice_with({**holding, **ground, **(changes or {})})


def a_profile(**parts: object) -> Profile:
    """Return a profile that has a space of each kind and what is given; tolerance 10 mm."""
    empty: dict[str, object] = {
        "key": "by-hand", "name": "By hand", "revision": 1, "measured_on": "2026-03-14", "tolerance_mm": 10.0,
        "datum": "front axle", "variant": None, "variants": (), "spaces": SPACES, "panels": (),
        "keep_outs": (), "members": (), "supports": (), "covers": (), "exposed": (), "openings": (),
        "terminals": (), "unit": "mm",
    }  # fmt: skip
    return Profile(**{**empty, **parts})  # type: ignore[arg-type]


def a_van(**parts: object) -> Profile:
    """Return the same below a load floor that may be drilled."""
    return a_profile(panels=(LOAD_FLOOR,), **parts)


def a_floor(
    *, ends: Mapping[str, Point], outline: tuple[float, float] = (1000.0, 700.0), **parts: object
) -> Profile:
    """Return a flat vehicle of one space from (0, 0) on, with terminals at its height and no tolerance."""
    space = Space("floor", 0.0, rectangle(0.0, 0.0, *outline))
    made = tuple(Terminal(name, "floor", at, 0.0, None) for name, at in ends.items())
    return a_profile(tolerance_mm=0.0, spaces=(space,), terminals=made, **parts)


def rectangle(low_x: float, low_y: float, high_x: float, high_y: float) -> tuple[Point, ...]:
    """Return the corners of an upright rectangle: of a space, a cover, an area."""
    return ((low_x, low_y), (high_x, low_y), (high_x, high_y), (low_x, high_y))


def area(*corners: Point) -> Shape:
    """Return an area by its corners."""
    return Shape(ShapeKind.AREA, corners, 0.0)


def box(low_x: float, low_y: float, high_x: float, high_y: float) -> Shape:
    """Return an upright rectangle as an area."""
    return area(*rectangle(low_x, low_y, high_x, high_y))


def disc(x: float, y: float, radius_mm: float) -> Shape:
    """Return a disc by its centre."""
    return Shape(ShapeKind.DISC, ((x, y),), radius_mm)


def line(*points: Point, width_mm: float) -> Shape:
    """Return a line of a width."""
    return Shape(ShapeKind.LINE, points, width_mm / 2.0)


def a_keep_out(name: str, shape: Shape, hazard: Hazard = Hazard.SOLID, **parts: object) -> KeepOut:
    """Return a keep-out of the underfloor that goes the whole height, without a shield of its own."""
    usual: dict[str, object] = {
        "space": "underfloor", "heights_mm": None, "is_shielded": False, "clearance_mm": None,
    }  # fmt: skip
    return KeepOut(name=name, shape=shape, hazard=hazard, **{**usual, **parts})  # type: ignore[arg-type]


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


def a_passage(
    kind: PassageKind,
    name: str,
    from_mm: float,
    to_mm: float,
    taken: OverPass | ThroughPass | None = None,
) -> Passage:
    """Return a passage from station to station; `taken` for tests that ask which pass it is."""
    return Passage(kind, name, from_mm, to_mm, taken)


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


def a_job(*runs: Run, series: Series = Series.METRIC, source_at: str = "battery positive") -> Job:
    """Return a 12 V job of these runs, fed from the terminal of that name."""
    return Job(
        key="by-hand", name="By hand", profile="by-hand", variant=None, practice=None,
        source=Source(12.0, 12.6, source_at), series=series, insulation_c=105.0, runs=runs,
        limits=Limits(0.03, {}),
    )  # fmt: skip


def star_job(names: Sequence[str]) -> Job:
    """Return a job of a run from "post" to each of these."""
    return a_job(*(a_run(name, "post", name) for name in names))


def a_choice(run: str, name: str | None = None, **parts: object) -> ConductorChoice:
    """Return a chosen conductor, 2.5 mm2 red, outside 3.0 mm, unless told otherwise."""
    usual: dict[str, object] = {
        "name": name or run, "colour": "red", "size": "2.5 mm2", "area_mm2": 2.5, "outside_mm": 3.0,
        "length_mm": 5000.0, "load_a": 9.0, "ampacity_a": 30.0, "drop_v": 0.2, "drop_fraction": 0.017,
        "decided_by": "drop", "copper_kg": 0.112, "reasons": (), "own_drop_v": 0.0, "load_drop_v": None,
        "pin": None, "function": None, "when": "",
    }  # fmt: skip
    return ConductorChoice(run=run, **{**usual, **parts})  # type: ignore[arg-type]


def a_fixing(number: int, station_mm: float, at: tuple[float, float, float], **parts: object) -> Fixing:
    """Return a tie on "sill" underfloor at a place (x, y, z), a run's own, unless told otherwise."""
    usual: dict[str, object] = {
        "kind": FixingKind.TIE, "support": "sill", "space": "underfloor", "why": "span", "shared_with": None,
    }  # fmt: skip
    x_mm, y_mm, z_mm = at
    places = {"x_mm": x_mm, "y_mm": y_mm, "z_mm": z_mm}
    return Fixing(number=number, station_mm=station_mm, **{**usual, **places, **parts})  # type: ignore[arg-type]


def a_run_plan(run: Run, route: Route, length: RunLength, **parts: object) -> RunPlan:
    """Return a run of a plan with nothing but what is given; planned for a loom of 10 mm."""
    empty: dict[str, object] = {
        "stations": (), "fixings": (), "clearances": (), "conductors": (), "fuse": None, "heat_sleeves": (),
        "loom_diameter_mm": 10.0, "reasons": (), "alternatives": (), "breakouts": (), "spans": (),
        "other_ends": (),
    }  # fmt: skip
    made = {"name": run.name, "start": run.start, "end": run.end, "route": route, "length": length}
    return RunPlan(**{**made, **empty, **parts})  # type: ignore[arg-type]


def a_loom(*parts: tuple[str, float, float], **fields: object) -> Loom:
    """Return a loom over runs, each from station to station of its own, 10 mm outside."""
    usual: dict[str, object] = {
        "conductors": tuple(part[0] for part in parts), "bundle_mm": 6.0, "loom": f"NW{len(parts)}0",
        "bore_mm": 8.0, "outside_mm": 10.0, "reasons": (),
    }  # fmt: skip
    bundle = Bundle(tuple(LoomPart(*part) for part in parts))
    return Loom(bundle=bundle, **{**usual, **fields})  # type: ignore[arg-type]


def a_line(item: str, spec: str, quantity: float, unit: str, where: str, source: str = "") -> BillLine:
    """Return a line of a bill without spare."""
    return BillLine(item, spec, quantity, unit, where, source, "", 0.0)


def terminals(**studs: str | None) -> tuple[Terminal, ...]:
    """Return terminals named by the keywords ("_" read as a space), with their studs."""
    return tuple(
        Terminal(name.replace("_", " "), "underfloor", (0.0, 0.0), 410.0, stud)
        for name, stud in studs.items()
    )
