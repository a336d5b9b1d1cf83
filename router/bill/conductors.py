"""What carries current: conductors cut by cut, fuses with their holders, terminals and splices, masses."""

from __future__ import annotations

import math
from collections.abc import Iterator

from router.bill.counting import Want
from router.model.job import Job
from router.model.plan import ConductorChoice, FuseChoice, RunPlan
from router.model.vehicle import Profile
from router.tables import load_table


def conductor_wants(job: Job, profile: Profile, runs: tuple[RunPlan, ...]) -> Iterator[Want]:
    """Yield one want a cut, then the total of each size and colour."""
    cuts = [(run, choice) for run in runs for choice in run.conductors]
    for run, choice in cuts:
        where = _cut_place(run, choice, profile)
        yield Want("conductor, cut", _cable(choice, job), _cut_m(run), "m", where, is_own_line=True)
    for run, choice in sorted(cuts, key=lambda cut: (cut[1].area_mm2, cut[1].size, cut[1].colour)):
        where = f"{run.name}: {choice.name} {_cut_m(run):g} m"
        yield Want("conductor, total", _cable(choice, job), _cut_m(run), "m", where)


def _cable(choice: ConductorChoice, job: Job) -> str:
    return f"{choice.size} {choice.colour}, insulation for {job.insulation_c:g} degC"


def _cut_m(run: RunPlan) -> float:
    return run.length.cut_mm / 1000


def _cut_place(run: RunPlan, choice: ConductorChoice, profile: Profile) -> str:
    ends = " to ".join(f"{name} ({_end(profile, name, choice)[1]})" for name in (run.start, run.end))
    parted = ""
    if run.fuse is not None and run.fuse.conductor == choice.name:
        parted = f"; parted for the fuse holder at station {run.fuse.station_mm / 1000:.2f} m"
    return f"{run.name}: {choice.name}, {ends}{parted}"


# Fuses


def fuse_wants(runs: tuple[RunPlan, ...]) -> Iterator[Want]:
    """Yield each fuse with its holder."""
    fuses = [(run, run.fuse) for run in runs if run.fuse is not None]
    for run, fuse in fuses:
        spec = f"{_family(fuse)}, {fuse.rating_a:g} A, {fuse.colour}"
        yield Want("fuse", spec, 1, "piece", _fuse_place(run, fuse))
    for run, fuse in fuses:
        size = _choice(run, fuse).size
        spec = f"in line, sealed, for a {_family(fuse)} fuse of {fuse.rating_a:g} A, leads of {size}"
        yield Want("fuse holder", spec, 1, "piece", _fuse_place(run, fuse))


def _fuse_place(run: RunPlan, fuse: FuseChoice) -> str:
    return f"{run.name}: {fuse.conductor}, station {fuse.station_mm / 1000:.2f} m"


def _family(fuse: FuseChoice) -> str:
    for family in load_table("fuses")["families"]:
        if any(rating["rating_a"] == fuse.rating_a for rating in family["ratings"]):
            return str(family["name"])
    return "in-line"


def _choice(run: RunPlan, fuse: FuseChoice) -> ConductorChoice:
    return next(choice for choice in run.conductors if choice.name == fuse.conductor)


# Terminals and splices


def terminal_wants(profile: Profile, runs: tuple[RunPlan, ...]) -> Iterator[Want]:
    """Yield a ring for each end on a stud, a contact for each end in a connector, splices for holders."""
    found = []
    for run in runs:
        for choice in run.conductors:
            for name in (run.start, run.end):
                item, spec = _end(profile, name, choice)
                found.append(
                    Want(item, spec, 1, "piece", f"{run.name}: {choice.name} at {name}", has_spare=True)
                )
        if run.fuse is not None:
            spec = f"butt, {_crimp(_choice(run, run.fuse))}"
            where = f"{run.name}: both leads of the fuse holder"
            found.append(Want("splice", spec, 2, "piece", where, has_spare=True))
    order = {"ring terminal": 0, "connector contact": 1, "splice": 2}
    yield from sorted(found, key=lambda want: (order[want.item], want.spec))


def _end(profile: Profile, terminal_name: str, choice: ConductorChoice) -> tuple[str, str]:
    """Return item and spec of what a conductor ends in at a terminal."""
    stud = profile.terminal(terminal_name).stud
    if stud is None:
        return "connector contact", f"contact for the connector, {_crimp(choice)}"
    inch = {row["stud"]: row["inch"] for row in load_table("terminals")["studs"]["sizes"]}.get(stud)
    return "ring terminal", f"ring {stud}{f' ({inch})' if inch else ''}, {_crimp(choice)}"


def _crimp(choice: ConductorChoice) -> str:
    """Return the colour of the insulated crimp for a conductor, or what stands in where there is none."""
    crimps = load_table("terminals")["crimps"]
    if choice.area_mm2 >= crimps["least_mm2"]:
        for row in crimps["colours"]:
            if choice.area_mm2 <= row["to_mm2"]:
                return f"{row['colour']}, for {choice.size}"
    return f"uninsulated, for {choice.size}, with heat-shrink"


# Masses


def mass_wants(runs: tuple[RunPlan, ...]) -> Iterator[Want]:
    """Yield the copper in the conductors, and what they weigh with their insulation."""
    choices = [(run, choice) for run in runs for choice in run.conductors]
    copper_kg = sum(choice.copper_kg for _, choice in choices)
    all_kg = sum(conductor_kg_per_m(choice) * _cut_m(run) for run, choice in choices)
    yield Want("copper", "in all conductors, for information", copper_kg, "kg", "all runs")
    yield Want(
        "weight", "of all conductors with insulation, estimated, for information", all_kg, "kg", "all runs"
    )


def conductor_kg_per_m(choice: ConductorChoice) -> float:
    """Return the mass of a metre of conductor: its copper, and insulation as far as its outside."""
    sundries = load_table("sundries")
    copper_mm2 = choice.area_mm2 / sundries["copper_fill"]["value"]
    insulation_mm2 = max(0.0, math.pi / 4 * choice.outside_mm**2 - copper_mm2)
    insulation_kg: float = insulation_mm2 * 1e-6 * sundries["insulation_kg_per_m3"]["value"]
    return choice.copper_kg / (choice.length_mm / 1000) + insulation_kg
