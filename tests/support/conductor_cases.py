"""Jobs with straight routes, for tests of the conductors trade. mm, A, V, degC."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from small_vehicle import BATTERY, a_conductor, a_job, a_profile, a_route, a_run, practice_with

from router.conductors import choose_conductors
from router.facts import bundles_of
from router.model.conductor_choice import ConductorChoice, FuseChoice
from router.model.job import Conductor, Fuse, Job, Limits, Run, Series
from router.model.plan import Electrical, Route, RunLength
from router.model.practice import Practice
from router.model.vehicle import Profile, Terminal

AUTO = Fuse(None)
BENCH = a_profile(terminals=(BATTERY,))
"""A vehicle of which this trade asks only the kinds of its spaces and of the source."""
PLAIN = {
    ("conductor", "self-heating"): 0.0,
    ("fuse", "own drop"): 0.0,
    ("conductor", "connection"): 0.0,
    ("conductor", "crimp length"): 0.0,
    ("conductor", "body return"): 0.0,
}
"""Practice that adds nothing to the copper's own resistance: what tables and formulas are about."""


def a_circuit_job(
    *runs: Run,
    series: Series = Series.METRIC,
    insulation_c: float = 105.0,
    drop: float = 0.03,
    ambient_c: Mapping[str, float] | None = None,
) -> Job:
    """Return a job of these runs with its limits."""
    job = a_job(*runs, series=series)
    return replace(
        job, insulation_c=insulation_c, limits=Limits(drop, dict(ambient_c or {"underfloor": 30.0}))
    )


def supply_and_earth(
    load_a: float = 9.0,
    *,
    size: str | None = None,
    fuse: Fuse | None = AUTO,
    earth_size: str | None = None,
    **conductor: object,
) -> tuple[Run, Run]:
    """Return the usual two runs: a fused supply from the battery, and the earth that returns it."""
    supply = a_conductor("supply", load_a=load_a, size=size, **conductor)
    earth = a_conductor("earth", load_a=0.0, colour="black", returns=("supply",), size=earth_size)
    return (
        a_run("supply", conductors=(supply,), fuse=fuse),
        a_run("earth", "unit", "rear earth stud", conductors=(earth,)),
    )


def a_return(name: str, *returns: str, size: str | None = None) -> Conductor:
    """Return a conductor that only brings others' current back."""
    return a_conductor(name, load_a=0.0, colour="black", returns=returns, size=size)


def straight(
    job: Job, length_mm: float | Mapping[str, float] = 5000.0, spaces: Mapping[str, float] | None = None
) -> tuple[tuple[Route, ...], tuple[RunLength, ...]]:
    """Return straight routes far apart from each other, cut to their own length.

    `spaces` gives each space's share of every run, in order; all underfloor without it.
    """
    routes = []
    for number, run in enumerate(job.runs):
        length = length_mm[run.name] if isinstance(length_mm, Mapping) else length_mm
        points, names, x = [(0.0, 1000.0 * number, 400.0)], [], 0.0
        for space, share in (spaces or {"underfloor": 1.0}).items():
            x += share * length
            names += [space, space]
            points += [(x, 1000.0 * number, 400.0)] * 2
        routes.append(a_route(points[:-1], run=run.name, spaces=names))
    return tuple(routes), tuple(RunLength(r.run, r.routed_mm, (), 0.0, 0.0, r.routed_mm) for r in routes)


def choose(
    job: Job,
    length_mm: float | Mapping[str, float] = 5000.0,
    *,
    spaces: Mapping[str, float] | None = None,
    practice: Mapping[tuple[str, str], float] | Practice | None = None,
    profile: Profile | None = None,
) -> Electrical:
    """Return the trade's answer for a job on straight routes; `practice` changes the default one."""
    rules = practice if isinstance(practice, Practice) else practice_with(practice or {})
    routes, lengths = straight(job, length_mm, spaces)
    vehicle = with_ends(profile or BENCH, job)
    return choose_conductors(job, vehicle, rules, routes, bundles_of(routes), lengths)


def with_ends(profile: Profile, job: Job) -> Profile:
    """Return a vehicle with a connector for each end of a job's runs that it does not have."""
    known = {terminal.name for terminal in profile.terminals}
    names = dict.fromkeys(end for run in job.runs for end in (run.start, run.end) if end not in known)
    ends = tuple(Terminal(name, "underfloor", (0.0, 0.0), 400.0, None) for name in names)
    return replace(profile, terminals=(*profile.terminals, *ends))


def by_name(electrical: Electrical) -> dict[str, ConductorChoice]:
    """Return the choices by their conductors' names."""
    return {choice.name: choice for choice in electrical.conductors}


def fuse_of(electrical: Electrical, run: str = "supply") -> FuseChoice:
    """Return a run's fuse."""
    return next(fuse for fuse in electrical.fuses if fuse.run == run)


def kinds(electrical: Electrical) -> list[str]:
    """Return the kinds of the findings, in order."""
    return [finding.kind for finding in electrical.findings]


def of_fuses(electrical: Electrical) -> list[float]:
    """Return the ratings of the fuses, in order. [A]"""
    return [fuse.rating_a for fuse in electrical.fuses]
