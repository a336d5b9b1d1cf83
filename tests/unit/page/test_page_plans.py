"""What the page plans is what `underbody plan` plans, to the byte, for every shipped example."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from example_plans import example_plan

from router.errors import NoAnswerError
from router.page.plan_work import PlanWork
from router.writing import json_text, plan_data

EXAMPLES = Path(__file__).parents[3] / "examples"
PLANNED = sorted(path.parent.name for path in EXAMPLES.glob("*/job.yaml"))


def stages_of(name, work):
    folder = EXAMPLES / name
    texts = [None, (folder / "job.yaml").read_text(encoding="utf-8")]
    question = {"what": "plan", "folder": str(folder), "texts": texts}
    return list(work.answers(question, lambda: False))


@pytest.mark.parametrize("name", PLANNED)
def test_the_plan_of_the_page_is_that_of_the_command(name):
    work = PlanWork()
    stages = stages_of(name, work)
    try:
        wanted = json_text(plan_data(example_plan(name), "below"))
    except NoAnswerError as error:
        assert (stages[-1]["stage"], stages[-1]["says"]) == ("refused", error.why)
        return
    assert [stage["stage"] for stage in stages] == ["answer", "proof"]
    assert stages[1]["text"] == wanted
    assert json.loads(json.dumps(stages[0], allow_nan=False))["plan"]["gap"] is None


def test_a_planner_goes_on_from_one_job_to_another():
    work = PlanWork()
    stages_of("work-lamp-rear-battery", work)
    (refused,) = stages_of("no-way", work)
    assert refused["stage"] == "refused"
    again = stages_of("work-lamp-rear-battery", work)
    assert again[1]["text"] == stages_of("work-lamp-rear-battery", PlanWork())[1]["text"]
