"""Route files: from what was planned or drawn by hand to records with a height and a station everywhere.

A height that is left out is the support's where the stretch follows one, else the space's, which changes at
the borders of its steps; at a terminal the loom begins and ends at the terminal's own height, and it goes
through an opening at the opening's.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path as FilePath

from router.errors import Fault, UnreadableError
from router.facts import run_as_drawn
from router.model.job import Job, Run
from router.model.plan import Passage, PassageKind, Route, RoutePoint, SpareLoop
from router.model.review import Approval, ApprovedClearance, ApprovedUse, DrawnRoute, DrawnRun
from router.model.vehicle import Point, Profile, Space, Support, Terminal
from router.reading.files import is_file, is_folder, shut_out
from router.reading.job.jobs import job_file
from router.reading.route.lying_heights import lying_pieces
from router.reading.route.names_in_route import route_name_faults
from router.reading.route.route_file import ApprovedFile, PassFile, RouteFile, RouteRunFile, StretchFile
from router.reading.route.route_fixings import fixings_of, place_faults, with_stations
from router.reading.yaml.built import built_document
from router.reading.yaml.documents import Document, read_document
from router.reading.yaml.structure import structure_faults
from router.reading.yaml.wording import Path
from router.units import parse_quantity

BEYOND_MM = 1.0
"""How far a fixing's station may lie beyond the end of its run: stations are read off a tape."""


@dataclass(frozen=True, slots=True)
class _Corner:
    """One point as the file gives it, mm; `is_open` where it gives no height of its own."""

    space: str
    along: str | None
    x_mm: float
    y_mm: float
    z_mm: float
    is_open: bool

    @property
    def place(self) -> tuple[float, float, float]:
        return self.x_mm, self.y_mm, self.z_mm

    @property
    def point(self) -> RoutePoint:
        """Return it as a point of a route, before its station is known."""
        return RoutePoint(self.space, *self.place, 0.0, self.along)


def read_route_file(drawn: str | FilePath | Mapping[str, object], job: Job, profile: Profile) -> DrawnRoute:
    """Return the runs of a route file, checked against the job and the vehicle that it is for.

    Parameters
    ----------
    drawn : str, pathlib.Path or mapping
        The file, or what such a file holds.
    job, profile
        What it is for.

    Raises
    ------
    UnreadableError
        Every fault of the file. What a standard route names and a newer profile has no more is none:
        supports are left for the review to miss.
    """
    document = (
        built_document("route", drawn) if isinstance(drawn, Mapping) else read_document(FilePath(drawn))
    )
    faults = tuple(sorted({*own_faults(document), *route_name_faults(document, job, profile)}))
    if faults:
        raise UnreadableError(faults)
    file = RouteFile.model_validate(document.data)
    runs = []
    scale = parse_quantity(f"1 {file.unit}", "length")
    for index, given in enumerate(file.runs):
        route = route_of(given, job.run(given.run), profile, scale)
        run, misplaced = with_stations(document, index, given, route, scale)
        faults += misplaced
        if not file.approved:
            faults += tuple(_beyond(document, index, run, route.routed_mm))
        declared = tuple(_declared(each) for each in run.passes)
        loops = tuple(SpareLoop(min(each.station, route.routed_mm), each.spare) for each in run.loops)
        has_no_heights = all(
            each.height is None and all(z is None for *_, z in each.points) for each in run.way
        )
        held = fixings_of(run.fixings, route)
        runs.append(DrawnRun(route, held, run.loom, declared, loops, has_no_heights=has_no_heights))
    if faults:
        raise UnreadableError(faults)
    return DrawnRoute(file.route, tuple(runs), _approval(file.approved) if file.approved else None)


def job_of_route(path: str | FilePath, *, trusts_paths: bool = False) -> FilePath:
    """Return the job's file or folder that a route file names; UnreadableError where there is none."""
    document = read_document(FilePath(path))
    if faults := own_faults(document):
        raise UnreadableError(faults)
    found = job_named_by(document, trusts_paths=trusts_paths)
    if found is None:
        words = 'key "job" is missing; write job: and the path of the job that this route is for'
        raise UnreadableError((document.fault(("job",), words),))
    return found


