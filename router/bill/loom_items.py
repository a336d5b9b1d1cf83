"""What goes over and round: loom, tape, heat sleeve, grommets, edge guard."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from router.bill.counting import BillEntry, InstalledRuns, Size, whole_steps
from router.bill.masses import thing_kg
from router.errors import NoAnswerError
from router.facts import ambient_of, positions_at
from router.model.job import Job
from router.model.plan import BillItem, HeatSleeve, Loom, Passage, PassageKind, RunPlan
from router.model.practice import Practice
from router.model.vehicle import Edge, Profile
from router.tables import load_table
from router.units import tape_m

_SLEEVE_STEP_MM = 10.0


def loom_entries(practice: Practice, looms: tuple[Loom, ...]) -> Iterator[BillEntry]:
    """Yield each loom, its length rounded up to the shop's step."""
    for loom in sorted(looms, key=lambda loom: loom.bore_mm):
        length_m = whole_steps(loom.length_mm, practice.value("length", "cut step")) / 1000
        spec = f"split, {loom.loom}, bore {loom.bore_mm:g} mm"
        where = _stretch(loom.runs, loom.from_station_mm, loom.to_station_mm)
        kg = loom_kg_per_m(loom.loom) * loom.length_mm / 1000
        size = Size(loom.loom, loom.bore_mm)
        yield BillEntry(BillItem.LOOM, spec, length_m, "m", where, kg=kg, size=size)


def loom_kg_per_m(name: str) -> float:
    """Return the mass of a metre of loom by its name; KeyError where no series has it."""
    table = load_table("loom")
    grams = {size["name"]: size["gram_per_m"] for series in table.values() for size in series["sizes"]}
    return float(grams[name]) / 1000


def _stretch(runs: Sequence[str], from_mm: float, to_mm: float) -> str:
    return f"{' + '.join(runs)} {tape_m(from_mm)}-{tape_m(to_mm)} m"


def tape_entries(job: Job, practice: Practice, looms: tuple[Loom, ...]) -> Iterator[BillEntry]:
    """Yield the tape round both ends of every loom, for the temperature of the insulation."""
    turns = practice.value("bill", "tape turns")
    length_mm = sum(2 * turns * math.pi * loom.outside_mm for loom in looms)
    where = f"both ends of {len(looms)} looms, {turns:g} turns each"
    spec = f"{load_table('sundries')['tape']['spec']}, for {job.insulation_c:g} degC"
    kg = thing_kg(BillItem.TAPE, length_mm / 1000)
    yield BillEntry(BillItem.TAPE, spec, whole_steps(length_mm, 100) / 1000, "m", where, kg=kg)


def heat_sleeve_entries(
    job: Job, profile: Profile, practice: Practice, installed: InstalledRuns
) -> Iterator[BillEntry]:
    """Yield each heat sleeve that goes over the loom it is for; in a trunk, that of its first run.

    Parameters
    ----------
    job, profile : records of the model
        For the air where it lies.
    practice : Practice
        Groups "heat sleeve", "ambient", "warm" and "length".
    installed : InstalledRuns
    """
    entries = []
    for run in installed.runs:
        for sleeve in run.heat_sleeves:
            own_mm, thickest_mm = _own_part(installed, run, sleeve)
            if own_mm > 0:
                bore_mm = _least_of(load_table("heat_sleeve")["bores_mm"], thickest_mm, "heat sleeve")
                length_m = whole_steps(own_mm, practice.value("length", "cut step")) / 1000
                where = _stretch([run.name], sleeve.from_station_mm, sleeve.to_station_mm)
                where += f" ({sleeve.keep_out})"
                kg = thing_kg(BillItem.HEAT_SLEEVE, own_mm / 1000, size=bore_mm)
                size = Size(f"bore {bore_mm:g} mm", bore_mm)
                spec = f"{size.name}, {_sleeve_words(job, profile, practice, run, sleeve)}"
                entry = BillEntry(BillItem.HEAT_SLEEVE, spec, length_m, "m", where, kg=kg, size=size)
                entries.append((bore_mm, entry))
    yield from (entry for _, entry in sorted(entries, key=lambda pair: pair[0]))


