"""What a job leaves out or could say better: what feeds a branch, a fuse of its own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from router.conductors.cable_sizes import Size
from router.conductors.circuit import Circuit
from router.conductors.fuses import smallest_fuse_for
from router.conductors.joined_fuses import limit_words
from router.conductors.limits import is_within
from router.conductors.question import ElectricalQuestion
from router.conductors.sizing import Sizing
from router.model.conductor_choice import SizeReason
from router.model.job import Run
from router.model.plan import Finding, FindingKind, Severity


def own_fuse_findings(question: ElectricalQuestion, sizings: tuple[Sizing, ...]) -> Iterator[Finding]:
    """Yield a note for each branch that is thick only because it has no fuse of its own.

    A run's fuse sits in one conductor, so nothing is said of a run that carries several out.
    """
    for sizing in sizings:
        carrier = sizing.carrier
        is_branch = carrier.conductor.fed_by is not None and can_have_a_fuse(question.circuit, carrier.run)
        own = smallest_fuse_for(carrier.fuse_load_a, least_v=question.source_v)
        is_fed_back = sizing.joined is not None and sizing.joined.is_from_behind
        if (
            sizing.decided_by is not SizeReason.FUSE
            or is_fed_back
            or not is_branch
            or own is None
            or own.rating_a >= sizing.fuse_a
        ):
            continue
        thinner = _thinnest_with(question, sizing, own.rating_a)
        if thinner is not None:
            words = f"{carrier.name} is {sizing.size.label} {_fuse_words(sizing)}"
            advice = (
                f'; "fuse: auto" in run "{carrier.run.name}" would give it one of {own.rating_a:g} A, '
                f"and {thinner.label} would do"
            )
            yield Finding(
                FindingKind.OWN_FUSE,
                Severity.NOTE,
                carrier.run.name,
                None,
                words,
                advice,
                thinner.label,
                sizing.size.label,
                None,
            )


def _fuse_words(sizing: Sizing) -> str:
    if sizing.joined is not None:
        return f"because {limit_words(sizing.joined)} to it"
    return f"so that the {sizing.fuse_a:g} A fuse before it protects it"


def _thinnest_with(question: ElectricalQuestion, sizing: Sizing, fuse_a: float) -> Size | None:
    """Return the size that a branch would have behind a fuse of its own; None where that is no thinner."""
    least = min(
        (each.size for each in sizing.demands if each.kind is not SizeReason.FUSE),
        key=lambda size: size.ohm_per_m,
    )
    for size in question.options(sizing.carrier):
        limit = question.fuse_limit(question.ampacity(sizing.carrier, size))
        if size.ohm_per_m <= least.ohm_per_m and is_within(fuse_a, limit.amperes):
            return size if size.ohm_per_m > sizing.size.ohm_per_m else None
    return None


def assumed_findings(question: ElectricalQuestion, sizings: Iterable[Sizing]) -> Iterator[Finding]:
    """Yield a note where resistances that nobody measured take most of a drop limit and so thicken cables.

    One for the job: of the load that loses the most to them.
    """
    sizings = tuple(sizings)
    sizes = {sizing.carrier.name: sizing.size for sizing in sizings}

    def assumed_v(load: str) -> float:
        return question.assumed_drop_v(load, sizes)

    by_drop = {sizing.carrier.name for sizing in sizings if sizing.decided_by is SizeReason.DROP}
    thickened = [
        load
        for load in question.circuit.loads
        if by_drop & {each.name for each in question.circuit.loop(load)}
    ]
    load = max(thickened, key=assumed_v, default=None)
    if load is None or assumed_v(load) <= question.drop_limit_v(load) / 2:
        return
    assumed, limit = f"{assumed_v(load):.2f} V", f"{question.drop_limit_v(load):.2f} V"
    words = (
        f"joints and vehicle body are assumed to lose {assumed} of the {limit} that {load} may lose, so its "
        "cables are thick"
    )
    advice = f": measure them (source: {' and '.join(_unmeasured(question, load))})"
    if question.body_drop_v(load) > 0:
        advice += ", or end the return on a stud on the body side of the battery sensor"
        advice += " (source: negative-at)"
    rule = question.practice.rule("conductor", "connection")
    yield Finding(
        FindingKind.ASSUMED_RESISTANCE,
        Severity.NOTE,
        question.circuit.by_name[load].run.name,
        None,
        words,
        advice,
        "measured",
        "assumed",
        rule,
    )


def _unmeasured(question: ElectricalQuestion, load: str) -> Iterator[str]:
    if question.job.source.joint_ohm is None:
        yield "joint"
    if question.job.source.body_ohm is None and question.body_drop_v(load) > 0:
        yield "body"


def can_have_a_fuse(circuit: Circuit, run: Run) -> bool:
    """Return whether one fuse in a run that has none would protect all that it carries out."""
    outs = [
        each for each in circuit.carriers if each.run is run and not each.is_return and each.current_a > 0
    ]
    return run.fuse is None and len(outs) == 1
