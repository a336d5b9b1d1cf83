"""A reason, and the sources that it rests on."""

from __future__ import annotations

from router.model.conductor_choice import Reason
from router.model.practice import Rule

JOB = ("the job", "job")
_WEAKEST_FIRST = ("from memory", "common practice", "quoted", "shop rule", "published", "job")


def by_rule(words: str, rule: Rule) -> Reason:
    """Return a reason that rests on one rule."""
    return Reason(words, rule.source, rule.status.value)


def joined(words: str, sources: list[tuple[str, str]]) -> Reason:
    """Return a reason that rests on several sources; the weakest one's status counts."""
    names = list(dict.fromkeys(source for source, _ in sources))
    return Reason(words, "; ".join(names), min((status for _, status in sources), key=_WEAKEST_FIRST.index))
