"""Routes as files (route/1), which read back as the same routes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import groupby

from router.model.fixing import Fixing
from router.model.plan import Passage, PassageKind, Plan, RoutePoint
from router.model.review import Approval, DrawnRoute, DrawnRun

ROUTE_FORMAT = "route/1"
DECIMALS = 7
"""Of mm in a route file: a route that touches a clearance must still keep it when it is read again."""


PASS_WORDS = {
    PassageKind.OVER_MEMBER: "over",
    PassageKind.THROUGH_MEMBER: "through",
    PassageKind.OPENING: "opening",
}
"""The key of each kind of thing that a route file says is passed."""


def planned_route(plan: Plan) -> DrawnRoute:
    """Return the routes of a plan as a route that is drawn and not approved."""
    runs = tuple(
        DrawnRun(
            run.route,
            run.fixings,
            run.loom_diameter_mm,
            tuple(passage for passage in run.route.passages if passage.kind in PASS_WORDS),
        )
        for run in plan.runs
    )
    return DrawnRoute(plan.job.name, runs, None)


def route_bytes(drawn: DrawnRoute, job_path: str | None = None) -> bytes:
    """Return a route file (route/1) that reads back as the same route; `job_path` as seen from the file."""
    lines = [f"route: {_quoted(drawn.name)}", f"format: {ROUTE_FORMAT}"]
    if job_path:
        lines.append(f"job: {_quoted(job_path)}")
    lines.append("unit: mm")
    if drawn.approval:
        lines += _approval(drawn.approval)
    lines.append("runs:")
    for run in drawn.runs:
        lines += _run(run, is_approved=drawn.approval is not None)
    return ("\n".join(lines) + "\n").encode()


def _run(run: DrawnRun, *, is_approved: bool) -> Iterator[str]:
    yield f"  - run: {_quoted(run.route.run)}"
    if run.loom_diameter_mm:
        why = "" if is_approved else "  # clearances count from it: the thickest of those beside each other"
        yield f"    loom: {_number(run.loom_diameter_mm)} mm{why}"
    yield "    way:"
    for space, along, points in _stretches(run.route.points):
        follows = f", along: {_quoted(along)}" if along else ""
        yield f"      - {{space: {_quoted(space)}{follows}, points: ["
        for point in points:
            yield f"          [{_number(point.x_mm)}, {_number(point.y_mm)}, {_number(point.z_mm)}],"
        yield "        ]}"
    if run.declared:
        yield "    passes:"
        yield from (f"      - {_pass(passage, is_approved=is_approved)}" for passage in run.declared)
    if run.fixings:
        yield "    fixings:"
        yield from (f"      - {_fixing(fixing, is_approved=is_approved)}" for fixing in run.fixings)
    if run.loops:
        yield "    loops:"
        for loop in run.loops:
            yield f"      - {{station: {loop.station_mm:.3f} mm, spare: {loop.spare_mm:.3f} mm}}"


def _stretches(points: tuple[RoutePoint, ...]) -> Iterator[tuple[str, str | None, list[RoutePoint]]]:
    """Yield runs of pieces in one space that follow one thing, each with the points at both its ends."""
    groups = [list(group) for _, group in groupby(points, key=lambda point: (point.space, point.along))]
    for group, following in zip(groups, [*groups[1:], []], strict=True):
        first = group[0]
        joint = following[:1] if following and following[0].space == first.space else []
        yield first.space, first.along, [*group, *joint]


def _pass(passage: Passage, *, is_approved: bool) -> str:
    """Return what is passed; with its station in an approved route, else with a note of it."""
    thing = f"{PASS_WORDS[passage.kind]}: {_quoted(passage.name)}"
    if passage.to_station_mm == math.inf:
        return f"{{{thing}}}"
    station = f"{passage.from_station_mm:.0f} mm"
    return f"{{{thing}, station: {station}}}" if is_approved else f"{{{thing}}}  # station {station}"


def _fixing(fixing: Fixing, *, is_approved: bool) -> str:
    """Return a fixing by its place, which stays where it is when a point before it is moved.

    In a standard route, which nobody is to edit, by its station, to the thousandth that it is told by.
    """
    support = f", support: {_quoted(fixing.support)}" if fixing.support else ""
    held = f"kind: {_quoted(fixing.kind)}{support}"
    if is_approved:
        return f"{{station: {fixing.station_mm:.3f} mm, {held}}}"
    at = ", ".join(_number(round(mm, 3)) for mm in (fixing.x_mm, fixing.y_mm, fixing.z_mm))
    return f"{{at: [{at}], {held}}}  # station {fixing.station_mm:.0f} mm"


def _approval(approval: Approval) -> Iterator[str]:
    yield "approved:"
    yield f"  by: {_quoted(approval.by)}"
    yield f"  on: {approval.on}"
    yield f"  revision: {approval.revision}"
    yield f"  fingerprint: {_quoted(approval.fingerprint)}"
    if any(near for _, near in approval.near):
        yield "  near:"
    for run, near in approval.near:
        for each in near:
            yield (
                f"    - {{run: {_quoted(run)}, keep-out: {_quoted(each.keep_out)}, "
                f"required: {_number(each.required_mm)} mm, margin: {_number(each.margin_mm)} mm, "
                f"mark: {_quoted(each.fingerprint)}}}"
            )
    if any(used for _, used in approval.used):
        yield "  used:"
    for run, used in approval.used:
        for thing in used:
            name, mark = _quoted(thing.name), _quoted(thing.fingerprint)
            yield f"    - {{run: {_quoted(run)}, what: {thing.what}, name: {name}, mark: {mark}}}"


def _number(value: float) -> str:
    words = f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if words == "-0" else words


def _quoted(words: str) -> str:
    """Return a text as YAML takes it whatever is in it: in double quotes, with what they need escaped."""
    return '"' + words.replace("\\", "\\\\").replace('"', '\\"') + '"'
