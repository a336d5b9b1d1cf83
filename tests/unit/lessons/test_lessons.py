"""Lessons: each answer is right by the review, the same seed gives the same bytes, no question tells."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser

import pytest
from example_plans import EXAMPLES, example_plan

from router.cli import main
from router.judging import judge_route
from router.judging.judge import DANGEROUS
from router.lessons.lesson_files import files_of_lesson
from router.lessons.lesson_questions import TAUGHT_FAULTS, make_lesson
from router.model.plan import Severity
from router.sheet.finding_list import KIND_WORDS
from router.writing import planned_route

EXAMPLE = "work-lamp"


@pytest.fixture(scope="module")
def lesson():
    return make_lesson(example_plan(EXAMPLE), seed=3, faults=5)


@pytest.fixture(scope="module")
def files(lesson):
    return {name: content.decode() for name, content in files_of_lesson(lesson).items()}


def test_a_route_with_one_fault_is_what_its_answer_says(lesson):
    plan = lesson.plan
    assert len(lesson.faults) == 5
    for question in lesson.faults:
        drawn = replace(question.judgement.drawn, name="again")
        judged = judge_route(plan.job, plan.profile, plan.practice, drawn, plan)
        assert {each.finding for each in judged.findings} == {each.finding for each in question.findings}
        assert len({each.finding.kind for each in judged.findings}) == 1
    kinds = [question.findings[0].finding.kind for question in lesson.faults]
    assert len(set(kinds)) >= 4  # not the same one over and over


def test_more_faults_than_can_be_made_are_spread_and_the_rest_is_said(capfd, monkeypatch, tmp_path):
    made = make_lesson(example_plan(EXAMPLE), seed=1, faults=60)
    pairs = [(each.judged.drawn.route.run, each.findings[0].finding.kind) for each in made.faults]
    assert len(pairs) < 60 == made.faults_asked
    assert max(pairs.count(pair) for pair in pairs) <= 2
    drawn = [each.judged.drawn for each in made.faults]
    assert all(one != other for n, one in enumerate(drawn) for other in drawn[:n])
    kinds = list(dict.fromkeys(kind for _, kind in pairs))
    assert {*kinds, *(each.kind for each in made.unmade)} == set(TAUGHT_FAULTS)
    assert not set(kinds) & {each.kind for each in made.unmade}
    assert kinds == [
        kind for kind in TAUGHT_FAULTS if kind in kinds
    ]  # every kind once, in order, before any again
    assert tuple(TAUGHT_FAULTS[: len(DANGEROUS)]) == DANGEROUS
    monkeypatch.setattr("router.planning.make_plan", lambda *_: example_plan(EXAMPLE))
    monkeypatch.setattr("router.lessons.lesson_questions.make_lesson", lambda *_, **__: made)
    with pytest.raises(SystemExit):
        main(["lesson", "sanderling-estate", str(EXAMPLES / EXAMPLE),
              "--out", str(tmp_path)])  # fmt: skip
    said = capfd.readouterr().out
    assert f"only {len(pairs)} of 60 faults asked for could be made\n" in said
    for each in made.unmade:
        (line,) = [line for line in said.splitlines() if line.startswith(f"  {each.why}: ")]
        assert KIND_WORDS[each.kind] in line


def test_no_word_is_said_where_all_faults_asked_for_were_made():
    made = make_lesson(example_plan(EXAMPLE), seed=1, faults=3)
    assert (len(made.faults), made.unmade) == (3, ())


def test_a_run_with_something_to_look_at_is_broken_too_and_its_own_findings_are_no_answer():
    """Where wires ask for wider bends than there are, a run with a `should` takes its turn all the same."""
    plan = example_plan(EXAMPLE)
    wide = replace(plan.practice, rules=dict(plan.practice.rules))
    rule = wide.rules["bend", "least radius"]
    wide.rules["bend", "least radius"] = replace(rule, value=40 * rule.value)
    plan = replace(plan, practice=wide)
    judged = judge_route(plan.job, plan.profile, wide, planned_route(plan), plan)
    bent = {each.finding.run for each in judged.findings if each.finding.severity is not Severity.MUST}
    assert bent and not any(each.finding.severity is Severity.MUST for each in judged.findings)
    made = make_lesson(plan, seed=1, faults=6)
    assert bent & {each.judged.drawn.route.run for each in made.faults}
    assert all(len({f.finding.kind for f in each.findings}) == 1 for each in made.faults)


def test_the_right_way_is_the_planned_one_and_stands_among_three(lesson):
    routes = {run.name: run.route for run in lesson.plan.runs}
    assert lesson.routes
    for question in lesson.routes:
        assert [way.letter for way in question.offered] == ["A", "B", "C"]
        assert question.right.route == routes[question.run]
        assert sum(not way.against for way in question.offered) == 1


def test_the_right_letter_is_not_always_the_same():
    plan = example_plan(EXAMPLE)
    letters = {way.right.letter for seed in range(6) for way in make_lesson(plan, seed=seed, faults=1).routes}
    assert len(letters) > 1


def test_the_same_seed_gives_the_same_bytes_and_another_one_others(lesson):
    plan = example_plan(EXAMPLE)
    assert make_lesson(plan, seed=3, faults=5) == lesson
    assert make_lesson(plan, seed=4, faults=5) != lesson
    assert files_of_lesson(make_lesson(plan, seed=3, faults=1)) == files_of_lesson(
        make_lesson(plan, seed=3, faults=1)
    )


def test_every_fault_that_is_taught_has_its_words():
    assert set(TAUGHT_FAULTS) <= set(KIND_WORDS)


class _Texts(HTMLParser):
    def __init__(self):
        super().__init__()
        self.ids, self.opened = [], []

    def handle_starttag(self, tag, attrs):
        self.ids += [value for name, value in attrs if name == "id"]
        self.opened.append(tag)


def test_pages_are_whole_and_by_themselves(lesson, files):
    count = len(lesson.routes) + len(lesson.fixings) + len(lesson.faults)
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
    assert len(lesson.faults) == 5 and lesson.routes
    for question in lesson.faults:
        assert question.findings
        for each in question.findings:
            assert each.finding.what not in asked and each.finding.what in answered
            if each.finding.rule:
                assert each.finding.rule.source in answered
    for question in lesson.routes:
        for way in question.offered:
            assert not any(words in asked for words in way.against)
            assert all(words in answered for words in way.against)


def test_the_command(capfd, monkeypatch, tmp_path):
    monkeypatch.setattr("router.planning.make_plan", lambda *_: example_plan(EXAMPLE))
    words = ["lesson", "sanderling-estate", str(EXAMPLES / EXAMPLE),
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


def test_a_lesson_says_of_which_keep_outs_more_is_kept_as_nobody_measured_them(lesson, files):
    first, *others = lesson.plan.profile.keep_outs
    keep_outs = (replace(first, assumed_mm=45.0), *others)
    unsure = replace(
        lesson, plan=replace(lesson.plan, profile=replace(lesson.plan.profile, keep_outs=keep_outs))
    )
    pages = {name: unescape(text.decode()) for name, text in files_of_lesson(unsure).items()}
    told = f"{first.hazard}, assumed to 45 mm"
    assert any(told in text for text in pages.values())
    assert any(
        "or how far off a keep-out is assumed to be where that is more" in text for text in pages.values()
    )
    assert not any("assumed to" in text for text in files.values())
