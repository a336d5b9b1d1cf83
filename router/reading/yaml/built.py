"""The door for questions that a program built in memory: plain data as from a file, or its faults."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from numbers import Integral, Real

from router.errors import Fault, UnreadableError, key_path
from router.reading.yaml.documents import DEEPEST, LONGEST_TEXT, MOST_VALUES, Document, FilePosition
from router.reading.yaml.wording import Path, describe_path


def built_document(kind: str, mapping: Mapping[str, object]) -> Document:
    """Return a mapping with the keys of a kind of file as if it had been read from one.

    Parameters
    ----------
    kind : str
        "job", "profile", "practice" or "route"; paths of keys in faults begin with it, but those of a job.
    mapping : mapping of str to object
        Text, whole and decimal numbers, true and false, dates, lists, tuples and mappings of these. What else
        is in it is among the document's faults.

    Raises
    ------
    UnreadableError
        It is too large or too deep to be one.
    """
    builder = _Builder(kind)
    data = builder.plain(mapping, ())
    assert isinstance(data, dict)  # as a mapping was given
    document = Document(kind, data, builder.values, builder.values, (), is_built=True)
    faults = tuple(
        document.fault(path, what, where=describe_path(path, data)[0]) for path, what in builder.found
    )
    return Document(kind, data, builder.values, builder.values, faults, is_built=True)


@dataclass(slots=True)
class _Builder:
    """Copies data, and counts its values: the count stands in place of a line."""

    kind: str
    values: dict[Path, FilePosition] = field(default_factory=dict)
    found: list[tuple[Path, str]] = field(default_factory=list)

    def plain(self, value: object, path: Path) -> object:
        """Return a value as a file would give it; None where it is none, which is noted."""
        self._guard(path)
        self.values[path] = FilePosition(len(self.values) + 1, 1)
        if isinstance(value, Mapping):
            return self._mapping(value, path)
        if isinstance(value, list | tuple):
            return [self.plain(each, (*path, index)) for index, each in enumerate(value)]
        if isinstance(value, str | date):
            return self._text(value if isinstance(value, str) else value.isoformat(), path)
        if isinstance(value, Real) and _is_some_size(value):
            return _number(value)
        self._note(path, _words(value, path))
        return None

    def _mapping(self, mapping: Mapping[object, object], path: Path) -> dict[str, object]:
        items: dict[str, object] = {}
        for written, value in mapping.items():
            key = "on" if written is True else written  # what YAML 1.1 readers make of `on:`
            if isinstance(key, str) and (odd := _odd(key)):
                self._note(path, f"has a key with {odd}; take it out")
            elif isinstance(key, str):
                items[str(key)] = self.plain(value, (*path, str(key)))
            else:
                self._note(path, f"has the key {key!r}, which is no text; write key: value")
        return items

    def _text(self, text: str, path: Path) -> str | None:
        if odd := _odd(text):
            self._note(path, f"has a text with {odd}; take it out")
            return None
        return str(text)

    def _guard(self, path: Path) -> None:
        """Refuse what is too much: a list that holds itself never ends."""
        words = ""
        if len(self.values) >= MOST_VALUES:
            words = f"has more than {MOST_VALUES} values; split it"
        elif len(path) > DEEPEST:
            words = f"is nested deeper than {DEEPEST} levels; flatten it"
        if words:
            raise UnreadableError((Fault(self.kind, 1, 1, "", words, key_path(path)),))

    def _note(self, path: Path, words: str) -> None:
        self.found.append((path, words))


def _odd(text: str) -> str:
    """Return what would spoil the line that a fault is printed on; empty where nothing would."""
    if len(text) > LONGEST_TEXT:
        return f"more than {LONGEST_TEXT} characters"
    odd = next((sign for sign in text if not sign.isprintable()), None)
    return f"the character U+{ord(odd):04X}" if odd else ""


def _number(value: Real) -> bool | int | float:
    """Return a number as Python's own, whatever library it comes from."""
    if isinstance(value, bool):
        return value
    return int(value) if isinstance(value, Integral) else float(value)


def _is_some_size(value: Real) -> bool:
    """Return whether a number is finite, and no integer beyond all floats."""
    try:
        return math.isfinite(value)
    except OverflowError:
        return False


def _words(value: object, path: Path) -> str:
    key = path[-1] if path and isinstance(path[-1], str) else "this item"
    if value is None:
        return f"{key} has nothing in it; write a value, or take it out"
    if isinstance(value, Integral):
        return f"{key} is a number beyond all sizes; write a smaller one"
    if isinstance(value, Real):
        return f"{key} is {value}; write a number"
    return f"{key} is of type {type(value).__name__}; write text, a number, a list or keys and values"
