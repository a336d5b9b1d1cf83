"""One order list over the fleet: what all vehicles need together, spare once, whole packs and whole reels."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from router.bill import packs_of
from router.fleet.cuts import CutItem
from router.fleet.store import Store
from router.model.fleet import Fleet
from router.model.plan import BillItem
from router.model.practice import Practice
from router.tolerances import RELATIVE_ROUNDING

AS_REELS = (BillItem.CONDUCTOR_CUT, BillItem.CONDUCTOR_TOTAL, BillItem.LOOM, BillItem.HEAT_SLEEVE)
"""Bought as what they are cut from."""


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One thing to buy for the whole fleet."""

    item: str
    spec: str
    quantity: float
    unit: str
    order: str
    """In what it is bought: "3 packs of 100 pieces"; empty where no size is stated."""
    price: float | None


def order_list(
    store: Store, fleet: Fleet, practice: Practice, cuts: tuple[CutItem, ...]
) -> tuple[OrderLine, ...]:
    """Return the order of a fleet: reels and coils first, then what comes in pieces, as in the bill.

    Parameters
    ----------
    store : Store
        All finished plans of the fleet.
    fleet : Fleet
        For its spare.
    practice : Practice
        Group "pack": in what sizes the shop buys.
    cuts : tuple of CutItem
        What is cut from reels and coils.
    """
    return (*(_reels(item, fleet) for item in cuts), *_pieces(store, fleet, practice))


def _reels(item: CutItem, fleet: Fleet) -> OrderLine:
    quantity_m = item.wanted_mm / 1000
    if item.plan is None:
        return OrderLine(item.name, item.spec, quantity_m, "m", item.why, None)
    counts: dict[float, int] = {}
    for cut in item.plan.reels:
        counts[cut.reel.length_mm] = counts.get(cut.reel.length_mm, 0) + cut.count
    words = [
        f"{count} reel{'s' * (count > 1)} of {length_mm / 1000:g} m"
        for length_mm, count in sorted(counts.items(), reverse=True)
    ]
    if item.too_long:
        words.append(item.why)
    price = item.plan.cost if fleet.currency and item.has_prices else None
    return OrderLine(item.name, item.spec, quantity_m, "m", ", ".join(words), price)


def _pieces(store: Store, fleet: Fleet, practice: Practice) -> Iterator[OrderLine]:
    sums: dict[tuple[str, str, str], float] = {}
    query = "select item, spec, unit, has_spare, spare, quantity from fleet_bill order by number, spec"
    for item, spec, unit, has_spare, own_spare, quantity in store.stream(query):
        if item in AS_REELS or unit == "kg":  # masses are for information
            continue
        spare = own_spare if fleet.spare is None else fleet.spare
        more = quantity * (1 + spare) if has_spare else quantity
        sums[item, spec, unit] = sums.get((item, spec, unit), 0.0) + more
    items = list(dict.fromkeys(item for item, _, _ in sums))  # all of one item together
    for (item, spec, unit), wanted in sorted(sums.items(), key=lambda each: items.index(each[0][0])):
        quantity = (
            math.ceil(wanted - RELATIVE_ROUNDING)
            if unit == "piece"
            else math.ceil(10 * wanted - RELATIVE_ROUNDING) / 10
        )
        packs = packs_of(BillItem(item), quantity, unit, practice)
        words = f"{packs.count} {packs.word}{'s' * (packs.count > 1)} of {packs.size_words}" if packs else ""
        yield OrderLine(item, spec, float(quantity), unit, words, None)
