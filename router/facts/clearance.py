"""How far every loom must stay from each keep-out, and by which rule. Lengths in mm.

Planner, reasons, sleeves and lessons read it here. The review resolves clearances for itself
(`router/reviewing/clearances.py`), so that a slip made here is found there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from router.model.practice import Practice, Rule
from router.model.vehicle import Hazard, KeepOut, Profile


class MeasuredPart(Protocol):
    """Whatever may be assumed in a vehicle."""

    @property
    def assumed_mm(self) -> float | None:
        """Return how far it may be off where nobody measured it yet."""


@dataclass(frozen=True, slots=True)
class Clearance:
    """The least distance from a keep-out to the outside of a loom, and what asks for it."""

    required_mm: float
    rule: Rule | None
    """None where the keep-out carries its own clearance."""


def clearances_of(profile: Profile, practice: Practice) -> Mapping[str, Clearance]:
    """Return the clearance of every keep-out of a vehicle, measuring tolerance included, by its name."""
    return {
        keep_out.name: clearance_of(keep_out, practice, tolerance_of(keep_out, profile))
        for keep_out in profile.keep_outs
    }


def tolerance_of(part: MeasuredPart, profile: Profile) -> float:
    """Return how far a part may be off: as it is assumed, never less than all that was measured."""
    return max(profile.tolerance_mm, part.assumed_mm or 0.0)


def clearance_of(keep_out: KeepOut, practice: Practice, tolerance_mm: float) -> Clearance:
    """Return the clearance of one keep-out: its own, else that of its hazard; less with a shield.

    Parameters
    ----------
    keep_out : KeepOut
    practice : Practice
        Group "clearance".
    tolerance_mm : float
        How far the keep-out may be off; added to what is asked for. [mm]
    """
    if keep_out.clearance_mm is not None:
        return Clearance(keep_out.clearance_mm + tolerance_mm, None)
    is_shielded = keep_out.hazard is Hazard.HOT and keep_out.is_shielded
    rule = practice.rule("clearance", "hot shielded" if is_shielded else keep_out.hazard.value)
    return Clearance(rule.value + tolerance_mm, rule)
