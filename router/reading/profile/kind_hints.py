"""Where a profile file leaves a kind unsaid: what then stands, and which kind a name would suggest.

A guess from a name is for the person who reads it; nothing else ever sees it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from enum import StrEnum

from router.errors import Fault
from router.model.vehicle import SpaceKind, TerminalKind
from router.reading.profile.profile_file import SpaceFile, TerminalFile
from router.reading.profile.vehicles import Entry, entries_written
from router.reading.yaml.documents import Document

_SPACES: Mapping[StrEnum, tuple[str, ...]] = {
    SpaceKind.ENGINE_BAY: ("engine", "motor", "bonnet", "hood"),
    SpaceKind.WHEEL_HOUSE: ("wheel", "arch"),
    SpaceKind.UNDERFLOOR: ("underfloor", "under", "underbody", "chassis", "frame"),
    SpaceKind.BOOT: ("boot", "trunk"),
    SpaceKind.LOAD_AREA: ("load", "cargo", "bed", "box"),
    SpaceKind.CABIN: ("cabin", "cab", "passenger", "dash", "saloon"),
}
_TERMINALS: Mapping[StrEnum, tuple[str, ...]] = {
    TerminalKind.BATTERY_POST: ("battery",),
    TerminalKind.EARTH_POINT: ("earth", "ground"),
    TerminalKind.FUSE_BOX: ("fuse",),
    TerminalKind.TRAILER_SOCKET: ("trailer socket",),
    TerminalKind.LAMP: ("lamp", "light", "beacon"),
    TerminalKind.CONNECTOR: ("connector", "plug", "socket"),
    TerminalKind.STUD: ("stud", "post"),
    TerminalKind.UNIT: ("unit",),
}
"""Words in a name that suggest a kind; the first that is met is the guess."""


def unsaid_kinds(document: Document) -> Iterator[Fault]:
    """Yield a hint for each space and terminal of a profile file without faults that has no kind."""
    for entry in entries_written(document.data, "spaces", "terminals"):
        if isinstance(entry.item, SpaceFile) and entry.item.kind is None:
            yield _hint(document, entry, _SPACES, SpaceKind)
        if isinstance(entry.item, TerminalFile) and entry.item.kind is None:
            yield _hint(document, entry, _TERMINALS, TerminalKind)


def _hint(
    document: Document, entry: Entry, words: Mapping[StrEnum, tuple[str, ...]], kinds: type[StrEnum]
) -> Fault:
    guess = _guess(entry.name or "", words)
    advice = f"write one of {', '.join(kinds)}" if guess is None else f"perhaps kind: {guess.value}"
    what = f"has no kind, so the most careful rule of all kinds stands for it; {advice}"
    where = f'{"space" if kinds is SpaceKind else "terminal"} "{entry.name}"'
    return document.fault(entry.path, what, of_key=kinds is SpaceKind, where=where)


def _guess(name: str, words: Mapping[StrEnum, tuple[str, ...]]) -> StrEnum | None:
    for kind, suggestive in words.items():
        if re.search(rf"\b({'|'.join(suggestive)})\b", name.casefold()):
            return kind
    return None
