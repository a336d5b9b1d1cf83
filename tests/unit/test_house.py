"""The rules of the tree in DEVELOPERS.md that no import contract can hold: faces, and one file a name."""

import ast
import importlib
import re
from collections import Counter
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "router"
FILES = sorted(PACKAGE.rglob("*.py"))
PACKAGES = sorted(path.parent for path in FILES if path.name == "__init__.py" and path.parent != PACKAGE)
OPEN = ("model",)
"""Records are imported by their file, so that an import says which they are."""


def router_imports(path):
    """Return the dotted modules of this package that a file imports from, each with its line."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [
        (node.module, node.lineno)
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("router.")
    ]


def past_a_face(path):
    """Return the imports of a file that reach into another package beside its face."""
    own = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
    return [
        f"{path.relative_to(PACKAGE)}:{line}: {module}"
        for module, line in router_imports(path)
        for _, package, *inside in [module.split(".")]
        if inside and package != own and package not in OPEN
    ]


def test_there_is_a_house_to_look_at():
    assert len(FILES) > 200
    assert len(PACKAGES) > 20
    assert sum(len(router_imports(path)) for path in FILES) > 1000


def test_other_packages_import_faces_only():
    assert [fault for path in FILES for fault in past_a_face(path)] == []


def test_one_basename_one_file():
    names = Counter(path.name for path in FILES if not path.name.startswith("__"))
    assert [name for name, count in names.items() if count > 1] == []


@pytest.mark.parametrize("package", PACKAGES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_a_face_holds_words_and_imports_only(package):
    tree = ast.parse((package / "__init__.py").read_text(encoding="utf-8"))
    assert ast.get_docstring(tree)
    allowed = (ast.Import, ast.ImportFrom, ast.Assign, ast.If)
    assert [ast.unparse(node) for node in tree.body[1:] if not isinstance(node, allowed)] == []
    assigned = {ast.unparse(node.targets[0]) for node in tree.body if isinstance(node, ast.Assign)}
    assert assigned <= {"__all__", "_HOMES", "__getattr__"}


def test_no_face_offers_a_name_that_a_module_in_it_has():
    """Once the module is imported, its name in the face is the module, whatever else is in it."""
    faces = {package: importlib.import_module(f"router.{_dotted(package)}") for package in PACKAGES}
    assert sum(hasattr(face, "_HOMES") for face in faces.values()) > 4
    clashes = [
        f"{_dotted(package)}.{name}"
        for package, face in faces.items()
        for name in getattr(face, "__all__", ())
        if hasattr(face, "_HOMES") and (package / f"{name}.py").is_file()
    ]
    assert clashes == []


def _dotted(package):
    return ".".join(package.relative_to(PACKAGE).parts)


def described(paths):
    """Yield every function that has a docstring: where it is, its result type, its first paragraph."""
    for path in paths:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and (words := ast.get_docstring(node)):
                given = [ast.unparse(each) for each in node.decorator_list]
                result = (
                    "None" if "contextmanager" in given or node.returns is None else ast.unparse(node.returns)
                )
                yield f"{path.relative_to(PACKAGE)}:{node.lineno}", result, words.split("\n\n")[0]


OPENINGS = {"Iterator": "Yield ", "bool": "Return whether |.*; return whether "}
ENDS = re.compile(r".*(\.|\[[^]]+\])", re.DOTALL)


def test_docstrings_open_with_the_word_for_what_comes_out():
    found = list(described(FILES))
    assert sum(result.startswith("Iterator") for _, result, _ in found) > 50
    assert sum(result == "bool" for _, result, _ in found) > 50
    wanted = ((place, OPENINGS.get(result.split("[")[0], ""), words) for place, result, words in found)
    assert [(place, words) for place, opening, words in wanted if not re.match(opening, words)] == []


def test_docstrings_end_with_a_full_stop_or_a_unit():
    assert [(place, words) for place, _, words in described(FILES) if not ENDS.fullmatch(words)] == []


PRINTED = {"spec", "what", "where", "detail", "why", "place", "when", "differs", "worse", "order"}
"""Fields of records that are written for people."""
TAKES_APART = {"split", "partition", "rpartition", "startswith", "endswith", "removeprefix", "removesuffix"}


def is_printed(node):
    name = node.attr if isinstance(node, ast.Attribute) else node.id if isinstance(node, ast.Name) else None
    return name in PRINTED


def is_literal(node):
    return isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value != ""


def decides_by_words(source):
    """Return where code takes the words of a record apart, or compares them with words of its own."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            if node.func.attr in TAKES_APART and is_printed(node.func.value):
                found.append(ast.unparse(node))
        elif isinstance(node, ast.Compare):
            sides = (node.left, *node.comparators)
            if any(map(is_printed, sides)) and any(map(is_literal, sides)):
                found.append(ast.unparse(node))
    return found


def test_nothing_decides_by_the_words_of_a_record():
    """The door alone reads words; what is inside has enums and fields to decide by."""
    inside = [path for path in FILES if path.relative_to(PACKAGE).parts[0] != "reading"]
    found = {path.name: decides_by_words(path.read_text(encoding="utf-8")) for path in inside}
    assert {name: each for name, each in found.items() if each} == {}


@pytest.mark.parametrize(
    "source",
    [
        'line.spec.split(", ")',
        'spec.startswith(f"{family},")',
        'piece.place.partition(",")',
        'station.what == "bend"',
        '"blade" in line.spec',
    ],
)
def test_deciding_by_words_is_seen(source):
    assert decides_by_words(source) != []


def test_what_only_writes_words_is_let_through():
    assert decides_by_words('f"{line.spec}, {line.where}" if line.item in ITEMS else line.spec or ""') == []
