"""Vehicles made from types: random sets of measurements, and a job that every vehicle must allow."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from router.measuring import AnswersError, made_profile, vehicle_types
from router.model.plan import Severity
from router.planning import make_answer
from router.reading import check_file, read_question
from router.reading.profile.profile_file import KeepOutFile

DAY = date(2026, 11, 30)
KEYS = tuple(each.key for each in vehicle_types())
KNOWS_ASSUMED = "assumed" in KeepOutFile.model_fields
"""Whether profiles may say how far a part is assumed; where not, the key is taken out before it is read."""
JOB = """\
job: Trailer module
profile: made.yaml
insulation: class C
source: {nominal: 12 V, resting: 12.6 V, at: battery positive}
runs:
  - run: supply
    from: battery positive
    to: trailer unit
    conductors: [{name: supply, colour: red, load: 8 A, duty: continuous, size: auto}]
    fuse: auto
  - run: earth
    from: trailer unit
    to: rear earth stud
    conductors: [{name: earth, colour: black, returns: supply, size: auto}]
  - run: left lamp branch
    from: trailer unit
    to: left rear lamp
    conductors: [{name: left sense, colour: yellow, load: 0.05 A, duty: intermittent, size: auto}]
  - run: right lamp branch
    from: trailer unit
    to: right rear lamp
    conductors: [{name: right sense, colour: green, load: 0.05 A, duty: intermittent, size: auto}]
limits: {drop: 5 %}
"""


def random_answers(key: str, seed: int, *, at_ends: float = 0.0) -> Iterator[dict[str, str]]:
    """Yield sets of measurements of a type without end: in their ranges, and not against each other.

    Of the lengths, a share of `at_ends` is at the least or the most that the type takes.
    """
    chance = random.Random(f"{key} {seed}")
    asked = next(each.measurements for each in vehicle_types() if each.key == key)
    while True:
        answers = {}
        for one in asked:
            ends = int(one.least_mm), int(one.most_mm)
            is_at_end = at_ends and chance.random() < at_ends
            answers[one.name] = f"{chance.choice(ends) if is_at_end else chance.randint(*ends)} mm"
        try:
            made_profile(key, answers, "made", on=DAY)
        except AnswersError as error:
            assert all("measure again: " in fault.what for fault in error.faults), error
            continue
        yield answers


def write_made(folder: Path, key: str, answers: dict[str, str]) -> Path:
    """Write the profile of a made vehicle, check it, and return its file."""
    text = made_profile(key, answers, f"Made {key}", on=DAY)
    if not KNOWS_ASSUMED:
        text = _without_assumed(text)
    path = folder / "made.yaml"
    path.write_text(text)
    assert check_file(path) == "profile"
    return path


def broken_rules(folder: Path) -> list[str]:
    """Plan the job on the made vehicle of a folder; return every must-rule that the plan breaks."""
    (folder / "job.yaml").write_text(JOB)
    question = read_question(folder / "job.yaml")
    plan = make_answer(question.job, question.profile, question.practice)
    assert len(plan.runs) == 4
    return [finding.what for finding in plan.findings if finding.severity is Severity.MUST]


def _without_assumed(text: str) -> str:
    inside = re.sub(r",\s*assumed: [0-9]+ mm(?=\})", "", text)
    return re.sub(r"\n +assumed: [0-9]+ mm(?=\n)", "", inside)
