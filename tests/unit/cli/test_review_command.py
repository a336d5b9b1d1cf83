"""The commands `review` and `compare`: files in, words and files out, exit codes."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from example_plans import EXAMPLES, example_plan
from svg_reading import SVG, group, parse, points, words_of

from router.cli import main
from router.drawing import draw_judgement
from router.drawing.labels.labelling import FINDING_INK
from router.judging import judge_route
from router.reading import read_question, read_route
from router.sheet.review_page import make_review
from router.writing import planned_route, route_bytes

JOB = EXAMPLES / "fridge-supply"
TRUST = "--trust-paths"  # the jobs of these routes lie elsewhere
APPROVAL = ("--approve-by", "A. Warden", "--approve-on", "2026-11-25")


@pytest.fixture
def run(capfd, monkeypatch):
    """Run a command as from a shell, with the example planned once; exit code, stdout and stderr."""
    monkeypatch.setattr("router.planning.make_plan", lambda *_: example_plan("fridge-supply"))

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
    path.write_bytes(route_bytes(planned_route(example_plan("fridge-supply"))))
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
    assert run("review", out, TRUST) == (0, "standard.yaml: stands, 100 of 100\n", "")
    assert run("check", out / "standard.yaml", TRUST)[0] == 0


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
    rows = [line.split() for line in words.splitlines()]
    assert [row[:3] for row in rows[1:3]] == [["bad", rows[1][1], "falls"], ["good", "100", "stands"]]


def test_a_folder_is_marked_in_one_go(run, good, bad, tmp_path):
    question = read_question(JOB)
    drawn = read_route(bad, question.job, question.profile)
    judged = judge_route(
        question.job, question.profile, question.practice, drawn, example_plan("fridge-supply")
    )
    out = tmp_path / "marks"
    code, words, _ = run("review", JOB, good.parent, "--out", out)
    assert code == 1 and f"mean mark: {(judged.mark + 100) / 2:.0f} of 100, over 2 routes" in words
    count = sum(each.finding.kind == "fixing forbidden" for each in judged.findings)
    assert f"fixing forbidden: in 1 of 2, findings: {count}; e.g. " in words
    page = (out / "marks.html").read_text(encoding="utf-8")
    assert ">good</a>: 100 of 100" in page and f">bad</a>: {judged.mark} of 100" in page
    assert all(each.finding.what[1:] in page for each in judged.findings)
    for name in ("good", "bad"):  # each on its own page, with its map
        assert f'href="{name}.yaml.html"' in page
        own = (out / f"{name}.yaml.html").read_text(encoding="utf-8")
        assert f"<h1>Review of {name}: " in own and "<svg" in own and "the route as drawn, bold" in own
        assert ("Nothing is wrong with it." in own) == (name == "good")
        assert '<nav><a href="marks.html">Back to all marks</a></nav>' in own
    row = re.search(r"<tr><td[^>]*>1<.*", own)[0]  # the same on both pages
    assert row in page and ">\u221230<" in row and ">-30<" not in page
    assert f"is fixed where it may not be ({count} times)" in page
    assert judged.findings[0].finding.what in own
    data = json.loads(run("review", JOB, good.parent, "--json")[1])
    assert [(each["name"], each["review"]["mark"]) for each in data["routes"]] == [
        ("bad", judged.mark), ("good", 100)
    ]  # fmt: skip
    assert data["mistakes"][0]["kind"] == "fixing forbidden" and data["mistakes"][0]["findings"] == count
    (good.parent / "torn.svg").write_text("<svg", encoding="utf-8")
    code, words, err = run("review", JOB, good.parent)
    assert code == 2 and "torn   -" in words and "torn.svg:1:1: is no XML" in err


def test_a_beginner_is_judged_by_the_way_alone(run, good, tmp_path):
    text = good.read_text(encoding="utf-8")
    bare = good.with_name("bare.yaml")  # nothing holds it at all
    bare.write_text(re.sub(r"    fixings:\n(      - .*\n)+", "", text), encoding="utf-8")
    assert "kind:" in text and "kind:" not in bare.read_text(encoding="utf-8")
    code, words, _ = run("review", JOB, bare)
    assert code == 1 and "nothing holds the loom" in words
    code, words, _ = run("review", JOB, bare, "--way-only", "--out", tmp_path / "one")
    assert code == 0 and "route only" in words and "mark: 100 of 100" in words
    page = (tmp_path / "one" / "review.html").read_text(encoding="utf-8")
    assert "the route only, not its fixings" in page
    code, words, _ = run("review", JOB, good.parent, "--way-only", "--out", tmp_path / "all")
    assert code == 0 and "mean mark: 100 of 100, over 2 routes" in words
    assert "the route only" in (tmp_path / "all" / "marks.html").read_text(encoding="utf-8")
    data = json.loads(run("review", JOB, bare, "--way-only", "--json")[1])
    assert data["way_only"] is True and data["saved"] == []
    for wrong in (("review", good.parent, "--way-only"), ("review", JOB, good, "--way-only", *APPROVAL,
                  "--out", tmp_path / "x")):  # fmt: skip
        assert run(*wrong)[0] == 2


def test_a_folder_of_standard_routes_has_a_line_for_each(run, good, tmp_path):
    out = tmp_path / "standards"
    assert run("review", JOB, good, "--out", out, *APPROVAL)[0] == 0
    text = (out / "standard.yaml").read_text(encoding="utf-8")
    (out / "fallen.yaml").write_text(text.replace('right stud row"}', 'right brake line"}'), encoding="utf-8")
    (out / "torn.yaml").write_text("route: x\nformat: route/1\n", encoding="utf-8")
    code, words, err = run("review", out, TRUST)
    assert code == 2 and 'key "runs" is missing' in err
    lines = words.splitlines()
    assert lines[0].startswith("fallen.yaml: FALLS, ") and "(at " in lines[0]
    assert lines[1:] == ["standard.yaml: stands, 100 of 100", "torn.yaml: CANNOT BE READ, 1 fault listed"]
    (out / "torn.yaml").unlink()
    assert run("review", out, TRUST)[0] == 1


def test_standard_routes_in_subfolders_are_found_and_plans_among_them_are_not(run, good, tmp_path):
    folder = tmp_path / "standards"
    assert run("review", JOB, good, "--out", folder / "van" / "fridge", *APPROVAL)[0] == 0
    (folder / "plan").mkdir()
    (folder / "plan" / "route.yaml").write_bytes(good.read_bytes())  # names no job: nobody approved it
    assert run("review", folder, TRUST) == (0, "van/fridge/standard.yaml: stands, 100 of 100\n", "")
    (folder / "van" / "fridge" / "standard.yaml").unlink()
    code, _, err = run("review", folder, TRUST)
    assert code == 2 and "there is no route file in" in err


def test_a_standard_route_that_was_moved_is_told_where_to_write_its_job(run, good, tmp_path):
    out = tmp_path / "here"
    assert run("review", JOB, good, "--out", out, *APPROVAL)[0] == 0
    moved = tmp_path / "kept" / "deep" / "er" / "standard.yaml"
    moved.parent.mkdir(parents=True)
    text = (out / "standard.yaml").read_text(encoding="utf-8")
    moved.write_text(text, encoding="utf-8")
    lines = text.splitlines()
    number = next(n for n, line in enumerate(lines, start=1) if line.startswith("job: "))
    named = lines[number - 1].removeprefix('job: "').removesuffix('"')
    code, words, err = run("review", moved.parent, TRUST)
    assert (code, words) == (2, "standard.yaml: CANNOT BE READ, 1 fault listed\n")
    assert err == (
        f'{moved}:{number}:6: there is no job "{named}" seen from the folder of this route file; '
        "was it moved? write job: and the path from this file to its job, "
        "e.g. job: ../../jobs/fridge/job.yaml\n"
    )


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
    assert "Back to all marks" not in page
    assert all(each.finding.what in page for each in judged.findings)
    assert f"{judged.mark} of 100" in page
    alone = draw_judgement(replace(judged, planned=None))
    assert "as drawn" in alone and "planned route, where" not in alone and "planned route, where" in svg


def test_the_map_of_a_review_shows_the_route_that_was_drawn(bad):
    """Its strips have the drawn fixings, not the plan's: two are taken out, and all but that is the plan."""
    question = read_question(JOB)
    drawn = read_route(bad, question.job, question.profile)
    first, *rest = drawn.runs
    fewer = replace(first, fixings=first.fixings[2:])
    plan = example_plan("fridge-supply")
    asked = (question.job, question.profile, question.practice)
    judged = judge_route(*asked, replace(drawn, runs=(fewer, *rest)), plan)
    root = parse(draw_judgement(judged))
    strip = group(root, "strip-supply")
    words = [word.words for word in words_of(strip)]
    assert f"RUN supply as drawn: {plan.runs[0].start} to {plan.runs[0].end}" in words
    stations = [f"{fixing.station_mm / 1000:.2f}" for fixing in fewer.fixings]
    assert all(station in words for station in stations)
    gone = {f"{fixing.station_mm / 1000:.2f}" for fixing in first.fixings[:2]} - set(stations)
    assert gone and not gone & set(words)


