"""What every record is: frozen, complete when made, equal by its values, and quick to define.

    class Stud(Record):
        name: str
        size: str = "M6"

is to its users, to `dataclasses.replace` and to type checkers what `@dataclass(frozen=True, slots=True)`
makes. That decorator compiles six functions for every class while its module is imported, which takes a
millisecond; some two hundred records would be a third of a cold start. Here all records share their methods,
and `__init__` is compiled when the first record of its kind is made.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import Field, FrozenInstanceError, dataclass
from operator import attrgetter
from typing import Any, NoReturn, dataclass_transform


@dataclass_transform(frozen_default=True)
class _Kind(type):
    """Makes a class of records: annotated names become slots, what the class assigns to them the defaults."""

    def __new__(cls, name: str, bases: tuple[type, ...], body: dict[str, Any]) -> _Kind:
        names = tuple(body.get("__annotations__", ()))
        body["_defaults"] = defaults = {each: body.pop(each) for each in names if each in body}
        if any(isinstance(value, Field) for value in defaults.values()):
            raise TypeError(f"{name}: a record's default is a value; for anything else take a dataclass")
        body["__slots__"] = body["__match_args__"] = names
        body["__dataclass_fields__"] = _Fields()
        body["_values"] = attrgetter("__class__", *names)
        body["_shown"] = f"{body['__qualname__']}({', '.join(f'{each}=%r' for each in names)})"
        return super().__new__(cls, name, bases, body)


class _Fields:
    """A record's fields as `dataclasses` describes them, made when something asks for them."""

    def __get__(self, record: object, kind: Any) -> dict[str, Field[Any]]:
        twin: Any = type(kind.__name__, (), {"__annotations__": kind.__annotations__, **kind._defaults})
        fields: dict[str, Field[Any]] = dataclass(twin).__dataclass_fields__
        kind.__dataclass_fields__ = fields  # in place of this
        return fields


class Record(metaclass=_Kind):
    """The base of all records."""

    def __init__(self, *values: Any, **named: Any) -> None:
        kind: Any = type(self)
        kind.__init__ = _compiled_init(kind)  # in place of this
        kind.__init__(self, *values, **named)

    def __eq__(self: Any, other: Any) -> bool:
        return self._values(self) == self._values(other) if type(self) is type(other) else NotImplemented

    def __hash__(self: Any) -> int:
        return hash(self._values(self))

    def __repr__(self: Any) -> str:
        shown: str = self._shown % self._values(self)[1:]
        return shown

    def __reduce__(self: Any) -> tuple[Any, ...]:
        kind, *values = self._values(self)
        return kind, tuple(values)

    def __setattr__(self, name: str, value: object) -> NoReturn:
        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    def __delattr__(self, name: str) -> NoReturn:
        raise FrozenInstanceError(f"cannot delete field {name!r}")


def _compiled_init(kind: Any) -> Callable[..., None]:
    """Return an `__init__` that takes a record's fields in their order and puts them into its slots."""
    names = kind.__match_args__
    takes = ", ".join(f"{name}=_defaults[{name!r}]" if name in kind._defaults else name for name in names)
    puts = "; ".join(f"_put_{name}(self, {name})" for name in names)
    known: dict[str, Any] = {f"_put_{name}": getattr(kind, name).__set__ for name in names}
    known["_defaults"] = kind._defaults
    exec(f"def __init__(self, {takes}): {puts}", known)
    init: Callable[..., None] = known["__init__"]
    init.__qualname__ = f"{kind.__qualname__}.__init__"
    return init
