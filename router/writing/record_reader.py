"""Records read back from plain data: the record that was written, or every fault at once."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from enum import Enum
from types import NoneType, UnionType
from typing import Any, TypeAlias, TypeVar, Union, get_args, get_origin

from router.errors import Fault, UnreadableError, key_path
from router.writing.records import Data, Record, RecordFormat, types_of

Path: TypeAlias = tuple[str | int, ...]
LARGEST = 1e300
"""Of numbers: no length or current comes near it, and what JSON calls a whole number may have any size."""
MOST_FAULTS = 20
"""Of a file that a program wrote: with more than that it is of another kind, or broken as a whole."""
_R = TypeVar("_R", bound=Record)
_NAMES = {float: "a number", int: "a whole number", str: "text", bool: "true or false"}


def read_record(format_: RecordFormat, kind: type[_R], data: object, file: str) -> _R:
    """Return the record of a class that was written as this data.

    Parameters
    ----------
    format_ : RecordFormat
        How it was written.
    kind : type
        The class.
    data : object
        As `json.loads` gives it.
    file : str
        What faults call the file.

    Raises
    ------
    UnreadableError
        Every key that is missing or unknown, and every value of a wrong kind, each with its path.
    """
    reader = _Reader(format_)
    record = reader.record(kind, data, ())
    if reader.found:
        raise UnreadableError(tuple(Fault(file, 1, 1, key_path(path), words) for path, words in reader.found))
    assert isinstance(record, kind)
    return record


class _Reader:
    """Makes records from data and notes what is wrong with it; one object a file."""

    def __init__(self, format_: RecordFormat) -> None:
        self._format = format_
        self.found: list[tuple[Path, str]] = []

    def record(self, kind: type, data: object, path: Path) -> object:
        """Return a record, or None where that cannot be, which is noted."""
        if not isinstance(data, dict):
            return self._none(path, f"is {_found(data)}; write keys and values")
        known = self._format.known_keys(kind)
        for key in data:
            if key not in known:
                self._none((*path, key), "is a key that is not known here")
        return self._made(kind, data, path)

    def _made(self, kind: type, data: Data, path: Path) -> object:
        form, before = self._format.form(kind), len(self.found)
        values: Data = {}
        for each in fields(kind):
            hint, key = types_of(kind)[each.name], self._format.key(kind, each.name)
            if each.name in form.merged:
                values[each.name] = self._made(hint, data, path)
            elif key not in data:
                if each.default is MISSING and each.default_factory is MISSING:
                    self._none((*path, key), "is missing")
            elif each.name in form.listed:
                values[each.name] = self._listed(hint, form.listed[each.name], data[key], (*path, key))
            else:
                values[each.name] = self.value(hint, data[key], (*path, key))
        return kind(**values) if len(self.found) == before else None

    def _listed(self, hint: Any, parts: tuple[str, ...], data: object, path: Path) -> object:
        values = self._tuple((get_args(hint)[1], ...), data, path)
        assert isinstance(values, tuple | NoneType)
        return {tuple(getattr(each, part, None) for part in parts): each for each in values or ()}

    def value(self, hint: Any, data: object, path: Path) -> object:
        """Return a value of the type that an annotation says, or None where that cannot be."""
        origin = get_origin(hint)
        if origin in (Union, UnionType):
            return self._one_of(get_args(hint), data, path)
        if origin is tuple:
            return self._tuple(get_args(hint), data, path)
        if origin is not None and issubclass(origin, Mapping):
            return self._mapping(get_args(hint)[1], data, path)
        if isinstance(hint, type) and is_dataclass(hint):
            return self.record(hint, data, path)
        if issubclass(hint, Enum):
            words = [each.value for each in hint]
            return hint(data) if data in words else self._none(path, f"is {_found(data)}; one of {words}")
        return self._plain(hint, data, path)

    def _plain(self, hint: type, data: object, path: Path) -> object:
        is_number = isinstance(data, int | float) and not isinstance(data, bool)
        if hint is float and isinstance(data, int | float) and is_number and -LARGEST <= data <= LARGEST:
            return float(data)
        if hint is not float and type(data) is hint:
            return data
        return self._none(path, f"is {_found(data)}; write {_NAMES[hint]}")

    def _tuple(self, hints: tuple[Any, ...], data: object, path: Path) -> object:
        if not isinstance(data, list):
            return self._none(path, f"is {_found(data)}; write a list")
        if hints[-1] is Ellipsis:
            hints = hints[:1] * len(data)
        if len(data) != len(hints):
            return self._none(path, f"has {len(data)} values; write {len(hints)}")
        pairs = zip(hints, data, strict=True)
        return tuple(self.value(hint, each, (*path, index)) for index, (hint, each) in enumerate(pairs))

    def _mapping(self, hint: Any, data: object, path: Path) -> object:
        if not isinstance(data, dict):
            return self._none(path, f"is {_found(data)}; write keys and values")
        return {key: self.value(hint, each, (*path, key)) for key, each in data.items()}

    def _one_of(self, hints: tuple[Any, ...], data: object, path: Path) -> object:
        if data is None and NoneType in hints:
            return None
        others = [hint for hint in hints if hint is not NoneType]
        if len(others) > 1 and isinstance(data, dict):  # records of several classes: by their keys
            others = [hint for hint in others if self._has_keys(hint, set(data))]
        if len(others) != 1:
            return self._none(path, f"is {_found(data)}; none of what may stand here")
        return self.value(others[0], data, path)

    def _has_keys(self, kind: type, keys: set[str]) -> bool:
        known = set(self._format.known_keys(kind))
        return keys <= known <= keys | self._format.optional

    def _none(self, path: Path, words: str) -> object:
        if len(self.found) < MOST_FAULTS:
            self.found.append((path, words))
        return None


def _found(data: object) -> str:
    """Return what was found, in a few words."""
    if isinstance(data, list | dict):
        return "a list" if isinstance(data, list) else "keys and values"
    words = json.dumps(data, ensure_ascii=True)
    return words if len(words) <= 40 else "a long text"
