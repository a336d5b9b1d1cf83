"""What the page asks of measuring: types to start with, a profile made of answers, lengths, the sheet."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import yaml

from router import measuring
from router.errors import UnreadableError
from router.page.edits import refused
from router.page.folder_files import NAMES
from router.reading import library_folder
from router.tape_lengths import length_says, read_tape

UNITS = ("mm", "in")
MOST_ANSWERS, LONGEST_ANSWER = 200, 500


class Measured:
    """Answers for one folder; what is slow to import is imported when it is first asked."""

    def __init__(self, folder: Path) -> None:
        self._profile = folder / NAMES["profile"]

    def types(self) -> list[dict[str, Any]]:
        """Return the types of vehicles, each with what is measured of it."""
        return _types()

    def library(self) -> list[dict[str, Any]]:
        """Return the profiles of the library, each with its key and its name."""
        return [{"key": path.stem, "name": _name_of(path)} for path in _library().values()]

    def made(self, request: dict[str, Any]) -> dict[str, Any]:
        """Return `text`, a copy of the library's `profile`, or a profile made of a type and answers.

        Or `faults`, each with its answer's `name`.
        """
        if "profile" in request:
            return _copy(request["profile"])
        key, name, unit = request.get("type"), request.get("name"), request.get("unit", "mm")
        answers = request.get("answers")
        if not isinstance(key, str) or not isinstance(name, str) or unit not in UNITS:
            raise refused("type and name are texts, unit is mm or in")
        if (
            not isinstance(answers, dict)
            or len(answers) > MOST_ANSWERS
            or not all(map(_is_short, answers.values()))
        ):
            raise refused("answers is no mapping of short texts")
        try:
            return {"text": measuring.made_profile(key, answers, name, unit=unit)}
        except measuring.AnswersError as error:
            return {"faults": [{"name": fault.name, "what": fault.what} for fault in error.faults]}

    def tape(self, request: dict[str, Any]) -> dict[str, Any]:
        """Return `mm` and `says` of a length as people write it, or `what` is wrong with it."""
        text, unit = request.get("text"), request.get("unit", "mm")
        if not isinstance(text, str) or not _is_short(text) or unit not in UNITS:
            raise refused("text is a short text, unit is mm or in")
        try:
            length_mm = read_tape(text, unit)
        except ValueError as error:
            return {"what": str(error)}
        return {"mm": length_mm, "says": length_says(length_mm, unit)}

    def sheet(self, *, paper: str, unit: str) -> str:
        """Return the sheet to measure by, filled in with what the profile holds."""
        try:
            return measuring.measuring_sheet(self._profile, paper, unit)
        except UnreadableError as error:
            raise refused(error.faults[0].what) from None


def _is_short(text: Any) -> bool:
    """Return whether it is a text of some length."""
    return isinstance(text, str) and len(text) <= LONGEST_ANSWER


def _library() -> dict[str, Path]:
    return {path.stem: path for path in sorted(library_folder().glob("*.yaml"))}


def _name_of(path: Path) -> str:
    """Return what a profile calls itself, its file's name if nothing."""
    lines = path.read_text(encoding="utf-8").splitlines()
    named = next((line for line in lines if line.startswith("profile:")), "")
    return str((yaml.safe_load(named) or {}).get("profile") or path.stem)


def _copy(key: Any) -> dict[str, Any]:
    path = _library().get(key) if isinstance(key, str) else None
    if path is None:
        return {
            "faults": [{"name": "profile", "what": f"there is no such profile; take {', '.join(_library())}"}]
        }
    return {"text": path.read_bytes().decode("utf-8")}


@cache
def _types() -> list[dict[str, Any]]:
    return measuring.types_data()
