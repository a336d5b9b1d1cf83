"""One process that measures jobs and prints a line of JSON a figure: a helper of `targets`.

    python tests/speed/measured_jobs.py example NAME MOVES UNTIL
    python tests/speed/measured_jobs.py keep-outs|runs COUNT,COUNT,... - UNTIL

A line is [name of the figure, number, whether it was stopped before it was whole]. UNTIL is the time of the
clock, in seconds since 1970, at which a plan is stopped; `inf` lets it go on. Times are processor time.
"""

from __future__ import annotations

import gc
import itertools
import json
import math
import resource
import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from clocks import ROOT, settle, timed
from dragging import drags_ms
from growth_worlds import grown_question

from router import NoAnswerError, Planner, PlanStoppedError, UnreadableError
from router.drawing import draw_map
from router.reading import read_question
from router.writing import files_of_plan

MOVED = {"fridge-supply": "refrigerator unit", "trailer-socket": "trailer socket"}
MOVES_MM = (50.0, 70.0, 90.0, 110.0, 130.0)
"""How far an end is moved; each in eight directions."""
LOOM_MM = 10.0
"""Outside of a usual loom, for the way alone."""
WITH_PARTS = "fridge-supply"
"""The example whose process measures the parts too."""
WHOLE_SHARE = 0.7
"""The share of the time there is after which the whole plan is stopped, so that some is left for a move."""
DRAGS = 60
DRAWN_AGAIN = 5
COLLECT_AFTER = 200_000
"""After how many new objects garbage is looked for: as the command has it."""


def main() -> None:
    """Measure what is asked for."""
    what, which, moves, until = sys.argv[1:]
    gc.set_threshold(COLLECT_AFTER)
    if what == "example":
        example(which, int(moves), float(until))
    else:
        growth(what, [int(count) for count in which.split(",")], float(until))


def tell(name: str, number: float, *, is_stopped: bool = False) -> None:
    """Print a figure."""
    print(json.dumps([name, number, is_stopped]), flush=True)


def planned(name: str, planner: Planner, until: float) -> Any:
    """Print what a plan takes in ms, and return it; None where it was stopped."""
    settle()
    start = time.process_time()
    try:
        plan = planner.plan(lambda: time.time() > until)
    except PlanStoppedError:
        plan = None
    tell(name, 1e3 * (time.process_time() - start), is_stopped=plan is None)
    return plan


def example(name: str, moves: int, until: float) -> None:
    """Measure a shipped example in a warm process: whole, drawn, an end moved."""
    begun = time.time()
    if name == WITH_PARTS:
        parts(ROOT / "examples" / name)
    planner = Planner(ROOT / "examples" / name)
    plan = planned("warm", planner, begun + WHOLE_SHARE * (until - begun))
    if plan is not None:
        files_of_plan(plan.record)  # what is made once for any drawing
        settle()
        tell("files", timed(lambda: files_of_plan(plan.record))[0])
    move(planner, MOVED[name], moves, until)


def parts(job: Path) -> None:
    """Measure the way alone, and one run's sheet of a small job."""
    answered = [ms for ms in drags_ms(read_question(job), LOOM_MM, DRAGS) if ms is not None]
    tell("way", statistics.median(answered))
    record = Planner(ROOT / "examples" / "work-lamp-rear-battery").answer().record
    one = replace(record, runs=record.runs[:1])
    tell("sheet", min(timed(lambda: draw_map(one))[0] for _ in range(DRAWN_AGAIN)))


def move(planner: Planner, terminal: str, moves: int, until: float) -> None:
    """Measure whole plans with an end moved so often; where it cannot be, the next place counts."""
    x, y = planner.asked[1].terminal(terminal).at
    directions = [math.pi * number / 4.0 for number in range(8)]
    places = [
        (x + far_mm * math.cos(turn), y + far_mm * math.sin(turn))
        for far_mm, turn in itertools.product(MOVES_MM, directions)
    ]
    done = 0
    for place in places:
        if done == moves:
            return
        try:
            planner.move(terminal, place)
            if planned("moved", planner, until) is None:
                return
        except (NoAnswerError, UnreadableError):
            continue
        done += 1


def growth(what: str, counts: list[int], until: float) -> None:
    """Measure plans with ever more keep-outs and one run, or ever more runs among 60 keep-outs."""
    warm_job, warm_profile = grown_question(20, 1)
    Planner(warm_job, profile=warm_profile).plan()
    for count in counts:
        job, profile = grown_question(count, 1) if what == "keep-outs" else grown_question(60, count)
        if planned(f"{what} {count}", Planner(job, profile=profile), until) is None:
            return
        tell(f"memory {count}", resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0)


if __name__ == "__main__":
    main()
