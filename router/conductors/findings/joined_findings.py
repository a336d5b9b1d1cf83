"""Findings where supplies meet and their fuses together let through more than what is behind carries."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from router.conductors.joined_fuses import Joined, limit_words
from router.conductors.limits import is_within
from router.conductors.question import ElectricalQuestion
from router.conductors.sizing import Sizing
from router.conductors.weakest_part import weak_parts
from router.model.conductor_choice import SizeReason
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Rule


def joined_findings(question: ElectricalQuestion, sizings: Sequence[Sizing]) -> Iterator[Finding]:
    """Yield a must for each conductor, and part at its ends, that carries less than fuses let through."""
    for sizing in sizings:
        joined = sizing.joined
        if joined is None:
            continue
        limit = question.fuse_limit(sizing.ampacity)
        if sizing.decided_by is not SizeReason.LEAD and not is_within(joined.amperes, limit.amperes):
            what = f"{sizing.carrier.name} in {sizing.size.label}"
            yield _too_much(question, sizing, joined, what, limit.amperes, limit.rule)
        for part in weak_parts(question, sizing.carrier, None, (sizing.carrier,)):
            if not is_within(joined.amperes, part.may_be_a):
                yield _too_much(question, sizing, joined, part.words, part.may_be_a, part.rule)


def _too_much(
    question: ElectricalQuestion, sizing: Sizing, joined: Joined, what: str, may_be_a: float, rule: Rule
) -> Finding:
    return Finding(
        FindingKind.FUSE,
        Severity.MUST,
        sizing.carrier.run.name,
        None,
        f"{limit_words(joined)} to {what}",
        f"; {_advice(question, joined)}",
        f"{may_be_a:.4g} A or less",
        f"{joined.amperes:.4g} A",
        rule,
    )


def _advice(question: ElectricalQuestion, joined: Joined) -> str:
    """Return how to give a conductor behind a joint a fuse of its own, where the current comes in."""
    carrier = question.circuit.by_name[joined.conductor]
    run, outs = carrier.run, [each for each in carrier.run.conductors if not each.returns]
    both = ' and "fuse-at-both-ends: true"' if joined.is_from_behind else ""
    if run.fuse is not None and len(outs) == 1 and joined.is_from_behind:
        return f'write "fuse-at-both-ends: true" in run "{run.name}"'
    if run.fuse is not None:
        return f'write "fuse: auto" in place of the fuse in run "{run.name}"'
    if len(outs) > 1:
        return f'give {joined.conductor} a run of its own with "fuse: auto"{both}'
    return f'write "fuse: auto"{both} in run "{run.name}"'
