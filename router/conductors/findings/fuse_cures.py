"""What protects a conductor that its fuse does not: a fuse of its own, a smaller one, or more copper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from router.conductors.circuit import Carrier
from router.conductors.findings.hints import can_have_a_fuse
from router.conductors.fuses import StandardFuse
from router.conductors.limits import is_within
from router.conductors.protection import Protection, behind, lasting_a
from router.conductors.question import ElectricalQuestion
from router.conductors.sizing import Sizing
from router.conductors.weakest_part import is_fit, smallest_fit_fuse


def protecting_words(
    question: ElectricalQuestion, protection: Protection, sizing: Sizing, sizings: Sequence[Sizing]
) -> str:
    """Return what to write so that a conductor is protected; empty where no single change would do.

    Parameters
    ----------
    question : ElectricalQuestion
    protection : Protection
        The fuse that is too large.
    sizing : Sizing
        Of the conductor that it does not protect.
    sizings : sequence of Sizing
        Of every conductor of the job.
    """
    cures = [*_own_fuse(question, sizing, sizings), *_smaller(question, protection, sizings)]
    cures += _thicker(question, protection, sizing)
    return f"; what would do: {', or '.join(cures)}" if cures else ""


def _own_fuse(question: ElectricalQuestion, sizing: Sizing, sizings: Sequence[Sizing]) -> Iterator[str]:
    """Yield a fuse of its own for a branch, where that protects all that is behind it."""
    carrier = sizing.carrier
    if carrier.conductor.fed_by is not None and can_have_a_fuse(question.circuit, carrier.run):
        fuse = _sound_fuse(question, carrier, sizings)
        if fuse is not None:
            yield f'"fuse: auto" in run "{carrier.run.name}", which gives it one of {fuse.rating_a:g} A'


def _smaller(
    question: ElectricalQuestion, protection: Protection, sizings: Sequence[Sizing]
) -> Iterator[str]:
    """Yield the fuse that is chosen in place of one that the job names, where that protects all behind it."""
    carrier = protection.carrier
    fuse = _sound_fuse(question, carrier, sizings) if protection.is_named else None
    if fuse is not None and fuse.rating_a < protection.rating_a:
        yield f'"fuse: auto" in run "{carrier.run.name}", which gives {fuse.rating_a:g} A'


def _sound_fuse(
    question: ElectricalQuestion, carrier: Carrier, sizings: Sequence[Sizing]
) -> StandardFuse | None:
    """Return the fuse that would be chosen for a conductor; None where it leaves something unprotected.

    What is sized by the plan follows the fuse; what the job or a lead's standard sizes must bear it.
    """
    fuse = smallest_fit_fuse(question, carrier)
    if fuse is None or not is_fit(question, carrier, fuse):
        return None
    after = behind(question.circuit, carrier)
    fixed = (each for each in sizings if each.carrier in after and question.fixed_size(each.carrier))
    bears = (
        is_within(
            lasting_a(question.circuit, each.carrier, fuse.rating_a),
            question.fuse_limit(each.ampacity).amperes,
        )
        for each in fixed
    )
    return fuse if all(bears) else None


def _thicker(question: ElectricalQuestion, protection: Protection, sizing: Sizing) -> Iterator[str]:
    """Yield the thinnest size that takes the fuse as it is."""
    carrier = sizing.carrier
    lasting = lasting_a(question.circuit, carrier, protection.rating_a)
    for size in question.options(carrier):
        if is_within(lasting, question.fuse_limit(question.ampacity(carrier, size)).amperes):
            yield f"{carrier.name} at {size.label} in place of {sizing.size.label}"
            return
