"""The size of every conductor: the smallest that every demand allows, and which demand decided."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from router.conductors.ampacity import Ampacity
from router.conductors.cable_sizes import Size
from router.conductors.circuit import Carrier
from router.conductors.drop import Share, common_gradient_v_per_m, weight_of_length
from router.conductors.joined_fuses import Joined, joined_fuses
from router.conductors.limits import is_within
from router.conductors.protection import Protection, lasting_a
from router.conductors.question import ElectricalQuestion
from router.conductors.refusals import place_words, too_much_drop
from router.errors import NoConductorError
from router.model.conductor_choice import SizeReason
from router.model.job import LoadKind, Series
from router.tables import ISO, SAE, insulation_classes_c, insulation_key, insulation_words


@dataclass(frozen=True, slots=True)
class Demand:
    """One demand on a conductor, and the smallest size that meets it."""

    kind: SizeReason
    size: Size


@dataclass(frozen=True, slots=True)
class Sizing:
    """The size of one conductor and what led to it."""

    carrier: Carrier
    size: Size
    ampacity: Ampacity
    decided_by: SizeReason
    demands: tuple[Demand, ...]
    """Empty where the job names the size, or a published lead has it."""
    fuse_a: float
    """The largest fuse that it must be able to carry, or what its unit's output lets through; 0: no fuse."""
    gradient_v_per_m: float | None
    """What it may lose a metre, warm; infinite: any size will do, None: none is to be chosen."""
    joined: Joined | None = None
    """What the fuses of several supplies let through to it together; None where no more than one does."""


class _NoSizeError(NoConductorError):
    """No size meets a demand on a conductor; `demand` says which, in the same words for all alike."""

    def __init__(self, demand: str) -> None:
        super().__init__(demand)
        self.demand = demand


def size_conductors(
    question: ElectricalQuestion, protections: tuple[Protection, ...], refused: list[str]
) -> tuple[Sizing, ...]:
    """Return the size of every conductor in the job's order; of none that `refused` says has no size.

    Parameters
    ----------
    question : ElectricalQuestion
    protections : tuple of Protection
        The fuses that could be chosen.
    refused : list of str
        Takes why no size of the series meets a demand: the demand, the best size, the figures.
    """
    joined = {} if refused else joined_fuses(question, protections)  # which asks for every fuse
    gradients = _gradients(question, refused)
    sizings = []
    places: dict[str, list[str]] = {}
    for carrier in question.circuit.carriers:
        try:
            sizing = _sizing(question, carrier, protections, gradients, joined)
            sizings.append(replace(sizing, joined=joined.get(carrier.name)))
        except _NoSizeError as error:
            places.setdefault(error.demand, []).append(place_words(carrier))
    refused.extend(f"{' and '.join(where)}: {why}" for why, where in places.items())
    return tuple(sizings)


def _sizing(
    question: ElectricalQuestion,
    carrier: Carrier,
    protections: tuple[Protection, ...],
    gradients: Mapping[str, float],
    joined: Mapping[str, Joined],
) -> Sizing:
    over_it = tuple(protection for protection in protections if carrier in protection.behind)
    lasting = (lasting_a(question.circuit, carrier, protection.rating_a) for protection in over_it)
    together_a = joined[carrier.name].amperes if carrier.name in joined else 0.0
    fuse_a = max((together_a, *lasting))
    gradient = gradients.get(carrier.name)
    size = question.named_size(carrier)
    if size is not None:
        ampacity = question.ampacity(carrier, size)
        _check_named_takes_fuse(question, carrier, size, ampacity, over_it)
        return Sizing(carrier, size, ampacity, SizeReason.JOB, (), fuse_a, gradient)
    sold = question.lead_size(carrier)
    if sold is not None:
        return Sizing(carrier, sold, question.ampacity(carrier, sold), SizeReason.LEAD, (), fuse_a, gradient)
    demands = [
        Demand(SizeReason.LEAST_SIZE, question.options(carrier)[0]),
        Demand(SizeReason.AMPACITY, _by_ampacity(question, carrier)),
    ]
    if gradient is not None:
        demands.append(Demand(SizeReason.DROP, _by_gradient(question, carrier, gradient)))
    if fuse_a > 0:
        demands.append(Demand(SizeReason.FUSE, _by_fuse(question, carrier, fuse_a)))
    deciding = min(demands, key=lambda demand: demand.size.ohm_per_m)
    ampacity = question.ampacity(carrier, deciding.size)
    return Sizing(carrier, deciding.size, ampacity, deciding.kind, tuple(demands), fuse_a, gradient)


