"""What carries current: conductors cut by cut, fuses with their holders, terminals, splices and labels."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from router.bill.counting import BillEntry, CutConductor, Size
from router.bill.lead_items import cable_cuts, cable_totals, cables_of, core_caps
from router.bill.masses import conductor_kg_per_m, thing_kg
from router.facts import (
    contact_words,
    crimp_words,
    heat_shrink_words,
    is_wet,
    is_wet_at,
    lead_outside_mm,
    stud_of,
)
from router.model.conductor_choice import ConductorChoice, FuseChoice
from router.model.job import Job
from router.model.plan import BillItem, RunPlan
from router.model.vehicle import Profile
from router.tables import load_table
from router.tolerances import RELATIVE_ROUNDING
from router.units import tape_m


@dataclass(frozen=True, slots=True)
class _EndPart:
    """What a conductor's end is crimped into."""

    item: BillItem
    spec: str
    contact_family: str | None = None


def conductor_entries(job: Job, profile: Profile, runs: tuple[RunPlan, ...]) -> Iterator[BillEntry]:
    """Yield one entry a cut, then the total of each size and colour; a trailer lead's cable is one piece."""
    cables = cables_of(job, runs)
    cores = {(cable.run, name) for cable in cables for name in cable.used}
    every = [(run, choice) for run in runs for choice in run.conductors]
    cuts = [cut for cut in every if (cut[0].name, cut[1].name) not in cores]
    for run, choice in cuts:
        where = _cut_place(job, profile, run, choice)
        kg = conductor_kg_per_m(choice) * _cut_m(run)
        yield BillEntry(
            BillItem.CONDUCTOR_CUT,
            _cable(choice, job),
            _cut_m(run),
            "m",
            where,
            is_own_line=True,
            kg=kg,
            size=Size(choice.size, choice.area_mm2),
            conductor=CutConductor(run.name, choice.name),
        )
    yield from cable_cuts(job, cables, runs)
    for run, choice in sorted(cuts, key=lambda cut: (cut[1].area_mm2, cut[1].size, cut[1].colour)):
        where = f"{run.name}: {choice.name} {_cut_m(run):g} m"
        yield BillEntry(BillItem.CONDUCTOR_TOTAL, _cable(choice, job), _cut_m(run), "m", where)
    yield from cable_totals(job, cables, runs)


def _cable(choice: ConductorChoice, job: Job) -> str:
    return f"{choice.size} {choice.colour}, insulation for {job.insulation_c:g} degC"


def _cut_m(run: RunPlan) -> float:
    return run.length.cut_mm / 1000


def _cut_place(job: Job, profile: Profile, run: RunPlan, choice: ConductorChoice) -> str:
    ends = " to ".join(
        f"{name} ({_end_part(job, profile, name, choice).spec})" for name in (run.start, run.end)
    )
    parted = ""
    if run.fuse is not None and run.fuse.conductor == choice.name:
        parted = f"; parted for the fuse holder at {_stations(run.fuse)}"
    pin = f" pin {choice.pin}" if choice.pin else ""
    return f"{run.name}: {choice.name}, {ends}{pin}{parted}"


# Fuses


def fuse_entries(runs: tuple[RunPlan, ...]) -> Iterator[BillEntry]:
    """Yield each fuse with its holder."""
    fuses = [(run, run.fuse) for run in runs if run.fuse is not None]
    for run, fuse in fuses:
        spec = f"{_family_words(fuse)}, {fuse.rating_a:g} A, {fuse.colour}"
        kg = _fuse_kg(BillItem.FUSE, fuse)
        yield BillEntry(
            BillItem.FUSE,
            spec,
            len(fuse.stations_mm),
            "piece",
            _fuse_place(run, fuse),
            kg=kg,
            fuse_family=fuse.family,
        )
    for run, fuse in fuses:
        kg = _fuse_kg(BillItem.FUSE_HOLDER, fuse)
        place = _fuse_place(run, fuse)
        yield BillEntry(
            BillItem.FUSE_HOLDER,
            _holder(fuse),
            len(fuse.stations_mm),
            "piece",
            place,
            kg=kg,
            fuse_family=fuse.family,
        )


def _holder(fuse: FuseChoice) -> str:
    what = f"for a {_family_words(fuse)} fuse of {fuse.rating_a:g} A"
    if fuse.stud is not None:
        return f"{what}, studs {fuse.stud}, with an insulating cover"
    return f"in line, sealed, {what}, leads of {fuse.leads}"


def _fuse_kg(item: BillItem, fuse: FuseChoice) -> float | None:
    """Return what a fuse or its holder weighs; None for a rating that no family has."""
    return None if fuse.family is None else thing_kg(item, len(fuse.stations_mm), kind=fuse.family)


def _fuse_place(run: RunPlan, fuse: FuseChoice) -> str:
    return f"{run.name}: {fuse.conductor}, {_stations(fuse)}"


