"""The files of a folder as somebody has them open: every fault, with what and cure apart, and all parts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from router.errors import Fault, UnreadableError
from router.reading.advice import advice_on
from router.reading.checking import check_file
from router.reading.files import holding
from router.reading.profile.profiles import mm_per_unit_of
from router.reading.profile.vehicles import Entry, base_vehicle, variant_vehicle
from router.reading.yaml.documents import Document, read_document
from router.reading.yaml.mended import as_far_as_read
from router.reading.yaml.raw import items_in

_SEPARATOR = "; "


@dataclass(frozen=True, slots=True)
class OpenFile:
    """One file as far as it can be read."""

    path: FilePath
    data: dict[str, Any] | None
    """What it holds; None where it is no YAML."""
    document: Document | None
    """The same with the places; where it is no YAML, what can be read of it all the same."""

    @property
    def mm_per_unit(self) -> float:
        """Return the unit of its plain numbers in mm; 1 where it names none that is known."""
        return 1.0 if self.document is None else mm_per_unit_of(self.document)


def open_file(path: FilePath, text: str | None) -> OpenFile:
    """Return a file as far as it can be read."""
    if text is None:
        return OpenFile(path, None, None)
    try:
        with holding({path: text}):
            document = read_document(path)
    except UnreadableError:
        return OpenFile(path, None, as_far_as_read(text, str(path)))
    return OpenFile(path, document.data, document)


def faults_and_advice(path: FilePath) -> tuple[tuple[Fault, ...], tuple[Fault, ...]]:
    """Return the faults of a file, and what to look at where it has none, as `underbody check` does."""
    try:
        check_file(path)
    except UnreadableError as error:
        return error.faults, ()
    return (), advice_on(path)


def parts_written(file: OpenFile, variant: str | None = None) -> Iterator[tuple[str, Entry]]:
    """Yield each part of a profile with the name of its section, one variant applied where there is it."""
    data = file.document.data if file.document else {}
    vehicle = base_vehicle(data, None)
    variants = data.get("variants")
    if variant is not None and isinstance(variants, dict) and variant in variants:
        vehicle = variant_vehicle(vehicle, variant, variants[variant], None)
    for section, entries in vehicle.items():
        for entry in entries:
            yield section, entry


def places_written(file: OpenFile) -> Iterator[tuple[tuple[str | int, ...], Mapping[str, Any]]]:
    """Yield each place of a job with its path."""
    data = file.document.data if file.document else {}
    yield from items_in(data.get("places"), ("places",))


def what_and_cure(fault: Fault) -> tuple[str, str]:
    """Return what was found, and what to write; the latter empty where the fault says none.

    >>> what_and_cure(Fault("job.yaml", 3, 1, "", 'unknown space "a; b"; did you mean "a, b"?'))
    ('unknown space "a; b"', 'did you mean "a, b"?')
    """
    words, start = fault.what, 0
    while (at := words.find(_SEPARATOR, start)) >= 0:
        if words.count('"', 0, at) % 2 == 0:
            return words[:at], words[at + len(_SEPARATOR) :]
        start = at + 1
    found, _, cure = words.rpartition(_SEPARATOR)
    return (found, cure) if found else (words, "")
