"""fleet.sqlite: every finished plan as rows, each whole or not there at all, whoever is killed when.

A plan's files are on the disk, flushed, before its rows are; so rows mean files. All rows of a plan come in
one transaction that is on the disk when it returns. Rows are keyed by content, and the first writer wins:
two fleets in one folder make nothing twice. What this run's fleet wants stands in temporary tables, seen by
nobody else, until everything is done; only then it takes the place of what the last run wanted.
"""

from __future__ import annotations

import contextlib
import hashlib
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from router.fleet.content import program
from router.fleet.tables import OF_A_PLAN, OF_THE_FLEET, VERSION, count_columns, own, shared
from router.fleet.working import PlanOutcome
from router.model.fleet import Fleet
from router.writing import NAMES, Content, sweep_temporaries, write_whole

STORE_FILE = "fleet.sqlite"
PLANS_FOLDER = "plans"
PATIENCE_S = 300.0
"""How long one writer waits for another; a transaction takes far less."""
ROWS_AT_ONCE = 500
"""Rows of what is wanted that are looked at in one go."""

Wanted = tuple[int, int, str, str, str]
"""Vehicle, position of the job among its jobs, job, key of the plan, key of its search."""
Asked = tuple[int, str, str, str]
"""The first vehicle that needs a plan, the job, key of the plan, key of its search."""


