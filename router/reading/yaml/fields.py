"""Kinds of values in files: each turns what was written into plain data, or says what to write instead.

A refusal's words follow the key's name: `width` + `"40" has no unit; write e.g. "40 mm"`.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from enum import StrEnum
from typing import Annotated, Any, ClassVar, TypeAlias

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema

from router.model.job import Duty, LoadKind, Series
from router.model.practice import Status
from router.model.vehicle import (
    Drill,
    Edge,
    Faces,
    Fix,
    Hazard,
    Pole,
    Screw,
    SpaceKind,
    SupportKind,
    TerminalKind,
)
from router.reading.yaml.wording import describe_value
from router.units import DIMENSIONS, Dimension, nearest, parse_quantity, parse_size, quantity_pattern, unit_of

LONGEST_TEXT = 200
FILE_UNITS = ("mm", "cm", "m", "in")
FURTHEST_ASSUMED_MM = 1000.0
"""What may be further off than this is not assumed: nobody knows where it is, so it is measured first."""


class FileModel(BaseModel):
    """One mapping of a file: no key but its own, keys written with hyphens."""

    model_config: ClassVar[ConfigDict] = ConfigDict(
        extra="forbid",
        frozen=True,
        defer_build=True,
        alias_generator=lambda name: name.rstrip("_").replace("_", "-"),
    )


def checked_text(value: object) -> str:
    """Return a text of one line; ValueError where it is none, with what to write."""
    if not isinstance(value, str):
        found = describe_value(value)
        advice = f'write it in quotes: "{found}"' if isinstance(value, int | float) else "write text"
        raise ValueError(f"is {found}; {advice}")
    if not value.strip():
        raise ValueError("is empty; write text")
    if len(value) > LONGEST_TEXT:
        raise ValueError(f"is longer than {LONGEST_TEXT} characters; shorten it")
    if not value.isprintable():
        raise ValueError("has a character that cannot be printed; take it out")
    return value


def _whole_number(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError(f"is {describe_value(value)}; write a whole number, e.g. 7")
    if not 0 <= value <= 100_000:
        raise ValueError(f"is {value}; write a whole number from 0 to 100000")
    return value


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueError(f"is {describe_value(value)}; write true or false")
    return value


def _date(value: object) -> str:
    try:
        return date.fromisoformat(checked_text(value)).isoformat()
    except ValueError:
        raise ValueError(f"is {describe_value(value)}; write year-month-day, e.g. 2026-03-14") from None


def _point(value: object) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        found = f"a list of {len(value)}" if isinstance(value, list) else describe_value(value)
        raise ValueError(f"is {found}; write a pair of numbers, e.g. [600, 180]")
    for number in value:
        if isinstance(number, bool) or not isinstance(number, int | float):
            found = describe_value(number)
            raise ValueError(
                f"has {found} for a number; write plain numbers in the file's unit, e.g. [600, 180]"
            )
    return float(value[0]), float(value[1])


def one_of(known: tuple[str, ...]) -> Callable[[object], str]:
    """Return a check that a value is one of some words."""

    def check(value: object) -> str:
        if isinstance(value, str) and value in known:
            return value
        near = nearest(value, known) if isinstance(value, str) else None
        advice = f'did you mean "{near}"?' if near else f"write one of {', '.join(known)}"
        raise ValueError(f"{describe_value(value)} is unknown; {advice}")

    return check


def quantity(
    dimension: str, *, above: float | None = None, least: float | None = None, most: float | None = None
) -> Callable[[object], float]:
    """Return a check that turns a quantity's text into a float in the inside's unit, within limits."""
    wanted = DIMENSIONS[dimension]

    def check(value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            found = describe_value(value)
            raise ValueError(f'is {found}; write a number with its unit, e.g. "{wanted.example}"')
        number = parse_quantity(str(value), dimension)
        if above is not None and not number > above:
            raise ValueError(f'"{value}" is too small; write more than {_plain(above, wanted)}')
        if least is not None and not number >= least:
            raise ValueError(f'"{value}" is too small; write {_plain(least, wanted)} or more')
        if most is not None and not number <= most:
            raise ValueError(f'"{value}" is too large; write {_plain(most, wanted)} or less')
        return number

    return check


def _plain(value: float, dimension: Dimension) -> str:
    if dimension.name == "ratio":
        return f"{value * 100:g} %"
    return f"{value:g} {dimension.inside}"


def quantity_schema(dimension: str) -> dict[str, Any]:
    """Return the JSON Schema of a quantity's text, for an editor."""
    wanted = DIMENSIONS[dimension]
    return {
        "type": "string",
        "pattern": quantity_pattern(dimension),
        "description": f'{wanted.article} {wanted.name} with its unit, e.g. "{wanted.example}"',
        "examples": [wanted.example],
    }


