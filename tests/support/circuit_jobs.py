"""Random jobs of which it is known what is joined to what: sound ones, and ones with a planted fault.

A job is made of blocks as an electrician would wire them. Beside the job, each block writes down the physical
points that it joins, so that `circuit_solver` can say by Kirchhoff's laws alone what the job does.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from random import Random

from small_vehicle import a_job, a_profile

from router.model.job import Conductor, Duty, Fuse, Job, Run
from router.model.vehicle import Pole, Profile, Studs, Terminal, TerminalKind

BODY = "body"
MAIN_PLUS, MAIN_MINUS = "main +", "main -"
POST, UNIT, EARTH = TerminalKind.BATTERY_POST, TerminalKind.UNIT, TerminalKind.EARTH_POINT


@dataclass
class Wire:
    """A conductor in a run of its own, with the physical point at each of its ends."""

    name: str
    start: str
    start_point: str
    end: str
    end_point: str
    load_a: float = 0.0
    returns: tuple[str, ...] = ()
    fed_by: str | None = None
    fused: tuple[str, ...] = ()
    """Physical points at which a fuse sits in it."""
    length_mm: float = 3000.0
    is_turned: bool = False
    """Whether the job writes the run from its end to its start."""
    rating_a: float | None = None
    """Of its fuses; None where it is to be chosen."""
    size: str | None = None


@dataclass
class Circuit:
    """A job as it is built, and what is physically there."""

    terminals: dict[str, Terminal] = field(default_factory=dict)
    wires: list[Wire] = field(default_factory=list)
    batteries: list[tuple[str, str]] = field(default_factory=lambda: [(MAIN_PLUS, MAIN_MINUS)])
    loads: list[tuple[str, str, str, float]] = field(default_factory=list)
    """Conductor, plus, minus, amperes."""
    joints: list[tuple[str, str]] = field(default_factory=lambda: [(MAIN_MINUS, BODY)])
    negative_at: str | None = None
    point_of: dict[str, str] = field(default_factory=dict)
    """By terminal that is one stud: its physical point."""

    def add(self, name: str, kind: TerminalKind | None, point: str | None = None, **parts: object) -> str:
        """Add a terminal; one with a point is a single stud."""
        stud = "M8" if point else None
        self.terminals[name] = Terminal(
            name,
            "underfloor",
            (0.0, 0.0),
            400.0,
            stud,
            **{"kind": kind, **parts},  # type: ignore[arg-type]
        )
        if point:
            self.point_of[name] = point
        return name

    def wire(self, name: str) -> Wire:
        """Return a wire by its name."""
        return next(each for each in self.wires if each.name == name)

    @property
    def length_mm(self) -> dict[str, float]:
        """Return the length of each run."""
        return {each.name: each.length_mm for each in self.wires}

    def job_and_profile(self) -> tuple[Job, Profile]:
        """Return the job as a reader of files would, and its vehicle."""
        job = a_job(*(_run(each) for each in self.wires))
        source = replace(job.source, at="battery positive", negative_at=self.negative_at)
        return replace(job, source=source), a_profile(terminals=tuple(self.terminals.values()))


def _run(wire: Wire) -> Run:
    conductor = Conductor(
        wire.name, "red", wire.load_a, Duty.CONTINUOUS, wire.size, wire.returns, wire.fed_by
    )
    fuse = Fuse(wire.rating_a, is_at_both_ends=len(wire.fused) > 1) if wire.fused else None
    ends = (wire.end, wire.start) if wire.is_turned else (wire.start, wire.end)
    return Run(wire.name, *ends, (conductor,), fuse, (), ())


@dataclass(frozen=True)
class Consumer:
    """A unit with a load: its supply, and where other conductors may be joined to its poles."""

    supply: str
    plus_terminal: str
    plus: str
    minus_terminal: str
    minus: str


def sound_circuit(rng: Random) -> Circuit:
    """Return a job that a careful electrician would sign."""
    circuit = Circuit()
    circuit.add("battery positive", POST, MAIN_PLUS, pole=Pole.POSITIVE)
    circuit.add("battery negative", POST, MAIN_MINUS, pole=Pole.NEGATIVE)
    if rng.random() < 0.5:
        circuit.negative_at = circuit.add("minus stud", TerminalKind.STUD, MAIN_MINUS)
    if rng.random() < 0.3:
        circuit.add("earth 0", None, BODY)  # of no kind: the job takes it for an earth
    else:
        circuit.add("earth 0", EARTH, BODY)
    fed: list[Consumer] = []
    for number in range(rng.randint(1, 5)):
        make = rng.choice(
            [_consumer, _consumer, _consumer, _branch, _second_battery, _charger, _spare, _stud]
        )
        if make is _branch and not fed:
            make = _consumer
        added = make(circuit, rng, number, fed)
        if added is not None:
            fed.append(added)
    if not circuit.loads:
        fed.append(_consumer(circuit, rng, 9, fed))
    rng.shuffle(circuit.wires)
    for wire in circuit.wires:
        wire.is_turned = rng.random() < 0.3
    return circuit


def _earth(circuit: Circuit, rng: Random, number: int) -> tuple[str, str]:
    kind = rng.random()
    if kind < 0.25 and circuit.negative_at:
        return circuit.negative_at, MAIN_MINUS
    if kind < 0.5:
        return circuit.add(f"earth {number}x", EARTH, BODY), BODY
    return "earth 0", BODY


def _unit(circuit: Circuit, rng: Random, name: str) -> tuple[str, str, str, str]:
    """Add a unit of some build; return the terminals and points of its plus and its minus."""
    plus, minus = f"{name} +", f"{name} -"
    build = rng.choice(["connector", "no kind", "lamp", "studs", "apart", "place"])
    if build == "apart":
        circuit.add(f"{name} red", UNIT, plus, unit=name, pole=Pole.PLUS)
        circuit.add(f"{name} black", UNIT, minus, unit=name, pole=Pole.MINUS)
        return f"{name} red", plus, f"{name} black", minus
    kinds = {"connector": TerminalKind.CONNECTOR, "no kind": None, "lamp": TerminalKind.LAMP}
    studs = Studs("M6", "M5") if build == "studs" else None
    circuit.add(name, kinds.get(build, UNIT), None, studs=studs, is_place=build == "place")
    return name, plus, name, minus


def _consumer(
    circuit: Circuit, rng: Random, number: int, _: list[Consumer], begin: tuple[str, str] | None = None
) -> Consumer:
    name = f"unit {number}"
    plus_terminal, plus, minus_terminal, minus = _unit(circuit, rng, name)
    load_a = rng.choice([0.5, 2.0, 5.0, 10.0])
    start, start_point = begin or ("battery positive", MAIN_PLUS)
    supply = Wire(f"supply {number}", start, start_point, plus_terminal, plus, load_a, fused=(start_point,))
    earth, earth_point = _earth(circuit, rng, number)
    back = Wire(f"back {number}", minus_terminal, minus, earth, earth_point, returns=(supply.name,))
    circuit.wires += [supply, back]
    circuit.loads.append((supply.name, plus, minus, load_a))
    return Consumer(supply.name, plus_terminal, plus, minus_terminal, minus)


def _branch(circuit: Circuit, rng: Random, number: int, fed: list[Consumer]) -> None:
    """Add a load that a unit feeds, with a return to that unit or to an earth of its own."""
    feeder = rng.choice(fed)
    name = f"unit {number}"
    plus_terminal, plus, minus_terminal, minus = _unit(circuit, rng, name)
    out = Wire(
        f"branch {number}", feeder.plus_terminal, feeder.plus, plus_terminal, plus, 1.0, fed_by=feeder.supply
    )
    if rng.random() < 0.5 and f"back {feeder.supply.split()[-1]}" in [each.name for each in circuit.wires]:
        to, to_point = feeder.minus_terminal, feeder.minus
    else:
        to, to_point = _earth(circuit, rng, number)
    back = Wire(f"back of branch {number}", minus_terminal, minus, to, to_point, returns=(out.name,))
    circuit.wires += [out, back]
    circuit.loads.append((out.name, plus, minus, 1.0))


def _second_battery(circuit: Circuit, rng: Random, number: int, _: list[Consumer]) -> None:
    plus, minus = f"battery {number} +", f"battery {number} -"
    is_place = rng.random() < 0.5
    unit = f"battery {number}"
    positive = circuit.add(f"{unit} positive", POST, plus, pole=Pole.POSITIVE, unit=unit, is_place=is_place)
    negative = circuit.add(f"{unit} negative", POST, minus, pole=Pole.NEGATIVE, unit=unit, is_place=is_place)
    link = Wire(
        f"link {number}", "battery positive", MAIN_PLUS, positive, plus, 10.0, fused=(MAIN_PLUS, plus)
    )
    earth = Wire(f"link earth {number}", negative, minus, "earth 0", BODY, returns=(link.name,))
    circuit.wires += [link, earth]
    circuit.batteries.append((plus, minus))


def _charger(circuit: Circuit, rng: Random, number: int, _: list[Consumer]) -> None:
    """Add a solar supply or the like, charging the battery; it is wired to the body by its minus."""
    plus, minus, unit = f"solar {number} +", f"solar {number} -", f"solar {number}"
    out = circuit.add(f"{unit} plus", UNIT, plus, unit=unit, pole=Pole.PLUS, is_source=True)
    back = circuit.add(f"{unit} minus", UNIT, minus, unit=unit, pole=Pole.MINUS)
    link = Wire(f"charge {number}", "battery positive", MAIN_PLUS, out, plus, 8.0, fused=(MAIN_PLUS, plus))
    earth = Wire(f"charge earth {number}", back, minus, "earth 0", BODY, returns=(link.name,))
    circuit.wires += [link, earth]
    circuit.batteries.append((plus, minus))


def _spare(circuit: Circuit, rng: Random, number: int, _: list[Consumer]) -> None:
    """Add a wire that is laid for later, with a fuse."""
    end = circuit.add(f"spare end {number}", TerminalKind.CONNECTOR)
    circuit.wires.append(
        Wire(f"spare {number}", "battery positive", MAIN_PLUS, end, f"{end} 1", fused=(MAIN_PLUS,))
    )


def _stud(circuit: Circuit, rng: Random, number: int, fed: list[Consumer]) -> Consumer:
    """Add a feed stud beside the battery, and a unit that is fed from it through a fuse."""
    stud = circuit.add(f"stud {number}", TerminalKind.STUD, f"stud {number}")
    circuit.wires.append(
        Wire(f"jumper {number}", "battery positive", MAIN_PLUS, stud, f"stud {number}", length_mm=150.0)
    )
    consumer = _consumer(circuit, rng, number, fed, begin=(stud, f"stud {number}"))
    circuit.wire(consumer.supply).fed_by = f"jumper {number}"
    return consumer


# Planted faults


def plant_short(circuit: Circuit, rng: Random) -> str:
    """Join a plus to a minus in some way; return how."""
    ways = [_link, _supply_on_earth, _return_from_plus, _second_battery_turned]
    rng.shuffle(ways)
    return next(how for how in (way(circuit, rng) for way in ways) if how)


def _link(circuit: Circuit, rng: Random) -> str:
    """Lay a conductor from some live stud to some stud on the body, called anything.

    A stud of no kind on which no return ends is no earth as far as anybody was told.
    """
    minuses = {BODY, MAIN_MINUS}
    lives = {MAIN_PLUS, *(plus for plus, _ in circuit.batteries)}
    lives |= {each.start_point for each in circuit.wires if each.name.startswith("supply")}
    lives |= {each.end_point for each in circuit.wires if each.name.startswith("supply")}
    told = {each.end for each in circuit.wires if each.returns}
    earths = [name for name, point in circuit.point_of.items() if point in minuses]
    earths = [name for name in earths if name in told or circuit.terminals[name].kind is not None]
    pairs = [(name, earth) for name, point in circuit.point_of.items() if point in lives for earth in earths]
    start, end = rng.choice(pairs)
    names = [each.name for each in circuit.wires]
    words = rng.choice(
        [{}, {"load_a": 3.0}, {"returns": (rng.choice(names),)}, {"fed_by": rng.choice(names), "load_a": 1.0}]
    )
    fused = (circuit.point_of[start],) if rng.random() < 0.5 and "returns" not in words else ()
    link = Wire("link", start, circuit.point_of[start], end, circuit.point_of[end], fused=fused, **words)  # type: ignore[arg-type]
    circuit.wires.insert(rng.randint(0, len(circuit.wires)), link)
    return f"link {start} to {end} {words}"


def _supply_on_earth(circuit: Circuit, rng: Random) -> str:
    supply = rng.choice([each for each in circuit.wires if each.name.startswith("supply")] or [None])
    if supply is None or any(each.fed_by == supply.name for each in circuit.wires):
        return ""
    earths = [name for name, point in circuit.point_of.items() if point in (BODY, MAIN_MINUS)]
    supply.end = rng.choice([each for each in earths if circuit.terminals[each].kind is not None])
    supply.end_point = circuit.point_of[supply.end]
    circuit.loads = [each for each in circuit.loads if each[0] != supply.name]
    return f"{supply.name} ends on {supply.end}"


def _return_from_plus(circuit: Circuit, rng: Random) -> str:
    """Begin a return on the stud of the supply, as somebody did who followed an advice."""
    backs = [each for each in circuit.wires if each.name.startswith("back") and each.returns]
    rng.shuffle(backs)
    for back in backs:
        supply = circuit.wire(back.returns[0])
        if supply.end in circuit.point_of and back.end_point in (BODY, MAIN_MINUS):
            back.start, back.start_point = supply.end, supply.end_point
            return f"{back.name} begins on {supply.end}"
    return ""


def _second_battery_turned(circuit: Circuit, rng: Random) -> str:
    links = [each for each in circuit.wires if each.name.startswith("link ") and not each.returns]
    if not links:
        return ""
    link = rng.choice(links)
    number = link.name.split()[-1]
    link.end, link.end_point = f"battery {number} negative", f"battery {number} -"
    return f"{link.name} on the negative post"


def plant_unprotected(circuit: Circuit, rng: Random) -> str:
    """Leave some conductor without a fuse at a source; return how."""
    fused = [each for each in circuit.wires if each.fused]
    way = rng.choice(["no fuse", "one end", "spare", "jumper"])
    twice = [each for each in fused if len(each.fused) > 1]
    jumpers = [each for each in circuit.wires if each.name.startswith("jumper")]
    if way == "one end" and twice:
        wire = rng.choice(twice)
        wire.fused = wire.fused[:1]
        return f"{wire.name} has one fuse"
    if way == "jumper" and jumpers:
        wire = rng.choice(jumpers)
        wire.length_mm = 2500.0
        return f"{wire.name} is long"
    if way == "spare":
        end = circuit.add("open end", rng.choice([TerminalKind.CONNECTOR, UNIT, None]))
        begin, point = rng.choice(
            [(n, p) for n, p in circuit.point_of.items() if p in dict(circuit.batteries)]
        )
        circuit.wires.append(Wire("loose", begin, point, end, "open end 1"))
        return f"loose on {begin}"
    wire = rng.choice(fused)
    wire.fused = ()
    return f"{wire.name} has no fuse"


def plant_crossed(circuit: Circuit, rng: Random) -> str:
    """Join a second battery with its poles crossed; return how. It lies in a row with the first."""
    _second_battery(circuit, rng, 99, [])
    circuit.wire("link 99").end, circuit.wire("link 99").end_point = "battery 99 negative", "battery 99 -"
    earth = circuit.wire("link earth 99")
    earth.start, earth.start_point = "battery 99 positive", "battery 99 +"
    earth.end = circuit.add("earth 99", EARTH, BODY)
    if rng.random() < 0.5:
        earth.returns, earth.load_a = (), 10.0
        earth.fused = (BODY,) if rng.random() < 0.5 else ()
    return f"link 99 on the negative post, {earth.returns}"


def plant_joined(circuit: Circuit, rng: Random) -> str:
    """Let several fused supplies meet on a stud, with a thin conductor behind it; return how many."""
    bus = circuit.add("bus", TerminalKind.STUD, "bus")
    begins = [("battery positive", MAIN_PLUS)]
    if rng.random() < 0.5:
        begins.append((circuit.add("first bus", TerminalKind.STUD, "first bus"), "first bus"))
        rating_a = rng.choice([10.0, 20.0, 30.0])
        first = Wire("first", "battery positive", MAIN_PLUS, "first bus", "first bus", fused=(MAIN_PLUS,))
        first.rating_a, first.size = rating_a, "16 mm2"
        circuit.wires.append(first)
    number = rng.randint(2, 4)
    for each in range(number):
        begin, point = begins[0] if each == 0 else rng.choice(begins)
        wire = Wire(f"joined {each}", begin, point, bus, "bus", fused=(point,))
        wire.rating_a, wire.size = rng.choice([15.0, 20.0, 25.0]), "16 mm2"
        wire.fed_by = "first" if begin == "first bus" else None
        circuit.wires.append(wire)
    terminal, plus, minus_terminal, minus = _unit(circuit, rng, "thin unit")
    thin = Wire("thin", bus, "bus", terminal, plus, 1.0, fed_by=f"joined {rng.randrange(number)}")
    thin.size = "0.5 mm2"
    back = Wire("thin back", minus_terminal, minus, "earth 0", BODY, returns=("thin",))
    circuit.wires += [thin, back]
    circuit.loads.append(("thin", plus, minus, 1.0))
    return f"{number} supplies"


def plant_open(circuit: Circuit, rng: Random) -> str:
    """Take away some load's feed or its way back; return how."""
    ways = [_no_return, _return_elsewhere, _no_feed, _return_to_nowhere]
    rng.shuffle(ways)
    return next(how for how in (way(circuit, rng) for way in ways) if how)


def _backs(circuit: Circuit) -> list[Wire]:
    return [each for each in circuit.wires if each.name.startswith("back ")]


def _no_return(circuit: Circuit, rng: Random) -> str:
    back = rng.choice(_backs(circuit))
    circuit.wires.remove(back)
    return f"no {back.name}"


def _return_elsewhere(circuit: Circuit, rng: Random) -> str:
    back = rng.choice(_backs(circuit))
    back.start = circuit.add("another unit", UNIT)
    back.start_point = "another unit -"
    return f"{back.name} begins at another unit"


def _return_to_nowhere(circuit: Circuit, rng: Random) -> str:
    back = rng.choice(_backs(circuit))
    back.end = circuit.add("another unit", UNIT)
    back.end_point = "another unit -"
    return f"{back.name} ends at another unit"


def _no_feed(circuit: Circuit, rng: Random) -> str:
    supply = rng.choice(
        [each for each in circuit.wires if each.load_a and each.name.split()[0] in ("supply", "branch")]
    )
    supply.start = circuit.add("new unit", UNIT, None, is_place=True)
    supply.start_point = "new unit out"
    supply.fused = ("new unit out",) if supply.fused else ()
    return f"{supply.name} begins at a new unit"
