"""How many plans a second a fleet makes, and that neither time a plan nor memory grows with their number.

    .venv/bin/python tests/speed/fleet_bench.py [COUNT ...] [--executor NAME] [--workers N] [--keep DIR]

Every vehicle is another small invented one, so that every plan is made. Printed for each count: reading,
planning and finishing apart, plans a second, the largest memory of this process in its whole life (which the
largest count so far decides) and of the largest worker, and the size of the store. Read how the columns
change from row to row; the seconds are the machine's.
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from small_fleets import write_fleet  # noqa: E402

from router.fleet import plan_fleet  # noqa: E402
from router.reading import FleetReader  # noqa: E402

LOOK = {"seen_from": "below", "paper": "a4"}
HEADS = ("plans", "read s", "plan s", "finish s", "plans/s", "ms/plan", "peak MB", "worker MB", "store MB")


def measure(count: int, executor: str, workers: int | None, folder: Path) -> list[str]:
    """Return one row of the table: a fleet of so many different plans, made from nothing."""
    fleet, out = write_fleet(folder / "files", count, seed=count), folder / "out"
    marks = [time.monotonic()]

    def tell(far: object) -> None:
        if len(marks) == 1:
            marks.append(time.monotonic())
        marks[2:] = [time.monotonic()]

    started = time.monotonic()
    report, slips = plan_fleet(FleetReader(fleet), out, LOOK, executor=executor, workers=workers, tell=tell)
    ended = time.monotonic()
    assert report is not None and not slips and report.plans == count
    read_s, plan_s, finish_s = marks[1] - started, marks[2] - marks[1], ended - marks[2]
    own, worker = (
        resource.getrusage(who).ru_maxrss / 1024 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    store_mb = (out / "fleet.sqlite").stat().st_size / 1e6
    cells = (read_s, plan_s, finish_s, count / plan_s, 1000 * plan_s / count, own, worker, store_mb)
    return [str(count), *(f"{cell:.1f}" for cell in cells)]


def main() -> None:
    """Measure each count in a process of its own, so that no count is charged for another's memory."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("counts", nargs="*", type=int, default=[100, 1000])
    parser.add_argument("--executor", default="processes")
    parser.add_argument("--workers", type=int)
    parser.add_argument("--keep", type=Path, help="Keep the files in this folder.")
    parser.add_argument("--one", action="store_true", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.one:
        print(
            "  ".join(
                cell.rjust(9)
                for cell in measure(options.counts[0], options.executor, options.workers, options.keep)
            )
        )
        return
    print("  ".join(head.rjust(9) for head in HEADS))
    for count in options.counts:
        with tempfile.TemporaryDirectory() as made:
            folder = options.keep / str(count) if options.keep else Path(made)
            words = [
                sys.executable,
                __file__,
                str(count),
                "--one",
                "--executor",
                options.executor,
                "--keep",
                str(folder),
            ]
            words += ["--workers", str(options.workers)] if options.workers else []
            subprocess.run(words, check=True)


if __name__ == "__main__":
    main()
