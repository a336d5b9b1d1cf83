"""A run from end to end, as met with a tape: fixings by number, what is passed, who joins and leaves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from router.facts import passed_name
from router.model.fixing import Fixing
from router.model.plan import PassageKind, Plan, RunPlan, StationEvent
from router.sheet.figures import nearest_mm, station
from router.sheet.markup import Html, element, table, tick
from router.sheet.trunk_text import SharedStretch, fixing_label, labels_between, shared_stretches

_PASSED = {
    PassageKind.OPENING: "through {}",
    PassageKind.OVER_MEMBER: "over {}",
    PassageKind.THROUGH_MEMBER: "through the hole in {}",
    PassageKind.COVER: "above {}",
}


@dataclass(frozen=True, slots=True)
class _Event:
    station_mm: float
    words: str
    label: str = ""
    is_work: bool = True
    """Whether there is something to do, and so a box to tick."""


def along_table(plan: Plan, run: RunPlan) -> Html:
    """Return the table to work from along one run; what lies in an earlier run's loom is one line."""
    shared = shared_stretches(plan, run)
    events = [
        _Event(0.0, f"start: {run.start}"),
        *_own(_fittings(plan, run), shared),
        *_joins(plan, run),
        *(_shared_event(plan, stretch) for stretch in shared),
        _Event(run.route.routed_mm, f"end: {run.end}"),
    ]
    rows = [_row(list(group)) for _, group in groupby(_in_order(events), lambda e: nearest_mm(e.station_mm))]
    caption = f"{run.name}: metres from {run.start}"
    return table(caption, ("Station", "No.", "What to do there"), rows, (1,), is_narrow=True)


def _in_order(events: Sequence[_Event]) -> list[_Event]:
    return sorted(events, key=lambda event: nearest_mm(event.station_mm))  # stable: the order above stands


def _row(events: Sequence[_Event]) -> tuple[object, ...]:
    place = station(events[0].station_mm)
    label = ", ".join(event.label for event in events if event.label)
    words = "; ".join(dict.fromkeys(event.words for event in events))
    is_work = any(event.is_work for event in events)
    return tick(place) if is_work else element("span", place, class_="untick"), label, words


def _own(events: Iterator[_Event], shared: Sequence[SharedStretch]) -> list[_Event]:
    """Return what is not inside an earlier run's loom; fixings were sorted out before."""
    return [
        event for event in events if event.label or not any(each.holds(event.station_mm) for each in shared)
    ]


def _fittings(plan: Plan, run: RunPlan) -> Iterator[_Event]:
    for station_mm in run.fuse.stations_mm if run.fuse else ():
        yield _Event(station_mm, "fuse holder, still empty")
    for passage in run.route.passages:
        if passage.kind in _PASSED:
            words = _PASSED[passage.kind].format(passed_name(plan.profile, run.route, passage))
            yield _Event(
                passage.from_station_mm, words + _until(passage.from_station_mm, passage.to_station_mm)
            )
    for start_mm, end_mm, keep_outs in _sleeves(run):
        yield _Event(start_mm, f"heat sleeve over the loom{_until(start_mm, end_mm)} ({keep_outs})")
    for fixing in run.own_fixings:
        yield _Event(fixing.station_mm, _fixing_words(fixing), fixing_label(plan, run, fixing))
    for met in run.stations:
        if met.event is StationEvent.BEND:
            yield _Event(met.station_mm, f"bend {met.detail}", is_work=False)


def _sleeves(run: RunPlan) -> Iterator[tuple[float, float, str]]:
    """Yield from where to where heat sleeve goes and because of what; pieces that touch are one."""
    rows: list[tuple[float, float, str]] = []
    for sleeve in sorted(run.heat_sleeves, key=lambda each: each.from_station_mm):
        if rows and sleeve.from_station_mm <= rows[-1][1] + 1.0:
            start_mm, end_mm, keep_outs = rows.pop()
            joint = f"{keep_outs}, {sleeve.keep_out}"
            rows.append((start_mm, max(end_mm, sleeve.to_station_mm), joint))
        else:
            rows.append((sleeve.from_station_mm, sleeve.to_station_mm, sleeve.keep_out))
    yield from rows


def _until(start_mm: float, end_mm: float) -> str:
    return f", to {station(end_mm)}" if nearest_mm(end_mm) > nearest_mm(start_mm) else ""


def _fixing_words(fixing: Fixing) -> str:
    return f"{fixing.kind} on {fixing.on}"


def _joins(plan: Plan, run: RunPlan) -> Iterator[_Event]:
    """Yield where later runs come into this run's loom or leave it, and where the loom's size changes."""
    ties = plan.practice.rules.get(("loom", "ties at a breakout"))
    tied = ", ties on both sides" if ties and ties.value >= 2 else ""
    for other in plan.runs[plan.runs.index(run) + 1 :]:
        for stretch in shared_stretches(plan, other):
            if stretch.first == run.name:
                yield from _ends(stretch, run, other, tied)
    for loom in plan.looms:
        if loom.runs[0] == run.name:
            yield _Event(loom.from_station_mm, f"loom {loom.loom} from here")


def _ends(stretch: SharedStretch, run: RunPlan, other: RunPlan, tied: str) -> Iterator[_Event]:
    if stretch.first_from_mm > 1.0:
        yield _Event(
            stretch.first_from_mm, f"{other.name} joins the loom (its {station(stretch.from_mm)} m){tied}"
        )
    if stretch.first_to_mm < run.route.routed_mm - 1.0:
        yield _Event(
            stretch.first_to_mm, f"{other.name} leaves the loom (its {station(stretch.to_mm)} m){tied}"
        )


def _shared_event(plan: Plan, stretch: SharedStretch) -> _Event:
    first = next(run for run in plan.runs if run.name == stretch.first)
    labels = labels_between(plan, first, stretch.first_from_mm, stretch.first_to_mm)
    fixings = "fixing" if len(labels) == 1 else "fixings"
    held = f", held by its {fixings} {', '.join(labels)}" if labels else ""
    start, end = sorted((stretch.from_mm, stretch.to_mm))
    there, on = stretch.first_from_mm, stretch.first_to_mm
    if stretch.is_against:
        there, on = on, there
    words = (
        f"to {station(end)} in the loom of {stretch.first} (its {station(there)} to {station(on)} m){held}"
    )
    return _Event(start, words)
