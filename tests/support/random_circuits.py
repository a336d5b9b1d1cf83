"""Plans with random circuits for the circuit diagram: what a map needs is the sample plan's."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from sample_plan import sample_plan

from router.model.conductor_choice import FuseChoice
from router.model.job import Conductor, Duty, Fuse, Run
from router.model.plan import Plan, RunPlan
from router.model.vehicle import Pole, Studs, Terminal, TerminalKind

COLOURS = ("red", "black", "white/black", "light green", "brown")
WORDS = ("left", "right", "rear", "auxiliary", "permanent", "supply", "refrigerator", "lamp", "indicator")


def random_plan(seed: int) -> Plan:
    """Return the sample plan with another circuit: up to seven units, fed from a battery or one another."""
    rng, base = Random(seed), sample_plan()
    units = [_unit(rng, number) for number in range(rng.randint(1, 7))]
    earths = [_terminal(f"earth point {k}", TerminalKind.EARTH_POINT, "M8") for k in range(rng.randint(1, 3))]
    post = _terminal("battery positive", TerminalKind.BATTERY_POST, "M8", pole=Pole.POSITIVE)
    runs: list[Run] = []
    feeders: dict[str, str] = {}
    for number, unit in enumerate(units):
        source = rng.choice(["battery positive", *feeders])
        outs = tuple(
            _conductor(rng, f"{_name(rng)} {number}.{k}", fed_by=feeders.get(source))
            for k in range(rng.randint(1, 5))
        )
        feeders[unit.name] = outs[0].name
        fuse = Fuse(None) if rng.random() < 0.7 else None
        runs.append(Run(f"feed {number}", source, unit.name, outs, fuse, (), ()))
        back = rng.choice([*earths, *(each for each in units[:number] if rng.random() < 0.2)]).name
        returns = tuple(each.name for each in outs)
        runs.append(_run(f"back {number}", unit.name, back, (_back(f"return {number}", returns),)))
    job = replace(base.job, runs=tuple(runs))
    profile = replace(base.profile, terminals=(post, *units, *earths))
    return replace(
        base, job=job, profile=profile, runs=tuple(_planned(base.runs[0], run, rng) for run in runs)
    )


def _name(rng: Random) -> str:
    return " ".join(rng.sample(WORDS, rng.randint(1, 4)))


def _terminal(name: str, kind: TerminalKind, stud: str | None, **more: object) -> Terminal:
    return Terminal(name, "engine bay", (0.0, 0.0), 700.0, stud, kind=kind, **more)  # type: ignore[arg-type]


def _unit(rng: Random, number: int) -> Terminal:
    kind = rng.choice([TerminalKind.UNIT, TerminalKind.LAMP, TerminalKind.TRAILER_SOCKET])
    studs = Studs("M6", "M5") if rng.random() < 0.3 else None
    return _terminal(f"{_name(rng)} {number}", kind, None, studs=studs)


def _conductor(rng: Random, name: str, *, fed_by: str | None) -> Conductor:
    load_a = rng.choice([0.0, 0.05, 3.4222, 12.5])
    return Conductor(name, rng.choice(COLOURS), load_a, Duty.CONTINUOUS, None, (), fed_by)


def _back(name: str, returns: tuple[str, ...]) -> Conductor:
    return Conductor(name, "black", 0.0, Duty.CONTINUOUS, None, returns, None)


def _run(name: str, start: str, end: str, conductors: tuple[Conductor, ...]) -> Run:
    return Run(name, start, end, conductors, None, (), ())


def _planned(base: RunPlan, run: Run, rng: Random) -> RunPlan:
    chosen = tuple(
        replace(
            base.conductors[0], run=run.name, name=each.name, colour=each.colour, pin=rng.choice([None, 3])
        )
        for each in run.conductors
    )
    fuse = (
        FuseChoice(
            run.name, chosen[0].name, 15.0, "blade", "light blue", 120.0, 178.0, (), "2.5 mm2", 2.5, None
        )
        if run.fuse
        else None
    )
    return replace(base, name=run.name, start=run.start, end=run.end, conductors=chosen, fuse=fuse)
