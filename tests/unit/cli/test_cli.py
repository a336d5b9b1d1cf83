"""The commands: what goes where, which exit code, and never a traceback."""

from __future__ import annotations

import errno
import json
import os
import re
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from example_plans import example_plan
from sample_plan import sample_plan

from router.cli import COMMANDS, main
from router.errors import NoAnswerError
from router.model.plan import Finding, FindingKind, Severity
from router.version import __version__
from router.writing.summary import HEIGHT, WIDTH, course_in_words, summarise

ROOT = Path(__file__).parents[3]
EXAMPLE = ROOT / "examples" / "fridge-supply"
FILES = ["bill.csv", "circuit.svg", "map.svg", "plan.json", "route.yaml", "sheet.html"]


@pytest.fixture
def run(capfd):
    """Run a command as from a shell; give back its exit code, stdout and stderr."""

    def command(*words):
        with pytest.raises(SystemExit) as left:
            main([str(word) for word in words])
        out, err = capfd.readouterr()
        assert "Traceback" not in out + err
        return left.value.code or 0, out, err

    return command


@pytest.fixture(scope="session")
def planned(tmp_path_factory):
    """The shipped example, planned once: its folder and what was printed."""
    folder = tmp_path_factory.mktemp("planned")
    words = [sys.executable, "-m", "router", "plan", EXAMPLE, "--out", folder / "new" / "out"]
    done = subprocess.run(words, capture_output=True, text=True, check=False, cwd=ROOT)
    assert done.returncode == 0, done.stderr
    return folder / "new" / "out", done.stdout, done.stderr


@pytest.fixture
def quick(monkeypatch):
    """Let plan and show answer at once: for what happens round them."""
    monkeypatch.setattr("router.planning.make_plan", lambda *_: sample_plan())
    monkeypatch.setattr("router.drawing.draw_map", lambda *_, **way: f"<svg>{way}</svg>")
    monkeypatch.setattr("router.drawing.draw_profile", lambda *_, **way: f"<svg>{way}</svg>")
    monkeypatch.setattr("router.writing.plan_files.make_sheet", lambda *_: "<html/>")


def names(folder):
    return sorted(path.name for path in folder.iterdir())


# help


@pytest.mark.parametrize("name", [None, *sorted(COMMANDS)])
def test_help_is_for_a_person(run, name):
    code, out, err = run(*filter(None, [name]), "--help")
    assert (code, err) == (0, "")
    assert "underbody" in out
    assert "\n    underbody " in out  # an example on a line of its own
    assert max(map(len, out.splitlines())) <= 80


def test_version(run):
    assert run("--version") == (0, f"underbody, version {__version__}\n", "")


def test_misspelt_words_are_usage_errors_with_a_hint(run):
    code, out, err = run("plam", "x")
    assert (code, out) == (2, "")
    assert "Did you mean" in err
    assert "plan" in err
    code, _, err = run("plan", "--papr", "a4", EXAMPLE)
    assert code == 2
    assert "--paper" in err


def test_choices_are_listed(run):
    code, _, err = run("plan", EXAMPLE, "--paper", "napkin")
    assert code == 2
    assert "tabloid" in err


def test_help_loads_nothing_that_is_slow():
    code = "import sys, router.cli; print(*sorted(sys.modules))"
    modules = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    slow = {"numpy", "pint", "pydantic", "shapely", "svgwrite", "yaml"}
    assert "click" in modules.split()
    assert slow & set(modules.split()) == set()


def left_by(words, left, environment=None):
    """Return what an expression gives in a process of its own, after a command has ended there."""
    code = f"import atexit, os, sys, router.cli; atexit.register(lambda: print('left', *{left}))"
    command = [sys.executable, "-c", f"{code}; router.cli.main({[str(each) for each in words]!r})"]
    shown = subprocess.run(
        command, capture_output=True, text=True, check=True, cwd=ROOT, env=environment or os.environ
    ).stdout
    return shown.rpartition("left ")[2].split()


