"""A small plan made by hand: the invented Plover van, a supply and its earth, with all a map can show."""

from __future__ import annotations

import math
from dataclasses import replace

from small_vehicle import a_line, a_route, area, disc, line, rectangle

from router.facts import bundles_of, with_shared
from router.model import job as jobs
from router.model import plan as plans
from router.model import vehicle as vehicles
from router.model.conductor_choice import ConductorChoice, FuseChoice, LoadCase, Reason
from router.model.fixing import BehindHole, Fixing, FixingKind, Hole
from router.model.practice import Practice, Rule, Status
from router.model.vehicle import (
    Edge,
    Fix,
    Hazard,
    Pole,
    Shape,
    SpaceKind,
    SupportKind,
    TerminalKind,
)


def rule(group: str, key: str, value: float, unit: str = "mm") -> Rule:
    return Rule(group, key, value, unit, "made up for this sample", Status.SHOP_RULE)


def keep_out(
    name: str,
    hazard: Hazard,
    shape: Shape,
    low: float,
    high: float,
    space: str = "underfloor",
    *,
    shielded: bool = False,
) -> vehicles.KeepOut:
    return vehicles.KeepOut(name, space, hazard, shape, (low, high), shielded, None)


SPACES = (
    vehicles.Space("engine bay", 720.0, rectangle(-620, -560, 180, 560), SpaceKind.ENGINE_BAY),
    vehicles.Space(
        "underfloor",
        340.0,
        (
            (180, -560),
            (420, -660),
            (2900, -660),
            (3050, -560),
            (3050, 560),
            (2900, 660),
            (420, 660),
            (180, 560),
        ),
        SpaceKind.UNDERFLOOR,
    ),
    vehicles.Space("load area", 560.0, rectangle(1300, -620, 3020, 620), SpaceKind.LOAD_AREA),
)
KEEP_OUTS = (
    keep_out("exhaust manifold", Hazard.HOT, area(*rectangle(-250, 60, 20, 260)), 500, 760, "engine bay"),
    keep_out("cooling fan", Hazard.MOVING, disc(-520, 60, 190), 450, 800, "engine bay"),
    keep_out(
        "steering shaft", Hazard.MOVING, line((-100, 330), (160, 360), width_mm=40), 400, 700, "engine bay"
    ),
    keep_out(
        "engine block",
        Hazard.SOLID,
        area((-300, -220), (40, -220), (40, 50), (-300, 50)),
        400,
        800,
        "engine bay",
    ),
    keep_out(
        "brake master cylinder", Hazard.BRAKE, area(*rectangle(60, 420, 170, 520)), 700, 800, "engine bay"
    ),
    keep_out("exhaust front pipe", Hazard.HOT, line((200, 150), (700, 180), width_mm=50), 200, 280),
    keep_out("catalyst", Hazard.HOT, line((700, 180), (1050, 180), width_mm=130), 180, 310, shielded=True),
    keep_out(
        "exhaust mid pipe", Hazard.HOT, line((1050, 180), (1700, 250), (2250, 300), width_mm=50), 220, 290
    ),
    keep_out("silencer", Hazard.HOT, area((2250, 180), (2750, 180), (2750, 430), (2250, 430)), 180, 360),
    keep_out("exhaust tail", Hazard.HOT, line((2750, 330), (3040, 330), width_mm=50), 220, 290),
    keep_out("propshaft", Hazard.MOVING, line((350, 0), (2350, 0), width_mm=70), 240, 330),
    keep_out(
        "left rear swing arm",
        Hazard.MOVING,
        area((2080, -520), (2420, -480), (2420, -390), (2080, -430)),
        150,
        420,
    ),
    keep_out(
        "right rear swing arm",
        Hazard.MOVING,
        area((2080, 520), (2420, 490), (2420, 460), (2080, 450)),
        150,
        420,
    ),
    keep_out("rear differential", Hazard.MOVING, disc(2420, 0, 150), 150, 400),
    keep_out(
        "fuel tank", Hazard.FUEL, area((1200, -400), (1950, -400), (1950, -120), (1200, -120)), 200, 380
    ),
    keep_out("fuel feed line", Hazard.FUEL, line((230, -300), (1200, -300), width_mm=10), 320, 340),
    keep_out(
        "left brake line", Hazard.BRAKE, line((230, -420), (600, -460), (2050, -470), width_mm=8), 330, 345
    ),
    keep_out("right brake line", Hazard.BRAKE, line((230, 480), (2050, 480), width_mm=8), 330, 345),
    keep_out("left front jacking point", Hazard.LIFTING, disc(520, -600, 40), 0, 340),
    keep_out("left rear jacking point", Hazard.LIFTING, disc(2000, -620, 40), 0, 340),
    keep_out("right front jacking point", Hazard.LIFTING, disc(520, 600, 40), 0, 340),
    keep_out("right rear jacking point", Hazard.LIFTING, disc(2000, 620, 40), 0, 340),
    keep_out("seat mount edge", Hazard.SHARP, line((900, -560), (1150, -560), width_mm=20), 300, 360),
    keep_out("traction cable", Hazard.HIGH_VOLTAGE, line((300, 350), (1900, 350), width_mm=40), 280, 330),
    keep_out(
        "belt-tensioner lead",
        Hazard.AIRBAG,
        line((1350, 300), (1700, 300), width_mm=12),
        540,
        580,
        "load area",
    ),
    keep_out(
        "wheel arch left", Hazard.SOLID, area(*rectangle(2050, -620, 2700, -450)), 500, 800, "load area"
    ),
    keep_out("wheel arch right", Hazard.SOLID, area(*rectangle(2050, 450, 2700, 620)), 500, 800, "load area"),
)
MEMBERS = (
    vehicles.Member(
        "front crossmember",
        "underfloor",
        ((430, -640), (430, 640)),
        80.0,
        (vehicles.OverPass((430, -600), (430, -380), 45.0),),
    ),
    vehicles.Member(
        "seat crossmember",
        "underfloor",
        ((1150, -650), (1150, 650)),
        70.0,
        (vehicles.ThroughPass((1150, -520), 30.0, Edge.BARE),),
    ),
    vehicles.Member(
        "rear crossmember",
        "underfloor",
        ((2020, -650), (2020, 650)),
        90.0,
        (
            vehicles.OverPass((2020, -580), (2020, -500), 50.0),
            vehicles.OverPass((2020, 360), (2020, 560), 50.0),
        ),
    ),
)
SUPPORTS = (
    vehicles.Support(
        "bulkhead loom", "engine bay", SupportKind.EXISTING_LOOM, ((-300, -480), (120, -500)), 700.0, Fix.TIE
    ),
    vehicles.Support(
        "left sill flange",
        "underfloor",
        SupportKind.FLANGE,
        ((300, -545), (1080, -520), (2600, -540)),
        320.0,
        Fix.TIE,
    ),
    vehicles.Support(
        "right sill flange", "underfloor", SupportKind.FLANGE, ((300, 560), (2800, 560)), 320.0, Fix.TIE
    ),
    vehicles.Support(
        "rear stud row", "underfloor", SupportKind.STUD_ROW, ((2600, -540), (2960, -540)), 335.0, Fix.CLIP
    ),
    vehicles.Support(
        "left brake line",
        "underfloor",
        SupportKind.LINE,
        ((230, -420), (600, -460), (2050, -470)),
        335.0,
        Fix.NEVER,
    ),
    vehicles.Support(
        "left side rail", "load area", SupportKind.RAIL, ((1350, -420), (3000, -420)), 620.0, Fix.TIE
    ),
)
COVERS = (
    vehicles.Cover("left floor panel", "underfloor", rectangle(560, -640, 1900, -250), 7),
    vehicles.Cover("engine undertray", "engine bay", rectangle(-560, -300, 100, 300), 9),
)
EXPOSED = (vehicles.ExposedArea("behind the left wheel", "underfloor", rectangle(2450, -650, 2880, -400)),)
OPENINGS = (
    vehicles.Opening("bulkhead plug", ("engine bay", "underfloor"), (180, -500), 430.0, 38.0, Edge.RUBBER),
    vehicles.Opening("load floor plug", ("underfloor", "load area"), (2780, -470), 450.0, 38.0, Edge.BARE),
)
TERMINALS = (
    vehicles.Terminal(
        "battery positive",
        "engine bay",
        (-380, -430),
        780.0,
        "M6",
        kind=TerminalKind.BATTERY_POST,
        pole=Pole.POSITIVE,
    ),
    vehicles.Terminal(
        "battery negative",
        "engine bay",
        (-220, -430),
        780.0,
        "M6",
        kind=TerminalKind.BATTERY_POST,
        pole=Pole.NEGATIVE,
    ),
    vehicles.Terminal("cool box", "load area", (1620, -330), 600.0, None, kind=TerminalKind.UNIT),
    vehicles.Terminal(
        "rear earth stud", "load area", (2900, -560), 570.0, "M8", kind=TerminalKind.EARTH_POINT
    ),
    vehicles.Terminal("left rear lamp", "underfloor", (2990, -480), 420.0, None, kind=TerminalKind.LAMP),
)


