"""Plans of a fleet, made wherever an executor puts it: plain data in, plain data out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import nullcontext
from dataclasses import dataclass
from typing import Any, TypeAlias

from router.bill import list_entries
from router.drawing import DrawingOptions
from router.errors import NoAnswerError
from router.fleet.content import plan_folder, plan_key
from router.fleet.executors import OtherVersionError
from router.memory import Memory
from router.model.plan import Plan, RunPlan, Severity
from router.planning import make_plan
from router.reading import Question
from router.writing import files_of_plan

Row = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class PlanOutcome:
    """What came of one question: rows for the store by table, and the plan's files by name.

    Each row begins with the plan's key. Where there is no answer there are no files and only one row.
    """

    key: str
    folder: str
    rows: Mapping[str, tuple[Row, ...]]
    files: Mapping[str, bytes]


@dataclass(frozen=True, slots=True)
class Failure:
    """A question that this program could not work out, which is a fault of the program."""

    key: str
    what: str


Keyed: TypeAlias = tuple[str, Question]
"""A question, after the key of its plan."""


def plan_together(asked: tuple[Keyed, ...], options: DrawingOptions) -> tuple[PlanOutcome | Failure, ...]:
    """Return what came of each of some questions, one after the other; what one finds out, the next knows.

    What is known is forgotten at the end.

    Parameters
    ----------
    asked : tuple of (str, Question)
    options : DrawingOptions
        How a plan is drawn.

    Raises
    ------
    OtherVersionError
        As `plan_one`.
    """
    with Memory().in_use() if len(asked) > 1 else nullcontext():
        return tuple(_outcome_or_failure(key, question, options) for key, question in asked)


def _outcome_or_failure(key: str, question: Question, options: DrawingOptions) -> PlanOutcome | Failure:
    try:
        return plan_one(key, question, options)
    except OtherVersionError:
        raise
    except Exception as error:  # whatever it is: the others are planned all the same
        return Failure(key, f"{type(error).__name__}: {error}")


def plan_one(key: str, question: Question, options: DrawingOptions) -> PlanOutcome:
    """Return the outcome of one question; a question without an answer is an outcome too.

    Raises
    ------
    OtherVersionError
        Where the key is not what this program makes of the question: it was sent by another version.
    """
    if plan_key(question, options) != key:
        raise OtherVersionError("a worker runs another version of this program; install the same one there")
    folder = plan_folder(question, key)
    try:
        plan = make_plan(question.job, question.profile, question.practice)
        files = files_of_plan(plan, **options.keywords())
        bill = tuple(_bill(key, plan))
    except NoAnswerError as error:
        head = (*_head(key, folder, question), "no answer", error.why, *[None] * 8)
        return PlanOutcome(key, folder, {"plans": (head,)}, {})
    rows = {
        "plans": ((*_head(key, folder, question), "planned", "", *_figures(plan)),),
        "runs": tuple(_run(key, number, run) for number, run in enumerate(plan.runs, start=1)),
        "fixings": tuple(_fixings(key, plan)),
        "conductors": tuple(_conductors(key, plan)),
        "findings": tuple(_findings(key, plan)),
        "clearances": tuple(_clearances(key, plan)),
        "bill": bill,
    }
    return PlanOutcome(key, folder, rows, files)


def _head(key: str, folder: str, question: Question) -> Row:
    profile, job = question.profile, question.job
    spare = question.practice.value("bill", "spare")
    names = (profile.key, profile.name, profile.revision, profile.variant or "", job.name)
    return (key, folder, *names, question.practice.name, spare)


def _figures(plan: Plan) -> Row:
    tightest = plan.tightest(1)
    margin = (tightest[0].margin_mm, tightest[0].keep_out) if tightest else (None, None)
    counts = [sum(finding.severity is severity for finding in plan.findings) for severity in Severity]
    return (plan.effort_mm, plan.apart_effort_mm, plan.loom_diameter_mm, *margin, *counts)


def _run(key: str, number: int, run: RunPlan) -> Row:
    length = run.length
    margin_mm = min((check.margin_mm for check in run.clearances), default=None)
    fuse_a = run.fuse.rating_a if run.fuse else None
    lengths = (length.routed_mm, length.cut_mm, length.uncertainty_mm)
    figures = (run.route.effort_mm, run.route.gap, margin_mm, run.loom_diameter_mm, len(run.fixings), fuse_a)
    return (key, number, run.name, run.start, run.end, *lengths, *figures)


def _fixings(key: str, plan: Plan) -> Iterator[Row]:
    for run in plan.runs:
        for each in run.fixings:
            place = (each.station_mm, str(each.kind), each.support, each.space)
            yield key, run.name, each.number, *place, each.x_mm, each.y_mm, each.z_mm


def _conductors(key: str, plan: Plan) -> Iterator[Row]:
    for run in plan.runs:
        for each in run.conductors:
            size = (each.colour, each.size, each.area_mm2, each.length_mm, each.load_a)
            yield key, run.name, each.name, *size, each.drop_v, each.drop_fraction


def _findings(key: str, plan: Plan) -> Iterator[Row]:
    for number, each in enumerate(plan.findings, start=1):
        yield key, number, str(each.severity), each.kind, each.run, each.station_mm, each.what


def _clearances(key: str, plan: Plan) -> Iterator[Row]:
    for number, each in enumerate(plan.tightest(), start=1):
        place = (each.run, each.keep_out, str(each.hazard), each.required_mm, each.actual_mm)
        yield key, number, *place, each.station_mm


def _bill(key: str, plan: Plan) -> Iterator[Row]:
    """Yield all that is wanted, each piece by itself and without spare."""
    entries = list_entries(plan.job, plan.profile, plan.practice, plan.runs, plan.looms)
    for number, item in enumerate(entries, start=1):
        size = (item.size.name, item.size.measure) if item.size else (None, None)
        which = (item.conductor.run, item.conductor.name) if item.conductor else (None, None)
        amount = (item.quantity, item.unit, item.where, item.has_spare)
        yield key, number, item.item, item.spec, *amount, *size, *which
