"""The profile by stage tells every part of a plan apart; a file that was moved or is new shows here."""

import signal
import subprocess
import sys
from pathlib import Path

import pytest
from stages import OTHER, PACKAGE, STAGES, samples, stage_of_code

HERE = Path(__file__).parent
PLANNED_BY = ("routing", "search", "fixings", "reviewing", "drawing", "reading", "sheet", "writing")


def test_whatever_a_stage_names_is_there():
    named = [each.partition(":") for code in STAGES.values() for each in code.split()]
    missing = [path for path, _, _ in named if not any(Path(PACKAGE).glob(f"{path.rstrip('/')}*"))]
    functions = [(Path(PACKAGE, path), function) for path, _, function in named if function]
    undefined = [each for path, each in functions if f"def {each}(" not in path.read_text()]
    assert named
    assert missing == []
    assert undefined == []


def test_most_of_the_code_that_plans_and_draws_has_a_stage():
    files = [path for part in PLANNED_BY for path in Path(PACKAGE, part).rglob("*.py")]
    without = [path for path in files if stage_of_code(str(path), "any") is None]
    assert len(files) > 50
    assert len(without) < len(files) / 5


def test_a_named_function_comes_before_its_whole_file():
    path = PACKAGE + "search/laid_graph.py"
    assert stage_of_code(path, "__init__") == "runs laid on a graph"
    assert stage_of_code(path, "any") == "one run beside others"


def test_processor_time_is_told_and_no_signal_is_left_behind():
    before = signal.getsignal(signal.SIGPROF)
    with samples() as spent:
        sum(number * number for number in range(2_000_000))
    assert spent[OTHER] > 1.0
    assert signal.getsignal(signal.SIGPROF) == before
    assert signal.getitimer(signal.ITIMER_PROF) == (0.0, 0.0)


@pytest.mark.speed
def test_the_table_of_an_example_is_printed():
    command = [sys.executable, HERE / "stages.py", HERE.parents[1] / "examples" / "work-lamp-rear-battery"]
    printed = subprocess.run(command, check=True, capture_output=True, text=True).stdout.splitlines()
    assert "planned" in printed[0]
    assert printed[-1].startswith("together")
