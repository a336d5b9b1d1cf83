"""Names in a profile file: used once, and known where they are used.

Works on what was written, so that a fault elsewhere in a thing does not hide a fault of its names.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from router.errors import Fault
from router.reading.profile.profile_file import SECTIONS
from router.reading.profile.vehicles import Entry, Vehicle, names_of
from router.reading.yaml.documents import Document
from router.reading.yaml.wording import Path, noun
from router.units import nearest

MOST_LISTED = 8
_TWO_SPACES = {"openings": "joins", "panels": "between"}
"""By section: the key that names two spaces in place of one."""


def unknown(kind: str, name: str, known: Iterable[str], *, most: int = MOST_LISTED) -> str:
    """Return the words for a name that nothing has, with the nearest one that something has, else `most`."""
    names = tuple(dict.fromkeys(known))
    near = nearest(name, names)
    if near:
        return f'unknown {kind} "{name}"; did you mean "{near}"?'
    listed = ", ".join(names[:most]) + (", ..." if len(names) > most else "")
    return f'unknown {kind} "{name}"; known: {listed or "none"}'


def name_faults(document: Document, vehicle: Vehicle) -> Iterator[Fault]:
    """Yield a fault for each name used twice and each space that there is none of."""
    yield from _used_twice(document, vehicle)
    spaces = names_of(vehicle, "spaces")
    for section in SECTIONS:
        for entry in vehicle[section]:
            for path, name in _spaces_named(section, entry):
                if spaces and name not in spaces:  # a file without spaces has that one fault
                    yield document.fault(path, unknown("space", name, spaces))


def variant_faults(
    document: Document, base: Vehicle, name: str, raw: object, replaced: Vehicle
) -> Iterator[Fault]:
    """Yield a fault for each thing that a variant removes or replaces and the base does not have."""
    removed = raw.get("remove") if isinstance(raw, dict) else None
    removed = removed if isinstance(removed, list) else []
    everything = names_of(base, *SECTIONS)
    for index, each in enumerate(removed):
        if isinstance(each, str) and each not in everything:
            words = unknown("name", each, everything)
            yield document.fault(
                ("variants", name, "remove", index), words, where=f'variant "{name}", remove'
            )
    for section, entry in ((section, entry) for section, entries in replaced.items() for entry in entries):
        if entry.name is None:
            continue
        known, path = names_of(base, section), _name_path(entry)
        where = f'variant "{name}", replace'
        if entry.name not in known:
            yield document.fault(path, unknown(noun(section), entry.name, known), where=where)
        elif entry.name in removed:
            yield document.fault(path, f'"{entry.name}" is removed as well; keep one of the two', where=where)


def _used_twice(document: Document, vehicle: Vehicle) -> Iterator[Fault]:
    first: dict[str, Entry] = {}
    for section in SECTIONS:
        for entry in vehicle[section]:
            if entry.name is None:
                continue
            if entry.name in first:
                where = document.where(_name_path(first[entry.name]))
                words = f'name "{entry.name}" is used already {where}; give each thing a name of its own'
                yield document.fault(_name_path(entry), words, of_key=entry.path[-2] == "spaces")
            else:
                first[entry.name] = entry


def _name_path(entry: Entry) -> Path:
    return entry.path if isinstance(entry.path[-1], str) else (*entry.path, "name")


def _spaces_named(section: str, entry: Entry) -> Iterator[tuple[Path, str]]:
    if not isinstance(entry.raw, dict) or section == "spaces":
        return
    if section not in _TWO_SPACES:
        if isinstance(space := entry.raw.get("space"), str):
            yield (*entry.path, "space"), space
        return
    key = _TWO_SPACES[section]
    named = entry.raw.get(key)
    for index, space in enumerate(named if isinstance(named, list) else []):
        if isinstance(space, str):
            yield (*entry.path, key, index), space
