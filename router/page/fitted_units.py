"""What people fit, put into a job: a place for the unit, its runs and their conductors, on this vehicle."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from copy import deepcopy
from itertools import count
from pathlib import Path
from typing import Any

from router.errors import Fault, UnreadableError
from router.model.vehicle import Pole, Profile, Terminal, TerminalKind
from router.page.page_state import JOB_FILE, PROFILE_FILE
from router.reading import (
    Op,
    holding,
    open_file,
    read_practice,
    read_profile,
    read_question,
    spliced,
)
from router.routing import level_at
from router.tables import load_table
from router.units import parse_quantity

LONGEST_NAME = 120
NEEDS = {
    "source": "the battery's plus",
    "earth": "an earth point",
    "return": "the battery's minus",
    "left lamp": "the left rear lamp",
    "right lamp": "the right rear lamp",
    "trailer socket": "the trailer socket",
}
"""Ends of runs in the table of units, in words."""


class NotFittedError(Exception):
    """A unit cannot be put there; one line a reason."""

    def __init__(self, *reasons: str) -> None:
        super().__init__("\n".join(reasons))
        self.reasons = reasons


def fitted() -> list[dict[str, Any]]:
    """Return what people fit, as the page lists it."""
    return [
        {
            "key": unit["key"],
            "name": unit["name"],
            "says": unit["says"],
            "space_kinds": unit["spaces"],
            "load_a": unit["load_a"],
            "needs": [words for end, words in NEEDS.items() if end in _ends(unit)],
            "source": unit["source"],
            "status": unit["status"],
        }
        for unit in load_table("fitted")["units"]
    ]


def fit(texts: Sequence[str | None], folder: str | Path, request: Mapping[str, Any]) -> dict[str, Any]:
    """Return the text of the job with one more unit in it, as `text`; or `faults`, each with `what`.

    A first unit makes the whole job. Comments and all else that is in a job stay.

    Parameters
    ----------
    texts : (str or None, str or None)
        The profile and the job.
    folder : str or pathlib.Path
        Where they are.
    request : mapping
        `key` of the unit; `space` and `at`, in mm, where it will sit; and `height_mm`, else where looms lie.
    """
    profile_file, job_file = Path(folder) / PROFILE_FILE, Path(folder) / JOB_FILE
    job = texts[1] if texts[1] and texts[1].strip() else None
    try:
        with holding({profile_file: texts[0], job_file: job}):
            profile = read_profile(profile_file) if job is None else read_question(job_file).profile
            text = _with_unit(job, profile, job_file, request)
        with holding({profile_file: texts[0], job_file: text}):
            read_question(job_file)
    except NotFittedError as error:
        return {"faults": [{"what": reason} for reason in error.reasons]}
    except UnreadableError as error:
        return {"faults": [{"what": _line(fault)} for fault in error.faults]}
    return {"text": text}


def _line(fault: Fault) -> str:
    return f"{fault.where}: {fault.what}" if fault.where else fault.what


def _with_unit(job: str | None, profile: Profile, job_file: Path, request: Mapping[str, Any]) -> str:
    unit = next((each for each in load_table("fitted")["units"] if each["key"] == request.get("key")), None)
    if unit is None:
        known = ", ".join(each["key"] for each in load_table("fitted")["units"])
        raise NotFittedError(f'there is no unit "{request.get("key")}"; write one of {known}')
    place = _Place(profile, request)
    data = open_file(job_file, job).data or {} if job else {}
    parts = _renamed({"place": unit["place"], "runs": unit["runs"]}, _names_in(data, profile))
    source = data["source"]["at"] if data else _battery(profile, Pole.POSITIVE)
    ends = _Ends(profile, place, str(parts["place"]["name"]), source)
    runs = [{**run, "from": ends.of(run["from"]), "to": ends.of(run["to"])} for run in parts["runs"]]
    if ends.missing:
        raise NotFittedError(*ends.missing)
    text = job or _new_job(unit, profile, source)
    edits = [("places", place.written(parts["place"])), *(("runs", run) for run in runs)]
    for section, value in edits:
        text = spliced(text, Op.ADD, (section,), value, ("places", "runs")).applied_to(text)
    return text


class _Place:
    """Where a unit will sit."""

    def __init__(self, profile: Profile, request: Mapping[str, Any]) -> None:
        spaces = {space.name: space for space in profile.spaces}
        space, at = spaces.get(str(request.get("space"))), request.get("at")
        if space is None:
            raise NotFittedError(
                f'there is no space "{request.get("space")}"; write one of {", ".join(spaces)}'
            )
        if not (isinstance(at, list) and len(at) == 2 and all(map(_is_number, at))):
            raise NotFittedError("at is no place; write two numbers, x and y in mm")
        height_mm = request.get("height_mm")
        self.space, self.at = space, (float(at[0]), float(at[1]))
        self.height_mm = level_at(space, self.at)
        if height_mm is not None:
            if not _is_number(height_mm):
                raise NotFittedError("height_mm is no number; write the height in mm, or leave it out")
            self.height_mm = float(height_mm)
        self._unit_mm = parse_quantity(f"1 {profile.unit}", "length")

    def written(self, place: Mapping[str, Any]) -> dict[str, Any]:
        """Return the place as a job file has it: points in the unit of the profile, to a tenth of a mm."""
        digits = max(1, round(math.log10(self._unit_mm)) + 1)
        at = [round(number / self._unit_mm, digits) for number in self.at]
        whole = [int(number) if number == int(number) else number for number in at]
        name, kind = place["name"], place["kind"]
        rest = {key: value for key, value in place.items() if key not in ("name", "kind")}
        height = f"{round(self.height_mm, 1):g} mm"
        return {"name": name, "kind": kind, "space": self.space.name, "at": whole, "height": height, **rest}

    def away_mm(self, terminal: Terminal) -> float:
        """Return how far a terminal is; what is in another space counts as twice as far."""
        is_here = terminal.space == self.space.name
        return math.dist((*self.at, self.height_mm), (*terminal.at, terminal.height_mm)) * (
            1 if is_here else 2
        )


class _Ends:
    """The terminals of a vehicle that runs of the table end at, and what is missing of them."""

    def __init__(self, profile: Profile, place: _Place, unit: str, source: str | None) -> None:
        self._profile, self._place, self._unit, self._source = profile, place, unit, source
        self.missing: list[str] = []

    def of(self, end: str) -> str | list[str]:
        """Return the terminal or the terminals that an end of the table means."""
        found = self._found(end)
        if not found:
            kind, why = _WANTED[end]
            self.missing.append(f"{why}; draw it as a terminal of kind {kind}, then fit this")
            return []
        return found if isinstance(found, str) or len(found) > 1 else found[0]

    def _found(self, end: str) -> str | list[str] | None:
        earths = self._earths()
        return {
            "unit": self._unit,
            "source": self._source,
            "earth": earths,
            "return": _battery(self._profile, Pole.NEGATIVE) or earths,
            "trailer socket": self._nearest(TerminalKind.TRAILER_SOCKET)[:1],
            "left lamp": self._rear_lamp(-1.0),
            "right lamp": self._rear_lamp(1.0),
        }[end]

    def _rear_lamp(self, side: float) -> str | None:
        """Return the lamp at the rear corner of a side: the rearmost and outermost."""
        terminals = self._profile.terminals
        lamps = [each for each in terminals if each.kind is TerminalKind.LAMP and not each.is_place]
        here = [each for each in lamps if each.at[1] * side > 0.0]
        return max(here, key=lambda each: each.at[0] + abs(each.at[1])).name if here else None

    def _earths(self) -> list[str]:
        """Return the nearest earth point; where that is in another space, the two nearest to choose from."""
        nearest = self._nearest(TerminalKind.EARTH_POINT)
        is_here = bool(nearest) and self._profile.terminal(nearest[0]).space == self._place.space.name
        return nearest[: 1 if is_here else 2]

    def _nearest(self, kind: TerminalKind) -> list[str]:
        found = [each for each in self._profile.terminals if each.kind is kind]
        return [each.name for each in sorted(found, key=self._place.away_mm)]


_WANTED = {
    "source": ("battery post and pole positive", "this vehicle has no battery post that is positive yet"),
    "earth": ("earth point", "this vehicle has no earth point yet"),
    "return": ("earth point", "this vehicle has neither a negative battery post nor an earth point yet"),
    "left lamp": ("lamp", "this vehicle has no rear lamp on its left yet"),
    "right lamp": ("lamp", "this vehicle has no rear lamp on its right yet"),
    "trailer socket": ("trailer socket", "this vehicle has no trailer socket yet"),
}
"""By end: what to draw, and what is missing."""


def _battery(profile: Profile, pole: Pole) -> str | None:
    posts = (
        each for each in profile.terminals if each.kind is TerminalKind.BATTERY_POST and each.pole is pole
    )
    return next((each.name for each in posts), None)


def _new_job(unit: Mapping[str, Any], profile: Profile, source: str | None) -> str:
    """Return the head of a job that begins with a unit, on the folder's own profile."""
    rules = read_practice("default")
    ambient = {
        space.name: f"{rules.by_space('ambient', space.kind).value:g} degC" for space in profile.spaces
    }
    head: dict[str, Any] = {
        "job": f"{unit['name']} on {profile.name}"[:LONGEST_NAME],
        "profile": PROFILE_FILE,
        "insulation": "class C",
        "source": {"nominal": "12 V", "resting": "12.6 V", "at": source},
        "limits": {"drop": unit["drop"], "ambient": ambient},
    }
    text = ""
    for key, value in head.items():
        text = spliced(text, Op.ADD, (key,), value).applied_to(text)
    return text