def sample_profile(**changes: object) -> vehicles.Profile:
    profile = vehicles.Profile(
        key="plover",
        name="Plover small van",
        revision=2,
        measured_on="2026-05-20",
        tolerance_mm=10.0,
        datum="front axle, centre line, workshop floor",
        unit="mm",
        variant="cool box",
        variants=("cool box",),
        spaces=SPACES,
        panels=(),
        keep_outs=KEEP_OUTS,
        members=MEMBERS,
        supports=SUPPORTS,
        covers=COVERS,
        exposed=EXPOSED,
        openings=OPENINGS,
        terminals=TERMINALS,
    )
    return replace(profile, **changes)


# space, x, y, z, support followed from here on
SUPPLY_WAY = (
    ("engine bay", -380, -430, 780, None),
    ("engine bay", -380, -430, 700, None),
    ("engine bay", -300, -480, 700, "bulkhead loom"),
    ("engine bay", 120, -500, 700, None),
    ("engine bay", 180, -500, 720, None),
    ("engine bay", 180, -500, 430, None),
    ("underfloor", 180, -500, 430, None),
    ("underfloor", 180, -500, 320, None),
    ("underfloor", 300, -545, 320, "left sill flange"),
    ("underfloor", 385, -542.3, 320, "left sill flange"),
    ("underfloor", 385, -542.3, 365, None),
    ("underfloor", 475, -539.4, 365, None),
    ("underfloor", 475, -539.4, 320, "left sill flange"),
    ("underfloor", 1080, -520, 320, "left sill flange"),
    ("underfloor", 1150, -521, 320, "left sill flange"),
    ("underfloor", 1970, -532, 320, None),
    ("underfloor", 1970, -532, 370, None),
    ("underfloor", 2070, -533, 370, None),
    ("underfloor", 2070, -533, 320, "left sill flange"),
    ("underfloor", 2600, -540, 335, "rear stud row"),
    ("underfloor", 2720, -540, 335, None),
    ("underfloor", 2780, -470, 335, None),
    ("underfloor", 2780, -470, 450, None),
    ("load area", 2780, -470, 450, None),
    ("load area", 2780, -470, 620, None),
    ("load area", 2740, -420, 620, "left side rail"),
    ("load area", 1700, -420, 620, None),
    ("load area", 1620, -330, 600, None),
)
EARTH_WAY = (
    ("load area", 1620, -330, 600, None),
    ("load area", 1700, -420, 620, "left side rail"),
    ("load area", 2740, -420, 620, "left side rail"),
    ("load area", 2840, -420, 620, None),
    ("load area", 2900, -560, 570, None),
)


