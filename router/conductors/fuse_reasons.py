"""Why a fuse has its rating and its place, step by step, with the source that each step rests on."""

from __future__ import annotations

from router.conductors.faults import FarEndShort
from router.conductors.fuses import HolderPlace
from router.conductors.protection import Protection
from router.conductors.question import ElectricalQuestion
from router.conductors.rests_on import JOB, by_rule, joined
from router.conductors.sizing import Sizing
from router.model.job import Duty
from router.model.plan import Reason
from router.tables import load_table


def fuse_reasons(
    question: ElectricalQuestion,
    protection: Protection,
    place: HolderPlace,
    sizings: tuple[Sizing, ...],
    shorts: tuple[FarEndShort, ...],
) -> tuple[Reason, ...]:
    """Return what led to one fuse, its place, and what a short circuit does to it."""
    reasons = [_fuse_load_reason(question, protection), _rating_reason(protection)]
    behind = [sizing for sizing in sizings if sizing.carrier in protection.behind]
    smallest = min(behind, key=lambda sizing: sizing.ampacity.amperes)
    limit = question.fuse_limit(smallest.ampacity)
    reasons.append(
        by_rule(
            f"{smallest.carrier.name} carries the least behind it: {smallest.size.label} may carry "
            f"{smallest.ampacity.amperes:.4g} A, so the fuse may be {limit.amperes:.4g} A ({limit.words})",
            limit.rule,
        )
    )
    reasons.append(_place_reason(place))
    reasons.extend(_short_reason(protection, short) for short in shorts)
    return tuple(reasons)


def _fuse_load_reason(question: ElectricalQuestion, protection: Protection) -> Reason:
    rule, lamps = (question.practice.rule("fuse", key) for key in ("continuous load", "lamp load"))
    carrier = protection.carrier
    if question.is_every_load_on(carrier):
        conductors = [
            question.circuit.by_name[load].conductor
            for load in question.circuit.loads
            if load in carrier.loads
        ]
        continuous_a = sum(each.load_a for each in conductors if each.duty is Duty.CONTINUOUS)
        words = (
            f"{continuous_a:.4g} A continuous x {rule.value:g}, "
            f"{carrier.current_a - continuous_a:.4g} A intermittent x 1"
        )
    else:
        words = f"the most that can be on together, continuous loads x {rule.value:g}"
    if carrier.fuse_load_a <= carrier.steady_fuse_load_a:
        return by_rule(f"load counts {carrier.fuse_load_a:.4g} A: {words}", rule)
    words = (
        f"load counts {carrier.fuse_load_a:.4g} A: lamps of one conductor that light up cold, "
        f"{carrier.fuse_load_a / lamps.value:.4g} A x {lamps.value:g}; hot and all told it counts "
        f"{carrier.steady_fuse_load_a:.4g} A: {words}"
    )
    return joined(words, [(each.source, each.status.value) for each in (lamps, rule)])


def _rating_reason(protection: Protection) -> Reason:
    if protection.is_named:
        return Reason(f"{protection.rating_a:g} A: the job names it", *JOB)
    assert protection.standard is not None  # a chosen rating is a standard one
    fuse = protection.standard
    words = (
        f"{fuse.rating_a:g} A {fuse.family} ({fuse.colour}) is the smallest standard fuse that is no smaller"
    )
    return Reason(words, fuse.source, fuse.status)


def _place_reason(place: HolderPlace) -> Reason:
    words = (
        f"holder {place.from_source_mm:.0f} mm from the source along the run; it can be made up "
        f"{place.nearest.value:.0f} mm away, in its loom it may be {place.rule.value:.0f} mm away, "
        f"bare {place.bare.value:.0f} mm"
    )
    rules = ((each.source, each.status.value) for each in (place.nearest, place.rule, place.bare))
    return joined(words, list(rules))


def _short_reason(protection: Protection, short: FarEndShort) -> Reason:
    clears = "need not clear" if short.clears_s is None else f"clears within {short.clears_s:.3g} s"
    words = (
        f"short at the far end of {short.carrier.name}: {short.least_a:.3g} to {short.greatest_a:.3g} A, "
        f"{short.least_a / protection.rating_a:.3g} x rating at least; the fuse {clears}; "
        f"{short.thinnest.name} bears {short.heaviest_a:.3g} A for {short.survives_s:.3g} s, "
        f"the fuse takes {short.heaviest_clears_s:.3g} s at most"
    )
    rules = load_table("fuses")
    sources = [(rules["adiabatic"]["source"], rules["adiabatic"]["status"])]
    sources.append((rules["short_time_limit"]["source"], rules["short_time_limit"]["status"]))
    if protection.standard is not None:
        sources.insert(
            0, (protection.standard.clearing_points_source, protection.standard.clearing_points_status)
        )
    return joined(words, sources)
