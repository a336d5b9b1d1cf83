"""The door for programs: what it offers, what it reads in, what it takes, and what it refuses."""

from __future__ import annotations

import inspect
import subprocess
import sys
from dataclasses import FrozenInstanceError
from datetime import date
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner
from example_plans import EXAMPLES, example_plan, share_plans
from hostile import HOSTILE

import router
from router.cli.plan_command import plan as plan_command

ROOT = Path(__file__).parents[2]
LAMP = EXAMPLES / "work-lamp-rear-battery"
SIGNATURES = {
    "plan": "(job: 'Given', *, profile: 'Given | None' = None, practice: 'Given | None' = None, "
    "variant: 'str | None' = None, gap: 'float' = 0.01, trusts_paths: 'bool' = False) -> 'Plan'",
    "review": "(job: 'Given', route: 'Given', *, profile: 'Given | None' = None, "
    "practice: 'Given | None' = None, variant: 'str | None' = None, trusts_paths: 'bool' = False) "
    "-> 'Review'",
    "load_plan": "(path: 'str | Path') -> 'Plan'",
    "check": "(path: 'str | Path', *, trusts_paths: 'bool' = False) -> 'tuple[str, ...]'",
    "profiles": "() -> 'tuple[str, ...]'",
}
MEMBERS = {
    "Plan": "bill circuit_svg findings gap is_proven job looms map_svg record runs save sheet_html vehicle",
    "Planner": "answer asked move plan set stop",
    "PlannedRun": "allowances clearances conductors cut_mm effort_mm end fixings fuse gap name other_ends "
    "passages points record routed_mm start stations uncertainty_mm",
    "Review": "findings mark record stands",
}
RECORDS = (
    "Allowance BillLine ClearanceCheck ConductorChoice Fault Finding Fixing FuseChoice Loom NoAnswerError "
    "NoConductorError NoRouteError Passage Pinch PlanStoppedError Relaxation RoutePoint Rule Severity "
    "Station UnreadableError"
)


@pytest.fixture(autouse=True)
def _shared(monkeypatch):
    share_plans(monkeypatch)  # a question that is asked here over and over is planned once


@pytest.fixture(scope="module")
def lamp():
    return router.Plan(example_plan(LAMP.name))


def job_mapping():
    """Return the example's job as any program would read it; its quantities are the same strings."""
    return yaml.safe_load((LAMP / "job.yaml").read_text(encoding="utf-8"))


def profile_mapping(name):
    return yaml.safe_load((ROOT / "profiles" / f"{name}.yaml").read_text(encoding="utf-8"))


def refused(*args, **options):
    with pytest.raises(router.UnreadableError) as caught:
        router.plan(*args, **options)
    return str(caught.value).splitlines()


# what is offered: changed only on purpose


def test_the_public_face():
    assert set(router.__all__) == {*SIGNATURES, *MEMBERS, *RECORDS.split(), "__version__"}
    assert dir(router) == sorted(router.__all__)


@pytest.mark.parametrize("name", SIGNATURES)
def test_signatures(name):
    assert str(inspect.signature(getattr(router, name))) == SIGNATURES[name]


@pytest.mark.parametrize("name", MEMBERS)
def test_members(name):
    public = {each for each in dir(getattr(router, name)) if not each.startswith("_")}
    assert public == set(MEMBERS[name].split())


@pytest.mark.parametrize("name", sorted({*router.__all__} - {"__version__"}))
def test_everything_public_is_there_and_documented(name):
    assert inspect.getdoc(getattr(router, name))


@pytest.mark.parametrize("name", SIGNATURES)
def test_functions_have_the_sections_of_their_kind(name):
    words = inspect.getdoc(getattr(router, name))
    assert "Returns\n-------" in words
    assert ("Parameters\n----------" in words) is bool(inspect.signature(getattr(router, name)).parameters)


def test_a_misspelt_name_is_none():
    with pytest.raises(AttributeError, match="'router' has no attribute 'plann'"):
        _ = router.plann


