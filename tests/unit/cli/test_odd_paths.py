"""Paths that cannot be meant: refused in a line, exit code 2, and nothing is written."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from router.cli import main

ROOT = Path(__file__).parents[3]
JOB = "examples/fridge-supply"


@pytest.fixture
def run(capfdbinary, monkeypatch):
    def call(*words: str | bytes | Path, cwd: Path = ROOT) -> tuple[int, bytes, bytes]:
        monkeypatch.chdir(cwd)
        with pytest.raises(SystemExit) as left:
            main([os.fsdecode(word) for word in words])
        return left.value.code, *capfdbinary.readouterr()

    return call


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("a\nb.yaml", rb"a\x0ab.yaml"),
        ("a\x1b[31mb", rb"a\x1b[31mb"),
        ("tab\there", rb"tab\x09here"),
        (b"latin-\xe9.yaml", rb"latin-\xdce9.yaml"),
        ("line\u2028end", rb"line\x2028end"),
    ],
)
@pytest.mark.parametrize(
    "before", [("check",), ("check", "--json"), ("plan", JOB, "--out"), ("show",), ("review", JOB)]
)
def test_a_control_character_is_refused_and_shown_escaped(run, typed, shown, before):
    words = b"has a character that is no part of a line; write it without, or rename the file"
    assert run(*before, typed) == (2, b"", b'underbody: argument "' + shown + b'" ' + words + b"\n")


@pytest.mark.parametrize(
    "words",
    [
        ("plan", ""),
        ("plan", JOB, "--out", ""),
        ("plan", JOB, "--practice", ""),
        ("check", ""),
        ("review", "", JOB),
        ("show", "dunlin-lwb", "--out", ""),
        ("lesson", "dunlin-lwb", JOB, "--out", ""),
        ("fleet", ""),
    ],
)
def test_an_empty_path_is_refused(run, words, tmp_path):
    code, out, err = run(*(str(ROOT / JOB) if each == JOB else each for each in words), cwd=tmp_path)
    assert (code, out) == (2, b"")
    assert err.startswith(b"underbody: the path for ") and err.endswith(b" is empty; write one\n")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("kind", ["folder", "pipe", "device", "long", "file in the way"])
def test_a_drawing_is_written_over_nothing_but_a_file(run, kind, tmp_path):
    out = {"device": Path("/dev/full"), "long": tmp_path / ("a" * 300)}.get(kind, tmp_path / "out")
    if kind == "folder":
        out.mkdir()
    elif kind == "pipe":
        os.mkfifo(out)
    elif kind == "file in the way":
        out.write_bytes(b"")
        out = out / "map.svg"
    before = sorted(tmp_path.iterdir())
    code, words, err = run("show", "dunlin-lwb", "--out", out)
    assert (code, words, err.count(b"\n")) == (2, b"", 1) and err.startswith(b"underbody: cannot ")
    assert sorted(tmp_path.iterdir()) == before
    assert kind != "device" or out.is_char_device()


@pytest.mark.parametrize("command", ["plan", "check", "fleet", "review"])
@pytest.mark.parametrize("kind", ["pipe", "device", "long", "folder without a job"])
def test_what_is_no_file_is_not_read(run, command, kind, tmp_path):
    named = {"device": Path("/dev/zero"), "long": tmp_path / ("a" * 300)}.get(kind, tmp_path / "odd")
    if kind == "pipe":
        os.mkfifo(named)
    elif kind == "folder without a job":
        named.mkdir()
    words = (command, named, "none.yaml") if command == "review" else (command, named)
    code, out, err = run(*words)
    assert (code, out) == (2, b"") and b"Traceback" not in err
    assert err.count(b"\n") == 1
