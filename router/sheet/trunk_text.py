"""Where a run lies in the loom of an earlier one, in the stations of both: a trunk is written once."""

from __future__ import annotations

from dataclasses import dataclass, replace

from router.facts import fixing_prefix
from router.model.fixing import Fixing
from router.model.plan import END_MM, Plan, RunPlan


@dataclass(frozen=True, slots=True)
class SharedStretch:
    """A stretch of a run that lies in the loom of an earlier run."""

    run: str
    from_mm: float
    to_mm: float
    """In the run's own stations."""
    first: str
    first_from_mm: float
    first_to_mm: float
    """In the stations of the earlier run, in whose direction they grow."""

    @property
    def is_against(self) -> bool:
        """Return whether the run has the opposite direction: its stations fall as the earlier one's rise."""
        return self.from_mm > self.to_mm

    def holds(self, station_mm: float) -> bool:
        """Return whether a station of the run lies in the stretch."""
        low, high = sorted((self.from_mm, self.to_mm))
        return low - END_MM <= station_mm <= high + END_MM


def shared_stretches(plan: Plan, run: RunPlan) -> tuple[SharedStretch, ...]:
    """Return the stretches of a run that an earlier run's loom holds too, those that touch made one.

    `from_mm` is the run's own station where the earlier run's stretch begins; it is the greater one where
    the two go against each other.
    """
    found: list[SharedStretch] = []
    for bundle in plan.bundles:
        if run.name not in bundle.runs[1:]:
            continue
        first, own = bundle.parts[0], bundle.part(run.name)
        stretch = SharedStretch(
            own.run,
            own.from_station_mm,
            own.to_station_mm,
            first.run,
            first.from_station_mm,
            first.to_station_mm,
        )
        last = found[-1] if found else None
        if last and _goes_on(last, stretch):
            found[-1] = replace(last, to_mm=stretch.to_mm, first_to_mm=stretch.first_to_mm)
        else:
            found.append(stretch)
    return tuple(found)


def labels_between(plan: Plan, run: RunPlan, low_mm: float, high_mm: float) -> list[str]:
    """Return the labels of a run's fixings from one station to another, as on the map."""
    return [
        fixing_label(plan, run, fixing)
        for fixing in run.fixings
        if low_mm - END_MM <= fixing.station_mm <= high_mm + END_MM
    ]


def fixing_label(plan: Plan, run: RunPlan, fixing: Fixing) -> str:
    """Return what a fixing is called, as on the map: "7", or "2-7" on the second run."""
    return f"{fixing_prefix(plan, run)}{fixing.number}"


def conductor_name(run: str, conductor: str) -> str:
    """Return what a conductor is called, and its two ends are marked.

    >>> conductor_name("supply", "supply"), conductor_name("socket lead", "trailer tail")
    ('supply', 'socket lead: trailer tail')
    """
    return run if run == conductor else f"{run}: {conductor}"


def _goes_on(before: SharedStretch, after: SharedStretch) -> bool:
    """Return whether a stretch goes on where another ends, on both runs."""
    apart_mm = (after.first_from_mm - before.first_to_mm, after.from_mm - before.to_mm)
    return before.first == after.first and max(map(abs, apart_mm)) <= END_MM
