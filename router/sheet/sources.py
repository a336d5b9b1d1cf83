"""Where the rules used in a plan come from, and how far each can be trusted."""

from __future__ import annotations

from collections.abc import Iterator

from router.model.plan import Plan, Reason
from router.model.practice import Rule
from router.sheet.markup import Html, table


def sources_table(plan: Plan) -> Html:
    """Return every rule and every table that this plan rests on, each once."""
    rules = {rule.name: rule for rule in _rules(plan)}
    rows = [(name, _value(rule), rule.source, str(rule.status)) for name, rule in sorted(rules.items())]
    reasons = {(reason.source, reason.status) for reason in _reasons(plan)}
    rows += [("electrical choice", "", source, status) for source, status in sorted(reasons)]
    return table("Rules used, and their sources", ("Rule", "Value", "Source", "Status"), rows, (1,))


def _rules(plan: Plan) -> Iterator[Rule]:
    for run in plan.runs:
        yield from (check.rule for check in run.clearances if check.rule)
        yield from (allowance.rule for allowance in run.length.allowances if allowance.rule)
        for space in {fixing.space for fixing in run.fixings}:
            yield plan.practice.by_space("spacing", space)
    yield from (finding.rule for finding in plan.findings if finding.rule)


def _reasons(plan: Plan) -> Iterator[Reason]:
    for run in plan.runs:
        for choice in run.conductors:
            yield from choice.reasons
        if run.fuse:
            yield from run.fuse.reasons
    for loom in plan.looms:
        yield from loom.reasons
    yield from (Reason(line.item, line.source, line.status) for line in plan.bill if line.source)


def _value(rule: Rule) -> str:
    return f"{rule.value:g}" if rule.unit in ("ratio", "count") else f"{rule.value:g} {rule.unit}"
