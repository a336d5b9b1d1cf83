"""The check of any one file, with whatever it names."""

from __future__ import annotations

from pathlib import Path as FilePath

from router.errors import Fault, UnreadableError
from router.reading.files import is_file
from router.reading.fleet.fleets import FleetReader, fleet_file
from router.reading.job.jobs import job_file
from router.reading.practice.practices import practice_faults
from router.reading.profile.profiles import profile_faults
from router.reading.questions import read_question
from router.reading.route.drawn_routes import read_route
from router.reading.route.route_reader import job_named_by
from router.reading.route.route_reader import own_faults as route_faults
from router.reading.yaml.documents import Document, read_document

KINDS = ("profile", "job", "practice", "route", "fleet")


def check_file(path: str | FilePath, beside: FilePath | None = None, *, trusts_paths: bool = False) -> str:
    """Return the kind of a file without faults, one of `KINDS`, which its first key tells.

    Parameters
    ----------
    path : str or pathlib.Path
        The file, or a folder with a job or a fleet in it.
    beside : pathlib.Path, optional
        The job that a route is for which names none.
    trusts_paths : bool
        Whether the file may name others anywhere; see `router.reading.files` for how far it may without.

    Raises
    ------
    UnreadableError
        Every fault of the file; for a job also those of its profile and practice, for a fleet those of
        everything it names, and for a route whose job is known those that it has beside it.
    """
    file = job_file(FilePath(path))
    if not is_file(file) and is_file(fleet_file(FilePath(path))):
        file = fleet_file(FilePath(path))
    document = read_document(file)
    kind = next(iter(document.data), "")
    if kind == "job":
        read_question(file, trusts_paths=trusts_paths)
    elif kind == "route":
        _check_route(document, file, beside, trusts_paths=trusts_paths)
    elif kind == "fleet":
        for _ in FleetReader(file, trusts_paths=trusts_paths).questions():
            pass
    elif kind in KINDS:
        faults = profile_faults(document) if kind == "profile" else practice_faults(document)
        if faults:
            raise UnreadableError(faults)
    else:
        begin = "begin with profile:, job:, practice:, route: or fleet:"
        words = f'first key "{kind}" says no kind of file; {begin}'
        raise UnreadableError((document.fault((kind,), words, of_key=True),))
    return kind


def _check_route(document: Document, path: FilePath, beside: FilePath | None, *, trusts_paths: bool) -> None:
    """Refuse a route with all its faults: its own, and where its job is known the job's and of names."""
    faults: set[Fault] = set()
    try:
        if job := job_named_by(document, trusts_paths=trusts_paths) or beside:
            question = read_question(job, trusts_paths=trusts_paths)
            read_route(path, question.job, question.profile)
    except UnreadableError as error:
        faults.update(error.faults)
    faults.update(route_faults(document))
    if faults:
        raise UnreadableError(tuple(sorted(faults, key=lambda each: (each.file != document.file, each))))
