"""The commands `review` and `compare`: files in, words and files out, exit codes."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from example_plans import EXAMPLES, example_plan

from router.cli import main
from router.drawing import draw_judgement
from router.judging import judge_route
from router.reading import read_question, read_route
from router.reviews import planned_route, route_yaml
from router.sheet import make_review

JOB = EXAMPLES / "fridge-supply"
APPROVAL = ("--approve-by", "A. Warden", "--approve-on", "2026-11-25")


@pytest.fixture
def run(capfd, monkeypatch):
    """Run a command as from a shell, with the example planned once; exit code, stdout and stderr."""
    monkeypatch.setattr("router.plan.make_plan", lambda *_: example_plan("fridge-supply"))

    def command(*words):
        with pytest.raises(SystemExit) as left:
            main([str(word) for word in words])
        out, err = capfd.readouterr()
        assert "Traceback" not in out + err
        return left.value.code or 0, out, err

    return command


@pytest.fixture
def good(tmp_path):
    path = tmp_path / "good.yaml"
    path.write_bytes(route_yaml(planned_route(example_plan("fridge-supply"))))
    return path


@pytest.fixture
def bad(good):
    path = good.with_name("bad.yaml")
    text = good.read_text(encoding="utf-8")
    path.write_text(text.replace('right stud row"}', 'right brake line"}'), encoding="utf-8")
    return path


def test_a_planned_route_is_without_fault_and_can_be_approved(run, good, tmp_path):
    out = tmp_path / "out"
    code, words, err = run(
        "review", JOB, good, "--out", out, "--approve-by", "A. Warden", "--approve-on", "2026-11-25"
    )
    assert (code, err) == (0, "")
    assert "mark: 100 of 100" in words
    assert sorted(path.name for path in out.iterdir()) == ["map.svg", "review.html", "standard.yaml"]
    assert run("review", out) == (0, "standard.yaml: stands, 100 of 100\n", "")
    assert run("check", out / "standard.yaml")[0] == 0


def test_a_broken_must_rule_is_exit_code_1_and_never_approved(run, good, bad, tmp_path):
    out = tmp_path / "out"
    code, words, err = run(
        "review", JOB, bad, "--out", out, "--approve-by", "A. Warden", "--approve-on", "2026-11-25"
    )
    assert code == 1
    assert "not approved" in err and not (out / "standard.yaml").exists()
    assert "fixing forbidden" in words
    code, words, _ = run("review", JOB, bad, "--json")
    assert code == 1 and {each["kind"] for each in json.loads(words)["findings"]} == {"fixing forbidden"}
    code, words, _ = run("review", JOB, good.parent)
    assert code == 1
    assert [line.split(",")[0] for line in words.splitlines()] == ["bad.yaml: FALLS", "good.yaml: stands"]


def test_what_cannot_be_read_is_exit_code_2(run, good, tmp_path):
    assert run("review", JOB, tmp_path / "none.yaml")[0] == 2
    good.write_text("route: x\nformat: route/1\n", encoding="utf-8")
    code, _, err = run("review", JOB, good.parent)
    assert code == 2 and 'key "runs" is missing' in err
    assert run("review", JOB)[0] == 2


def test_as_fitted_proposes_a_correction(run, good, tmp_path):
    table = tmp_path / "used.csv"
    length = example_plan("fridge-supply").runs[0].length
    planned_mm = length.routed_mm + sum(allowance.length_mm for allowance in length.allowances)
    rows = [f"{n},supply,{planned_mm + off:.3f} mm" for n, off in enumerate((-30, -32, -28, -30))]
    table.write_text("vehicle,run,used\n" + "\n".join(rows) + "\n", encoding="utf-8")
    code, words, _ = run("review", JOB, good, "--as-fitted", table)
    assert code == 0
    assert "correct the allowances by -30.0 mm ± 2.6 mm (95 %" in words  # 3.18 x 1.633 / 2, GUM table G.2


def test_findings_are_in_their_places_on_map_and_page(bad):
    question = read_question(JOB)
    drawn = read_route(bad, question.job, question.profile)
    plan = example_plan("fridge-supply")
    judged = judge_route(question.job, question.profile, question.practice, drawn, plan)
    svg = draw_judgement(judged)
    titles = [each.text or "" for each in ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}title")]
    for number, each in enumerate(judged.findings, start=1):
        assert f"{number}: {each.finding.what}" in titles
    page = make_review(judged, svg)
    assert all(each.finding.what in page for each in judged.findings)
    assert f"{judged.mark} of 100" in page
    alone = draw_judgement(replace(judged, planned=None))
    assert "as drawn" in alone


def test_compare_lists_a_variant(run):
    assert run("compare", "dunlin-lwb", "dunlin-lwb") == (0, "no difference\n", "")
    code, words, _ = run("compare", "dunlin-lwb", "dunlin-lwb", "--other-variant", "battery under seat")
    assert code == 0 and "battery positive" in words
