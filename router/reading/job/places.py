"""Places of a job: terminals that it brings along, checked as the profile's own and added to these.

Their points are in the unit of the profile's file, as whoever writes one has the vehicle's map beside it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from router.errors import Fault
from router.model.vehicle import Profile
from router.reading.job.job_file import PlaceFile
from router.reading.job.names_in_job import used_twice
from router.reading.profile.known_names import KnownNames, poles_written
from router.reading.profile.names_in_profile import unknown
from router.reading.profile.profiles import make_terminal
from router.reading.profile.shapes import place_faults, terminal_faults, unit_faults
from router.reading.yaml.documents import Document
from router.reading.yaml.raw import items_in
from router.reading.yaml.structure import item_or_none
from router.reading.yaml.wording import Path
from router.units import parse_quantity


def own_place_faults(document: Document) -> Iterator[Fault]:
    """Yield the faults of a job's places that show without its profile."""
    named = [((*path, "name"), name) for path, name, _ in _named(document)]
    yield from used_twice(document, named, "place")
    for path, raw in _places(document):
        if place := item_or_none(PlaceFile, raw):
            for inner, words in terminal_faults(place):
                yield document.fault((*path, *inner), words.replace("this terminal", "this place"))
    read = [(path, item_or_none(PlaceFile, raw)) for path, raw in _places(document)]
    for inner, words in unit_faults([(path, place) for path, place in read if place]):
        yield document.fault(inner, words.replace("terminal", "place"))


def faults_in_vehicle(document: Document, known: KnownNames, profile: Profile | None) -> Iterator[Fault]:
    """Yield a fault for each place whose name the vehicle has, or that does not fit where it should be.

    Parameters
    ----------
    document : Document
    known : KnownNames
        The names of the vehicle.
    profile : Profile, optional
        The vehicle; None where its file has faults.
    """
    for path, name, _ in _named(document):
        if name in known.everything:
            words = f'name "{name}" is used in the profile already; give the place a name of its own'
            yield document.fault((*path, "name"), words)
    for path, raw in _places(document):
        space, place = raw.get("space"), item_or_none(PlaceFile, raw)
        if isinstance(space, str) and space not in known.spaces:
            yield document.fault((*path, "space"), unknown("space", space, known.spaces))
        elif place and profile:
            for inner, words in place_faults(place, profile):
                yield document.fault((*path, *inner), words.replace("this terminal", "this place"))


def with_place_names(document: Document, known: KnownNames) -> KnownNames:
    """Return the names of a vehicle with those that a job's places add."""
    named = [(name, raw) for _, name, raw in _named(document)]
    poles = poles_written(raw for _, raw in named)
    terminals = dict.fromkeys((*known.terminals, *(name for name, _ in named)))
    return replace(known, terminals=tuple(terminals), poles={**known.poles, **poles})


def with_places(document: Document, profile: Profile) -> Profile:
    """Return a vehicle with the places that a job without faults brings along, as terminals.

    Those of another job, where the vehicle has some, are gone.
    """
    mm_per_unit = parse_quantity(f"1 {profile.unit}", "length")
    own = tuple(terminal for terminal in profile.terminals if not terminal.is_place)
    read = (PlaceFile.model_validate(raw) for _, raw in _places(document))
    added = tuple(
        make_terminal(each, (each.at[0] * mm_per_unit, each.at[1] * mm_per_unit), is_place=True)
        for each in read
    )
    return replace(profile, terminals=(*own, *added))


def _named(document: Document) -> Iterator[tuple[Path, str, Mapping[str, Any]]]:
    for path, raw in _places(document):
        if isinstance(name := raw.get("name"), str):
            yield path, name, raw


def _places(document: Document) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    return items_in(document.data.get("places"), ("places",))
