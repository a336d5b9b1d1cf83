"""How a run of the tests goes: the whole suite on all processors, and what was left out said aloud."""

from __future__ import annotations

import gc
import os
import shutil
import sys
import tempfile
from collections import Counter
from pathlib import Path

import pytest

os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # the command is begun over and over: compiled by the first
sys.dont_write_bytecode = False


@pytest.hookimpl(tryfirst=True)
def pytest_cmdline_main(config: pytest.Config) -> None:
    """Give the whole suite a process for each processor; what is named is run here, which begins at once.

    `-n 0` runs the whole suite in one process, `-n 4` whatever is named in four.
    """
    is_whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS
    is_open = getattr(config.option, "numprocesses", 0) is None and not hasattr(config, "workerinput")
    if is_whole and is_open and not (config.option.collectonly or config.option.usepdb):
        config.option.numprocesses = len(os.sched_getaffinity(0))
        config.option.dist = "loadfile"  # files share what they have planned and drawn


def pytest_collection_finish() -> None:
    """Look for garbage less often, and not among the thousands of tests: they stay to the end."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 20)


def pytest_unconfigure(config: pytest.Config) -> None:
    """Clear away what the processes of a run have shared, once they are gone."""
    session = config.pluginmanager.getplugin("dsession")
    if session is not None and getattr(session, "nodemanager", None) is not None:
        shared = Path(tempfile.gettempdir()) / f"shared-plans-{session.nodemanager.testrunuid}"
        shutil.rmtree(shared, ignore_errors=True)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how many tests were skipped, and why."""
    skipped = terminalreporter.stats.get("skipped", [])
    reasons = Counter(report.longrepr[2].removeprefix("Skipped: ") for report in skipped)
    for reason, count in reasons.items():
        terminalreporter.write_sep("=", f"NOT CHECKED: {count} tests", yellow=True)
        terminalreporter.write_line(reason)
