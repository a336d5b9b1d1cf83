"""Wants gathered into lines; what is installed where."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from router.bill.size_sources import source_of
from router.model.job import Series
from router.model.plan import BillItem, BillLine, Loom, RunPlan
from router.model.practice import Practice
from router.tolerances import RELATIVE_ROUNDING


@dataclass(frozen=True, slots=True)
class Size:
    """A size as bought, e.g. "2.5 mm2" or "NW10", and what it measures: copper in mm2, or a bore in mm."""

    name: str
    measure: float


@dataclass(frozen=True, slots=True)
class CutConductor:
    """A conductor of the job by its run's name and its own."""

    run: str
    name: str


@dataclass(frozen=True, slots=True)
class BillEntry:
    """So much of one thing for one place.

    `has_spare` where practice "bill: spare" is added to the sum; `is_own_line` where it is not summed up;
    `kg` is the mass of all of it, None where no figure is known. `spec` and `where` are for people; what
    decides stands in fields of its own.
    """

    item: BillItem
    spec: str
    quantity: float
    unit: str
    where: str
    has_spare: bool = False
    is_own_line: bool = False
    kg: float | None = None
    fuse_family: str | None = None
    """Of a standard fuse."""
    contact_family: str | None = None
    """Of a connector's contact, where the profile names it."""
    size: Size | None = None
    """Of what is cut from reels and coils."""
    conductor: CutConductor | None = None
    """Which one a cut is."""
    source: tuple[str, str] | None = None
    """Source and status of its size, where they are not those of the series that the job buys from."""


def gather(entries: Iterable[BillEntry], practice: Practice, series: Series) -> tuple[BillLine, ...]:
    """Return one line for each item and spec, in the order in which they are first wanted."""
    groups: dict[tuple[str, ...], list[BillEntry]] = {}
    for entry in entries:
        own = (entry.where,) if entry.is_own_line else ()
        groups.setdefault((entry.item, entry.spec, entry.unit, *own), []).append(entry)
    return tuple(_line(group, practice, series) for group in groups.values())


def _line(group: Sequence[BillEntry], practice: Practice, series: Series) -> BillLine:
    first = group[0]
    total = sum(entry.quantity for entry in group)
    quantity = _with_spare(total, practice) if first.has_spare else round(total, 3)
    spare = quantity - total if first.has_spare else 0.0
    where = _joined([*(entry.where for entry in group), f"with {spare:g} spare" if spare else ""])
    source, status = first.source or source_of(first.item, series, first.fuse_family, first.contact_family)
    return BillLine(first.item, first.spec, quantity, first.unit, where, source, status, spare)


def _with_spare(total: float, practice: Practice) -> float:
    return float(math.ceil(total * (1 + practice.value("bill", "spare")) - RELATIVE_ROUNDING))


def _joined(places: Iterable[str]) -> str:
    return "; ".join(dict.fromkeys(place for place in places if place))


def whole_steps(length_mm: float, step_mm: float) -> float:
    """Return the length rounded up to the shop's step, both in mm."""
    return math.ceil(length_mm / step_mm - RELATIVE_ROUNDING) * step_mm


def ranges(numbers: Iterable[int]) -> str:
    """Return numbers as a person writes them.

    Examples
    --------
    >>> ranges([1, 2, 3, 7, 9, 10])
    '1-3, 7, 9, 10'
    """
    rows: list[list[int]] = []
    for number in sorted(numbers):
        if rows and number == rows[-1][-1] + 1:
            rows[-1].append(number)
        else:
            rows.append([number])
    return ", ".join(
        f"{row[0]}-{row[-1]}" if len(row) > 2 else ", ".join(str(number) for number in row) for row in rows
    )


@dataclass(frozen=True, slots=True)
class InstalledRuns:
    """All runs and looms of a job, and which loom lies where."""

    runs: tuple[RunPlan, ...]
    looms: tuple[Loom, ...]

    def run(self, name: str) -> RunPlan:
        """Return the run of that name."""
        return next(run for run in self.runs if run.name == name)

    def looms_at(self, run: RunPlan, station_mm: float) -> list[Loom]:
        """Return the looms that a run lies in at a station: two where they meet."""
        around = [loom for loom in self.looms if run.name in loom.runs]
        return [loom for loom in around if loom.bundle.holds(run.name, station_mm)]

    def loom_at(self, run: RunPlan, station_mm: float) -> Loom:
        """Return the loom that a run lies in at a station; the thicker one where two meet."""
        return max(self.looms_at(run, station_mm), key=lambda loom: loom.outside_mm)