def test_plan_loads_nothing_that_only_other_commands_need(tmp_path):
    modules = left_by(["plan", "examples/work-lamp-rear-battery", "--out", tmp_path], "sys.modules")
    others = {"defusedxml", "distributed", "highspy", "networkx", "pint", "scipy", "sqlite3", "svgelements"}
    unused = {"numpy.ma", "numpy.random"}
    own = {"router.fleet", "router.lessons", "router.reading.route.route_file", "router.reading.svg"}
    assert "shapely" in modules
    assert (others | unused | own) & set(modules) == set()


def test_who_lists_vehicles_loads_nothing_of_plans():
    modules = left_by(["profiles"], "sys.modules")
    plans = {f"router.{name}" for name in ("conductors", "drawing", "model.plan", "planning", "search")}
    assert "router.model.vehicle" in modules
    assert plans & set(modules) == set()


@pytest.mark.parametrize(("given", "counts"), [({}, "1"), ({"OPENBLAS_NUM_THREADS": "3"}, "3")])
def test_numpy_starts_one_thread_where_nobody_said_otherwise(given, counts):
    name = "OPENBLAS_NUM_THREADS"
    environment = {each: value for each, value in os.environ.items() if each != name} | given
    assert left_by(["profiles"], f"[os.environ.get({name!r})]", environment) == [counts]


def test_models_of_files_are_built_when_one_is_read():
    left = "[getattr(sys.modules['router.reading.profile.profile_file'], each).__pydantic_complete__"
    names = "for each in ('ProfileFile', 'SpaceFile', 'VariantFile')]"
    assert left_by(["profiles"], f"{left} {names}") == ["True", "False", "False"]


@pytest.mark.speed
def test_help_takes_less_than_a_tenth_of_a_second():
    def once():
        before = time.perf_counter()
        subprocess.run([sys.executable, "-m", "router", "--help"], capture_output=True, check=True)
        return time.perf_counter() - before

    assert min(once() for _ in range(10)) < 0.1


# plan


def test_plan_writes_five_files_and_prints_a_summary(planned):
    folder, out, err = planned
    assert names(folder) == FILES
    assert err == ""
    assert out.startswith("Refrigerator supply: Dunlin panel van")
    assert str(folder) in out
    lines = out.splitlines()
    assert len(lines) <= 23  # 80 x 24 with the prompt
    assert max(map(len, lines)) <= 80


@pytest.mark.usefixtures("quick")
def test_plan_json_is_the_file_and_nothing_else(run, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    code, out, err = run("plan", EXAMPLE, "--json")
    assert (code, err) == (0, "")
    assert names(tmp_path) == []
    assert not (EXAMPLE / "plan").exists()
    code, again, err = run("plan", EXAMPLE, "--json", "--out", tmp_path / "out")
    assert (code, again, err) == (0, out, "")
    written = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))
    assert written.pop("seen_from") == "below"
    assert json.loads(out) == written


def test_same_question_same_bytes(run, planned, tmp_path):
    assert run("plan", EXAMPLE, "--out", tmp_path)[0] == 0
    for name in FILES:
        assert (tmp_path / name).read_bytes() == (planned[0] / name).read_bytes(), name


@pytest.mark.usefixtures("quick")
def test_seen_from_paper_and_scale_reach_the_map(run, tmp_path):
    look = ("--seen-from", "above", "--paper", "roll", "--roll-width", "24 in", "--scale", "1:10")
    assert run("plan", EXAMPLE, "--out", tmp_path, *look)[0] == 0
    drawn = (tmp_path / "map.svg").read_text()
    for said in ("'seen_from': 'above'", "'paper': 'roll'", "'roll_width_mm': 609.6", "'scale': 10.0"):
        assert said in drawn  # 24 in of 25.4 mm


@pytest.mark.parametrize(
    ("option", "text", "words"),
    [
        ("--scale", "1:7", '"1:7" is not one of 1:1, 1:2, 1:5, 1:10, 1:15, 1:20'),
        ("--scale", "10", '"10" is not one of'),
        ("--roll-width", "610", "has no unit"),
        ("--roll-width", "61 mm", "is not from 200 mm to 2000 mm"),
    ],
)
def test_scales_and_rolls_that_no_one_has_are_refused(run, option, text, words):
    code, _, error = run("show", "dunlin-lwb", option, text)
    assert code == 2
    assert words in error


