"""The weakest part decides: what a fuse protects besides the conductors that the job lays.

The leads of its own holder, in the heat where it sits; the contacts at both ends of what is behind it; and
wires that are there already and are joined. A splice carries what the thinner of its two sides does.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from router.conductors.ampacity import Ampacity, ampacities_along
from router.conductors.cable_sizes import Size, size_named
from router.conductors.circuit import Carrier
from router.conductors.fuses import HolderLead, StandardFuse, standard_fuses
from router.conductors.limits import is_within
from router.conductors.question import ElectricalQuestion
from router.conductors.surroundings import Stretch, Surroundings
from router.model.job import Run
from router.model.practice import Rule, Status
from router.tables import load_table


@dataclass(frozen=True, slots=True)
class WeakPart:
    """A part of a fuse's circuit that is no conductor of the job, and how large the fuse before it may be."""

    words: str
    may_be_a: float
    """[A]"""
    rule: Rule
    terminal: str | None
    """Where it is; None at the holder."""


# Which fuse, and in which holder


def smallest_fit_fuse(question: ElectricalQuestion, carrier: Carrier) -> StandardFuse | None:
    """Return the smallest standard fuse for a conductor's load that is fit where it sits.

    Of the family that the job names, where it names one. Where none is fit, the smallest all the same: a
    finding says why it is not. None where every rating is too small, or none breaks the source's voltage.
    """
    enough = [
        fuse
        for fuse in _asked(carrier)
        if is_within(carrier.fuse_load_a, fuse.rating_a) and is_within(question.source_v, fuse.voltage.value)
    ]
    return _first_fit(question, carrier, enough)


def fit_fuse_rated(question: ElectricalQuestion, carrier: Carrier, rating_a: float) -> StandardFuse | None:
    """Return the standard fuse of a rating that is fit there, else any of that rating, if there is one."""
    return _first_fit(question, carrier, [fuse for fuse in _asked(carrier) if fuse.rating_a == rating_a])


def is_fit(question: ElectricalQuestion, carrier: Carrier, fuse: StandardFuse) -> bool:
    """Return whether a fuse breaks what its source drives, and its holder bears its rating where it sits."""
    source = question.job.source
    breaks = is_within(question.source_v, fuse.voltage.value)
    breaks = breaks and is_within(source.short_circuit_a or 0.0, fuse.breaking.value)
    leads = offered_leads(question, carrier, fuse)
    return breaks and (not leads or _bears(question, carrier, fuse, leads[-1]))


def _asked(carrier: Carrier) -> list[StandardFuse]:
    """Return the standard fuses of the family and with the leads that the job names, if it names any."""
    asked = carrier.run.fuse
    family, has_leads = (asked.family, asked.leads is not None) if asked else (None, False)
    return [
        fuse
        for fuse in standard_fuses()
        if family in (None, fuse.family) and (fuse.holder.leads or not has_leads)
    ]


def _first_fit(
    question: ElectricalQuestion, carrier: Carrier, fuses: Sequence[StandardFuse]
) -> StandardFuse | None:
    fit = (fuse for fuse in fuses if is_fit(question, carrier, fuse))
    return next(fit, fuses[0] if fuses else None)


# A holder's leads


def offered_leads(
    question: ElectricalQuestion, carrier: Carrier, fuse: StandardFuse
) -> tuple[HolderLead, ...]:
    """Return the leads that a fuse's holder can be had with, thinnest first; none where rings go on studs."""
    named = carrier.run.fuse.leads if carrier.run.fuse else None
    if named is None or not fuse.holder.leads:
        return fuse.holder.leads
    size = size_named(named, question.job.series)
    return (HolderLead(size.copper_mm2, size.area_mm2, size.label),)


def holder_lead(
    question: ElectricalQuestion, carrier: Carrier, fuse: StandardFuse, size: Size
) -> HolderLead | None:
    """Return the leads that a holder is fetched with: they bear the fuse, and are as thick as the conductor.

    Where the conductor is thicker than any lead, the thickest. None where rings go on its studs.
    """
    offered = offered_leads(question, carrier, fuse)
    bearing = [lead for lead in offered if _bears(question, carrier, fuse, lead)] or list(offered[-1:])
    as_thick = (lead for lead in bearing if is_within(size.area_mm2, lead.most_mm2))
    return next(as_thick, bearing[-1] if bearing else None)


