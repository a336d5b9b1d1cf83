"""Folders of routes: trainees' marked in one go, standard routes reviewed one line each."""

from __future__ import annotations

import contextlib
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from router.cli.options import drawn_as
from router.cli.terminal import DONE, NO_ANSWER, UNREADABLE, print_columns, print_json, progress
from router.errors import NoAnswerError, UnreadableError

if TYPE_CHECKING:
    from router.drawing import DrawingOptions
    from router.model.review import MarkedRoute

OUR_OWN = ("map.svg", "map-blank.svg", "circuit.svg")
"""Drawings that plan writes; nobody drew on them under these names."""
MARKS_PAGE = "marks.html"
_FOR_ONE_JOB = "drawings, and routes that name no job, are for one that you name: underbody review JOB"


def mark_folder(
    folder: Path,
    job: Path,
    practice_path: Path | None,
    out: Path | None,
    options: DrawingOptions,
    *,
    trusts_paths: bool,
    ignores_fixings: bool,
    as_json: bool,
) -> int:
    """Mark every route file and drawing of a folder for one job; the worst of their exit codes.

    Pages that would lie among the routes go into a folder of their own there.
    """
    from router.judging import common_mistakes
    from router.sheet import make_marks
    from router.writing import marks_data, marks_rows, mistake_words, write_whole

    files = [*_route_files(folder), *(p for p in sorted(folder.glob("*.svg")) if p.name not in OUR_OWN)]
    if not files:
        raise click.UsageError(f"there is no route file and no drawing in {folder}")
    files.sort(key=lambda path: path.name)
    marked = _marked(files, job, practice_path, trusts_paths=trusts_paths, ignores_fixings=ignores_fixings)
    mistakes = common_mistakes(marked)
    pages = {}
    if out and out.resolve() == folder.resolve():
        out = out / "marks"
    if out:
        pages = {out / MARKS_PAGE: make_marks(marked, mistakes).encode(), **_own_pages(out, marked, options)}
    write_whole(pages)
    if as_json:
        print_json(marks_data(marked, mistakes))
    else:
        print_columns([("route", "mark", "verdict", "findings"), *marks_rows(marked)])
        click.echo(mistake_words(marked, mistakes))
        if out:
            click.echo(f"written into {out}: marks.html, and a page with a map for each of {len(pages) - 1}")
    if any(each.judgement is None for each in marked):
        return UNREADABLE
    return DONE if all(each.judgement and each.judgement.stands for each in marked) else NO_ANSWER


def _own_pages(folder: Path, marked: list[MarkedRoute], options: DrawingOptions) -> dict[Path, bytes]:
    """Return a page for each marked route that could be read: its findings, on the map too."""
    from router.drawing import draw_judgement
    from router.sheet import make_review

    pages = {}
    for each in marked:
        if each.judgement:
            progress(f"drawing {each.name}")
            drawn = drawn_as(draw_judgement, each.judgement, options.for_a_page())
            pages[folder / each.page] = make_review(each.judgement, drawn, MARKS_PAGE).encode()
    return pages


def review_standards(folder: Path, practice_path: Path | None, *, trusts_paths: bool, as_json: bool) -> int:
    """Review every route file of a folder, and those further down that name a job; one line each."""
    from router.judging import judge_route
    from router.reading import job_of_route, names_a_job, read_question, read_route
    from router.writing import review_data, review_line

    routes = _standard_routes(folder)
    if not routes:
        words = f"there is no route file in {folder}, and none in its folders that names a job"
        raise click.UsageError(f"{words}; {_FOR_ONE_JOB} {folder}")
    results, code, adrift = [], DONE, 0
    for path in routes:
        name = path.relative_to(folder).as_posix()
        try:
            job = job_of_route(path, trusts_paths=trusts_paths)
            question = read_question(job, practice_path, trusts_paths=trusts_paths)
            drawn = read_route(path, question.job, question.profile)
        except UnreadableError as error:
            click.echo(str(error), err=True)
            if not as_json:
                click.echo(f"{name}: CANNOT BE READ, {_count(error)} listed")
            code = UNREADABLE
            adrift += not names_a_job(path)
            continue
        judged = judge_route(question.job, question.profile, question.practice, drawn)
        results.append({"file": name, **review_data(judged)})
        code = code if judged.stands else max(code, NO_ANSWER)
        if not as_json:
            click.echo(review_line(name, judged))
    if as_json:
        print_json(results)
    if adrift:
        click.echo(f"{_FOR_ONE_JOB} {folder}", err=True)
    return code


def _route_files(folder: Path) -> list[Path]:
    from router.reading import is_route

    return [path for path in sorted(folder.glob("*.yaml")) if is_route(path)]


def _standard_routes(folder: Path) -> list[Path]:
    """Return the route files of a folder, then those further down; there, what was only planned is none."""
    from router.reading import names_a_job

    deeper = (path for path in sorted(folder.rglob("*.yaml")) if path.parent != folder)
    return [*_route_files(folder), *(path for path in deeper if names_a_job(path))]


def _marked(
    files: list[Path], job: Path, practice_path: Path | None, *, trusts_paths: bool, ignores_fixings: bool
) -> list[MarkedRoute]:
    """Return each file marked beside the same plan; one that cannot be read with its faults."""
    from router.judging import judge_route
    from router.model.review import MarkedRoute
    from router.planning import make_plan
    from router.reading import read_question, read_route

    question = read_question(job, practice_path, trusts_paths=trusts_paths)
    asked = (question.job, question.profile, question.practice)
    planned = None
    progress(f"planning {question.job.name}, to compare with")
    with contextlib.suppress(NoAnswerError):  # what was drawn is judged all the same
        planned = make_plan(*asked)
    marked = []
    for path in files:
        progress(f"marking {path.name}")
        try:
            drawn = read_route(path, question.job, question.profile)
        except UnreadableError as error:
            click.echo(str(error), err=True)
            marked.append(MarkedRoute(path.stem, None, tuple(str(fault) for fault in error.faults)))
            continue
        drawn = replace(drawn, name=path.stem, ignores_fixings=ignores_fixings)
        judged = judge_route(*asked, drawn, planned)
        marked.append(MarkedRoute(path.stem, judged, page=f"{path.name}.html"))
    return marked


def _count(error: UnreadableError) -> str:
    count = len(error.faults)
    return f"{count} fault{'s' * (count > 1)}"
