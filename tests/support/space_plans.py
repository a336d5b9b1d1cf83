"""Plans of random three-dimensional vehicles, from their files on: read, planned, written as plan.json."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path
from typing import Any

from space_vehicles import JOB_FILE, PROFILE_FILE, SpaceQuestion

from router.errors import NoAnswerError
from router.planning import make_plan
from router.reading import read_question
from router.writing import plan_data

Data = dict[str, Any]


def planned(question: SpaceQuestion) -> Data | None:
    """Return plan.json of a question as data; None where there is no way, or no conductor for it."""
    with tempfile.TemporaryDirectory(prefix="space-vehicle-") as name:
        folder = Path(name)
        (folder / PROFILE_FILE).write_text(question.profile_text(), encoding="utf-8")
        (folder / JOB_FILE).write_text(question.job_text(), encoding="utf-8")
        asked = read_question(folder)
    try:
        plan = make_plan(asked.job, asked.profile, asked.practice)
    except NoAnswerError:
        return None
    return json.loads(json.dumps(plan_data(plan)))
