"""A whole fleet: every plan that is not kept yet, then its lists and its page."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from router.drawing import DrawingOptions
from router.fleet.content import program
from router.fleet.executors import open_executor
from router.fleet.fleet_page import make_page
from router.fleet.lists import cuts_csv, kits_csv, order_csv
from router.fleet.report import Report, make_report
from router.fleet.running import FailedPlan, Progress, make_plans, read_wanted
from router.fleet.store import Store
from router.reading import FleetReader


def plan_fleet(
    reader: FleetReader,
    folder: Path,
    options: DrawingOptions,
    *,
    executor: str = "processes",
    workers: int | None = None,
    on_progress: Callable[[Progress], None] = lambda _: None,
) -> tuple[Report | None, tuple[FailedPlan, ...]]:
    """Make every plan of a fleet that is not kept yet, then its lists and its page.

    Parameters
    ----------
    reader : FleetReader
        The open fleet file.
    folder : pathlib.Path
        Where everything goes; what is finished there already is not made again.
    options : DrawingOptions
        How plans are drawn.
    executor, workers : str, int, optional
        As `open_executor` takes them.
    on_progress : callable
        Told after each plan how far it is.

    Returns
    -------
    report : Report or None
        What the fleet comes to; None where some plan could not be finished, and no list is written.
    failed : tuple of FailedPlan
        These plans.

    Raises
    ------
    UnreadableError
        Every fault of the fleet and all that it names; nothing is planned then.
    FleetError
        No such executor, or a worker was lost; finished plans are kept.
    OSError
        The folder cannot be written.
    """
    store = Store(folder)
    try:
        store.want(read_wanted(reader, options))
    except BaseException:
        store.give_up()
        raise
    try:
        store.describe(reader.fleet)
        store.sweep()
        with open_executor(executor, workers) as workforce:
            failed = make_plans(reader, store, options, workforce, on_progress)
        return (None, failed) if failed else (_finish(reader, store), ())
    finally:
        store.close()


def _finish(reader: FleetReader, store: Store) -> Report:
    fleet = reader.fleet
    report = make_report(store, fleet, reader.first_practice())
    store.finish(
        {
            store.folder / "fleet.html": make_page(report, store, program()).encode(),
            store.folder / "order.csv": order_csv(report),
            store.folder / "cuts.csv": cuts_csv(store, report.cuts),
            store.folder / "kits.csv": kits_csv(store, fleet.trim_mm),
        }
    )
    return report