def _words(kind: type[StrEnum]) -> BeforeValidator:
    return BeforeValidator(one_of(tuple(each.value for each in kind)))


def _kind_words(kinds: type[StrEnum]) -> BeforeValidator:
    """Return a validator of a kind, whose refusal always gives the whole list: it is closed, and short."""
    known = tuple(each.value for each in kinds)

    def check(value: object) -> str:
        if isinstance(value, str) and value in known:
            return value
        near = nearest(value, known) if isinstance(value, str) else None
        hint = f'did you mean "{near}"? ' if near else ""
        raise ValueError(f"{describe_value(value)} is unknown; {hint}write one of {', '.join(known)}")

    return BeforeValidator(check)


def _auto_or(check: Callable[[object], Any]) -> BeforeValidator:
    """Return a validator that takes the word `auto` (None: choose it) or what `check` takes."""

    def checked(value: object) -> Any:
        if value == "auto":
            return None
        try:
            return check(value)
        except ValueError as error:
            raise ValueError(f"{error}, or auto") from None

    return BeforeValidator(checked)


def _size(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError(f'{describe_value(value)} has no unit; write e.g. "2.5 mm2" or "14 AWG"')
    return str(parse_size(value))


def _load(value: object) -> str:
    """Return the text of a current or a power: which of them it is, the conversion sees by its unit."""
    for dimension in ("current", "power"):
        if _is_in(value, dimension):
            quantity(dimension)(value)
            return str(value)
    found = describe_value(value) if isinstance(value, str) else f'"{value}"'
    raise ValueError(f'{found} is neither a current nor a power; write e.g. "9 A" or "21 W"')


def _is_in(value: object, dimension: str) -> bool:
    """Return whether a text has a unit of a dimension, whatever is wrong with its number."""
    try:
        return isinstance(value, str) and unit_of(value)[1] == dimension
    except ValueError:
        return False


def _names(value: object) -> list[str]:
    """Return one name or a list of them as a list."""
    return [checked_text(each) for each in (value if isinstance(value, list) else [value])]


def _either(*dimensions: str) -> dict[str, Any]:
    return {"type": "string", "anyOf": [quantity_schema(each) for each in dimensions]}


_POINT_SCHEMA: dict[str, Any] = {
    "type": "array",
    "items": {"type": "number"},
    "minItems": 2,
    "maxItems": 2,
    "description": "x rearward, y to the vehicle's right, in the file's unit",
}
_STUD = r"^(M[0-9]{1,2}|#[0-9]{1,2}|[0-9]{1,2}/[0-9]{1,2} in)$"
_SIZE_SCHEMA = {"type": "string", "pattern": r"^(auto|[0-9.]+ *(mm2|mm²)|([0-9]+|[1-4]/0) *AWG)$"}


def _stud(value: object) -> str:
    text = checked_text(value)
    if not re.fullmatch(_STUD, text):
        raise ValueError(f'"{text}" is no stud; write e.g. M6, "#10" or 5/16 in')
    return text


Text: TypeAlias = Annotated[str, BeforeValidator(checked_text), Field(min_length=1)]
WholeNumber: TypeAlias = Annotated[int, BeforeValidator(_whole_number), Field(ge=0)]
Flag: TypeAlias = Annotated[bool, BeforeValidator(_flag)]
IsoDate: TypeAlias = Annotated[
    str,
    BeforeValidator(_date),
    WithJsonSchema({"type": "string", "format": "date", "examples": ["2026-03-14"]}),
]
Point: TypeAlias = Annotated[tuple[float, float], BeforeValidator(_point), WithJsonSchema(_POINT_SCHEMA)]
Line: TypeAlias = Annotated[list[Point], Field(min_length=2)]
Area: TypeAlias = Annotated[list[Point], Field(min_length=3)]
Height: TypeAlias = Annotated[
    float, BeforeValidator(quantity("length")), WithJsonSchema(quantity_schema("length"))
]
Length: TypeAlias = Annotated[
    float, BeforeValidator(quantity("length", least=0)), WithJsonSchema(quantity_schema("length"))
]
Width: TypeAlias = Annotated[
    float, BeforeValidator(quantity("length", above=0)), WithJsonSchema(quantity_schema("length"))
]
Assumed: TypeAlias = Annotated[
    float,
    BeforeValidator(quantity("length", above=0, most=FURTHEST_ASSUMED_MM)),
    WithJsonSchema(quantity_schema("length")),
]
Voltage: TypeAlias = Annotated[
    float, BeforeValidator(quantity("voltage", above=0)), WithJsonSchema(quantity_schema("voltage"))
]
Resistance: TypeAlias = Annotated[
    float, BeforeValidator(quantity("resistance", least=0)), WithJsonSchema(quantity_schema("resistance"))
]
Temperature: TypeAlias = Annotated[
    float, BeforeValidator(quantity("temperature")), WithJsonSchema(quantity_schema("temperature"))
]
Fraction: TypeAlias = Annotated[
    float, BeforeValidator(quantity("ratio", above=0, most=0.5)), WithJsonSchema(quantity_schema("ratio"))
]
Efficiency: TypeAlias = Annotated[
    float, BeforeValidator(quantity("ratio", above=0, most=1)), WithJsonSchema(quantity_schema("ratio"))
]
Power: TypeAlias = Annotated[
    float, BeforeValidator(quantity("power", above=0)), WithJsonSchema(quantity_schema("power"))
]
Load: TypeAlias = Annotated[str, BeforeValidator(_load), WithJsonSchema(_either("current", "power"))]
FuseRating: TypeAlias = Annotated[
    float | None,
    _auto_or(quantity("current", above=0)),
    WithJsonSchema({"anyOf": [{"const": "auto"}, quantity_schema("current")]}),
]
Current: TypeAlias = Annotated[
    float, BeforeValidator(quantity("current", above=0)), WithJsonSchema(quantity_schema("current"))
]
GivenSize: TypeAlias = Annotated[
    str,
    BeforeValidator(_size),
    WithJsonSchema({"type": "string", "pattern": r"^([0-9.]+ *(mm2|mm²)|([0-9]+|[1-4]/0) *AWG)$"}),
]
SizeText: TypeAlias = Annotated[str | None, _auto_or(_size), WithJsonSchema(_SIZE_SCHEMA)]
Stud: TypeAlias = Annotated[str, BeforeValidator(_stud), WithJsonSchema({"type": "string", "pattern": _STUD})]
Names: TypeAlias = Annotated[
    list[str],
    BeforeValidator(_names),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}),
]
Ends: TypeAlias = Annotated[
    list[str],
    BeforeValidator(_names),
    Field(min_length=1),
    WithJsonSchema(
        {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}, "minItems": 1}]}
    ),
]
FileUnit: TypeAlias = Annotated[
    str, BeforeValidator(one_of(FILE_UNITS)), WithJsonSchema({"type": "string", "enum": list(FILE_UNITS)})
]
HazardWord: TypeAlias = Annotated[Hazard, _words(Hazard)]
SpaceKindWord: TypeAlias = Annotated[SpaceKind, _kind_words(SpaceKind)]
SupportKindWord: TypeAlias = Annotated[SupportKind, _kind_words(SupportKind)]
TerminalKindWord: TypeAlias = Annotated[TerminalKind, _kind_words(TerminalKind)]
PoleWord: TypeAlias = Annotated[Pole, _words(Pole)]
FixWord: TypeAlias = Annotated[Fix, _words(Fix)]
FacesWord: TypeAlias = Annotated[Faces, _words(Faces)]
DrillWord: TypeAlias = Annotated[Drill, _words(Drill)]
ScrewWord: TypeAlias = Annotated[Screw, _words(Screw)]
SideWord: TypeAlias = Annotated[
    str,
    BeforeValidator(one_of(("left", "right"))),
    WithJsonSchema({"type": "string", "enum": ["left", "right"]}),
]
EdgeWord: TypeAlias = Annotated[Edge, _words(Edge)]
DutyWord: TypeAlias = Annotated[Duty, _words(Duty)]
LoadKindWord: TypeAlias = Annotated[LoadKind, _kind_words(LoadKind)]
SeriesWord: TypeAlias = Annotated[Series, _words(Series)]
StatusWord: TypeAlias = Annotated[Status, _words(Status)]
