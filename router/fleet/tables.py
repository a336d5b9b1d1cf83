"""The tables and views of fleet.sqlite, for this program and for any other that reads SQLite. mm, A, V.

Tables about plans hold one plan of one content each, kept for as long as the file is; `fleet`, `vehicles`,
`wanted` and `kit_cuts` say which of them the fleet of the last run needs, and the views show just these. No
row holds a time, so that the same fleet gives the same content.
"""

from __future__ import annotations

from collections.abc import Iterator

VERSION = 2
"""Of these tables; a file of another one is left alone."""

COLUMNS = {
    "plans": (
        "plan text, folder text, profile text, vehicle text, revision integer, variant text, job text,"
        " practice text, spare real, status text, why text, effort_mm real, apart_effort_mm real,"
        " loom_mm real, margin_mm real, tightest text, must integer, should integer, note integer,"
        " primary key (plan)"
    ),
    "runs": (
        "plan text, number integer, run text, start text, finish text, routed_mm real, cut_mm real,"
        " uncertainty_mm real, effort_mm real, gap real, margin_mm real, loom_mm real, fixings integer,"
        " fuse_a real, primary key (plan, number)"
    ),
    "fixings": (
        "plan text, run text, number integer, station_mm real, kind text, support text, space text,"
        " x_mm real, y_mm real, z_mm real, primary key (plan, run, number)"
    ),
    "conductors": (
        "plan text, run text, conductor text, colour text, size text, area_mm2 real, length_mm real,"
        " load_a real, drop_v real, drop_fraction real, primary key (plan, run, conductor)"
    ),
    "findings": (
        "plan text, number integer, severity text, kind text, run text, station_mm real, what text,"
        " primary key (plan, number)"
    ),
    "clearances": (
        "plan text, number integer, run text, keep_out text, hazard text, required_mm real, actual_mm real,"
        " station_mm real, primary key (plan, number)"
    ),
    "bill": (
        "plan text, number integer, item text, spec text, quantity real, unit text, place text,"
        " has_spare integer, size text, measure real, run text, conductor text, primary key (plan, number)"
    ),
    "files": "plan text, name text, bytes integer, sha256 text, primary key (plan, name)",
    "fleet": "name text, program text, primary key (name)",
    "vehicles": (
        "vehicle integer, name text, profile text, variant text, count integer, primary key (vehicle)"
    ),
    "kit_cuts": "plan text, number integer, length_mm real, primary key (plan, number)",
    "wanted": "vehicle integer, position integer, job text, plan text, primary key (vehicle, position)",
}
"""By table, its columns as SQL; without rowids, so that what is in it does not depend on who came first."""

QUESTIONS = """
    create temp table questions (
        first integer, number integer, vehicle integer, job text, plan text unique, search text,
        primary key (first, number)
    ) without rowid;
    create index temp.alike on questions (search);
"""
"""Each wanted plan once, for this run only: its number, and the first of those with the same search key."""

OF_A_PLAN = ("plans", "runs", "fixings", "conductors", "findings", "clearances", "bill", "files")
OF_THE_FLEET = ("fleet", "vehicles", "wanted", "kit_cuts")

VIEWS = {
    "fleet_plans": """
        select plans.*, sum(vehicles.count) as vehicles, min(vehicles.vehicle) as first_vehicle,
               (select sum(routed_mm) from runs where runs.plan = plans.plan) as routed_mm
        from wanted join vehicles using (vehicle) join plans using (plan) group by plan
    """,
    "fleet_runs": """
        select fleet_plans.profile, fleet_plans.variant, fleet_plans.job, fleet_plans.vehicles,
               fleet_plans.folder, fleet_plans.first_vehicle, runs.*
        from fleet_plans join runs using (plan)
    """,
    "fleet_bill": """
        select item, spec, unit, has_spare, spare, sum(quantity * vehicles) as quantity,
               min(number) as number
        from fleet_plans join bill using (plan) group by item, spec, unit, has_spare, spare
    """,
    "fleet_cuts": """
        select bill.item, bill.spec, bill.size, bill.measure,
               coalesce(kit_cuts.length_mm, bill.quantity * 1000) as length_mm,
               vehicles.count as pieces, vehicles.name as vehicle, wanted.job, bill.place,
               bill.run, bill.conductor, wanted.vehicle as vehicle_number, wanted.position, bill.number
        from wanted join vehicles using (vehicle) join bill using (plan)
             left join kit_cuts on kit_cuts.plan = bill.plan and kit_cuts.number = bill.number
        where bill.item in ('conductor, cut', 'loom', 'heat sleeve')
    """,
}
"""What the fleet of the last run needs; lengths of cuts in mm, `pieces` alike for that many vehicles.

`size` and `measure` (mm2 of copper, or mm of bore) say what is cut, `run` and `conductor` which one."""


def count_columns(table: str) -> int:
    """Return how many columns a table has.

    >>> count_columns("files")
    4
    """
    return COLUMNS[table].partition(", primary key")[0].count(",") + 1


def shared() -> Iterator[str]:
    """Yield the statements that make whatever the file does not have yet."""
    for name, columns in COLUMNS.items():
        yield f"create table if not exists main.{name} ({columns}) without rowid"
    for name, query in VIEWS.items():
        yield f"create view if not exists main.{name} as {query}"
    yield f"pragma user_version = {VERSION}"


def own() -> Iterator[str]:
    """Yield the statements for what only this connection sees: its own fleet, and the views of that."""
    yield from QUESTIONS.strip().removesuffix(";").split(";")
    for name in OF_THE_FLEET:
        yield f"create temp table {name} ({COLUMNS[name]}) without rowid"
    for name, query in VIEWS.items():
        yield f"create temp view {name} as {query}"