def test_no_package_takes_the_place_of_a_public_name():
    """An imported subpackage becomes an attribute of its parent, whatever was there before."""
    inside = {path.stem for path in Path(router.__file__).parent.iterdir()}
    assert inside & set(router.__all__) == set()
    assert len(inside) > 20


def test_the_gap_is_that_of_the_command():
    from inspect import signature

    from router.planning import make_plan

    (option,) = (each for each in plan_command.params if each.name == "gap")
    asked = signature(router.plan).parameters["gap"].default
    assert signature(make_plan).parameters["gap"].default == asked == 0.01
    assert option.default == f"{100 * asked:g} %" == "1 %"


def test_import_reads_in_nothing_else():
    """Of what is installed, only the interpreter's own library and the door itself."""
    code = "import sys, router; print(*{name.partition('.')[0] for name in sys.modules})"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    plain = subprocess.run(
        [sys.executable, "-c", code.replace(", router", "")], capture_output=True, text=True, check=True
    )
    others = set(told.stdout.split()) - set(plain.stdout.split()) - set(sys.stdlib_module_names)
    assert others == {"router"}


CONSUMER = """
from pathlib import Path
import router

plan: router.Plan = router.plan({"job": "x"}, profile=Path("van.yaml"), gap=0.02)
length_mm: float = plan.runs["supply"].cut_mm
worst: list[str] = [each.what for each in plan.findings if each.severity is router.Severity.MUST]
files: tuple[Path, ...] = plan.save("out", seen_from="above")
mark: int = router.review("job.yaml", "route.yaml").mark
try:
    router.plan(Path("job.yaml"))
except router.NoRouteError as error:
    print(error.pinch.between if error.pinch else error.why)
except router.UnreadableError as error:
    print([fault.key_path for fault in error.faults])
"""
MISTAKES = {
    'router.plann("x")': 'Module has no attribute "plann"',
    'plan.runs["supply"].cut_m': 'has no attribute "cut_m"',
    'router.plan("x", gap="1 %")': 'Argument "gap" to "plan" has incompatible type "str"',
    'plan.map_svg(paper="a5")': 'Argument "paper" to "map_svg" of "Plan" has incompatible type',
}


def test_a_program_that_uses_it_is_typed_strictly(tmp_path, monkeypatch):
    from mypy import api

    assert (Path(router.__file__).parent / "py.typed").is_file()  # PEP 561: an installed copy is typed too
    monkeypatch.chdir(tmp_path)  # away from this project's own settings
    monkeypatch.setenv("MYPYPATH", str(ROOT))
    (tmp_path / "consumer.py").write_text(CONSUMER + "\n".join(MISTAKES) + "\n", encoding="utf-8")
    told, err, code = api.run(["--strict", "--follow-imports", "silent", "consumer.py"])
    lines = told.splitlines()
    assert code == 1, err
    assert lines[-1] == "Found 4 errors in 1 file (checked 1 source file)", told
    first = CONSUMER.count("\n") + 1
    for number, (line, words) in enumerate(zip(lines, MISTAKES.values(), strict=False), start=first):
        assert line.startswith(f"consumer.py:{number}: error: ") and words in line


# what comes back


def test_runs_by_name_with_units_in_names(lamp):
    record = example_plan(LAMP.name)
    assert list(lamp.runs) == [run.name for run in record.runs]
    supply = lamp.runs["supply"]
    assert supply.cut_mm == record.runs[0].length.cut_mm
    assert supply.points[-1].station_mm == supply.routed_mm <= supply.cut_mm
    assert (lamp.findings, lamp.bill, lamp.looms) == (record.findings, record.bill, record.looms)
    with pytest.raises(KeyError):
        lamp.runs["no such run"]


def test_frozen_and_equal_by_value(lamp):
    with pytest.raises(FrozenInstanceError):
        lamp.record = None
    with pytest.raises(TypeError):
        lamp.runs["supply"] = lamp.runs["earth"]
    assert router.plan(LAMP) == lamp
    assert router.plan({**job_mapping(), "job": "Another"}) != lamp


