"""The shape of a fleet file; a description here is what an editor shows beside the key."""

from __future__ import annotations

import re
from typing import Annotated, TypeAlias

from pydantic import BeforeValidator, Field, WithJsonSchema

from router.reading.yaml.fields import FileModel, Length, Names, Text, one_of, quantity, quantity_schema
from router.reading.yaml.wording import describe_value
from router.units import parse_quantity

ITEMS = ("conductor", "loom", "heat sleeve")
"""What is cut from reels and coils."""
LONGEST_REEL_MM = 5_000_000.0
_PRICE = re.compile(r"([0-9]{1,9}(?:\.[0-9]{1,4})?) ([A-Z]{3})")


def _count(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 100_000:
        raise ValueError(f"is {describe_value(value)}; write a whole number from 1 to 100000")
    return value


def _reel_length(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError(f'is {describe_value(value)}; write a number with its unit, e.g. "50 m"')
    length_mm = parse_quantity(str(value), "length", most=LONGEST_REEL_MM)
    if not length_mm > 0:
        raise ValueError(f'"{value}" is too small; write more than 0 mm')
    return length_mm


def _price(value: object) -> tuple[float, str]:
    found = _PRICE.fullmatch(value) if isinstance(value, str) else None
    if not found:
        raise ValueError(
            f'{describe_value(value)} is no price; write a number and a currency, e.g. "38.50 EUR"'
        )
    if not float(found[1]) > 0:
        raise ValueError(f'"{value}" is too small; write more than 0')
    return float(found[1]), found[2]


Count: TypeAlias = Annotated[
    int, BeforeValidator(_count), WithJsonSchema({"type": "integer", "minimum": 1, "maximum": 100_000})
]
Price: TypeAlias = Annotated[
    tuple[float, str],
    BeforeValidator(_price),
    WithJsonSchema({"type": "string", "pattern": f"^{_PRICE.pattern}$", "examples": ["38.50 EUR"]}),
]
Spare: TypeAlias = Annotated[
    float, BeforeValidator(quantity("ratio", least=0, most=1)), WithJsonSchema(quantity_schema("ratio"))
]
ReelLength: TypeAlias = Annotated[
    float, BeforeValidator(_reel_length), WithJsonSchema(quantity_schema("length"))
]
ItemWord: TypeAlias = Annotated[
    str, BeforeValidator(one_of(ITEMS)), WithJsonSchema({"type": "string", "enum": list(ITEMS)})
]


class VehicleFile(FileModel):
    """Vehicles that are alike."""

    name: Text | None = Field(None, description="what the shop calls them; without it, profile and variant")
    profile: Text = Field(description="a library name or a path")
    variant: Text | None = None
    count: Count
    jobs: Names = Field([], description="names of the fleet's jobs that they get; without it, all of them")


class ReelFile(FileModel):
    """One length that something is sold in."""

    length: ReelLength
    price: Price | None = Field(None, description="of one reel or coil, e.g. 38.50 EUR")


class StockFile(FileModel):
    """What one thing is sold in."""

    item: ItemWord
    size: Text | None = Field(None, description="as in the bill, e.g. 2.5 mm2 or NW7.5; without it, any size")
    reels: Annotated[list[ReelFile], Field(min_length=1)]


class FleetFile(FileModel):
    """Many vehicles that get the same jobs."""

    fleet: Text = Field(description="the fleet's name")
    practice: Text | None = Field(None, description="law, voluntary or a path, in place of what the jobs say")
    jobs: dict[Text, Text] = Field(description="by name: a job's file, or the folder that holds its job.yaml")
    vehicles: Annotated[list[VehicleFile], Field(min_length=1)]
    stock: list[StockFile] = Field([], description="reels and coils that can be bought")
    cut_loss: Length = Field(0.0, description="lost at every cut")
    trim: Length = Field(
        0.0, description="the most to cut off a conductor so that one kit serves another vehicle too"
    )
    spare: Spare | None = Field(
        None, description="added once over the fleet to what comes in pieces; else as the practice says"
    )
