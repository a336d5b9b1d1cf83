"""What a load is made for, as a job file writes it: "12 V", or from and to, ["10 V", "32 V"]."""

from __future__ import annotations

from typing import Annotated, TypeAlias

from pydantic import BeforeValidator, WithJsonSchema

from router.reading.yaml.fields import quantity, quantity_schema

_voltage = quantity("voltage", above=0)


def unit_voltage(value: object) -> tuple[float, float]:
    """Return the lowest and the highest voltage that something is made for; the same where it is one.

    >>> unit_voltage("24 V"), unit_voltage(["10 V", "32 V"])
    ((24.0, 24.0), (10.0, 32.0))
    """
    if not isinstance(value, list):
        return _voltage(value), _voltage(value)
    if len(value) != 2:
        raise ValueError(f"is a list of {len(value)}; write one voltage, or two: [10 V, 32 V]")
    low_v, high_v = (_voltage(each) for each in value)
    if low_v > high_v:
        raise ValueError(f"is from {low_v:g} to {high_v:g} V; write the lower one first")
    return low_v, high_v


UnitVoltage: TypeAlias = Annotated[
    tuple[float, float],
    BeforeValidator(unit_voltage),
    WithJsonSchema(
        {
            "anyOf": [
                quantity_schema("voltage"),
                {"type": "array", "items": quantity_schema("voltage"), "minItems": 2, "maxItems": 2},
            ]
        }
    ),
]