def test_reprs_are_one_short_line(lamp):
    for shown in (lamp, *lamp.runs.values()):
        assert "\n" not in repr(shown)
        assert len(repr(shown)) < 160
    assert repr(lamp).startswith('<Plan "Rear work lamp, battery at the back" on Sanderling estate, ')


def test_saved_files_are_those_of_the_command(lamp, tmp_path):
    done = CliRunner().invoke(plan_command, [str(LAMP), "--out", str(tmp_path / "command")])
    assert done.exit_code == 0, done.output
    saved = lamp.save(tmp_path / "saved")
    assert [path.name for path in saved] == [
        "map.svg", "circuit.svg", "sheet.html", "bill.csv", "plan.json", "route.yaml",
    ]  # fmt: skip
    for path in saved:
        assert path.read_bytes() == (tmp_path / "command" / path.name).read_bytes(), path.name
    assert lamp.map_svg() == (tmp_path / "command" / "map.svg").read_text(encoding="utf-8")
    assert lamp.sheet_html() == (tmp_path / "command" / "sheet.html").read_text(encoding="utf-8")


def test_a_notebook_shows_the_map_and_no_name_is_markup(lamp):
    page = lamp._repr_html_()
    assert page.startswith('<img src="data:image/svg+xml;base64,')
    assert "supply: battery positive to work lamp" in page
    from dataclasses import replace

    record = lamp.record
    hostile = router.Plan(replace(record, job=replace(record.job, name=HOSTILE)))
    page = hostile._repr_html_()
    assert "<script" not in page.lower()
    assert 'onload="x"' not in page


# questions built in memory


def test_a_mapping_gives_the_plan_of_its_file(lamp):
    """`on:` is true, and dates are dates, to YAML's own reader: both are taken."""
    vehicle = profile_mapping("sanderling-estate")
    assert isinstance(vehicle["measured"][True], date)
    planned = router.plan(job_mapping(), profile=vehicle, variant="battery at the back")
    assert planned.runs == lamp.runs
    assert (planned.bill, planned.findings) == (lamp.bill, lamp.findings)
    assert planned.vehicle == lamp.vehicle


def test_rules_built_in_memory(lamp):
    house = {"practice": "House rules", "based-on": "default", "clearance": {"hot": "250 mm"}}
    practice = router.plan(LAMP, practice=house).record.practice
    assert (practice.name, practice.value("clearance", "hot")) == ("House rules", 250.0)
    assert practice.rule("clearance", "fuel") == lamp.record.practice.rule("clearance", "fuel")


def test_every_fault_at_once_by_its_keys():
    job = job_mapping()
    job["runs"][0]["conductors"][0] |= {"load": 9, "colour": None, "lenght": "4 m"}
    job["runs"][1]["to"] = "no such stud"
    job["source"]["nominal"] = float("nan")
    lines = refused(job)
    assert [line.partition(": ")[0] for line in lines] == [
        "source.nominal",
        "runs[0].conductors[0].colour",
        "runs[0].conductors[0].load",
        "runs[0].conductors[0].lenght",
        "runs[1].to",
    ]
    assert lines[0] == "source.nominal: source: nominal is nan; write a number"
    assert lines[1].endswith("colour has nothing in it; write a value, or take it out")


def test_faults_of_profile_and_practice_say_whose_they_are():
    vehicle = profile_mapping("sanderling-estate")
    vehicle["keep-outs"][0]["width"] = 40
    vehicle["keep-outs"][1]["name"] = vehicle["keep-outs"][0]["name"]
    lines = refused(job_mapping(), profile=vehicle, practice={"practice": "House", "based-on": "nothing"})
    paths = [line.partition(": ")[0] for line in lines]
    assert "profile.keep-outs[0].width" in paths
    assert "practice.based-on" in paths
    (twice,) = (line for line in lines if line.startswith("profile.keep-outs[1].name: "))
    assert "is used already at profile.keep-outs[0].name; " in twice