def job_named_by(document: Document, *, trusts_paths: bool) -> FilePath | None:
    """Return the job's file or folder that a route says it is for, None where it says none.

    Raises
    ------
    UnreadableError
        There is no such file, or it is further away than a route may look.
    """
    named = document.data.get("job")
    if not isinstance(named, str):
        return None  # where it is something else, that is a fault of structure
    folder = FilePath(document.file).parent
    found = folder / named
    if words := shut_out(job_file(found), folder, trusts_paths=trusts_paths):
        raise UnreadableError((document.fault(("job",), f'"{named}" {words}'),))
    if not (is_file(found) or is_folder(found)):
        words = f'there is no job "{named}" seen from the folder of this route file; was it moved? '
        words += "write job: and the path from this file to its job, e.g. job: ../../jobs/fridge/job.yaml"
        raise UnreadableError((document.fault(("job",), words),))
    return found


def names_a_job(path: str | FilePath) -> bool:
    """Return whether a file is a route that says which job it is for, as standard routes do."""
    try:
        data = read_document(FilePath(path)).data
    except UnreadableError:
        return True  # its faults are to be seen
    return next(iter(data), "") == "route" and "job" in data


def is_route(path: str | FilePath) -> bool:
    """Return whether a file begins as a route file does, unlike other files in a folder."""
    try:
        return next(iter(read_document(FilePath(path)).data), "") == "route"
    except UnreadableError:
        return True  # its faults are to be seen


def own_faults(document: Document) -> tuple[Fault, ...]:
    """Return the faults that a route file has by itself, in its order."""
    found = [*document.faults, *structure_faults(document, RouteFile)]
    if not found:
        found += _names_twice(document)
        found += _single_points(document)
        found += _many_names(document)
        found += place_faults(document)
    return tuple(sorted(set(found)))


def _names_twice(document: Document) -> Iterator[Fault]:
    seen: dict[str, str] = {}
    for index, run in enumerate(document.data["runs"]):
        path: Path = ("runs", index, "run")
        if run["run"] in seen:
            words = f'name "{run["run"]}" is used already {seen[run["run"]]}; give each run one way'
            yield document.fault(path, words)
        seen.setdefault(run["run"], document.where(path))


def _single_points(document: Document) -> Iterator[Fault]:
    for index, run in enumerate(document.data["runs"]):
        points = [tuple(point) for stretch in run["way"] for point in stretch["points"]]
        if len(set(points)) < 2:
            yield document.fault(("runs", index, "way"), "way has one point only; write two points or more")


def _beyond(document: Document, index: int, run: RouteRunFile, routed_mm: float) -> Iterator[Fault]:
    """Yield a fault for each fixing, loop and pass whose station is beyond the end of its run."""
    stations_mm: dict[str, list[float | None]] = {
        "fixings": [each.station for each in run.fixings],
        "loops": [loop.station for loop in run.loops],
        "passes": [each.station for each in run.passes],
    }
    for key, stations in stations_mm.items():
        for number, station_mm in enumerate(stations):
            if station_mm is not None and station_mm > routed_mm + BEYOND_MM:
                words = f"station is beyond the end of the run, {routed_mm:.0f} mm from its start; check it"
                yield document.fault(("runs", index, key, number, "station"), words)


def _declared(file: PassFile) -> Passage:
    stations_mm = (0.0, math.inf) if file.station is None else (file.station, file.station)
    if file.opening:
        return Passage(PassageKind.OPENING, file.opening, *stations_mm, None)
    kind = PassageKind.OVER_MEMBER if file.over else PassageKind.THROUGH_MEMBER
    return Passage(kind, file.over or file.through or "", *stations_mm, None)


def _many_names(document: Document) -> Iterator[Fault]:
    """Yield a fault for each thing passed that is not named once."""
    for index, run in enumerate(document.data["runs"]):
        for number, passed in enumerate(run.get("passes", ())):
            if len({"over", "through", "opening"} & set(passed)) != 1:
                words = "names no one thing; write one of over:, through: and opening: with its name"
                yield document.fault(("runs", index, "passes", number), words)


