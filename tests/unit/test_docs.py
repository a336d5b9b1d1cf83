"""What a newcomer reads: commands run, files read, and all that is named is there."""

from __future__ import annotations

import re
import shlex
from functools import cache

import click
import pytest
import yaml
from example_plans import share_plans
from following import LANGUAGES, PROJECT, ROOT, blocks_of, follow, steps_of

from router.cli.entry import COMMANDS, commands
from router.model.practice import Status
from router.model.vehicle import Hazard
from router.reading import check_file, json_schema
from router.reading.practice.practice_file import SHIPPED, default_groups
from router.tables import load_table

DOCUMENTS = (
    "README.md",
    "DEVELOPERS.md",
    "profiles/README.md",
    "examples/README.md",
    "router/tables/README.md",
)
NAMED_ENDS = (".md", ".yaml", ".svg", ".html", ".csv", ".json", ".toml", ".py", ".sqlite", ".png")


@cache
def text_of(document):
    return (ROOT / document).read_text(encoding="utf-8")


def in_backticks(document):
    """What stands between backticks outside the blocks."""
    words = re.sub(r"^```.*?^```$", "", text_of(document), flags=re.MULTILINE | re.DOTALL)
    return re.findall(r"`([^`]+)`", words)


@pytest.fixture(scope="module", params=DOCUMENTS)
def document(request):
    return request.param