def test_findings_stand_in_dark_diamonds_that_nothing_else_has(bad):
    """Contrast by WCAG 2.1, 4.5 : 1 for text: white on the diamond, and the diamond on white paper."""
    question = read_question(JOB)
    drawn = read_route(bad, question.job, question.profile)
    judged = judge_route(question.job, question.profile, question.practice, drawn, None)
    root = parse(draw_judgement(judged))
    labels = group(root, "labels")
    texts = [text for text in labels.iter(f"{SVG}text") if not text.get("stroke")]  # those with one are halos
    white = [text.text for text in texts if text.get("fill") == "#fff"]
    assert sorted(white) == sorted(str(n) for n, _ in enumerate(judged.findings, start=1))
    diamonds = [area for area in labels.iter(f"{SVG}polygon") if len(points(area)) == 4]
    assert len(diamonds) == len(judged.findings)
    assert {area.get("fill") for area in diamonds} == {FINDING_INK}
    red, green, blue = (int(FINDING_INK[at : at + 2], 16) / 255 for at in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (red, green, blue)]
    luminance = sum(share * c for share, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
    assert 1.05 / (luminance + 0.05) >= 4.5


def test_compare_lists_a_variant(run):
    assert run("compare", "dunlin-lwb", "dunlin-lwb") == (0, "no difference\n", "")
    code, words, _ = run("compare", "dunlin-lwb", "dunlin-lwb", "--other-variant", "battery under seat")
    assert code == 0 and "battery positive" in words


def test_compare_draws(run, tmp_path):
    drawing = tmp_path / "new" / "differences.svg"
    code, words, _ = run(
        "compare", "dunlin-lwb", "dunlin-lwb", "--other-variant", "battery under seat", "--out", drawing
    )
    assert code == 0 and f"written: {drawing}" in words
    assert ET.fromstring(drawing.read_text(encoding="utf-8")).tag.endswith("svg")


def test_a_folder_whose_routes_name_no_job_is_told_what_to_write(run, good):
    good.with_name("drawn.svg").write_text("<svg/>", encoding="utf-8")
    code, words, err = run("review", good.parent)
    assert (code, words) == (2, "good.yaml: CANNOT BE READ, 1 fault listed\n")
    wanted = "drawings, and routes that name no job, are for one that you name: underbody review JOB"
    assert err.splitlines()[-1] == f"{wanted} {good.parent}"
    good.unlink()
    assert f"; {wanted} {good.parent}" in run("review", good.parent)[2]


def test_a_route_or_a_job_alone_is_told_what_goes_with_it(run, good):
    wanted = "name the job, and then its route or a folder of routes: underbody review"
    assert f"{wanted} JOB {good}\n" in run("review", good)[2]
    assert f"{wanted} {JOB} ROUTE\n" in run("review", JOB)[2]


def test_pages_that_would_lie_among_the_routes_get_a_folder(run, good):
    code, words, _ = run("review", JOB, good.parent, "--out", good.parent)
    assert code == 0 and f"written into {good.parent / 'marks'}: marks.html" in words
    assert sorted(path.name for path in good.parent.iterdir()) == ["good.yaml", "marks"]
    assert run("review", JOB, good.parent, "--out", good.parent)[:2] == (code, words)
