"""Plans and maps of the shipped examples, each made once for all tests that only look at it.

Where several processes run tests, the first that asks for a plan makes it and the others read it.
"""

from __future__ import annotations

import fcntl
import os
import pickle
import tempfile
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

from svg_reading import parse

from router.drawing import draw_map
from router.model.plan import Plan
from router.planning import make_plan
from router.reading import read_question

EXAMPLES = Path(__file__).parents[2] / "examples"
TOGETHER = os.environ.get("PYTEST_XDIST_TESTRUNUID")
"""What the processes of one run of pytest have in common; none where there is only one."""


@cache
def example_plan(name: str) -> Plan:
    """Return the plan of a shipped example."""
    if not TOGETHER:
        return _made(name)
    folder = Path(tempfile.gettempdir()) / f"example-plans-{TOGETHER}"
    folder.mkdir(exist_ok=True)
    kept = folder / f"{name}.pickle"
    with (folder / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not kept.exists():
            kept.write_bytes(pickle.dumps(_made(name)))
        return pickle.loads(kept.read_bytes())


@cache
def example_map(name: str, paper: str = "a4", seen_from: str = "below") -> ET.Element:
    """Return the map of a shipped example, to look at and not to change."""
    return parse(draw_map(example_plan(name), paper=paper, seen_from=seen_from))


def _made(name: str) -> Plan:
    question = read_question(EXAMPLES / name)
    return make_plan(question.job, question.profile, question.practice)
