"""Plans of the shipped examples, each made once for all tests that only look at it."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from router.model.plan import Plan
from router.planning import make_plan
from router.reading import read_question

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def example_plan(name: str) -> Plan:
    """Return the plan of a shipped example."""
    question = read_question(EXAMPLES / name)
    return make_plan(question.job, question.profile, question.practice)
