"""A published trailer lead as it is bought: one cable of all its cores, used or not. mm, mm2.

One of which the job names another size for a core is no such cable: it is made of single conductors.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from router.model.conductor_choice import ConductorChoice
from router.model.job import Job, Run
from router.plane import bundle_diameter_mm
from router.tables import LeadConductor, load_table, trailer_lead
from router.tolerances import RELATIVE_ROUNDING


@dataclass(frozen=True, slots=True)
class LeadCore:
    """One core of a cable; `conductor` is the job's name for it, None where it is not used."""

    own: LeadConductor
    area_mm2: float
    outside_mm: float
    conductor: str | None

    @property
    def words(self) -> str:
        """Return which one it is: "pin 8, reversing, pink"."""
        return f"pin {self.own.pin}, {self.own.function}, {self.own.colour}"


@dataclass(frozen=True, slots=True)
class LeadCable:
    """The one cable that a run's lead is."""

    run: str
    lead: str
    cores: tuple[LeadCore, ...]
    """In the order of the table, which is that of their pins."""

    @property
    def used(self) -> tuple[str, ...]:
        """Return the job's conductors that are cores of it."""
        return tuple(core.conductor for core in self.cores if core.conductor is not None)

    @property
    def unused(self) -> tuple[LeadCore, ...]:
        """Return the cores that the job has no conductor for; both ends are capped."""
        return tuple(core for core in self.cores if core.conductor is None)

    @property
    def outside_mm(self) -> float:
        """Return its outside: its cores packed in a circle, and the sheath round them."""
        packed_mm = bundle_diameter_mm(tuple(core.outside_mm for core in self.cores))
        return packed_mm + 2 * float(load_table("trailer_leads")["cable"]["sheath_mm"])

    @property
    def bends_like_mm(self) -> float:
        """Return the outside of the wire that may be bent as tightly."""
        return float(self.outside_mm * load_table("trailer_leads")["cable"]["bends_like"])

    @property
    def spec(self) -> str:
        """Return it as bought: "13-pin cable, 8 x 1.5 mm2 + 4 x 2.5 mm2, sheathed"."""
        counted = sorted(Counter(core.area_mm2 for core in self.cores).items())
        cores = " + ".join(f"{count} x {area_mm2:g} mm2" for area_mm2, count in counted)
        return f"{self.name}, {cores}, sheathed"

    @property
    def name(self) -> str:
        """Return its short name: "13-pin cable"."""
        return f"{self.lead} cable"


def lead_cable_of(run: Run, choices: Iterable[ConductorChoice]) -> LeadCable | None:
    """Return the cable that a run's published lead is; None where it is made of single conductors.

    Parameters
    ----------
    run : Run
    choices : iterable of ConductorChoice
        Those of any runs; the run's own count.
    """
    lead = trailer_lead(run.lead) if run.lead else {}
    areas = {function: own.area_mm2 for function, own in lead.items()}
    own = {each.function: each for each in choices if each.run == run.name and each.function in areas}
    if run.lead is None or not own or not all(_is_as_sold(each, areas[name]) for name, each in own.items()):
        return None
    outsides_mm = {row["area_mm2"]: row["outside_mm"] for row in load_table("conductors")["metric"]["sizes"]}
    cores = tuple(
        LeadCore(core, core.area_mm2, outsides_mm[core.area_mm2], own[name].name if name in own else None)
        for name, core in lead.items()
        if core.area_mm2 is not None
    )
    return LeadCable(run.name, run.lead, cores)


def _is_as_sold(choice: ConductorChoice, area_mm2: float | None) -> bool:
    return area_mm2 is not None and abs(choice.area_mm2 - area_mm2) <= area_mm2 * RELATIVE_ROUNDING


def wires_of(job: Job, runs: Iterable[str], choices: Sequence[ConductorChoice]) -> tuple[float, ...]:
    """Return the outsides of what lies in a loom over some runs: a lead's cores are one cable. [mm].

    Parameters
    ----------
    job : Job
    runs : iterable of str
        Their names.
    choices : sequence of ConductorChoice
        Of all runs.
    """
    cables = {name: lead_cable_of(job.run(name), choices) for name in runs}
    found = [
        choice.outside_mm
        for choice in choices
        if choice.run in cables and not _is_core(cables[choice.run], choice)
    ]
    return (*found, *(cable.outside_mm for cable in cables.values() if cable))


def stiffest_wire_mm(run: Run, choices: Sequence[ConductorChoice]) -> float:
    """Return the outside of the wire that bends like the stiffest of a run; of a cable see the table. [mm]"""
    cable = lead_cable_of(run, choices)
    own = [each.outside_mm for each in choices if each.run == run.name and not _is_core(cable, each)]
    return max([*own, *([cable.bends_like_mm] if cable else [])])


def _is_core(cable: LeadCable | None, choice: ConductorChoice) -> bool:
    return cable is not None and choice.name in cable.used
