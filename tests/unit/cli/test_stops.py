"""Ctrl-C and requests to end, at any moment: a line at most, no traceback, nothing half-written."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from random import Random

import pytest

from router.signals import Stopped, held, raised, stopped
from router.writing import NAMES, write_whole

ROOT = Path(__file__).parents[3]
LONGEST_S = 2.0


def begin(out: Path) -> subprocess.Popen[bytes]:
    """Return a plan that is being made, from its very first lines on: what comes before is Python's own."""
    words = [sys.executable, "-m", "router", "plan", "examples/fridge-supply", "--out", str(out)]
    process = subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT,
        preexec_fn=_as_in_a_terminal,  # noqa: PLW1509 - else a job in the background ignores it
    )  # fmt: skip
    while not _catches(process.pid, signal.SIGHUP):
        time.sleep(0.001)
    return process


def _as_in_a_terminal() -> None:
    for number in (signal.SIGINT, signal.SIGHUP):
        signal.signal(number, signal.SIG_DFL)


def _catches(pid: int, number: signal.Signals) -> bool:
    (mask,) = re.findall(r"^SigCgt:\t(\w+)$", Path(f"/proc/{pid}/status").read_text(), re.M)
    return bool(int(mask, 16) >> (number - 1) & 1)


def written(out: Path) -> list[str]:
    return sorted(path.name for path in out.iterdir()) if out.exists() else []


def judge_stop(moment_s: float, number: signal.Signals, out: Path) -> int:
    """Stop a plan at a moment, and judge what is left of it; return its exit code."""
    process = begin(out)
    time.sleep(moment_s)
    process.send_signal(number)
    _, errors = process.communicate(timeout=60)
    what = f"{number.name} after {moment_s:.3f} s: {errors!r}"
    assert errors in (b"", b"underbody: stopped\n"), what
    assert process.returncode in (0, 128 + number), what
    assert written(out) in ([], sorted(NAMES)), what
    assert written(out) or process.returncode, what
    return process.returncode


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
@pytest.mark.parametrize("moment_s", [0.0, 0.05, 0.2, 0.8])
def test_a_stop_at_any_moment_is_a_line_at_most(tmp_path, number, moment_s):
    judge_stop(moment_s, number, tmp_path / "out")


@pytest.mark.study
def test_many_stops_at_any_moment(tmp_path):
    rng = Random(1)
    numbers = (signal.SIGINT, signal.SIGTERM)
    codes = [
        judge_stop(rng.uniform(0.0, LONGEST_S), rng.choice(numbers), tmp_path / str(n)) for n in range(200)
    ]
    assert {130, 143} <= set(codes)


def test_a_stop_while_the_first_module_is_imported(tmp_path):
    """A stop sent by the import of click itself, which main is not reached without."""
    (tmp_path / "click.py").write_text("import os\nos.kill(os.getpid(), 2)\nwhile True: pass\n")
    env = {**os.environ, "PYTHONPATH": f"{tmp_path}:{ROOT}"}
    done = subprocess.run(
        [sys.executable, "-m", "router", "--version"],
        capture_output=True,
        check=False,
        env=env,
        cwd=tmp_path,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
        timeout=60,
    )
    assert (done.returncode, done.stderr) == (130, b"underbody: stopped\n")


def test_what_whoever_started_it_ignores_stays_ignored(tmp_path):
    words = [sys.executable, "-m", "router", "plan", "examples/fridge-supply", "--out", str(tmp_path / "out")]
    process = subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT,
        preexec_fn=lambda: signal.signal(signal.SIGHUP, signal.SIG_IGN),  # noqa: PLW1509 - as nohup does
    )  # fmt: skip
    time.sleep(0.3)
    process.send_signal(signal.SIGHUP)
    assert (process.communicate(timeout=60)[1], process.returncode) == (b"", 0)


@pytest.fixture
def interrupted():
    """Let SIGINT raise KeyboardInterrupt, as Python does where nobody changed it."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("interrupted")
def test_files_are_written_whole_before_a_stop_takes_effect(tmp_path):
    def parts():
        yield b"begun, "
        signal.raise_signal(signal.SIGINT)
        yield b"and ended"

    with pytest.raises(KeyboardInterrupt):
        write_whole({tmp_path / "one": parts(), tmp_path / "two": b"2"})
    assert (tmp_path / "one").read_bytes() == b"begun, and ended"
    assert written(tmp_path) == ["one", "two"]


@pytest.mark.usefixtures("interrupted")
def test_a_stop_is_not_lost_where_what_it_waits_for_fails():
    with pytest.raises(KeyboardInterrupt), held():
        signal.raise_signal(signal.SIGINT)
        raise OSError("full")


def test_only_who_would_be_ended_at_once_has_stops_raised():
    """In somebody else's program the handlers that are there stay."""
    own = lambda *_: None  # noqa: E731 - told from all others by being this one
    before = signal.signal(signal.SIGTERM, own)  # another test may have left the default
    try:
        with raised():
            assert signal.getsignal(signal.SIGTERM) is own
    finally:
        signal.signal(signal.SIGTERM, before)
    assert stopped() is None and Stopped(signal.SIGTERM).code == 143
