"""The check of any one file, with whatever it names."""

from __future__ import annotations

from pathlib import Path as FilePath

from router.errors import UnreadableError
from router.reading.documents import Document, read_document
from router.reading.drawn_routes import read_route
from router.reading.fleets import FleetReader, fleet_file
from router.reading.jobs import job_file
from router.reading.practices import practice_faults
from router.reading.profiles import profile_faults
from router.reading.questions import read_question
from router.reading.routes import job_of_route
from router.reading.routes import own_faults as route_faults

KINDS = ("profile", "job", "practice", "route", "fleet")


def check_file(path: str | FilePath) -> str:
    """Return the kind of a file without faults, one of `KINDS`, which its first key tells.

    Raises
    ------
    UnreadableError
        Every fault of the file; for a job also those of its profile and practice, for a fleet those of
        everything it names, and for a route that names its job those that it has beside it.
    """
    file = job_file(FilePath(path))
    if not file.exists() and fleet_file(FilePath(path)).is_file():
        file = fleet_file(FilePath(path))
    document = read_document(file)
    kind = next(iter(document.data), "")
    if kind == "job":
        read_question(file)
    elif kind == "route":
        _check_route(document, file)
    elif kind == "fleet":
        for _ in FleetReader(file).questions():
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


def _check_route(document: Document, path: FilePath) -> None:
    if faults := route_faults(document):
        raise UnreadableError(faults)
    if "job" in document.data:
        question = read_question(job_of_route(path))
        read_route(path, question.job, question.profile)