def route(
    run: str,
    way: tuple[tuple[str, float, float, float, str | None], ...],
    passages: tuple[plans.Passage, ...],
) -> plans.Route:
    along = {number: name for number, (*_, name) in enumerate(way) if name}
    places = [(float(x), float(y), float(z)) for _, x, y, z, _ in way]
    return a_route(places, run=run, spaces=[space for space, *_ in way], along=along, passages=passages)


def taken(member: str) -> vehicles.OverPass | vehicles.ThroughPass:
    """Return the first pass of a member, which the supply takes."""
    return next(each.passes[0] for each in MEMBERS if each.name == member)


def passages_of_supply() -> tuple[plans.Passage, ...]:
    plain = route("supply", SUPPLY_WAY, ())
    at = [point.station_mm for point in plain.points]
    return (
        plans.Passage(plans.PassageKind.OPENING, "bulkhead plug", at[5], at[5], None),
        plans.Passage(
            plans.PassageKind.OVER_MEMBER, "front crossmember", at[9], at[12], taken("front crossmember")
        ),
        plans.Passage(plans.PassageKind.COVER, "left floor panel", at[12] + 85, at[15] - 70, None),
        plans.Passage(
            plans.PassageKind.THROUGH_MEMBER,
            "seat crossmember",
            at[14] - 35,
            at[14] + 35,
            taken("seat crossmember"),
        ),
        plans.Passage(
            plans.PassageKind.OVER_MEMBER, "rear crossmember", at[15], at[18], taken("rear crossmember")
        ),
        plans.Passage(plans.PassageKind.EXPOSED, "behind the left wheel", at[19] - 150, at[21], None),
        plans.Passage(plans.PassageKind.OPENING, "load floor plug", at[22], at[22], None),
    )


