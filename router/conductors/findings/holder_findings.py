"""Where a fuse holder sits: too far from its source, behind a bulkhead, or further than it need be.

What lies between the source and the fuse is live and unprotected. A short there, where a wire goes through
sheet metal or lies long beside it, burns until the battery is flat.
"""

from __future__ import annotations

from collections.abc import Iterator

from router.conductors.fuses import HolderPlace
from router.conductors.limits import is_within
from router.conductors.protection import Protection
from router.model.plan import Finding, FindingKind, Passage, PassageKind, Route, Severity
from router.model.practice import Practice, Rule, Status

_BEFORE_METAL = Rule(
    "fuse",
    "before the first hole in metal",
    1.0,
    "count",
    "common practice, no source (an unfused wire through sheet metal is the likeliest short there is)",
    Status.COMMON_PRACTICE,
)


def holder_findings(
    protection: Protection,
    place: HolderPlace,
    second: HolderPlace | None,
    route: Route,
    practice: Practice,
) -> Iterator[Finding]:
    """Yield what is wrong with the place of a fuse holder.

    Parameters
    ----------
    protection : Protection
    place : HolderPlace
        Where it sits, and the rule of how far that may be.
    second : HolderPlace, optional
        Where a second holder at the other end sits, likewise.
    route : Route
        Of its run: what lies between it and the source.
    practice : Practice
        How far it may be in a sheath, and bare.
    """
    passed = _passed(place, route)
    if passed is not None:
        yield _behind(protection, place, passed)
    if second is not None:
        yield from _too_short(protection, place, second, route)
    name = protection.carrier.name
    sheathed = practice.rule("fuse", "sheathed distance")
    if not is_within(place.from_source_mm, place.rule.value):
        words = f"the fuse holder of {name} is too far from the source"
        yield _finding(protection, place, Severity.MUST, words, place.rule)
    elif not is_within(place.from_source_mm, sheathed.value):
        words = f"the fuse holder of {name} is further from the source than 33 CFR 183.455(b) allows a boat"
        yield _finding(protection, place, Severity.SHOULD, words, sheathed)
    elif not is_within(place.from_source_mm, max(place.bare.value, place.nearest.value)):
        words = f"the fuse holder of {name} is further from the source than it need be"
        yield _finding(protection, place, Severity.NOTE, words, place.bare)


def _too_short(
    protection: Protection, first: HolderPlace, second: HolderPlace, route: Route
) -> Iterator[Finding]:
    """Yield a must where two holders have no room between the ends of their run and each other.

    Between two holders there are two joints, as there are between an end and a holder.
    """
    asked_mm = protection.carrier.run.fuse.from_source_mm if protection.carrier.run.fuse else None
    needed_mm = 2 * (first.nearest.value if asked_mm is None else asked_mm) + first.nearest.value
    if is_within(needed_mm, route.routed_mm):
        return
    run = protection.carrier.run.name
    advice = f"; {needed_mm:.0f} mm would do: put one of its ends further away"
    if is_within(route.routed_mm, min(first.bare.value, second.bare.value)):
        advice += f', or leave "fuse-at-both-ends" out of run "{run}": one fuse is near enough to both'
    yield Finding(
        FindingKind.FUSE_HOLDER,
        Severity.MUST,
        run,
        min(first.station_mm, second.station_mm),
        f"{protection.carrier.name} is too short for two fuse holders",
        advice,
        f"{needed_mm:.0f} mm",
        f"{route.routed_mm:.0f} mm",
        first.nearest,
    )


def _passed(place: HolderPlace, route: Route) -> Passage | None:
    """Return the first opening or hole in a member that a conductor goes through before its fuse."""
    is_from_start = place.station_mm == place.from_source_mm
    low, high = (0.0, place.station_mm) if is_from_start else (place.station_mm, route.routed_mm)
    through = (PassageKind.OPENING, PassageKind.THROUGH_MEMBER)
    passed = [each for each in route.passages if each.kind in through and low < each.from_station_mm <= high]
    return min(
        passed, key=lambda each: abs(each.from_station_mm - (0.0 if is_from_start else high)), default=None
    )


def _behind(protection: Protection, place: HolderPlace, passed: Passage) -> Finding:
    name = protection.carrier.name
    return Finding(
        FindingKind.FUSE_HOLDER,
        Severity.SHOULD,
        protection.carrier.run.name,
        place.station_mm,
        f"the fuse holder of {name} is behind {passed.name}: what goes through there has no fuse before it",
        _nearer_words(protection),
        f"a fuse before {passed.name}",
        f"{place.from_source_mm:.0f} mm from the source",
        _BEFORE_METAL,
    )


def _finding(
    protection: Protection, place: HolderPlace, severity: Severity, words: str, rule: Rule
) -> Finding:
    return Finding(
        FindingKind.FUSE_HOLDER,
        severity,
        protection.carrier.run.name,
        place.station_mm,
        words,
        _nearer_words(protection),
        f"{rule.value:.0f} mm",
        f"{place.from_source_mm:.0f} mm",
        rule,
    )


def _nearer_words(protection: Protection) -> str:
    fuse, run = protection.carrier.run.fuse, protection.carrier.run.name
    if fuse is None or fuse.from_source_mm is None:
        return "; begin the run nearer to the source's own side"
    return f'; leave "fuse-at" out of run "{run}", so that it sits as near to the source as it can be made up'
