"""Sheet and review in a real browser, judged by axe-core (https://github.com/dequelabs/axe-core)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from browsing import ANSWER, NIGHT, PHONE_PX, POLICY, WIDE_PX, answer_of, in_a_browser, judged
from example_plans import EXAMPLES, example_plan
from sample_plan import sample_plan

from router.drawing import draw_judgement, draw_map
from router.judging import judge_route
from router.reading import read_question, read_route
from router.sheet.job_sheet import make_sheet
from router.sheet.review_page import make_review
from router.writing import planned_route, route_bytes

pytestmark = in_a_browser
GRAVE = ("serious", "critical")
LONG = "Unaussprechlicherhilfsrahmenlängsträgerverstärkungshalter" * 2


@pytest.fixture(scope="module")
def sheet():
    plan = sample_plan()
    return make_sheet(plan, draw_map(plan))


def a_judgement_with_findings(folder):
    """Return a small example's own route, judged with two fixings taken off."""
    name = "work-lamp-rear-battery"
    plan, question = example_plan(name), read_question(EXAMPLES / name)
    lines = route_bytes(planned_route(plan)).decode().splitlines()
    held = [number for number, line in enumerate(lines) if "kind:" in line]
    path = folder / "route.yaml"
    path.write_text("\n".join(line for n, line in enumerate(lines) if n not in held[1:3]), encoding="utf-8")
    drawn = read_route(path, question.job, question.profile)
    return judge_route(question.job, question.profile, question.practice, drawn, plan)


@pytest.fixture(scope="module")
def pages(sheet, tmp_path_factory):
    judgement = a_judgement_with_findings(tmp_path_factory.mktemp("route"))
    assert judgement.findings
    opened = sheet.replace("<details>", "<details open>")  # what is folded is judged too
    return {"sheet": opened, "review": make_review(judgement, draw_judgement(judgement))}


@pytest.mark.parametrize("night", [(), (NIGHT,)], ids=["day", "night"])
@pytest.mark.parametrize("width_px", [WIDE_PX, PHONE_PX], ids=["wide", "phone"])
@pytest.mark.parametrize("name", ["sheet", "review"])
def test_nothing_serious_is_found(pages, tmp_path, name, width_px, night):
    result = judged(pages[name], tmp_path, width_px, *night)
    assert [found for found in result["found"] if found[1] in GRAVE] == []
    assert result["passed"] > 20
    assert result["night"] == bool(night)
    assert result["width"] == width_px
    assert result["needed"] <= width_px  # nothing makes the page itself scroll sideways


def test_a_fault_would_be_found(sheet, tmp_path):
    faulty = sheet.replace("--ink:#16181a", "--ink:#c8c8c8").replace('lang="en"', "")
    faulty = faulty.replace("</main>", "<p style='width:2000px'>wide</p></main>")
    result = judged(faulty, tmp_path, PHONE_PX)
    assert {"color-contrast", "html-has-lang"} <= {found[0] for found in result["found"] if found[1] in GRAVE}
    assert result["needed"] > result["width"]


def test_a_long_name_does_not_widen_a_phones_page(tmp_path):
    plan = sample_plan()
    plan = replace(plan, job=replace(plan.job, name=LONG), profile=replace(plan.profile, name=LONG))
    result = judged(make_sheet(plan, draw_map(plan)), tmp_path, PHONE_PX)
    assert result["needed"] <= result["width"]


def test_no_script_would_run(sheet, tmp_path):
    script = f"{ANSWER}<script>answer({{}})</script>"
    with pytest.raises(KeyError, match="no script"):
        answer_of(sheet, script, tmp_path, WIDE_PX)
    lifted = POLICY.sub("", sheet)
    assert answer_of(lifted, script, tmp_path, WIDE_PX)["width"] > 0
