"""A type's profile as text with arithmetic in it: where each value stands, and what is written in its place.

The text keeps its comments, order and lines: only the values are replaced, by the parser's own marks.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum, auto

import yaml

_POINT_KEYS = frozenset({"outline", "area", "along", "at", "over", "through", "centre"})
_LENGTH_KEYS = frozenset({"height", "heights", "width", "radius", "rise", "bore", "moves", "clearance"})
_WHOLE_LENGTH = re.compile(r"[0-9]+(?:\.[0-9]+)? *mm")
ASSUMED = "assumed"
Path = tuple[str | int, ...]


class SlotKind(Enum):
    """How a value is written."""

    POINT = auto()
    LENGTH = auto()
    ASSUMED = auto()
    NAME = auto()
    DATE = auto()


@dataclass(frozen=True, slots=True)
class Slot:
    """A value of the text that is replaced."""

    path: Path
    kind: SlotKind
    text: str
    line: int
    """Counted from 0 in the file, as are columns."""
    start: int
    end: int
    indent: int
    """How far its text begins behind `start`: 1 where it is quoted."""


def slots_in(text: str, key: str) -> tuple[Slot, ...]:
    """Return every value below a key at the top of a YAML text that arithmetic may stand in, in its order."""
    return tuple(
        slot
        for path, event in _scalars(text)
        if path[:1] == (key,) and len(path) > 1 and (slot := _slot(path[1:], event))
    )


def part_of(path: Path, assumed: Mapping[Path, str]) -> Path | None:
    """Return the path of the innermost part around a value that says how far it is assumed."""
    for length in range(len(path) - 1, 0, -1):
        if path[:length] in assumed:
            return path[:length]
    return None


def replaced(text: str, written: Mapping[Slot, str]) -> list[str]:
    """Return the lines of a text with other words in some slots."""
    lines = text.split("\n")
    for slot, words in sorted(written.items(), key=lambda item: (item[0].line, item[0].start), reverse=True):
        line = lines[slot.line]
        lines[slot.line] = line[: slot.start] + words + line[slot.end :]
    return lines


def _slot(path: Path, event: yaml.ScalarEvent) -> Slot | None:
    kind = _kind(path, event.value)
    start, end = event.start_mark, event.end_mark
    if kind is None or start is None or end is None or start.line != end.line:
        return None
    return Slot(path, kind, event.value, start.line, start.column, end.column, 1 if event.style else 0)


def _kind(path: Path, value: str) -> SlotKind | None:
    if path == ("profile",):
        return SlotKind.NAME
    if path == ("measured", "on"):
        return SlotKind.DATE
    key = next((step for step in reversed(path) if isinstance(step, str)), "")
    if key == ASSUMED:
        return SlotKind.ASSUMED
    if key in _POINT_KEYS:
        return SlotKind.POINT
    is_open = key in _LENGTH_KEYS and not _WHOLE_LENGTH.fullmatch(value)
    return SlotKind.LENGTH if is_open else None


def _scalars(text: str) -> Iterator[tuple[Path, yaml.ScalarEvent]]:
    """Yield every scalar that is a value with its path; the text has been read as a document before."""
    events = yaml.parse(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    yield from (found for event in events for found in _below(event, (), events))


def _below(
    event: yaml.Event, path: Path, events: Iterator[yaml.Event]
) -> Iterator[tuple[Path, yaml.ScalarEvent]]:
    if isinstance(event, yaml.ScalarEvent):
        yield path, event
    elif isinstance(event, yaml.SequenceStartEvent):
        number = 0
        while not isinstance(each := next(events), yaml.SequenceEndEvent):
            yield from _below(each, (*path, number), events)
            number += 1
    elif isinstance(event, yaml.MappingStartEvent):
        while not isinstance(each := next(events), yaml.MappingEndEvent):
            key = each.value if isinstance(each, yaml.ScalarEvent) else ""
            yield from _below(next(events), (*path, key), events)