def test_a_scale_that_is_too_large_for_the_roll_says_which_roll_would_do(run, tmp_path):
    code, _, error = run(
        "show", "dunlin-lwb", "--paper", "roll", "--scale", "1:2", "--out", tmp_path / "x.svg"
    )
    assert code == 2
    assert "at 1:2 the map needs a roll" in error
    assert not (tmp_path / "x.svg").exists()


@pytest.mark.usefixtures("quick")
def test_a_blank_map_comes_alone_and_the_summary_tells_nothing(run, tmp_path):
    code, out, _ = run("plan", EXAMPLE, "--out", tmp_path, "--blank", "--date", "2026-03-20")
    assert (code, out) == (0, f"written: {tmp_path / 'map-blank.svg'}\n")
    assert names(tmp_path) == ["map-blank.svg"]
    drawn = (tmp_path / "map-blank.svg").read_text()
    assert "'is_blank': True" in drawn
    assert "'date': '2026-03-20'" in drawn


def test_a_day_that_no_calendar_has_is_refused(run, tmp_path):
    code, _, err = run("plan", EXAMPLE, "--out", tmp_path, "--date", "2026-02-30")
    assert code == 2
    assert "write e.g. 2026-03-20" in err


@pytest.mark.usefixtures("quick")
def test_default_folder_is_beside_the_job(run, tmp_path):
    text = (EXAMPLE / "job.yaml").read_text(encoding="utf-8")
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "van-17.yaml").write_text(text, encoding="utf-8")
    assert run("plan", tmp_path / "van-17.yaml")[0] == run("plan", tmp_path)[0] == 0
    assert names(tmp_path) == ["job.yaml", "plan", "van-17-plan", "van-17.yaml"]
    assert names(tmp_path / "plan") == names(tmp_path / "van-17-plan") == FILES


def test_no_answer_is_exit_1_and_writes_nothing(run, tmp_path):
    code, out, err = run("plan", ROOT / "examples" / "no-way", "--out", tmp_path / "out")
    assert (code, out) == (1, "")
    assert err.startswith("no answer: ")
    assert "mm" in err
    assert names(tmp_path) == []


@pytest.mark.usefixtures("quick")
def test_no_answer_says_that_what_lies_there_is_older(run, tmp_path, monkeypatch):
    folder = tmp_path / "out"
    assert run("plan", EXAMPLE, "--out", folder)[0] == 0
    (folder / "notes.txt").write_text("my own", encoding="utf-8")

    def no_answer(*_):
        raise NoAnswerError("no conductor is thick enough")

    monkeypatch.setattr("router.planning.make_plan", no_answer)
    code, out, err = run("plan", EXAMPLE, "--out", folder)
    assert (code, out) == (1, "")
    assert err == (
        f"no answer: no conductor is thick enough. Nothing is written; what is in {folder} is from an "
        "earlier plan: map.svg, circuit.svg, sheet.html, bill.csv, plan.json, route.yaml\n"
    )
    code, _, err = run("plan", EXAMPLE, "--out", tmp_path / "new")
    assert (code, err) == (1, "no answer: no conductor is thick enough\n")


def test_unreadable_job_is_exit_2_with_every_fault(run, tmp_path):
    bad = tmp_path / "bad.yaml"
    text = (EXAMPLE / "job.yaml").read_text(encoding="utf-8")
    text = text.replace("9 A", "9").replace("to: refrigerator unit", "to: refrigerator unt")
    bad.write_text(text, encoding="utf-8")
    code, out, err = run("plan", bad)
    assert (code, out) == (2, "")
    assert [line.split(":")[0] for line in err.splitlines()] == [str(bad)] * 2
    assert names(tmp_path) == ["bad.yaml"]


