"""What a fleet comes to, gathered from its finished plans; long lists stay in the store."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

from router.fleet.cuts import CutItem, plan_cuts
from router.fleet.kits import Kit, list_kits
from router.fleet.ordering import OrderLine, order_list
from router.fleet.outliers import Outlier, find_outliers
from router.fleet.store import Store
from router.model.fleet import Fleet
from router.model.practice import Practice

MOST_KITS = 40
MOST_SHOWN = 200
"""Plans and failures that a page still shows one by one."""


@dataclass(frozen=True, slots=True)
class NoAnswer:
    """A plan that cannot be made: for whom, and what blocks it."""

    vehicles: int
    profile: str
    variant: str
    job: str
    why: str


@dataclass(frozen=True, slots=True)
class BrokenRule:
    """One broken must-rule of one plan: for which vehicles, where, and the finding's own words."""

    names: str
    """The fleet's vehicles that get this plan."""
    profile: str
    variant: str
    job: str
    run: str
    station_mm: float | None
    what: str
    folder: str


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One plan in a line. Lengths in mm; None where there is no answer."""

    profile: str
    variant: str
    job: str
    vehicles: int
    folder: str
    routed_mm: float | None
    effort_mm: float | None
    margin_mm: float | None
    tightest: str | None
    must: int | None
    should: int | None


@dataclass(frozen=True, slots=True)
class Report:
    """A fleet in figures."""

    fleet: Fleet
    vehicles: int
    plans: int
    """Different ones; `no_answers` of them are none."""
    no_answers: int
    failures: tuple[NoAnswer, ...]
    must: int
    """Plans in which a must-rule is broken."""
    broken: tuple[BrokenRule, ...]
    plan_lines: tuple[PlanLine, ...]
    order: tuple[OrderLine, ...]
    cuts: tuple[CutItem, ...]
    kits: tuple[Kit, ...]
    kit_count: int
    outliers: tuple[Outlier, ...]
    unused_stock: tuple[str, ...]
    """Stock of the fleet file that nothing is cut from: a typing error, perhaps."""
    orphaned_folders: tuple[str, ...]
    """Folders of plans that are none of this fleet's: nobody should work from these by mistake."""


def make_report(store: Store, fleet: Fleet, practice: Practice) -> Report:
    """Return what a fleet comes to; every plan that is wanted must be in the store."""
    kits: list[Kit] = []
    kit_count = 0
    for kit, longer in list_kits(store, fleet.trim_mm):
        store.set_kit_cuts(longer)
        kit_count += 1
        kits += [kit] if kit_count <= MOST_KITS else []
    cuts = plan_cuts(store, fleet, practice)
    totals = store.rows(
        "select count(*), sum(status <> 'planned'), sum(coalesce(must, 0) > 0) from fleet_plans"
    )
    plans, no_answers, must = totals[0]
    return Report(
        fleet=fleet,
        vehicles=sum(vehicle.count for vehicle in fleet.vehicles),
        plans=plans,
        no_answers=no_answers or 0,
        failures=tuple(islice(_failures(store), MOST_SHOWN)),
        must=must or 0,
        broken=tuple(_broken(store)),
        plan_lines=tuple(_plan_lines(store)),
        order=order_list(store, fleet, practice, cuts),
        cuts=cuts,
        kits=tuple(kits),
        kit_count=kit_count,
        outliers=find_outliers(store),
        unused_stock=tuple(_unused(fleet, cuts)),
        orphaned_folders=store.orphaned_folders(),
    )


def _failures(store: Store) -> Iterator[NoAnswer]:
    query = "select vehicles, profile, variant, job, why from fleet_plans where status <> 'planned' order by"
    for row in store.stream(f"{query} first_vehicle, job limit {MOST_SHOWN}"):
        yield NoAnswer(*row)


def _broken(store: Store) -> Iterator[BrokenRule]:
    """Yield the broken must-rules that are listed, in the fleet's order."""
    query = (
        "select (select group_concat(name, ', ') from (select distinct vehicles.name from wanted"
        " join vehicles using (vehicle) where wanted.plan = findings.plan order by vehicles.vehicle)),"
        " profile, variant, job, coalesce(run, ''), station_mm, what, folder"
        " from fleet_plans join findings using (plan) where severity = 'must'"
        f" order by first_vehicle, job, plan, findings.number limit {MOST_SHOWN}"
    )
    for row in store.rows(query):
        yield BrokenRule(*row)


def _plan_lines(store: Store) -> Iterator[PlanLine]:
    """Yield the plans that a page shows, in the fleet's order."""
    columns = (
        "profile, variant, job, vehicles, folder, routed_mm, effort_mm, margin_mm, tightest, must, should"
    )
    query = f"select {columns} from fleet_plans order by first_vehicle, job, plan limit {MOST_SHOWN}"
    for row in store.rows(query):
        yield PlanLine(*row)


def _unused(fleet: Fleet, cuts: tuple[CutItem, ...]) -> Iterator[str]:
    used = {id(fleet.stock_for(cut.name, cut.size)) for cut in cuts}
    for stock in fleet.stock:
        if id(stock) not in used:
            yield f"{stock.item}, {stock.size or 'any size'}"
