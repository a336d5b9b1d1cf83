"""What a person must know about the weakest parts of fuses' circuits, and what to write instead."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from router.conductors.cable_sizes import ordinary_sizes
from router.conductors.circuit import Carrier
from router.conductors.findings.contact_findings import contact_findings
from router.conductors.fuses import StandardFuse, standard_fuses
from router.conductors.limits import is_within
from router.conductors.protection import Protection
from router.conductors.question import ElectricalQuestion
from router.conductors.sizing import Sizing
from router.conductors.surroundings import Stretch
from router.conductors.weakest_part import (
    WeakPart,
    is_fit,
    lead_ampacity,
    offered_leads,
    weak_parts,
    wire_ampacity,
)
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Rule, Status
from router.model.vehicle import TerminalKind


def weak_part_findings(
    question: ElectricalQuestion, protections: Sequence[Protection], sizings: Sequence[Sizing]
) -> Iterator[Finding]:
    """Yield a must for each part that a fuse does not protect, and a note for each wire of unknown size."""
    for protection in protections:
        parts = tuple(weak_parts(question, protection.carrier, protection.standard, protection.behind))
        for part in dict.fromkeys(parts):
            if not is_within(protection.rating_a, part.may_be_a):
                yield _not_protected(
                    question, protection, part, _instead(question, protection, part, sizings)
                )
        yield from _breaking(question, protection, sizings)
    yield from contact_findings(question, sizings)
    yield from _feeding_wire(question)
    yield from _unknown_wires(question, protections)


def _not_protected(
    question: ElectricalQuestion, protection: Protection, part: WeakPart, advice: str
) -> Finding:
    rating = f"{protection.rating_a:g} A"
    fact = f"a {rating} fuse does not protect {part.words}"
    required = f"{part.may_be_a:.4g} A or less"
    run = protection.carrier.run.name
    return Finding(FindingKind.FUSE, Severity.MUST, run, None, fact, advice, required, rating, part.rule)


def _breaking(
    question: ElectricalQuestion, protection: Protection, sizings: Sequence[Sizing]
) -> Iterator[Finding]:
    """Yield a must where a source can drive more into a short than a fuse breaks."""
    fuse, short_a = protection.standard, question.job.source.short_circuit_a
    if fuse is None or short_a is None or is_within(short_a, fuse.breaking.value):
        return
    breaks = f"a {fuse.family} fuse breaks no more than {fuse.breaking.value:g} A"
    words = f"{breaks}, and the source drives {short_a:g} A into a short"
    rule = Rule(
        "fuse",
        "breaking capacity",
        fuse.breaking.value,
        "A",
        fuse.breaking.source,
        Status(fuse.breaking.status),
    )
    yield Finding(
        FindingKind.FUSE,
        Severity.MUST,
        protection.carrier.run.name,
        None,
        words,
        _other_fuse(question, protection, sizings) or "; no family of the table breaks that",
        f"{short_a:g} A or more",
        f"{fuse.breaking.value:g} A",
        rule,
    )


# What to write instead


def _instead(
    question: ElectricalQuestion, protection: Protection, part: WeakPart, sizings: Sequence[Sizing]
) -> str:
    asked = protection.carrier.run.fuse
    if part.terminal is None and asked and asked.leads is not None:
        return _thicker_leads(question, protection) or _other_fuse(question, protection, sizings)
    other = _other_fuse(question, protection, sizings)
    return other or "; share its load among several circuits, each with a fuse that protects it"


def _thicker_leads(question: ElectricalQuestion, protection: Protection) -> str:
    """Return the thinnest leads that would bear a fuse, where the job names its holder's."""
    fuse, carrier = protection.standard, protection.carrier
    if fuse is None:
        return ""
    for size in ordinary_sizes(question.job.series):
        lead = offered_leads(question, carrier, fuse)[0]
        thicker = lead.__class__(size.copper_mm2, size.area_mm2, size.label)
        limit = question.fuse_limit(lead_ampacity(question, carrier, fuse, thicker))
        if is_within(protection.rating_a, limit.amperes):
            return f"; leads of {size.label} would do (holder-leads: {size.label})"
    return ""


