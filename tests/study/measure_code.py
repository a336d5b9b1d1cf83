"""Count the package: functions, modules, docstrings, `Any`. `python tests/study/measure_code.py [FOLDER]`.

Prints each count with its limit, and every place that is over it; leaves with 1 where there is one. FOLDER
is the root of a checkout, this one by default, so that two versions can be put side by side. Nothing of the
package is imported: the sources are read as text. A code line holds something other than a comment, a
docstring or white space.
"""

from __future__ import annotations

import ast
import io
import statistics
import sys
import tokenize
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
FUNCTION_MEDIAN, FUNCTION_P90, MODULE_MEDIAN, MODULE_P90 = 7, 18, 84, 214
"""As they were before the package got its rooms; code lines, measured by this script."""
LONGEST_FUNCTION, LONGEST_MODULE = 50, 400
MOST_ANY = 0.02
ANY_PACKAGES = ("search", "routing")
MANY_PARAMETERS = 3

Function = ast.FunctionDef | ast.AsyncFunctionDef
_NO_CODE = (
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENCODING,
    tokenize.ENDMARKER,
)


@dataclass(frozen=True)
class Module:
    """One source file, with the numbers of its code lines."""

    path: str
    tree: ast.Module
    code: frozenset[int]

    @property
    def package(self) -> str:
        """Return the package right below the root that it lies in, or its own name."""
        return self.path.split("/")[0].removesuffix(".py")

    def lines_in(self, node: ast.AST) -> int:
        """Return how many code lines a function or class takes."""
        first, last = node.lineno, node.end_lineno  # type: ignore[attr-defined]
        return sum(first <= line <= last for line in self.code)


def read_module(path: Path, root: Path) -> Module:
    """Return a source file as it is measured."""
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    held = {
        line
        for token in tokens
        if token.type not in _NO_CODE
        for line in range(token.start[0], token.end[0] + 1)
    }
    return Module(path.relative_to(root).as_posix(), tree, frozenset(held - _docstring_lines(tree)))


def _docstring_lines(tree: ast.Module) -> set[int]:
    """Return the lines of all texts that stand alone: docstrings, and those below a field."""
    return {
        line
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, str)
        for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)
    }


def functions_of(module: Module) -> Iterator[Function]:
    """Yield every function and method of a module, inner ones too."""
    return (node for node in ast.walk(module.tree) if isinstance(node, Function))


def parameters_of(function: Function) -> list[ast.arg]:
    """Return the parameters of a function, without `self` and `cls`."""
    own = function.args
    every = [*own.posonlyargs, *own.args, *own.kwonlyargs, *filter(None, (own.vararg, own.kwarg))]
    return [each for each in every if each.arg not in ("self", "cls")]


def faces_of(modules: list[Module]) -> dict[str, set[str]]:
    """Return by package the names that its face offers."""
    faces: dict[str, set[str]] = {}
    for module in modules:
        if module.path.endswith("__init__.py"):
            for node in module.tree.body:
                if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
                    faces.setdefault(module.package, set()).update(ast.literal_eval(node.value))
    return faces


def undescribed(modules: list[Module]) -> list[str]:
    """Return the functions of a face that take many parameters and do not say what they are."""
    faces = faces_of(modules)
    return [
        f"{module.path}:{node.lineno}: {node.name} takes {len(parameters_of(node))} parameters"
        for module in modules
        for node in module.tree.body
        if isinstance(node, Function)
        and node.name in faces.get(module.package, ())
        and len(parameters_of(node)) >= MANY_PARAMETERS
        and "Parameters\n" not in (ast.get_docstring(node) or "")
    ]


def any_share(modules: list[Module]) -> float:
    """Return the share of annotated arguments of the search and the routing that are `Any`."""
    annotations = [
        ast.unparse(each.annotation)
        for module in modules
        if module.package in ANY_PACKAGES
        for function in functions_of(module)
        for each in parameters_of(function)
        if each.annotation
    ]
    return sum(text == "Any" for text in annotations) / len(annotations)


def p90(values: list[int]) -> float:
    """Return the 90th percentile."""
    return statistics.quantiles(values, n=10, method="inclusive")[-1]


def over(root: Path = ROOT) -> tuple[list[str], list[str]]:
    """Return the counts of a checkout as lines of a table, and every place over a limit."""
    package = root / "router"
    modules = [read_module(path, package) for path in sorted(package.rglob("*.py"))]
    functions = [(module, node) for module in modules for node in functions_of(module)]
    lengths = [module.lines_in(node) for module, node in functions]
    sizes = [len(module.code) for module in modules if not module.path.endswith("__init__.py")]
    share, silent = any_share(modules), undescribed(modules)
    counts = (
        ("modules", len(modules), None),
        ("code lines of a module: median", statistics.median(sizes), MODULE_MEDIAN),
        ("code lines of a module: 90th percentile", p90(sizes), MODULE_P90),
        ("code lines of a module: longest", max(sizes), LONGEST_MODULE - 1),
        ("functions", len(functions), None),
        ("code lines of a function: median", statistics.median(lengths), FUNCTION_MEDIAN),
        ("code lines of a function: 90th percentile", p90(lengths), FUNCTION_P90),
        ("code lines of a function: longest", max(lengths), LONGEST_FUNCTION),
        ("public functions of many parameters that do not describe them", len(silent), 0),
        (f"share of Any in arguments of {' and '.join(ANY_PACKAGES)}", round(share, 4), MOST_ANY),
    )
    table = [
        f"{value:>8}  {'' if limit is None else f'(at most {limit})':<16}{what}"
        for what, value, limit in counts
    ]
    faults = [
        f"{what}: {value}, at most {limit}"
        for what, value, limit in counts
        if limit is not None and value > limit
    ]
    long = [
        f"{module.path}:{node.lineno}: {node.name} has {module.lines_in(node)} code lines"
        for module, node in functions
        if module.lines_in(node) > LONGEST_FUNCTION
    ]
    large = [f"{m.path} has {len(m.code)} code lines" for m in modules if len(m.code) >= LONGEST_MODULE]
    return table, faults + large + long + silent


if __name__ == "__main__":
    table, faults = over(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT)
    print("\n".join(table))
    print(*faults, sep="\n", file=sys.stderr)
    sys.exit(1 if faults else 0)