def _by_ampacity(question: ElectricalQuestion, carrier: Carrier) -> Size:
    size = _first_carrying(question, carrier, carrier.current_a)
    if size is None:
        raise _NoSizeError(f"ampacity: {_too_little(question, carrier, carrier.current_a)}")
    return size


def _by_fuse(question: ElectricalQuestion, carrier: Carrier, fuse_a: float) -> Size:
    size = _first_taking(question, carrier, fuse_a)
    if size is None:
        raise _NoSizeError(
            f"no fuse fits: the one before it is {fuse_a:g} A; "
            f"{_too_small_for_fuse(question, carrier, fuse_a)}"
        )
    return size


def _first_taking(question: ElectricalQuestion, carrier: Carrier, fuse_a: float) -> Size | None:
    """Return the thinnest size that a fuse of this rating protects."""
    for size in question.options(carrier):
        if is_within(fuse_a, question.fuse_limit(question.ampacity(carrier, size)).amperes):
            return size
    return None


def _too_small_for_fuse(question: ElectricalQuestion, carrier: Carrier, fuse_a: float) -> str:
    return _too_little(question, carrier, fuse_a / question.practice.value("fuse", "share of ampacity"))


def _first_carrying(
    question: ElectricalQuestion, carrier: Carrier, amperes: float, *, class_c: float | None = None
) -> Size | None:
    for size in question.options(carrier):
        if is_within(amperes, question.ampacity(carrier, size, insulation_c=class_c).amperes):
            return size
    return None


def _too_little(question: ElectricalQuestion, carrier: Carrier, amperes: float) -> str:
    thickest = question.options(carrier)[-1]
    best = question.ampacity(carrier, thickest)
    words = (
        f"{amperes:.4g} A is asked, {thickest.label}, the thickest of the series {question.job.series}, "
        f"may carry {best.amperes:.4g} A in {best.stretch.space} at {best.stretch.ambient_c:g} degC "
        f"with {question.job.insulation_c:g} degC insulation"
    )
    standard = SAE if question.job.series is Series.SAE else None
    for class_c in insulation_classes_c(standard):
        size = (
            _first_carrying(question, carrier, amperes, class_c=class_c)
            if class_c > question.job.insulation_c
            else None
        )
        if size is not None:
            key = insulation_key(class_c, standard or ISO)
            return (
                f"{words}; {size.label} with insulation of {insulation_words(class_c)} would do: write {key}"
            )
    if best.amperes <= 0.0:
        return f"{words}; none carries anything there: keep it out of that space, or measure how warm it is"
    return f"{words}; {_less_words(carrier)}keep it out of the warmest space"


def _less_words(carrier: Carrier) -> str:
    """Return what to do about too great a load: nobody shares a motor, nor is its time on counted."""
    if carrier.surge is not None and carrier.surge.kind is LoadKind.MOTOR:
        return "a motor's load counts here as if it ran for good, however short it runs; "
    return "share the load among several circuits, or "


def _check_named_takes_fuse(
    question: ElectricalQuestion,
    carrier: Carrier,
    size: Size,
    ampacity: Ampacity,
    over_it: tuple[Protection, ...],
) -> None:
    may_be_a = question.fuse_limit(ampacity).amperes
    for protection in over_it:
        lasting = lasting_a(question.circuit, carrier, protection.rating_a)
        if protection.is_named or is_within(lasting, may_be_a):
            continue
        would_do = _first_taking(question, carrier, protection.rating_a)
        change = (
            f"{would_do.label} in place of the {size.label} that the job names "
            f"would take a {protection.rating_a:g} A fuse"
            if would_do
            else _too_small_for_fuse(question, carrier, protection.rating_a)
        )
        raise _NoSizeError(
            f"no fuse fits: the load counts {protection.carrier.fuse_load_a:.4g} A "
            f"and asks for a {protection.rating_a:g} A fuse; {size.label} lets it be {may_be_a:.4g} "
            f"A at most; {change}"
        )


