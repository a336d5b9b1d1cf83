"""The command `lesson`: training sheets about a job."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING

import click

from router.cli.options import PATH, drawing_options, practice_option, trust_option
from router.cli.terminal import progress
from router.errors import UnreadableError

if TYPE_CHECKING:
    from router.model.lesson import Lesson
    from router.reading import Question


@click.command()
@click.argument("profile")
@click.argument("job", type=PATH)
@click.option("--variant", metavar="NAME", help="Take this variant of PROFILE, not the job's.")
@click.option(
    "--out", type=PATH, default="lesson", show_default=True, metavar="DIR",
    help="Folder for the sheets.",
)  # fmt: skip
@click.option(
    "--seed",
    type=click.IntRange(0),
    default=1,
    show_default=True,
    help="The same number gives the same questions, another one others.",
)
@click.option(
    "--faults",
    type=click.IntRange(1, 24),
    default=6,
    show_default=True,
    help='How many times "what is wrong with this one" is asked.',
)
@drawing_options
@practice_option
@trust_option
def lesson(
    profile: str,
    job: Path,
    variant: str | None,
    out: Path,
    seed: int,
    faults: int,
    seen_from: str,
    paper: str,
    practice_path: Path | None,
    trusts_paths: bool,
) -> None:
    """Make training sheets about JOB on PROFILE, a name in the library or a file.

    Writes map-blank.svg to draw on, questions.html (which of three routes, where to fix, what is
    wrong with this one) and answers.html, each answer with its reason, its rule and the rule's source.

    \b
    Examples:
      underbody lesson dunlin-lwb examples/fridge-supply --out lesson
      underbody lesson godwit-pickup examples/trailer-socket --seed 7 --faults 10

    What trainees draw over the blank map is marked by: underbody review JOB FOLDER --out marks

    Exit code 1: there is no route or no conductor to teach. 2: a file cannot be read or written.
    """
    question = _question(profile, variant, job, practice_path, trusts_paths=trusts_paths)

    from router.lessons import files_of_lesson, make_lesson
    from router.planning import make_plan
    from router.writing import write_whole

    progress(f"planning {question.job.name} on {question.profile.name}")
    plan = make_plan(question.job, question.profile, question.practice)
    progress("breaking what was planned")
    made = make_lesson(plan, seed=seed, faults=faults)
    files = {
        out / name: content
        for name, content in files_of_lesson(made, seen_from=seen_from, paper=paper).items()
    }
    write_whole(files)
    count = len(made.routes) + len(made.fixings) + len(made.faults)
    click.echo(
        f"{count} questions: {len(made.routes)} which route, {len(made.fixings)} where to fix, "
        f"{len(made.faults)} what is wrong"
    )
    if len(made.faults) < made.faults_asked:
        click.echo(_too_few(made))
    click.echo("\n".join(f"written: {path}" for path in files))


def _too_few(made: Lesson) -> str:
    """Return how many faults are missing, and why no more kinds of them could be made."""
    from router.sheet import KIND_WORDS

    by_reason: dict[str, list[str]] = {}
    for each in made.unmade:
        by_reason.setdefault(each.why, []).append(KIND_WORDS[each.kind])
    reasons = [f"{why}: {', '.join(kinds)}" for why, kinds in by_reason.items()]
    words = f"only {len(made.faults)} of {made.faults_asked} faults asked for could be made"
    return "\n  ".join([words, *reasons])


def _question(
    profile: str, variant: str | None, job: Path, practice_path: Path | None, *, trusts_paths: bool
) -> Question:
    """Return the job on that vehicle; in the variant that the job itself names, where it is for that one."""
    from router.reading import read_profile, read_question

    vehicle = read_profile(profile, variant)
    if variant is None:
        with contextlib.suppress(UnreadableError):
            own = read_question(job, practice_path, trusts_paths=trusts_paths)
            if own.profile.key == vehicle.key:
                return own
    return read_question(job, practice_path, vehicle, trusts_paths=trusts_paths)
