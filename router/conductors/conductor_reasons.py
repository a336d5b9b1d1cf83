"""Why a conductor has its size: every figure, step by step, with the source that it rests on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from router.conductors.ampacity import Ampacity, TableValue, least_awg
from router.conductors.cable_sizes import Size, awg_label, series_source
from router.conductors.circuit import Carrier
from router.conductors.drop_limits import drop_limit_words, drop_rule
from router.conductors.joined_fuses import limit_words
from router.conductors.limits import is_within
from router.conductors.protection import lasting_a
from router.conductors.question import ElectricalQuestion
from router.conductors.rests_on import JOB, by_rule, joined
from router.conductors.sizing import Sizing, gradient_v_per_m
from router.conductors.surroundings import ambient_source
from router.model.conductor_choice import LoadCase, Reason, SizeReason
from router.tables import lead_source, load_table, trailer_lead


def conductor_reasons(
    question: ElectricalQuestion, sizing: Sizing, drops: Mapping[str, float], sizes: Mapping[str, Size]
) -> tuple[Reason, ...]:
    """Return what led to one conductor's size, figure by figure."""
    carrier = sizing.carrier
    reasons = [
        *_lamp_reasons(carrier),
        *_lead_reasons(carrier),
        _current_reason(question, carrier),
        _copper_reason(sizing.size),
        _length_reason(question, carrier, sizing.size),
        _least_reason(question, carrier),
        _ampacity_reason(question, sizing.ampacity),
    ]
    if carrier.loads:
        reasons.append(_drop_reason(question, sizing, drops, sizes))
    if sizing.fuse_a > 0:
        reasons.append(_fuse_share_reason(question, sizing))
    reasons.append(_deciding_reason(sizing))
    return tuple(reasons)


def _lamp_reasons(carrier: Carrier) -> Iterator[Reason]:
    for lamps in carrier.conductor.lamps:
        words = (
            f"its own load: {lamps.count} {lamps.lamp} of {lamps.each_a:.3g} A at {lamps.test_v:g} V, "
            f"{lamps.count * lamps.each_a:.3g} A"
        )
        yield Reason(words, lamps.source, lamps.status)


def _lead_reasons(carrier: Carrier) -> Iterator[Reason]:
    lead, function = carrier.run.lead, carrier.conductor.function
    if lead and function:
        own = trailer_lead(lead)[function]
        pin = f"pin {own.pin}, " if own.pin else ""
        area = f", {own.area_mm2:g} mm2" if own.area_mm2 else ""
        yield Reason(f"{lead} lead: {pin}{function}, {own.colour}{area}", *lead_source(lead))


def _current_reason(question: ElectricalQuestion, carrier: Carrier) -> Reason:
    parts = []
    for load in (each.name for each in question.circuit.carriers if each.name in carrier.may_carry):
        conductor = question.circuit.by_name[load].conductor
        parts.append(f"{load} {conductor.load_a:.4g} A {conductor.duty.value}")
    words = " + ".join(parts) if parts else "no load"
    when = LoadCase.EVERY_LOAD if question.is_every_load_on(carrier) else f"{LoadCase.MOST_TOGETHER}, of"
    return Reason(f"carries {carrier.current_a:.4g} A with {when}: {words}", *JOB)


def _copper_reason(size: Size) -> Reason:
    words = f"{size.label}: {size.ohm_per_m * 1000:.4g} mohm/m at 20 degC, {size.area_mm2:.4g} mm2"
    return Reason(words, *series_source(size.series, "resistance"))


def _length_reason(question: ElectricalQuestion, carrier: Carrier, size: Size) -> Reason:
    along, copper = question.surroundings[carrier.run.name], load_table("conductors")["copper"]
    length_m, warmest_c = question.warm_metres(carrier, size)
    heating = question.practice.rule("conductor", "self-heating")
    words = (
        f"{along.cut_mm / 1000:.2f} m of it, copper as warm as its load makes it (up to "
        f"{warmest_c:.0f} degC in surroundings of {along.warmest_c:g} degC), "
        f"resist like {length_m:.2f} m at 20 degC"
    )
    zero = copper["zero_resistance_c"]
    return joined(words, [(zero["source"], zero["status"]), (heating.source, heating.status.value)])


