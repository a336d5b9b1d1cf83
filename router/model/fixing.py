"""What holds the loom: fixings, and the holes that are drilled for them. mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from router.model.vehicle import Hazard, Screw


class FixingKind(StrEnum):
    """What holds the loom: by what it goes on, and whether that may be tied to."""

    TIE = "tie"  # round a support that may be tied to
    CLIP = "clip"  # on a support that takes a clip but no tie
    P_CLIP = "P-clip"  # screwed to a panel where no support is in reach; needs a hole, to be drilled


@dataclass(frozen=True, slots=True)
class BehindHole:
    """A body behind a panel that is drilled, and how near to it the drill and the screw come."""

    keep_out: str
    hazard: Hazard
    required_mm: float
    actual_mm: float


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole to be drilled into a panel: from its face straight on, as deep as drill or screw may go."""

    panel: str
    diameter_mm: float
    start: tuple[float, float, float]
    """Where the drill is put on. [mm]"""
    end: tuple[float, float, float]
    """Where drill and screw end at the furthest. [mm]"""
    behind: tuple[BehindHole, ...]
    """The nearest first."""
    screw: Screw = Screw.NUT

    @property
    def depth_mm(self) -> float:
        """Return how far drill or screw may go in, from the panel's face."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True)
class Fixing:
    """One fixing, numbered from 1 along its run."""

    number: int
    station_mm: float
    kind: FixingKind
    support: str | None
    space: str
    x_mm: float
    y_mm: float
    z_mm: float
    why: str
    """What put it there: "end", "opening load floor plug", "bend", "span"."""
    shared_with: str | None
    """The run whose fixing it is already, an earlier one in the same loom; None for one of its own."""
    hole: Hole | None = None
    """What is drilled for it; None on a support, and where a drawn route's file does not say."""

    @property
    def panel(self) -> str | None:
        """Return the panel that is drilled for it, if one is."""
        return self.hole.panel if self.hole else None

    @property
    def on(self) -> str:
        """Return what it goes on; a drawn route's file names no panel."""
        return self.support or self.panel or "panel, not named"
