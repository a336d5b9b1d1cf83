"""Names in a route file that its job and the vehicle must have: runs, spaces, supports, members, openings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from router.errors import Fault
from router.model.job import Job
from router.model.vehicle import Profile
from router.reading.profile.names_in_profile import unknown
from router.reading.yaml.documents import Document
from router.reading.yaml.raw import items_in
from router.reading.yaml.wording import Path


def route_name_faults(document: Document, job: Job, profile: Profile) -> Iterator[Fault]:
    """Yield a fault for each name that neither the job nor the vehicle has.

    Of a standard route only runs and spaces count: what else a newer profile has no more, the review misses.
    """
    is_standard = "approved" in document.data
    spaces = [space.name for space in profile.spaces]
    for path, run in items_in(document.data.get("runs"), ("runs",)):
        names: list[tuple[Path, Mapping[str, Any], str, str, Iterable[str]]] = [
            (path, run, "run", "run", [each.name for each in job.runs])
        ]
        for inner, stretch in items_in(run.get("way"), (*path, "way")):
            names.append((inner, stretch, "space", "space", spaces))
            if not is_standard and stretch.get("space") in spaces:
                supports = [s.name for s in profile.supports if s.space == stretch["space"]]
                names.append((inner, stretch, "along", "support", supports))
        if not is_standard:
            names += _things(run, path, profile)
        for inner, held, key, kind, known in names:
            if isinstance(held.get(key), str) and held[key] not in known:
                yield document.fault((*inner, key), unknown(kind, held[key], known))


def _things(
    run: Mapping[str, Any], path: Path, profile: Profile
) -> Iterator[tuple[Path, Mapping[str, Any], str, str, Iterable[str]]]:
    """Yield what a run passes and is fixed to: its place, what is written there, key, kind, known names."""
    members, openings = [each.name for each in profile.members], [each.name for each in profile.openings]
    for inner, passed in items_in(run.get("passes"), (*path, "passes")):
        yield inner, passed, "over", "member", members
        yield inner, passed, "through", "member", members
        yield inner, passed, "opening", "opening", openings
    for inner, fixing in items_in(run.get("fixings"), (*path, "fixings")):
        yield inner, fixing, "support", "support", [each.name for each in profile.supports]
