"""Routes and reviews as text: a route file, a review's JSON and its words."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from router.model.plan import ClearanceCheck, Fixing, Passage, PassageKind, Plan, RoutePoint
from router.model.practice import Rule
from router.model.review import (
    Approval,
    DrawnRoute,
    DrawnRun,
    FittedRun,
    JudgedFinding,
    JudgedRun,
    Judgement,
    MarkedRoute,
    Mistake,
)
from router.units import tape_m

ROUTE_FORMAT = "route/1"
REVIEW_FORMAT = "review/1"
ROUTE_ONLY = "route only: fixings are not judged"
MARKS_FORMAT = "marks/1"
DECIMALS = 7
"""Of mm in a route file: a route that touches a clearance must still keep it when it is read again."""


PASS_WORDS = {
    PassageKind.OVER_MEMBER: "over",
    PassageKind.THROUGH_MEMBER: "through",
    PassageKind.OPENING: "opening",
}
"""The key of each kind of thing that a route file says is passed."""


def planned_route(plan: Plan) -> DrawnRoute:
    """Return the routes of a plan as a route that is drawn and not approved."""
    runs = tuple(
        DrawnRun(
            run.route,
            run.fixings,
            run.loom_diameter_mm,
            tuple(passage for passage in run.route.passages if passage.kind in PASS_WORDS),
        )
        for run in plan.runs
    )
    return DrawnRoute(plan.job.name, runs, None)


def route_yaml(drawn: DrawnRoute, job_path: str | None = None) -> bytes:
    """Return a route file (route/1) that reads back as the same route; `job_path` as seen from the file."""
    lines = [f"route: {_quoted(drawn.name)}", f"format: {ROUTE_FORMAT}"]
    if job_path:
        lines.append(f"job: {_quoted(job_path)}")
    lines.append("unit: mm")
    if drawn.approval:
        lines += _approval(drawn.approval)
    lines.append("runs:")
    for run in drawn.runs:
        lines += _run(run, is_approved=drawn.approval is not None)
    return ("\n".join(lines) + "\n").encode()


def review_json(judgement: Judgement) -> dict[str, Any]:
    """Return a review as plain data in the format review/1: lengths in mm, rounded to 0.001."""
    approval = judgement.drawn.approval
    by = {"by": approval.by, "on": approval.on, "revision": approval.revision} if approval else None
    return {
        "format": REVIEW_FORMAT,
        "route": judgement.drawn.name,
        "job": judgement.job.name,
        "profile": {
            "key": judgement.profile.key,
            "revision": judgement.profile.revision,
            "variant": judgement.profile.variant,
        },
        "practice": judgement.practice.name,
        "stands": judgement.stands,
        "mark": judgement.mark,
        "drawn_to_mm": round(judgement.drawn.drawing_tolerance_mm, 3),
        "way_only": judgement.drawn.ignores_fixings,
        "approved": by,
        "changes": [
            {"kind": str(each.kind), "run": each.run, "what": each.what} for each in judgement.changes
        ],
        "findings": [_finding_data(each) for each in judgement.findings],
        "runs": [_run_data(run) for run in judgement.runs],
        "saved": list(judgement.saved),
    }


def review_words(judgement: Judgement) -> str:
    """Return a review in lines for a terminal, the weightiest finding first."""
    drawn = judgement.drawn
    lines = [f"{drawn.name} on {judgement.profile.name}, revision {judgement.profile.revision}"]
    if drawn.approval:
        approval = drawn.approval
        lines.append(f"approved by {approval.by} on {approval.on} for revision {approval.revision}")
        lines += [f"  changed: {_of_run(each.run)}{each.what}" for each in judgement.changes]
    if drawing_tolerance_mm := judgement.drawn.drawing_tolerance_mm:
        lines.append(
            f"drawn on paper: shortfalls below {drawing_tolerance_mm:.0f} mm are ignored, "
            "as wide as the line of a pen"
        )
    if judgement.drawn.ignores_fixings:
        lines.append(ROUTE_ONLY)
    lines.append(f"mark: {judgement.mark} of 100")
    lines.append(f"findings: {len(judgement.findings)}" if judgement.findings else "findings: none")
    lines += [line for each in judgement.findings for line in _finding_lines(each)]
    lines += [f"the planned route would have saved {words}" for words in judgement.saved]
    lines.append(f"the route {'stands' if judgement.stands else 'falls'}")
    return "\n".join(lines)


def marks_rows(marked: Sequence[MarkedRoute]) -> list[tuple[str, str, str, str]]:
    """Return a row for each marked route: name, mark, verdict, kinds of findings with their counts."""
    rows = []
    for each in marked:
        judged = each.judgement
        if judged is None:
            rows.append((each.name, "-", "cannot be read", "see the faults of its file"))
            continue
        kinds = Counter(found.finding.kind for found in judged.findings)
        words = ", ".join(f"{kind} ({count})" if count > 1 else kind for kind, count in kinds.items())
        rows.append((each.name, str(judged.mark), "stands" if judged.stands else "falls", words or "none"))
    return rows


def mistake_words(marked: Sequence[MarkedRoute], mistakes: Sequence[Mistake]) -> str:
    """Return in lines the mean mark and what is wrong in common, the most common first."""
    marks = [each.judgement.mark for each in marked if each.judgement]
    lines = [f"mean mark: {sum(marks) / len(marks):.0f} of 100, over {len(marks)} routes"] if marks else []
    for each in mistakes:
        lines.append(
            f"{each.kind}: in {each.routes} of {len(marks)}, findings: {each.findings}; e.g. {each.example}"
        )
    return "\n".join(lines)


def marks_json(marked: Sequence[MarkedRoute], mistakes: Sequence[Mistake]) -> dict[str, Any]:
    """Return marked routes as plain data in the format marks/1."""
    return {
        "format": MARKS_FORMAT,
        "routes": [
            {"name": each.name, "review": review_json(each.judgement) if each.judgement else None}
            | ({"faults": list(each.faults)} if each.faults else {})
            for each in marked
        ],
        "mistakes": [
            {"kind": m.kind, "routes": m.routes, "findings": m.findings, "example": m.example}
            for m in mistakes
        ],
    }


def review_line(name: str, judgement: Judgement) -> str:
    """Return one line about one route of many."""
    verdict = "stands" if judgement.stands else "FALLS"
    worst = [each.finding for each in judgement.findings if each.finding.severity == "must"][:1]
    why = [f"{_of_run(finding.run)}{finding.what}{_at(finding.station_mm)}" for finding in worst]
    why += [f"{_of_run(each.run)}{each.what}" for each in judgement.changes[: 2 - len(why)]]
    return f"{name}: {verdict}, {judgement.mark} of 100" + (f"; {'; '.join(why)}" if why else "")


def _at(station_mm: float | None) -> str:
    return "" if station_mm is None else f" (at {station_mm / 1000:.2f} m)"


def _of_run(run: str | None) -> str:
    return f"{run}: " if run else ""


def _finding_lines(judged: JudgedFinding) -> Iterator[str]:
    finding = judged.finding
    where = "" if finding.station_mm is None else f" at {tape_m(finding.station_mm)} m"
    yield f"  {finding.severity} ({judged.taken}) {finding.run or 'job'}{where}: {finding.what}"
    rule = f"; rule {finding.rule.name}, {finding.rule.source}" if finding.rule else ""
    yield f"      {finding.kind}: asked {finding.required}, found {finding.actual}{rule}"


def _finding_data(judged: JudgedFinding) -> dict[str, Any]:
    finding = judged.finding
    return {
        "kind": finding.kind,
        "severity": str(finding.severity),
        "points": judged.points,
        "run": finding.run,
        "station": None if finding.station_mm is None else round(finding.station_mm, 3),
        "what": finding.what,
        "required": finding.required,
        "actual": finding.actual,
        "rule": _rule_data(finding.rule),
    }


def _rule_data(rule: Rule | None) -> dict[str, Any] | None:
    return {"name": rule.name, "source": rule.source, "status": str(rule.status)} if rule else None


def _run_data(run: JudgedRun) -> dict[str, Any]:
    return {
        "run": run.drawn.route.run,
        "loom_diameter_mm": round(run.loom_diameter_mm, 3),
        "routed_mm": round(run.drawn.route.routed_mm, 3),
        "planned_mm": None if run.planned_mm is None else round(run.planned_mm, 3),
        "clearances": [_clearance_data(check) for check in run.clearances],
    }


def _clearance_data(check: ClearanceCheck) -> dict[str, Any]:
    return {
        "keep_out": check.keep_out,
        "hazard": str(check.hazard),
        "required_mm": round(check.required_mm, 3),
        "actual_mm": round(check.actual_mm, 3),
        "station": round(check.station_mm, 3),
        "rule": _rule_data(check.rule),
    }


def _run(run: DrawnRun, *, is_approved: bool) -> Iterator[str]:
    yield f"  - run: {_quoted(run.route.run)}"
    if run.loom_diameter_mm:
        why = "" if is_approved else "  # clearances count from it: the thickest of those beside each other"
        yield f"    loom: {_number(run.loom_diameter_mm)} mm{why}"
    yield "    way:"
    for space, along, points in _stretches(run.route.points):
        follows = f", along: {_quoted(along)}" if along else ""
        yield f"      - {{space: {_quoted(space)}{follows}, points: ["
        for point in points:
            yield f"          [{_number(point.x_mm)}, {_number(point.y_mm)}, {_number(point.z_mm)}],"
        yield "        ]}"
    if run.declared:
        yield "    passes:"
        yield from (f"      - {_pass(passage, is_approved=is_approved)}" for passage in run.declared)
    if run.fixings:
        yield "    fixings:"
        yield from (f"      - {_fixing(fixing, is_approved=is_approved)}" for fixing in run.fixings)
    if run.loops:
        yield "    loops:"
        for loop in run.loops:
            yield f"      - {{station: {loop.station_mm:.3f} mm, spare: {loop.spare_mm:.3f} mm}}"


def _stretches(points: tuple[RoutePoint, ...]) -> Iterator[tuple[str, str | None, list[RoutePoint]]]:
    """Yield runs of pieces in one space that follow one thing, each with the points at both its ends."""
    groups = [list(group) for _, group in groupby(points, key=lambda point: (point.space, point.along))]
    for group, following in zip(groups, [*groups[1:], []], strict=True):
        first = group[0]
        joint = following[:1] if following and following[0].space == first.space else []
        yield first.space, first.along, [*group, *joint]


def _pass(passage: Passage, *, is_approved: bool) -> str:
    """Return what is passed; with its station in an approved route, else with a note of it."""
    thing = f"{PASS_WORDS[passage.kind]}: {_quoted(passage.name)}"
    if passage.to_station_mm == math.inf:
        return f"{{{thing}}}"
    station = f"{passage.from_station_mm:.0f} mm"
    return f"{{{thing}, station: {station}}}" if is_approved else f"{{{thing}}}  # station {station}"


def _fixing(fixing: Fixing, *, is_approved: bool) -> str:
    """Return a fixing by its place, which stays where it is when a point before it is moved.

    In a standard route, which nobody is to edit, by its station, to the thousandth that it is told by.
    """
    support = f", support: {_quoted(fixing.support)}" if fixing.support else ""
    held = f"kind: {_quoted(fixing.kind)}{support}"
    if is_approved:
        return f"{{station: {fixing.station_mm:.3f} mm, {held}}}"
    at = ", ".join(_number(round(mm, 3)) for mm in (fixing.x_mm, fixing.y_mm, fixing.z_mm))
    return f"{{at: [{at}], {held}}}  # station {fixing.station_mm:.0f} mm"


def _approval(approval: Approval) -> Iterator[str]:
    yield "approved:"
    yield f"  by: {_quoted(approval.by)}"
    yield f"  on: {approval.on}"
    yield f"  revision: {approval.revision}"
    yield f"  fingerprint: {_quoted(approval.fingerprint)}"
    if any(near for _, near in approval.near):
        yield "  near:"
    for run, near in approval.near:
        for each in near:
            yield (
                f"    - {{run: {_quoted(run)}, keep-out: {_quoted(each.keep_out)}, "
                f"required: {_number(each.required_mm)} mm, margin: {_number(each.margin_mm)} mm, "
                f"mark: {_quoted(each.fingerprint)}}}"
            )
    if any(used for _, used in approval.used):
        yield "  used:"
    for run, used in approval.used:
        for thing in used:
            name, mark = _quoted(thing.name), _quoted(thing.fingerprint)
            yield f"    - {{run: {_quoted(run)}, what: {thing.what}, name: {name}, mark: {mark}}}"


def _number(value: float) -> str:
    words = f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if words == "-0" else words


def _quoted(words: str) -> str:
    """Return a text as YAML takes it whatever is in it: in double quotes, with what they need escaped."""
    return '"' + words.replace("\\", "\\\\").replace('"', '\\"') + '"'


def fitted_words(fitted: FittedRun) -> str:
    """Return in two lines how far a run's allowances are off, and what to do about it."""
    head = (
        f"{fitted.run}: {fitted.count} vehicles, planned {fitted.planned_mm:.0f} mm; used less planned: "
        f"mean {fitted.mean_mm:+.1f} mm, spread {fitted.spread_mm:.1f} mm"
    )
    doubt = f"± {fitted.expanded_mm:.1f} mm (95 %, type A, {fitted.count - 1} degrees of freedom)"
    if not fitted.is_proven:
        return f"{head}\n  leave the allowances as they are: {fitted.mean_mm:+.1f} mm {doubt} may be chance"
    now, then = fitted.allowances_mm, fitted.allowances_mm + fitted.mean_mm
    return (
        f"{head}\n  correct the allowances by {fitted.mean_mm:+.1f} mm {doubt}: {now:.0f} mm -> {then:.0f} mm"
    )


def fitted_data(fitted: FittedRun) -> dict[str, Any]:
    """Return how far a run's allowances are off as plain data. [mm]"""
    return {
        "run": fitted.run,
        "vehicles": fitted.count,
        "planned_mm": round(fitted.planned_mm, 3),
        "allowances_mm": round(fitted.allowances_mm, 3),
        "mean_mm": round(fitted.mean_mm, 3),
        "spread_mm": round(fitted.spread_mm, 3),
        "standard_uncertainty_mm": round(fitted.standard_mm, 3),
        "expanded_uncertainty_mm": round(fitted.expanded_mm, 3),
        "is_proven": fitted.is_proven,
    }