def _names_in(data: Mapping[str, Any], profile: Profile) -> set[str]:
    """Return the names that a vehicle and a job have already, of whatever."""
    sections = (profile.spaces, profile.panels, profile.keep_outs, profile.members, profile.supports)
    others = (profile.covers, profile.exposed, profile.openings, profile.terminals)
    named: list[Any] = [each for section in (*sections, *others) for each in section]
    runs = data.get("runs", [])
    conductors = [each["name"] for run in runs for each in run["conductors"]]
    return {*(each.name for each in named), *(run["run"] for run in runs), *conductors}


def _renamed(parts: dict[str, Any], taken: set[str]) -> dict[str, Any]:
    """Return a unit's parts with names that nothing has yet: a number is put behind those that are taken."""
    own = {parts["place"]["name"], *(run["run"] for run in parts["runs"])}
    own |= {each["name"] for run in parts["runs"] for each in run["conductors"]}
    number = next(n for n in count(1) if not {_numbered(name, n) for name in own} & taken)
    return deepcopy(_with_names(parts, {name: _numbered(name, number) for name in own}))


def _numbered(name: str, number: int) -> str:
    return name if number == 1 else f"{name} {number}"


def _with_names(part: Any, names: Mapping[str, str], key: str = "") -> Any:
    """Return parts of a unit with other names, where names stand."""
    if isinstance(part, dict):
        return {key: _with_names(value, names, key) for key, value in part.items()}
    if isinstance(part, list):
        return [_with_names(each, names, key) for each in part]
    return names.get(part, part) if key in ("name", "run", "returns", "fed-by") else part


def _ends(unit: Mapping[str, Any]) -> set[str]:
    return {run[key] for run in unit["runs"] for key in ("from", "to")}


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