def _sleeve_words(job: Job, profile: Profile, practice: Practice, run: RunPlan, sleeve: HeatSleeve) -> str:
    """Return what a sleeve is made of: the least that bears the hot side of it, and the air where it lies."""
    stations = (sleeve.from_station_mm, (sleeve.from_station_mm + sleeve.to_station_mm) / 2)
    spaces = {place.space for place in positions_at(run.route, (*stations, sleeve.to_station_mm))}
    air_c = max(ambient_of(profile.space(name), job, practice) for name in spaces)
    needed_c = max(practice.value("heat sleeve", "hot side"), air_c + practice.value("warm", "rise"))
    rows = load_table("heat_sleeve")["classes"]["rows"]
    for row in rows:
        if row["class_c"] >= needed_c:
            return f"{row['made_of']}, for {row['class_c']:g} degC ({needed_c:g} asked)"
    raise NoAnswerError(
        f"no heat sleeve bears the {needed_c:g} degC beside {sleeve.keep_out}; "
        f"the best bears {rows[-1]['class_c']:g} degC; lead the run further off or shield it"
    )


def _own_part(installed: InstalledRuns, run: RunPlan, sleeve: HeatSleeve) -> tuple[float, float]:
    """Return how much of a sleeve no earlier run of a trunk has already, and the thickest loom in that."""
    length_mm = sleeve.to_station_mm - sleeve.from_station_mm
    count = max(1, math.ceil(length_mm / _SLEEVE_STEP_MM))
    middles = (sleeve.from_station_mm + length_mm * (number + 0.5) / count for number in range(count))
    looms = [installed.loom_at(run, station_mm) for station_mm in middles]
    own = [loom for loom in looms if loom.runs[0] == run.name]
    return length_mm * len(own) / count, max((loom.outside_mm for loom in own), default=0.0)


def edge_entries(profile: Profile, installed: InstalledRuns) -> Iterator[BillEntry]:
    """Yield a grommet for each bare edge passed, or edge guard where none fits its hole; each hole once."""
    holes: dict[tuple[str, float], float] = {}
    for run in installed.runs:
        for passage in run.route.passages:
            bore_mm = _bare_bore_mm(passage, profile)
            if bore_mm is not None:
                outside_mm = installed.loom_at(run, passage.from_station_mm).outside_mm
                key = (passage.name, bore_mm)
                holes[key] = max(outside_mm, holes.get(key, 0.0))
    yield from sorted(
        (_edge_entry(name, bore_mm, outside_mm) for (name, bore_mm), outside_mm in holes.items()),
        key=lambda entry: entry.item != BillItem.GROMMET,
    )


def _bare_bore_mm(passage: Passage, profile: Profile) -> float | None:
    """Return the bore of what is passed where its edge is bare, else None."""
    if passage.kind is PassageKind.OPENING:
        opening = profile.opening(passage.name)
        return opening.bore_mm if opening.edge is Edge.BARE else None
    hole = passage.hole
    return hole.bore_mm if hole and hole.edge is Edge.BARE else None


def _edge_entry(name: str, bore_mm: float, outside_mm: float) -> BillEntry:
    table = load_table("grommets")
    for size in table["sizes"]:
        inside_mm = next((each for each in size["insides_mm"] if each >= outside_mm), None)
        if abs(size["hole_mm"] - bore_mm) <= table["fit_mm"] and inside_mm is not None:
            spec = f"rubber, for a hole of {size['hole_mm']:g} mm, inside {inside_mm:g} mm"
            if inside_mm - outside_mm > table["snug_mm"]:
                spec += f", loom of {outside_mm:g} mm built up with tape"
            return BillEntry(
                BillItem.GROMMET, spec, 1, "piece", name, kg=thing_kg(BillItem.GROMMET, 1, size=bore_mm)
            )
    length_m = whole_steps(math.pi * bore_mm, 10) / 1000
    where = f"{name}, round the hole of {bore_mm:g} mm"
    kg = thing_kg(BillItem.EDGE_GUARD, length_m)
    return BillEntry(
        BillItem.EDGE_GUARD, load_table("sundries")["edge_guard"]["spec"], length_m, "m", where, kg=kg
    )


def _least_of(sizes_mm: Sequence[float], outside_mm: float, what: str) -> float:
    for size_mm in sizes_mm:
        if size_mm >= outside_mm:
            return size_mm
    raise NoAnswerError(
        f"no {what} is wide enough for a loom of {outside_mm:g} mm; the widest is {sizes_mm[-1]:g} mm"
    )
