"""Names and prices in a fleet file: used once, known, and all in one currency.

Works on what was written, so that a fault elsewhere does not hide one of these.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Any

from router.errors import Fault
from router.reading.profile.names_in_profile import unknown
from router.reading.yaml.documents import Document
from router.reading.yaml.wording import Path
from router.units import parse_size


def fleet_name_faults(document: Document) -> Iterator[Fault]:
    """Yield a fault for each name used twice or unknown, each size that is none, each odd price."""
    jobs = document.data.get("jobs")
    known = tuple(jobs) if isinstance(jobs, dict) else ()
    if isinstance(jobs, dict) and not jobs:
        yield document.fault(("jobs",), "jobs has nothing in it; write one or more, e.g. lamp: lamp/job.yaml")
    yield from _vehicle_names(document)
    for path, vehicle in _items(document, "vehicles"):
        if vehicle.get("jobs") == []:
            yield document.fault(
                (*path, "jobs"), "jobs has nothing in it; write one or more, or leave it out"
            )
        met: list[str] = []
        for inner, name in _listed(path, vehicle.get("jobs")):
            if known and name not in known:
                yield document.fault(inner, unknown("job", name, known))
            elif name in met:
                yield document.fault(inner, f'job "{name}" is listed twice; keep one')
            met.append(name)
    yield from _stock(document)
    yield from _prices(document)


def _vehicle_names(document: Document) -> Iterator[Fault]:
    first: dict[str, Path] = {}
    for path, vehicle in _items(document, "vehicles"):
        named, profile, variant = (vehicle.get(key) for key in ("name", "profile", "variant"))
        place = (*path, "name" if isinstance(named, str) else "profile")
        if not isinstance(named, str) and isinstance(profile, str):
            parts = [FilePath(profile).stem, *([variant] if isinstance(variant, str) else [])]
            named = ", ".join(parts)
        if not isinstance(named, str):
            continue
        if named in first:
            line = document.place(first[named]).line
            words = f'vehicles in line {line} are called "{named}" already; give these a name: of their own'
            yield document.fault(place, words)
        first.setdefault(named, place)


def _stock(document: Document) -> Iterator[Fault]:
    first: dict[tuple[object, str], Path] = {}
    for path, stock in _items(document, "stock"):
        item, size = stock.get("item"), stock.get("size")
        if item == "conductor" and isinstance(size, str):
            try:
                size = str(parse_size(size))
            except ValueError as error:
                yield document.fault((*path, "size"), f"size {error}")
        key = (item, size if isinstance(size, str) else "")
        if key in first:
            line = document.place(first[key]).line
            words = f"is said already in line {line}; write all its reels there"
            yield document.fault((*path, "item"), words)
        first.setdefault(key, path)


def _prices(document: Document) -> Iterator[Fault]:
    """Yield a fault for each reel without a price beside one that has it, and each further currency."""
    currency: tuple[str, int] | None = None
    for path, stock in _items(document, "stock"):
        reels = [(inner, reel) for inner, reel in _within(path, stock, "reels")]
        priced = [inner for inner, reel in reels if "price" in reel]
        for inner, reel in reels:
            if priced and "price" not in reel:
                yield document.fault(inner, "has no price, and another reel of it has; write price: for both")
            word = str(reel.get("price", "")).rpartition(" ")[2]
            if len(word) != 3 or not word.isupper():
                continue  # no price, or a fault of structure
            line = document.place((*inner, "price")).line
            currency = currency or (word, line)
            if word != currency[0]:
                words = f"price is in {word}, and in {currency[0]} in line {currency[1]}; write one currency"
                yield document.fault((*inner, "price"), words)


def _items(document: Document, key: str) -> Iterator[tuple[Path, dict[str, Any]]]:
    yield from _within((), document.data, key)


def _within(path: Path, held: dict[str, Any], key: str) -> Iterator[tuple[Path, dict[str, Any]]]:
    items = held.get(key)
    for index, each in enumerate(items if isinstance(items, list) else []):
        if isinstance(each, dict):
            yield (*path, key, index), each


def _listed(path: Path, held: object) -> Iterator[tuple[Path, str]]:
    if isinstance(held, str):
        yield (*path, "jobs"), held
    for index, each in enumerate(held if isinstance(held, list) else []):
        if isinstance(each, str):
            yield (*path, "jobs", index), each