def _other_fuse(question: ElectricalQuestion, protection: Protection, sizings: Sequence[Sizing]) -> str:
    """Return the fuse that would do: it carries the load, and protects every part and conductor behind it."""
    would_do = [fuse for fuse in standard_fuses() if _would_do(question, protection, fuse, sizings)]
    if not would_do:
        return ""
    no_larger = [fuse for fuse in would_do if fuse.rating_a <= protection.rating_a]
    best_a = no_larger[-1].rating_a if no_larger else would_do[0].rating_a
    best = next(fuse for fuse in would_do if fuse.rating_a == best_a)
    rating = f"{best.rating_a:g} A"
    return f"; a {best.family} fuse of {rating} would do (fuse: {rating}, fuse-family: {best.family})"


def _would_do(
    question: ElectricalQuestion, protection: Protection, fuse: StandardFuse, sizings: Sequence[Sizing]
) -> bool:
    carrier = protection.carrier
    if not (is_within(carrier.fuse_load_a, fuse.rating_a) and is_fit(question, carrier, fuse)):
        return False
    parts = weak_parts(question, carrier, fuse, protection.behind)
    behind = [sizing for sizing in sizings if sizing.carrier in protection.behind and not sizing.demands]
    named = (question.fuse_limit(sizing.ampacity).amperes for sizing in behind)
    limits = [*named, *(part.may_be_a for part in parts if part.terminal)]
    return all(is_within(fuse.rating_a, limit_a) for limit_a in limits)


# Wires that are there already


def _feeding_wire(question: ElectricalQuestion) -> Iterator[Finding]:
    """Yield a must where the job takes more from a wire that is there already than it may carry."""
    terminal = question.profile.terminal(question.job.source.at)
    fed = [each for each in question.circuit.carriers if _leaves_source(question, each)]
    if terminal.wire is None or not fed:
        return
    ampacity = wire_ampacity(question, terminal.wire, _source_stretch(question, fed[0]))
    taken_a = sum(each.current_a for each in fed)
    if not is_within(taken_a, ampacity.amperes):
        table = ampacity.table
        source, status = (
            (table.source, table.status) if table else ("no table has so thin a wire", "published")
        )
        yield Finding(
            FindingKind.AMPACITY,
            Severity.MUST,
            fed[0].run.name,
            None,
            f"the wire of {terminal.wire} that feeds {terminal.name} is too thin for this job",
            "; take the supply from the battery or from a wire that bears it, whatever else that feeds",
            f"{taken_a:.4g} A",
            f"{ampacity.amperes:.4g} A",
            Rule("conductor", "ampacity", ampacity.amperes, "A", source, Status(status)),
        )


def _leaves_source(question: ElectricalQuestion, carrier: Carrier) -> bool:
    at = question.job.source.at
    is_there = at in (carrier.run.start, carrier.run.end)
    return is_there and not carrier.is_return and carrier.conductor.fed_by is None


def _source_stretch(question: ElectricalQuestion, carrier: Carrier) -> Stretch:
    stretches = question.surroundings[carrier.run.name].stretches
    return stretches[0] if carrier.run.start == question.job.source.at else stretches[-1]


def _unknown_wires(question: ElectricalQuestion, protections: Sequence[Protection]) -> Iterator[Finding]:
    """Yield a note for each connector behind a fuse of whose own wire nobody said the size."""
    asked: set[str] = set()
    for protection in protections:
        for run in dict.fromkeys(each.run.name for each in protection.behind):
            for name in (question.job.run(run).start, question.job.run(run).end):
                terminal = question.profile.terminal(name)
                is_plain = terminal.wire is None and name not in asked
                if is_plain and terminal.kind is TerminalKind.CONNECTOR and name != question.job.source.at:
                    asked.add(name)
                    yield _unknown_wire(protection, run, name)


def _unknown_wire(protection: Protection, run: str, name: str) -> Finding:
    rating = f"{protection.rating_a:g} A"
    fact = (
        f"nobody said how thick the wire is that goes on from {name}, and the {rating} fuse protects it too"
    )
    more = "; look, and write it at that terminal, e.g. wire: 1.5 mm2"
    return Finding(FindingKind.FUSE, Severity.NOTE, run, None, fact, more, "a size", "none", None)
