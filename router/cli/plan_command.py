"""The command `plan`: map, circuit, sheet, bill, data and route file of a job."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from router.cli.options import (
    PATH,
    day,
    drawn_as,
    json_option,
    map_options,
    practice_option,
    share,
    trust_option,
)
from router.cli.terminal import DONE, NO_ANSWER, print_json, progress
from router.errors import NoAnswerError, NoRouteError
from router.tolerances import DEFAULT_GAP

if TYPE_CHECKING:
    from router.drawing import DrawingOptions
    from router.model.plan import Plan


BLANK_MAP = "map-blank.svg"


@click.command()
@click.argument("job", type=PATH)
@click.option(
    "--out",
    type=PATH,
    metavar="DIR",
    help="Folder for the files; without it, one beside the job: plan for a job.yaml, else NAME-plan.",
)
@click.option(
    "--gap",
    default=f"{100 * DEFAULT_GAP:g} %",
    show_default=True,
    callback=lambda _context, _option, text: share(text),
    help="How much more effort than the best possible a route may be proven to take; less takes longer.",
)
@click.option(
    "--date",
    metavar="YYYY-MM-DD",
    callback=lambda _context, _option, text: day(text),
    help="Date to print on map and sheet; without it, a line to write it on.",
)
@click.option(
    "--blank/--answer",
    "is_blank",
    help="Draw only map-blank.svg: the same map without routes, to fill in by hand.  [default: answer]",
)
@click.option("--png", "is_png", is_flag=True, help="Write every sheet of the map as a picture too.")
@click.option("--pdf", "is_pdf", is_flag=True, help="Write the map as a PDF too, a page for every sheet.")
@map_options
@practice_option
@trust_option
@json_option
def plan(
    job: Path,
    out: Path | None,
    gap: float,
    date: str,
    is_blank: bool,
    is_png: bool,
    is_pdf: bool,
    seen_from: str,
    paper: str,
    roll_width_mm: float,
    scale: float | None,
    practice_path: Path | None,
    trusts_paths: bool,
    as_json: bool,
) -> int:
    """Plan JOB: a job file, or a folder with a job.yaml in it.

    Writes map.svg, circuit.svg, sheet.html, bill.csv, plan.json and route.yaml, all of them or none, and
    prints a summary.
    With --json the plan is printed instead, and files are written only where --out says so.

    \b
    Examples:
      underbody plan examples/fridge-supply --out out
      underbody plan van-17.yaml --seen-from above --paper a3
      underbody plan van-17.yaml --scale 1:10
      underbody plan van-17.yaml --paper roll --roll-width "36 in"
      underbody plan van-17.yaml --json > van-17.json

    Exit code 0: planned, findings are printed. 1: there is no route or no conductor that keeps to the
    rules, and it says what blocks it; or the plan breaks a must-rule, and its files are written all the
    same. 2: a file cannot be read or written; every fault is listed.
    """
    from router.reading import read_question

    progress(f"reading {job}")
    question = read_question(job, practice_path, trusts_paths=trusts_paths)

    from router.drawing import DrawingOptions
    from router.planning import make_plan
    from router.writing import no_route_data, plan_data, write_whole

    progress(f"planning {question.job.name} on {question.profile.name}")
    folder = out if out or as_json else _folder_beside(job)
    try:
        made = make_plan(question.job, question.profile, question.practice, gap)
    except NoAnswerError as error:
        if as_json and isinstance(error, NoRouteError):
            print_json(no_route_data(error))
        if folder and (older := _older_files(folder)):
            words = f"what is in {folder} is from an earlier plan: {', '.join(older)}"
            raise NoAnswerError(f"{error.why}. Nothing is written; {words}") from error
        raise
    options = DrawingOptions(seen_from, paper, roll_width_mm, scale)
    files = (_blank_file if is_blank else _all_files)(made, folder, options, date) if folder else {}
    files |= {**(_pictures(files) if is_png else {}), **(_pdf(files) if is_pdf else {})}
    write_whole(files)
    if as_json:
        print_json(plan_data(made))
    elif is_blank:
        click.echo("\n".join(f"written: {path}" for path in files))  # a summary would tell the answer
    else:
        from router.writing import summarise

        click.echo(summarise(made, tuple(files)))
    return DONE if made.stands else NO_ANSWER


def _older_files(folder: Path) -> list[str]:
    """Return the names of what an earlier plan has left in a folder."""
    from router.writing import NAMES

    return [name for name in (*NAMES, BLANK_MAP) if (folder / name).is_file()]


def _pictures(files: dict[Path, bytes]) -> dict[Path, bytes]:
    """Return the sheets of the map among some files as pictures."""
    from router.drawing import NoRendererError, draw_pictures

    pictures: dict[Path, bytes] = {}
    for path in (path for path in files if path.suffix == ".svg"):
        try:
            drawn = draw_pictures(files[path].decode())
        except NoRendererError as error:
            raise click.UsageError(str(error)) from error
        pictures |= {
            path.with_name(f"{path.stem}-{number}.png"): one for number, one in enumerate(drawn, start=1)
        }
    return pictures


def _pdf(files: dict[Path, bytes]) -> dict[Path, bytes]:
    """Return the map among some files as a PDF."""
    from router.drawing import NoRendererError, NotPrintableError, draw_pdf

    maps = [path for path in files if path.suffix == ".svg"]
    try:
        return {path.with_suffix(".pdf"): draw_pdf(files[path].decode()) for path in maps}
    except (NoRendererError, NotPrintableError) as error:
        raise click.UsageError(str(error)) from error


def _all_files(plan: Plan, folder: Path, options: DrawingOptions, date: str) -> dict[Path, bytes]:
    from router.writing import files_of_plan

    files = drawn_as(partial(files_of_plan, date=date), plan, options)
    return {folder / name: content for name, content in files.items()}


def _blank_file(plan: Plan, folder: Path, options: DrawingOptions, date: str) -> dict[Path, bytes]:
    from router.drawing import draw_map

    drawn = drawn_as(partial(draw_map, date=date, is_blank=True), plan, options)
    return {folder / BLANK_MAP: drawn.encode()}


def _folder_beside(job: Path) -> Path:
    """Return where a job's files go by default: beside it, named so that two jobs never share one."""
    if job.is_dir():
        return job / "plan"
    return job.parent / ("plan" if job.name == "job.yaml" else f"{job.stem}-plan")
