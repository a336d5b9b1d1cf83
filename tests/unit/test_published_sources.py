"""Every file of published values cites what its values come from, and there are enough of both."""

import ast
import re
from pathlib import Path

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
