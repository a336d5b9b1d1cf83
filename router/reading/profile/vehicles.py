"""A profile file's things as written, one variant applied: what checks and conversion both work on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from router.reading.profile.profile_file import SECTIONS, ProfileFile, SectionsFile
from router.reading.yaml.fields import FileModel
from router.reading.yaml.structure import item_or_none
from router.reading.yaml.wording import Path


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing of a section as written, with its path in the file; `name` None where it has none."""

    path: Path
    name: str | None
    raw: Any
    item: FileModel | None
    """What was read; None where it has faults of structure."""


Vehicle: TypeAlias = Mapping[str, tuple[Entry, ...]]
"""The entries of each section."""


def base_vehicle(data: Mapping[str, Any], file: ProfileFile | None) -> Vehicle:
    """Return the vehicle as first measured; `file` is the same as read, None where it has faults."""
    return _entries(data, (), file)


def variant_vehicle(base: Vehicle, name: str, raw: object, file: ProfileFile | None) -> Vehicle:
    """Return the vehicle with a variant applied: things removed, replaced by name, added."""
    variant = raw if isinstance(raw, dict) else {}
    gone = {each for each in _list(variant.get("remove")) if isinstance(each, str)}
    replaced, added = (brought(verb, name, raw, file) for verb in ("replace", "add"))
    return {section: _merged(base[section], gone, replaced[section]) + added[section] for section in SECTIONS}


def brought(verb: str, name: str, raw: object, file: ProfileFile | None) -> Vehicle:
    """Return what a variant brings, to "replace" something or to "add" it."""
    written = raw.get(verb) if isinstance(raw, dict) else None
    read = getattr(file.variants[name], verb) if file else None
    return _entries(written, ("variants", name, verb), read)


def entries_written(data: Mapping[str, Any], *sections: str) -> Iterator[Entry]:
    """Yield all that a file without faults writes in some sections, its variants included."""
    vehicles = [base_vehicle(data, None)]
    for name, raw in data.get("variants", {}).items():
        vehicles += [brought(verb, name, raw, None) for verb in ("replace", "add")]
    for vehicle in vehicles:
        for section in sections:
            yield from vehicle[section]


def names_of(vehicle: Vehicle, *sections: str) -> tuple[str, ...]:
    """Return all names of some sections, in the file's order."""
    return tuple(entry.name for section in sections for entry in vehicle[section] if entry.name is not None)


def _merged(entries: tuple[Entry, ...], gone: set[str], replaced: tuple[Entry, ...]) -> tuple[Entry, ...]:
    by_name = {entry.name: entry for entry in replaced}
    return tuple(by_name.get(entry.name, entry) for entry in entries if entry.name not in gone)


def _entries(written: object, prefix: Path, read: SectionsFile | None) -> dict[str, tuple[Entry, ...]]:
    held = written if isinstance(written, dict) else {}
    return {
        section: tuple(_section(held.get(section), (*prefix, section), _items(read, section)))
        for section in SECTIONS
    }


def _items(read: SectionsFile | None, section: str) -> Any:
    return None if read is None else getattr(read, section.replace("-", "_"))


def _section(raw: object, path: Path, read: Any) -> Iterator[Entry]:
    model = SECTIONS[str(path[-1])]
    if isinstance(raw, dict) and path[-1] == "spaces":
        for name, item in raw.items():
            yield Entry((*path, name), name, item, read[name] if read else item_or_none(model, item))
        return
    for index, item in enumerate(_list(raw)):
        name = item.get("name") if isinstance(item, dict) else None
        known = read[index] if read else item_or_none(model, item)
        yield Entry((*path, index), name if isinstance(name, str) else None, item, known)


def _list(raw: object) -> list[Any]:
    return raw if isinstance(raw, list) else []
