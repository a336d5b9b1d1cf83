"""One kit per model and job: what every vehicle of the model needs, and what only some of them need besides.

Vehicles of one model differ by variant, so their plans do. A kit holds what all of them need; what one needs
more goes into an add-on. A conductor that is in all of them but of another length goes into the kit at its
longest, to be trimmed on the job, where that costs no more than the fleet file's `trim`; reels are then cut
for that length.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from router.fleet.store import Store
from router.model.plan import BillItem


@dataclass(frozen=True, slots=True)
class _Thing:
    """What a kit holds some of; a conductor is told from others alike by its run and its name."""

    item: str
    spec: str
    unit: str
    run: str | None
    conductor: str | None

    @property
    def is_cut(self) -> bool:
        """Return whether it is a conductor, cut to length."""
        return self.item == BillItem.CONDUCTOR_CUT

    def part(self, quantity: float, trim_m: float = 0.0) -> KitPart:
        """Return so much of it as a part of a kit."""
        place = f"{self.run}: {self.conductor}" if self.is_cut else ""
        return KitPart(self.item, self.spec, self.unit, quantity, place, trim_m)


@dataclass(frozen=True, slots=True)
class KitPart:
    """One thing in a kit or an add-on."""

    item: str
    spec: str
    unit: str
    quantity: float
    place: str
    """Which conductor it is; empty for anything else."""
    trim_m: float
    """How much is cut off it on the vehicle that needs it shortest."""


@dataclass(frozen=True, slots=True)
class AddOn:
    """What vehicles of one variant need besides the kit."""

    variant: str
    vehicles: int
    parts: tuple[KitPart, ...]


@dataclass(frozen=True, slots=True)
class Kit:
    """The kit of one job for one model."""

    profile: str
    model: str
    job: str
    vehicles: int
    parts: tuple[KitPart, ...]
    add_ons: tuple[AddOn, ...]
    """One for each variant of the fleet, also where nothing is in it."""
    missing: int
    """Vehicles that have no plan, since there is no answer for them."""

    @property
    def serves_all(self) -> bool:
        """Return whether one kit serves every vehicle of the model."""
        return not self.missing and not any(add_on.parts for add_on in self.add_ons)


@dataclass(slots=True)
class _Need:
    """What one plan needs of one thing: how much, and the rows of the bill that say so."""

    quantity: float
    rows: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class _Variant:
    name: str
    vehicles: int
    needs: dict[_Thing, _Need]


def list_kits(store: Store, trim_mm: float) -> Iterator[tuple[Kit, tuple[tuple[str, int, float], ...]]]:
    """Yield every kit with its cuts that are longer than the plan says: plan, row of its bill, length in mm.

    The cuts must have been taken down (`Store.set_kit_cuts`) before reels are cut.
    """
    plans = store.stream(
        "select profile, vehicle, job, variant, plan, vehicles, status from fleet_plans"
        " order by profile, vehicle, job, variant, plan"
    )
    for (profile, model, job), group in groupby(plans, key=lambda row: row[:3]):
        rows = list(group)
        planned = [row for row in rows if row[6] == "planned"]
        variants = [_Variant(row[3], row[5], _needs(store, row[4])) for row in planned]
        missing = sum(row[5] for row in rows if row[6] != "planned")
        yield _kit(profile, model, job, variants, missing, trim_mm)


def _needs(store: Store, plan: str) -> dict[_Thing, _Need]:
    needs: dict[_Thing, _Need] = {}
    query = (
        "select item, spec, unit, run, conductor, quantity, number from bill where plan = ? order by number"
    )
    for item, spec, unit, run, conductor, quantity, number in store.rows(query, plan):
        if item == BillItem.CONDUCTOR_TOTAL or unit == "kg":  # told twice, or for information
            continue
        need = needs.setdefault(_Thing(item, spec, unit, run, conductor), _Need(0.0, ()))
        need.quantity += quantity
        need.rows = (*need.rows, (plan, number))
    return needs


def _kit(
    profile: str, model: str, job: str, variants: list[_Variant], missing: int, trim_mm: float
) -> tuple[Kit, tuple[tuple[str, int, float], ...]]:
    parts: list[KitPart] = []
    longer: list[tuple[str, int, float]] = []
    add_ons: list[list[KitPart]] = [[] for _ in variants]
    for thing in dict.fromkeys(thing for variant in variants for thing in variant.needs):
        needs = [variant.needs.get(thing) for variant in variants]
        amounts = [need.quantity if need else 0.0 for need in needs]
        least, most = min(amounts), max(amounts)
        if thing.is_cut and least > 0 and (most - least) * 1000 <= trim_mm + 1e-6:
            parts.append(thing.part(most, round(most - least, 3)))
            longer += [
                (*row, most * 1000) for need in needs if need and need.quantity < most for row in need.rows
            ]
            continue
        shared = 0.0 if thing.is_cut and most > least else least
        if shared:
            parts.append(thing.part(round(shared, 3)))
        for amount, add_on in zip(amounts, add_ons, strict=True):
            if amount > shared:
                add_on.append(thing.part(round(amount - shared, 3)))
    made = tuple(
        AddOn(variant.name, variant.vehicles, tuple(more))
        for variant, more in zip(variants, add_ons, strict=True)
    )
    count = sum(variant.vehicles for variant in variants)
    return Kit(profile, model, job, count, tuple(parts), made, missing), tuple(longer)
