"""The benchmark runs from end to end on its smallest world; no time is judged."""

import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.mark.speed
def test_the_benchmark_runs_on_the_smallest_world():
    command = [sys.executable, HERE / "bench.py", "one-factor", "--up-to", "20", "--peer-up-to", "0"]
    printed = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    assert "yardstick" in printed
    assert any(line.split()[:1] == ["20"] for line in printed.splitlines())
