"""What a person must know about conductors and fuses: findings, most of them on what the job names."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from router.conductors.ampacity import is_least_size, least_awg
from router.conductors.cable_sizes import awg_label, series_source
from router.conductors.circuit import Carrier
from router.conductors.circuit_rules.circuit_findings import circuit_findings
from router.conductors.clearing_times import clearing_words
from router.conductors.drop_limits import drop_limit_words, drop_rule
from router.conductors.faults import FarEndShort
from router.conductors.findings.fuse_cures import protecting_words
from router.conductors.findings.hints import assumed_findings, own_fuse_findings
from router.conductors.findings.holder_findings import holder_findings
from router.conductors.findings.joined_findings import joined_findings
from router.conductors.findings.lead_areas import lead_area_findings
from router.conductors.findings.lead_cores import lead_core_findings, output_limit_findings
from router.conductors.findings.lead_drops import lead_drop_words, told_together
from router.conductors.findings.weak_part_findings import weak_part_findings
from router.conductors.fuse_loads import SURGE_RULES
from router.conductors.fuses import HolderPlace, smallest_fuse_for
from router.conductors.limits import is_within
from router.conductors.protection import Protection, lasting_a
from router.conductors.question import ElectricalQuestion
from router.conductors.resistance import awg_area_mm2
from router.conductors.sizing import Sizing
from router.model.conductor_choice import SizeReason
from router.model.job import LoadKind, Series
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Rule, Status
from router.tables import load_table

_SWITCHED_ON = {
    LoadKind.MOTOR: "the motors",
    LoadKind.HEATER: "the heaters",
    LoadKind.ELECTRONIC: "the electronics",
    LoadKind.LED: "the LED lamps",
    LoadKind.FILAMENT: "the cold lamps",
}


def findings_of(
    question: ElectricalQuestion,
    sizings: tuple[Sizing, ...],
    protections: tuple[Protection, ...],
    drops: Mapping[str, float],
    places: Mapping[str, HolderPlace],
    seconds: Mapping[str, HolderPlace],
    shorts: Mapping[str, tuple[FarEndShort, ...]],
) -> tuple[Finding, ...]:
    """Return the findings of a job's conductors and fuses, sizes first, then fuses."""
    found: list[Finding] = []
    for sizing in sizings:
        found.extend(_of_size(question, sizing))
    for load, others in told_together(question, drops):
        found.append(_of_drop(question, load, others, drops[load], sizings))
    for protection in protections:
        found.extend(_of_rating(question, protection, sizings))
        place = places[protection.carrier.name]
        route = question.routes[protection.carrier.run.name]
        second = seconds.get(protection.carrier.name)
        found.extend(holder_findings(protection, place, second, route, question.practice))
        for short in shorts[protection.carrier.name]:
            found.extend(_of_short(protection, short))
    found.extend(weak_part_findings(question, protections, sizings))
    found.extend(joined_findings(question, sizings))
    lengths_mm = {run: route.routed_mm for run, route in question.routes.items()}
    ampacities = {sizing.carrier.name: sizing.ampacity.amperes for sizing in sizings}
    judged = (question.job, question.profile, question.practice, lengths_mm, ampacities)
    found.extend(circuit_findings(*judged))
    found.extend(_of_useless_fuses(question, protections))
    found.extend(lead_area_findings(sizings))
    found.extend(lead_core_findings(question, sizings, protections))
    found.extend(output_limit_findings(question))
    found.extend(own_fuse_findings(question, sizings))
    found.extend(assumed_findings(question, sizings))
    found.extend(_of_series(sizings))
    return tuple(found)


def _of_size(question: ElectricalQuestion, sizing: Sizing) -> Iterator[Finding]:
    carrier, size = sizing.carrier, sizing.size
    in_sheath = question.is_in_sheath(carrier)
    number = question.least_number
    if not is_least_size(size, is_in_sheath=in_sheath, least_number=number):
        rule = _published("least size", "ampacity", "least_size", size.area_mm2, "mm2")
        if is_least_size(size, is_in_sheath=in_sheath):
            rule = question.practice.rule("conductor", "least AWG")
        yield _finding(
            FindingKind.LEAST_SIZE,
            Severity.MUST,
            carrier,
            f"{_of_own_name(carrier)}{size.label} is thinner than a conductor may be here",
            least_awg(is_in_sheath=in_sheath, least_number=number),
            size.label,
            rule,
        )
    if sizing.decided_by is not SizeReason.LEAD and not is_within(carrier.current_a, sizing.ampacity.amperes):
        yield _finding(
            FindingKind.AMPACITY,
            Severity.MUST,
            carrier,
            f"{_of_own_name(carrier)}{size.label} is too thin for {carrier.current_a:.4g} A "
            f"in {sizing.ampacity.stretch.space}",
            f"{carrier.current_a:.4g} A",
            f"{sizing.ampacity.amperes:.4g} A",
            _ampacity_rule(sizing),
        )


