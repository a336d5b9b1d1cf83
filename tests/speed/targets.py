"""What must be fast, how fast, and how that is measured: every target with its figure.

A target is only met where all of it was measured. In the quick mode there are fewer repeats, and what takes
longer than there is time for is stopped, or measured at its smallest sizes: its name says so.
"""

from __future__ import annotations

import compileall
import itertools
import json
import math
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from clocks import ROOT, process_ms

THIRD_PARTY = "import click, numpy, shapely, svgwrite, yaml\nfrom pydantic import BaseModel"
TINY_PROGRAM = "import click\nclick.command()(lambda: None)(['--help'])"
KEEP_OUTS, RUNS = (60, 120, 240, 480), (1, 2, 3, 4, 8, 16)
STOPPED = "stopped, takes more"
VEHICLES = ("fridge-supply", "trailer-socket")


@dataclass(frozen=True, slots=True)
class Target:
    """What must be no more than so much."""

    key: str
    name: str
    most: float


@dataclass(frozen=True, slots=True)
class Figure:
    """What was measured of a target, in words where that is not all of it."""

    value: float | None
    how: str = ""
    is_whole: bool = True
    """Whether it was all measured; what was stopped takes at least its value."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How much is measured, and for how long at most. [s]"""

    cold_starts: int
    moves: int
    cold_s: Mapping[str, float]
    """By example: after how long its cold plan is stopped; without it, never."""
    until_s: tuple[float, float]
    """When plans of examples are stopped, and those of what grows, after the beginning of all."""


WHOLE = Effort(9, 40, {}, (math.inf, math.inf))
QUICK = Effort(2, 3, {"fridge-supply": 9.0, "trailer-socket": 4.0}, (36.0, 45.5))

TARGETS = (
    Target("cold libraries", "cold plan of fridge-supply, times the import of the libraries it needs", 3.0),
    Target("cold fridge-supply", "cold plan of fridge-supply, wall time, s", 1.0),
    Target("cold trailer-socket", "cold plan of trailer-socket, wall time, s", 2.2),
    Target("help", "--help, times that of a tiny program of click", 1.5),
    Target("warm fridge-supply", "warm plan of fridge-supply, not drawn, ms", 250.0),
    Target("warm trailer-socket", "warm plan of trailer-socket, not drawn, ms", 1000.0),
    Target("drawn fridge-supply", "warm plan of fridge-supply with map and sheet, ms", 400.0),
    Target("drawn trailer-socket", "warm plan of trailer-socket with map and sheet, ms", 1400.0),
    Target("moved fridge-supply", "end of fridge-supply moved, whole plan again, not drawn, ms", 120.0),
    Target("moved trailer-socket", "end of trailer-socket moved, whole plan again, not drawn, ms", 450.0),
    Target("way", "way alone to an end moved, ms", 15.0),
    Target("sheet", "sheet of one run of work-lamp-rear-battery drawn again, ms", 80.0),
    Target("factors", "different factors, times one factor", 2.0),
    Target("keep-outs", "plan time over keep-outs, exponent", 1.0),
    Target("memory", "largest memory at 480 keep-outs, MB", 250.0),
    Target("runs", "plan time over runs, exponent", 1.3),
    Target("fewer runs", "plan of fewer runs, times that of the next more", 1.0),
)

Times = list[tuple[float, float]]
"""Processor time and wall time of each run of a process. [ms]"""
Told = list[tuple[str, float, bool]]
"""What a measuring process printed: name, number, whether it was stopped."""


def told(figures: Mapping[str, Figure], targets: Iterable[Target] = TARGETS) -> dict[str, Any]:
    """Return every target with its figure, as data; KeyError where one has none.

    Parameters
    ----------
    figures : mapping of str to Figure
        By the target's key.
    targets : iterable of Target
    """
    return {"targets": [_told(target, figures[target.key]) for target in targets]}