def route_of(file: RouteRunFile, run: Run, profile: Profile, scale: float) -> Route:
    """Return the route of a run as a file gives it, with a height and a station at every point."""
    corners = list(_with_openings(list(_corners(file, profile, scale)), profile))
    run = run_as_drawn(run, corners[0].point, corners[-1].point, profile)
    corners = _with_end(corners, profile.terminal(run.start), profile)
    corners = _with_end(corners[::-1], profile.terminal(run.end), profile)[::-1]
    points: list[RoutePoint] = []
    for corner in corners:
        here = (corner.space, *corner.place)
        if points and (points[-1].space, points[-1].x_mm, points[-1].y_mm, points[-1].z_mm) == here:
            points[-1] = replace(points[-1], along=corner.along)  # the joint of two stretches
            continue
        station_mm = 0.0
        if points:
            before = (points[-1].x_mm, points[-1].y_mm, points[-1].z_mm)
            is_same = points[-1].space == corner.space
            station_mm = points[-1].station_mm + (math.dist(before, corner.place) if is_same else 0.0)
        points.append(RoutePoint(*here, station_mm, corner.along))
    points[-1] = replace(points[-1], along=None)
    return Route(file.run, tuple(points), (), points[-1].station_mm, 0.0)


def _corners(file: RouteRunFile, profile: Profile, scale: float) -> Iterator[_Corner]:
    supports = {(support.space, support.name): support for support in profile.supports}
    for stretch in file.way:
        support = supports.get((stretch.space, stretch.along or ""))
        yield from _corners_of(stretch, profile.space(stretch.space), support, scale)


def _corners_of(
    stretch: StretchFile, space: Space, support: Support | None, scale: float
) -> Iterator[_Corner]:
    """Yield both ends of each straight piece of a stretch; where neither has a height, it may be in parts."""
    places = [((x * scale, y * scale), None if z is None else z * scale) for x, y, z in stretch.points]

    def height_mm(at: Point, z_mm: float | None) -> float:
        given_mm = stretch.height if z_mm is None else z_mm
        if given_mm is not None:
            return given_mm
        return support.height_at(at) if support else space.height_at(at)

    for (here, z_mm), (there, next_z_mm) in pairwise(places):
        if {stretch.height, z_mm, next_z_mm} == {None} and here != there:
            pieces = list(lying_pieces(here, there, space, support))
        else:
            pieces = [(here, height_mm(here, z_mm), there, height_mm(there, next_z_mm))]
        for start, start_z_mm, end, end_z_mm in pieces:
            yield _Corner(stretch.space, stretch.along, *start, start_z_mm, z_mm is None)
            yield _Corner(stretch.space, None, *end, end_z_mm, next_z_mm is None)
    if len(places) == 1:
        ((at, z_mm),) = places
        yield _Corner(stretch.space, None, *at, height_mm(at, z_mm), z_mm is None)


def _with_openings(corners: list[_Corner], profile: Profile) -> Iterator[_Corner]:
    """Yield the corners, with the height of the opening at each change of space that gives none."""
    yield corners[0]
    for here, there in pairwise(corners):
        if here.space != there.space and here.is_open and there.is_open:
            z_mm = _height_between(here, there, profile)
            yield replace(here, z_mm=z_mm, along=None)
            yield replace(there, z_mm=z_mm, along=None)
        yield there


def _height_between(here: _Corner, there: _Corner, profile: Profile) -> float:
    at = (here.x_mm, here.y_mm)
    joining = [each for each in profile.openings if set(each.joins) == {here.space, there.space}]
    nearest = min(joining, key=lambda each: math.dist(each.at, at), default=None)
    if nearest and math.dist(nearest.at, at) <= profile.tolerance_mm:
        return nearest.height_mm
    return (here.z_mm + there.z_mm) / 2


def _with_end(corners: list[_Corner], terminal: Terminal, profile: Profile) -> list[_Corner]:
    """Return the corners from an end on; without a height there, they begin at the terminal's own."""
    first = corners[0]
    is_there = math.dist((first.x_mm, first.y_mm), terminal.at) <= profile.tolerance_mm
    if not (first.is_open and is_there and first.space == terminal.space):
        return corners
    return [replace(first, z_mm=terminal.height_mm, along=None), *corners]


def _approval(file: ApprovedFile) -> Approval:
    by_run: dict[str, list[ApprovedClearance]] = {}
    for near in file.near:
        approved = ApprovedClearance(near.keep_out, near.required, near.margin, near.mark)
        by_run.setdefault(near.run, []).append(approved)
    near_by_run = tuple((run, tuple(each)) for run, each in by_run.items())
    used_by_run: dict[str, list[ApprovedUse]] = {}
    for used in file.used:
        used_by_run.setdefault(used.run, []).append(ApprovedUse(used.what, used.name, used.mark))
    approved_uses = tuple((run, tuple(each)) for run, each in used_by_run.items())
    return Approval(file.by, file.on, file.revision, file.fingerprint, near_by_run, approved_uses)
