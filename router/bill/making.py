"""All that a job needs, gathered into the lines of its bill."""

from __future__ import annotations

from router.bill.conductor_items import conductor_entries, fuse_entries, terminal_entries
from router.bill.counting import BillEntry, InstalledRuns, gather
from router.bill.holding_items import holder_entries
from router.bill.loom_items import edge_entries, heat_sleeve_entries, loom_entries, tape_entries
from router.bill.masses import mass_entries
from router.bill.packs import pack_lines
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
        For its temperature class and its series of sizes.
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
    lines = gather(list_entries(job, profile, practice, runs, looms), practice, job.series)
    return (*lines, *pack_lines(lines, practice))


def list_entries(
    job: Job, profile: Profile, practice: Practice, runs: tuple[RunPlan, ...], looms: tuple[Loom, ...]
) -> tuple[BillEntry, ...]:
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
    entries = (
        *conductor_entries(job, profile, runs),
        *fuse_entries(runs),
        *terminal_entries(job, profile, runs),
        *loom_entries(practice, looms),
        *tape_entries(job, practice, looms),
        *heat_sleeve_entries(job, profile, practice, installed),
        *edge_entries(profile, installed),
        *holder_entries(job, profile, practice, installed),
    )
    return (*entries, *mass_entries(runs, entries))