def _of_own_name(carrier: Carrier) -> str:
    """Return a conductor's name before what is said of it; nothing where its run, named already, says it."""
    return "" if carrier.name == carrier.run.name else f"{carrier.name}: "


def _of_drop(
    question: ElectricalQuestion,
    load: str,
    others: tuple[str, ...],
    lost_v: float,
    sizings: tuple[Sizing, ...],
) -> Finding:
    nominal_v = question.job.source.nominal_v
    more = f"; {', '.join(others)} of the same lead lose too much, too" if others else ""
    if question.is_lamp_limit(load):
        left_v = question.job.source.lamp_v - lost_v
        more += f"; {left_v:.3g} V are left at its lamps"
        if question.job.source.running_v is None:
            more += ": measure what the source gives with the engine running (source: running), or take "
            more += "more copper"
    more += lead_drop_words(question, load, lost_v, {each.carrier.name: each.size for each in sizings})
    return _finding(
        FindingKind.DROP,
        Severity.MUST,
        question.circuit.by_name[load],
        f"{load} and its return path lose {lost_v:.3g} V with {question.when(load)}",
        drop_limit_words(question, load),
        f"{lost_v:.3g} V ({100 * lost_v / nominal_v:.3g} %)",
        drop_rule(question, load),
        more=more,
    )


def _of_rating(
    question: ElectricalQuestion, protection: Protection, sizings: tuple[Sizing, ...]
) -> Iterator[Finding]:
    carrier, rating = protection.carrier, f"{protection.rating_a:g} A"
    counts = f"{carrier.fuse_load_a:.4g} A"
    if not is_within(carrier.cool_fuse_load_a, protection.rating_a):
        words = f"a {rating} fuse is too small for {carrier.name}: its load counts {counts}"
        rule = question.practice.rule("fuse", "continuous load")
        yield _finding(FindingKind.FUSE, Severity.MUST, carrier, words, counts, rating, rule)
    elif not is_within(carrier.steady_fuse_load_a, protection.rating_a):
        counts = f"{carrier.steady_fuse_load_a:.4g} A"
        words = f"a {rating} fuse may blow in the heat where it sits: {carrier.name} counts {counts} there"
        rule = question.practice.rule("fuse", "hot load")
        yield _finding(FindingKind.FUSE, Severity.SHOULD, carrier, words, counts, rating, rule)
    elif not is_within(carrier.fuse_load_a, protection.rating_a):
        assert carrier.surge is not None  # what it bears for good is within the rating
        words = f"a {rating} fuse may blow when {_SWITCHED_ON[carrier.surge.kind]} of {carrier.name} come on"
        rule = question.practice.rule("fuse", SURGE_RULES[carrier.surge.kind])
        yield _finding(FindingKind.FUSE, Severity.SHOULD, carrier, words, counts, rating, rule)
    else:
        yield from _of_large_rating(question, protection)
    yield from _of_unprotected(question, protection, sizings)
    if protection.standard is None:
        words, more = f"{rating} is no standard rating", "; how fast such a fuse clears is not known here"
        yield _finding(
            FindingKind.FUSE, Severity.SHOULD, carrier, words, "a standard rating", rating, None, more=more
        )


def _of_unprotected(
    question: ElectricalQuestion, protection: Protection, sizings: tuple[Sizing, ...]
) -> Iterator[Finding]:
    """Yield a must for each conductor that a fuse does not protect; of a trailer lead's cores, see there."""
    rating = f"{protection.rating_a:g} A"
    for sizing in sizings:
        limit = question.fuse_limit(sizing.ampacity)
        lasting = lasting_a(question.circuit, sizing.carrier, protection.rating_a)
        is_asked = sizing.carrier in protection.behind and sizing.decided_by is not SizeReason.LEAD
        joined = sizing.joined
        if joined is not None and not joined.is_from_behind and is_within(lasting, joined.amperes):
            continue  # what all fuses at its joint let through together is judged, not each
        if is_asked and not is_within(lasting, limit.amperes):
            words = f"a {rating} fuse does not protect {sizing.carrier.name} in {sizing.size.label}"
            allowed = f"{limit.amperes:.4g} A or less"
            yield _finding(
                FindingKind.FUSE,
                Severity.MUST,
                sizing.carrier,
                words,
                allowed,
                rating,
                limit.rule,
                more=protecting_words(question, protection, sizing, sizings),
            )


