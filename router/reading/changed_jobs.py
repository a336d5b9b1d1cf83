"""A question whose job was changed a little: read again as a job file would be, the vehicle as it is."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

from router.errors import Fault, UnreadableError
from router.model.vehicle import Point, Profile
from router.reading.job.jobs import job_file
from router.reading.profile.moved_terminals import moved_terminal
from router.reading.questions import Given, Question, read_question
from router.reading.yaml.documents import read_document


def job_data(job: Given) -> dict[str, Any]:
    """Return what a job's file holds, or the same built in memory; whoever gets it may change it."""
    if isinstance(job, Mapping):
        return deepcopy(dict(job))
    return deepcopy(read_document(job_file(FilePath(job))).data)


def with_loads(data: dict[str, Any], loads: Mapping[str, object]) -> None:
    """Give conductors of a job's data other loads, by their names.

    Raises
    ------
    UnreadableError
        It has no conductor of such a name.
    """
    conductors = {each["name"]: each for run in data["runs"] for each in run["conductors"]}
    unknown = [name for name in loads if name not in conductors]
    if unknown:
        known = ", ".join(conductors)
        words = [f'unknown conductor "{name}"; write one of {known}' for name in unknown]
        raise UnreadableError(tuple(Fault("loads", 1, 1, "", each) for each in words))
    for name, load in loads.items():
        for key in ("lamps", "inverter"):
            conductors[name].pop(key, None)
        conductors[name]["load"] = load


def with_limits(data: dict[str, Any], limits: Mapping[str, object]) -> None:
    """Give a job's data other limits, those that are named; the others stay."""
    data["limits"] = {**(data.get("limits") or {}), **limits}


def changed_question(question: Question, data: Mapping[str, object], vehicle: Profile) -> Question:
    """Return a question with other data of its job; what the job is called, and its vehicle, stay.

    Parameters
    ----------
    question : Question
    data : mapping
        The job, as its file would hold it.
    vehicle : Profile
        The vehicle, nothing moved.

    Raises
    ------
    UnreadableError
        Every fault of the job.
    """
    read, job = read_question(data, question.practice, vehicle), question.job
    same = replace(read.job, key=job.key, profile=job.profile, variant=job.variant, practice=job.practice)
    return replace(read, job=same)


def moved_question(question: Question, moves: Mapping[str, Point]) -> Question:
    """Return a question with terminals elsewhere, those that its vehicle has.

    Parameters
    ----------
    question : Question
    moves : mapping of str to (x, y)
        By terminal: where it is now. [mm]

    Raises
    ------
    UnreadableError
        One would lie outside of its space.
    """
    profile = question.profile
    for name, at in moves.items():
        if any(terminal.name == name for terminal in profile.terminals):
            profile = moved_terminal(profile, name, at)
    return replace(question, profile=profile)