def test_no_such_file(run, tmp_path):
    code, out, err = run("plan", tmp_path / "none.yaml")
    assert (code, out) == (2, "")
    assert err == f"{tmp_path / 'none.yaml'}:1:1: there is no such file\n"


@pytest.mark.usefixtures("quick")
def test_folder_that_cannot_be_written_is_one_line_and_exit_2(run, tmp_path):
    (tmp_path / "out").write_text("in the way")
    code, out, err = run("plan", EXAMPLE, "--out", tmp_path / "out")
    assert (code, out) == (2, "")
    assert err.startswith("underbody: cannot make the folder ")
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("error", "code", "words"),
    [
        (RuntimeError("broken\ninside"), 70, "please report it: RuntimeError: broken inside"),
        (RecursionError("deep"), 70, "RecursionError: deep"),
        (OSError(errno.ENOSPC, "No space left on device"), 2, "No space left on device"),
        (KeyboardInterrupt(), 130, "stopped"),
    ],
)
def test_whatever_happens_is_one_line(run, monkeypatch, error, code, words):
    def fail(*_args, **_options):
        raise error

    monkeypatch.setattr("router.reading.read_question", fail)
    left, out, err = run("plan", EXAMPLE)
    assert (left, out) == (code, "")
    assert words in err
    assert len(err.strip().splitlines()) == 1


def test_reader_that_leaves_early_is_no_error():
    words = f"{sys.executable} -m router practice | true"  # has left before the first line
    done = subprocess.run(
        ["bash", "-c", f"set -o pipefail; {words}"], capture_output=True, check=False, cwd=ROOT
    )
    assert (done.returncode, done.stderr) == (0, b"")


def test_narrow_code_page_is_no_error(tmp_path):
    (tmp_path / "house.yaml").write_text("practice: Łódź ü\nbased-on: default\n", encoding="utf-8")
    words = [sys.executable, "-m", "router", "practice", "--practice", tmp_path / "house.yaml"]
    env = {**os.environ, "PYTHONIOENCODING": "latin-1"}  # has no Ł and no ź
    done = subprocess.run(words, capture_output=True, check=False, cwd=ROOT, env=env)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.decode("latin-1").startswith("?ód? ü\n")


# check


def test_check_says_what_a_file_is(run):
    shipped = [*sorted((ROOT / "profiles").glob("*.yaml")), *sorted((ROOT / "examples").glob("*/"))]
    assert len(shipped) >= 6
    code, out, err = run("check", *shipped)
    assert (code, err) == (0, "")
    assert len(out.splitlines()) == len(shipped)
    assert f"{EXAMPLE}: job, no faults" in out


def test_check_goes_on_after_a_file_with_faults(run, tmp_path):
    (tmp_path / "bad.yaml").write_text("profile: x\nunit: furlong\n", encoding="utf-8")
    code, out, err = run("check", tmp_path / "bad.yaml", tmp_path / "none.yaml", EXAMPLE)
    assert code == 2
    assert out == f"{EXAMPLE}: job, no faults\n"
    assert "furlong" in err
    assert "there is no such file" in err


def test_check_as_json(run, tmp_path):
    code, out, err = run("check", tmp_path / "none.yaml", EXAMPLE, "--json")
    assert (code, err) == (2, "")
    bad, good = json.loads(out)
    assert (bad["kind"], len(bad["faults"]), good["kind"], good["faults"]) == (None, 1, "job", [])


def test_check_without_files_is_a_usage_error(run):
    assert run("check")[0] == 2


@pytest.mark.parametrize("kind", ["profile", "job", "practice"])
def test_schema_is_a_json_schema(run, kind):
    code, out, err = run("check", "--schema", kind)
    assert (code, err) == (0, "")
    schema = json.loads(out)
    jsonschema.Draft202012Validator.check_schema(schema)  # JSON Schema 2020-12, somebody else's validator
    assert kind in schema["properties"]


# show, practice, profiles


