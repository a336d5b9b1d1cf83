"""A trailer lead as one piece: the cable by its length, and the caps on the cores that are not used."""

from __future__ import annotations

from collections.abc import Iterator

from router.bill.counting import BillEntry, CutConductor, Size
from router.bill.masses import cable_kg_per_m, thing_kg
from router.facts import LeadCable, lead_cable_of
from router.model.job import Job
from router.model.plan import BillItem, RunPlan
from router.tables import lead_source


def cables_of(job: Job, runs: tuple[RunPlan, ...]) -> tuple[LeadCable, ...]:
    """Return the cables that leads of a job are, in its order."""
    found = (lead_cable_of(job.run(run.name), run.conductors) for run in runs)
    return tuple(cable for cable in found if cable is not None)


def cable_cuts(job: Job, cables: tuple[LeadCable, ...], runs: tuple[RunPlan, ...]) -> Iterator[BillEntry]:
    """Yield one entry a cable: how long, from where to where, which of its cores are capped."""
    for cable in cables:
        run = _run(cable, runs)
        yield BillEntry(
            BillItem.CONDUCTOR_CUT,
            _spec(cable, job),
            _cut_m(run),
            "m",
            f"{run.name}: {run.start} to {run.end}, {_cores_words(cable)}",
            is_own_line=True,
            kg=cable_kg_per_m(cable) * _cut_m(run),
            size=Size(cable.name, sum(core.area_mm2 for core in cable.cores)),
            conductor=CutConductor(run.name, cable.name),
            source=lead_source(cable.lead),
        )


def cable_totals(job: Job, cables: tuple[LeadCable, ...], runs: tuple[RunPlan, ...]) -> Iterator[BillEntry]:
    """Yield how much of each cable is wanted."""
    for cable in cables:
        length_m = _cut_m(_run(cable, runs))
        where = f"{cable.run}: {length_m:g} m"
        source = lead_source(cable.lead)
        yield BillEntry(BillItem.CONDUCTOR_TOTAL, _spec(cable, job), length_m, "m", where, source=source)


def core_caps(cables: tuple[LeadCable, ...]) -> Iterator[BillEntry]:
    """Yield a closed cap for both ends of each core that is not used."""
    for cable in cables:
        for core in cable.unused:
            yield BillEntry(
                BillItem.HEAT_SHRINK,
                f"end cap, adhesive lined, for a core of {core.outside_mm:g} mm",
                2,
                "piece",
                f"{cable.run}: both ends of {core.words}, not used",
                has_spare=True,
                kg=thing_kg(BillItem.HEAT_SHRINK, 2),
            )


def _spec(cable: LeadCable, job: Job) -> str:
    return f"{cable.spec}, insulation for {job.insulation_c:g} degC"


def _cores_words(cable: LeadCable) -> str:
    words = f"one piece, {len(cable.used)} of {len(cable.cores)} cores used"
    if cable.unused:
        words += f"; capped at both ends: {', '.join(f'pin {core.own.pin}' for core in cable.unused)}"
    return words


def _run(cable: LeadCable, runs: tuple[RunPlan, ...]) -> RunPlan:
    return next(run for run in runs if run.name == cable.run)


def _cut_m(run: RunPlan) -> float:
    return run.length.cut_mm / 1000
