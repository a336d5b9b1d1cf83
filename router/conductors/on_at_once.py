"""Which loads can be on at once, where a job says that some never are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from router.model.job import Conductor


def never_pairs(conductors: Iterable[Conductor]) -> frozenset[frozenset[str]]:
    """Return the pairs of conductors whose loads are never on together, whichever of the two says so."""
    return frozenset(frozenset((each.name, other)) for each in conductors for other in each.never_with)


def most_together(load_a: Mapping[str, float], never: frozenset[frozenset[str]]) -> float:
    """Return the greatest sum of loads that can be on at once.

    >>> most_together({"left": 2.0, "right": 2.5, "tail": 1.0}, frozenset({frozenset({"left", "right"})}))
    3.5
    """
    for name in load_a:
        others = {other for other in load_a if frozenset((name, other)) in never}
        if others:
            without = {other: amperes for other, amperes in load_a.items() if other != name}
            beside = {other: amperes for other, amperes in without.items() if other not in others}
            return max(most_together(without, never), load_a[name] + most_together(beside, never))
    return sum(load_a.values())
