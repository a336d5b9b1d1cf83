"""How many plans a second a fleet makes, and that neither time a plan nor memory grows with their number.

    .venv/bin/python tests/speed/fleet_bench.py [COUNT ...] [--ready] [--executor NAME] [--keep DIR]

Every vehicle is another small invented one, so that every plan is made. Printed for each count: seconds of
reading, planning and finishing; plans a second; processor time a plan, of all processes, which other work on
the machine does not change; the largest memory of the fleet's own process and of its largest worker; the size
of the store. Read how the columns change from row to row; the seconds are the machine's.

With --ready only the first plan is worked out and every other question gets the same answer: what is left is
what a fleet itself costs, reading, keeping, lists and page, and shows what grows with the count and what does
not. With --keep the files stay in a folder, and a run that was stopped goes on.
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from small_fleets import write_fleet  # noqa: E402

import router.fleet.working  # noqa: E402
from router.drawing import ROLL_WIDTH_MM, DrawingOptions  # noqa: E402
from router.fleet import plan_fleet  # noqa: E402
from router.fleet.content import plan_folder  # noqa: E402
from router.fleet.working import PlanOutcome, plan_one  # noqa: E402
from router.reading import FleetReader, Question  # noqa: E402

OPTIONS = DrawingOptions("below", "a4", ROLL_WIDTH_MM, scale=None)
HEADS = ("plans", "read s", "plan s", "finish s", "plans/s", "cpu ms", "own MB", "worker MB", "store MB")


def ready_made() -> Callable[[str, Question, Mapping[str, str]], PlanOutcome]:
    """Return what answers every question as the first one, under its own name."""
    first: list[PlanOutcome] = []

    def answer(key: str, question: Question, options: DrawingOptions) -> PlanOutcome:
        if not first:
            first.append(plan_one(key, question, options))
        folder, profile = plan_folder(question, key), question.profile
        rows = {name: tuple((key, *row[1:]) for row in held) for name, held in first[0].rows.items()}
        head = rows["plans"][0]
        rows["plans"] = ((key, folder, profile.key, profile.name, *head[4:]),)
        return replace(first[0], key=key, folder=folder, rows=rows)

    return answer


def measure(count: int, executor: str, workers: int | None, folder: Path) -> list[str]:
    """Return one row of the table: a fleet of so many different plans."""
    fleet, out = write_fleet(folder / "files", count, seed=count), folder / "out"
    moments: list[float] = []
    started = time.monotonic()
    reader = FleetReader(fleet)
    report, failed = plan_fleet(
        reader,
        out,
        OPTIONS,
        executor=executor,
        workers=workers,
        on_progress=lambda _: moments.append(time.monotonic()),
    )
    ended = time.monotonic()
    assert report is not None and not failed and report.plans == count
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    cpu_s = sum(each.ru_utime + each.ru_stime for each in used)
    own_mb, worker_mb = (each.ru_maxrss / 1024 for each in used)
    read_s, plan_s, finish_s = moments[0] - started, moments[-1] - moments[0], ended - moments[-1]
    store_mb = (out / "fleet.sqlite").stat().st_size / 1e6
    cells = (read_s, plan_s, finish_s, count / plan_s, 1000 * cpu_s / count, own_mb, worker_mb, store_mb)
    return [str(count), *(f"{cell:.1f}" for cell in cells)]


def main() -> None:
    """Measure each count in a process of its own, so that no count is charged for another's memory."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("counts", nargs="*", type=int, default=[100, 1000])
    parser.add_argument("--executor", default="processes")
    parser.add_argument("--workers", type=int)
    parser.add_argument("--keep", type=Path, help="Keep the files in this folder.")
    parser.add_argument("--ready", action="store_true", help="Work out only the first plan.")
    parser.add_argument("--one", action="store_true", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.one:
        if options.ready:
            router.fleet.working.plan_one = ready_made()
            options.executor = "serial"
        row = measure(options.counts[0], options.executor, options.workers, options.keep)
        print("  ".join(cell.rjust(9) for cell in row), flush=True)
        return
    print("  ".join(head.rjust(9) for head in HEADS), flush=True)
    for count in options.counts:
        with tempfile.TemporaryDirectory() as made:
            folder = options.keep / str(count) if options.keep else Path(made)
            words = [sys.executable, __file__, str(count), "--one", "--executor", options.executor]
            words += ["--keep", str(folder)] + (["--ready"] if options.ready else [])
            words += ["--workers", str(options.workers)] if options.workers else []
            subprocess.run(words, check=True)


if __name__ == "__main__":
    main()
