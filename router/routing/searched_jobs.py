"""A job as far as the ways of its runs depend on it: what does not touch them asks for no new search."""

from __future__ import annotations

from dataclasses import replace

from router.model.job import Job, Limits, Run, Series, Source

_NO_SOURCE = Source(nominal_v=0.0, resting_v=0.0, at="")
_NO_LIMITS = Limits(drop_fraction=0.0, ambient_c={})


def as_searched(job: Job) -> Job:
    """Return a job without loads, fuses, source and limits: they come in by the looms' diameters alone."""
    return Job(
        key="",
        name="",
        profile="",
        variant=None,
        practice=None,
        source=_NO_SOURCE,
        series=Series.METRIC,
        insulation_c=0.0,
        runs=tuple(run_as_searched(run) for run in job.runs),
        limits=_NO_LIMITS,
    )


def run_as_searched(run: Run) -> Run:
    """Return a run without its conductors and its fuse."""
    return replace(run, conductors=(), fuse=None, lead=None)
