"""How warm it is in a space: as the job says, else by its kind."""

from __future__ import annotations

from router.model.job import Job
from router.model.practice import Practice
from router.model.vehicle import Space


def ambient_of(space: Space, job: Job, practice: Practice) -> float:
    """Return the ambient temperature of a space, in degC.

    Parameters
    ----------
    space : Space
    job : Job
        What it says of the space by its name goes first.
    practice : Practice
        Group "ambient", by the space's kind.
    """
    stated_c = job.limits.ambient_c.get(space.name)
    return practice.by_space("ambient", space.kind).value if stated_c is None else stated_c
