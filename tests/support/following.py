"""A document read as a newcomer reads it: its files written, its commands typed, in order, in a folder.

There is no block that is only looked at. A block is one of

sh    commands; each runs, and must leave with 0 or with the code that its line names: `# exit code 1`
yaml  a file, or more of it, under the name that the words before the block say last
csv   the same
python  a program; it runs to its end
text  what the commands just before it print, word for word
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from router.cli import main

ROOT = next(folder for folder in Path(__file__).parents if (folder / "pyproject.toml").is_file())
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
FILE_BLOCKS = ("yaml", "csv")
LANGUAGES = ("sh", "text", "python", *FILE_BLOCKS)
_NAMED_FILE = re.compile(r"`([\w./-]+\.(?:yaml|csv))`")
_EXIT_CODE = re.compile(r"# exit code (\d+)$")


@dataclass(frozen=True)
class Block:
    language: str
    text: str
    line: int
    before: str
    """The words between it and the block before it."""


@dataclass(frozen=True)
class Step:
    """One command as typed, how it should have left, how it left, and what it printed."""

    line: int
    command: str
    expected: int
    code: int
    output: str


@dataclass(frozen=True)
class Followed:
    """A document that somebody followed: the folder it was done in, the steps, and files by name."""

    folder: Path
    steps: tuple[Step, ...]
    files: dict[str, str]
    printed: tuple[tuple[Block, str], ...]
    """Each text block beside what had been printed just before it."""


def blocks_of(text: str) -> list[Block]:
    """Return the fenced blocks of a document; a fence that opens nothing known is kept, to be refused."""
    found, last = [], 0
    for match in re.finditer(r"^```([^\n]*)\n(.*?)^```$", text, flags=re.MULTILINE | re.DOTALL):
        line = text.count("\n", 0, match.start()) + 1
        found.append(Block(match[1], match[2], line, text[last : match.start()]))
        last = match.end()
    return found


def steps_of(block: Block) -> list[str]:
    """Return the commands of a block: one a line, or joined by `&&`."""
    return [step.strip() for line in block.text.splitlines() for step in line.split("&&") if step.strip()]


def follow(text: str, folder: Path) -> Followed:
    """Do what a document says, in a folder that has the shipped vehicles and examples."""
    for name in ("examples", "profiles"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("plan", "fleet", "*.md"))
    steps: list[Step] = []
    files: dict[str, str] = {}
    printed, just_printed, current = [], "", ""
    for block in blocks_of(text):
        if block.language in FILE_BLOCKS:
            current = next(reversed(_NAMED_FILE.findall(block.before)), current)
            assert not (ROOT / current).exists(), f"line {block.line} writes over a shipped file"
            files[current] = files.get(current, "") + block.text
            (folder / current).write_text(files[current], encoding="utf-8")
        elif block.language == "sh":
            done = [run(command, folder, block.line) for command in steps_of(block)]
            just_printed = "".join(step.output for step in done)
            steps += done
        elif block.language == "python":
            steps.append(_program(block, folder))
            just_printed = steps[-1].output
        elif block.language == "text":
            printed.append((block, just_printed))
    return Followed(folder, tuple(steps), files, tuple(printed))


def run(command: str, folder: Path, line: int) -> Step:
    """Type one command; KeyError where nobody said how its program is tried here."""
    named = _EXIT_CODE.search(command)
    words = shlex.split(command, comments=True)
    for name in words:
        if name in DRAWN_BY_HAND and not (folder / name).exists():
            (folder / name).write_text(DRAWN_BY_HAND[name](folder), encoding="utf-8")
    program = words[0].removeprefix(".venv/bin/")
    with contextlib.chdir(folder):
        code, output = PROGRAMS[program](words[1:])
    return Step(line, command, int(named[1]) if named else 0, code, output)


def _program(block: Block, folder: Path) -> Step:
    """Run a program as it stands in the document, with these sources."""
    where = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", block.text], cwd=folder, env=where, capture_output=True, check=False, text=True
    )
    return Step(block.line, "python", 0, done.returncode, done.stdout + done.stderr)


def _underbody(words: list[str]) -> tuple[int, str]:
    """Run a command in this process; a fleet, too, which comes to the same (tests/unit/fleet)."""
    if words[:1] == ["fleet"]:
        words = [*words, "--executor", "serial"]
    if ">" in words:
        words, (_, target) = words[:-2], words[-2:]
    else:
        target = None
    printed = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True)
    with contextlib.redirect_stdout(printed), contextlib.redirect_stderr(printed):
        try:
            main(words)
        except SystemExit as left:
            code = left.code
    output = printed.buffer.getvalue().decode()
    if target:
        Path(target).write_text(output, encoding="utf-8")
    return int(code or 0), output


def _shell(program: str) -> Callable[[list[str]], tuple[int, str]]:
    def call(words: list[str]) -> tuple[int, str]:
        done = subprocess.run([program, *words], capture_output=True, check=False, text=True)
        return done.returncode, done.stdout + done.stderr

    return call


def _gate(program: str) -> Callable[[list[str]], tuple[int, str]]:
    """Return a check that `.ci/run` runs this program, on a fresh copy; it is too slow for a test."""

    def call(words: list[str]) -> tuple[int, str]:
        is_run = f'"$bin/{program}"' in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
        return int(not is_run), f"{program} is not run by .ci/run"

    return call


def _pip(words: list[str]) -> tuple[int, str]:
    """Check that an installation asks only for what there is; `.ci/run` does the installing."""
    known = {"install", "--quiet", "--editable", "."}
    known |= {f".[{extra}]" for extra in PROJECT["optional-dependencies"]}
    strange = set(words) - known
    return int(bool(strange)), f"unknown: {strange}"


def _python(words: list[str]) -> tuple[int, str]:
    """Run a benchmark of ours on its smallest world; whole, it takes minutes."""
    return _shell(sys.executable)([str(ROOT / words[0]), *SMALLEST_WORLDS[words[0]]])


SMALLEST_WORLDS = {
    "tests/speed/bench.py": ("one-factor", "--up-to", "20", "--peer-up-to", "0"),
    "tests/speed/fleet_bench.py": ("1",),
    "tests/speed/stages.py": ("examples/work-lamp-rear-battery",),
}
PROGRAMS: dict[str, Callable[[list[str]], tuple[int, str]]] = {
    "underbody": _underbody,
    "mkdir": _shell("mkdir"),
    "cp": _shell("cp"),
    "python3": lambda words: (int(words != ["-m", "venv", ".venv"]), f"python3 {words}"),
    "pip": _pip,
    "ruff": _gate("ruff"),
    "mypy": _gate("mypy"),
    "lint-imports": _gate("lint-imports"),
    "pytest": lambda words: (int(words != []), f"pytest {words}"),  # this is it
    "python": _python,
    ".ci/run": lambda _words: (int(not (ROOT / ".ci" / "run").stat().st_mode & 0o111), "not executable"),
}
"""How each program is tried. What `.ci/run` does on a fresh copy is not done again here."""


def _draw_earth(folder: Path) -> str:
    """Return the blank map of the refrigerator example with its earth drawn on it, as a person would."""
    blank = (folder / "blank" / "map-blank.svg").read_text(encoding="utf-8")
    views = json.loads(re.search(r"<metadata>(.*?)</metadata>", blank)[1])["views"]
    view = next(each for each in views if each["space"] == "load area")

    def paper(x: float, y: float) -> tuple[float, float]:
        ox, oy = view["origin_mm"]
        return ox + x / view["scale"], oy + view["y_sense"] * y / view["scale"]

    line = ((2750, 640), (2905, 800), (3400, 800), (3510, 655), (4390, 655), (4480, 790))
    dots = ((2750, 640), (2905, 800), (3300, 800), (3510, 655), (3950, 655), (4390, 655), (4470, 775))
    points = " ".join(f"{x:.3f},{y:.3f}" for x, y in (paper(*each) for each in line))
    marks = "".join(f'<circle cx="{x:.3f}" cy="{y:.3f}" r="1"/>' for x, y in (paper(*each) for each in dots))
    group = '<g id="draw-load-area">'
    assert group in blank
    return blank.replace(group, f'{group}<polyline id="earth" points="{points}"/>{marks}', 1)


DRAWN_BY_HAND: dict[str, Callable[[Path], str]] = {"drawn.svg": _draw_earth}
"""Files that a reader makes with a drawing program, and that no block can show."""
