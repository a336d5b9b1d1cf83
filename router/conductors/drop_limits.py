"""What a load may lose, in words, and the rule behind it: the job's limit, or what its lamps need to burn."""

from __future__ import annotations

from router.conductors.question import ElectricalQuestion
from router.model.practice import Rule, Status


def drop_limit_words(question: ElectricalQuestion, load: str) -> str:
    """Return what a load may lose and why: "0.36 V (3 % of 12 V)"."""
    limit_v, source = question.drop_limit_v(load), question.job.source
    inverter = question.circuit.by_name[load].conductor.inverter
    if inverter is not None and question.is_inverter_limit(load):
        return (
            f"{limit_v:.3g} V (so that its inverter has its lowest, {inverter.lowest_v:g} V, of the "
            f"{source.resting_v:g} V that the source gives at rest)"
        )
    if not question.is_lamp_limit(load):
        percent = 100 * question.job.limits.drop_fraction
        return f"{limit_v:.3g} V ({percent:.3g} % of {source.nominal_v:g} V)"
    share = 100 * question.practice.value("conductor", "lamp voltage")
    design_v = max(each.test_v for each in question.circuit.by_name[load].conductor.lamps)
    gives = "with the engine running" if source.running_v is not None else "at rest"
    return (
        f"{limit_v:.3g} V (so that {share:g} % of the lamp's {design_v:g} V are left of the "
        f"{source.lamp_v:g} V that the source gives {gives})"
    )


def drop_rule(question: ElectricalQuestion, load: str) -> Rule:
    """Return the rule behind a load's drop limit."""
    inverter = question.circuit.by_name[load].conductor.inverter
    if inverter is not None and question.is_inverter_limit(load):
        lowest = "the job (inverter: lowest)"
        return Rule("conductor", "inverter voltage", inverter.lowest_v, "V", lowest, Status.SHOP_RULE)
    return question.practice.rule("conductor", "lamp voltage" if question.is_lamp_limit(load) else "drop")