def _least_reason(question: ElectricalQuestion, carrier: Carrier) -> Reason:
    table, rule = load_table("ampacity")["least_size"], question.practice.rule("conductor", "least AWG")
    in_sheath, number = question.is_in_sheath(carrier), question.least_number
    where = "in one sheath with others of its run" if in_sheath else "the only one of its run"
    first = question.options(carrier)[0].label
    least = least_awg(is_in_sheath=in_sheath, least_number=number)
    words = f"least size {least} ({where}): {first} in this series"
    if least == least_awg(is_in_sheath=in_sheath):
        return Reason(words, table["source"], table["status"])
    return by_rule(words, rule)


def _ampacity_reason(question: ElectricalQuestion, ampacity: Ampacity) -> Reason:
    tables = load_table("ampacity")["tables"]
    if ampacity.table is None:
        words = "no table has an ampacity for so thin a conductor: 0 A"
        return Reason(words, tables[0]["source"], tables[0]["status"])
    table, stretch = ampacity.table, ampacity.stretch
    words = (
        f"may carry {ampacity.amperes:.4g} A: {table.amperes:g} A at {table.ambient_c:g} degC "
        f"as {awg_label(table.awg_number)} (nearest with no more copper), {table.class_c:g} degC column"
    )
    sources = [(table.source, table.status)]
    rules = load_table("ampacity")
    near = ", near something hot," if stretch.is_near_heat else ""
    if ampacity.engine_factor != 1.0:
        words += f", x {ampacity.engine_factor:.2f} in {stretch.space}, an engine space"
        sources.append((rules["engine_space"]["source"], rules["engine_space"]["status"]))
    else:
        words += f", x {ampacity.ambient_factor:.3f} in {stretch.space}{near} at {stretch.ambient_c:g} degC"
        words += _between_columns(ampacity, table)
        sources.append((rules["ambient"]["source"], rules["ambient"]["status"]))
        sources.append(ambient_source(question.profile.space(stretch.space), question.job, question.practice))
    used = []
    if stretch.is_near_heat:
        used.append(question.practice.rule("warm", "rise"))
    if ampacity.bundling_factor != 1.0:
        words += f", x {ampacity.bundling_factor:.2f} with {stretch.bundled} together"
        words += f", those of {stretch.existing_loom} too" if stretch.existing_loom else ""
        used.append(question.practice.rule("conductor", "bundling"))
        if stretch.existing_loom:
            used.append(question.practice.rule("conductor", "existing loom"))
    if ampacity.small_a < ampacity.thermal_a:
        words += f", no more than {ampacity.small_a:g} A on so small a conductor"
        used.append(question.practice.rule("conductor", "small conductors"))
    return joined(words, sources + [(rule.source, rule.status.value) for rule in used])


def _between_columns(ampacity: Ampacity, table: TableValue) -> str:
    """Return a word where the insulation's class is no column of the table."""
    if ampacity.insulation_c == table.class_c:
        return ""
    return f" with insulation for {ampacity.insulation_c:g} degC"


def _drop_reason(
    question: ElectricalQuestion, sizing: Sizing, drops: Mapping[str, float], sizes: Mapping[str, Size]
) -> Reason:
    carrier = sizing.carrier
    worst = max(
        (load for load in drops if load in carrier.loads),
        key=lambda load: drops[load] / max(question.drop_limit_v(load), 1e-9),
    )
    nominal_v, rule = question.job.source.nominal_v, drop_rule(question, worst)
    joints_v, fuse_v = question.joints_drop_v(worst, sizes), question.fuse_drop_v(worst)
    words = (
        f"drop to {worst} and back, {question.when(worst)}: {drops[worst]:.3g} V "
        f"({100 * drops[worst] / nominal_v:.3g} % of {nominal_v:g} V), "
        f"limit {drop_limit_words(question, worst)}; "
        f"joints take {joints_v:.3g} V, vehicle body {question.body_drop_v(worst):.3g} V, "
        f"fuse and holder {fuse_v:.3g} V, "
        f"this conductor {question.metal_drop_with_v(worst, carrier, sizes[carrier.name]):.3g} V"
    )
    if sizing.gradient_v_per_m is not None and math.isfinite(sizing.gradient_v_per_m):
        here = gradient_v_per_m(question, carrier, sizing.size, carrier.current_a)
        words += (
            f"; the loop leaves it {sizing.gradient_v_per_m * 1000:.3g} mV/m, the more the shorter it is, "
            f"this size loses {here * 1000:.3g} mV/m, warm{_crimp_words(question)}"
        )
    words += _thinner_would_do(question, sizing, sizes)
    is_by_rule = question.is_lamp_limit(worst) or question.job.limits.drop_fraction == rule.value
    limit = (rule.source, rule.status.value) if is_by_rule else JOB
    fuse = question.practice.rule("fuse", "own drop")
    own = [(fuse.source, fuse.status.value)] if fuse_v > 0 else []
    return joined(words, [limit, *_fixed_sources(question), *own])


