"""What holds the loom, by its station or by its place: from a route file to records that have both. mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from router.errors import Fault
from router.facts import Segment, positions_at, segments_of
from router.model.fixing import Fixing
from router.model.plan import Route
from router.reading.route.route_file import PointFile, RouteFixingFile, RouteRunFile
from router.reading.yaml.documents import Document

BESIDE_MM = 50.0
"""How far a fixing's place may lie from the route: a support that takes it lies beside the loom."""

ALIKE_MM = 1.0
"""Distances from a place that differ by less are the same: nobody measures closer."""


def place_faults(document: Document) -> Iterator[Fault]:
    """Yield a fault for each fixing that has no place, or two."""
    for index, run in enumerate(document.data["runs"]):
        for number, fixing in enumerate(run.get("fixings", ())):
            path = ("runs", index, "fixings", number)
            if "at" in fixing and "station" in fixing:
                words = "has a station and a place; take out one of station: and at:"
                yield document.fault((*path, "at"), words)
            elif not {"at", "station"} & set(fixing):
                words = "has no place; write station: 250 mm along the run, or at: [600, 180] beside it"
                yield document.fault(path, words)


def with_stations(
    document: Document, index: int, run: RouteRunFile, route: Route, scale: float
) -> tuple[RouteRunFile, tuple[Fault, ...]]:
    """Return a run with a station for each fixing, and a fault for each fixing that is off its route."""
    fixings, faults = [], []
    for number, fixing in enumerate(run.fixings):
        found = fixing.station if fixing.at is None else _station_at(fixing.at, route, scale)
        if isinstance(found, str):
            faults.append(document.fault(("runs", index, "fixings", number, "at"), found))
        else:
            fixings.append(fixing.model_copy(update={"station": found}))
    return run.model_copy(update={"fixings": fixings}), tuple(faults)


def fixings_of(files: Sequence[RouteFixingFile], route: Route) -> tuple[Fixing, ...]:
    """Return the fixings of a run by their stations, each in its place."""
    if not segments_of(route):
        return ()
    stations = [min(each.station or 0.0, route.routed_mm) for each in files]
    ordered = sorted(zip(stations, files, strict=True), key=lambda each: each[0])
    places = positions_at(route, tuple(station_mm for station_mm, _ in ordered))
    return tuple(
        Fixing(
            number,
            station_mm,
            file.kind,
            file.support,
            place.space,
            place.x_mm,
            place.y_mm,
            place.z_mm,
            "drawn",
            None,
        )
        for number, ((station_mm, file), place) in enumerate(zip(ordered, places, strict=True), start=1)
    )


def _station_at(at: PointFile, route: Route, scale: float) -> float | str:
    """Return the station on the route that is nearest to a place, or what is wrong with the place."""
    near = sorted(_nearest(segment, at, scale) for segment in segments_of(route))
    away_mm, station_mm = near[0]
    written = f"at [{', '.join(f'{number:g}' for number in at if number is not None)}]"
    if away_mm > BESIDE_MM:
        words = (
            f"{written} is {away_mm:.0f} mm from the route, which is nearest at station {station_mm:.0f} mm"
        )
        return f"{words}; write a place within {BESIDE_MM:.0f} mm of it"
    alike = [station for away, station in near if away <= away_mm + ALIKE_MM]
    if max(alike) - min(alike) > 2 * BESIDE_MM:
        words = f"{written} is as near to station {min(alike):.0f} mm as to {max(alike):.0f} mm"
        return f"{words}; write its height too, as a third number, or station: in its place"
    return station_mm


def _nearest(segment: Segment, at: PointFile, scale: float) -> tuple[float, float]:
    """Return how far a place is from a segment, in plan where it has no height, and the station there."""
    x, y, z = at
    start, end = ((p.x_mm, p.y_mm, p.z_mm) for p in (segment.start, segment.end))
    there = (x * scale, y * scale, (start[2] + end[2]) / 2 if z is None else z * scale)
    dims = 2 if z is None else 3
    ahead = [b - a for a, b in zip(start[:dims], end[:dims], strict=True)]
    off = [p - a for p, a in zip(there[:dims], start[:dims], strict=True)]
    square = sum(a * a for a in ahead)
    share = sum(a * b for a, b in zip(ahead, off, strict=True)) / square if square else 0.0
    share = min(max(share, 0.0), 1.0)
    away_mm = math.dist(off, [share * a for a in ahead])
    return away_mm, segment.start.station_mm + share * segment.length_mm
