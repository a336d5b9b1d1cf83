"""What a fuse must bear: its load for good, and what its loads draw when they are switched on.

For good, a continuous load counts more than it draws, and in a hot place every load does. When loads start,
they draw more: a motor or a heater for up to a second or more, long enough that all else on the fuse counts
beside it; a cold filament and electronics for some milliseconds, in which only what one switch turns on
counts. A fuse melts by the square of the current, so that other loads add little to so short a surge. The
greatest is used.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from router.conductors.on_at_once import most_together, never_pairs
from router.model.job import Conductor, Duty, LoadKind
from router.model.practice import Practice

SURGE_RULES: Mapping[LoadKind, str] = {
    LoadKind.MOTOR: "motor load",
    LoadKind.HEATER: "heater load",
    LoadKind.ELECTRONIC: "electronic load",
    LoadKind.LED: "electronic load",
    LoadKind.FILAMENT: "lamp load",
}
"""By kind of load, the rule of the group "fuse" on what a fuse counts of it when it is switched on."""
_LONG = frozenset({LoadKind.MOTOR, LoadKind.HEATER})
"""Kinds whose surge lasts so long that all else on the fuse counts beside it."""


@dataclass(frozen=True, slots=True)
class LoadFactors:
    """How much more than its current a fuse counts of a load."""

    continuous: float
    hot: float
    by_kind: Mapping[LoadKind, float]


@dataclass(frozen=True, slots=True)
class Surge:
    """What decides a fuse's rating when loads are switched on."""

    amperes: float
    """As the fuse counts it. [A]"""
    load_a: float
    """What these loads draw once they are on. [A]"""
    kind: LoadKind
    names: tuple[str, ...]
    """Of the conductors whose loads of that kind come on together."""


@dataclass(frozen=True, slots=True)
class FuseLoad:
    """What a fuse counts: for good, and when loads come on where that is more."""

    steady_a: float
    surge: Surge | None

    @property
    def amperes(self) -> float:
        """Return what the rating must not be less than. [A]"""
        return self.surge.amperes if self.surge else self.steady_a


def load_factors(practice: Practice) -> LoadFactors:
    """Return the factors that the rules in force give."""
    by_kind = {kind: practice.value("fuse", key) for kind, key in SURGE_RULES.items()}
    return LoadFactors(practice.value("fuse", "continuous load"), practice.value("fuse", "hot load"), by_kind)


def load_kind(conductor: Conductor) -> LoadKind | None:
    """Return what a conductor's own load is: as said, else what its lamps or its inverter are."""
    if conductor.kind is not None:
        return conductor.kind
    if conductor.lamps:
        return LoadKind.FILAMENT
    return LoadKind.ELECTRONIC if conductor.inverter else None


def fuse_load(own: Sequence[Conductor], factors: LoadFactors, *, is_hot: bool) -> FuseLoad:
    """Return what a fuse must bear for the loads of some conductors, in a hot place or not.

    Examples
    --------
    8 A for hours in the cabin, 10 A counted.

    >>> rules = LoadFactors(1.25, 1.25, dict.fromkeys(LoadKind, 2.0))
    >>> fridge = Conductor("fridge", "red", 8.0, Duty.CONTINUOUS, None, (), None)
    >>> fuse_load([fridge], rules, is_hot=False).amperes
    10.0
    """
    never = never_pairs(own)
    raised_a = {each.name: each.load_a * _raised(each, factors, is_hot) for each in own}
    steady_a = most_together(raised_a, never)
    surges = [*_long_surges(own, factors, raised_a, never), *_short_surges(own, factors, never)]
    greatest = max(surges, key=lambda surge: surge.amperes, default=None)
    return FuseLoad(steady_a, greatest if greatest and greatest.amperes > steady_a else None)


def _raised(conductor: Conductor, factors: LoadFactors, is_hot: bool) -> float:
    for_good = factors.continuous if conductor.duty is Duty.CONTINUOUS else 1.0
    return max(for_good, factors.hot) if is_hot else for_good


def _long_surges(
    own: Sequence[Conductor],
    factors: LoadFactors,
    raised_a: Mapping[str, float],
    never: frozenset[frozenset[str]],
) -> list[Surge]:
    """Return what counts while every motor and heater starts, with all else on; nothing without one."""
    starting = [each for each in own if load_kind(each) in _LONG]
    if not starting:
        return []
    counted_a = dict(raised_a)
    for each in starting:
        kind = load_kind(each)
        assert kind is not None  # it is one of _LONG
        counted_a[each.name] = max(raised_a[each.name], each.load_a * factors.by_kind[kind])
    first = max(starting, key=lambda each: counted_a[each.name])
    kind = load_kind(first)
    assert kind is not None
    load_a = most_together({each.name: each.load_a for each in own}, never)
    names = tuple(each.name for each in starting)
    return [Surge(most_together(counted_a, never), load_a, kind, names)]


def _short_surges(
    own: Sequence[Conductor], factors: LoadFactors, never: frozenset[frozenset[str]]
) -> list[Surge]:
    """Return what counts when a switch turns its loads of one kind on; those of no switch are as of one."""
    groups: dict[tuple[LoadKind, str | None], list[Conductor]] = {}
    for each in own:
        kind = load_kind(each)
        if kind is not None and kind not in _LONG:
            groups.setdefault((kind, each.switch), []).append(each)
    found = []
    for (kind, _), group in groups.items():
        load_a = most_together({each.name: each.load_a for each in group}, never)
        names = tuple(each.name for each in group)
        found.append(Surge(load_a * factors.by_kind[kind], load_a, kind, names))
    return found
