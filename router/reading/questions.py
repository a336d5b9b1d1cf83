"""The whole question: a job with its profile and its practice, from files or built in memory."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path as FilePath
from typing import TypeAlias

from router.errors import Fault, UnreadableError
from router.model.job import Job
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.reading.files import is_file
from router.reading.job.jobs import JOB_FILE, faults_against, job_file, make_job, own_faults
from router.reading.job.places import with_places
from router.reading.practice.practices import find_practice, read_practice
from router.reading.profile.known_names import KnownNames, names_in, names_written
from router.reading.profile.profiles import find_profile, make_profile, profile_faults, unknown_variant
from router.reading.yaml.built import built_document
from router.reading.yaml.documents import Document, read_document

Given: TypeAlias = str | FilePath | Mapping[str, object]
"""A path or a name, or what such a file holds, built in memory."""


@dataclass(frozen=True, slots=True)
class Question:
    """What planning is asked: a job on a vehicle, under a shop's rules."""

    job: Job
    profile: Profile
    """The vehicle, with the places that the job brings along among its terminals."""
    practice: Practice


@dataclass(frozen=True, slots=True)
class _VehicleFile:
    """The document of a vehicle, what to call it, and where its variant is named."""

    document: Document
    key: str
    variant: str | None
    of_variant: Document
    """The job that names the variant, or the profile itself where the caller does."""


def read_question(
    job: Given,
    practice: Practice | Given | None = None,
    vehicle: Profile | Given | None = None,
    variant: str | None = None,
    *,
    trusts_paths: bool = False,
) -> Question:
    """Return a job with its profile and its practice.

    Parameters
    ----------
    job : str, pathlib.Path or mapping
        The job's file, a folder with a job.yaml in it, or what such a file holds.
    practice : Practice, str, pathlib.Path or mapping, optional
        The shop's rules, a path or a shipped name, in place of those that the job names.
    vehicle : Profile, str, pathlib.Path or mapping, optional
        The vehicle, a path or a name in the library, in place of the one that the job names.
    variant : str, optional
        The variant of the vehicle, in place of the one that the job names.
    trusts_paths : bool
        Whether the job may name files anywhere; see `router.reading.files` for how far it may without.

    Raises
    ------
    UnreadableError
        Every fault of the job, its profile and its practice, at once.
    """
    document, folder, key = _job_document(job, vehicle)
    _refuse_other_kinds(document)
    faults = list(own_faults(document))
    profile, known = _profile(document, folder, vehicle, variant, faults, trusts_paths=trusts_paths)
    rules = _practice(document, folder, practice, faults, trusts_paths=trusts_paths)
    if known is not None:
        faults += faults_against(document, known, profile)
    if faults or profile is None or rules is None:
        raise UnreadableError(tuple(sorted(set(faults), key=lambda each: (each.file != document.file, each))))
    is_other_vehicle = vehicle is not None or variant is not None
    return make_question(document, key, profile, rules, is_other_vehicle=is_other_vehicle)


def make_question(
    document: Document, key: str, profile: Profile, practice: Practice, *, is_other_vehicle: bool
) -> Question:
    """Return what planning is asked by files without faults; the vehicle has the job's places then.

    Parameters
    ----------
    document : Document
        The job.
    key : str
        What to call it.
    profile : Profile
    practice : Practice
    is_other_vehicle : bool
        Whether the vehicle is not the one that the job names.
    """
    job = make_job(document, key, practice)
    if is_other_vehicle:
        job = replace(job, profile=profile.key, variant=profile.variant)
    return Question(job, with_places(document, profile), practice)


def _job_document(job: Given, vehicle: Profile | Given | None) -> tuple[Document, FilePath, str]:
    """Return a job's document, the folder that its paths are seen from, and what to call it."""
    if not isinstance(job, Mapping):
        path = job_file(FilePath(job))
        return read_document(path), path.parent, job_key(path)
    whole = job if vehicle is None or "profile" in job else {**job, "profile": "given"}
    built = built_document("job", whole)
    return built, FilePath(), _built_key(built)


def _refuse_other_kinds(document: Document) -> None:
    """Refuse a file of another kind in one line, in place of every key that it has or lacks."""
    kind = next(iter(document.data), "")
    is_half_a_job = {"job", "runs", "source"} & set(document.data)
    if kind in ("route", "fleet") or (kind in ("profile", "practice") and not is_half_a_job):
        advice = f"; write one that begins with job: and says profile: {FilePath(document.file).name}"
        words = f"this is a {kind}; a job is wanted here{advice if kind == 'profile' else ''}"
        raise UnreadableError((document.fault((kind,), words, of_key=True),))


def _profile(
    document: Document,
    folder: FilePath,
    vehicle: Profile | Given | None,
    variant: str | None,
    faults: list[Fault],
    *,
    trusts_paths: bool,
) -> tuple[Profile | None, KnownNames | None]:
    """Return the vehicle, and the names that it has; these also where its file has faults elsewhere."""
    if isinstance(vehicle, Profile):
        return vehicle, names_in(vehicle)
    try:
        file = _vehicle_file(document, folder, vehicle, variant, trusts_paths=trusts_paths)
    except UnreadableError as error:
        faults.extend(error.faults)
        return None, None
    if file is None:
        return None, None
    if of_profile := profile_faults(file.document):
        faults.extend(of_profile)
        return None, names_written(file.document, file.variant)
    if file.variant is not None and (words := unknown_variant(file.document, file.variant)):
        faults.append(file.of_variant.fault(("variant",), words))
        return None, None
    profile = make_profile(file.document, file.key, file.variant)
    return profile, names_in(profile)


def _vehicle_file(
    document: Document,
    folder: FilePath,
    vehicle: Given | None,
    variant: str | None,
    *,
    trusts_paths: bool,
) -> _VehicleFile | None:
    """Return the vehicle that the caller gives, else the one that the job names; None where it names none."""
    if isinstance(vehicle, Mapping):
        built = built_document("profile", vehicle)
        return _VehicleFile(built, _built_key(built), variant, built)
    named = document.data.get("profile") if vehicle is None else str(vehicle)
    if not isinstance(named, str):
        return None
    if vehicle is None:
        found = find_profile(named, folder, trusts_paths=trusts_paths)
    else:
        found = find_profile(named, FilePath(), trusts_paths=True)
    if vehicle is None and isinstance(found, FilePath) and not is_file(found):
        advice = "write a path from the job's folder, or a library name"
        found = f'there is no file "{named}" beside the job; {advice}'
    if isinstance(found, str):
        fault = document.fault(("profile",), found) if vehicle is None else Fault(named, 1, 1, "", found)
        raise UnreadableError((fault,))
    file, of_job = read_document(found), document.data.get("variant")
    if vehicle is not None or variant is not None:
        return _VehicleFile(file, found.stem, variant, file)
    return _VehicleFile(file, found.stem, of_job if isinstance(of_job, str) else None, document)


def _practice(
    document: Document,
    folder: FilePath,
    given: Practice | Given | None,
    faults: list[Fault],
    *,
    trusts_paths: bool,
) -> Practice | None:
    if isinstance(given, Practice):
        return given
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


def _built_key(document: Document) -> str:
    """Return what to call a job or a vehicle that is in no file: its name, without blanks."""
    return "-".join(str(document.data.get(document.file, document.file)).lower().split())


def job_key(path: FilePath) -> str:
    """Return what to call a job's outputs: its file's stem, or its folder's name for a job.yaml."""
    return path.resolve().parent.name if path.name == JOB_FILE else path.stem
