"""What differs between two vehicles, revisions or variants, thing by thing."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeAlias

from router.model.vehicle import (
    Cover,
    ExposedArea,
    KeepOut,
    Member,
    Opening,
    Panel,
    Profile,
    Space,
    Support,
    Terminal,
)

Measured: TypeAlias = Space | Panel | KeepOut | Member | Support | Cover | ExposedArea | Opening | Terminal
"""Anything that a profile says where it is."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that is only in one of two profiles, or not the same in both."""

    section: str
    name: str
    what: str
    before: Measured | None = field(default=None, compare=False)
    """The thing in the first profile; None where it is only in the second, and for facts of the profile."""
    after: Measured | None = field(default=None, compare=False)
    moved_mm: float | None = field(default=None, compare=False)
    """How far its points moved at most; None where they do not pair."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two profiles and all that differs between them."""

    before: Profile
    after: Profile
    differences: tuple[Difference, ...]
