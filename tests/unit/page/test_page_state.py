"""What the page is told of a folder's two files: numbers by hand, faults as the command says them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import yaml

from router.__main__ import main
from router.memory import Memory
from router.page import page_state
from router.page.page_state import state_of

SHIPPED = sorted((Path(__file__).parents[3] / "profiles").glob("*.yaml"))
EXAMPLES = Path(__file__).parents[3] / "examples"
INCHES = """\
profile: Test van
revision: 1
measured: {on: 2026-03-14, tolerance: 10 mm}
unit: in
datum: front axle, centre line, workshop floor
spaces:
  underfloor:
    kind: underfloor
    height: 16 in
    outline: [[0, -30], [100, -30], [100, 30], [0, 30]]
    steps: [{height: 450 mm, area: [[40, -30], [60, -30], [60, 30], [40, 30]]}]
panels:
  - {name: floor, between: [underfloor, cabin], height: 18 in}
keep-outs:
  - {name: exhaust, space: underfloor, hazard: hot, along: [[10, 10], [90, 10]], width: 2 in}
  - {name: tank, hazard: fuel, heights: [10 in, 400 mm], disc: {centre: [70, -10], radius: 1 ft}}
members:
  - name: crossmember
    space: underfloor
    along: [[50, -30], [50, 30]]
    width: 40 mm
    passes:
      - {over: [[50, -20], [50, -10]], rise: 2 in}
      - {through: [50, 20], bore: 30 mm, edge: bare}
supports:
  - {name: rail, space: underfloor, kind: rail, along: [[0, -25], [100, -25]], fix: tie}
  - {name: sill, space: underfloor, kind: flange, along: [[0, 28], [100, 28]], heights: [16 in, 17 in],
     fix: clip}
terminals:
  - {name: post, space: underfloor, kind: stud, pole: plus, at: [5, 0], height: 1 ft 4 in, stud: M6}