def lead_ampacity(
    question: ElectricalQuestion, carrier: Carrier, fuse: StandardFuse, lead: HolderLead
) -> Ampacity:
    """Return what a lead may carry where the holder sits: it hangs beside the loom, not in its bundle."""
    class_c = fuse.holder.insulation_c or question.job.insulation_c
    return _alone(lead.least_mm2, class_c, holder_stretch(question, carrier))


def _bears(question: ElectricalQuestion, carrier: Carrier, fuse: StandardFuse, lead: HolderLead) -> bool:
    ampacity = lead_ampacity(question, carrier, fuse, lead)
    return is_within(fuse.rating_a, question.fuse_limit(ampacity).amperes)


def holder_stretch(question: ElectricalQuestion, carrier: Carrier) -> Stretch:
    """Return the stretch of its run that a holder sits in."""
    run = carrier.run
    asked_mm = run.fuse.from_source_mm if run.fuse else None
    from_source_mm = question.practice.value("fuse", "nearest") if asked_mm is None else asked_mm
    past_mm = 0.0
    for stretch in _from_source(question, run):
        past_mm += stretch.length_mm
        if from_source_mm <= past_mm:
            return stretch
    return _from_source(question, run)[-1]


def _from_source(question: ElectricalQuestion, run: Run) -> tuple[Stretch, ...]:
    stretches = question.surroundings[run.name].stretches
    is_at_end = run.end == question.job.source.at != run.start
    return tuple(reversed(stretches)) if is_at_end else stretches


def _alone(copper_mm2: float, class_c: float, stretch: Stretch) -> Ampacity:
    around = Surroundings("", (replace(stretch, bundled=1),), 0.0)
    (ampacity,) = ampacities_along(copper_mm2, class_c, around, is_bundling_counted=False)
    return ampacity


# What else is in a fuse's circuit


def weak_parts(
    question: ElectricalQuestion, carrier: Carrier, fuse: StandardFuse | None, behind: Sequence[Carrier]
) -> Iterator[WeakPart]:
    """Yield what a fuse must protect that is no conductor of the job.

    Parameters
    ----------
    question : ElectricalQuestion
    carrier : Carrier
        The conductor that the fuse sits in.
    fuse : StandardFuse or None
    behind : sequence of Carrier
        All that it protects.
    """
    leads = offered_leads(question, carrier, fuse) if fuse else ()
    if fuse and leads:
        ampacity = lead_ampacity(question, carrier, fuse, leads[-1])
        limit, stretch = question.fuse_limit(ampacity), ampacity.stretch
        words = (
            f"the leads of its holder, {leads[-1].words}, in {stretch.space} at {stretch.ambient_c:g} degC"
        )
        rule = _rule("holder leads", limit.amperes, fuse.holder.source, fuse.holder.status)
        yield WeakPart(words, limit.amperes, rule, None)
    for each in behind:
        for name, stretch in _ends(question, each):
            yield from _at_terminal(question, name, stretch)


def _ends(question: ElectricalQuestion, carrier: Carrier) -> Iterator[tuple[str, Stretch]]:
    """Yield a conductor's ends with the stretches that they lie in."""
    stretches = question.surroundings[carrier.run.name].stretches
    yield carrier.run.start, stretches[0]
    yield carrier.run.end, stretches[-1]


def _at_terminal(question: ElectricalQuestion, name: str, stretch: Stretch) -> Iterator[WeakPart]:
    terminal = question.profile.terminal(name)
    if terminal.contact is not None:
        table = load_table("terminals")["contacts"]
        row = next(each for each in table["families"] if each["contact"] == terminal.contact)
        rule = _rule("contact", row["current_a"], table["source"], table["status"])
        yield WeakPart(f"the {terminal.contact} contact at {name}", float(row["current_a"]), rule, name)
    if terminal.wire is not None and name != question.job.source.at:
        limit = question.fuse_limit(wire_ampacity(question, terminal.wire, stretch))
        words = f"the wire of {terminal.wire} that is there already at {name}"
        yield WeakPart(words, limit.amperes, limit.rule, name)


def wire_ampacity(question: ElectricalQuestion, wire: str, stretch: Stretch) -> Ampacity:
    """Return what a wire that is there already may carry, its insulation taken to be the job's."""
    size = size_named(wire, question.job.series)
    return _alone(size.copper_mm2, question.job.insulation_c, stretch)


def _rule(key: str, value_a: float, source: str, status: str) -> Rule:
    return Rule("fuse", key, value_a, "A", source, Status(status))
