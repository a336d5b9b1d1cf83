"""Where a run lies in the loom of an earlier one, in the stations of both: a trunk is written once."""

from __future__ import annotations

from dataclasses import dataclass

from router.facts import fixing_prefix, positions_at, station_on
from router.model.plan import Fixing, Loom, Plan, RunPlan
from router.tolerances import SAME_FIXING_MM


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
        return low - SAME_FIXING_MM <= station_mm <= high + SAME_FIXING_MM


def shared_stretches(plan: Plan, run: RunPlan) -> tuple[SharedStretch, ...]:
    """Return the stretches of a run that an earlier run's loom holds too, those that touch made one.

    `from_mm` is the run's own station where the earlier run's stretch begins; it is the greater one where
    the two go against each other.
    """
    found: list[SharedStretch] = []
    for loom in plan.looms:
        if run.name not in loom.runs[1:]:
            continue
        stretch = _shared_stretch(run, _run(plan, loom.runs[0]), loom)
        if stretch is None:
            continue
        last = found[-1] if found else None
        goes_on = last and abs(last.first_to_mm - stretch.first_from_mm) < SAME_FIXING_MM
        if last and goes_on and last.first == stretch.first:
            found[-1] = SharedStretch(
                run.name, last.from_mm, stretch.to_mm, stretch.first, last.first_from_mm, stretch.first_to_mm
            )
        else:
            found.append(stretch)
    return tuple(found)


def labels_between(plan: Plan, run: RunPlan, low_mm: float, high_mm: float) -> list[str]:
    """Return the labels of a run's fixings from one station to another, as on the map."""
    return [
        fixing_label(plan, run, fixing)
        for fixing in run.fixings
        if low_mm - SAME_FIXING_MM <= fixing.station_mm <= high_mm + SAME_FIXING_MM
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


def _run(plan: Plan, name: str) -> RunPlan:
    return next(run for run in plan.runs if run.name == name)


def _shared_stretch(run: RunPlan, first: RunPlan, loom: Loom) -> SharedStretch | None:
    inset_mm = min(SAME_FIXING_MM, loom.length_mm / 4)  # just inside, so that an opening is on the right side
    ends = (loom.from_station_mm + inset_mm, loom.to_station_mm - inset_mm)
    here = [station_on(run.route, place, SAME_FIXING_MM) for place in positions_at(first.route, ends)]
    low, high = here
    if low is None or high is None:
        return None
    out_mm = inset_mm if low < high else -inset_mm
    return SharedStretch(
        run.name,
        _within(run, low - out_mm),
        _within(run, high + out_mm),
        first.name,
        loom.from_station_mm,
        loom.to_station_mm,
    )


def _within(run: RunPlan, station_mm: float) -> float:
    return min(max(station_mm, 0.0), run.route.routed_mm)
