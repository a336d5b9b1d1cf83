"""Which fuse protects which conductors."""

from __future__ import annotations

import math
from dataclasses import dataclass

from router.conductors.circuit import Carrier, Circuit
from router.conductors.fuses import StandardFuse, smallest_fuse_for, standard_fuses
from router.conductors.limits import is_within
from router.conductors.question import ElectricalQuestion, fused_carrier
from router.conductors.weakest_part import fit_fuse_rated, smallest_fit_fuse
from router.errors import NoConductorError
from router.model.job import LoadKind, Run


@dataclass(frozen=True, slots=True)
class Protection:
    """One fuse, the conductor it sits in, and every conductor that it protects, that one included."""

    carrier: Carrier
    rating_a: float
    standard: StandardFuse | None
    """None where the job names a rating that no family has."""
    is_named: bool
    behind: tuple[Carrier, ...]


def protections_of(question: ElectricalQuestion, refused: list[str]) -> tuple[Protection, ...]:
    """Return every fuse of a job; a rating to be chosen is the smallest that its load allows.

    `refused` takes why there is none, where a load is above every standard rating.
    """
    found = []
    for run in question.job.runs:
        carrier = fused_carrier(question.circuit, run.name)
        if carrier is not None:
            try:
                found.append(_protection(run, carrier, question))
            except NoConductorError as error:
                refused.append(error.why)
    return tuple(found)


def way_out(circuit: Circuit, carrier: Carrier) -> tuple[Carrier, ...]:
    """Return the conductors from the source to the far end of one of them."""
    chain = [carrier]
    while (feeder := chain[0].conductor.fed_by) is not None:
        chain.insert(0, circuit.by_name[feeder])
    return tuple(chain)


def ways_back(circuit: Circuit, out: tuple[Carrier, ...]) -> tuple[Carrier, ...]:
    """Return the conductors that bring back what flows out, one after the other."""
    names = {carrier.name for carrier in out}
    backs: list[Carrier] = []
    while found := [
        each for each in circuit.carriers if each not in backs and names & set(each.conductor.returns)
    ]:
        backs.extend(found)
        names |= {each.name for each in found}
    return tuple(backs)


def lasting_a(circuit: Circuit, carrier: Carrier, rating_a: float) -> float:
    """Return the most that can flow in a conductor behind a fuse for good.

    The fuse's rating; less where the unit that feeds it switches an output off before. What brings back
    limited outputs alone carries what it always does, and the most that a fault in one of them adds.

    Parameters
    ----------
    circuit : Circuit
    carrier : Carrier
        The conductor.
    rating_a : float
        Of the fuse before it. [A]
    """
    return min(rating_a, carrier.current_a + _added_by_fault_a(circuit, carrier))


def _added_by_fault_a(circuit: Circuit, carrier: Carrier) -> float:
    """Return how much more than its load can flow in a conductor; infinity where no output limits it."""
    if carrier.is_return:
        brought = (circuit.by_name[name] for name in carrier.conductor.returns)
        return max((_added_by_fault_a(circuit, each) for each in brought), default=math.inf)
    limits_a = (each.conductor.output_limit_a for each in way_out(circuit, carrier))
    limit_a = min((each_a for each_a in limits_a if each_a is not None), default=math.inf)
    return max(0.0, limit_a - carrier.current_a)


def _protection(run: Run, carrier: Carrier, question: ElectricalQuestion) -> Protection:
    after = behind(question.circuit, carrier)
    named_a = run.fuse.rating_a if run.fuse else None
    if named_a is not None:
        standard = fit_fuse_rated(question, carrier, named_a)
        return Protection(carrier, named_a, standard, is_named=True, behind=after)
    fuse = smallest_fit_fuse(question, carrier)
    if fuse is None:
        raise NoConductorError(f'run "{run.name}": no fuse fits: {_too_much_for_any(carrier, question)}')
    return Protection(carrier, fuse.rating_a, fuse, is_named=False, behind=after)


def _too_much_for_any(carrier: Carrier, question: ElectricalQuestion) -> str:
    source_v = question.source_v
    made_for = [each.rating_a for each in standard_fuses() if is_within(source_v, each.voltage.value)]
    if not made_for:
        return f"none breaks {source_v:g} V; take the supply from a source of less"
    words = (
        f"its load counts {carrier.fuse_load_a:.4g} A, the largest standard fuse for {source_v:g} V is "
        f"{max(made_for):g} A; "
    )
    return words + (_of_motor(carrier, question) or "share the load among several circuits")


def _of_motor(carrier: Carrier, question: ElectricalQuestion) -> str:
    """Return what to do where only what motors draw as they start is too much: nobody shares a motor."""
    surge = carrier.surge
    enough = smallest_fuse_for(carrier.cool_fuse_load_a, least_v=question.source_v)
    if surge is None or surge.kind is not LoadKind.MOTOR or enough is None:
        return ""
    names = " and ".join(surge.names)
    return (
        f"{surge.load_a:.4g} A of motors count so much as they start. Name the bolt-down fuse that the maker "
        f"of what {names} feeds asks for, {enough.rating_a:g} A or more (fuse: {enough.rating_a:g} A); or "
        "leave kind: motor out, where load: is the most that it ever draws"
    )


def behind(circuit: Circuit, fused: Carrier) -> tuple[Carrier, ...]:
    """Return what a fuse protects: on downstream to the next fuse, and what brings that current back."""
    outs = [
        carrier for carrier in circuit.carriers if not carrier.is_return and _is_fed(circuit, carrier, fused)
    ]
    return (*outs, *ways_back(circuit, tuple(outs)))


def _is_fed(circuit: Circuit, carrier: Carrier, fused: Carrier) -> bool:
    for each in reversed(way_out(circuit, carrier)):
        if each is fused:
            return True
        if fused_carrier(circuit, each.run.name) is each:
            return False
    return False
