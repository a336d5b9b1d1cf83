"""Openings and holes that a run may not go through, because other looms fill them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import TypeAlias

from router.model.vehicle import Opening, Profile, ThroughPass

ClosedBores: TypeAlias = Mapping[str, Sequence[Opening | ThroughPass]]
"""By run: what it may not go through."""


def without_bores(profile: Profile, closed: Collection[Opening | ThroughPass]) -> Profile:
    """Return a vehicle without some of its openings and holes."""
    if not closed:
        return profile
    members = tuple(
        replace(member, passes=tuple(each for each in member.passes if each not in closed))
        for member in profile.members
    )
    openings = tuple(each for each in profile.openings if each not in closed)
    return replace(profile, members=members, openings=openings)
