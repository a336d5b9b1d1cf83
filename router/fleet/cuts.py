"""How to cut the reels and coils for a whole fleet, and which piece is for which vehicle."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from router.cutting import CuttingPlan, cut_reels, whole_mm
from router.fleet.store import Store
from router.model.fleet import Fleet, Reel
from router.model.plan import BillItem
from router.model.practice import Practice

ITEMS: Mapping[str, str] = {
    BillItem.CONDUCTOR_CUT: "conductor",
    BillItem.LOOM: "loom",
    BillItem.HEAT_SLEEVE: "heat sleeve",
}
"""Items of the bill that are cut, by the name that a fleet file gives their stock."""


@dataclass(frozen=True, slots=True)
class CutItem:
    """One thing that is cut from reels or coils; `plan` None where there is nothing to cut it from."""

    item: str
    name: str
    spec: str
    size: str
    """As bought, by which its stock is found."""
    wanted_mm: float
    pieces: int
    plan: CuttingPlan | None
    too_long: int
    """Pieces longer than every reel."""
    why: str
    """What cannot be cut, and what to do; empty where all is well."""

    @property
    def has_prices(self) -> bool:
        """Return whether its reels have prices."""
        return self.plan is not None and any(cut.reel.price is not None for cut in self.plan.reels)


@dataclass(frozen=True, slots=True)
class CutUse:
    """What a piece is cut for: whose, and where it goes; `conductor` names one by its run and itself."""

    vehicle: str
    job: str
    place: str
    conductor: str | None


@dataclass(frozen=True, slots=True)
class CutPiece:
    """So many pieces, alike, off one reel; reels are numbered from 1 within one thing."""

    item: str
    spec: str
    reel: int
    reel_mm: float
    length_mm: float
    pieces: int
    use: CutUse
    rest_mm: float
    """What is left of the reel after its last piece."""


def plan_cuts(store: Store, fleet: Fleet, practice: Practice) -> tuple[CutItem, ...]:
    """Return how everything is cut that is bought by the reel, in the order of the bill.

    Reel lengths are the fleet's; where it says none, the practice's group "pack".
    """
    found = store.rows("select distinct item, measure, spec, size from fleet_cuts")
    ordered = sorted(found, key=lambda each: (list(ITEMS).index(each[0]), *each[1:]))
    return tuple(_plan(store, fleet, practice, item, spec, size) for item, _, spec, size in ordered)


def cut_pieces(store: Store, item: CutItem) -> Iterator[CutPiece]:
    """Yield the pieces off each reel, from one end to the other, with what each is for."""
    if item.plan is None:
        return
    uses = _uses(store, item)
    number = 0
    for cut in item.plan.reels:
        for _ in range(cut.count):
            number += 1
            alike: dict[tuple[float, CutUse], int] = {}
            for length_mm in cut.lengths_mm:
                key = (length_mm, _next(uses[length_mm]))
                alike[key] = alike.get(key, 0) + 1
            for (length_mm, use), pieces in alike.items():
                of_reel = (item.name, item.spec, number, cut.reel.length_mm)
                yield CutPiece(*of_reel, length_mm, pieces, use, cut.rest_mm)


def _plan(store: Store, fleet: Fleet, practice: Practice, item: str, spec: str, size: str) -> CutItem:
    query = "select length_mm, sum(pieces) from fleet_cuts where item = ? and spec = ? group by 1 order by 1"
    lengths = [(whole_mm(length_mm), pieces) for length_mm, pieces in store.stream(query, item, spec)]
    wanted_mm, pieces = sum(each * count for each, count in lengths), sum(count for _, count in lengths)
    reels = _reels(fleet, practice, ITEMS[item], size)
    if not reels:
        why = "no reel length is stated in the fleet file"
        return CutItem(item, ITEMS[item], spec, size, wanted_mm, pieces, None, 0, why)
    longest_mm = max(reel.length_mm for reel in reels)
    fitting = [(each, count) for each, count in lengths if each <= longest_mm]
    too_long = pieces - sum(count for _, count in fitting)
    why = f"{too_long} pieces are longer than {longest_mm / 1000:g} m, the longest reel" if too_long else ""
    plan = cut_reels((each for each, count in fitting for _ in range(count)), reels, fleet.cut_loss_mm)
    return CutItem(item, ITEMS[item], spec, size, wanted_mm, pieces, plan if fitting else None, too_long, why)


def _reels(fleet: Fleet, practice: Practice, name: str, size: str) -> tuple[Reel, ...]:
    if stock := fleet.stock_for(name, size):
        return stock.reels
    pack = practice.rules.get(("pack", name))
    return (Reel(pack.value, None),) if pack is not None and pack.unit == "mm" and pack.value > 0 else ()


@dataclass(slots=True)
class _Waiting:
    """Pieces of one length that are still to be cut for one place."""

    pieces: int
    use: CutUse


def _uses(store: Store, item: CutItem) -> dict[float, deque[_Waiting]]:
    """Return by length what it is cut for, in the fleet's order."""
    uses: dict[float, deque[_Waiting]] = defaultdict(deque)
    for length_mm, pieces, *use in store.stream(
        "select length_mm, pieces, vehicle, job, place, run || ': ' || conductor"
        " from fleet_cuts where item = ? and spec = ?"
        " order by vehicle_number, position, number",
        item.item, item.spec,
    ):  # fmt: skip
        uses[float(whole_mm(length_mm))].append(_Waiting(pieces, CutUse(*use)))
    return uses


def _next(waiting: deque[_Waiting]) -> CutUse:
    first = waiting[0]
    first.pieces -= 1
    if not first.pieces:
        waiting.popleft()
    return first.use
