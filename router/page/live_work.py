"""What is answered while somebody works: the state of the files, and ways that follow a finger."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from router.errors import NoAnswerError, UnreadableError
from router.memory import Memory
from router.model.vehicle import Point, Profile
from router.page.fitted_units import fit, fitted
from router.page.frames import Message
from router.page.page_state import JOB_FILE, PROFILE_FILE, state_of
from router.planning import first_looms_mm
from router.reading import Question, holding, moved_terminal, read_question
from router.routing import DraggedEnd, DraggedWay, level_at

MOST_KEPT = 12
"""Terminals whose grounds are kept: about as many as one job has."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """What both files ask, as long as they stay as they are."""

    texts: tuple[str | None, str | None]
    question: Question
    looms_mm: Mapping[str, float]


class LiveWork:
    """Answers at once; grounds and graphs are kept for as long as the files stay as they are."""

    def __init__(self) -> None:
        self._memory = Memory()
        self._asked: _Asked | None = None
        self._ends: dict[tuple[str, str, float], DraggedEnd] = {}
        self._to_warm: list[str] = []

    def answers(self, message: Message, should_stop: Callable[[], bool]) -> Iterator[Message]:
        """Yield the answer to a question: it is one, and nobody stops it."""
        work: Mapping[str, Callable[[Message], Message]] = {
            "state": self._state,
            "way": self._way,
            "warm": self._warm,
            "fitted": lambda _: {"units": fitted()},
            "fit": lambda asked: fit(asked["texts"], asked["folder"], asked["request"]),
        }
        with self._memory.in_use():
            yield work[message["what"]](message)

    def idle(self) -> bool:
        """Return whether the ground of one more end was made ready; a drag of it answers at once then."""
        if not self._to_warm or self._asked is None:
            return False
        name = self._to_warm.pop()
        profile = self._asked.question.profile
        with self._memory.in_use():
            self._end(self._asked, profile, name).ways_to(profile.terminal(name).at)
        return True

    def _state(self, message: Message) -> Message:
        profile, job = message["texts"]
        return state_of(profile, job, message["folder"], message["ways"])

    def _warm(self, message: Message) -> Message:
        """Remember which ends somebody may drag next: those that the job brought along, and then all."""
        asked = self._question(message)
        profile, job = asked.question.profile, asked.question.job
        names = dict.fromkeys(name for run in job.runs for name in (run.start, run.end))
        self._to_warm = sorted(names, key=lambda name: profile.terminal(name).is_place)[-MOST_KEPT:]
        return {}

    def _way(self, message: Message) -> Message:
        request = message["request"]
        try:
            asked = self._question(message)
            profile, at = _moved(asked.question.profile, request)
            ways = self._end(asked, profile, request["terminal"]).ways_to(at)
        except UnreadableError as error:
            return _said(request, error.faults[0].what)
        except NoAnswerError as error:
            return _said(request, error.why)
        return {
            "number": request["number"],
            "routes": [
                {
                    "run": way.run,
                    "points": [[each.x_mm, each.y_mm, each.z_mm, each.space] for each in way.points],
                }
                for way in ways
                if way.points
            ],
            "no_way": next(({"says": _no_way(way, request)} for way in ways if not way.points), None),
        }

    def _question(self, message: Message) -> _Asked:
        texts, known = tuple(message["texts"]), self._asked
        if known is None or known.texts != texts:
            folder = Path(message["folder"])
            held = dict(zip((folder / PROFILE_FILE, folder / JOB_FILE), texts, strict=True))
            with holding(held):
                question = read_question(folder / JOB_FILE)
            guessed_mm = first_looms_mm(question.job, question.profile, question.practice)
            known = _Asked(texts, question, dict.fromkeys(guessed_mm, max(guessed_mm.values())))
            self._ends, self._to_warm = {}, []
        if (planned_mm := message.get("looms_mm")) and planned_mm.keys() == known.looms_mm.keys():
            if planned_mm != known.looms_mm:
                self._ends = {}
            known = replace(known, looms_mm=planned_mm)
        self._asked = known
        return known

    def _end(self, asked: _Asked, profile: Profile, name: str) -> DraggedEnd:
        terminal, question = profile.terminal(name), asked.question
        key = (name, terminal.space, terminal.height_mm)
        if key not in self._ends:
            while len(self._ends) >= MOST_KEPT:
                self._ends.pop(next(iter(self._ends)))
            self._ends[key] = DraggedEnd(question.job, profile, question.practice, name, asked.looms_mm)
        return self._ends[key]


def _moved(profile: Profile, request: Mapping[str, Any]) -> tuple[Profile, Point]:
    """Return the vehicle with a terminal in the space that is asked for, and where it is put in there."""
    name, at = request["terminal"], (float(request["at"][0]), float(request["at"][1]))
    spaces = {space.name: space for space in profile.spaces}
    terminal = next((each for each in profile.terminals if each.name == name), None)
    space = spaces.get(request.get("space") or "")
    if terminal and space and (space.name != terminal.space or request.get("height_mm") is not None):
        asked_mm = request.get("height_mm")
        height_mm = level_at(space, at) if asked_mm is None else float(asked_mm)
        other = replace(terminal, space=space.name, at=at, height_mm=height_mm)
        terminals = tuple(other if each.name == name else each for each in profile.terminals)
        profile = replace(profile, terminals=terminals)
    moved_terminal(profile, name, at)  # refuses names that there are not, and places outside of the space
    return profile, at


def _no_way(way: DraggedWay, request: Mapping[str, Any]) -> str:
    if way.shut is None:
        return f'run "{way.run}" has no way to here'
    where = "here" if way.shut.terminal == request["terminal"] else f'at "{way.shut.terminal}"'
    return f'run "{way.run}" cannot end {where}: too near to "{way.shut.by.name}"'


def _said(request: Mapping[str, Any], says: str) -> Message:
    return {"number": request["number"], "routes": [], "no_way": {"says": says}}
