"""A route, whether it is a route file or a drawing over a blank map."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path as FilePath

from router.errors import UnreadableError
from router.model.job import Job
from router.model.review import DrawnRoute, DrawnRun
from router.model.vehicle import Profile
from router.reading.route.route_fixings import fixings_of
from router.reading.route.route_reader import read_route_file, route_of

DRAWING = ".svg"


def read_route(route: str | FilePath | Mapping[str, object], job: Job, profile: Profile) -> DrawnRoute:
    """Return the runs of a route file, or of an SVG drawing over a blank map of the job.

    Parameters
    ----------
    route : str, pathlib.Path or mapping
        The file, or what a route file holds.
    job, profile
        What it is for.

    Raises
    ------
    UnreadableError
        Every fault of the file, with its place.
    """
    if not isinstance(route, Mapping) and FilePath(route).suffix.lower() == DRAWING:
        return _drawn(FilePath(route), job, profile)
    return read_route_file(route, job, profile)


def _drawn(path: FilePath, job: Job, profile: Profile) -> DrawnRoute:
    from router.reading.svg.drawn_runs import fixings_at, read_drawn_runs  # noqa: PLC0415  # slow, and only for drawings

    files, dots, drawing_tolerance_mm, svg = read_drawn_runs(path, job, profile)
    routes = [route_of(file, job.run(file.run), profile, 1.0) for file in files]
    fixings, left = fixings_at(dots, routes, profile)
    if left:
        words = "dot is beside no run; draw it on the line that it holds, or take it out"
        raise UnreadableError(tuple(svg.fault(dot.element, words) for dot in left))
    runs = (
        DrawnRun(
            route, fixings_of(own, route), drawing_tolerance_mm=drawing_tolerance_mm, has_no_heights=True
        )
        for route, own in zip(routes, fixings, strict=True)
    )
    return DrawnRoute(path.stem, tuple(runs), None)
