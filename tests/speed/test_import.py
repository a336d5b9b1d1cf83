"""How long `import router` takes, by the processor's clock: who asks for nothing pays next to nothing."""

import subprocess
import sys

import pytest

MOST_S = 0.1
CODE = "import time; before = time.process_time(); import router; print(time.process_time() - before)"


@pytest.mark.speed
def test_import_takes_less_than_a_tenth_of_a_second():
    runs = [subprocess.run([sys.executable, "-c", CODE], check=True, capture_output=True) for _ in range(5)]
    assert min(float(run.stdout) for run in runs) < MOST_S