def test_show_draws_the_vehicle_here(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("show", "dunlin-lwb") == (0, "written: dunlin-lwb.svg\n", "")
    assert names(tmp_path) == ["dunlin-lwb.svg"]
    code, out, err = run("show", "dunlin-lwb", "--out", "-")
    assert (code, err) == (0, "")
    assert out.encode() == (tmp_path / "dunlin-lwb.svg").read_bytes()


@pytest.mark.usefixtures("quick")
def test_show_passes_on_where_it_is_seen_from(run):
    code, out, _ = run("show", "dunlin-lwb", "--out", "-", "--seen-from", "above", "--paper", "tabloid")
    assert code == 0
    assert "'seen_from': 'above', 'paper': 'tabloid'" in out


def test_show_unknown_vehicle_offers_the_nearest(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, out, err = run("show", "dunlin-lbw")
    assert (code, out) == (2, "")
    assert "dunlin-lwb" in err
    assert names(tmp_path) == []


def test_practice_lists_value_status_and_source(run):
    code, out, err = run("practice")
    assert (code, err) == (0, "")
    (fuel,) = [line for line in out.splitlines() if line.startswith("clearance: fuel ")]
    # FAA AC 43.13-1B par. 11-126: never less than 2 in from a fuel line
    assert "51 mm" in fuel
    assert "published" in fuel
    assert "AC 43.13-1B" in fuel


def test_practice_of_a_shop(run, tmp_path):
    house = tmp_path / "house.yaml"
    house.write_text("practice: House\nbased-on: default\nclearance: {fuel: 3 in}\n", encoding="utf-8")
    code, out, _ = run("practice", "--practice", house, "--json")
    rules = json.loads(out)
    assert (code, rules["practice"], rules["based_on"]) == (0, "House", "Default practice")
    assert rules["rules"]["clearance"]["fuel"]["value"] == pytest.approx(
        76.2
    )  # 1 in is 25.4 mm, by definition
    assert rules["rules"]["clearance"]["fuel"]["status"] == "shop rule"
    assert rules["rules"]["clearance"]["hot"]["value"] == 200


def test_profiles_lists_the_library(run):
    code, out, err = run("profiles")
    assert (code, err) == (0, "")
    keys = sorted(path.stem for path in (ROOT / "profiles").glob("*.yaml"))
    assert [line.split()[0] for line in out.splitlines()[1:]] == keys
    data = json.loads(run("profiles", "--json")[1])
    assert [vehicle["name"] for vehicle in data] == keys


# the summary


def finding(n):
    return Finding(
        "span", Severity.MUST if n < 3 else Severity.NOTE, "supply", 100.0 * n, "x" * 90, "", "", "", None
    )


@pytest.mark.parametrize("runs", [1, 2, 3, 4, 8, 17, 40])
@pytest.mark.parametrize("findings", [0, 1, 30])
def test_summary_fits_a_screen(runs, findings):
    plan = sample_plan()
    many = replace(
        plan,
        runs=tuple(replace(plan.runs[0], name=f"run {n}") for n in range(runs)),
        findings=tuple(finding(n) for n in range(findings)),
    )
    lines = summarise(many, (Path("out/map.svg"), Path("out/plan.json"))).splitlines()
    assert len(lines) <= HEIGHT == 23
    assert max(map(len, lines)) <= WIDTH == 80
    must = sum(each.severity is Severity.MUST for each in many.findings)
    broken = "1 MUST-RULE IS" if must == 1 else f"{must} MUST-RULES ARE"
    last = [f"{broken} BROKEN: put it right before anything is fitted"] if must else []
    assert lines[-1 - len(last) :] == ["written into out: map.svg, plan.json", *last]
    assert any(line.startswith("findings: " + (str(findings) if findings else "none")) for line in lines)
    if findings:
        assert any(line.startswith("  must: supply at 0.00 m:") for line in lines)
    shown = sum(line.startswith("run ") for line in lines)
    left_out = [int(line.split()[2]) for line in lines if line.startswith("... and")]
    assert shown + sum(left_out) == runs


def test_findings_that_have_no_room_are_whole_sentences_and_the_others_are_counted():
    plan = sample_plan()
    words = [
        (
            "nothing to fix to is measured here",
            ": add a support, or make a bracket; at 0.1 m" + " or 9 m" * 9,
        ),
        ("nothing brings the current of lamp no. 2; left back", ': add one that says "returns: load"' * 3),
        ("the bend is 58 mm where the wires ask for 79 mm", '. Say "bend: wide" to be asked' * 3),
    ]
    texts = [dict(zip(("fact", "more"), words[n % 3], strict=True)) for n in range(9)]
    found = tuple(replace(finding(5), station_mm=None, **text) for text in texts)
    four = replace(
        plan,
        runs=tuple(replace(plan.runs[0], name=f"run {n}") for n in range(13)),
        findings=found,
    )
    lines = summarise(four, (Path("out/map.svg"),)).splitlines()
    first = next(n for n, line in enumerate(lines) if line.startswith("findings: 9 "))
    assert lines[first + 1 : -1] == [
        "  note: supply: nothing to fix to is measured here",
        "  note: supply: nothing brings the current of lamp no. 2; left back",
        "  note: supply: the bend is 58 mm where the wires ask for 79 mm",
        "  note: supply: nothing to fix to is measured here",
        "  and 5 more: see sheet.html",
    ]
    assert not any("..." in line for line in lines[first:])


def test_summary_says_in_full_what_makes_cables_thick():
    """Such a note is far down the list of findings; cut short it would not say what to do."""
    plan = sample_plan()
    words = f"joints and vehicle body are assumed to lose 0.23 V of 0.36 V: {'measure them, ' * 8}or else"
    note = replace(
        plan.findings[0],
        kind=FindingKind.ASSUMED_RESISTANCE,
        severity=Severity.NOTE,
        fact=words,
        run="supply",
        station_mm=None,
    )
    text = summarise(replace(plan, findings=(*plan.findings, note)), (Path("out/map.svg"),))
    assert words in " ".join(text.split())
    assert text.count("assumed") == 1
    assert len(text.splitlines()) <= HEIGHT
    assert "assumed" not in summarise(plan)


def test_summary_counts_fixings_that_runs_share_once():
    """What a run adds and what earlier runs have for it is all that holds it."""
    plan = example_plan("work-lamp-rear-battery")
    told = re.findall(r"fixings +(\d+)(?:, and (\d+) shared)?;", summarise(plan))
    assert len(told) == len(plan.runs) == 2
    assert any(shared for _, shared in told)
    assert [int(own) + int(shared or 0) for own, shared in told] == [len(run.fixings) for run in plan.runs]


def test_summary_says_what_matters():
    plan = sample_plan()
    text = summarise(plan)
    first = plan.runs[0]
    for words in (
        first.name,
        first.start,
        first.end,
        first.conductors[0].size,
        "routed",
        "cut at",
        "fixings",
    ):
        assert words in text
    assert f"fuse {first.fuse.rating_a:g} A" in text
    tightest = min(first.clearances, key=lambda check: check.actual_mm - check.required_mm)
    assert f"tightest: {tightest.keep_out}" in text


def test_way_in_words_follows_the_stations():
    plan = sample_plan()
    route = plan.runs[0].route
    words = course_in_words(route)
    places = [words.index(name) for name in dict.fromkeys(p.along for p in route.points if p.along)]
    assert places == sorted(places)
    assert (
        course_in_words(replace(route, points=route.points[-2:], passages=())) == "straight through the open"
    )


@pytest.mark.parametrize(
    ("path", "words"),
    [
        (
            ROOT / "profiles" / "dunlin-lwb.yaml",
            "this is a profile; a job is wanted here; write one that begins with job: and says "
            "profile: dunlin-lwb.yaml",
        ),
        (ROOT / "examples" / "marram-bay-fleet" / "fleet.yaml", "this is a fleet; a job is wanted here"),
    ],
)
def test_a_file_of_another_kind_is_one_fault(run, path, words):
    code, out, err = run("plan", path)
    assert (code, out) == (2, "")
    assert len(err.splitlines()) == 1 and err.endswith(f":1: {words}\n")


def test_compare_takes_profiles_and_says_what_else_it_was_given(run, planned):
    plan, route = planned[0] / "plan.json", planned[0] / "route.yaml"
    job = EXAMPLE / "job.yaml"
    wanted = "a profile is wanted here, a file or a name in the library"
    code, out, err = run("compare", plan, route)
    assert (code, out) == (2, "")
    assert err == f"{plan}:2:3: this is a plan; {wanted}\n{route}:1:1: this is a route; {wanted}\n"
    code, out, err = run("compare", job, job)
    line = next(n for n, text in enumerate(job.read_text().splitlines(), start=1) if text.startswith("job:"))
    assert (code, out) == (2, "")
    assert err == f"{job}:{line}:1: this is a job; {wanted}; this job's is dunlin-lwb\n"


def test_an_unknown_practice_lists_those_that_come_along(run):
    code, out, err = run("practice", "--practice", "fooey")
    assert (code, out) == (2, "")
    assert err == (
        "fooey:1:1: there is no such file; "
        "write the path of a practice file, or one of default, law, voluntary\n"
    )


def test_check_looks_up_the_names_of_a_route_in_the_job_named_with_it(run, tmp_path):
    way = "[{space: underflor, points: [[0, 0], [1, 1]]}]"
    text = f"route: drawn\nformat: route/1\nruns: [{{run: suply, way: {way}}}]\n"
    route = tmp_path / "drawn.yaml"
    route.write_text(text, encoding="utf-8")
    code, out, err = run("check", route)
    assert (code, err) == (0, "")
    assert out == f"{route}: route, no faults; for its names too: underbody check JOB {route}\n"
    code, out, err = run("check", route, EXAMPLE)
    assert code == 2 and out == f"{EXAMPLE}: job, no faults\n"
    assert err.splitlines() == [
        f'{route}:3:14: run "suply": unknown run "suply"; did you mean "supply"?',
        f'{route}:3:35: run "suply", stretch 1: unknown space "underflor"; did you mean "underfloor"?',
    ]


def test_a_plan_that_breaks_a_must_rule_is_exit_1_and_is_written(tmp_path, monkeypatch, capsys):
    broken = replace(sample_plan(), findings=(finding(0),))
    for name, made, code in (("sound", sample_plan(), 0), ("broken", broken, 1)):
        monkeypatch.setattr("router.planning.make_plan", lambda *_, made=made: made)
        with pytest.raises(SystemExit) as left:
            main(["plan", str(ROOT / "examples" / "fridge-supply"), "--out", str(tmp_path / name)])
        assert left.value.code == code, capsys.readouterr().err
    assert sorted(path.name for path in (tmp_path / "broken").iterdir()) == [
        "bill.csv", "circuit.svg", "map.svg", "plan.json", "route.yaml", "sheet.html",
    ]  # fmt: skip


def test_what_is_no_fault_and_still_to_look_at_is_counted(tmp_path, capsys):
    shipped = (ROOT / "profiles" / "dunlin-lwb.yaml").read_text(encoding="utf-8")
    bare = tmp_path / "bare.yaml"
    bare.write_text(shipped.replace("kind: engine bay, ", "", 1).replace("    kind: engine bay\n", "", 1))
    with pytest.raises(SystemExit) as left:
        main(["check", str(bare)])
    lines = capsys.readouterr().out.splitlines()
    assert left.value.code == 0
    assert len(lines) == 2 and "has no kind" in lines[0]
    assert lines[1] == f"{bare}: profile, no faults; 1 above to look at"


@pytest.mark.parametrize("gap", ["-1 %", "0 %", "200 %", "5", "nan %", "little"])
def test_a_gap_that_no_proof_is_about_is_refused_with_its_range(gap, capsys):
    with pytest.raises(SystemExit) as left:
        main(["plan", str(EXAMPLE), "--gap", gap])
    assert left.value.code == 2
    assert f'"{gap}" is no share from 0.01 % to 100 %; write e.g. "0.5 %"' in capsys.readouterr().err
