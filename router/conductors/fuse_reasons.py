"""Why a fuse has its rating and its place, step by step, with the source that each step rests on."""

from __future__ import annotations

from collections.abc import Iterable

from router.conductors.circuit import Carrier
from router.conductors.clearing_times import clearing_words
from router.conductors.faults import FarEndShort
from router.conductors.fuse_loads import SURGE_RULES
from router.conductors.fuses import HolderPlace
from router.conductors.protection import Protection
from router.conductors.question import ElectricalQuestion
from router.conductors.rests_on import JOB, by_rule, joined
from router.conductors.sizing import Sizing
from router.model.conductor_choice import Reason
from router.model.job import Duty, LoadKind
from router.model.practice import Rule
from router.tables import load_table

_SURGES = {
    LoadKind.MOTOR: "motors that start",
    LoadKind.HEATER: "heaters that are switched on cold",
    LoadKind.ELECTRONIC: "electronics that are switched on together",
    LoadKind.LED: "LED lamps that are switched on together",
    LoadKind.FILAMENT: "lamps that light up cold together",
}


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
    carrier, surge = protection.carrier, protection.carrier.surge
    steady, rules = _steady_words(question, carrier)
    if surge is None:
        return joined(f"load counts {carrier.fuse_load_a:.4g} A: {steady}", _sources(rules))
    rule = question.practice.rule("fuse", SURGE_RULES[surge.kind])
    words = (
        f"load counts {carrier.fuse_load_a:.4g} A: {_SURGES[surge.kind]} ({', '.join(surge.names)}), "
        f"which draw {surge.load_a:.4g} A then, x {rule.value:g}"
    )
    if surge.kind in (LoadKind.MOTOR, LoadKind.HEATER):
        words += ", and all else beside it"
    words += f"; for good it counts {carrier.steady_fuse_load_a:.4g} A: {steady}"
    return joined(words, _sources((rule, *rules)))


def _steady_words(question: ElectricalQuestion, carrier: Carrier) -> tuple[str, tuple[Rule, ...]]:
    """Return what a fuse counts for good, in words, and the rules behind it."""
    continuous, hot = (question.practice.rule("fuse", key) for key in ("continuous load", "hot load"))
    is_hot = carrier.run.name in question.hot_fuses
    own_factor = hot.value if is_hot else 1.0
    rules = (continuous, hot) if is_hot else (continuous,)
    if not question.is_every_load_on(carrier):
        words = f"the most that can be on together, continuous loads x {continuous.value:g}"
        return (f"{words}, others x {own_factor:g} in a hot place" if is_hot else words), rules
    own = [
        question.circuit.by_name[load].conductor
        for load in question.circuit.loads
        if load in carrier.may_carry
    ]
    continuous_a = sum(each.load_a for each in own if each.duty is Duty.CONTINUOUS)
    words = (
        f"{continuous_a:.4g} A continuous x {max(continuous.value, own_factor):g}, "
        f"{carrier.current_a - continuous_a:.4g} A intermittent x {own_factor:g}"
    )
    return (f"{words} in a hot place" if is_hot else words), rules


def _sources(rules: Iterable[Rule]) -> list[tuple[str, str]]:
    return [(each.source, each.status.value) for each in rules]


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
    fuse = protection.standard
    clears = "need not clear" if short.clears_s is None else f"clears {clearing_words(fuse, short.least_a)}"
    words = (
        f"short at the far end of {short.carrier.name}: {short.least_a:.3g} to {short.greatest_a:.3g} A, "
        f"{short.least_a / protection.rating_a:.3g} x rating at least; the fuse {clears}; "
        f"{short.thinnest.name} bears {short.heaviest_a:.3g} A for {short.survives_s:.3g} s, "
        f"the fuse clears it {clearing_words(fuse, short.heaviest_a)}"
    )
    rules = load_table("fuses")
    sources = [(rules["adiabatic"]["source"], rules["adiabatic"]["status"])]
    sources.append((rules["short_time_limit"]["source"], rules["short_time_limit"]["status"]))
    if protection.standard is not None:
        sources.insert(
            0, (protection.standard.clearing_points_source, protection.standard.clearing_points_status)
        )
    return joined(words, sources)
