"""Where the rules used in a plan come from, and how far each can be trusted."""

from __future__ import annotations

from collections.abc import Iterator

from router.facts import cautions_for
from router.model.conductor_choice import Reason
from router.model.plan import Plan
from router.model.practice import Rule
from router.sheet.markup import Html, element, folded, group, joined, text

_TRUST = {
    "published": "Published: read in the source itself",
    "quoted": "Quoted: read in a text that quotes the source",
    "common practice": "Common practice: no source, or one taken over from elsewhere; check it first",
    "from memory": "From memory: look it up first",
    "shop rule": "Rules of this shop",
}
_LOOK_UP = "from memory"


def sources_section(plan: Plan) -> Html:
    """Return every rule and every table that this plan rests on, each source once, by how far to trust it.

    What is to be looked up first stands open; the rest, which is said beside each rule too, is folded.
    """
    found: dict[str, dict[str, list[str]]] = {status: {} for status in _TRUST}
    for rule in sorted(_rules(plan), key=lambda rule: rule.name):
        words = found.setdefault(str(rule.status), {}).setdefault(rule.source, [])
        words.append(f"{rule.name} {_value(rule)}")
    for reason in sorted(_reasons(plan), key=lambda reason: reason.source):
        found.setdefault(reason.status, {}).setdefault(
            reason.source, []
        )  # each step names it where it counts
    shown = {status: each for status, each in found.items() if each and status != "job"}
    first = [_paragraph(status, shown.pop(status)) for status in (_LOOK_UP,) if status in shown]
    rest = (
        folded(_TRUST.get(status, status), group(_sources(each), kind="columns"))
        for status, each in shown.items()
    )
    return joined([*first, *rest])


def _paragraph(status: str, sources: dict[str, list[str]]) -> Html:
    return element("p", element("b", _TRUST[status] + ":"), " ", _listed(sources), ".")


def _sources(sources: dict[str, list[str]]) -> Html:
    return element("p", _listed(sources), ".")


def _listed(sources: dict[str, list[str]]) -> Html:
    """Return each source with the rules that rest on it."""
    parts = (
        joined([source, element("b", f"({', '.join(dict.fromkeys(words))})")], " ") if words else text(source)
        for source, words in sources.items()
    )
    return joined(parts, "; ")


def _rules(plan: Plan) -> Iterator[Rule]:
    for run in plan.runs:
        yield from (check.rule for check in run.clearances if check.rule)
        yield from (allowance.rule for allowance in run.length.allowances if allowance.rule)
        for space in dict.fromkeys(fixing.space for fixing in run.fixings):
            yield plan.practice.by_space("spacing", plan.profile.space(space).kind)
    yield from (finding.rule for finding in plan.findings if finding.rule)


def _reasons(plan: Plan) -> Iterator[Reason]:
    for run in plan.runs:
        for choice in run.conductors:
            yield from choice.reasons
        if run.fuse:
            yield from run.fuse.reasons
    for loom in plan.looms:
        yield from loom.reasons
    cautions = cautions_for(plan.profile, plan)
    yield from (Reason(each.text, each.source, each.status) for each in cautions)
    yield from (Reason(line.item, line.source, line.status) for line in plan.bill if line.source)


def _value(rule: Rule) -> str:
    return f"{rule.value:g}" if rule.unit in ("ratio", "count") else f"{rule.value:g} {rule.unit}"
