"""The JSON Schema (2020-12) of what records are written as."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import is_dataclass
from enum import Enum
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from router.writing.records import Data, RecordFormat, types_of

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_JSON_TYPES = {float: "number", int: "integer", str: "string", bool: "boolean", NoneType: "null"}


def record_schema(format_: RecordFormat, kind: type) -> Data:
    """Return the schema of what records of a class are written as."""
    writer = _SchemaWriter(format_)
    top = writer.record(kind)
    return {"$schema": DIALECT, **top, "$defs": dict(sorted(writer.known.items()))}


class _SchemaWriter:
    """Writes the schema of records; `known` has those of the classes that were met, by their names."""

    def __init__(self, format_: RecordFormat) -> None:
        self._format = format_
        self.known: dict[str, Data] = {}

    def record(self, kind: type) -> Data:
        """Return the schema of a class of records."""
        form, properties = self._format.form(kind), dict(self._properties(kind))
        needed = dict.fromkeys([*self._needed(kind), *form.derived])
        return {
            "type": "object",
            "description": (kind.__doc__ or "").partition("\n")[0],
            "properties": properties,
            "required": [key for key in needed if key not in self._format.optional],
            "additionalProperties": False,
        }

    def _properties(self, kind: type) -> Iterator[tuple[str, Data]]:
        form, hints = self._format.form(kind), types_of(kind)
        for name, hint in hints.items():
            if name in form.merged:
                yield from self._properties(hint)
            elif name in form.listed:
                yield self._format.key(kind, name), self._array((get_args(hint)[1], ...))
            else:
                yield self._format.key(kind, name), self.value(hint)
        for key, derive in form.derived.items():
            yield key, self.value(get_type_hints(derive)["return"])

    def _needed(self, kind: type) -> Iterator[str]:
        """Yield the keys that are written, where they are not optional: those of all fields."""
        form = self._format.form(kind)
        for name, hint in types_of(kind).items():
            if name in form.merged:
                yield from self._format.known_keys(hint)
            else:
                yield self._format.key(kind, name)

    def value(self, hint: Any) -> Data:
        """Return the schema of whatever an annotation says."""
        origin = get_origin(hint)
        if origin in (Union, UnionType):
            return {"anyOf": [self.value(each) for each in get_args(hint)]}
        if origin is tuple:
            return self._array(get_args(hint))
        if origin is not None and issubclass(origin, Mapping):
            return {"type": "object", "additionalProperties": self.value(get_args(hint)[1])}
        return self._reference(hint) if is_dataclass(hint) else _plain(hint)

    def _array(self, hints: tuple[Any, ...]) -> Data:
        if hints[-1] is Ellipsis:
            return {"type": "array", "items": self.value(hints[0])}
        items = [self.value(each) for each in hints]
        return {"type": "array", "prefixItems": items, "items": False, "minItems": len(items)}

    def _reference(self, kind: Any) -> Data:
        if kind.__name__ not in self.known:
            self.known[kind.__name__] = {}  # a class that holds itself ends here
            self.known[kind.__name__] = self.record(kind)
        return {"$ref": f"#/$defs/{kind.__name__}"}


def _plain(hint: type) -> Data:
    if issubclass(hint, Enum):
        return {"enum": [each.value for each in hint]}
    return {"type": _JSON_TYPES[hint]}
