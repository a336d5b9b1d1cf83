"""What many routes have wrong in common."""

from __future__ import annotations

from collections.abc import Sequence

from router.model.plan import FindingKind
from router.model.review import JudgedFinding, MarkedRoute, Mistake


def common_mistakes(marked: Sequence[MarkedRoute]) -> tuple[Mistake, ...]:
    """Return the kinds of findings by the number of routes that have them, the most common first."""
    by_kind: dict[FindingKind, list[tuple[str, JudgedFinding]]] = {}
    for each in marked:
        for judged in each.judgement.findings if each.judgement else ():
            by_kind.setdefault(judged.finding.kind, []).append((each.name, judged))
    mistakes = (
        Mistake(
            kind,
            len({name for name, _ in found}),
            len(found),
            max(found, key=lambda each: each[1].points)[1].finding.what,
        )
        for kind, found in by_kind.items()
    )
    return tuple(sorted(mistakes, key=lambda each: (-each.routes, -each.findings, each.kind)))
