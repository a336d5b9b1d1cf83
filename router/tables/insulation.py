"""Temperature classes that cable insulation has, by the standards that know them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from router.tables.loading import load_table

ISO, SAE = "ISO 6722", "SAE J1128"


@cache
def insulation_classes_c(standard: str | None = None) -> tuple[float, ...]:
    """Return the temperature classes of a standard, or of all, the lowest first. [degC]

    >>> insulation_classes_c("SAE J1128")
    (85.0, 125.0)
    """
    return tuple(sorted({float(row["class_c"]) for row in _rows(standard)}))


@cache
def insulation_names(standard: str | None = None) -> Mapping[str, float]:
    """Return the class temperature by each name that insulation has: "class B", "GXL". [degC]"""
    return {name: float(row["class_c"]) for row in _rows(standard) for name in row["names"]}


def usual_insulation_c(standard: str) -> float:
    """Return what a job's cable has where nobody says: the class of what most cable is made of. [degC]"""
    return float(load_table("insulation")["usual"][standard])


def insulation_words(class_c: float) -> str:
    """Return a class as a person buys it.

    >>> insulation_words(125.0)
    '125 degC (ISO 6722 class C; SAE J1128 GXL, SXL, TXL)'
    """
    found = [
        f"{row['standard']} {', '.join(row['names'])}" for row in _rows(None) if row["class_c"] == class_c
    ]
    return f"{class_c:g} degC ({'; '.join(found)})" if found else f"{class_c:g} degC"


def insulation_key(class_c: float, standard: str) -> str:
    """Return what a job writes to have a class of insulation, by a name of the standard where it has one.

    >>> insulation_key(125.0, "ISO 6722"), insulation_key(125.0, "SAE J1128")
    ('insulation: class C', 'insulation: GXL')
    """
    own = [row["names"][0] for row in _rows(standard) if row["class_c"] == class_c]
    return f"insulation: {own[0]}" if own else f"insulation: {class_c:g} degC"


def _rows(standard: str | None) -> Iterator[dict[str, Any]]:
    for row in load_table("insulation")["classes"]:
        if standard in (None, row["standard"]):
            yield row
