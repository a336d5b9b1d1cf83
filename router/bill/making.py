"""All that a job wants, gathered into the lines of its bill."""

from __future__ import annotations

from dataclasses import replace

from router.bill.conductor_items import conductor_wants, fuse_wants, terminal_wants
from router.bill.counting import Fitted, Want, gather
from router.bill.holding_items import holder_wants
from router.bill.loom_items import edge_wants, heat_sleeve_wants, loom_wants, tape_wants
from router.bill.masses import mass_wants
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
    gathered = gather(list_wants(job, profile, practice, runs, looms), practice)
    lines = tuple(_with_source(line, job) for line in gathered)
    return (*lines, *pack_lines(lines, practice))


def list_wants(
    job: Job, profile: Profile, practice: Practice, runs: tuple[RunPlan, ...], looms: tuple[Loom, ...]
) -> tuple[Want, ...]:
    """Return all that a job wants, each piece by itself and without spare: what `make_bill` adds up."""
    fitted = Fitted(runs, looms)
    wants = (
        *conductor_wants(job, profile, runs),
        *fuse_wants(runs),
        *terminal_wants(profile, runs),
        *loom_wants(practice, looms),
        *tape_wants(job, practice, looms),
        *heat_sleeve_wants(practice, fitted),
        *edge_wants(profile, fitted),
        *holder_wants(profile, practice, fitted),
    )
    return (*wants, *mass_wants(runs, wants))


def _with_source(line: BillLine, job: Job) -> BillLine:
    source, status = source_of(line, job.series)
    return replace(line, source=source, status=status)
