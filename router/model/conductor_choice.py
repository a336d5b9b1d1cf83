"""What is chosen for the conductors of a plan: sizes and fuses, and why. Currents in A, areas in mm2."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class SizeReason(StrEnum):
    """What decided a conductor's size; the fuse, where it was enlarged for the one before it."""

    LEAST_SIZE = "least size"
    LEAD = "lead"
    AMPACITY = "ampacity"
    DROP = "drop"
    FUSE = "fuse"
    JOB = "job"


class LoadCase(StrEnum):
    """What is on while a load's loop loses the most."""

    EVERY_LOAD = "every load on"
    MOST_TOGETHER = "the most on that can be together"
    NO_OWN_LOAD = ""


@dataclass(frozen=True, slots=True)
class Reason:
    """One step of an electrical choice: what was asked, what came out, and on which source it rests."""

    what: str
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class ConductorChoice:
    """The conductor chosen for one conductor of the job."""

    run: str
    name: str
    colour: str
    size: str
    """As bought, e.g. "2.5 mm2" or "14 AWG"."""
    area_mm2: float
    outside_mm: float
    length_mm: float
    load_a: float
    ampacity_a: float
    drop_v: float
    """Lost over the whole loop from the source through this conductor and back, to its worst load."""
    drop_fraction: float
    decided_by: SizeReason
    copper_kg: float
    reasons: tuple[Reason, ...]
    own_drop_v: float
    """Lost from end to end of this conductor alone, its joints included: what a meter across it reads."""
    load_drop_v: float | None
    """Lost over the loop of its own load alone, the worst case that the job allows; None without one."""
    pin: int | None
    """Of the connector at its run's end, where a published lead gives it one."""
    function: str | None
    """What it does in that lead."""
    when: LoadCase
    """What is on then."""


@dataclass(frozen=True, slots=True)
class FuseChoice:
    """The fuse of one run, in its first conductor that carries a load."""

    run: str
    conductor: str
    rating_a: float
    family: str | None
    """Of standard fuses, e.g. "blade"; None for a rating that no family has."""
    colour: str
    station_mm: float
    """Where the holder sits along the run."""
    furthest_mm: float
    """The furthest station that the rule allows."""
    reasons: tuple[Reason, ...]
    leads: str | None
    """Of its holder, as bought: "6 mm2 or 10 AWG"; None where it has studs."""
    leads_mm2: float | None
    """A conductor of more than this steps down to them."""
    stud: str | None
    """Of its holder, on which the conductor's rings go; None where it has leads."""
    second_station_mm: float | None = None
    """Where a second one sits that protects it from a source at the other end; None: there is none."""

    @property
    def stations_mm(self) -> tuple[float, ...]:
        """Return where its holders sit along the run."""
        return tuple(each for each in (self.station_mm, self.second_station_mm) if each is not None)