def _crimp_words(question: ElectricalQuestion) -> str:
    crimp_mm = 1000 * question.crimp_m
    return f", each joint counted as {crimp_mm:.3g} mm of it" if crimp_mm > 0 else ""


def _fixed_sources(question: ElectricalQuestion) -> list[tuple[str, str]]:
    """Return where the resistances of joints and body come from: measured, or the practice."""
    found = []
    for key, measured in (
        ("connection", question.job.source.joint_ohm),
        ("crimp length", question.job.source.joint_ohm),
        ("body return", question.job.source.body_ohm),
    ):
        rule = question.practice.rule("conductor", key)
        found.append((rule.source, rule.status.value) if measured is None else JOB)
    return found


def _thinner_would_do(question: ElectricalQuestion, sizing: Sizing, sizes: Mapping[str, Size]) -> str:
    """Return a word on the next thinner size where drop alone would let this one conductor have it."""
    if sizing.decided_by is not SizeReason.DROP:
        return ""
    thinner = [size for size in question.options(sizing.carrier) if size.ohm_per_m > sizing.size.ohm_per_m][
        -1
    ]
    instead = {**sizes, sizing.carrier.name: thinner}
    lost_v = {load: question.loop_drop_v(load, instead) for load in sizing.carrier.loads}
    worst_v = max(lost_v.values())
    if not all(is_within(each_v, question.drop_limit_v(load)) for load, each_v in lost_v.items()):
        return f"; in {thinner.label} alone it would be {worst_v:.3g} V"
    return f"; {thinner.label} for this one alone would lose {worst_v:.3g} V, yet it keeps to its share"


def _fuse_share_reason(question: ElectricalQuestion, sizing: Sizing) -> Reason:
    limit = question.fuse_limit(sizing.ampacity)
    is_limited = is_within(lasting_a(question.circuit, sizing.carrier, math.inf), sizing.fuse_a)
    what = "what limits its unit's output lets through" if is_limited else "the fuse before it is"
    if sizing.joined is not None and is_within(sizing.fuse_a, sizing.joined.amperes):
        what = f"{limit_words(sizing.joined)} to it:"
    words = f"{what} {sizing.fuse_a:.4g} A; it may be {limit.amperes:.4g} A ({limit.words})"
    if sizing.decided_by is SizeReason.FUSE:
        others = [demand.size for demand in sizing.demands if demand.kind is not SizeReason.FUSE]
        without = min(others, key=lambda size: size.ohm_per_m)
        words += f"; enlarged from {without.label} to {sizing.size.label} so that this fuse protects it"
    return by_rule(words, limit.rule)


def _deciding_reason(sizing: Sizing) -> Reason:
    if sizing.decided_by is SizeReason.LEAD:
        lead = sizing.carrier.run.lead or ""
        return Reason(f"{sizing.size.label}: so a {lead} cable is sold", *lead_source(lead))
    if not sizing.demands:
        return Reason(f"{sizing.size.label}: the job names it", *JOB)
    asked = ", ".join(f"{demand.kind} asks for {demand.size.label}" for demand in sizing.demands)
    words = f"{sizing.size.label}, decided by {sizing.decided_by}: {asked}"
    return Reason(words, *series_source(sizing.size.series, "area"))
