"""The whole question: a job with its profile and its practice."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path as FilePath

from router.errors import Fault, UnreadableError
from router.model.job import Job
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.reading.files import is_file
from router.reading.job.jobs import JOB_FILE, faults_against, job_file, make_job, own_faults
from router.reading.practice.practices import find_practice, read_practice
from router.reading.profile.known_names import KnownNames, names_in, names_written
from router.reading.profile.profiles import find_profile, make_profile, profile_faults, unknown_variant
from router.reading.yaml.documents import Document, read_document


@dataclass(frozen=True, slots=True)
class Question:
    """What planning is asked: a job on a vehicle, under a shop's rules."""

    job: Job
    profile: Profile
    practice: Practice


def read_question(
    job_path: str | FilePath,
    practice_path: str | FilePath | None = None,
    vehicle: Profile | None = None,
    *,
    trusts_paths: bool = False,
) -> Question:
    """Return a job with its profile and its practice.

    Parameters
    ----------
    job_path : str or pathlib.Path
        The job's file, or a folder with a job.yaml in it.
    practice_path : str or pathlib.Path, optional
        The shop's rules, a path or a shipped name, in place of those that the job names.
    vehicle : Profile, optional
        The vehicle, in place of the one that the job names.
    trusts_paths : bool
        Whether the job may name files anywhere; see `router.reading.files` for how far it may without.

    Raises
    ------
    UnreadableError
        Every fault of the job, its profile and its practice, at once.
    """
    path = job_file(FilePath(job_path))
    document = read_document(path)
    _refuse_other_kinds(document)
    faults = list(own_faults(document))
    profile, known = (
        (vehicle, names_in(vehicle))
        if vehicle
        else _profile(document, path.parent, faults, trusts_paths=trusts_paths)
    )
    practice = _practice(document, path.parent, practice_path, faults, trusts_paths=trusts_paths)
    if known is not None:
        faults += faults_against(document, known)
    if faults or profile is None or practice is None:
        raise UnreadableError(tuple(sorted(set(faults), key=lambda each: (each.file != document.file, each))))
    return Question(make_job(document, job_key(path), practice), profile, practice)


def _refuse_other_kinds(document: Document) -> None:
    """Refuse a file of another kind in one line, in place of every key that it has or lacks."""
    kind = next(iter(document.data), "")
    is_half_a_job = {"job", "runs", "source"} & set(document.data)
    if kind in ("route", "fleet") or (kind in ("profile", "practice") and not is_half_a_job):
        advice = f"; write one that begins with job: and says profile: {FilePath(document.file).name}"
        words = f"this is a {kind}; a job is wanted here{advice if kind == 'profile' else ''}"
        raise UnreadableError((document.fault((kind,), words, of_key=True),))


def _profile(
    document: Document, folder: FilePath, faults: list[Fault], *, trusts_paths: bool
) -> tuple[Profile | None, KnownNames | None]:
    """Return the vehicle, and the names that it has; these also where its file has faults elsewhere."""
    named, variant = document.data.get("profile"), document.data.get("variant")
    if not isinstance(named, str):
        return None, None
    found = find_profile(named, folder, trusts_paths=trusts_paths)
    if isinstance(found, FilePath) and not is_file(found):
        advice = "write a path from the job's folder, or a library name"
        found = f'there is no file "{named}" beside the job; {advice}'
    if isinstance(found, str):
        faults.append(document.fault(("profile",), found))
        return None, None
    asked = variant if isinstance(variant, str) else None
    try:
        file = read_document(found)
    except UnreadableError as error:
        faults.extend(error.faults)
        return None, None
    if of_profile := profile_faults(file):
        faults.extend(of_profile)
        return None, names_written(file, asked)
    if asked and (words := unknown_variant(file, asked)):
        faults.append(document.fault(("variant",), words))
        return None, None
    profile = make_profile(file, found.stem, asked)
    return profile, names_in(profile)


def _practice(
    document: Document,
    folder: FilePath,
    given: str | FilePath | None,
    faults: list[Fault],
    *,
    trusts_paths: bool,
) -> Practice | None:
    named, found = document.data.get("practice"), given
    if given is None and isinstance(named, str):
        found = find_practice(named, folder, trusts_paths=trusts_paths)
    if given is None and isinstance(found, str):
        faults.append(document.fault(("practice",), found))
        return None
    try:
        return read_practice(found)
    except UnreadableError as error:
        faults.extend(error.faults)
        return None


def job_key(path: FilePath) -> str:
    """Return what to call a job's outputs: its file's stem, or its folder's name for a job.yaml."""
    return path.resolve().parent.name if path.name == JOB_FILE else path.stem
