"""README.md and DEVELOPERS.md: the commands run, and every file and command they name is there."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from router.cli import COMMANDS, main
from router.reading.job.job_file import ConductorFile, JobFile, LimitsFile, RunFile, SourceFile

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def blocks(text, language="sh"):
    return re.findall(rf"^```{language}\n(.*?)^```$", text, flags=re.MULTILINE | re.DOTALL)


def steps(block):
    return [step.strip() for step in block.strip().split("&&")]


def underbody_steps():
    return [step for block in blocks(README) for step in steps(block) if "/underbody " in step]


def test_first_two_blocks_are_one_line_each_and_make_everything_they_need():
    first, second, *_ = blocks(README)
    for block in (first, second):
        assert block.count("\n") == 1
        assert steps(block)[0] == "python3 -m venv .venv"
        assert steps(block)[1].startswith(".venv/bin/pip install --quiet ")
    assert steps(first)[2].startswith(".venv/bin/underbody plan ")
    assert "'.[test]'" in second
    assert steps(second)[2] == ".venv/bin/pytest"


def test_readme_opens_with_one_paragraph_after_its_title():
    title, paragraph, *_ = README.split("\n\n")
    assert title == "# underbody-router"
    assert paragraph.startswith("Plans how an accessory cable runs")


def test_readme_plans_the_example(tmp_path, monkeypatch, capsys):
    (step,) = underbody_steps()
    words = shlex.split(step)[1:]
    words[words.index("--out") + 1] = str(tmp_path / "out")
    monkeypatch.chdir(ROOT)
    with pytest.raises(SystemExit) as left:
        main(words)
    assert left.value.code == 0, capsys.readouterr().err
    written = sorted(path.name for path in (tmp_path / "out").iterdir())
    assert written == ["bill.csv", "map.svg", "plan.json", "route.yaml", "sheet.html"]


def test_readme_house_rules_can_be_read(tmp_path):
    from router.reading import read_practice

    block, *_ = blocks(README, "yaml")
    (tmp_path / "house.yaml").write_text(block, encoding="utf-8")
    practice = read_practice(tmp_path / "house.yaml")
    assert practice.value("clearance", "hot") == practice.value("spacing", "underfloor") == 250.0


def test_readme_fleet_can_be_read(tmp_path):
    from router.reading import check_file

    _, block, _ = blocks(README, "yaml")
    (tmp_path / "fleet.yaml").write_text(block.replace("../", f"{ROOT}/examples/"), encoding="utf-8")
    assert check_file(tmp_path) == "fleet"


def test_readme_route_has_no_fault_and_stands(tmp_path):
    from router.judging import judge_route
    from router.reading import check_file, read_question, read_route

    *_, block = blocks(README, "yaml")
    (tmp_path / "route.yaml").write_text(block, encoding="utf-8")
    job = ROOT / "examples" / "fridge-supply"
    assert check_file(tmp_path / "route.yaml", job) == "route"
    asked = read_question(job)
    drawn = read_route(tmp_path / "route.yaml", asked.job, asked.profile)
    judged = judge_route(asked.job, asked.profile, asked.practice, drawn)
    assert judged.stands and judged.mark == 100


def test_readme_lists_every_command():
    listed = set(re.findall(r"^\| `underbody (\w+)", README, flags=re.MULTILINE))
    assert listed == set(COMMANDS)


def test_what_a_job_may_say_is_listed_whole_and_nothing_else():
    """Keys of the file's own models against the words between backticks."""
    listed = README.split("What a job may say, in short")[1].split("Measure and write a profile")[0]
    told = set(re.findall(r"`([a-z-]+)[`:]", listed)) - {"underbody"}
    models = (JobFile, SourceFile, RunFile, ConductorFile, LimitsFile)
    keys = {name.rstrip("_").replace("_", "-") for model in models for name in model.model_fields}
    assert told <= keys
    assert keys - told <= {"job", "source", "runs"} - told


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README.md", "DEVELOPERS.md"])
def test_every_path_named_is_there(text):
    named = set(re.findall(r"`((?:[\w.-]+/)+[\w.-]*|[\w-]+\.(?:toml|md))`", text))
    named |= set(re.findall(r"\]\(([^)#:]+)\)", text))
    assert len(named) > 2
    paths = [name for name in sorted(named) if "." in name or name.endswith("/")]  # plan/1 is a format
    missing = [name for name in paths if not name.startswith(".venv/") and not (ROOT / name).exists()]
    assert missing == []


def test_developers_names_every_module_of_the_package_or_its_folder():
    parts = [path for path in (ROOT / "router").iterdir() if path.name not in ("__init__.py", "__main__.py")]
    names = [path.stem for path in parts if path.suffix == ".py" or (path / "__init__.py").exists()]
    assert len(names) > 10
    assert [name for name in names if not re.search(rf"\b{name}\b", DEVELOPERS)] == []


def test_gates_are_one_command():
    gate = ROOT / ".ci" / "run"
    assert gate.stat().st_mode & 0o111
    text = gate.read_text(encoding="utf-8")
    assert "set -euo pipefail" in text
    for tool in ("ruff", "mypy", "lint-imports", "readme_command", "wheel"):
        assert tool in text
