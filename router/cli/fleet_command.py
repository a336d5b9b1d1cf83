"""The command `fleet`: the same jobs on many vehicles, planned, ordered and cut together."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from router.cli.options import PATH, drawing_options, json_option, practice_option, trust_option
from router.cli.terminal import DONE, NO_ANSWER, OWN_FAULT, UNREADABLE, print_json, progress

if TYPE_CHECKING:
    from router.fleet import FailedPlan, Progress


@click.command()
@click.argument("fleet", metavar="FLEET", type=PATH)
@click.option(
    "--out",
    type=PATH,
    metavar="DIR",
    help="Folder for the files; without it, one beside the fleet: fleet for a fleet.yaml, else NAME-fleet.",
)
@click.option(
    "--executor",
    default="processes",
    show_default=True,
    metavar="NAME",
    help="Where plans are made: serial, processes, or a dask scheduler such as tcp://10.0.0.5:8786.",
)
@click.option("--workers", type=click.IntRange(1, 1024), help="How many processes.  [default: one a core]")
@drawing_options
@practice_option
@trust_option
@json_option
def fleet(
    fleet: Path,
    out: Path | None,
    executor: str,
    workers: int | None,
    seen_from: str,
    paper: str,
    practice_path: Path | None,
    trusts_paths: bool,
    as_json: bool,
) -> int:
    """Plan every job on every vehicle of FLEET: a fleet file, or a folder with a fleet.yaml in it.

    Each different plan is made once. Stopped at any moment, it goes on where it was when run again.
    Writes fleet.html, order.csv, cuts.csv, kits.csv, fleet.sqlite, and a folder for each plan.

    \b
    Examples:
      underbody fleet examples/marram-bay-fleet --out out
      underbody fleet vans.yaml --executor tcp://10.0.0.5:8786

    Exit code 0: every plan is made. 1: some have no answer; it says which. 2: a file cannot be read
    or written; every fault is listed.
    """
    from router.drawing import ROLL_WIDTH_MM, DrawingOptions
    from router.fleet import FleetError, fleet_json, fleet_words, plan_fleet
    from router.reading import FleetReader

    progress(f"reading {fleet}")
    reader = FleetReader(fleet, practice_path, trusts_paths=trusts_paths)
    folder = out or _folder_beside(reader.path)
    options = DrawingOptions(seen_from, paper, ROLL_WIDTH_MM, scale=None)
    try:
        report, failed = plan_fleet(
            reader, folder, options, executor=executor, workers=workers, on_progress=_progress_printer()
        )
    except FleetError as error:
        click.echo(f"underbody: {error}", err=True)
        return UNREADABLE
    if report is None:
        _print_failed(failed)
        return OWN_FAULT
    if as_json:
        print_json(fleet_json(report))
    else:
        click.echo(fleet_words(report, f"written into {folder}"))
    return NO_ANSWER if report.no_answers else DONE


def _folder_beside(path: Path) -> Path:
    """Return where a fleet's files go by default: beside it, named so that two fleets never share one."""
    return path.parent / ("fleet" if path.name == "fleet.yaml" else f"{path.stem}-fleet")


def _progress_printer() -> Callable[[Progress], None]:
    """Return a function that prints progress to stderr, over its last line, if that is a terminal."""
    started = time.monotonic()

    def on_progress(far: Progress) -> None:
        if not sys.stderr.isatty():
            return
        done = far.kept + far.made
        words = f"planned {done} of {far.all}"
        if far.kept:
            words += f", {far.kept} of them before"
        if far.made and done < far.all:
            left_s = (time.monotonic() - started) / far.made * (far.all - done)
            words += f"; about {left_s / 60:.0f} min left" if left_s > 90 else f"; about {left_s:.0f} s left"
        click.echo(f"\r{words:<70}", err=True, nl=done >= far.all)

    return on_progress


def _print_failed(failed: tuple[FailedPlan, ...]) -> None:
    click.echo(
        "underbody: this is a fault of the program, please report it; finished plans are kept:", err=True
    )
    for plan in failed[:10]:
        click.echo(f"  {plan.vehicle}, {plan.job}: {plan.what}", err=True)
    if len(failed) > 10:
        click.echo(f"  ... and {len(failed) - 10} more", err=True)
