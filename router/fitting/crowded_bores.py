"""Openings and holes through which more looms were planned than they hold."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from router.model.plan import Loom, Passage, PassageKind, Route
from router.model.practice import Practice
from router.model.vehicle import Edge, Opening, Profile, ThroughPass
from router.plane import bundle_diameter_mm


@dataclass(frozen=True, slots=True)
class CrowdedBore:
    """What is too narrow for all looms through it, and the runs in these, in the job's order."""

    bore: Opening | ThroughPass
    runs: tuple[str, ...]


def crowded_bores(
    routes: Sequence[Route], looms: Sequence[Loom], profile: Profile, practice: Practice
) -> Iterator[CrowdedBore]:
    """Yield each bore that is too narrow for the looms through it, where these are of several runs.

    Parameters
    ----------
    routes : sequence of Route
        In the job's order.
    looms : sequence of Loom
        What they lie in.
    profile : Profile
    practice : Practice
        Group "opening".
    """
    passed: dict[Opening | ThroughPass, list[tuple[str, float]]] = {}
    for route in routes:
        for passage in route.passages:
            bore = _bore_of(passage, profile)
            if bore:
                middle_mm = (passage.from_station_mm + passage.to_station_mm) / 2
                passed.setdefault(bore, []).append((route.run, middle_mm))
    for bore, where in passed.items():
        runs = tuple(dict.fromkeys(run for run, _ in where))
        outsides_mm = tuple(_outsides_through(where, looms))
        wall_mm = practice.value("opening", "grommet wall") if bore.edge is Edge.BARE else 0.0
        is_shared = len(runs) > 1 and len(outsides_mm) > 1
        if is_shared and bundle_diameter_mm(outsides_mm) + 2 * wall_mm > bore.bore_mm:
            yield CrowdedBore(bore, runs)


def _bore_of(passage: Passage, profile: Profile) -> Opening | ThroughPass | None:
    if passage.kind is PassageKind.OPENING:
        return profile.opening(passage.name)
    return passage.taken if isinstance(passage.taken, ThroughPass) else None


def _outsides_through(where: Sequence[tuple[str, float]], looms: Sequence[Loom]) -> list[float]:
    """Return the outsides of the looms that go through, one as often as it does. [mm]"""
    times = Counter(
        (run, max(looms_there, key=lambda loom: len(loom.runs)))
        for run, station_mm in where
        if (looms_there := [each for each in looms if _holds(each, run, station_mm)])
    )
    most: Counter[Loom] = Counter()
    for (_, loom), count in times.items():
        most[loom] = max(most[loom], count)
    return [loom.outside_mm for loom in most.elements()]


def _holds(loom: Loom, run: str, station_mm: float) -> bool:
    return run in loom.runs and loom.bundle.holds(run, station_mm)
