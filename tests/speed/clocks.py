"""Processor time of a piece of work and of a whole process."""

from __future__ import annotations

import contextlib
import gc
import resource
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Return the processor time that a piece of work takes, and its result. [ms]."""
    start = time.process_time()
    result = work()
    return (time.process_time() - start) * 1e3, result


def settle() -> None:
    """Let nobody's collection of garbage go through what was made before."""
    gc.collect()
    gc.freeze()


def process_ms(
    command: list[str], environment: dict[str, str], most_s: float | None = None
) -> tuple[float, float]:
    """Return the processor time and the wall time of a process. [ms].

    Parameters
    ----------
    command : list of str
    environment : dict of str to str
    most_s : float, optional
        Wall time after which it is ended; what it took then is returned. [s]
    """
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    with contextlib.suppress(subprocess.TimeoutExpired):
        subprocess.run(command, check=True, capture_output=True, env=environment, cwd=ROOT, timeout=most_s)
    after, stop = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    return (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime) * 1e3, (stop - start) * 1e3