def _told(target: Target, figure: Figure) -> dict[str, Any]:
    is_met = figure.is_whole and figure.value is not None and figure.value <= target.most
    name = f"{target.name} ({figure.how})" if figure.how else target.name
    value = None if figure.value is None else float(f"{figure.value:.4g}")
    return {"name": name, "value": value, "target": target.most, "met": is_met}


def measured(factor_ratio: Callable[[], float], effort: Effort) -> dict[str, Figure]:
    """Measure all targets.

    Parameters
    ----------
    factor_ratio : callable
        Measures what different factors take, times one factor.
    effort : Effort
        How much is measured.
    """
    begun = time.time()
    figures = {"factors": Figure(factor_ratio())} | _cold(effort)
    with ThreadPoolExecutor(2) as both:  # processor time is counted, so that two may run side by side
        jobs = [both.submit(_processes, vehicle, growing, effort, begun) for vehicle, growing in _SIDES]
        (fridge, keep_outs), (trailer, runs) = (job.result() for job in jobs)
    return figures | _warm({"fridge-supply": fridge, "trailer-socket": trailer}) | grown(keep_outs, runs)


_SIDES = ((VEHICLES[0], ("keep-outs", KEEP_OUTS)), (VEHICLES[1], ("runs", RUNS)))


# --- cold starts -------------------------------------------------------------------------------------------


def _cold(effort: Effort) -> dict[str, Figure]:
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "PYTHONPATH": str(ROOT)}
        underbody, out = [sys.executable, "-m", "router"], str(Path(folder) / "out")
        compileall.compile_dir(ROOT / "router", quiet=1)  # as an installed package is

        def times(command: list[str], name: str = "") -> Times:
            return _repeated(command, environment, effort.cold_starts, effort.cold_s.get(name, math.inf))

        small = {
            "libraries": times([sys.executable, "-c", THIRD_PARTY]),
            "click": times([sys.executable, "-c", TINY_PROGRAM]),
            "help": times([*underbody, "--help"]),
        }
        plans = {
            name: times([*underbody, "plan", str(ROOT / "examples" / name), "--out", out], name)
            for name in VEHICLES
        }
    cpu_ms = {name: statistics.median(ms for ms, _ in runs) for name, runs in small.items()}
    figures = {
        f"cold {name}": _cold_plan([wall_ms / 1e3 for _, wall_ms in runs], name, runs, effort)
        for name, runs in plans.items()
    }
    fridge = [(cpu / cpu_ms["libraries"]) for cpu, _ in plans[VEHICLES[0]]]
    figures["cold libraries"] = _cold_plan(fridge, VEHICLES[0], plans[VEHICLES[0]], effort)
    return figures | {"help": Figure(cpu_ms["help"] / cpu_ms["click"])}


def _cold_plan(values: list[float], name: str, runs: Times, effort: Effort) -> Figure:
    """Return the least of what the cold plans of an example come to; stopped ones are not whole."""
    is_stopped = runs[-1][1] / 1e3 >= effort.cold_s.get(name, math.inf)
    how = STOPPED if is_stopped else f"least of {len(runs)}"
    return Figure(min(values), how, is_whole=not is_stopped)


def _repeated(command: list[str], environment: dict[str, str], cold_starts: int, most_s: float) -> Times:
    """Return processor and wall times of a command, without the first, after which its files are at hand.

    What takes so long that it cannot be repeated in time counts by the first.
    """
    found: Times = []
    begun = time.monotonic()
    for _ in range(cold_starts + 1):
        if found and found[-1][1] / 1e3 > most_s - (time.monotonic() - begun):
            break
        found.append(process_ms(command, environment, None if most_s == math.inf else most_s))
    return found[1:] or found


# --- warm processes ----------------------------------------------------------------------------------------


def _processes(
    vehicle: str, growing: tuple[str, tuple[int, ...]], effort: Effort, begun: float
) -> tuple[Told, Told]:
    """Return what two processes print, one after the other: an example, then something that grows."""
    what, counts = growing
    first = _process(["example", vehicle, str(effort.moves)], begun + effort.until_s[0])
    second = _process([what, ",".join(map(str, counts)), "-"], begun + effort.until_s[1])
    return first, second


