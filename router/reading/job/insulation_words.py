"""Insulation as a job file writes it: "class B", "GXL", or the temperature of a class, "125 degC"."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, TypeAlias

from pydantic import BeforeValidator, WithJsonSchema

from router.errors import Fault
from router.model.job import Series
from router.reading.yaml.documents import Document
from router.reading.yaml.fields import quantity, quantity_schema
from router.tables import ISO, SAE, insulation_classes_c, insulation_names, insulation_words
from router.tables import usual_insulation_c as usual_c
from router.units import nearest

_temperature = quantity("temperature")


def insulation_class_c(value: object) -> float:
    """Return the temperature of the class that a person wrote. [degC]

    Raises
    ------
    ValueError
        With what was found and the nearest class there is. The words follow a key's name.

    Examples
    --------
    >>> insulation_class_c("class C"), insulation_class_c("GPT"), insulation_class_c("150 degC")
    (125.0, 85.0, 150.0)
    """
    names = insulation_names()
    if isinstance(value, str) and value in names:
        return names[value]
    if isinstance(value, str) and not any(sign.isdigit() for sign in value):
        near = nearest(value, tuple(names))
        advice = f'did you mean "{near}"?' if near else f"write one of {', '.join(names)}"
        raise ValueError(f'"{value}" is no class that insulation has; {advice}')
    written_c = _temperature(value)
    if written_c not in insulation_classes_c():
        raise ValueError(f'"{value}" is no class that insulation has; write {_nearest(written_c, None)}')
    return written_c


def insulation_faults(document: Document) -> Iterator[Fault]:
    """Yield a fault where the job's series is SAE-marked cable, and no such cable has that insulation."""
    try:
        class_c = insulation_class_c(document.data["insulation"])
    except (KeyError, ValueError):
        return  # not written, or reported as a fault of structure
    if document.data.get("series") == Series.SAE.value and class_c not in insulation_classes_c(SAE):
        words = f"{class_c:g} degC is no class of SAE-marked cable; write {_nearest(class_c, SAE)}"
        yield document.fault(("insulation",), words)


def usual_insulation_c(series: Series) -> float:
    """Return the class of a job's cable where it says nothing. [degC]"""
    return usual_c(SAE if series is Series.SAE else ISO)


def _nearest(wanted_c: float, standard: str | None) -> str:
    """Return the classes on both sides of a temperature, as a person buys them."""
    classes_c = insulation_classes_c(standard)
    below = max((each for each in classes_c if each < wanted_c), default=None)
    above = min((each for each in classes_c if each > wanted_c), default=None)
    return " or ".join(insulation_words(each) for each in (below, above) if each is not None)


_NAMES: dict[str, Any] = {"enum": list(insulation_names())}
InsulationClass: TypeAlias = Annotated[
    float,
    BeforeValidator(insulation_class_c),
    WithJsonSchema({"anyOf": [_NAMES, quantity_schema("temperature")]}),
]