"""


@pytest.fixture
def parts():
    return {(shape["part"], shape["name"]): shape for shape in state_of(INCHES, None, "nowhere")["shapes"]}


def test_points_are_in_the_unit_of_the_file_and_come_out_in_mm(parts):
    assert parts["keep-out", "exhaust"]["points"] == [[254.0, 254.0], [2286.0, 254.0]]
    assert parts["space", "underfloor"]["points"][2] == [2540.0, 762.0]
    assert parts["member", "crossmember"]["width_mm"] == 40.0  # a quantity has its own unit


def test_each_part_has_its_form(parts):
    assert {key: shape["form"] for key, shape in parts.items()} == {
        ("space", "underfloor"): "area",
        ("step", "underfloor"): "area",
        ("panel", "floor"): None,  # wherever its two spaces are
        ("keep-out", "exhaust"): "along",
        ("keep-out", "tank"): "disc",
        ("member", "crossmember"): "along",
        ("pass", "crossmember"): "at",
        ("support", "rail"): "along",
        ("support", "sill"): "along",
        ("terminal", "post"): "at",
    }


def test_heights_come_out_as_they_were_written(parts):
    assert parts["keep-out", "exhaust"]["heights_mm"] is None
    assert parts["keep-out", "tank"]["heights_mm"] == [254.0, 400.0]
    assert parts["keep-out", "tank"]["radius_mm"] == 304.8
    assert parts["support", "sill"]["heights_mm"] == [406.4, 431.8]
    assert parts["terminal", "post"]["height_mm"] == 406.4
    assert parts["panel", "floor"]["spaces"] == ["underfloor", "cabin"]


def test_paths_lead_to_the_part_in_the_file():
    state = state_of(INCHES, None, "nowhere")
    by_path = {tuple(shape["path"]): shape["part"] for shape in state["shapes"]}
    assert by_path["members", 0, "passes", 1] == "pass"
    assert by_path["spaces", "underfloor", "steps", 0] == "step"
    for path in by_path:
        held = state["data"]["profile"]
        for step in path:
            held = held[step]
        assert isinstance(held, dict), path


def test_a_keep_out_without_heights_is_a_task_and_what_stands_until_then_is_said():
    tasks = state_of(INCHES, None, "nowhere")["tasks"]
    assert [(task["path"], task["what"]) for task in tasks] == [
        (["keep-outs", 0, "heights"], 'keep-out "exhaust" has no heights'),
        (["supports", 0, "height"], 'support "rail" has no height'),
    ]
    assert tasks[0]["why"].startswith('it takes the whole height of "underfloor" until then')
    assert [task["near_mm"] for task in tasks] == [None, None]


def test_what_lies_nearest_to_the_route_is_measured_first():
    way = [
        [0.0, -600.0, 400.0],
        [2540.0, -600.0, 400.0],
    ]  # 35 mm from the rail, 854 mm from the exhaust's middle
    tasks = state_of(INCHES, None, "nowhere", [way])["tasks"]
    assert [(task["path"][0], task["near_mm"]) for task in tasks] == [
        ("supports", 35.0),
        ("keep-outs", 828.6),
    ]


def test_a_needed_length_comes_before_all_other_measuring():
    way = [[0.0, -600.0, 400.0], [2540.0, -600.0, 400.0]]
    state = state_of(f"{INCHES}needed: [wheelbase]\n", None, "nowhere", [way])
    assert [each["path"][0] for each in state["tasks"]] == ["needed", "supports", "keep-outs"]
    assert state["tasks"][0]["what"] == 'length "wheelbase" is needed, and nobody measured it'
    assert not any(each["path"][:1] == ["needed"] for each in state["faults"])


@pytest.mark.parametrize("written", ["wheelbase", "{wheelbase: 1}", "[[wheelbase], 3]", "null"])
def test_what_is_no_list_of_needed_lengths_is_no_task(written):
    state = state_of(f"{INCHES}needed: {written}\n", None, "nowhere")
    assert [each["path"][0] for each in state["tasks"]] == ["keep-outs", "supports"]


def test_an_assumed_value_is_a_task():
    text = INCHES.replace("heights: [10 in, 400 mm]", "heights: [10 in, 400 mm], assumed: 60 mm")
    state = state_of(text, None, "nowhere")
    assert ["keep-outs", 1, "assumed"] in [task["path"] for task in state["tasks"]]
    assert [shape["assumed_mm"] for shape in state["shapes"] if shape["name"] == "tank"] == [60.0]


def test_a_fault_stands_at_the_thing_itself_with_what_and_cure_apart():
    text = INCHES.replace("width: 2 in", 'width: "2"')
    fault = next(each for each in state_of(text, None, "nowhere")["faults"] if each["path"][0] == "keep-outs")
    line = text[: text.index('width: "2"')].count("\n") + 1
    assert fault == {
        "file": "profile",
        "path": ["keep-outs", 0, "width"],
        "line": line,
        "column": text.splitlines()[line - 1].index('"2"') + 1,
        "where": 'keep-out "exhaust"',
        "what": 'width "2" has no unit',
        "cure": 'write e.g. "2 mm"',
        "severity": "fault",
    }


def test_a_fault_in_one_part_hides_no_other_part():
    text = INCHES.replace("along: [[10, 10], [90, 10]]", "along: [[10, 10], here]")
    state = state_of(text, None, "nowhere")
    whole = {shape["name"]: shape for shape in state["shapes"]}
    assert whole["exhaust"]["points"] == [[254.0, 254.0]]
    assert [name for name, shape in whole.items() if shape["partly"]] == ["exhaust"]
    assert {"tank", "crossmember", "rail", "post"} <= set(whole)


def test_what_is_no_yaml_is_a_fault_and_the_rest_is_shown_still():
    text = INCHES.replace("radius: 1 ft}}", "radius: 1 ft}")  # a bracket that is not closed
    state = state_of(text, None, "nowhere")
    assert state["data"]["profile"] is None
    assert [fault["severity"] for fault in state["faults"]] == ["fault"]
    names = {shape["name"] for shape in state["shapes"]}
    assert "tank" not in names
    assert {"exhaust", "crossmember", "rail", "sill", "post"} <= names


def test_a_name_is_data():
    hostile = '<img src=x onerror=alert(1)>"&amp;'
    text = INCHES.replace("name: exhaust", f"name: '{hostile}'")
    assert hostile in {shape["name"] for shape in state_of(text, None, "nowhere")["shapes"]}


def test_without_files_there_is_nothing_and_nothing_is_wrong():
    assert state_of(None, None, "nowhere") == {
        "data": {"profile": None, "job": None},
        "shapes": [],
        "faults": [],
        "tasks": [],
    }


def test_a_job_sees_the_profile_as_it_is_open_not_as_it_is_saved(tmp_path):
    profile = SHIPPED[0].read_text(encoding="utf-8")
    (tmp_path / "profile.yaml").write_text("profile: something else\n", encoding="utf-8")
    job = (EXAMPLES / "fridge-supply/job.yaml").read_text(encoding="utf-8")
    job = job.replace("profile: dunlin-lwb", "profile: profile.yaml")
    assert state_of(profile, job, tmp_path)["faults"] == []
    assert state_of(None, job, tmp_path)["faults"] != []


def test_the_places_of_a_job_are_shapes_in_the_unit_of_the_profile():
    job = "job: J\nplaces:\n  - {name: spot, space: underfloor, at: [10, 2], height: 1 in}\n"
    place = next(each for each in state_of(INCHES, job, "nowhere")["shapes"] if each["part"] == "place")
    assert (place["file"], place["path"], place["points"]) == ("job", ["places", 0], [[254.0, 50.8]])


def test_a_variant_that_the_job_names_is_what_is_drawn():
    text = INCHES + "variants:\n  long: {remove: [tank], add: {covers: [{name: tray, space: underfloor}]}}\n"
    state = state_of(text, "job: J\nprofile: profile.yaml\nvariant: long\n", "nowhere")
    paths = {shape["name"]: shape["path"] for shape in state["shapes"]}
    assert "tank" not in paths
    assert paths["tray"] == ["variants", "long", "add", "covers", 0]


BROKEN = (
    ("keep-outs", "keep-out"),
    ("hazard: hot", "hazard: warm"),
    ("unit: mm", "unit: furlong"),
    ("at: [", "at: [9"),
    ("fix: tie", "fix: rope"),
    ("height: ", "height: -"),
    ("name: ", "nome: "),
    ("]}", "]"),
)


@pytest.mark.parametrize(("old", "new"), BROKEN)
@pytest.mark.parametrize("shipped", SHIPPED, ids=lambda path: path.stem)
def test_the_faults_are_those_of_the_command(shipped, old, new, tmp_path, capfd, monkeypatch):
    text = shipped.read_text(encoding="utf-8").replace(old, new, 3)
    job = "job: J\nprofile: profile.yaml\nsource: {nominal: 12 V, at: nowhere}\nruns: []\n"
    (tmp_path / "profile.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "job.yaml").write_text(job, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit, match="2"):
        main(["check", "--json", "profile.yaml", "job.yaml"])
    told = json.loads(capfd.readouterr().out)
    wanted = {line for each in told for line in (*each["faults"], *each["advice"])}
    found = state_of(text, job, ".")["faults"]
    assert {as_line(fault) for fault in found} == wanted
    assert len(found) == len(wanted)


def as_line(fault):
    what = "; ".join(part for part in (fault["what"], fault["cure"]) if part)
    place = f"{fault['file']}.yaml:{fault['line']}:{fault['column']}"
    return ": ".join(part for part in (place, fault["where"], what) if part)


@pytest.mark.parametrize("shipped", SHIPPED, ids=lambda path: path.stem)
def test_everything_of_a_shipped_vehicle_is_drawn(shipped):
    text = shipped.read_text(encoding="utf-8")
    shapes = state_of(text, None, "nowhere")["shapes"]
    named = [shape["name"] for shape in shapes if shape["part"] not in ("space", "step", "pass")]
    held = yaml.safe_load(text)
    keys = [key for key in held if key not in ("profile", "measured", "spaces", "variants")]
    lists = [held[key] for key in keys if isinstance(held[key], list)]
    assert sorted(named) == sorted(each["name"] for items in lists for each in items)
    assert len(named) > 50
    assert [shape for shape in shapes if shape["partly"]] == []


def test_a_profile_is_looked_through_once_while_the_job_changes(tmp_path, monkeypatch):
    """What is said stays the same as where nothing is remembered."""
    looked, look = [], page_state.faults_and_advice
    monkeypatch.setattr(page_state, "faults_and_advice", lambda path: looked.append(path.name) or look(path))
    jobs = ["job: Lamp\n", "job: Horn\n"]
    alone = [state_of(INCHES, job, tmp_path) for job in jobs]
    looked.clear()
    with Memory().in_use():
        assert [state_of(INCHES, job, tmp_path) for job in jobs] == alone
    assert looked == ["profile.yaml", "job.yaml", "job.yaml"]


def test_what_stands_in_place_of_a_profile_is_looked_through_again(tmp_path):
    """It names another file, which is mended meanwhile."""
    other = tmp_path / "van.yaml"
    job = "job: Lamp\nprofile: van.yaml\n"
    with Memory().in_use():
        before = state_of(job, None, tmp_path)["faults"]
        other.write_text(INCHES, encoding="utf-8")
        after = state_of(job, None, tmp_path)["faults"]
    assert before != after
