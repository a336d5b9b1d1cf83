"""The JSON Schema of a review: it takes what every example's review is written as, and nothing else."""

from __future__ import annotations

import json
from dataclasses import replace

import jsonschema
import pytest
from example_plans import EXAMPLES, example_plan

from router.judging import approve, judge_route
from router.lengths import compare_fitted
from router.writing import fitted_data, planned_route, review_data, review_schema

ANSWERED = sorted(path.parent.name for path in EXAMPLES.glob("*/job.yaml") if path.parent.name != "no-way")


def judged(name, change=lambda drawn: drawn):
    plan = example_plan(name)
    return judge_route(plan.job, plan.profile, plan.practice, change(planned_route(plan)), plan)


def without_fixings(drawn):
    return replace(drawn, runs=tuple(replace(run, fixings=()) for run in drawn.runs))


def valid(data):
    return jsonschema.Draft202012Validator(review_schema()).is_valid(json.loads(json.dumps(data)))


def test_the_schema_is_one():
    jsonschema.Draft202012Validator.check_schema(review_schema())


@pytest.mark.parametrize("name", ANSWERED)
def test_it_takes_every_example(name):
    assert valid(review_data(judged(name)))


def test_it_takes_findings_approvals_and_lengths_as_fitted():
    broken = judged("work-lamp-rear-battery", without_fixings)
    assert broken.findings
    fitted = compare_fitted("supply", 1000.0, 50.0, (1010.0, 1020.0))
    assert valid({**review_data(broken), "as_fitted": [fitted_data(fitted)]})
    approved = approve(judged("work-lamp-rear-battery"), "A. Warden", "2026-03-14")
    standard = judged("work-lamp-rear-battery", lambda _: approved)
    assert standard.drawn.approval
    assert valid(review_data(standard))


@pytest.mark.parametrize(
    "change",
    [
        {"mark": "98"},
        {"stands": None},
        {"format": "review/2"},
        {"extra": 1},
        {"findings": [{"kind": "span"}]},
        {"runs": [{"run": "supply"}]},
        {"as_fitted": [{"run": "supply"}]},
    ],
)
def test_it_refuses_what_is_not_written(change):
    data = review_data(judged("work-lamp-rear-battery"))
    assert valid(data)
    assert not valid({**data, **change})
