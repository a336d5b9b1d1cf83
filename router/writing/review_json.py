"""Reviews as plain data: of one route (format review/1), of many (marks/1), and of lengths as fitted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from router.model.plan import ClearanceCheck
from router.model.review import (
    FittedRun,
    JudgedFinding,
    JudgedRun,
    Judgement,
    MarkedRoute,
    Mistake,
    RouteChange,
)
from router.writing.plan_json import PLAN_RECORDS
from router.writing.record_schema import record_schema
from router.writing.records import Data, Form, RecordFormat

REVIEW_FORMAT = "review/1"
MARKS_FORMAT = "marks/1"


@dataclass(frozen=True, slots=True)
class _Vehicle:
    """Which vehicle it is."""

    key: str
    revision: int
    variant: str | None


@dataclass(frozen=True, slots=True)
class _Approved:
    """Who approved a standard route, when, and for which revision of the profile."""

    by: str
    on: str
    revision: int


@dataclass(frozen=True, slots=True)
class _ReviewedRun:
    """One run as judged, beside the planned one."""

    run: str
    loom_diameter_mm: float
    routed_mm: float
    planned_mm: float | None
    clearances: tuple[ClearanceCheck, ...]


@dataclass(frozen=True, slots=True)
class _Review:
    """A route judged against the vehicle and the rules of a job. Lengths in mm."""

    format: str
    route: str
    job: str
    profile: _Vehicle
    practice: str
    stands: bool
    mark: int
    drawn_to_mm: float
    way_only: bool
    approved: _Approved | None
    changes: tuple[RouteChange, ...]
    findings: tuple[JudgedFinding, ...]
    runs: tuple[_ReviewedRun, ...]
    saved: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Fitted:
    """How far the allowances of a run are off, by the lengths used on vehicles. Lengths in mm."""

    run: str
    vehicles: int
    planned_mm: float
    allowances_mm: float
    mean_mm: float
    spread_mm: float
    standard_uncertainty_mm: float
    expanded_uncertainty_mm: float
    is_proven: bool


RECORDS = RecordFormat(PLAN_RECORDS.keys, {**PLAN_RECORDS.forms, JudgedFinding: Form(merged=("finding",))})


def review_data(judgement: Judgement) -> Data:
    """Return a review as plain data in the format review/1; lengths in mm."""
    approval, profile = judgement.drawn.approval, judgement.profile
    review = _Review(
        format=REVIEW_FORMAT,
        route=judgement.drawn.name,
        job=judgement.job.name,
        profile=_Vehicle(profile.key, profile.revision, profile.variant),
        practice=judgement.practice.name,
        stands=judgement.stands,
        mark=judgement.mark,
        drawn_to_mm=judgement.drawn.drawing_tolerance_mm,
        way_only=judgement.drawn.ignores_fixings,
        approved=_Approved(approval.by, approval.on, approval.revision) if approval else None,
        changes=judgement.changes,
        findings=judgement.findings,
        runs=tuple(_reviewed(run) for run in judgement.runs),
        saved=judgement.saved,
    )
    return _data(RECORDS.write(review))


def review_schema() -> Data:
    """Return the JSON Schema (2020-12) of what `underbody review --json` prints about one route."""
    schema = record_schema(RECORDS, _Review)
    fitted = record_schema(RECORDS, _Fitted)
    properties = {
        **schema["properties"],
        "format": {"const": REVIEW_FORMAT},
        "as_fitted": {"type": "array", "items": {key: fitted[key] for key in fitted if key[0] != "$"}},
    }
    return {**schema, "title": REVIEW_FORMAT, "properties": properties}


def marks_data(marked: Sequence[MarkedRoute], mistakes: Sequence[Mistake]) -> Data:
    """Return marked routes as plain data in the format marks/1."""
    return {
        "format": MARKS_FORMAT,
        "routes": [
            {"name": each.name, "review": review_data(each.judgement) if each.judgement else None}
            | ({"faults": list(each.faults)} if each.faults else {})
            for each in marked
        ],
        "mistakes": [RECORDS.write(each) for each in mistakes],
    }


def fitted_data(fitted: FittedRun) -> Data:
    """Return how far a run's allowances are off as plain data. [mm]"""
    data = _Fitted(
        run=fitted.run,
        vehicles=fitted.count,
        planned_mm=fitted.planned_mm,
        allowances_mm=fitted.allowances_mm,
        mean_mm=fitted.mean_mm,
        spread_mm=fitted.spread_mm,
        standard_uncertainty_mm=fitted.standard_mm,
        expanded_uncertainty_mm=fitted.expanded_mm,
        is_proven=fitted.is_proven,
    )
    return _data(RECORDS.write(data))


def _reviewed(run: JudgedRun) -> _ReviewedRun:
    route = run.drawn.route
    return _ReviewedRun(route.run, run.loom_diameter_mm, route.routed_mm, run.planned_mm, run.clearances)


def _data(written: object) -> Data:
    assert isinstance(written, dict)  # a record
    return written