def _gradients(question: ElectricalQuestion, refused: list[str]) -> dict[str, float]:
    """Return the gradient that drop allows every conductor to be chosen: the least of its loads' loops.

    `refused` takes why there is none: of all loads that lose too much, that of the worst.
    """
    gradients: dict[str, float] = {}
    too_far: list[str] = []
    for load in question.circuit.loads:
        loop = question.circuit.loop(load)
        to_choose = [carrier for carrier in loop if question.fixed_size(carrier) is None]
        if not to_choose:
            continue  # every size of this loop is fixed: a finding says what it loses
        shares = [_share(question, load, carrier) for carrier in to_choose]
        gradient = common_gradient_v_per_m(shares, _budget_v(question, load, loop))
        if gradient is None:  # no copper before a lead makes up for it: as without it, and a finding says so
            before = tuple(carrier for carrier in loop if question.lead_size(carrier) is None)
            gradient = common_gradient_v_per_m(shares, _budget_v(question, load, before))
        if gradient is None:
            too_far.append(load)
            continue
        for carrier, share in zip(to_choose, shares, strict=True):
            more = carrier.current_a / question.circuit.current_with_a(load, carrier)
            own = gradient * weight_of_length(share.length_m) * more
            gradients[carrier.name] = min(own, gradients.get(carrier.name, own))
    if too_far:
        refused.append(too_much_drop(question, too_far))
    return gradients


def _budget_v(question: ElectricalQuestion, load: str, counted: tuple[Carrier, ...]) -> float:
    """Return what the drop limit leaves for the conductors to be chosen, their crimps included.

    `counted` are those of its loop whose fixed sizes take their part of it.
    """
    fixed_v = question.body_drop_v(load) + question.fuse_drop_v(load)
    for carrier in question.circuit.loop(load):
        current_a, fixed = question.circuit.current_with_a(load, carrier), question.fixed_size(carrier)
        joints = question.joints(carrier)
        fixed_v += current_a * joints * (question.joint_ohm(fixed) if fixed else question.contact_ohm)
        if fixed and carrier in counted:
            fixed_v += question.metal_drop_with_v(load, carrier, fixed)
    return question.drop_limit_v(load) - fixed_v


def _share(question: ElectricalQuestion, load: str, carrier: Carrier) -> Share:
    options = question.options(carrier)
    current_a = question.circuit.current_with_a(load, carrier)
    lightest, heaviest = (gradient_v_per_m(question, carrier, options[end], current_a) for end in (0, -1))
    return Share(_length_m(question, carrier), lightest, heaviest)


def gradient_v_per_m(question: ElectricalQuestion, carrier: Carrier, size: Size, current_a: float) -> float:
    """Return what a current loses along a metre of a conductor, as warm as its load makes it.

    Of its cut length, longer by what its crimps count.
    """
    length_m = _length_m(question, carrier)
    crimps_ohm = _crimps_m(question, carrier) * size.ohm_per_m
    return current_a * (question.warm_ohm(carrier, size) + crimps_ohm) / length_m if length_m > 0 else 0.0


def _length_m(question: ElectricalQuestion, carrier: Carrier) -> float:
    return question.surroundings[carrier.run.name].cut_mm / 1000 + _crimps_m(question, carrier)


def _crimps_m(question: ElectricalQuestion, carrier: Carrier) -> float:
    return question.joints(carrier) * question.crimp_m


def _by_gradient(question: ElectricalQuestion, carrier: Carrier, gradient: float) -> Size:
    options = question.options(carrier)
    for size in options:
        if is_within(gradient_v_per_m(question, carrier, size, carrier.current_a), gradient):
            return size
    return options[-1]  # the others of its loop make up for it
