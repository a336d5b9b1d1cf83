"""The command `review`: a drawn route, or standard routes, judged."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from router.cli.options import (
    PATH,
    drawn_as,
    json_option,
    map_options,
    practice_option,
    trust_option,
)
from router.cli.terminal import DONE, NO_ANSWER, print_json, progress
from router.errors import NoAnswerError

if TYPE_CHECKING:
    from router.drawing import DrawingOptions
    from router.model.review import FittedRun, Judgement


@click.command()
@click.argument("job", type=PATH)
@click.argument("route", type=PATH, required=False)
@click.option(
    "--out",
    type=PATH,
    metavar="DIR",
    help="Folder for review.html and map.svg, or for marks.html and a page a route (in marks, among routes).",
)
@click.option(
    "--as-fitted",
    type=PATH,
    metavar="LENGTHS.csv",
    help="Say how far the length allowances are off, by what was used (vehicle,run,used).",
)
@click.option("--approve-by", metavar="NAME", help="Make it a standard route, approved by NAME, in --out.")
@click.option("--approve-on", metavar="DATE", help="Day of the approval, e.g. 2026-03-14.")
@click.option("--way-only", is_flag=True, help="Judge the route only, not its fixings, for beginners.")
@map_options
@practice_option
@trust_option
@json_option
def review(
    job: Path,
    route: Path | None,
    out: Path | None,
    as_fitted: Path | None,
    approve_by: str | None,
    approve_on: str | None,
    way_only: bool,
    seen_from: str,
    paper: str,
    roll_width_mm: float,
    scale: float | None,
    practice_path: Path | None,
    trusts_paths: bool,
    as_json: bool,
) -> int:
    """Judge ROUTE, a route file or a drawing, against the vehicle and the rules of JOB.

    A drawing is the blank map (plan --blank) on which somebody drew open lines, saved as SVG by
    any drawing program; small dots on a line are fixings. In place of ROUTE a folder will do:
    a table of marks, the common mistakes counted, and in --out marks.html and for each route a
    page with its findings on the map. A folder of standard routes alone, with its subfolders,
    is reviewed for the jobs that they name: one line each.

    \b
    Examples:
      underbody review examples/fridge-supply drawn.yaml --out reviewed
      underbody review examples/fridge-supply trainees --out marks
      underbody review standard-routes
      underbody review van-17.yaml route.yaml --as-fitted lengths.csv

    Exit code 0: no must-rule is broken. 1: one is. 2: a file cannot be read or written.
    """
    from router.drawing import DrawingOptions

    options = DrawingOptions(seen_from, paper, roll_width_mm, scale)
    asked = _Asked(job, route, out, as_fitted, approve_by, approve_on, way_only, practice_path, trusts_paths)
    is_folder = (route or job).is_dir() and (route is not None or not (job / "job.yaml").is_file())
    fault = _folder_fault(asked) if is_folder else _route_fault(asked)
    if fault:
        raise click.UsageError(fault)
    return _review_folder(asked, options, as_json) if is_folder else _review_one(asked, options, as_json)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the command was asked to judge, and how."""

    job: Path
    route: Path | None
    out: Path | None
    as_fitted: Path | None
    approve_by: str | None
    approve_on: str | None
    way_only: bool
    practice_path: Path | None
    trusts_paths: bool


def _folder_fault(asked: _Asked) -> str | None:
    """Return what does not go together for a folder of routes."""
    if asked.as_fitted or asked.approve_by or asked.approve_on:
        return "--as-fitted and --approve-by are for one route, not for a folder"
    if asked.route is None and asked.way_only:
        return "--way-only is for what trainees drew, not for standard routes"
    if asked.route is None and asked.out:
        return "--out is for one route, or for a folder of routes of one job"
    return None


def _route_fault(asked: _Asked) -> str | None:
    """Return what does not go together for one route."""
    if asked.route is None:
        return f"name the job, and then its route or a folder of routes: underbody review {_both(asked.job)}"
    if (asked.approve_by is None) != (asked.approve_on is None) or (asked.approve_by and not asked.out):
        return "--approve-by, --approve-on and --out go together"
    if asked.approve_by and asked.way_only:
        return "a standard route is judged whole, without --way-only"
    return None


def _review_folder(asked: _Asked, options: DrawingOptions, as_json: bool) -> int:
    from router.cli.folders import mark_folder, review_standards

    if asked.route is None:
        return review_standards(
            asked.job, asked.practice_path, trusts_paths=asked.trusts_paths, as_json=as_json
        )
    return mark_folder(
        asked.route,
        asked.job,
        asked.practice_path,
        asked.out,
        options,
        trusts_paths=asked.trusts_paths,
        ignores_fixings=asked.way_only,
        as_json=as_json,
    )


