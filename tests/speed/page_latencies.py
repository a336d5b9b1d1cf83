"""How soon the page is answered: `python tests/speed/page_latencies.py [EXAMPLE]...`, else all shipped.

For each end that a job's runs have, drags on a spiral round it, through the server's worker processes: alone,
and beside whole plans that are being made. Milliseconds from the question to the answer on the wall's clock,
as a finger has them, so that other work on the machine shows; beside them the processor time of a drag. Also
what the first state takes, and one after that. Nothing here passes or fails by time.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import math
import os
import statistics
import time
from collections.abc import Awaitable
from pathlib import Path
from typing import Any

from router.page.workers import Workers
from router.reading import read_question

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
DRAGS = 60
STEP_MM = 3.0


def processor_ms(pid: int | None) -> float:
    """Return the processor time that a process has used; NaN where the system does not tell. [ms]."""
    try:
        used = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()
    except OSError:
        return math.nan
    return 1e3 * (int(used[11]) + int(used[12])) / os.sysconf("SC_CLK_TCK")


async def timed_ms(work: Awaitable[Any]) -> tuple[float, Any]:
    """Return what a piece of work takes on the wall's clock, and its result."""
    start = time.perf_counter()
    result = await work
    return (time.perf_counter() - start) * 1e3, result


async def drags_ms(
    workers: Workers, texts: dict[str, Any], name: str, at: tuple[float, float]
) -> list[float]:
    """Return what each drag of an end takes but the first, for which the ground is made."""
    found = []
    for number in range(DRAGS + 1):
        turn, far_mm = number / 2.0, STEP_MM * number
        place = [at[0] + far_mm * math.cos(turn), at[1] + far_mm * math.sin(turn)]
        request = {"number": number, "terminal": name, "space": None, "at": place}
        found.append((await timed_ms(workers.way(texts, request)))[0])
    return found[1:]


def summary(values: list[float]) -> dict[str, float]:
    """Return the median and the 95th percentile."""
    return {
        "median": round(statistics.median(values), 1),
        "p95": round(statistics.quantiles(values, n=20)[-1], 1),
    }


async def measure(name: str) -> dict[str, Any]:
    """Return what the page waits for with one example."""
    folder = EXAMPLES / name
    question = read_question(folder)
    ends = dict.fromkeys(end for run in question.job.runs for end in (run.start, run.end))
    texts = {"profile": None, "job": (folder / "job.yaml").read_text(encoding="utf-8")}
    workers = Workers(folder)
    await workers.start()
    try:
        first_ms, _ = await timed_ms(workers.state(texts))
        then_ms, _ = await timed_ms(workers.state(texts))
        plan_ms, _ = await timed_ms(workers.plan(texts, 1, lambda _: None))
        alone, beside = [], []
        before_ms = processor_ms(workers.pids["live"])
        for end in ends:
            at = question.profile.terminal(end).at
            alone += await drags_ms(workers, texts, end, at)
            other = {**texts, "job": texts["job"].replace("12.6 V", f"12.{59 - len(beside) // DRAGS} V")}
            planning = asyncio.create_task(workers.plan(other, 2, lambda _: None))
            beside += await drags_ms(workers, texts, end, at)
            await planning
        used_ms = processor_ms(workers.pids["live"]) - before_ms
    finally:
        await workers.stop()
    mean = {"processor, mean": round(used_ms / len(alone + beside), 1)}
    states = {"first state": round(first_ms), "state": round(then_ms), "whole plan": round(plan_ms)}
    return {"example": name, **states, "drag": summary(alone), "drag beside a plan": summary(beside)} | mean


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    shipped = sorted(path.parent.name for path in EXAMPLES.glob("*/job.yaml"))
    parser.add_argument("examples", nargs="*", default=shipped)
    for each in parser.parse_args().examples:
        print(json.dumps(asyncio.run(measure(each))), flush=True)
