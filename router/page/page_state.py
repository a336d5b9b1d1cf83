"""What the page shows of a folder's two files: what is in them, where it lies, what is wrong, what is to do.

Names that people wrote are handed over as they are: data for the page, never a part of its markup.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeAlias

from router.errors import Fault
from router.memory import remembered
from router.page.shapes_drawn import shape_of_place, shapes_of_profile
from router.page.still_to_do import NEEDED, tasks_of
from router.reading import OpenFile, faults_and_advice, holding, open_file, places_written, what_and_cure

PROFILE_FILE, JOB_FILE = "profile.yaml", "job.yaml"
"""As the folder of a page has them."""
Way: TypeAlias = Sequence[Sequence[float]]
"""Points of a planned route, x and y first. [mm]"""


def state_of(
    profile_text: str | None, job_text: str | None, folder: str | Path, ways: Sequence[Way] = ()
) -> dict[str, Any]:
    """Return the data, the shapes, the faults and the tasks of two files; never an error.

    Parameters
    ----------
    profile_text, job_text : str or None
        What profile.yaml and job.yaml of the folder hold, saved or not; None where there is none.
    folder : str or pathlib.Path
        Where they are, or will be: a job names other files as seen from there.
    ways : sequence of sequences of points
        The routes of the newest plan, where one is known: what lies nearest to them comes first of the tasks.

    Returns
    -------
    dict
        `data`, `shapes`, `faults` and `tasks`, all of them plain: lists, text and numbers, lengths in mm.
    """
    named = {"profile": Path(folder) / PROFILE_FILE, "job": Path(folder) / JOB_FILE}
    texts = {"profile": profile_text, "job": job_text}
    opened = {key: open_file(named[key], texts[key]) for key in named}
    shapes = list(_shapes(opened["profile"], opened["job"]))
    return {
        "data": {key: file.data for key, file in opened.items()},
        "shapes": shapes,
        "faults": list(_faults(named, texts)),
        "tasks": tasks_of(shapes, ways, (opened["profile"].data or {}).get(NEEDED, ())),
    }


def _shapes(profile: OpenFile, job: OpenFile) -> Iterator[dict[str, Any]]:
    variant = job.data.get("variant") if job.data else None
    yield from shapes_of_profile(profile, variant if isinstance(variant, str) else None)
    for path, raw in places_written(job):
        if shape := shape_of_place(path, raw, profile.mm_per_unit):
            yield shape


def _faults(named: Mapping[str, Path], texts: Mapping[str, str | None]) -> Iterator[dict[str, Any]]:
    """Yield every fault of both files once, and what `underbody check` advises of."""
    keys = {str(path): key for key, path in named.items()}
    seen: set[Fault] = set()
    with holding({path: texts[key] for key, path in named.items()}):
        for key, path in named.items():
            if (text := texts[key]) is None:
                continue
            is_alone = key == "profile" and _says_profile(path, text)
            faults, advice = _profile_found(path, text) if is_alone else faults_and_advice(path)
            for severity, found in (("fault", faults), ("advice", advice)):
                for fault in found:
                    if fault not in seen:
                        seen.add(fault)
                        yield _as_data(fault, keys.get(fault.file, fault.file), severity)


def _says_profile(path: Path, text: str) -> bool:
    """Return whether a text is a profile indeed: what else it may be names other files."""
    return next(iter(open_file(path, text).data or {}), "") == "profile"


@remembered(most=2)
def _profile_found(path: Path, text: str) -> tuple[tuple[Fault, ...], tuple[Fault, ...]]:
    """Return what is wrong with a profile, and what is advised of it: no other file has a say in either."""
    with holding({path: text}):
        return faults_and_advice(path)


def _as_data(fault: Fault, file: str, severity: str) -> dict[str, Any]:
    what, cure = what_and_cure(fault)
    return {
        "file": file,
        "path": list(fault.path),
        "line": fault.line,
        "column": fault.column,
        "where": fault.where,
        "what": what,
        "cure": cure,
        "severity": severity,
    }
