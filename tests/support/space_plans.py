"""Plans of random three-dimensional vehicles, from their files on: read, planned, written as plan.json."""

from __future__ import annotations

import json
import math
import tempfile
from pathlib import Path
from typing import Any

from space_vehicles import JOB_FILE, PROFILE_FILE, SpaceQuestion

from router.errors import NoAnswerError
from router.planning import make_plan
from router.reading import Question, read_question
from router.routing import NoPathError, find_routes
from router.writing import plan_data

Data = dict[str, Any]


def least_effort_mm(question: SpaceQuestion, loom_mm: float = 12.0) -> float:
    """Return the effort of the routes that the search finds for looms of one thickness; infinite without."""
    asked = _read(question)
    try:
        return find_routes(asked.job, asked.profile, asked.practice, loom_mm).effort_mm
    except NoPathError:
        return math.inf


def planned(question: SpaceQuestion) -> Data | None:
    """Return plan.json of a question as data; None where there is no way, or no conductor for it."""
    asked = _read(question)
    try:
        plan = make_plan(asked.job, asked.profile, asked.practice)
    except NoAnswerError:
        return None
    return json.loads(json.dumps(plan_data(plan)))


def _read(question: SpaceQuestion) -> Question:
    with tempfile.TemporaryDirectory(prefix="space-vehicle-") as name:
        folder = Path(name)
        (folder / PROFILE_FILE).write_text(question.profile_text(), encoding="utf-8")
        (folder / JOB_FILE).write_text(question.job_text(), encoding="utf-8")
        return read_question(folder)
