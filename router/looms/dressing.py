"""The loom over each bundle of runs, and where bundles change."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from router.facts import bundles_along, wires_of
from router.looms.loom_sizes import loom_for
from router.model.conductor_choice import ConductorChoice
from router.model.job import Job
from router.model.plan import Breakout, Bundle, Loom
from router.model.practice import Practice


def dress_looms(
    job: Job, bundles: Sequence[Bundle], conductors: Sequence[ConductorChoice], practice: Practice
) -> tuple[Loom, ...]:
    """Return the looms of a job, one a bundle.

    Parameters
    ----------
    job : Job
        For its series of sizes, and its trailer leads.
    bundles : sequence of Bundle
        Which runs lie together where.
    conductors : sequence of ConductorChoice
        All conductors of the job.
    practice : Practice
        Group "loom".

    Raises
    ------
    NoConductorError
        Where no loom is large enough.
    """
    looms = []
    for bundle in bundles:
        inside = [choice for choice in conductors if choice.run in bundle.runs]
        size = loom_for(wires_of(job, bundle.runs, conductors), practice, job.series)
        names = tuple(choice.name for choice in inside)
        looms.append(
            Loom(bundle, names, size.bundle_mm, size.loom, size.bore_mm, size.outside_mm, size.reasons)
        )
    return tuple(looms)


def find_breakouts(run: str, bundles: Sequence[Bundle]) -> tuple[Breakout, ...]:
    """Return, in a run's own stations, where its bundle changes: what leaves and what joins."""
    found = []
    for before, after in pairwise(bundles_along(bundles, run)):
        leave = tuple(name for name in before.runs if name not in after.runs)
        join = tuple(name for name in after.runs if name not in before.runs)
        if leave or join:
            found.append(Breakout(run, before.stations_mm(run)[1], leave, join))
    return tuple(found)