@pytest.fixture(scope="module")
def followed(document, tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        share_plans(patch)  # that commands work is looked at here, not the same few plans again
        return follow(text_of(document), tmp_path_factory.mktemp("reader"))


# every document


def test_every_block_is_run_read_or_compared(document):
    found = blocks_of(text_of(document))
    assert found
    assert [(each.line, each.language) for each in found if each.language not in LANGUAGES] == []
    assert text_of(document).count("\n```") == 2 * len(found)  # no fence is left over
    assert "\n~~~" not in text_of(document)
    is_indented = re.search(r"\n\n    \S", text_of(document))
    assert not is_indented or document == "DEVELOPERS.md"  # the picture of its layers


def test_every_command_leaves_as_it_says(followed):
    assert followed.steps
    wrong = [
        f"line {s.line}: {s.command}: {s.code}\n{s.output}" for s in followed.steps if s.code != s.expected
    ]
    assert wrong == []


def test_every_file_shown_has_no_fault(followed, document):
    """All but those that a command is said to refuse."""
    refused = {word for step in followed.steps if step.expected == 2 for word in shlex.split(step.command)}
    shown = [name for name in followed.files if name.endswith(".yaml") and name not in refused]
    assert shown or document in ("README.md", "DEVELOPERS.md")
    for name in shown:
        assert check_file(followed.folder / name) in ("profile", "job", "practice", "route", "fleet")


def test_what_is_said_to_be_printed_is_printed(followed, document):
    said = [block for block in blocks_of(text_of(document)) if block.language == "text"]
    assert len(followed.printed) == len(said)
    for block, printed in followed.printed:
        assert block.text in printed, f"line {block.line}: {printed}"


def test_every_command_named_can_be_typed(document):
    """In running text JOB and the like stand for names; commands, options and their values are real."""
    lines = [line.removeprefix("uv run ") for line in in_backticks(document)]
    named = [line for line in lines if line.startswith("underbody ")]
    assert named or document == "DEVELOPERS.md"
    for line in named:
        name, *words = shlex.split(line)[1:]
        assert name in (*COMMANDS, "--help", "--version"), line
        if words:
            commands.get_command(click.Context(commands), name).make_context(name, words)


def test_every_extra_named_is_one(document):
    named = re.findall(r"--extra (\w+)", text_of(document))
    named += [
        name for list_ in re.findall(r"'[\w.-]+\[([\w,]+)\]'", text_of(document)) for name in list_.split(",")
    ]
    assert named or document in ("profiles/README.md", "router/tables/README.md")
    assert set(named) - set(PROJECT["optional-dependencies"]) == set()


def test_every_option_named_is_one(document):
    known = {"--help"}
    for name in COMMANDS:
        for each in commands.get_command(click.Context(commands), name).params:
            known |= {*each.opts, *each.secondary_opts}
    named = {word.split()[0] for word in in_backticks(document) if word.startswith("--")}
    assert named - known == set()


def test_every_path_named_is_there(document, followed):
    here = (ROOT, (ROOT / document).parent, followed.folder)
    names = {
        path.name
        for folder in (ROOT / "router", ROOT / "tests", followed.folder)
        for path in folder.rglob("*")
    }

    def is_there(name):
        return any((folder / name).exists() for folder in here) or ("/" not in name and name in names)

    tops = {path.name for path in ROOT.iterdir()}
    named = {word for word in in_backticks(document) if re.fullmatch(r"[\w./-]+", word)}
    paths = {w for w in named if w.endswith(NAMED_ENDS) or w.partition("/")[0] in tops}
    paths = {w for w in paths if not w.startswith((".venv", "NAME"))}  # made by the reader; a stand-in
    assert paths
    assert {name for name in paths if not is_there(name)} == set()


def headings_of(path):
    """The names that headings can be linked to by."""
    headings = re.findall(r"^#+ (.*)$", path.read_text(encoding="utf-8"), flags=re.MULTILINE)
    return {re.sub(r"[^\w -]", "", heading.lower()).replace(" ", "-") for heading in headings}


def test_every_link_leads_somewhere(document):
    links = re.findall(r"\]\(([^)\s]+)\)", text_of(document))
    assert links or document == "DEVELOPERS.md"
    for link in links:
        if link.startswith("https://"):
            continue
        path, _, heading = link.partition("#")
        target = (ROOT / document).parent / path if path else ROOT / document
        assert target.exists(), link
        assert not heading or heading in headings_of(target), link


# README.md


def test_readme_is_short_and_opens_with_the_job_and_safety():
    title, paragraph, safety, *_ = text_of("README.md").split("\n\n")
    assert text_of("README.md").count("\n") < 200
    assert title == "# underbody-router"
    assert paragraph.startswith("Plans how an accessory cable runs")
    assert safety.startswith("> **A proposal, not a permission.**")


def test_first_two_blocks_are_one_line_each_and_make_everything_they_need():
    first, second, *_ = blocks_of(text_of("README.md"))
    for block in (first, second):
        assert (block.language, block.text.count("\n")) == ("sh", 1)
        assert steps_of(block)[0] == "python3 -m venv .venv"
        assert steps_of(block)[1].startswith(".venv/bin/pip install --quiet ")
    assert steps_of(first)[2].startswith(".venv/bin/underbody plan ")
    assert "'.[test]'" in second.text
    assert steps_of(second)[2] == ".venv/bin/pytest"


@pytest.mark.parametrize("document", ["README.md"], indirect=True)
def test_readme_plans_the_example(followed):
    written = sorted(path.name for path in (followed.folder / "out").iterdir())
    assert written == ["bill.csv", "circuit.svg", "map.svg", "plan.json", "route.yaml", "sheet.html"]


def test_readme_lists_every_command_and_nothing_else():
    assert set(re.findall(r"^\| `underbody (\w+)", text_of("README.md"), flags=re.MULTILINE)) == set(COMMANDS)


# the guides


def keys_in(data):
    """Every key of nested data."""
    if isinstance(data, dict):
        return set(data).union(*map(keys_in, data.values()))
    return set().union(*map(keys_in, data)) if isinstance(data, list) else set()


def keys_of(kind, without=()):
    """Every key that a kind of file takes, by its JSON Schema."""
    schema = json_schema(kind)
    parts = [part for name, part in schema["$defs"].items() if name not in without]
    return set(schema["properties"]).union(*(part.get("properties", {}) for part in parts))


def keys_shown(document):
    shown = [block.text for block in blocks_of(text_of(document)) if block.language == "yaml"]
    return keys_in(
        [yaml.load(text, Loader=yaml.BaseLoader) for text in shown]
    )  # `on` is a word here, not true


def test_every_key_of_a_profile_is_shown():
    assert keys_of("profile") - keys_shown("profiles/README.md") == set()


@pytest.mark.parametrize("kind", ["job", "route", "fleet"])
def test_every_key_of_a_job_a_route_and_a_fleet_is_shown_or_named(kind):
    known = keys_of(kind, without=("ApprovedFile", "NearFile", "UsedFile"))  # written by `review` alone
    named = keys_shown("examples/README.md") | set(in_backticks("examples/README.md"))
    assert len(known) > 10
    assert known - named - {"approved"} == set()


def test_what_a_job_may_say_is_listed_whole_and_nothing_else():
    section = text_of("examples/README.md").split("## What a job may say")[1].split("### Lamps and")[0]
    rows = re.findall(r"^\| (`.*?) \|", section, flags=re.MULTILINE)
    assert {name for row in rows for name in re.findall(r"`([^`]+)`", row)} == keys_of("job")


def test_every_hazard_is_explained():
    rows = re.findall(r"^\| `([a-z-]+)` \|", text_of("profiles/README.md"), flags=re.MULTILINE)
    assert rows == [each.value for each in Hazard]


def test_every_shipped_vehicle_and_example_is_named():
    vehicles = {f"profiles/{path.name}" for path in (ROOT / "profiles").glob("*.yaml")}
    examples = {f"examples/{path.name}" for path in (ROOT / "examples").iterdir() if path.is_dir()}
    assert len(vehicles) >= 3 and len(examples) >= 6
    assert vehicles - set(in_backticks("profiles/README.md")) == set()
    assert examples - set(in_backticks("examples/README.md")) == set()


def first_cells(document):
    return re.findall(r"^\| `([^`]+)` \|", text_of(document), flags=re.MULTILINE)


def test_every_table_rule_set_status_and_group_of_rules_is_listed():
    listed = first_cells("router/tables/README.md")
    tables = {path.name for path in (ROOT / "router" / "tables").glob("*.yaml")}
    tables = {name for name in tables if not name.startswith("practice")}
    expected = {*tables, *SHIPPED, *(str(each) for each in Status), *default_groups()}
    assert set(listed) == expected
    assert len(listed) == len(expected)


def test_sources_of_the_tables_are_those_in_the_tables():
    rows = re.findall(r"^\| `(\w+)\.yaml` \| [^|]* \| ([^|]*) \|$", text_of("router/tables/README.md"), re.M)
    assert len(rows) > 10
    for name, sources in rows:
        assert load_table(name)
        written = text_of(f"router/tables/{name}.yaml").lower()
        assert [each for each in sources.split(", ") if each.lower() not in written] == [], name


# DEVELOPERS.md and the gates


def test_developers_names_every_module_of_the_package_or_its_folder():
    parts = [path for path in (ROOT / "router").iterdir() if path.name not in ("__init__.py", "__main__.py")]
    names = [path.stem for path in parts if path.suffix == ".py" or (path / "__init__.py").exists()]
    assert len(names) > 10
    assert [name for name in names if not re.search(rf"\b{name}\b", text_of("DEVELOPERS.md"))] == []


def test_gates_are_one_command():
    gate = ROOT / ".ci" / "run"
    assert gate.stat().st_mode & 0o111
    text = gate.read_text(encoding="utf-8")
    assert "set -euo pipefail" in text
    for tool in ("ruff", "mypy", "lint-imports", "readme_command", "wheel"):
        assert tool in text