def fixings_of(route: plans.Route, profile: vehicles.Profile, every_mm: float) -> tuple[Fixing, ...]:
    from router.facts import positions_at

    count = math.ceil(route.routed_mm / every_mm)
    stations = tuple(60 + (route.routed_mm - 120) * number / count for number in range(count + 1))
    kinds = {Fix.TIE: FixingKind.TIE, Fix.CLIP: FixingKind.CLIP}
    fixings = []
    for number, (station, place) in enumerate(
        zip(stations, positions_at(route, stations), strict=True), start=1
    ):
        kind = kinds[profile.support(place.along).fix] if place.along else FixingKind.P_CLIP
        why = "end" if number in (1, count + 1) else "span"
        at = (place.x_mm, place.y_mm, place.z_mm)
        hole = None if place.along else hole_above(at)
        fixings.append(Fixing(number, station, kind, place.along, place.space, *at, why, None, hole))
    return tuple(fixings)


def hole_above(at: tuple[float, float, float]) -> Hole:
    """Return a hole into a floor 10 mm above a place, with a tank 70 mm behind it."""
    x, y, z = at
    tank = BehindHole("fuel tank", Hazard.FUEL, 61.0, 70.4)
    return Hole("load floor", 6.6, (x, y, z + 10.0), (x, y, z + 30.0), (tank,))


def clearance(
    run: str, name: str, hazard: Hazard, required: float, actual: float, station: float
) -> plans.ClearanceCheck:
    return plans.ClearanceCheck(
        run, name, hazard, required, actual, station, rule("clearance", str(hazard), required - 10)
    )


def conductor(run: str, name: str, colour: str, length: float, load: float, drop: float) -> ConductorChoice:
    reasons = (
        Reason(
            f"least area for a drop of 3 % over {length / 1000:.2f} m: 2.1 mm2",
            "made up for this sample",
            "shop rule",
        ),
        Reason("ampacity at 50 degC: 24 A, enough for 9 A", "33 CFR 183.425 table 5", "published"),
    )
    choice = ConductorChoice(
        run,
        name,
        colour,
        "2.5 mm2",
        2.5,
        3.0,
        length,
        load,
        24.0,
        drop,
        drop / 12,
        "drop",
        0.13,
        reasons,
        0.0,
        None,
        None,
        None,
        LoadCase.NO_OWN_LOAD,
    )
    return replace(choice, load_drop_v=drop, when=LoadCase.EVERY_LOAD) if name == "supply" else choice


MET = {
    plans.PassageKind.OVER_MEMBER: plans.StationEvent.OVER_MEMBER,
    plans.PassageKind.THROUGH_MEMBER: plans.StationEvent.INTO_HOLE,
    plans.PassageKind.OPENING: plans.StationEvent.OPENING,
    plans.PassageKind.COVER: plans.StationEvent.INTO_COVER,
    plans.PassageKind.EXPOSED: plans.StationEvent.INTO_EXPOSED,
    plans.PassageKind.WARM: plans.StationEvent.INTO_WARM,
}


def run_plan(
    route_: plans.Route,
    cut: float,
    clearances: tuple[plans.ClearanceCheck, ...],
    conductors: tuple[ConductorChoice, ...],
    ends: tuple[str, str],
    fuse: FuseChoice | None,
    sleeves: tuple[plans.HeatSleeve, ...],
    profile: vehicles.Profile,
) -> plans.RunPlan:
    allowances = (
        plans.Allowance("end make-up, both ends, twice over", 240.0, rule("length", "end make-up", 40)),
        plans.Allowance("service loop", 100.0, rule("length", "service loop", 100)),
    )
    length = plans.RunLength(route_.run, route_.routed_mm, allowances, 26.0, 90.0, cut)
    stations = [plans.Station(0.0, plans.StationEvent.START, None, ends[0])]
    stations += [plans.Station(p.from_station_mm, MET[p.kind], None, p.name) for p in route_.passages]
    stations += [plans.Station(route_.routed_mm, plans.StationEvent.END, None, ends[1])]
    return plans.RunPlan(
        route_.run,
        *ends,
        route_,
        length,
        tuple(stations),
        fixings_of(route_, profile, 290.0),
        clearances,
        conductors,
        fuse,
        sleeves,
        10.1,
        (),
        (),
        (),
        (),
        (),
    )


