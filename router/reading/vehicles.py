"""A profile file's things as written, one variant applied: what checks and conversion both work on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, TypeAlias

from router.reading.profile_file import SECTIONS
from router.reading.wording import Path
from router.records import Record


class Entry(Record):
    """One thing of a section as written, with its path in the file; `name` None where it has none."""

    path: Path
    name: str | None
    raw: Any


Vehicle: TypeAlias = Mapping[str, tuple[Entry, ...]]
"""The entries of each section."""


def base_vehicle(data: Mapping[str, Any]) -> Vehicle:
    """Return the vehicle as first measured."""
    return _entries(data, ())


def variant_vehicle(base: Vehicle, name: str, raw: object) -> Vehicle:
    """Return the vehicle with a variant applied: things removed, replaced by name, added."""
    variant = raw if isinstance(raw, dict) else {}
    gone = {each for each in _list(variant.get("remove")) if isinstance(each, str)}
    replaced = _entries(variant.get("replace"), ("variants", name, "replace"))
    added = _entries(variant.get("add"), ("variants", name, "add"))
    return {section: _merged(base[section], gone, replaced[section]) + added[section] for section in SECTIONS}


def changes(name: str, raw: object) -> Iterator[tuple[str, str, Entry]]:
    """Yield ("replace" or "add", section, entry) for everything a variant brings."""
    variant = raw if isinstance(raw, dict) else {}
    for verb in ("replace", "add"):
        for section, entries in _entries(variant.get(verb), ("variants", name, verb)).items():
            for entry in entries:
                yield verb, section, entry


def names_of(vehicle: Vehicle, *sections: str) -> tuple[str, ...]:
    """Return all names of some sections, in the file's order."""
    return tuple(entry.name for section in sections for entry in vehicle[section] if entry.name is not None)


def _merged(entries: tuple[Entry, ...], gone: set[str], replaced: tuple[Entry, ...]) -> tuple[Entry, ...]:
    by_name = {entry.name: entry for entry in replaced}
    return tuple(by_name.get(entry.name, entry) for entry in entries if entry.name not in gone)


def _entries(sections: object, prefix: Path) -> dict[str, tuple[Entry, ...]]:
    held = sections if isinstance(sections, dict) else {}
    return {section: tuple(_section(held.get(section), (*prefix, section))) for section in SECTIONS}


def _section(raw: object, path: Path) -> Iterator[Entry]:
    if isinstance(raw, dict) and path[-1] == "spaces":
        for name, item in raw.items():
            yield Entry((*path, name), name, item)
        return
    for index, item in enumerate(_list(raw)):
        name = item.get("name") if isinstance(item, dict) else None
        yield Entry((*path, index), name if isinstance(name, str) else None, item)


def _list(raw: object) -> list[Any]:
    return raw if isinstance(raw, list) else []
