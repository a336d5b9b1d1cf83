"""Where the time of a plan goes, stage by stage: `python tests/speed/stages.py examples/trailer-socket`.

A flat profile: each line has the processor time spent in one stage and in what it calls, but for what another
line has, so that the lines of a column add up to its last line. Three columns, in milliseconds:

    planned     job read and planned in a fresh process, nothing drawn; importing is a stage like others
    and drawn   the same with all six files made: what a person at the command line waits for
    again       planned once more in the same process, nothing drawn: what was kept is not worked out again

Processor time, so that other work on the machine disturbs little; two runs differ by some percent all the
same. A sample is taken every 2 ms of it, so that a stage of a few ms is told roughly. Which code a stage is:
`STAGES` below. Nothing here passes or fails by time.
"""

from __future__ import annotations

import argparse
import gc
import signal
import time
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from types import FrameType

EVERY_S = 0.002
LEAST_MS = 5.0
"""A stage that takes less than this in every column has no line of its own."""
COLLECT_AFTER = 200_000
"""After how many new objects garbage is looked for: as the command has it."""
IMPORTING, OTHER = "importing", "all else"
PACKAGE = str(Path(__file__).resolve().parents[2] / "router") + "/"

STAGES = {
    "job, vehicle, practice: read": "reading/",
    "ground, supports, passes": "routing/free_space.py routing/loom routing/near routing/ground facts/",
    "sight graph of a ground": "search/prepared_layer.py search/rail_stops.py",
    "sight: what is seen from where": "search/sight_graph.py plane/sight.py",
    "one run alone": "search/path_search.py search/k_best.py search/once.py",
    "runs laid on a graph": "search/laid_graph.py:__init__",
    "one run beside others": "search/beside.py search/laid_graph.py",
    "trunks of two runs": "search/trunks.py",
    "joints and crossings slid": "search/polish.py search/crossing_points.py search/other_sides.py",
    "runs together: what is tried": "routing/job_search.py routing/laid_again.py routing/together.py",
    "branch points": "routing/branch_points.py search/branches.py",
    "route of a path": "routing/routes.py",
    "effort of routes": "routing/effort.py routing/member_crossings.py",
    "bends": "routing/easing.py routing/wide_bends.py routing/rounding.py",
    "bounds: edges, who sees whom": "search/bound/bound_layers.py search/bound/relaxed.py:relax",
    "bounds: what a leg costs": "search/bound/leg_costs.py",
    "bounds: edges split": "search/bound/relaxed.py search/bound/proof.py",
    "bounds: least efforts": "search/bound/distances.py",
    "bound of the whole job": "routing/job_bound.py search/bound/shared_paths.py",
    "conductors, looms, lengths, bill": "conductors/ looms/ lengths/ fitting/ bill/",
    "fixings": "fixings/",
    "review": "reviewing/",
    "why so, and how else": "explaining/",
    "map: labels": "drawing/labels/",
    "map and circuit": "drawing/",
    "sheet": "sheet/",
    "plan.json and tables": "writing/",
}
"""By stage: what its files under `router` begin with; with `:name`, only that function of them."""


def main() -> None:
    """Print the table of one job."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("job", type=Path, help="a job file, or a folder with a job.yaml in it")
    print("\n".join(table(columns(options.parse_args().job))))


def columns(job: Path) -> dict[str, Counter[str]]:
    """Return by column the processor time of each stage, in ms."""
    gc.set_threshold(COLLECT_AFTER)
    with samples() as planned:
        from router.planning import make_plan
        from router.reading import read_question

        question = read_question(job)
        asked = (question.job, question.profile, question.practice)
        plan = make_plan(*asked)
    with samples() as drawn:
        from router.writing import files_of_plan

        files_of_plan(plan)
    with samples() as again:
        make_plan(*asked)
    return {"planned": planned, "and drawn": planned + drawn, "again": again}


@contextmanager
def samples() -> Iterator[Counter[str]]:
    """Count the processor time of the stages that run inside, in ms.

    A signal that comes within a long call of a library is seen at its end, so that what counts is the time
    since the last one, not how many came.
    """
    spent: Counter[str] = Counter()
    last_s = time.process_time()

    def count(_signal: int, frame: FrameType | None) -> None:
        nonlocal last_s
        now_s = time.process_time()
        spent[stage_of(frame)] += 1e3 * (now_s - last_s)
        last_s = now_s

    before = signal.signal(signal.SIGPROF, count)
    signal.setitimer(signal.ITIMER_PROF, EVERY_S, EVERY_S)
    try:
        yield spent
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, before)


def stage_of(frame: FrameType | None) -> str:
    """Return the stage of the innermost function that belongs to one."""
    while frame is not None:
        stage = stage_of_code(frame.f_code.co_filename, frame.f_code.co_name)
        if stage:
            return stage
        frame = frame.f_back
    return OTHER


@cache
def stage_of_code(path: str, function: str) -> str | None:
    """Return the stage that a function belongs to by itself, if it does; a named one before a whole file."""
    if path.startswith("<frozen importlib"):
        return IMPORTING
    if function == "<module>" or not path.startswith(PACKAGE):
        return None  # a module's own lines run when it is imported
    found = [
        (":" in each, stage)
        for stage, code in STAGES.items()
        for each in code.split()
        if path[len(PACKAGE) :].startswith(each.partition(":")[0])
        and each.partition(":")[2] in ("", function)
    ]
    return max(found, key=lambda each: each[0])[1] if found else None


def table(spent_ms: Mapping[str, Mapping[str, float]]) -> Iterator[str]:
    """Yield the lines of the table, the stages in the order of a plan.

    Parameters
    ----------
    spent_ms : mapping of str to mapping of str to float
        By column and stage. [ms]
    """
    yield f"{'ms of processor time':34}" + "".join(f"{column:>14}" for column in spent_ms)
    for stage in (IMPORTING, *STAGES, OTHER):
        row = [column.get(stage, 0.0) for column in spent_ms.values()]
        if max(row) >= LEAST_MS:
            yield f"{stage:34}" + "".join(f"{ms:14.0f}" for ms in row)
    totals = [sum(column.values()) for column in spent_ms.values()]
    yield f"{'together':34}" + "".join(f"{ms:14.0f}" for ms in totals)


if __name__ == "__main__":
    main()
