"""What follows from where routes lie: who lies together, how long, which conductors and looms."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from router.conductors import choose_conductors
from router.facts import bundles_of, service_loop, stiffest_wire_mm, wires_of
from router.lengths import measure_run
from router.looms import dress_looms, loom_for
from router.model.job import Job, Run
from router.model.plan import (
    Bundle,
    Electrical,
    Finding,
    FindingKind,
    Loom,
    Route,
    RoutePoint,
    RunLength,
    Severity,
)
from router.model.practice import Practice
from router.model.vehicle import Profile


@dataclass(frozen=True, slots=True)
class RouteSizes:
    """What lies along the routes of a job: lengths in the order of its runs, all else by name."""

    bundles: tuple[Bundle, ...]
    lengths: tuple[RunLength, ...]
    electrical: Electrical
    looms: tuple[Loom, ...]
    """One a bundle, in their order."""

    def looms_of(self, run: str) -> tuple[Loom, ...]:
        """Return the looms that a run lies in."""
        return tuple(loom for loom in self.looms if run in loom.runs)

    def widest_wire_mm(self, run: Run) -> float:
        """Return the outside of a run's thickest conductor, or of the wire that bends like its cable."""
        return stiffest_wire_mm(run, self.electrical.conductors)


def size_routes(job: Job, profile: Profile, practice: Practice, routes: Sequence[Route]) -> RouteSizes:
    """Return what lies along routes.

    A thicker conductor asks for a larger service loop, and so for longer conductors, which may be thicker:
    both are gone through until no loop grows.

    Parameters
    ----------
    job, profile, practice : records of the model
    routes : sequence of Route
        One a run, in the job's order.

    Raises
    ------
    NoConductorError
        No conductor, fuse or loom meets the limits; says which limit and by how much.
    """
    bundles, lengths = bundles_of(routes), measure_runs(job, profile, practice, routes)
    wires_mm: dict[str, float] = {}
    while True:
        electrical = choose_conductors(job, profile, practice, routes, bundles, lengths)
        wires_mm = _no_thinner(widest_wires_mm(job, electrical), wires_mm)
        chosen_for, lengths = lengths, measure_runs(job, profile, practice, routes, wires_mm)
        if all(after.cut_mm == before.cut_mm for after, before in zip(lengths, chosen_for, strict=True)):
            break
    looms = dress_looms(job, bundles, electrical.conductors, practice)
    findings = (*electrical.findings, *_too_thick_for_loops(wires_mm, practice))
    return RouteSizes(bundles, lengths, replace(electrical, findings=findings), looms)


def widest_wires_mm(job: Job, electrical: Electrical) -> dict[str, float]:
    """Return by run the outside of its thickest conductor, or of the wire that bends like its cable."""
    return {run.name: stiffest_wire_mm(run, electrical.conductors) for run in job.runs}


def _no_thinner(wires_mm: Mapping[str, float], before_mm: Mapping[str, float]) -> dict[str, float]:
    return {run: max(wire_mm, before_mm.get(run, 0.0)) for run, wire_mm in wires_mm.items()}


def _too_thick_for_loops(wires_mm: Mapping[str, float], practice: Practice) -> Iterator[Finding]:
    for run, wire_mm in wires_mm.items():
        loop = service_loop(wire_mm, practice)
        if loop.is_swept:
            yield Finding(
                FindingKind.SERVICE_LOOP,
                Severity.NOTE,
                run,
                0.0,
                loop.words,
                f": {loop.slack_mm:g} mm of slack are left as a swept end",
                f"no more than {loop.largest_mm:g} mm",
                f"{loop.least_mm:.0f} mm",
                practice.rule("length", "largest loop"),
            )


def measure_runs(
    job: Job,
    profile: Profile,
    practice: Practice,
    routes: Sequence[Route],
    wires_mm: Mapping[str, float] | None = None,
) -> tuple[RunLength, ...]:
    """Return how long to cut the conductors of each run.

    Parameters
    ----------
    job, profile, practice : records of the model
    routes : sequence of Route
        One a run, in the job's order.
    wires_mm : mapping of str to float, optional
        By run the outside of its thickest conductor, where conductors are chosen.
    """
    known_mm = wires_mm or {}
    return tuple(
        measure_run(run, route, profile, practice, known_mm.get(run.name, 0.0))
        for run, route in zip(job.runs, routes, strict=True)
    )


def own_looms_mm(job: Job, practice: Practice, electrical: Electrical) -> dict[str, float]:
    """Return by run the outside of a loom over its own conductors alone [mm].

    Parameters
    ----------
    job : Job
    practice : Practice
        Group "loom".
    electrical : Electrical
        The conductors of all runs.
    """
    own_mm = {}
    for run in job.runs:
        wires_mm = wires_of(job, [run.name], electrical.conductors)
        own_mm[run.name] = loom_for(wires_mm, practice, job.series).outside_mm
    return own_mm


def alike(diameters_mm: Mapping[str, float], bundles: Sequence[Bundle]) -> dict[str, float]:
    """Return by run the largest diameter of all that some row of bundles joins it with. [mm]"""
    beside = {name: {name} for name in diameters_mm}
    for bundle in bundles:
        together = set().union(*(beside[name] for name in bundle.runs))
        beside.update(dict.fromkeys(together, together))
    return {name: max(diameters_mm[other] for other in group) for name, group in beside.items()}


def straight_route(run: Run, profile: Profile, detour: float) -> Route:
    """Return a straight stand-in for the route of a run that has none: only its conductors count.

    Parameters
    ----------
    run : Run
    profile : Profile
        For its terminals.
    detour : float
        How much longer than straight its stations are.
    """
    start, end = profile.terminal(run.start), profile.terminal(run.end)
    a, b = (*start.at, start.height_mm), (*end.at, end.height_mm)
    x_mm, y_mm, z_mm = ((p + q) / 2.0 for p, q in zip(a, b, strict=True))
    length_mm = detour * math.dist(a, b)
    points = (
        RoutePoint(start.space, *a, 0.0, None),
        RoutePoint(start.space, x_mm, y_mm, z_mm, length_mm / 2.0, None),
        RoutePoint(end.space, x_mm, y_mm, z_mm, length_mm / 2.0, None),
        RoutePoint(end.space, *b, length_mm, None),
    )
    return Route(run.name, points, (), length_mm, 0.0)
