"""What is known of a pinch while it is looked for: its sides, pieces of the widest route, what is across."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeAlias

from router.model.vehicle import KeepOut
from router.routing import (
    LoomOnVehicle,
)
from router.search import XY, Path, Step

COARSE_MM = 1000.0
"""Longest piece of a border without a vertex, where only some way is wanted."""
MOST_SUSPECTS = 4
"""Keep-outs whose clearance is tried changed."""
Sites: TypeAlias = tuple[tuple[int, XY], ...]


@dataclass(frozen=True, slots=True)
class PinchSide:
    """One thing at a pinch: its name as told, what it asks for, and whether it is a keep-out or a member."""

    name: str
    wants: str = ""
    keep_out: str | None = None
    member: str | None = None


@dataclass(frozen=True, slots=True)
class FoundPinch:
    """A pinch: where it is, between what, how wide it is and how wide it should be; the way through it."""

    layer: int
    at: XY
    sides: tuple[PinchSide, ...]
    width_mm: float
    needed_mm: float
    path: Path


@dataclass(frozen=True, slots=True)
class PathPiece:
    """A straight part of a way, from step to step or less; `rail` is the support that is ridden there."""

    step: Step
    rail: str | None
    line: Any
    group: int | None
    """What hangs together with it; None where the place is taken."""


@dataclass(frozen=True, slots=True)
class Across:
    """Something that stands across, in words, and the place where a way would meet it if it were gone."""

    what: str
    layer: int
    at: XY


def keep_out_side(loom: LoomOnVehicle, keep_out: KeepOut) -> PinchSide:
    """Return a keep-out as one side of a pinch, with the clearance that it asks for."""
    required_mm = loom.clearances[keep_out.name].required_mm
    wants = f'{required_mm:.0f} mm from "{keep_out.name}"'
    if keep_out.assumed_mm is not None:
        wants += f", which is assumed to {keep_out.assumed_mm:.0f} mm,"
    return PinchSide(keep_out.name, wants, keep_out=keep_out.name)