def sample_job() -> jobs.Job:
    supply = jobs.Conductor("supply", "red", 9.0, jobs.Duty.CONTINUOUS, None, (), None)
    earth = jobs.Conductor("earth", "black", 0.0, jobs.Duty.CONTINUOUS, None, ("supply",), None)
    runs = (
        jobs.Run("supply", "battery positive", "cool box", (supply,), jobs.Fuse(None), (), ()),
        jobs.Run("earth", "cool box", "rear earth stud", (earth,), None, (), ()),
    )
    return jobs.Job(
        "cool-box",
        "Cool box supply",
        "plover",
        "cool box",
        None,
        jobs.Source(12.0, 12.6, "battery positive"),
        jobs.Series.METRIC,
        105.0,
        runs,
        jobs.Limits(0.03, {}),
    )


def sample_plan(profile: vehicles.Profile | None = None, job: jobs.Job | None = None) -> plans.Plan:
    profile, job = profile or sample_profile(), job or sample_job()
    supply, earth = route("supply", SUPPLY_WAY, passages_of_supply()), route("earth", EARTH_WAY, ())
    near = (
        clearance("supply", "left brake line", Hazard.BRAKE, 61, 62.1, 2210),
        clearance("supply", "fuel feed line", Hazard.FUEL, 61, 210, 1180),
        clearance("supply", "left front jacking point", Hazard.LIFTING, 85, 88.4, 830),
        clearance("supply", "seat mount edge", Hazard.SHARP, 20, 24.5, 1430),
        clearance("supply", "left rear swing arm", Hazard.MOVING, 35, 47.0, 2420),
        clearance("supply", "fuel tank", Hazard.FUEL, 61, 118, 1850),
        clearance("supply", "left rear jacking point", Hazard.LIFTING, 85, 91, 2350),
        clearance("supply", "wheel arch left", Hazard.SOLID, 20, 26, 4500),
        clearance("supply", "catalyst", Hazard.HOT, 210, 560, 1400),
    )
    fuse_reasons = (Reason("next rating from 1.25 x 9 A = 11.3 A: 15 A", "NEC 210.20(A)", "from memory"),)
    fuse = FuseChoice(
        "supply", "supply", 15.0, "blade", "blue", 120.0, 178.0, fuse_reasons, "2.5 mm2 or 14 AWG", 2.5, None
    )
    sleeve = (plans.HeatSleeve("supply", 300.0, 620.0, "exhaust manifold"),)
    runs = (
        run_plan(
            supply,
            6050.0,
            near,
            (conductor("supply", "supply", "red", 6050, 9.0, 0.29),),
            ("battery positive", "cool box"),
            fuse,
            sleeve,
            profile,
        ),
        run_plan(
            earth,
            2000.0,
            (clearance("earth", "wheel arch left", Hazard.SOLID, 20, 24, 700),),
            (conductor("earth", "earth", "black", 2000, 0.0, 0.09),),
            ("cool box", "rear earth stud"),
            None,
            (),
            profile,
        ),
    )
    findings = (
        plans.Finding(
            "bend",
            plans.Severity.SHOULD,
            "supply",
            4870.0,
            "The bend is tighter than the cable likes.",
            "",
            "30 mm",
            "24 mm",
            rule("bend", "least radius", 10, "ratio"),
        ),
        plans.Finding(
            "cover", plans.Severity.NOTE, None, None, "The left floor panel must come down.", "", "", "", None
        ),
    )
    bill = (
        a_line("conductor", "2.5 mm2 red", 6.05, "m", "supply"),
        a_line("conductor", "2.5 mm2 black", 2.0, "m", "earth"),
        a_line("loom", "split loom NW10", 5.6, "m", "supply"),
        a_line("tie", "200 mm, black, UV-proof", 26, "piece", "supply and earth"),
        a_line("grommet", "38 mm bore", 1, "piece", "load floor plug"),
        a_line("fuse", "blade, 15 A, blue", 1, "piece", "supply, station 0.12 m"),
    )
    bundles = bundles_of((supply, earth))
    first, second = runs
    told = with_shared("earth", second.fixings, {"supply": first.fixings}, bundles)
    runs = (first, replace(second, fixings=told))
    looms = tuple(
        plans.Loom(bundle, bundle.runs, 3.0 * len(bundle.runs), "split loom NW7.5", 7.2, 10.1, ())
        for bundle in bundles
    )
    practice = Practice(
        "Sample practice", None, {("spacing", "any space"): rule("spacing", "any space", 300.0)}
    )
    return plans.Plan(job, profile, practice, 10.1, runs, looms, bill, findings, 0.0, 0.0, 0.0)
