"""Nobody reads, or the device is full: results are written all the same, and exit codes stand."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from router.writing import NAMES

ROOT = Path(__file__).parents[3]
COMMAND = f"{sys.executable} -m router"
FULL = "underbody: cannot write to stdout: No space left on device\n"


def run(words: str) -> tuple[int, str]:
    """Return the exit code and what is on stderr."""
    done = subprocess.run(
        ["bash", "-c", f"set -o pipefail; {COMMAND} {words}"],
        capture_output=True,
        check=False,
        cwd=ROOT,
        text=True,
    )
    return done.returncode, done.stderr


@pytest.mark.parametrize(
    ("streams", "code", "err"),
    [
        ("<&- >&- 2>&-", 0, ""),
        ("| head -c 0", 0, ""),
        (">/dev/full", 2, FULL),
    ],
)
def test_a_plan_is_written_whoever_reads_the_summary(tmp_path, streams, code, err):
    assert run(f"plan examples/work-lamp-rear-battery --out {tmp_path}/out {streams}") == (code, err)
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == sorted(NAMES)
    assert (tmp_path / "out/bill.csv").read_bytes().endswith(b"\r\n")


@pytest.mark.parametrize("streams", [">&-", "2>&-", ">&- 2>&-", ">/dev/full", "2>/dev/full", "| head -c 0"])
def test_a_refusal_keeps_its_code(streams):
    left, err = run(f"check none.yaml {streams}")
    assert left == 2 and "Traceback" not in err and "Exception" not in err


@pytest.mark.parametrize("words", ["--help", "show dunlin-lwb --out -"])
@pytest.mark.parametrize(
    ("streams", "code", "err"), [(">&-", 0, ""), ("| head -c 0", 0, ""), (">/dev/full", 2, FULL)]
)
def test_what_is_only_printed(words, streams, code, err):
    assert run(f"{words} {streams}") == (code, err)


def test_a_slow_reader_of_a_pipe_that_does_not_wait_gets_everything():
    """The other end of a pipe set to not wait, which holds 64 kB, is read only after a while."""
    words = f"{COMMAND} show dunlin-lwb --out -"
    slow = (
        "import fcntl, os, subprocess, sys, time\n"
        "end, start = os.pipe()\n"
        "fcntl.fcntl(start, fcntl.F_SETFL, os.O_NONBLOCK)\n"
        f"asked = subprocess.Popen({words.split()!r}, stdout=start)\n"
        "os.close(start); time.sleep(1.0)\n"
        "with os.fdopen(end, 'rb') as file: text = file.read()\n"
        "sys.exit(asked.wait() or not text.rstrip().endswith(b'</svg>') or len(text) < 100_000)\n"
    )
    assert subprocess.run([sys.executable, "-c", slow], check=False, cwd=ROOT).returncode == 0
