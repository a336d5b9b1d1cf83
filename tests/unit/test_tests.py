"""The rule for tests that no linter holds: none can pass because there was nothing to look at."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
FILES = sorted(TESTS.rglob("test_*.py"))
JUDGES = ("assert_", "check", "judge", "validate")
"""How functions begin that judge for a test; `subprocess.run(..., check=True)` judges too."""
FULL = (ast.Tuple, ast.List, ast.Dict, ast.Constant)


def called(node: ast.expr) -> str:
    return getattr(node.func, "attr", getattr(node.func, "id", "")) if isinstance(node, ast.Call) else ""


def is_judged_elsewhere(node: ast.AST) -> bool:
    """Return whether a statement calls something that judges."""
    calls = [each for each in ast.walk(node) if isinstance(each, ast.Call)]
    names = [called(call) for call in calls]
    return any(name.lstrip("_").startswith(JUDGES) for name in names) or any(
        keyword.arg == "check" for call in calls for keyword in call.keywords
    )


def is_written_out(many: ast.expr, known: dict[str, ast.expr]) -> bool:
    """Return whether what is looped over stands in the test itself, and so is not empty."""
    if isinstance(many, ast.Name):
        many = known.get(many.id, many)
    if called(many) in ("items", "values"):
        return is_written_out(many.func.value, known)  # type: ignore[attr-defined]
    if called(many) == "range":
        return not any(isinstance(each, ast.Call) for each in many.args)  # type: ignore[attr-defined]
    return isinstance(many, FULL)


def passes_on_nothing(test: ast.expr, known: dict[str, ast.expr]) -> bool:
    """Return whether what is asserted is true of nothing at all: `all(...)` or `not any(...)`."""
    if isinstance(test, ast.BoolOp) and isinstance(test.op, ast.And):
        return all(passes_on_nothing(value, known) for value in test.values)
    is_not = isinstance(test, ast.UnaryOp)
    call = test.operand if is_not else test  # type: ignore[attr-defined]
    match call:
        case ast.Call(args=[ast.GeneratorExp(generators=[first, *_])]):
            return called(call) == ("any" if is_not else "all") and not is_written_out(first.iter, known)
    return False


def judges(statement: ast.stmt, known: dict[str, ast.expr]) -> bool:
    """Return whether a statement asserts something however the test goes."""
    match statement:
        case ast.Assert(test=test):
            return not passes_on_nothing(test, known)
        case ast.With(items=items, body=inner):
            is_raised = any(called(item.context_expr) in ("raises", "warns") for item in items)
            return is_raised or must_judge(inner, known)
        case ast.Try(body=inner, handlers=[]):
            return must_judge(inner, known)
        case ast.For(iter=many, body=inner):
            return is_written_out(many, known) and must_judge(inner, known)
        case ast.Expr() | ast.Assign():
            return is_judged_elsewhere(statement)
    return False


def must_judge(body: list[ast.stmt], known: dict[str, ast.expr]) -> bool:
    """Return whether something is asserted outside of `if`, `except` and loops over who knows how many."""
    for statement in body:
        match statement:
            case ast.Assign(targets=[ast.Name(id=name)], value=value):
                known[name] = value
    return any(judges(statement, known) for statement in body)


def idle_tests(source: str) -> list[str]:
    """Return the tests of a file that may pass without a look at anything."""
    found = (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.FunctionDef))
    return [node.name for node in found if node.name.startswith("test_") and not must_judge(node.body, {})]


def test_there_are_tests_to_look_at():
    assert len(FILES) > 90


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(TESTS).as_posix())
def test_every_test_asserts_something_whatever_it_is_given(path):
    """Say first how many there are to look at (`assert len(rows) == 4`), then loop."""
    assert idle_tests(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "body",
    [
        "pass",
        "for row in rows(): assert row",
        "if rows(): assert False",
        "assert all(row for row in rows())",
        "assert not any(row for row in rows())",
        "for row in rows():\n  for n in (1, 2): assert row",
        "try: assert rows()\n except ValueError: pass",
    ],
)
def test_an_idle_test_is_found(body):
    assert idle_tests(f"def test_it():\n {body}") == ["test_it"]


@pytest.mark.parametrize(
    "body",
    [
        "assert len(rows()) == 4",
        "for n in (1, 2): assert n",
        "with pytest.raises(ValueError): rows()",
        "check_rows(rows())",
        "assert all(n for n in (1, 2))",
    ],
)
def test_a_test_that_looks_is_let_be(body):
    assert idle_tests(f"def test_it():\n {body}") == []
