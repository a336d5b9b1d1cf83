"""Standard fuses: which rating, which colour, how soon it clears, and where its holder sits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from router.conductors.limits import is_within
from router.model.job import Run
from router.model.plan import Route
from router.model.practice import Practice, Rule
from router.model.vehicle import Terminal, TerminalKind
from router.tables import load_table

_FURTHEST = ("sheathed distance", "battery sheathed distance")
"""How far off a fuse may be at any source, and at the post of a battery."""


@dataclass(frozen=True, slots=True)
class ClearingPoint:
    """At this multiple of its rating, or more, a fuse clears within this time."""

    multiple: float
    within_s: float


@dataclass(frozen=True, slots=True)
class TableValue:
    """A figure of a table with its source, and how far that can be trusted."""

    value: float
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class StandardFuse:
    """One rating that can be bought."""

    rating_a: float
    colour: str
    family: str
    source: str
    status: str
    voltage: TableValue
    """The highest voltage that it breaks. [V]"""
    breaking: TableValue
    """The highest short-circuit current that it breaks, its breaking capacity. [A]"""
    clearing_points: tuple[ClearingPoint, ...]
    clearing_points_source: str
    clearing_points_status: str


@dataclass(frozen=True, slots=True)
class HolderPlace:
    """Where a fuse holder sits along its run, and how far the rule lets it be. Stations in mm."""

    station_mm: float
    furthest_mm: float
    from_source_mm: float
    """Distance from the source's end of the run."""
    nearest: Rule
    """How near it can be made up."""
    rule: Rule
    """How far it may be."""
    bare: Rule
    """How far it may be where the conductor lies in no sheath."""


@cache
def standard_fuses() -> tuple[StandardFuse, ...]:
    """Return the ladder of standard ratings, smallest first; of one rating, in the order of the table."""
    fuses = (
        _standard_fuse(family, rating_a, colour)
        for family in load_table("fuses")["families"]
        for rating_a, colour in _ratings(family)
    )
    return tuple(sorted(fuses, key=lambda fuse: fuse.rating_a))


def _ratings(family: Mapping[str, Any]) -> Iterator[tuple[float, str]]:
    """Yield a family's ratings with their colours; a bolted fuse-link has its rating printed on it."""
    yield from ((float(row["rating_a"]), str(row["colour"])) for row in family.get("ratings", ()))
    yield from ((float(rating_a), "no colour code") for rating_a in family.get("ratings_a", ()))


def _standard_fuse(family: Mapping[str, Any], rating_a: float, colour: str) -> StandardFuse:
    return StandardFuse(
        rating_a=rating_a,
        colour=colour,
        family=family["name"],
        source=family["source"],
        status=family["status"],
        voltage=TableValue(**family["voltage_v"]),
        breaking=TableValue(**family["breaking_a"]),
        clearing_points=tuple(
            ClearingPoint(point["multiple"], point["within_s"]) for point in family["gates"]
        ),
        clearing_points_source=family["gates_source"],
        clearing_points_status=family["gates_status"],
    )


def smallest_fuse_for(load_a: float, *, least_v: float = 0.0) -> StandardFuse | None:
    """Return the smallest standard fuse for a load, its continuous part already raised; None above all.

    Of one rating the family that the table names first.

    Parameters
    ----------
    load_a : float
        [A]
    least_v : float
        The voltage that it must be able to break. [V]

    Examples
    --------
    8 A, continuous, times 1.25, meets a 10 A fuse exactly.

    >>> smallest_fuse_for(8 * 1.25).rating_a
    10.0
    """
    fit = (fuse for fuse in standard_fuses() if is_within(least_v, fuse.voltage.value))
    return next((fuse for fuse in fit if is_within(load_a, fuse.rating_a)), None)


def fuse_rated(rating_a: float) -> StandardFuse | None:
    """Return the standard fuse of a rating, None where no family has it."""
    return next((fuse for fuse in standard_fuses() if fuse.rating_a == rating_a), None)


def clearing_s(fuse: StandardFuse, current_a: float) -> float | None:
    """Return the seconds in which a fuse clears a current for certain; None where it need not clear.

    Between two clearing points the slower one applies. Beyond the last, a fuse lets no more I2t through than
    there (common practice, no source: melting takes less heat the faster it goes).
    """
    passed = [point for point in fuse.clearing_points if is_within(point.multiple * fuse.rating_a, current_a)]
    if not passed:
        return None
    fastest = min(passed, key=lambda point: point.within_s)
    if fastest is not fuse.clearing_points[-1]:
        return fastest.within_s
    return fastest.within_s * min(1.0, fastest.multiple * fuse.rating_a / current_a) ** 2


def holder_place(
    run: Run, source: Terminal, route: Route, practice: Practice, *, area_mm2: float
) -> HolderPlace:
    """Return where a run's holder sits: where the job says, else as near to the source as it can be made up.

    A thick conductor needs more room there than a thin one; the rule's furthest distance holds for both.
    Conductors lie in loom from end to end, so the distances for a sheathed conductor stand; the longest of
    them only for a run that begins at a battery's post.
    """
    touches_source = source.name in (run.start, run.end)
    rule = _furthest(source if touches_source else None, practice)
    asked_mm = run.fuse.from_source_mm if run.fuse else None
    nearest = practice.rule(
        "fuse", "nearest thick" if area_mm2 > practice.value("fuse", "thick") else "nearest"
    )
    chosen_mm = min(nearest.value, rule.value) if asked_mm is None else asked_mm
    from_source_mm = min(chosen_mm, route.routed_mm)
    bare = practice.rule("fuse", "bare distance")
    furthest_mm = min(rule.value, route.routed_mm)
    if touches_source and run.start != source.name:
        station_mm, last_mm = route.routed_mm - from_source_mm, route.routed_mm - furthest_mm
        return HolderPlace(station_mm, last_mm, from_source_mm, nearest, rule, bare)
    return HolderPlace(from_source_mm, furthest_mm, from_source_mm, nearest, rule, bare)


def _furthest(source: Terminal | None, practice: Practice) -> Rule:
    """Return the rule of how far off a fuse may be; the stricter where nobody said what the source is."""
    elsewhere, at_battery = (practice.rule("fuse", key) for key in _FURTHEST)
    if source is None or source.kind not in (TerminalKind.BATTERY_POST, None):
        return elsewhere
    if source.kind is None:
        return min(elsewhere, at_battery, key=lambda rule: rule.value)
    return at_battery
