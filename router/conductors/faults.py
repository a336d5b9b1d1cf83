"""What a short circuit at the far end of a conductor does: to the fuse, and to the copper."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from router.conductors.cable_sizes import Size
from router.conductors.circuit import Carrier
from router.conductors.fuses import clearing_s
from router.conductors.protection import Protection, way_out, ways_back
from router.conductors.question import ElectricalQuestion
from router.conductors.short_circuit import short_circuit_a, short_time_limit_c, survival_s


@dataclass(frozen=True, slots=True)
class FarEndShort:
    """A dead short at the far end of one conductor behind a fuse."""

    carrier: Carrier
    least_a: float
    """Copper warm, back along the job's own returns: the hardest for the fuse."""
    greatest_a: float
    """Copper at 20 degC, back through the vehicle's body: the hardest for the copper."""
    clears_s: float | None
    """Longest time that the fuse may take at the least current; None: it need not clear."""
    thinnest: Carrier
    """The conductor on the path of the current whose copper has the least time to spare."""
    heaviest_a: float
    """The one of both currents at which it has."""
    heaviest_clears_s: float
    survives_s: float
    """How long its copper bears that current."""


def far_end_shorts(
    question: ElectricalQuestion, protection: Protection, sizes: Mapping[str, Size]
) -> tuple[FarEndShort, ...]:
    """Return a short at the far end of every conductor behind a fuse that brings no current back.

    Not of one that a unit's output limits: there the unit clears it.
    """
    outs = [
        carrier
        for carrier in protection.behind
        if not carrier.is_return and not _is_limited(question, carrier)
    ]
    return tuple(_short(question, protection, carrier, sizes) for carrier in outs)


def _is_limited(question: ElectricalQuestion, carrier: Carrier) -> bool:
    way = way_out(question.circuit, carrier)
    return any(each.conductor.output_limit_a is not None for each in way)


def _short(
    question: ElectricalQuestion, protection: Protection, carrier: Carrier, sizes: Mapping[str, Size]
) -> FarEndShort:
    out = way_out(question.circuit, carrier)
    backs = ways_back(question.circuit, out)
    least_a = _current_a(question, (*out, *backs), sizes, is_warm=True)
    greatest_a = _current_a(question, out, sizes, is_warm=False)
    heated = {least_a: (*out, *backs), greatest_a: out}
    trials = [
        (
            _survival_s(question, sizes[each.name], current_a),
            _clears_s(protection, current_a),
            each,
            current_a,
        )
        for current_a, path in heated.items()
        for each in path
        if each in protection.behind
    ]
    # often equal at both currents, as both times fall with the square: then the greater one is told
    survives_s, clears_s, thinnest, current_a = min(
        trials, key=lambda trial: (round(trial[0] / trial[1], 6), -trial[3])
    )
    at_least_s = _clears_s(protection, least_a)
    return FarEndShort(
        carrier=carrier,
        least_a=least_a,
        greatest_a=greatest_a,
        clears_s=at_least_s if math.isfinite(at_least_s) else None,
        thinnest=thinnest,
        heaviest_a=current_a,
        heaviest_clears_s=clears_s,
        survives_s=survives_s,
    )


def _clears_s(protection: Protection, current_a: float) -> float:
    clears_s = None if protection.standard is None else clearing_s(protection.standard, current_a)
    return math.inf if clears_s is None else clears_s


def _current_a(
    question: ElectricalQuestion, path: Sequence[Carrier], sizes: Mapping[str, Size], *, is_warm: bool
) -> float:
    ohm = question.body_ohm
    for carrier in path:
        size, cut_m = sizes[carrier.name], question.surroundings[carrier.run.name].cut_mm / 1000
        ohm += question.warm_ohm(carrier, size) if is_warm else cut_m * size.ohm_per_m
        ohm += question.joints_ohm(carrier, size)
    return short_circuit_a(question.job.source.resting_v, ohm)


def _survival_s(question: ElectricalQuestion, size: Size, current_a: float) -> float:
    class_c = question.job.insulation_c
    return survival_s(size.copper_mm2, current_a, class_c, short_time_limit_c(class_c))
