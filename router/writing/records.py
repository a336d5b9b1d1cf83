"""Records as plain data, from their own fields.

A record becomes a mapping with a key a field. What differs from that is said once, in a `RecordFormat`, and
holds for writing, reading (`record_reader`) and the schema (`record_schema`) alike.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import Field, dataclass, field, fields, is_dataclass
from enum import Enum
from functools import cache
from typing import Any, ClassVar, Protocol, TypeAlias, get_type_hints

Data: TypeAlias = dict[str, Any]
"""A JSON object; what its values are its keys tell."""


class Record(Protocol):
    """An instance of some dataclass."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]


@dataclass(frozen=True, slots=True)
class Form:
    """How the records of one class are written, where it is not a key a field."""

    keys: Mapping[str, str] = field(default_factory=dict)
    """By field: its key, where it is not the one that the format gives all fields of that name."""
    merged: tuple[str, ...] = ()
    """Fields whose records' own keys stand among those of this one."""
    listed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """By field that is a mapping with keys of several parts: the fields of its values that these are."""
    derived: Mapping[str, Callable[[Any], object]] = field(default_factory=dict)
    """By key: what follows from the record; written for whoever reads the file, and not read back."""


_AS_FIELDS = Form()


@dataclass(frozen=True, slots=True)
class RecordFormat:
    """One way to write records; `keys` by name of a field hold in every class whose form has no other."""

    keys: Mapping[str, str]
    forms: Mapping[type, Form]
    optional: frozenset[str] = frozenset()
    """Keys that are left out where they would hold nothing: null, or an empty list."""

    def write(self, value: object) -> Any:
        """Return a record, or whatever a field of one may be, as plain data.

        Numbers are exact; whole ones have no point, and none is minus nought.
        """
        if isinstance(value, Enum):
            return value.value
        if value is None or isinstance(value, str | int):
            return value
        if isinstance(value, float):
            return int(value) if value.is_integer() else value
        if isinstance(value, tuple):
            return [self.write(each) for each in value]
        if isinstance(value, Mapping):
            return {key: self.write(each) for key, each in value.items()}
        assert is_dataclass(value) and not isinstance(value, type), value
        return self._written(value)

    def form(self, kind: type) -> Form:
        """Return how records of a class are written."""
        return self.forms.get(kind, _AS_FIELDS)

    def key(self, kind: type, name: str) -> str:
        """Return the key of a field."""
        return self.form(kind).keys.get(name) or self.keys.get(name, name)

    def known_keys(self, kind: type) -> tuple[str, ...]:
        """Return every key of a class, those of merged records and what is derived among them."""
        form, hints = self.form(kind), types_of(kind)
        merged = [key for name in form.merged for key in self.known_keys(hints[name])]
        own = [self.key(kind, name) for name in hints if name not in form.merged]
        return (*own, *merged, *form.derived)

    def _written(self, record: Record) -> Data:
        form, data = self.form(type(record)), Data()
        for each in fields(record):
            value = getattr(record, each.name)
            if each.name in form.merged:
                data |= self._written(value)
            elif each.name in form.listed:
                data[self.key(type(record), each.name)] = self.write(tuple(value.values()))
            else:
                data[self.key(type(record), each.name)] = self.write(value)
        data |= {key: self.write(derive(record)) for key, derive in form.derived.items()}
        return {key: each for key, each in data.items() if key not in self.optional or each not in (None, [])}


def json_text(data: object) -> str:
    """Return data as JSON that a person can read too; a number that is none is refused."""
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


@cache
def types_of(kind: type) -> Mapping[str, Any]:  # a type is whatever an annotation says
    """Return the type of each field of a class of records, in their order."""
    hints = get_type_hints(kind)
    return {each.name: hints[each.name] for each in fields(kind)}
