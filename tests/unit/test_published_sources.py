"""Every file of published values cites what its values come from, and there are enough of both."""

import ast
import re
from pathlib import Path

import pytest

import router
from router.model.practice import Status
from router.tables import load_table

FILES = sorted((Path(__file__).parents[1] / "published").glob("test_*.py"))
LEAST_SOURCES, LEAST_VALUES = 10, 40
_CITED = re.compile(r"\b(Source|Sources|Reference)\b|Common practice, no source")
_PUBLISHED = re.compile(r"\bSources?:")


def header(path):
    return ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""


def numbers(path):
    """Return the different numbers in the lists, tuples, tables and parameters of a file."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    tables = [each for each in ast.walk(tree) if isinstance(each, ast.List | ast.Tuple | ast.Dict)]
    held = [each for table in tables for each in ast.walk(table) if isinstance(each, ast.Constant)]
    return {each.value for each in held if type(each.value) in (int, float)}


def test_every_file_cites_its_source():
    assert [path.name for path in FILES if not _CITED.search(header(path))] == []


def test_enough_values_in_enough_sources():
    published = [path for path in FILES if _PUBLISHED.search(header(path))]
    assert len(published) >= LEAST_SOURCES
    assert sum(len(numbers(path)) for path in published) >= LEAST_VALUES


TABLES = sorted(path.stem for path in (Path(router.__file__).parent / "tables").glob("*.yaml"))
VOLUNTARY = re.compile(r"ABYC|as quoted|SAE J1128|ISO 6722(?!-2:2013, scope)")
"""Standards that were not read themselves: what rests on them alone is not "published".

The scope of ISO 6722-2:2013 was read: standards.iteh.ai shows it to everybody.
"""


def entries(node):
    """Yield every mapping of a table, however deep."""
    if isinstance(node, dict):
        yield node
    for child in node.values() if isinstance(node, dict) else node if isinstance(node, list) else ():
        yield from entries(child)


@pytest.mark.parametrize("table", TABLES)
def test_what_was_read_in_a_quotation_is_not_called_published(table):
    stated = [entry for entry in entries(load_table(table)) if "status" in entry and "source" in entry]
    assert {entry["status"] for entry in stated} <= {str(status) for status in Status}
    wrong = [e for e in stated if e["status"] == "published" and VOLUNTARY.search(e["source"])]
    wrong += [e for e in stated if e["status"] == "quoted" and "as quoted" not in e["source"]]
    assert wrong == []


def test_conditions_that_a_source_attaches_stand_beside_its_value():
    """FAA AC 43.13-1B par. 11-126: nearer than 6 in only if no single lost tie allows contact."""
    rules = {(each["value"], each["source"]) for each in entries(load_table("practice")) if "value" in each}
    fuel = load_table("practice")["clearance"]["fuel"]["source"]
    assert "152 mm, only if no broken wire and no single lost tie allows contact" in fuel
    at_source = [source for value, source in rules if "183.455(b)" in source]
    assert len(at_source) == 2
    assert all("impractical" in source for source in at_source)