def test_paths_lead_only_near_a_job_unless_they_are_trusted(tmp_path):
    away = tmp_path / "away.yaml"
    away.write_bytes((ROOT / "profiles" / "sanderling-estate.yaml").read_bytes())
    folder = tmp_path / "a" / "b" / "c" / "d"
    folder.mkdir(parents=True)
    (folder / "job.yaml").write_text(
        yaml.safe_dump({**job_mapping(), "profile": str(away)}), encoding="utf-8"
    )
    assert "leads out of" in refused(folder)[0]
    assert "leads out of" in router.check(folder)[0]
    assert router.check(folder, trusts_paths=True) == ()


def test_an_empty_job_lacks_every_key_that_a_job_needs():
    assert [line.partition(": ")[0] for line in refused({})] == ["job", "profile", "runs", "source"]


def test_what_is_no_data_is_refused_without_a_traceback():
    class Strange:
        pass

    job = job_mapping()
    job["limits"] = {"drop": Strange(), 3: "x"}
    assert [line for line in refused(job) if line.startswith("limits")] == [
        "limits: has the key 3, which is no text; write key: value",
        "limits.drop: limits: drop is of type Strange; write text, a number, a list or keys and values",
    ]
    job["limits"] = {"drop": 10**400}  # no float is so large
    assert [line for line in refused(job) if line.startswith("limits")] == [
        "limits.drop: limits: drop is a number beyond all sizes; write a smaller one"
    ]
    assert refused({**job_mapping(), "od\nd": 1}) == ["job: has a key with the character U+000A; take it out"]
    endless: list[object] = []
    endless.append(endless)
    (line,) = refused({**job_mapping(), "runs": endless})
    assert line.endswith("is nested deeper than 20 levels; flatten it")


def test_a_vehicle_and_a_variant_in_place_of_the_job_s():
    assert refused(LAMP, variant="no such variant")[0].endswith("known: battery at the back")
    assert refused(LAMP, profile="no-such-vehicle")[0].startswith("no-such-vehicle:1:1: unknown profile")
    job = job_mapping()
    del job["profile"], job["variant"]
    planned = router.plan(job, profile="sanderling-estate", variant="battery at the back")
    assert (planned.record.job.profile, planned.record.job.variant) == (
        "sanderling-estate",
        "battery at the back",
    )


@pytest.mark.parametrize("gap", [0.0, -1.0, 1.5, float("nan")])
def test_a_gap_that_no_proof_could_be_about(gap):
    with pytest.raises(ValueError, match=r"write a ratio from 0\.0001 to 1"):
        router.plan(LAMP, gap=gap)


def test_no_way_is_an_error_with_its_evidence():
    with pytest.raises(router.NoRouteError) as caught:
        router.plan(EXAMPLES / "no-way")
    assert isinstance(caught.value, router.NoAnswerError)
    assert caught.value.pinch.run


# reviews, checks, the library


def test_the_planned_route_stands(tmp_path):
    job = EXAMPLES / "work-lamp"
    *_, route = router.plan(job).save(tmp_path)
    judged = router.review(job, route)
    assert (judged.stands, judged.mark, judged.findings) == (True, 100, ())
    assert repr(judged).endswith("stands, 100 of 100, 0 findings>")
    built = yaml.safe_load(route.read_text(encoding="utf-8"))
    assert router.review(job, built) == judged
    del built["runs"][0]["fixings"]
    assert not router.review(job, built).stands
    built["runs"][0]["way"][0]["space"] = "attic"
    with pytest.raises(router.UnreadableError, match=r'^route\.runs\[0\]\.way\[0\]\.space: .*"attic"'):
        router.review(job, built)


def test_check_lists_faults_and_profiles_the_library():
    assert router.check(LAMP) == ()
    assert router.check(LAMP / "no-such-file.yaml")[0].startswith(f"{LAMP}/no-such-file.yaml:1:1: ")
    assert set(router.profiles()) == {path.stem for path in (ROOT / "profiles").glob("*.yaml")}
