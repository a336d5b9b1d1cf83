"""Good routes with one random fault each: the review finds every fault, and marks none of the good ones.

A good route is the planner's, which shares no code with the review; a fault is made by plain geometry that
shares none with it either (`router/lessons/breaking.py`), so that by its make it must break one named rule.
"""

from __future__ import annotations

import pytest
from fault_study import EXAMPLES, Good, example_goods, is_found, random_goods, study, table

from router.judging import judge_route
from router.lessons.broken import FAULT_MAKERS
from router.reviewing import KINDS

QUICK = (10, 12, 18, 19, 42, 47, 48, 50, 52)
"""Seeds of vehicles that plan in a moment and have a place for every kind of fault."""
JOBS = [path.parent.name for path in sorted(EXAMPLES.glob("*/job.yaml")) if path.parent.name != "no-way"]


def check(goods: list[Good], count: int) -> None:
    marked = [(good.name, each.finding) for good in goods for each in good.judged().findings]
    assert marked == []
    results = list(study(goods, count, seed=1))
    assert len(results) == count
    missed = [(good.name, broken.kind) for good, broken, judged in results if not is_found(broken, judged)]
    assert missed == [], table(results)
    assert {broken.kind for _, broken, _ in results} == set(FAULT_MAKERS), "some kind was never made"


def test_every_kind_of_the_review_can_be_made():
    assert set(KINDS) <= set(FAULT_MAKERS)


def test_sixty_faults_are_found_and_no_good_route_is_marked():
    check(random_goods(QUICK), 60)


@pytest.mark.study
def test_a_thousand_faults_are_found_and_no_good_route_is_marked():
    check([*example_goods(JOBS), *random_goods(range(40))], 1000)


def test_the_study_sees_a_review_that_is_blind(monkeypatch):
    goods = random_goods(range(3))

    def blind(*arguments):
        judged = judge_route(*arguments)
        return type(judged)(**{**{n: getattr(judged, n) for n in judged.__slots__}, "findings": ()})

    monkeypatch.setattr("fault_study.judge_route", blind)
    seen = [is_found(broken, judged) for _, broken, judged in study(goods, 10, seed=1)]
    assert seen == [False] * 10
