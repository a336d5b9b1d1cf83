"""All that a job needs, gathered into the lines of its bill."""

from __future__ import annotations

from dataclasses import replace

from router.bill.conductor_items import conductor_items, fuse_items, terminal_items
from router.bill.counting import BillItem, InstalledRuns, gather
from router.bill.holding_items import holder_items
from router.bill.loom_items import edge_items, heat_sleeve_items, loom_items, tape_items
from router.bill.masses import mass_items
from router.bill.packs import pack_lines
from router.bill.size_sources import source_of
from router.model.job import Job
from router.model.plan import BillLine, Loom, RunPlan
from router.model.practice import Practice
from router.model.vehicle import Profile


def make_bill(
    job: Job, profile: Profile, practice: Practice, runs: tuple[RunPlan, ...], looms: tuple[Loom, ...]
) -> tuple[BillLine, ...]:
    """Return the bill of a job.

    Parameters
    ----------
    job : Job
        For its temperature class.
    profile : Profile
        For studs, supports, openings and holes.
    practice : Practice
        Groups "bill", "fixing" and "length".
    runs : tuple of RunPlan
        All runs, each with its length, fixings, conductors, fuse and sleeves.
    looms : tuple of Loom
        All looms; what lies in a trunk counts once.

    Returns
    -------
    tuple of BillLine
        Conductors with their terminals and fuses, covers, fixings, masses, in m, kg or pieces; the same input
        gives the same lines.

    Raises
    ------
    NoAnswerError
        Where a loom is too thick or too heavy for every tie, or too thick for every P-clip or sleeve.
    """
    gathered = gather(list_items(job, profile, practice, runs, looms), practice)
    lines = tuple(_with_source(line, job) for line in gathered)
    return (*lines, *pack_lines(lines, practice))


def list_items(
    job: Job, profile: Profile, practice: Practice, runs: tuple[RunPlan, ...], looms: tuple[Loom, ...]
) -> tuple[BillItem, ...]:
    """Return all that a job needs, each piece by itself and without spare: what `make_bill` adds up.

    Parameters
    ----------
    job : Job
        For its temperature class.
    profile : Profile
        For studs, supports, openings and holes.
    practice : Practice
        Groups "bill", "fixing" and "length".
    runs : tuple of RunPlan
        All runs, each with its length, fixings, conductors, fuse and sleeves.
    looms : tuple of Loom
        All looms; what lies in a trunk counts once.
    """
    installed = InstalledRuns(runs, looms)
    items = (
        *conductor_items(job, profile, runs),
        *fuse_items(runs),
        *terminal_items(profile, runs),
        *loom_items(practice, looms),
        *tape_items(job, practice, looms),
        *heat_sleeve_items(practice, installed),
        *edge_items(profile, installed),
        *holder_items(profile, practice, installed),
    )
    return (*items, *mass_items(runs, items))


def _with_source(line: BillLine, job: Job) -> BillLine:
    source, status = source_of(line, job.series)
    return replace(line, source=source, status=status)
