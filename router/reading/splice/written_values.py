"""How a value is written in YAML: quoted where it must be, in braces or in lines of its own."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from decimal import Decimal
from enum import Enum
from typing import Any

import yaml

from router.reading.splice.value_spans import Plain, SpliceError, resolved
from router.reading.yaml.documents import DEEPEST, LONGEST_TEXT

WIDTH = 110
"""Where a line is broken that is written anew. [characters]"""
MOST_DIGITS = 15
"""Of a number, before and after its point: no more are read as a number."""
_EMITTER: Any = yaml.emitter.Emitter(io.StringIO(), allow_unicode=True)


class Style(Enum):
    """How the neighbours of a value are written."""

    FLOW = "in braces"
    BLOCK = "in lines"
    FREE = "there are none"


def checked(value: Any, depth: int = 0) -> Any:
    """Return a value as it will be read again; `SpliceError` for one that no file can hold."""
    if depth > DEEPEST:
        raise SpliceError("it is nested too deep")
    if isinstance(value, dict):
        return {_text(key): checked(inner, depth + 1) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [checked(inner, depth + 1) for inner in value]
    return _text(value) if isinstance(value, str) else Plain(_number(value))


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise SpliceError("a key is no text")
    if len(value) > LONGEST_TEXT:
        raise SpliceError(f"a text has more than {LONGEST_TEXT} characters; shorten it")
    if odd := next((sign for sign in value if not sign.isprintable()), None):
        raise SpliceError(f"a text has the character U+{ord(odd):04X}; take it out")
    return value


def _number(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if not isinstance(value, int | float) or not math.isfinite(value) or abs(value) >= 10**MOST_DIGITS:
        raise SpliceError(
            "a value is nothing, or no number that can be written; write a value, or take it out"
        )
    if isinstance(value, int):
        return str(value)
    whole, point, rest = f"{round(Decimal(repr(value)), MOST_DIGITS):f}".partition(".")
    return f"{whole}{point or '.'}{rest.rstrip('0') or '0'}"


def scalar_text(value: str | Plain, *, in_flow: bool) -> str:
    """Return a scalar as it is written: without quotes where it is read as the same text without them."""
    if isinstance(value, Plain):
        return value.written
    signs = _EMITTER.analyze_scalar(value)
    is_allowed = signs.allow_flow_plain if in_flow else signs.allow_block_plain
    if value and is_allowed and resolved(value) == value:
        return value
    return "'" + value.replace("'", "''") + "'"


def entry_lines(prefix: str, value: Any, style: Style, room: int) -> list[str]:
    """Return the lines of one entry of a block: `prefix` is its `key:` or `-`.

    Parameters
    ----------
    prefix : str
        What stands before the value.
    value : Any
        The value, checked.
    style : Style
        How its neighbours are written.
    room : int
        How many characters a line may have.
    """
    if not is_in_lines(value, style, room - len(prefix)):
        return _filled(prefix, [*flow_words(value, in_flow=False)], room)
    inner = block_lines(value, room - 2)
    if prefix == "-":
        return [f"- {inner[0]}", *(f"  {line}" for line in inner[1:])]
    return [prefix, *(f"  {line}" for line in inner)]


def block_lines(value: Any, room: int) -> list[str]:
    """Return the lines of a mapping or a list that is not empty."""
    if isinstance(value, dict):
        parts = ((f"{scalar_text(key, in_flow=False)}:", inner) for key, inner in value.items())
    else:
        parts = (("-", inner) for inner in value)
    return [line for prefix, inner in parts for line in entry_lines(prefix, inner, Style.FREE, room)]


def is_in_lines(value: Any, style: Style, room: int) -> bool:
    """Return whether a value is written in lines of its own, not in braces or brackets."""
    if not value or style is Style.FLOW or not isinstance(value, dict | list):
        return False
    if isinstance(value, list):
        return all(isinstance(inner, dict) for inner in value)
    holds_more = any(is_in_lines(inner, Style.FREE, 0) for inner in value.values() if isinstance(inner, list))
    return style is Style.BLOCK or holds_more or len(" ".join(flow_words(value, in_flow=True))) > room


def flow_words(value: Any, *, in_flow: bool) -> Iterator[str]:
    """Yield the pieces of a value in braces and brackets; a line may be broken between any two."""
    if isinstance(value, str | Plain):
        yield scalar_text(value, in_flow=in_flow)
    elif isinstance(value, dict):
        yield from _enclosed("{}", [list(_pair(key, inner)) for key, inner in value.items()])
    else:
        inner = [list(flow_words(each, in_flow=True)) for each in value]
        is_point = all(isinstance(each, Plain) for each in value)
        words = _enclosed("[]", inner)
        yield from [" ".join(words)] if is_point else words


def _pair(key: str, value: Any) -> Iterator[str]:
    first, *rest = flow_words(value, in_flow=True)
    yield f"{scalar_text(key, in_flow=True)}: {first}"
    yield from rest


def _enclosed(ends: str, parts: list[list[str]]) -> list[str]:
    for part in parts[:-1]:
        part[-1] += ","
    words = [word for part in parts for word in part] or [""]
    words[0] = ends[0] + words[0]
    words[-1] += ends[1]
    return words


def wrapped(words: list[str], column: int, room: int = WIDTH) -> list[str]:
    """Return words in lines that have no more than `room` characters: the first begins at a column."""
    lines = [words[0]]
    for word in words[1:]:
        if column + 2 + len(lines[-1]) + len(word) > room:
            lines.append(word)
        else:
            lines[-1] += f" {word}"
    return lines


def _filled(prefix: str, words: list[str], room: int) -> list[str]:
    """Return a prefix and the words behind it in lines that are indented behind it."""
    indent = min(len(prefix) + 2, 14)
    first, *rest = wrapped(words, len(prefix) + 1, room)
    return [f"{prefix} {first}", *(" " * indent + line for line in rest)]