def _of_large_rating(question: ElectricalQuestion, protection: Protection) -> Iterator[Finding]:
    """Yield a note where the job names a fuse that a careful shop would not: more than one rating too large.

    The next rating above the smallest is what many a shop takes, so that nothing blows in years of heat.
    """
    carrier, source_v = protection.carrier, question.source_v
    enough = smallest_fuse_for(carrier.fuse_load_a, least_v=source_v)
    if not protection.is_named or enough is None:
        return
    next_up = smallest_fuse_for(enough.rating_a * (1 + 1e-6), least_v=source_v)
    if next_up is not None and not is_within(protection.rating_a, next_up.rating_a):
        words = (
            f"a {protection.rating_a:g} A fuse is larger than {carrier.name} needs: its load counts "
            f"{carrier.fuse_load_a:.4g} A, {enough.rating_a:g} A would do"
        )
        asked, rating = f"{enough.rating_a:g} or {next_up.rating_a:g} A", f"{protection.rating_a:g} A"
        yield _finding(FindingKind.LARGE_FUSE, Severity.NOTE, carrier, words, asked, rating, None)


def _of_short(protection: Protection, short: FarEndShort) -> Iterator[Finding]:
    limit = load_table("fuses")["clearing"]
    rule = _published("clearing", "fuses", "clearing", limit["within_s"], "s")
    if short.clears_s is None or not is_within(short.clears_s, limit["within_s"]):
        words = clearing_words(protection.standard, short.least_a)
        takes = "need not clear at all" if short.clears_s is None else f"clears {words}"
        yield _finding(
            FindingKind.SHORT_CIRCUIT,
            Severity.SHOULD,
            short.carrier,
            f"a short at the far end of {short.carrier.name} draws only {short.least_a:.3g} A",
            f"{limit['within_s']:g} s",
            takes,
            rule,
            more=f"; the {protection.rating_a:g} A fuse {takes}",
        )
    elif not is_within(short.heaviest_clears_s, short.survives_s):
        heaviest = clearing_words(protection.standard, short.heaviest_a)
        yield _finding(
            FindingKind.SHORT_CIRCUIT,
            Severity.SHOULD,
            short.thinnest,
            f"a short at the far end of {short.carrier.name} draws {short.heaviest_a:.3g} A",
            heaviest,
            f"{short.survives_s:.3g} s",
            _published("adiabatic heating", "fuses", "adiabatic", short.survives_s, "s"),
            more=f"; {short.thinnest.name} bears that for {short.survives_s:.3g} s, "
            f"the {protection.rating_a:g} A fuse clears it {heaviest}",
        )


def _of_useless_fuses(question: ElectricalQuestion, protections: tuple[Protection, ...]) -> Iterator[Finding]:
    used = {protection.carrier.run.name for protection in protections}
    for run in question.job.runs:
        if run.fuse is not None and run.name not in used:
            words = f'run "{run.name}" has a fuse, but no conductor that carries current out'
            yield Finding(
                FindingKind.FUSE,
                Severity.SHOULD,
                run.name,
                None,
                words,
                "; remove the fuse",
                "no fuse in a return",
                "a fuse",
                None,
            )


def _of_series(sizings: tuple[Sizing, ...]) -> Iterator[Finding]:
    """Yield a note for each SAE-marked size in use: how much less copper it holds than its number says."""
    marked = {s.size.label: s.size for s in sizings if s.size.series is Series.SAE}
    source, status = series_source(Series.SAE, "area")
    for size in marked.values():
        assert size.awg_number is not None  # every SAE-marked size has a number
        full_mm2 = awg_area_mm2(size.awg_number)
        less = 100 * (1 - size.area_mm2 / full_mm2)
        yield Finding(
            kind=FindingKind.SERIES,
            severity=Severity.NOTE,
            run=None,
            station_mm=None,
            fact=f"{size.label} holds {less:.0f} % less copper than {awg_label(size.awg_number)}",
            more="; drop and ampacity count the lesser",
            required=f"{full_mm2:.2f} mm2 in {awg_label(size.awg_number)}",
            actual=f"{size.area_mm2:.2f} mm2 in {size.label}",
            rule=Rule("conductor", "SAE-marked area", size.area_mm2, "mm2", source, Status(status)),
        )


def _ampacity_rule(sizing: Sizing) -> Rule:
    table = sizing.ampacity.table or None
    first = load_table("ampacity")["tables"][0]
    source, status = (table.source, table.status) if table else (first["source"], first["status"])
    return Rule("conductor", "ampacity", sizing.ampacity.amperes, "A", source, Status(status))


def _published(key: str, table: str, entry: str, value: float, unit: str) -> Rule:
    row = load_table(table)[entry]
    return Rule("conductor", key, value, unit, row["source"], Status(row["status"]))


def _finding(
    kind: FindingKind,
    severity: Severity,
    carrier: Carrier,
    fact: str,
    required: str,
    actual: str,
    rule: Rule | None,
    *,
    more: str = "",
) -> Finding:
    return Finding(kind, severity, carrier.run.name, None, fact, more, required, actual, rule)
