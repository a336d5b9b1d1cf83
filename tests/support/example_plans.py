"""Plans, and maps of the shipped examples, each made once for all tests that only look at it.

Where several processes run tests, the first that asks for a plan makes it and the others read it.
"""

from __future__ import annotations

import atexit
import fcntl
import hashlib
import os
import pickle
import tempfile
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

import pytest
from svg_reading import parse

from router.drawing import draw_map
from router.errors import NoAnswerError
from router.model.job import Job
from router.model.plan import Plan
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.planning import make_plan
from router.reading import read_question
from router.tolerances import DEFAULT_GAP

EXAMPLES = Path(__file__).parents[2] / "examples"
TOGETHER = os.environ.get("PYTEST_XDIST_TESTRUNUID")
"""What the processes of one run of pytest have in common; none where there is only one."""


@cache
def example_plan(name: str) -> Plan:
    """Return the plan of a shipped example."""
    question = read_question(EXAMPLES / name)
    return shared_plan(question.job, question.profile, question.practice)


def shared_plan(job: Job, profile: Profile, practice: Practice, gap: float = DEFAULT_GAP) -> Plan:
    """Return the plan of a question, or raise its refusal, as made by the first who asked the same.

    Only for tests of what comes after: whether two plans of one question are alike is not to be seen here.
    """
    said = repr((job, profile, practice, gap))
    kept = _folder() / f"{hashlib.sha256(said.encode()).hexdigest()}.pickle"
    with kept.with_suffix(".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not kept.exists():
            kept.write_bytes(pickle.dumps(_answer(job, profile, practice, gap)))
        answer = pickle.loads(kept.read_bytes())
    if isinstance(answer, NoAnswerError):
        raise answer
    return answer


def share_plans(patch: pytest.MonkeyPatch) -> None:
    """Let commands that are run in this process take their plans from here."""
    patch.setattr("router.planning.make_plan", shared_plan)
    patch.setattr("router.fleet.working.make_plan", shared_plan)


@cache
def example_map(name: str, paper: str = "a4", seen_from: str = "below") -> ET.Element:
    """Return the map of a shipped example, to look at and not to change."""
    return parse(draw_map(example_plan(name), paper=paper, seen_from=seen_from))


@cache
def _folder() -> Path:
    """Return where plans are kept: one place for all processes of a run, gone when a lone one ends."""
    if not TOGETHER:
        alone = tempfile.TemporaryDirectory(prefix="shared-plans-")
        atexit.register(alone.cleanup)
        return Path(alone.name)
    folder = Path(tempfile.gettempdir()) / f"shared-plans-{TOGETHER}"
    folder.mkdir(exist_ok=True)
    return folder


def _answer(job: Job, profile: Profile, practice: Practice, gap: float) -> Plan | NoAnswerError:
    try:
        return make_plan(job, profile, practice, gap)
    except NoAnswerError as error:
        return error