def _process(words: list[str], until: float) -> Told:
    command = [sys.executable, str(Path(__file__).with_name("measured_jobs.py")), *words, str(until)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True, cwd=ROOT, env=environment)
    return [tuple(json.loads(line)) for line in done.stdout.splitlines()]


def _warm(said: Mapping[str, Told]) -> dict[str, Figure]:
    figures: dict[str, Figure] = {}
    for vehicle, lines in said.items():
        (warm_ms, is_stopped), files_ms = _only(lines, "warm"), _only(lines, "files")[0]
        how = STOPPED if is_stopped else ""
        figures[f"warm {vehicle}"] = Figure(warm_ms, how, is_whole=not is_stopped)
        drawn_ms = None if warm_ms is None else warm_ms + (files_ms or 0.0)
        figures[f"drawn {vehicle}"] = Figure(drawn_ms, how, is_whole=files_ms is not None)
        figures[f"moved {vehicle}"] = moved([line for line in lines if line[0] == "moved"])
    fridge = said[VEHICLES[0]]
    for key in ("way", "sheet"):
        value, _ = _only(fridge, key)
        figures[key] = Figure(value, "" if value else "no time for it", is_whole=value is not None)
    return figures


def _only(lines: Told, name: str) -> tuple[float | None, bool]:
    return next(((number, stopped) for each, number, stopped in lines if each == name), (None, False))


def moved(lines: Told) -> Figure:
    """Return the 95th percentile of what moves took; of those that were stopped, what they took so far."""
    if not lines:
        return Figure(None, "no time for a move", is_whole=False)
    times_ms = [number for _, number, _ in lines]
    is_stopped = any(stopped for *_, stopped in lines)
    how = f"95th percentile of {len(lines)} moves" + (f", the last {STOPPED}" if is_stopped else "")
    return Figure(float(np.percentile(times_ms, 95)), how, is_whole=not is_stopped)


# --- growth ------------------------------------------------------------------------------------------------


def grown(keep_outs: Told, runs: Told) -> dict[str, Figure]:
    """Return how plan time and memory grow.

    Parameters
    ----------
    keep_outs, runs : Told
        What was printed of plans with ever more of them.
    """
    by_keep_outs, by_runs = _whole(keep_outs, "keep-outs"), _whole(runs, "runs")
    memory, counts = _whole(keep_outs, "memory"), sorted(by_runs)
    ratios = [by_runs[few] / by_runs[many] for few, many in itertools.pairwise(counts)]
    last = max(memory, default=None)
    return {
        "keep-outs": _exponent(by_keep_outs, KEEP_OUTS),
        "memory": Figure(
            None if last is None else memory[last],
            "" if last == KEEP_OUTS[-1] else f"only at {last}",
            is_whole=last == KEEP_OUTS[-1],
        ),
        "runs": _exponent(by_runs, RUNS),
        "fewer runs": Figure(max(ratios, default=None), _sizes(counts, RUNS), is_whole=counts == [*RUNS]),
    }


def _whole(lines: Told, what: str) -> dict[int, float]:
    """Return by count what was not stopped."""
    split = [(name.rsplit(" ", 1), number) for name, number, stopped in lines if not stopped]
    return {int(words[1]): number for words, number in split if words[0] == what}


def _exponent(times_ms: Mapping[int, float], asked: tuple[int, ...]) -> Figure:
    """Return the slope of time over count, both in logarithms."""
    counts = sorted(times_ms)
    how = _sizes(counts, asked)
    if len(counts) < 2:
        return Figure(None, how, is_whole=False)
    slope = np.polyfit(np.log(counts), np.log([times_ms[count] for count in counts]), 1)[0]
    return Figure(float(slope), how, is_whole=counts == [*asked])


def _sizes(counts: Sequence[int], asked: tuple[int, ...]) -> str:
    seen = ", ".join(map(str, counts)) or "none"
    return f"at {seen}" if counts == [*asked] else f"only at {seen}"
