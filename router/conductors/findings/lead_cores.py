"""What the cores of a trailer lead may carry, and what protects them: their areas are given, none is chosen.

Two limits count. By itself, with nothing beside it warm, a core must bear its load and what its fuse lets
through: a must. With all cores loaded for good it carries less by 33 CFR 183.425 note 2, which is law from
50 V on and a conservative choice below; a lead whose lamps light up by turns is hardly ever loaded so. What
keeps to the first limit and not to the second is told, with what would keep to both.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from router.conductors.fuse_limits import FuseLimit
from router.conductors.limits import is_within
from router.conductors.protection import Protection, lasting_a
from router.conductors.question import ElectricalQuestion
from router.conductors.sizing import Sizing
from router.model.conductor_choice import SizeReason
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Rule, Status
from router.tables import ISO, insulation_classes_c, insulation_key, insulation_words, load_table


@dataclass(frozen=True, slots=True)
class _Core:
    """One core: what is asked of it, and what it bears among loaded ones and alone. [A]"""

    sizing: Sizing
    asked_a: float
    among: FuseLimit
    alone: FuseLimit

    @property
    def severity(self) -> Severity | None:
        """Return how grave it is, None where it bears what is asked."""
        if is_within(self.asked_a, self.among.amperes):
            return None
        return Severity.SHOULD if is_within(self.asked_a, self.alone.amperes) else Severity.MUST


def lead_core_findings(
    question: ElectricalQuestion, sizings: Sequence[Sizing], protections: Sequence[Protection]
) -> Iterator[Finding]:
    """Yield a finding for each published lead with cores that carry too much, and for each fuse too large."""
    cores = [sizing for sizing in sizings if sizing.decided_by is SizeReason.LEAD]
    for run in dict.fromkeys(sizing.carrier.run.name for sizing in cores):
        own = [sizing for sizing in cores if sizing.carrier.run.name == run]
        yield from _of_loads(question, own)
        for protection in protections:
            yield from _of_fuse(question, own, protection)


def output_limit_findings(question: ElectricalQuestion) -> Iterator[Finding]:
    """Yield a must for each conductor that carries more than the output of its unit lets through."""
    for carrier in question.circuit.carriers:
        limit_a = carrier.conductor.output_limit_a
        if limit_a is not None and not is_within(carrier.current_a, limit_a):
            yield Finding(
                FindingKind.FUSE,
                Severity.MUST,
                carrier.run.name,
                None,
                f"the unit lets {limit_a:g} A through to {carrier.name}, which carries "
                f"{carrier.current_a:.4g} A",
                "; fewer lamps on that output, or a unit of more",
                f"{carrier.current_a:.4g} A or more",
                f"{limit_a:g} A",
                None,
            )


def _of_loads(question: ElectricalQuestion, own: list[Sizing]) -> Iterator[Finding]:
    """Yield a finding for all cores of a lead that are as badly off."""
    carrying = [_carrying(question, sizing) for sizing in own]
    for severity in (Severity.MUST, Severity.SHOULD):
        bad = [core for core in carrying if core.severity is severity]
        if bad:
            yield _too_thin(question, bad, severity)


def _too_thin(question: ElectricalQuestion, bad: list[_Core], severity: Severity) -> Finding:
    worst = max(bad, key=lambda core: core.asked_a / max(core.among.amperes, 1e-9))
    run, load = worst.sizing.carrier.run, f"{worst.asked_a:.4g} A"
    names = ", ".join(core.sizing.carrier.name for core in bad)
    when = "while all its cores are loaded" if severity is Severity.SHOULD else "even by itself"
    gains = [*_better_insulation(question, worst), "less on at once (never-with, LED lamps)"]
    return Finding(
        FindingKind.AMPACITY,
        severity,
        run.name,
        None,
        f"{names}: {worst.sizing.size.label}, as a {run.lead} cable has it, is too thin for {load} {when}",
        f"; what would do: {', or '.join(gains)}",
        load,
        f"{worst.among.amperes:.4g} A among loaded cores, {worst.alone.amperes:.4g} A alone",
        worst.among.rule,
    )


def _of_fuse(question: ElectricalQuestion, own: list[Sizing], protection: Protection) -> Iterator[Finding]:
    behind = [_fused(question, sizing, protection) for sizing in own if sizing.carrier in protection.behind]
    for severity in (Severity.MUST, Severity.SHOULD):
        bad = [core for core in behind if core.severity is severity]
        if bad:
            yield _too_large(question, protection, bad, severity)


def _too_large(
    question: ElectricalQuestion, protection: Protection, bad: list[_Core], severity: Severity
) -> Finding:
    worst = min(bad, key=lambda core: core.among.amperes)
    run = worst.sizing.carrier.run
    names = ", ".join(core.sizing.carrier.name for core in bad)
    sizes = " and ".join(dict.fromkeys(core.sizing.size.label for core in bad))
    what = f"{names} of the {run.lead} cable ({sizes})"
    fact = f"does not protect {what}"
    if severity is Severity.SHOULD:
        fact = f"protects {what} only while its other cores are cool"
    rating = f"{protection.rating_a:g} A"
    gains = [
        "a unit that limits its outputs (output-limit: as its papers say)",
        "smaller fuses, each for fewer lamps",
        *_better_insulation(question, worst),
    ]
    return Finding(
        FindingKind.FUSE,
        severity,
        run.name,
        None,
        f"a {rating} fuse {fact}",
        f"; what would do: {', or '.join(gains)}",
        f"{worst.among.amperes:.4g} A or less among loaded cores, {worst.alone.amperes:.4g} A alone",
        rating,
        worst.among.rule,
    )


def _carrying(question: ElectricalQuestion, sizing: Sizing) -> _Core:
    """Return a core with its load, held against its ampacity."""
    among, alone = (
        question.ampacity(sizing.carrier, sizing.size, is_alone=is_alone) for is_alone in (False, True)
    )
    first = load_table("ampacity")["bundling"]
    limits = [
        FuseLimit(
            each.amperes,
            "what it may carry",
            Rule("conductor", "ampacity", each.amperes, "A", first["source"], Status(first["status"])),
        )
        for each in (among, alone)
    ]
    return _Core(sizing, sizing.carrier.current_a, *limits)


def _fused(question: ElectricalQuestion, sizing: Sizing, protection: Protection) -> _Core:
    """Return a core with what its fuse lets through for good, held against how large that fuse may be."""
    among, alone = (
        question.fuse_limit(question.ampacity(sizing.carrier, sizing.size, is_alone=is_alone))
        for is_alone in (False, True)
    )
    lasting = lasting_a(question.circuit, sizing.carrier, protection.rating_a)
    return _Core(sizing, lasting, among, alone)


def _better_insulation(question: ElectricalQuestion, core: _Core) -> Iterator[str]:
    """Yield the next class of insulation where a core in it would bear what is asked among loaded ones."""
    classes = (class_c for class_c in insulation_classes_c() if class_c > question.job.insulation_c)
    class_c = next(classes, None)
    if class_c is not None:
        better = question.ampacity(core.sizing.carrier, core.sizing.size, insulation_c=class_c)
        if is_within(core.asked_a, question.fuse_limit(better).amperes):
            yield f"insulation of {insulation_words(class_c)}: write {insulation_key(class_c, ISO)}"
