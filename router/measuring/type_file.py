"""The shape of a type's file: what it asks, what follows from the answers, the profile that is filled in."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Any, TypeAlias

from pydantic import BeforeValidator, Field

from router.reading import FileModel, Length, Text


class Seen(StrEnum):
    """From where a measurement's picture is seen."""

    SIDE = "side"
    BELOW = "below"
    BEHIND = "behind"


def _formula(value: object) -> str:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError("is no arithmetic; write a number, a name, or e.g. rear-axle - 110")
    return str(value)


def _seen(value: object) -> Seen:
    if value not in tuple(Seen):
        raise ValueError(f'is "{value}"; write one of {", ".join(Seen)}')
    return Seen(str(value))


Formula: TypeAlias = Annotated[str, BeforeValidator(_formula)]
Spot: TypeAlias = Annotated[list[Formula], Field(min_length=3, max_length=3)]
SidePoint: TypeAlias = Annotated[list[Formula], Field(min_length=2, max_length=2)]


class TapeFile(FileModel):
    """Where the tape goes: from one place of the vehicle to another, as [x, y, z]."""

    seen: Annotated[Seen, BeforeValidator(_seen)]
    from_: Spot
    to: Spot


class MeasurementFile(FileModel):
    """One thing that is asked."""

    name: Text
    ask: Text = Field(description="what to measure, in one sentence")
    from_: Text = Field(description="where the tape begins")
    to: Text = Field(description="where it ends")
    usual: Length
    least: Length
    most: Length
    spread: Length = Field(description="how far off the usual value may be where nobody measured")
    needed: bool = Field(False, description="nothing can be planned well without it")
    tape: TapeFile


class TogetherFile(FileModel):
    """Two lengths of which the first cannot be more than the second."""

    less: Formula
    than: Formula
    says: Text = Field(description="what would be wrong, and what to measure again")


class TypeFile(FileModel):
    """A parametric vehicle."""

    type: Text
    says: Text
    tyre: Formula = Field(description="its diameter")
    side: Annotated[list[SidePoint], Field(min_length=3)] = Field(
        description="the body from its left, as [x, z]"
    )
    measurements: Annotated[list[MeasurementFile], Field(min_length=1)]
    follows: dict[str, Formula] = Field({})
    together: list[TogetherFile] = Field([])
    vehicle: dict[str, Any] = Field(description="a profile, with arithmetic in place of numbers")
