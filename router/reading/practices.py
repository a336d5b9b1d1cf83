"""Practice: the default rules, and a shop's own file on top of them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Any

import router.tables
from router.errors import Fault, UnreadableError
from router.model.practice import Practice, Rule
from router.reading.documents import Document, read_document
from router.reading.practice_file import RuleFile, default_groups, dimension_of, practice_model
from router.reading.structure import structure_faults
from router.units import DIMENSIONS

DEFAULT_FILE = FilePath(router.tables.__file__).parent / "practice.yaml"


def read_practice(path: str | FilePath | None = None) -> Practice:
    """Return the rules in force: the default ones, or a shop's file with the default behind it.

    Raises
    ------
    UnreadableError
        Every fault of the file.
    """
    default = _practice(_document(DEFAULT_FILE))
    if path is None or _is_default(FilePath(path)):
        return default
    own = _practice(_document(FilePath(path)))
    return Practice(own.name, default.name, {**default.rules, **own.rules})


def practice_faults(document: Document) -> tuple[Fault, ...]:
    """Return every fault of a practice file, in its order."""
    found = [*document.faults, *structure_faults(document, practice_model())]
    if _is_default(FilePath(document.file)):
        found += _without_source(document)
    elif "based-on" not in document.data:
        found.append(document.fault(("based-on",), 'key "based-on" is missing; write based-on: default'))
    return tuple(sorted(set(found)))


def _document(path: FilePath) -> Document:
    document = read_document(path)
    if faults := practice_faults(document):
        raise UnreadableError(faults)
    return document


def _practice(document: Document) -> Practice:
    file = practice_model().model_validate(document.data)
    rules = {(rule.group, rule.key): rule for rule in _rules(document.data["practice"], file)}
    return Practice(document.data["practice"], None, rules)


def _rules(name: str, file: Any) -> Iterator[Rule]:
    groups = file.model_dump(by_alias=True, exclude_unset=True)
    for group in default_groups():
        for key, rule in groups.get(group, {}).items():
            unit = DIMENSIONS[dimension_of(group, key)].inside
            entry = RuleFile.model_construct(**rule)
            yield Rule(group, key, entry.value, unit, entry.source or name, entry.status)


def _without_source(document: Document) -> Iterator[Fault]:
    for group in default_groups():
        for key, rule in document.data.get(group, {}).items():
            if not (isinstance(rule, dict) and {"source", "status"} <= set(rule)):
                yield document.fault((group, key), f"{key} has no source or no status; write both")


def _is_default(path: FilePath) -> bool:
    return path.exists() and path.samefile(DEFAULT_FILE)
