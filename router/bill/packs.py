"""How many packs and reels to order, where a shop says in what sizes it buys."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from router.model.plan import BillItem, BillLine
from router.model.practice import Practice, Rule
from router.tolerances import RELATIVE_ROUNDING

_ITEMS = {BillItem.CONDUCTOR_TOTAL: "conductor"}
"""Items of the bill whose rule has a shorter name."""


@dataclass(frozen=True, slots=True)
class Packs:
    """So many packs, or reels, of one size each: enough of one thing."""

    count: int
    size: float
    """Of one of them, in the unit of what is in it."""
    unit: str
    left: float
    """How much is left over."""
    rule: Rule

    @property
    def word(self) -> str:
        """Return what one of them is called."""
        return "reel" if self.unit == "m" else "pack"

    @property
    def size_words(self) -> str:
        """Return how much is in one: "100 pieces", "50 m"."""
        return f"{self.size:g} {self.unit}{'s' if self.unit == 'piece' and self.size != 1 else ''}"


def packs_of(item: BillItem, quantity: float, unit: str, practice: Practice) -> Packs | None:
    """Return the packs or reels that a quantity is bought in; None where the shop states no size.

    Parameters
    ----------
    item : BillItem
        What is bought.
    quantity : float
        How much of it is wanted, in pieces or in m.
    unit : str
        "piece" or "m"; a size stated in the other one does not count.
    practice : Practice
        Group "pack"; a size of 0 means that none is stated.
    """
    rule = practice.rules.get(("pack", _ITEMS.get(item, item)))
    if rule is None or rule.value <= 0 or (rule.unit == "mm") is not (unit == "m"):
        return None
    size = rule.value / 1000 if rule.unit == "mm" else rule.value
    count = math.ceil(quantity / size - RELATIVE_ROUNDING)
    return Packs(count, size, unit, count * size - quantity, rule)


def pack_lines(lines: Iterable[BillLine], practice: Practice) -> Iterator[BillLine]:
    """Yield a line for each thing bought in packs or on reels: how many of them, and what is left over."""
    for line in lines:
        packs = packs_of(line.item, line.quantity, line.unit, practice)
        if packs is None:
            continue
        rule = packs.rule
        spec = f"{rule.key}, {line.spec}: {packs.word} of {packs.size_words}"
        where = f"{line.quantity:g} {line.unit} wanted, {packs.left:g} left over"
        yield BillLine(
            BillItem.TO_ORDER,
            spec,
            float(packs.count),
            packs.word,
            where,
            rule.source,
            rule.status.value,
            0.0,
        )
