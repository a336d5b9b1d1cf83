"""Reviews in words: of one route, of many, and how far allowances were off."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from router.model.review import FittedRun, JudgedFinding, Judgement, MarkedRoute, Mistake
from router.units import tape_m

ROUTE_ONLY = "route only: fixings are not judged"


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