class Store:
    """The results of a fleet in one folder.

    Raises
    ------
    OSError
        From every method, where the folder cannot be written, the disk is full, or the file is no such store.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.path = folder / STORE_FILE
        self._new_folders = [each for each in (folder, *folder.parents) if not each.exists()]
        self._is_new = not self.path.exists()
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OSError(f"cannot make the folder {folder}: {error.strerror or error}") from error
        with self._clear_words():
            self._database = sqlite3.connect(self.path, timeout=PATIENCE_S, isolation_level=None)
        try:
            self._prepare()
        except BaseException:
            self._database.close()
            raise

    def close(self) -> None:
        """Close it; whoever is last folds the log into the file, so that the one file is all there is."""
        with contextlib.suppress(sqlite3.Error):  # somebody else is still at it
            self._database.execute("pragma busy_timeout = 0")
            self._database.execute("pragma journal_mode = delete")
        self._database.close()

    def give_up(self) -> None:
        """Close it, and leave no trace of it where it was made just now and nothing is in it yet."""
        has_plans = bool(self.rows("select 1 from plans limit 1"))
        self.close()
        if self._is_new and not has_plans:
            self.path.unlink(missing_ok=True)
            with contextlib.suppress(OSError):
                for folder in self._new_folders:
                    folder.rmdir()  # refuses where something is in it

    # What this run's fleet wants

    def want(self, wanted: Iterable[Wanted]) -> None:
        """Take down which plan each vehicle needs for each job; what raises an error leaves nothing."""
        for table in ("wanted", "questions"):
            self._execute(f"delete from temp.{table}")
        for number, (*row, search) in enumerate(wanted):
            vehicle, _, job, plan = row
            self._insert("temp.wanted", [tuple(row)])
            self._execute(
                "insert or ignore into temp.questions"
                " select coalesce(min(first), ?1), ?1, ?2, ?3, ?4, ?5 from temp.questions where search = ?5",
                *(number, vehicle, job, plan, search),
            )

    def describe(self, fleet: Fleet) -> None:
        """Take down the fleet's name and its vehicles."""
        self._insert("temp.fleet", [(fleet.name, program())])
        vehicles = (
            (number, each.name, each.profile, each.variant or "", each.count)
            for number, each in enumerate(fleet.vehicles)
        )
        self._insert("temp.vehicles", vehicles)

    def set_kit_cuts(self, cuts: Iterable[tuple[str, int, float]]) -> None:
        """Take down which cuts are longer than their plan says, so that one kit serves more vehicles."""
        for cut in cuts:
            self._execute(
                "insert into temp.kit_cuts values (?, ?, ?) on conflict do update"
                " set length_mm = max(length_mm, excluded.length_mm)",
                *cut,
            )

    def asked(self) -> Iterator[Asked]:
        """Yield each wanted plan once, those of one search together; plans may be kept meanwhile.

        The searches come in the fleet's order, and so do the plans of each.
        """
        at = (-1, -1)
        query = "select * from temp.questions where (first, number) > (?, ?) order by 1, 2 limit ?"
        while page := self.rows(query, *at, ROWS_AT_ONCE):
            yield from (row[2:] for row in page)
            at = page[-1][:2]

    def count_wanted(self) -> int:
        """Return how many different plans are wanted."""
        return int(self.rows("select count(distinct plan) from temp.wanted")[0][0])

    # Plans

    def sweep(self) -> None:
        """Remove what killed writers left in the folders of plans."""
        place = self.folder / PLANS_FOLDER
        for folder in place.iterdir() if place.is_dir() else ():
            sweep_temporaries(folder)

    def is_kept(self, key: str) -> bool:
        """Return whether a plan is finished: its rows are here, and its files are there in full."""
        row = self.rows("select folder from plans where plan = ?", key)
        files = self.rows("select name, bytes from files where plan = ?", key)
        if row and all(_size(self.folder / PLANS_FOLDER / row[0][0] / name) == size for name, size in files):
            return True
        if row:  # somebody took a file away: it is made again
            self._forget(key)
        return False

    def keep(self, outcome: PlanOutcome) -> None:
        """Keep what came of a question: its files first, then all its rows at once."""
        folder = self.folder / PLANS_FOLDER / outcome.folder
        write_whole({folder / name: content for name, content in outcome.files.items()})
        files = tuple(
            (outcome.key, name, len(content), hashlib.sha256(content).hexdigest())
            for name in NAMES
            if (content := outcome.files.get(name)) is not None
        )
        rows = {**outcome.rows, "files": files}
        with self._transaction():
            if not self.rows("select 1 from plans where plan = ?", outcome.key):
                for table in OF_A_PLAN:
                    self._insert(table, rows.get(table, ()))

    def finish(self, files: Mapping[Path, Content]) -> None:
        """Write the files about this fleet, and let it take the place of the last one."""
        with self._transaction():
            for table in OF_THE_FLEET:
                self._execute(f"delete from main.{table}")
                self._execute(f"insert into main.{table} select * from temp.{table}")
            write_whole(files)

    def orphaned_folders(self) -> tuple[str, ...]:
        """Return the folders of plans that this fleet does not want: of earlier contents, or anybody's."""
        wanted = {row[0] for row in self.stream("select distinct folder from fleet_plans")}
        place = self.folder / PLANS_FOLDER
        found = (each.name for each in place.iterdir() if each.is_dir()) if place.is_dir() else ()
        return tuple(sorted(name for name in found if name not in wanted))

    def rows(self, query: str, *values: Any) -> list[tuple[Any, ...]]:
        """Return all rows of a query; for those that are few."""
        return list(self.stream(query, *values))

    def stream(self, query: str, *values: Any) -> Iterator[tuple[Any, ...]]:
        """Yield the rows of a query, one at a time; nothing may be kept before the last one is read."""
        with self._clear_words():
            yield from self._database.execute(query, values)

    def _forget(self, key: str) -> None:
        with self._transaction():
            for table in OF_A_PLAN:
                self._execute(f"delete from {table} where plan = ?", key)

    def _insert(self, table: str, rows: Iterable[tuple[Any, ...]]) -> None:
        placeholders = ", ".join("?" * count_columns(table.removeprefix("temp.")))
        with self._clear_words():
            self._database.executemany(f"insert into {table} values ({placeholders})", rows)

    def _execute(self, statement: str, *values: Any) -> None:
        with self._clear_words():
            self._database.execute(statement, values)

    def _prepare(self) -> None:
        self._execute("pragma journal_mode = wal")  # a reader never stops a writer
        self._execute("pragma synchronous = full")  # on the disk when a transaction returns
        with self._transaction():
            version = self.rows("pragma user_version")[0][0]
            if version not in (0, VERSION):
                words = f"{self.path} is of another version of this program; name another folder"
                raise OSError(words)
            for statement in shared():
                self._execute(statement)
        for statement in own():
            self._execute(statement)

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        """Do what is inside whole or not at all, alone among the writers of this file."""
        self._execute("begin immediate")
        try:
            yield
            self._execute("commit")
        except BaseException:
            if self._database.in_transaction:
                self._database.rollback()
            raise

    @contextmanager
    def _clear_words(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            raise OSError(f"cannot use {self.path}: {error}; finished plans are kept") from error


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return -1
