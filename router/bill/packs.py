"""How many packs and reels to order, where a shop says in what sizes it buys."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from router.model.plan import BillItem, BillLine
from router.model.practice import Practice
from router.tolerances import RELATIVE_ROUNDING

_ITEMS = {BillItem.CONDUCTOR_TOTAL: "conductor"}
"""Items of the bill whose rule has a shorter name."""


def pack_lines(lines: Iterable[BillLine], practice: Practice) -> Iterator[BillLine]:
    """Yield one line for each thing that the shop buys in packs or on reels: how many, and what is left over.

    A size of 0 in practice "pack" means that no size is stated; a thing without a rule has no line.
    """
    for line in lines:
        rule = practice.rules.get(("pack", _ITEMS.get(line.item, line.item)))
        if rule is None or rule.value <= 0 or (rule.unit == "mm") is not (line.unit == "m"):
            continue
        size = rule.value / 1000 if rule.unit == "mm" else rule.value
        packs = math.ceil(line.quantity / size - RELATIVE_ROUNDING)
        left = packs * size - line.quantity
        word = "reel" if line.unit == "m" else "pack"
        spec = f"{rule.key}, {line.spec}: {word} of {size:g} {line.unit}{_plural(line.unit, size)}"
        where = f"{line.quantity:g} {line.unit} wanted, {left:g} left over"
        yield BillLine(
            BillItem.TO_ORDER, spec, float(packs), word, where, rule.source, rule.status.value, 0.0
        )


def _plural(unit: str, number: float) -> str:
    return "s" if unit == "piece" and number != 1 else ""
