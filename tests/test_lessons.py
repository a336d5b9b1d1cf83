"""Lessons: each answer is right by the review, the same seed gives the same bytes, no question tells."""

from __future__ import annotations

import re
from html import unescape
from html.parser import HTMLParser

import pytest
from example_plans import EXAMPLES, example_plan

from router.cli import main
from router.judging import judge_route
from router.lessons.pages import lesson_files
from router.lessons.questions import TAUGHT, make_lesson
from router.model.review import DrawnRoute
from router.sheet.findings import KIND_WORDS

EXAMPLE = "work-lamp-rear-battery"


@pytest.fixture(scope="module")
def lesson():
    return make_lesson(example_plan(EXAMPLE), seed=3, faults=5)


@pytest.fixture(scope="module")
def files(lesson):
    return {name: content.decode() for name, content in lesson_files(lesson).items()}


def test_a_route_with_one_fault_is_what_its_answer_says(lesson):
    plan = lesson.plan
    assert len(lesson.faults) == 5
    for question in lesson.faults:
        drawn = DrawnRoute("again", (question.judged.drawn,), None)
        judged = judge_route(plan.job, plan.profile, plan.practice, drawn, plan)
        assert {each.finding for each in judged.findings} == {each.finding for each in question.findings}
        assert len({each.finding.kind for each in judged.findings}) == 1
    kinds = [question.findings[0].finding.kind for question in lesson.faults]
    assert len(set(kinds)) >= 4  # not the same one over and over


def test_the_right_way_is_the_planned_one_and_stands_among_three(lesson):
    routes = {run.name: run.route for run in lesson.plan.runs}
    assert lesson.ways
    for question in lesson.ways:
        assert [way.letter for way in question.ways] == ["A", "B", "C"]
        assert question.right.route == routes[question.run]
        assert sum(not way.against for way in question.ways) == 1


def test_the_right_letter_is_not_always_the_same():
    plan = example_plan(EXAMPLE)
    letters = {way.right.letter for seed in range(6) for way in make_lesson(plan, seed=seed, faults=1).ways}
    assert len(letters) > 1


def test_the_same_seed_gives_the_same_bytes_and_another_one_others(lesson):
    plan = example_plan(EXAMPLE)
    assert make_lesson(plan, seed=3, faults=5) == lesson
    assert make_lesson(plan, seed=4, faults=5) != lesson
    assert lesson_files(make_lesson(plan, seed=3, faults=1)) == lesson_files(
        make_lesson(plan, seed=3, faults=1)
    )


def test_every_fault_that_is_taught_has_its_words():
    assert set(TAUGHT) <= set(KIND_WORDS)


class _Texts(HTMLParser):
    def __init__(self):
        super().__init__()
        self.ids, self.opened = [], []

    def handle_starttag(self, tag, attrs):
        self.ids += [value for name, value in attrs if name == "id"]
        self.opened.append(tag)


def test_pages_are_whole_and_by_themselves(lesson, files):
    count = len(lesson.ways) + len(lesson.fixings) + len(lesson.faults)
    assert set(files) == {"map-blank.svg", "questions.html", "answers.html"}
    for name in ("questions.html", "answers.html"):
        page = files[name]
        parser = _Texts()
        parser.feed(page)
        assert len(parser.ids) == len(set(parser.ids))
        assert not {"script", "img", "link", "iframe"} & set(parser.opened)
        assert len(re.findall(r"<h2>\d+\. ", page)) == count
    assert files["questions.html"].count("<svg") == count + 1  # the blank map, and one for each question


def test_the_questions_do_not_tell_the_answers(lesson, files):
    asked, answered = (unescape(files[name]) for name in ("questions.html", "answers.html"))
    for question in lesson.faults:
        for each in question.findings:
            assert each.finding.what not in asked and each.finding.what in answered
            if each.finding.rule:
                assert each.finding.rule.source in answered
    for question in lesson.ways:
        for way in question.ways:
            assert not any(words in asked for words in way.against)
            assert all(words in answered for words in way.against)


def test_the_command(capfd, monkeypatch, tmp_path):
    monkeypatch.setattr("router.plan.make_plan", lambda *_: example_plan(EXAMPLE))
    words = ["lesson", "sanderling-estate", str(EXAMPLES / EXAMPLE), "--variant", "battery at the back",
             "--out", str(tmp_path / "set"), "--faults", "2"]  # fmt: skip
    with pytest.raises(SystemExit) as left:
        main(words)
    out, err = capfd.readouterr()
    assert (left.value.code or 0, err) == (0, "")
    assert "2 what is wrong" in out
    assert sorted(path.name for path in (tmp_path / "set").iterdir()) == [
        "answers.html", "map-blank.svg", "questions.html"
    ]  # fmt: skip
    with pytest.raises(SystemExit) as left:
        main(["lesson", "no-such-vehicle", str(EXAMPLES / EXAMPLE), "--out", str(tmp_path / "none")])
    assert left.value.code == 2
