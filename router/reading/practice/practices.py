"""Practice: the rule sets that come along, and a shop's own file on top of one of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

import router.tables
from router.errors import Fault, UnreadableError
from router.model.practice import Practice, Rule
from router.model.vehicle import NEVER_TOUCHED, Hazard
from router.reading.files import is_file, is_folder, shut_out
from router.reading.practice.practice_file import (
    SHIPPED,
    RuleFile,
    default_groups,
    default_name,
    default_rules,
    dimension_of,
    practice_model,
)
from router.reading.yaml.built import built_document
from router.reading.yaml.documents import Document, read_document
from router.reading.yaml.structure import structure_faults
from router.units import DIMENSIONS

_TABLES = FilePath(router.tables.__file__).parent
SHIPPED_FILES = {
    name: _TABLES / ("practice.yaml" if name == "default" else f"practice-{name}.yaml") for name in SHIPPED
}
"""The rule sets that ship with the program, by name."""


def find_practice(named: str, folder: FilePath, *, trusts_paths: bool) -> FilePath | str:
    """Return the file that a name or path means, seen from a folder; or the words why there is none."""
    beside = folder / named
    if words := shut_out(beside, folder, trusts_paths=trusts_paths):
        return f'"{named}" {words}'
    if is_file(beside):
        return beside
    if named in SHIPPED_FILES:
        return SHIPPED_FILES[named]
    advice = f"write a path from the job's folder, or one of {', '.join(SHIPPED_FILES)}"
    return f'there is no file "{named}" beside the job; {advice}'


def read_practice(named: str | FilePath | Mapping[str, object] | None = None) -> Practice:
    """Return the rules in force: those that come along, or a shop's file on top of some of them.

    Parameters
    ----------
    named : str, pathlib.Path or mapping, optional
        A path, one of the rule sets that come along ("default", "law", "voluntary"), or what such a file
        holds, built in memory.

    Raises
    ------
    UnreadableError
        Every fault of the file.
    """
    if isinstance(named, Mapping):
        return _on_its_base(_without_faults(built_document("practice", named)))
    found = find_practice(str(named or "default"), FilePath(), trusts_paths=True)
    if isinstance(found, str):
        _refuse_missing(FilePath(str(named)))
    path = found if isinstance(found, FilePath) else FilePath(str(named))
    if _is_default(path) and (practice := _default()):
        return practice
    document = _without_faults(read_document(path))
    return _practice(document) if _is_default(path) else _on_its_base(document)


def _default() -> Practice | None:
    """Return the default rules by their values' checks alone; None where models must say what is wrong.

    Nearly every plan reads these, and to make models for them takes many times as long.
    """
    try:
        rules = tuple(default_rules())
    except (AttributeError, KeyError, TypeError, ValueError):
        return None
    return Practice(default_name(), None, {(rule.group, rule.key): rule for rule in rules})


def _on_its_base(document: Document) -> Practice:
    """Return a shop's own rules on top of those that they are based on."""
    own = _practice(document)
    base = read_practice(SHIPPED_FILES[document.data["based-on"]])
    return Practice(own.name, base.name, {**base.rules, **own.rules})


def practice_faults(document: Document) -> tuple[Fault, ...]:
    """Return every fault of a practice file, in its order."""
    found = [*document.faults, *structure_faults(document, practice_model())]
    path = FilePath("" if document.is_built else document.file)
    if any(_is_same(path, shipped) for shipped in SHIPPED_FILES.values()):
        found += _without_source(document)
    if not _is_default(path) and "based-on" not in document.data:
        found.append(document.fault(("based-on",), 'key "based-on" is missing; write based-on: default'))
    return tuple(sorted(set(found)))


def bare_rules(document: Document) -> Iterator[Fault]:
    """Yield a hint for each clearance of 0, in a file without faults, from what a loom may never touch."""
    file = practice_model().model_validate(document.data)
    for rule in _rules(document.data["practice"], file):
        if rule.group == "clearance" and rule.value == 0.0 and _hazard_of(rule) in NEVER_TOUCHED:
            what = f"{rule.key} 0 keeps no loom away; write more, or leave it to the rules built on"
            yield document.fault((rule.group, rule.key), what)


def _hazard_of(rule: Rule) -> Hazard:
    return Hazard.HOT if rule.key == "hot shielded" else Hazard(rule.key)


def _refuse_missing(path: FilePath) -> None:
    """Refuse a name that is no file and no rule set that comes along, with those that are."""
    if is_folder(path):
        return  # a folder, say: reading it tells
    try:
        read_document(path)
    except UnreadableError as error:
        first = error.faults[0]
        advice = f"write the path of a practice file, or one of {', '.join(SHIPPED_FILES)}"
        raise UnreadableError((replace(first, what=f"{first.what}; {advice}"),)) from None


def _without_faults(document: Document) -> Document:
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
    return _is_same(path, SHIPPED_FILES["default"])


def _is_same(path: FilePath, other: FilePath) -> bool:
    return is_file(path) and path.samefile(other)