def _review_one(asked: _Asked, options: DrawingOptions, as_json: bool) -> int:
    assert asked.route is not None
    judged = _judged(
        asked.job,
        asked.route,
        asked.practice_path,
        trusts_paths=asked.trusts_paths,
        is_exact=asked.approve_by is not None,
        ignores_fixings=asked.way_only,
    )
    fitted = _fitted(judged, asked.as_fitted) if asked.as_fitted else ()
    files = _review_files(judged, asked.out, options) if asked.out else {}
    if asked.out and asked.approve_by and asked.approve_on and judged.stands:
        standard = _approved(judged, asked.approve_by, asked.approve_on, asked.job, asked.out)
        files[asked.out / "standard.yaml"] = standard
    _tell_review(judged, fitted, files, as_json)
    if asked.approve_by and not judged.stands:
        click.echo("not approved: a must-rule is broken; put the route right first", err=True)
    return DONE if judged.stands else NO_ANSWER


def _both(named: Path) -> str:
    """Return the two names to write where only one was named: that of a route, or that of a job."""
    from router.reading import is_route

    return f"JOB {named}" if named.is_file() and is_route(named) else f"{named} ROUTE"


def _judged(
    job: Path,
    route: Path,
    practice_path: Path | None,
    *,
    trusts_paths: bool,
    is_exact: bool,
    ignores_fixings: bool,
) -> Judgement:
    """Return a route judged beside the planned one; without tolerance for the pen if it is to be approved."""
    from router.judging import judge_route
    from router.planning import make_plan
    from router.reading import read_question, read_route

    question = read_question(job, practice_path, trusts_paths=trusts_paths)
    drawn = replace(read_route(route, question.job, question.profile), ignores_fixings=ignores_fixings)
    if is_exact:
        drawn = replace(drawn, runs=tuple(replace(run, drawing_tolerance_mm=0.0) for run in drawn.runs))
    planned = None
    progress(f"planning {question.job.name}, to compare with")
    with contextlib.suppress(NoAnswerError):  # what was drawn is judged all the same
        planned = make_plan(question.job, question.profile, question.practice)
    return judge_route(question.job, question.profile, question.practice, drawn, planned)


def _approved(judged: Judgement, by: str, on: str, job: Path, folder: Path) -> bytes:
    from datetime import date

    from router.judging import approve
    from router.writing import route_bytes

    try:
        day = date.fromisoformat(on).isoformat()
    except ValueError:
        raise click.BadParameter(f'"{on}" is no date; write e.g. 2026-03-14') from None
    named = Path(os.path.relpath(job.resolve(), folder.resolve())).as_posix()
    return route_bytes(approve(judged, by, day), named)


def _fitted(judged: Judgement, path: Path) -> tuple[FittedRun, ...]:
    from router.lengths import LEAST_VEHICLES, compare_fitted
    from router.reading import read_used_lengths

    runs = {run.drawn.route.run: run for run in judged.runs}
    used = read_used_lengths(path, runs)
    few = [name for name, lengths in used.items() if len(lengths) < LEAST_VEHICLES]
    if few or not used:
        raise click.UsageError(f"{path} has too few lengths of {', '.join(few) or 'any run'}; two at least")
    return tuple(
        compare_fitted(name, runs[name].length_mm, runs[name].allowances_mm, lengths)
        for name, lengths in used.items()
    )


def _tell_review(
    judged: Judgement, fitted: Sequence[FittedRun], files: dict[Path, bytes], as_json: bool
) -> None:
    from router.writing import fitted_data, fitted_words, review_data, review_words, write_whole

    write_whole(files)
    if as_json:
        data = review_data(judged)
        print_json({**data, "as_fitted": [fitted_data(each) for each in fitted]} if fitted else data)
        return
    click.echo(review_words(judged))
    for each in fitted:
        click.echo(fitted_words(each))
    if files:
        click.echo(f"written into {next(iter(files)).parent}: {', '.join(path.name for path in files)}")


def _review_files(judged: Judgement, folder: Path, options: DrawingOptions) -> dict[Path, bytes]:
    from router.drawing import draw_judgement
    from router.sheet import make_review

    drawn = drawn_as(draw_judgement, judged, options)
    page = options.for_a_page()
    on_sheets = drawn if options == page else draw_judgement(judged, **page.keywords())
    return {
        folder / "map.svg": drawn.encode(),
        folder / "review.html": make_review(judged, on_sheets).encode(),
    }
