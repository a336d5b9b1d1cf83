"""Whether a route passes what its file says that it passes."""

from __future__ import annotations

from router.model.plan import Finding, Passage, PassageKind, Severity
from router.model.vehicle import OverPass, Profile, ThroughPass
from router.review.passing import Change, Crossing, passes_at
from router.review.pieces import Piece
from router.review.words import found

_WORDS = {
    PassageKind.OPENING: "through",
    PassageKind.OVER_MEMBER: "over",
    PassageKind.THROUGH_MEMBER: "through",
}
_PASSES = {PassageKind.OVER_MEMBER: OverPass, PassageKind.THROUGH_MEMBER: ThroughPass}


def check_said(
    run: str,
    said: tuple[Passage, ...],
    changes: tuple[Change, ...],
    crossings: tuple[Crossing, ...],
    pieces: tuple[Piece, ...],
    profile: Profile,
) -> tuple[Finding, ...]:
    """Return a finding for each member or opening that the file says is passed, and is not.

    What the vehicle does not have (any more) is none: no route can pass it.
    """
    known = {each.name for each in profile.members} | {each.name for each in profile.openings}
    openings = {change.opening.name for change in changes if change.opening}
    passed = [(crossing.member.name, way) for crossing in crossings for way in passes_at(crossing, pieces)]
    kinds = {
        (name, kind) for name, way in passed for kind, of_kind in _PASSES.items() if isinstance(way, of_kind)
    }
    findings = []
    for passage in said:
        is_opening = passage.kind is PassageKind.OPENING
        is_met = passage.name in openings if is_opening else (passage.name, passage.kind) in kinds
        if is_met or passage.name not in known:
            continue
        way = f"{_WORDS[passage.kind]} {passage.name}"
        findings.append(
            found(
                "pass",
                Severity.MUST,
                run,
                passage.from_station_mm,
                f"the file says that the route goes {way}, and it does not",
                required=way,
                actual="not passed",
            )
        )
    return tuple(findings)
