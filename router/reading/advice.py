"""What a person should look at in a file without faults: kinds left unsaid, clearances of nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path as FilePath

from router.errors import Fault
from router.model.vehicle import NEVER_TOUCHED
from router.reading.files import is_file
from router.reading.practice.practices import bare_rules
from router.reading.profile.doubts import doubts
from router.reading.profile.kind_hints import unsaid_kinds
from router.reading.profile.profile_file import KeepOutFile
from router.reading.profile.profiles import mm_per_unit_of
from router.reading.profile.vehicles import entries_written
from router.reading.yaml.documents import Document, read_document


def advice_on(path: str | FilePath) -> tuple[Fault, ...]:
    """Return what to look at in a profile or a practice file without faults; nothing of any other file."""
    if not is_file(FilePath(path)):
        return ()
    document = read_document(FilePath(path))
    kind = next(iter(document.data), "")
    if kind == "profile":
        found = [
            *unsaid_kinds(document),
            *_bare_keep_outs(document),
            *doubts(document, mm_per_unit_of(document)),
        ]
        return tuple(sorted(found))
    return tuple(sorted(bare_rules(document))) if kind == "practice" else ()


def _bare_keep_outs(document: Document) -> Iterator[Fault]:
    for entry in entries_written(document.data, "keep-outs"):
        item = entry.item
        if isinstance(item, KeepOutFile) and item.clearance == 0.0 and item.hazard in NEVER_TOUCHED:
            what = (
                "a clearance of 0 keeps no loom away; write more, or leave it out and the practice's stands"
            )
            yield document.fault((*entry.path, "clearance"), what, where=f'keep-out "{entry.name}"')
