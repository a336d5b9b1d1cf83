"""A vehicle and a job under other names: each thing that a person calls something, wherever it is named."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from random import Random
from string import ascii_lowercase
from typing import Any, TypeVar

from router.model.job import Job
from router.model.vehicle import Profile

_NAMES = {"name", "space", "joins", "start", "end", "via", "avoid", "run", "returns", "fed_by", "never_with"}
_NAMES |= {"at", "negative_at", "between", "may_end_at"}
"""Fields of the records that hold what a person calls something; a place `at` holds numbers."""
_Record = TypeVar("_Record", Profile, Job)


def names_in(*records: object) -> tuple[str, ...]:
    """Return every name that the records give something, in their order."""
    return tuple(dict.fromkeys(name for record in records for name in _names(record)))


def renamed(record: _Record, words: Mapping[str, str]) -> _Record:
    """Return a profile or a job with other words for its names."""
    if isinstance(record, Job):
        ambient_c = {words[space]: at_c for space, at_c in record.limits.ambient_c.items()}
        record = replace(record, limits=replace(record.limits, ambient_c=ambient_c))
    made = _renamed(record, words, is_name=False)
    assert type(made) is type(record)
    return made


def random_words(names: Iterable[str], rng: Random) -> dict[str, str]:
    """Return a word for each name that says nothing, is part of no other and comes in another order."""
    words: dict[str, str] = {}
    for name in names:
        word = "".join(rng.choices(ascii_lowercase, k=4)) + "q" + f"{len(words):03d}z"
        words[name] = word
    return words


def with_names_of(text: str, words: Mapping[str, str]) -> str:
    """Return a text with the words put back to the names that they stand for."""
    names = {word: name for name, word in words.items()}
    return re.sub("|".join(map(re.escape, names)), lambda word: names[word[0]], text)


def _names(record: object) -> Iterator[str]:
    if isinstance(record, tuple):
        for each in record:
            yield from _names(each)
    elif is_dataclass(record) and not isinstance(record, type):
        for field in fields(record):
            value = getattr(record, field.name)
            if field.name in _NAMES:
                yield from (
                    each for each in (value if isinstance(value, tuple) else (value,)) if _is_name(each)
                )
            if not isinstance(value, str):
                yield from _names(value)


def _renamed(value: Any, words: Mapping[str, str], *, is_name: bool) -> Any:
    if is_name and _is_name(value):
        return words[value]
    if isinstance(value, tuple):
        return tuple(_renamed(each, words, is_name=is_name) for each in value)
    if is_dataclass(value) and not isinstance(value, type):
        held = {field.name: getattr(value, field.name) for field in fields(value)}
        return replace(value, **{k: _renamed(v, words, is_name=k in _NAMES) for k, v in held.items()})
    return value


def _is_name(value: object) -> bool:
    return isinstance(value, str) and not isinstance(value, Enum)