def _stations(fuse: FuseChoice) -> str:
    return " and ".join(f"station {tape_m(station_mm)} m" for station_mm in fuse.stations_mm)


def _family_words(fuse: FuseChoice) -> str:
    return fuse.family or "in-line"


def _joins(fuse: FuseChoice, choice: ConductorChoice, *, is_sealed: bool) -> _EndPart:
    """Return what joins a conductor to a fuse holder: a ring on its stud, or a splice."""
    if fuse.stud is not None:
        return _EndPart(BillItem.RING_TERMINAL, _ring(fuse.stud, choice, is_sealed=is_sealed))
    is_thicker = fuse.leads_mm2 is not None and choice.area_mm2 > fuse.leads_mm2 * (1 + RELATIVE_ROUNDING)
    butt = f"butt, stepped down to leads of {fuse.leads}" if is_thicker else "butt"
    return _EndPart(BillItem.SPLICE, f"{butt}, {crimp_words(choice, is_sealed=is_sealed)}")


def _choice(run: RunPlan, fuse: FuseChoice) -> ConductorChoice:
    return next(choice for choice in run.conductors if choice.name == fuse.conductor)


# Terminals and splices


def terminal_entries(job: Job, profile: Profile, runs: tuple[RunPlan, ...]) -> Iterator[BillEntry]:
    """Yield a ring for each end on a stud, a contact for each end in a connector, splices for holders.

    And heat-shrink over what has no insulation of its own and lies in no housing, and a label for each end
    of a conductor.
    """
    found: list[BillEntry] = []
    for run in runs:
        for choice in run.conductors:
            for name in (run.start, run.end):
                where = f"{run.name}: {choice.name} at {name}"
                found += _crimped(_end_part(job, profile, name, choice), 1, where, choice)
            where = f"{run.name}: both ends of {choice.name}"
            label = load_table("sundries")["label"]["spec"]
            found.append(
                BillEntry(
                    BillItem.LABEL, label, 2, "piece", where, has_spare=True, kg=thing_kg(BillItem.LABEL, 2)
                )
            )
        if run.fuse is not None:
            choice = _choice(run, run.fuse)
            leads_mm = lead_outside_mm(run.fuse, choice) if run.fuse.stud is None else None
            for part, count in _holder_joints(profile, run, run.fuse, choice).items():
                where = f"{run.name}: both sides of the fuse holder{'s' if count > 2 else ''}"
                found += _crimped(part, count, where, choice, leads_mm)
    found += core_caps(cables_of(job, runs))
    order = (
        BillItem.RING_TERMINAL,
        BillItem.CONNECTOR_CONTACT,
        BillItem.SPLICE,
        BillItem.HEAT_SHRINK,
        BillItem.LABEL,
    )
    yield from sorted(found, key=lambda entry: (order.index(entry.item), entry.spec))


def _holder_joints(
    profile: Profile, run: RunPlan, fuse: FuseChoice, choice: ConductorChoice
) -> Mapping[_EndPart, int]:
    """Return what joins a conductor to its fuse holders, each by where it sits, and how many of it."""
    wet = [is_wet_at(profile, run.route, station_mm) for station_mm in fuse.stations_mm]
    parts = (_joins(fuse, choice, is_sealed=is_sealed) for is_sealed in wet for _side in ("in", "out"))
    return Counter(parts)


def _crimped(
    part: _EndPart, count: int, where: str, choice: ConductorChoice, thinner_mm: float | None = None
) -> Iterator[BillEntry]:
    kg = thing_kg(part.item, count, size=choice.area_mm2)
    yield BillEntry(
        part.item, part.spec, count, "piece", where, has_spare=True, kg=kg, contact_family=part.contact_family
    )
    shrink = "" if part.item is BillItem.CONNECTOR_CONTACT else heat_shrink_words(choice, thinner_mm)
    if shrink:
        kg = thing_kg(BillItem.HEAT_SHRINK, count)
        yield BillEntry(BillItem.HEAT_SHRINK, shrink, count, "piece", where, has_spare=True, kg=kg)


def _end_part(job: Job, profile: Profile, name: str, choice: ConductorChoice) -> _EndPart:
    """Return what a conductor ends in at a terminal: a ring on its stud, else a contact of its connector."""
    stud, terminal = stud_of(job, profile, name, choice.name), profile.terminal(name)
    if stud is not None:
        is_sealed = is_wet(profile, terminal.space)
        return _EndPart(BillItem.RING_TERMINAL, _ring(stud, choice, is_sealed=is_sealed))
    return _EndPart(BillItem.CONNECTOR_CONTACT, contact_words(terminal, choice), terminal.contact)


def _ring(stud: str, choice: ConductorChoice, *, is_sealed: bool) -> str:
    inch = {row["stud"]: row["inch"] for row in load_table("terminals")["studs"]["sizes"]}.get(stud)
    return f"ring {stud}{f' ({inch})' if inch else ''}, {crimp_words(choice, is_sealed=is_sealed)}"
