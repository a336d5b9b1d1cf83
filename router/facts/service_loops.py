"""The loop of slack beside a run's start: how much it takes in, or that its wire is too thick for one. mm.

A service loop is a U beside the run: a quarter bend out of it, half a turn, a quarter bend into it again.
Four quarter bends of radius r are 2 pi r of conductor on 4 r of run, so that a loop takes in (2 pi - 4) r at
least; straight legs take in more. Where that is more than the largest loop, the slack is left as a swept end
with no bend tighter than r.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from router.model.practice import Practice

U_PER_RADIUS = 2.0 * math.pi - 4.0
"""What a U of four quarter bends takes in, as a multiple of their radius."""


@dataclass(frozen=True, slots=True)
class ServiceLoop:
    """Slack left beside a run's start."""

    wire_mm: float
    """Outside of the run's thickest conductor; 0: none is chosen yet."""
    radius_mm: float
    """The tightest that it may be bent."""
    least_mm: float
    """What the smallest loop takes in."""
    largest_mm: float
    """Of the rules in force; no loop takes in more."""
    slack_mm: float

    @property
    def is_swept(self) -> bool:
        """Return whether the wire is too thick for a loop, and the slack is a swept end in its place."""
        return self.least_mm > self.largest_mm

    @property
    def words(self) -> str:
        """Return what it is: "a U of bends no tighter than 30 mm"."""
        if self.is_swept:
            return (
                f"a {self.wire_mm:g} mm wire is too thick for a service loop: bent no tighter than "
                f"{self.radius_mm:g} mm, a U would take {self.least_mm:.0f} mm"
            )
        return f"a U of four quarter bends, none tighter than {self.radius_mm:g} mm"


def service_loop(wire_mm: float, practice: Practice) -> ServiceLoop:
    """Return the service loop of a run.

    Parameters
    ----------
    wire_mm : float
        Outside of its thickest conductor; 0 where none is chosen yet. [mm]
    practice : Practice
        "bend: least radius", "length: service loop" and "length: largest loop".
    """
    radius_mm = practice.value("bend", "least radius") * wire_mm
    least_mm, largest_mm = U_PER_RADIUS * radius_mm, practice.value("length", "largest loop")
    asked_mm = practice.value("length", "service loop")
    slack_mm = max(asked_mm, min(least_mm, largest_mm))
    return ServiceLoop(wire_mm, radius_mm, least_mm, max(largest_mm, asked_mm), slack_mm)
